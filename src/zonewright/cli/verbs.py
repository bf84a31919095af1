"""The verbs, and a click group that imports a verb's module only when that verb is used.

Rules of this file:
1. A verb is one line of `VERBS`, put in when its module exists.
2. Help and the page of verbs are written from that table: asking for them imports no verb.
3. A verb's command returns its exit code: 0 fine, 1 findings (None counts as 0). Bad input is raised as `BadInput`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from itertools import groupby
from typing import NamedTuple

import click

from zonewright import __version__
from zonewright.findings import nearest


class Verb(NamedTuple):
    """Where a verb stands in the work, where its click command is ("module:name"), and what it does for you."""

    stage: str
    command: str
    does: str


# In the order of the work; the verbs of one stage stand together.
VERBS: dict[str, Verb] = {
    "readback": Verb("Take over", "zonewright.cli.readback:read_back", "read in what a panel holds that has no papers"),
    "new": Verb("Design", "zonewright.cli.begin:new", "begin a site file"),
    "import": Verb("Design", "zonewright.cli.begin:import_schedule", "make a site file from a schedule in CSV"),
    "number": Verb("Design", "zonewright.cli.begin:number", "write the keyed zone numbers into the site file"),
    "check": Verb("Design", "zonewright.cli.check:check", "judge a design by every rule"),
    "rules": Verb("Design", "zonewright.cli.check:list_rules", "list the rules, or tell one in full"),
    "schema": Verb(
        "Design", "zonewright.cli.schema:schema", "print the JSON Schema of a file, or of what --json prints"
    ),
    "matrix": Verb("Foresee", "zonewright.cli.matrix:show_matrix", "show what each zone does in each mode"),
    "explain": Verb("Foresee", "zonewright.cli.explain:explain", "tell in words what a zone does"),
    "play": Verb("Foresee", "zonewright.cli.play:play", "let things happen, and see who gets what, and when"),
    "prove": Verb("Foresee", "zonewright.cli.prove:prove", "prove what the panel keeps, show how it breaks the rest"),
    "enter": Verb("Key in", "zonewright.cli.enter:enter", "write the entry sheet, for all or for a change"),
    "practise": Verb("Key in", "zonewright.cli.practise:practise", "key it into a virtual keypad"),
    "walk": Verb("Test", "zonewright.cli.walk:walk", "plan the quickest walk under which every slip shows"),
    "diagnose": Verb("Test", "zonewright.cli.diagnose:diagnose", "find what is the matter, and what to key or mend"),
    "pack": Verb("Hand over", "zonewright.cli.pack:pack", "print the job pack as PDF"),
    "demo": Verb("Hand over", "zonewright.cli.demo:demo", "make the pack of an invented house"),
    "messages": Verb("Station", "zonewright.cli.decode:messages", "list the messages that the station is to expect"),
    "decode": Verb("Station", "zonewright.cli.decode:decode", "tell what messages say"),
    "encode": Verb("Station", "zonewright.cli.decode:encode", "write a message with its check digit"),
    "profile": Verb(
        "Panels", "zonewright.cli.profile:profile", "check a panel profile, try it with what you keyed at the panel"
    ),
}

ABOUT = "Check an alarm design, know what the panel will do, key it in without a slip, and print the job pack."


class Verbs(click.Group):
    """A group whose commands are loaded when they are used."""

    verbs: Mapping[str, Verb] = VERBS

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the verbs in the order of the work."""
        return list(self.verbs)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load one verb."""
        if cmd_name not in self.verbs:
            return None
        module, _, name = self.verbs[cmd_name].command.partition(":")
        command = getattr(import_module(module), name)
        assert isinstance(command, click.Command), f"{module}:{name} is no click command"
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the verb that the first argument names; an unknown one is told with the nearest."""
        name = args[0]
        if name not in self.verbs and not name.startswith("-"):
            guess = nearest(name, self.verbs)
            hint = f"; did you mean {guess[0]}?" if guess else "; `zonewright --help` lists the verbs"
            raise click.UsageError(f"there is no verb {click.format_filename(name)!r}{hint}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the verbs by stage, from the table alone."""
        for stage, rows in by_stage(self.verbs):
            with formatter.section(stage):
                formatter.write_dl([(name, verb.does) for name, verb in rows])


def by_stage(verbs: Mapping[str, Verb]) -> Iterator[tuple[str, list[tuple[str, Verb]]]]:
    """Give each stage of the work with its verbs."""
    for stage, rows in groupby(verbs.items(), key=lambda row: row[1].stage):
        yield stage, list(rows)


@click.group(
    cls=Verbs,
    help=ABOUT,
    subcommand_metavar="VERB [ARGUMENTS]...",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@click.version_option(__version__, prog_name="zonewright", message="%(prog)s %(version)s")
@click.option("--outside", is_flag=True, help="Let a file name a panel profile or a plan outside its own folder.")
def zonewright(outside: bool) -> None:  # `cli/opening.py` looks at it
    """Stand for the program itself; its verbs do the work."""

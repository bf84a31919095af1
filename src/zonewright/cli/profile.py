"""`profile check` and `profile try`: whether a panel profile holds together, and whether it does what a panel did."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.telling import mistakes
from zonewright.cli.terminal import paragraph, screen_of
from zonewright.desk.results.findings import findings_alone
from zonewright.desk.results.profiles import near_codes, profile_facts
from zonewright.entry.sheets.transcript import run
from zonewright.findings import BadInput
from zonewright.panel.profile import Profile
from zonewright.panel.reachability import reach
from zonewright.panel.reading import find_profile
from zonewright.site.files import Folder


@click.group()
def profile() -> None:
    """Work on panel profiles."""


@profile.command("check")
@click.argument("name")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as JSON.")
def check_profile(name: str, as_json: bool) -> int:
    """Walk the keypad script of a profile in every way its conditions can tell apart.

    NAME is a profile that comes with Zonewright, or the path of a profile file.

    \b
    zonewright profile check tern
    zonewright profile check ./my-panel.yaml
    """
    found = usable(name)
    near = near_codes(found)
    if as_json:
        print_result(profile_facts(found))
        return 0
    screen = screen_of(sys.stdout)
    screen.say(f"{found.panel}, edition {found.edition}: sound", "")
    facts = (
        ("script", f"{len(found.script)} nodes, {len(found.items)} items, walked in {reach(found).states} states"),
        ("way in", "; ".join(found.script[found.rest].ways_in or {})),
        ("time-out", f"{found.times_out.after} s without a key: back to rest, what was not kept is lost"),
        ("kept at", "; ".join(keeps(found)) or "nowhere"),
        ("by itself", ", ".join(name for name, answer in found.answers.items() if answer.takes_itself) or "nothing"),
        ("codes", "; ".join(f"{one} and {other}" for one, other in near) or "no two are one digit apart"),
        ("compared", "with a real panel" if found.compared_with_panel else "never compared with a panel"),
    )
    for label, text in facts:
        screen.say(*paragraph(text, screen.width, f"  {label:11}"))
    return 0


@profile.command("try")
@click.argument("name")
@click.argument("transcripts", type=FILE, nargs=-1, required=True)
@click.option("--all", "every", is_flag=True, help="Tell every difference, not only the first of each file.")
@click.option("--json", "as_json", is_flag=True, help="Print what differs as JSON.")
def try_profile(name: str, transcripts: tuple[Path, ...], every: bool, as_json: bool) -> int:
    """Key TRANSCRIPTS into the virtual keypad of a profile and tell where it shows something else.

    NAME is a profile that comes with Zonewright, or the path of a profile file. A transcript is a text file, a line for
    what you press and what the display then shows: `KEYS -> line one | line two`. Key it at the real panel first, out
    of alarm and on test with the station. Exit code 1 if anything differs.

    \b
    zonewright profile try ./my-panel.yaml getting-in.txt first-zone.txt
    """
    found = usable(name)
    ran = {path: run(found, path) for path in transcripts}
    differ = [finding for each in ran.values() for finding in each.differences]
    if as_json:
        print_result(findings_alone(differ))
        return 1 if differ else 0
    screen = screen_of(sys.stdout)
    for path, (differences, presses) in ran.items():
        told = differences if every else differences[:1]
        screen.say(*mistakes(told, screen.width))
        if len(differences) > len(told):
            screen.say(
                f"    and {len(differences) - len(told)} more lines below it, perhaps for the same reason (--all)"
            )
        if not differences:
            screen.say(f"{path}: {len(presses)} keys, the keypad shows what you wrote")
    if differ:
        screen.say("", "Look again at the panel, then mend what you wrote or the profile.")
    return 1 if differ else 0


def usable(name: str) -> Profile:
    """Return the profile of this name or path; BadInput with all that is wrong with it."""
    read = find_profile(name, Folder(Path(), outside=True))
    if read.record is None:
        raise BadInput(read.findings)
    return read.record


def keeps(found: Profile) -> list[str]:
    """Return where the panel keeps or takes out; the many questions that one `place` opens are told as one."""
    places = [f"every value that `{name}` opens" for name, node in found.script.items() if node.place is not None]
    keeping = [name for name, node in found.script.items() if node.keep or node.keeps or node.forget]
    return [*places, *(name for name in keeping if name not in found.items)]

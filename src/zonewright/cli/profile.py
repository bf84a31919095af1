"""`profile check` and `profile try`: whether a panel profile holds together, and whether it does what a panel did."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.cli.findings_text import mistakes
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.terminal import paragraph, screen_of
from zonewright.desk.profiles import profile_named, sound, tried
from zonewright.desk.results.findings import findings_alone
from zonewright.desk.results.profiles import profile_facts
from zonewright.site.files import Folder

HERE = Folder(Path(), outside=True)  # where the path of a profile begins


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
    found = sound(profile_named(name, HERE))
    if as_json:
        print_result(profile_facts(found))
        return 0
    screen, panel = screen_of(sys.stdout), found.profile
    screen.say(f"{panel.panel}, edition {panel.edition}: sound", "")
    near = "; ".join(f"{one} and {other}" for one, other in found.near_codes)
    facts = (
        ("script", f"{len(panel.script)} nodes, {len(panel.items)} items, walked in {found.reached.states} states"),
        ("way in", "; ".join(panel.script[panel.rest].ways_in or {})),
        ("time-out", f"{panel.times_out.after} s without a key: back to rest, what was not kept is lost"),
        ("kept at", "; ".join(found.saves_at) or "nowhere"),
        ("by itself", ", ".join(found.takes_itself) or "nothing"),
        ("no meaning", ", ".join(found.unread) or "every item has one"),
        ("it lacks", ", ".join(found.lacking) or "nothing that the model knows"),
        ("codes", near or "no two are one digit apart"),
        ("compared", "with a real panel" if panel.compared_with_panel else "never compared with a panel"),
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
    ran = tried(profile_named(name, HERE), transcripts)
    differ = [finding for each in ran for finding in each.differences]
    if as_json:
        print_result(findings_alone(differ))
        return 1 if differ else 0
    screen = screen_of(sys.stdout)
    for each in ran:
        told = each.differences if every else each.differences[:1]
        screen.say(*mistakes(told, screen.width))
        if more := len(each.differences) - len(told):
            screen.say(f"    and {more} more lines below it, perhaps for the same reason (--all)")
        if not each.differences:
            screen.say(f"{each.file}: {each.presses} keys, the keypad shows what you wrote")
    if differ:
        screen.say("", "Look again at the panel, then mend what you wrote or the profile.")
    return 1 if differ else 0

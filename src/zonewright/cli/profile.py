"""`profile check`: whether a panel profile holds together, and what its author should compare with the manual."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from zonewright.cli.terminal import paragraph, screen_of
from zonewright.findings import BadInput
from zonewright.panel.profile import Profile, Style
from zonewright.panel.reachability import reach
from zonewright.panel.reading import find_profile


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
    read = find_profile(name, Path())
    if read.record is None:
        raise BadInput(read.findings)
    found = read.record
    near = near_codes(found)
    if as_json:
        told = {
            "panel": found.panel,
            "edition": found.edition,
            "states": reach(found).states,
            "nodes": len(found.script),
            "items": len(found.items),
            "codes one digit apart": [[one, other] for one, other in near],
            "waits": {node: sorted(items) for node, items in reach(found).waits.items()},
        }
        click.echo(json.dumps(told, ensure_ascii=False, indent=2))
        return 0
    screen = screen_of(sys.stdout)
    screen.say(f"{found.panel}, edition {found.edition}: sound", "")
    facts = (
        ("script", f"{len(found.script)} nodes, {len(found.items)} items, walked in {reach(found).states} states"),
        ("way in", "; ".join(found.script[found.rest].ways_in or {})),
        ("time-out", f"{found.times_out.after} s without a key: back to rest, what was not kept is lost"),
        ("kept at", ", ".join(name for name, node in found.script.items() if node.keep or node.keeps or node.forget)),
        ("by itself", ", ".join(name for name, answer in found.answers.items() if answer.takes_itself) or "nothing"),
        ("codes", "; ".join(f"{one} and {other}" for one, other in near) or "no two are one digit apart"),
        ("compared", "with a real panel" if found.compared_with_panel else "never compared with a panel"),
    )
    for label, text in facts:
        screen.say(*paragraph(text, screen.width, f"  {label:11}"))
    return 0


def near_codes(found: Profile) -> list[tuple[str, str]]:
    """Return the pairs of words whose codes differ in one digit: a slip there gives another word, not a refusal."""
    pairs = []
    for answer in found.answers.values():
        if answer.style is Style.WORDS:
            codes = list(answer.codes.items())
            for place, (one, code) in enumerate(codes):
                for other, code_of_other in codes[place + 1 :]:
                    if sum(a != b for a, b in zip(code, code_of_other, strict=True)) == 1:
                        pairs.append((one, other))
    return pairs

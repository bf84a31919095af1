"""The first text of a new site file: what is known, and examples to copy in the words of its own panel.

Rules of this file:
1. This panel would accept every example as it is; a test reads each of them back.
2. Nothing is decided for the technician: what isn't known is a comment.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from zonewright.panel.answers import refuses
from zonewright.panel.profile import Kind, Profile, Style
from zonewright.panel.programme import item_of
from zonewright.site.writing import EDITOR, scalar

HEAD = """# {name}: what stands where, what each zone does, who lives there.
# It shows how to get in: keep it locked. No code belongs in it.
# `zonewright check {file}` tells what is wrong or doubtful; docs/site-file.md tells every field.
"""
DOORS = ("entry-door", "final-door", "perimeter")  # of the example, the first that the panel has
LABELS = ("front door", "door", "Front door")
WIDE = 110


def first_file(profile: Profile, panel: str, name: str, file: str, areas: Sequence[str], account: str) -> str:
    """Return the text of a new site file; `panel` names the profile as the file must."""
    lines = [
        f"site: {scalar(name)}",
        "revision: 1",
        f"panel: {panel}",
        *([f"station: {{account: {scalar(account)}}}"] if account else []),
        f"settings: {{}}{'':22}# only what differs from the panel as shipped, as below",
        "areas: {" + ", ".join(f"{scalar(area)}: {{}}" for area in areas) + "}",
        f"people: {{}}{'':24}# Ida: {{role: owner, may: [{scalar(areas[0])}]}}; no codes here",
        "",
        "devices: {}",
        "# A device, to copy (take the braces above away first):",
        *(f"# {line}" for line in example_device(profile, areas[0])),
        "#",
        "# What this panel knows:",
        *known(profile),
        "#",
        "# Of a device, too: fitted (the day, like 2026-11-25), and used before (yes, if somebody owned it before).",
        "# Later: keypads, sirens, remotes, loops, routes (the ways in), must (what may never be), power, plan.",
    ]
    return f"{EDITOR}\n" + HEAD.format(name=name, file=file) + "\n".join(lines) + "\n"


def example_device(profile: Profile, area: str) -> Iterator[str]:
    """Give the lines of a device with its zone that this panel accepts."""
    kinds = [(name, kind) for name, kind in profile.kinds.items() if kind.link == "radio"] or [*profile.kinds.items()]
    name, kind = next((each for each in kinds if each[1].senses == "opening"), kinds[0])
    yield "  front-door:"
    yield f"    kind: {scalar(name)}"
    if kind.link == "radio":
        yield f"    number: {{printed: {scalar(_printed(kind))}}}{'':12}# as printed on its label"
    yield f"    at: {{storey: ground, room: {scalar(_place(profile))}}}"
    yield "    guards: the front door"
    zone = (
        f"number: next free, area: {scalar(area)}, behaviour: {_behaviour(profile)}, called: {scalar(_label(profile))}"
    )
    yield f"    zone: {{{zone}}}"


def known(profile: Profile) -> Iterator[str]:
    """Give comments that list the words of this panel."""
    yield from _listed("kinds", profile.kinds)
    yield from _listed("behaviours", profile.behaviours)
    chimes = profile.answer_of(item_of("zone", 1, "chime"))
    if chimes is not None and chimes.choices:
        yield from _listed("chimes", chimes.choices)
    yield from _listed("settings", (item.words for item in profile.items
                                    if item.group == "setting"))  # fmt: skip


def _listed(what: str, words: Iterable[str]) -> Iterator[str]:
    yield from wrap(f"{what}: {', '.join(words)}", WIDE, initial_indent="#   ", subsequent_indent="#     ")


def _printed(kind: Kind) -> str:
    digits = "0" * (kind.printed or 6)
    return " ".join(digits[at : at + 3] for at in range(0, len(digits), 3))


def _behaviour(profile: Profile) -> str:
    return next((each for each in DOORS if each in profile.behaviours), next(iter(profile.behaviours), "perimeter"))


def _label(profile: Profile) -> str:
    answer = profile.answer_of(item_of("zone", 1, "label"))
    if answer is None:
        return LABELS[0]
    words = [*LABELS, *answer.choices] + ([next(iter(answer.codes))] if answer.style is Style.WORDS else [])
    return next((each for each in words if refuses(answer, each) is None), LABELS[0])


def _place(profile: Profile) -> str:
    answer = profile.answer_of(item_of("zone", 1, "place"))
    if answer is None:
        return "hall"
    words = ["hall", *answer.choices, *answer.codes]
    return next((each for each in words if refuses(answer, each) is None), "hall")

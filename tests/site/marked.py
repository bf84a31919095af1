"""Site files with the place of the expected mistake marked by `§` in front of it."""

from __future__ import annotations

from zonewright.findings import Finding, Place

MARK = "§"
FILE = "test.yaml"

# A small right file; tests put one mistake into it.
RIGHT = """\
site: Mill Lane
panel: tern
dated: 2026-11-30
areas: {house: {}, shop: {}}
keypads: {hall-keypad: {area: house}}
devices:
  front-door:
    kind: contact
    number: {printed: 51 9031 44 B, learnt: 903144}
    zone: {number: 1, area: house, behaviour: entry-door, called: front door}
  side-gate:
    kind: wide-gap contact
    fitted: 2026-11-20
    zone: {number: 14, area: house, behaviour: notice, called: side gate, supervise: yes}
people: {Ida: {role: owner, may: [house, shop], slot: 1}}
routes: {home: {by: front door, to: hall-keypad}}
must:
  - never: side-gate causes siren
accept:
  - {rule: SUP-03, for: side-gate, by: I. Thorne, on: 2026-11-20, because: wanted so}
"""


def without_mark(text: str) -> tuple[str, Place]:
    """Return the text without its mark and the place that was marked."""
    before, mark, _ = text.partition(MARK)
    assert mark, "the test marks no place"
    lines = before.split("\n")
    return text.replace(MARK, ""), Place(FILE, len(lines), len(lines[-1]) + 1)


def changed(old: str, new: str) -> str:
    """Return the right file with one piece of text exchanged."""
    assert RIGHT.count(old) == 1, f"{old!r} must stand once in the file"
    return RIGHT.replace(old, new)


def told(findings: tuple[Finding, ...]) -> list[str]:
    """Return findings as lines for a failed test to show."""
    return [f"{f.place} {f.code} {f.thing}: {f.says}" for f in findings]

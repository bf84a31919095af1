"""Generated houses of any size, as site files: the same text each time for the same number of zones."""

from __future__ import annotations

from itertools import product

from zonewright.panel.profile_file import shipped

FIRST = ("front", "back", "side", "left", "right", "upper", "lower", "middle", "main", "small", "big", "inner")
KINDS = (
    ("contact", "perimeter", "window"),
    ("contact", "perimeter", "windows"),
    ("movement", "interior", "movement"),
    ("contact", "perimeter", "hatch"),
    ("movement", "on-route", "movement"),
    ("wide-gap contact", "notice", "gate"),
    ("water", "environment", "water"),
    ("contact", "entry-door", "door"),
)


def house(zones: int) -> str:
    """Return the text of a site file with this many zones in two areas, on the panel tern."""
    places = list(shipped("tern").answers["spot"].codes)
    spots = list(product(FIRST, places))
    lines = [
        f"site: House of {zones}",
        "panel: tern",
        'station: {account: "4021"}',
        "settings: {exit time: 60 s, entry time: 30 s, second entry time: 30 s, abort window: 30 s}",
        "areas: {house: {}, annexe: {}}",
        "people: {Ida: {role: owner}, Bertil: {role: user, may: [house]}}",
        "devices:",
    ]
    for n in range(zones):
        kind, behaviour, word = KINDS[n % len(KINDS)]
        first, place = spots[n]
        chime = "two notes" if behaviour in ("notice", "entry-door") else "none"
        report = "troubles" if behaviour == "notice" else "everything"
        lines += [
            f"  device-{n + 1}:",
            f"    kind: {kind}",
            f"    number: {{printed: 51 {100_000 + 37 * n} A}}",
            "    fitted: 2026-11-25",
            f"    at: {{room: {place}}}",
            f"    zone: {{number: {n + 1}, area: {'house' if n % 3 else 'annexe'}, behaviour: {behaviour},",
            f"           called: {first} {word}, chime: {chime}, report: {report}, supervise: yes}}",
        ]
    return "\n".join(lines) + "\n"

"""A generated parade of eight shops of any number of zones, and its panel: Marlow's, with eight areas.

Each shop has its own door with its own time, and shares a passage with the next: no two areas are alike, none apart.
"""

from __future__ import annotations

from pathlib import Path

from benchmarks import wide_panel

AREAS = 8
_FIRST = (("contact", "entry-door", "door"), ("movement", "interior", "passage"))  # the second is shared
_MORE = (
    ("contact", "perimeter", "window"),
    ("movement", "on-route", "till"),
    ("glass-break", "perimeter", "pane"),
    ("movement", "interior", "store"),
    ("smoke", "fire", "smoke"),
    ("wide-gap contact", "notice", "gate"),
    ("water", "environment", "drain"),
    ("button", "holdup", "button"),
    ("contact", "24-hour-audible", "hatch"),
)


def panel() -> str:
    """Return the profile: Marlow's with eight areas, neighbours and all of them together."""
    neighbours = [(n, n + 1) for n in range(1, AREAS)]
    return wide_panel.panel(AREAS, [*neighbours, tuple(range(1, AREAS + 1))])


def site(zones: int) -> str:
    """Return the site file with this many zones, at least two for each shop."""
    shops = [f"shop {n + 1}" for n in range(AREAS)]
    lines = [
        f"site: Parade of {zones}",
        "panel: ./parade-panel.yaml",
        'station: {account: "6391", by: dc-09}',
        "settings: {exit time: 60 s, entry time: 30 s, second entry time: 45 s, abort window: 15 s}",
        f"areas: {{{', '.join(f'{shop}: {{}}' for shop in shops)}}}",
        "keypads:",
        *(f"  keypad {n + 1}: {{at: {{room: {shop}}}, area: {shop}}}" for n, shop in enumerate(shops)),
        "sirens: {street siren: {at: {room: street}, outdoors: yes}}",
        f"people: {{Pia: {{role: owner, may: [{', '.join(shops)}]}},",
        *(f"         keeper {n + 1}: {{role: user, may: [{shop}]}}," for n, shop in enumerate(shops)),
        "        }",
        "devices:",
    ]
    for place in range(zones):
        row, part = divmod(place, AREAS)
        kind, behaviour, word = _FIRST[row] if row < len(_FIRST) else _MORE[(row - len(_FIRST)) % len(_MORE)]
        areas = shops[part : part + 2] if word == "passage" else [shops[part]]
        number = f"{100_000 + 137 * place}"
        zone = f"number: {place + 1}, area: [{', '.join(areas)}], behaviour: {behaviour}, called: {word} {place + 1}"
        if behaviour == "entry-door":
            zone += f", chime: two notes, delay: {'second entry time' if part % 2 else 'entry time'}"
        elif behaviour == "notice":
            zone += ", chime: bell, report: troubles"
        lines += [
            f"  {word}-{place + 1}:",
            f"    kind: {kind}",
            f'    number: {{printed: {number[:2]} {number[2:4]} {number[4:]}, learnt: "{number}"}}',
            "    fitted: 2026-11-25",
            f"    at: {{room: {areas[0]}}}",
            f"    zone: {{{zone}}}",
        ]
    routes = (f"  way in {n + 1}: {{by: door-{n + 1}, to: keypad {n + 1}, takes: 20 s}}" for n in range(AREAS))
    return "\n".join([*lines, "routes:", *routes]) + "\n"


def write(folder: Path, zones: int) -> Path:
    """Write the site and its panel into a folder, and return the site's file."""
    (folder / "parade-panel.yaml").write_text(panel(), encoding="utf-8")
    path = folder / f"parade-{zones}.yaml"
    path.write_text(site(zones), encoding="utf-8")
    return path

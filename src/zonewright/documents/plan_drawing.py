"""The plan of a storey as a picture: walls told apart by ink, devices by marks of our own, readable in grey.

Rules of this file:
1. The scale is a round one that fits the page; everything is placed here, in millimetres of paper.
2. What the picture shows stands as a list beside it: zone, label, room. The picture alone is no record.
3. Texts go in escaped; nothing of a site file is markup.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from zonewright.documents.records import Drawing, Fact
from zonewright.panel.resolve import Resolved
from zonewright.site.model import Loop
from zonewright.site.plan import PANEL, Opening, Plan, Storey, Wall

WIDE_MM, HIGH_MM = 168.0, 130.0
SCALES = (20, 25, 50, 75, 100, 150, 200, 250, 500, 1000)
EDGE_MM = 9.0
INK = "#141414"
PEN = f'fill="white" stroke="{INK}" stroke-width="0.45" stroke-linejoin="round" stroke-linecap="round"'
RING = "M-2.6 0a2.6 2.6 0 1 0 5.2 0a2.6 2.6 0 1 0-5.2 0z"
MARKS = {  # what a device senses -> its drawing around 0,0 in millimetres
    "opening": "M-2.6-2.2h2v4.4h-2z M.8-1.6h1.8v3.2H.8z",
    "movement": "M0-2.6L2.6 2.2H-2.6z M-1.2 .9a1.4 1.4 0 0 1 2.4 0",
    "breaking glass": "M-2.4-2.4h4.8v4.8h-4.8z M-2.4 1L-.4-.4L.2 .9L2.4-1.4",
    "water": "M0-2.7L2 .5a2.3 2.3 0 1 1-4 0z",
    "a push": "M-2.4-2.4h4.8v4.8h-4.8z M-1.1 0a1.1 1.1 0 1 0 2.2 0a1.1 1.1 0 1 0-2.2 0z",
    "smoke": f"{RING} M-1.5 .8q.75-1.6 1.5-.4t1.5-.6",
    "heat": f"{RING} M0 1.5V-1.4M-.9-.5L0-1.4L.9-.5",
    "carbon monoxide": f"{RING} M-1.5 0a.7.7 0 1 0 1.4 0a.7.7 0 1 0-1.4 0z"
    " M.4 0a.55.55 0 1 0 1.1 0a.55.55 0 1 0-1.1 0z",
    "gas": f"{RING} M0-1.6q1.5 1.6 .9 2.5a1 1 0 0 1-1.8 0q-.6-.9 .9-2.5z",
    "keypad": "M-2-2.8h4v5.6h-4z M-1.2-1.9h2.4v1.2h-2.4z M-1.1 .4h.5M.6 .4h.5M-1.1 1.6h.5M.6 1.6h.5",
    "siren": "M-2.4-.9h1.5L1.4-2.5v5L-.9 .9h-1.5z M2.2-1.3v2.6",
    "panel": "M-3-2.4h6v4.8h-6z M-3-1h6",
    "": RING,
}
WALLS = {  # material -> strokes, the widest first: (colour, width, dash)
    "brick": ((INK, 2.4, ""),),
    "block": ((INK, 1.8, ""), ("white", 0.6, "1.2 1.2")),
    "stud": ((INK, 1.0, ""), ("white", 0.5, "")),
    "glass": ((INK, 1.2, ""), ("white", 0.8, ""), (INK, 0.2, "")),
    "concrete": ((INK, 2.8, ""), ("white", 0.9, "0 2")),
    "metal": ((INK, 2.2, ""), ("white", 0.5, "")),
}


@dataclass(frozen=True, slots=True)
class _Frame:
    """From metres of the house to millimetres of paper."""

    left: float
    top: float
    per_m: float

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        return EDGE_MM + (point[0] - self.left) * self.per_m, EDGE_MM + (self.top - point[1]) * self.per_m


def drawings(plan: Plan, resolved: Resolved) -> tuple[Drawing, ...]:
    """Return a drawing of each storey that has anything on it."""
    return tuple(_drawn(plan, name, storey, resolved) for name, storey in plan.storeys.items() if _points(storey))


def _drawn(plan: Plan, name: str, storey: Storey, resolved: Resolved) -> Drawing:
    points = _points(storey)
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, top = min(y for _, y in points), max(y for _, y in points)
    room = (WIDE_MM - 2 * EDGE_MM, HIGH_MM - 2 * EDGE_MM)
    wanted = max((right - left) * 1000 / room[0], (top - low) * 1000 / room[1])
    scale = next((each for each in SCALES if each >= wanted), math.ceil(wanted / 1000) * 1000)
    frame = _Frame(left, top, 1000 / scale)
    high = 2 * EDGE_MM + (top - low) * frame.per_m + 12
    wide = max(2 * EDGE_MM + (right - left) * frame.per_m, 90.0)
    named = _zones_by_device(resolved)
    parts = [
        *_rooms(storey, frame),
        *(stroke for wall in storey.walls for stroke in _wall(wall, frame)),
        *(stroke for opening in storey.openings for stroke in _opening(opening, storey, frame)),
        *_devices(storey, frame, named, resolved),
        *_scale_bar(plan, scale, high - 6, frame),
        _north(plan, wide - 8, high - 7),
    ]
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.1f} {high:.1f}" '
        f'font-family="Source Sans Pro, sans-serif" fill="{INK}">{"".join(parts)}</svg>'
    )
    shown = [
        Fact(" ".join(numbers) or device, told) for device, (numbers, told) in named.items() if device in storey.places
    ]
    alt = f"Plan of storey {name} at 1 to {scale}, {len(storey.places)} marks; listed beside it"
    return Drawing(f"Plan: {name}", f"scale 1 : {scale}", svg, round(wide), alt, tuple(shown))


def _points(storey: Storey) -> list[tuple[float, float]]:
    points = [point for wall in storey.walls for point in (wall.start, wall.end)]
    points += [point for room in storey.rooms.values() for point in (room.corner, room.opposite)]
    return [*points, *storey.places.values()]


def _zones_by_device(resolved: Resolved) -> dict[str, tuple[list[str], str]]:
    """Return device -> its zone numbers and what the list says of it."""
    found: dict[str, tuple[list[str], str]] = {}
    for number, origin in resolved.zones.items():
        held = resolved.programme.fields("zone", number)
        label = " ".join(held[field] for field in ("place", "label") if held.get(field))
        if isinstance(origin.fields, Loop):
            found |= {device: ([str(number)], f"{label}: {device}") for device in origin.fields.devices}
        else:
            numbers, told = found.get(origin.device, ([], ""))
            found[origin.device] = ([*numbers, str(number)], f"{told}, {label}" if told else label)
    for keypad in resolved.site.keypads:
        found[keypad] = ([], "keypad")
    for siren, each in resolved.site.sirens.items():
        found[siren] = ([], "siren outdoors" if each.outdoors else "siren indoors")
    found.setdefault(PANEL, ([], "panel"))
    return found


def _rooms(storey: Storey, frame: _Frame) -> Iterator[str]:
    """Yield each room's name, where it is farthest from the marks in it."""
    marks = [frame.at(point) for point in storey.places.values()]
    for name, room in storey.rooms.items():
        (ax, ay), (bx, by) = frame.at(room.corner), frame.at(room.opposite)
        spots = [(ax + (bx - ax) * u, ay + (by - ay) * v) for v in (0.5, 0.3, 0.7, 0.2, 0.8) for u in (0.5, 0.35, 0.65)]
        x, y = max(spots, key=lambda spot: min((math.dist(spot, (mx + 3, my)) for mx, my in marks), default=0.0))
        yield f'<text x="{x:.1f}" y="{y:.1f}" font-size="3.4" text-anchor="middle" fill="#555555">{escape(name)}</text>'


def _line(a: tuple[float, float], b: tuple[float, float], colour: str, width: float, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    cap = "round" if dash.startswith("0 ") else "butt" if dash else "square"
    return (
        f'<path d="M{a[0]:.2f} {a[1]:.2f}L{b[0]:.2f} {b[1]:.2f}" fill="none" stroke="{colour}" '
        f'stroke-width="{width}" stroke-linecap="{cap}"{dashed}/>'
    )


def _wall(wall: Wall, frame: _Frame) -> Iterator[str]:
    a, b = frame.at(wall.start), frame.at(wall.end)
    for colour, width, dash in WALLS[wall.of]:
        yield _line(a, b, colour, width, dash)


def _opening(opening: Opening, storey: Storey, frame: _Frame) -> Iterator[str]:
    """Yield a gap in the nearest wall: a thin pair for a window, a leaf and its quarter circle for a door."""
    wall = min(storey.walls, key=lambda each: _from_line(opening.at, each.start, each.end), default=None)
    if wall is None:
        return
    (ax, ay), (bx, by) = frame.at(wall.start), frame.at(wall.end)
    length = math.hypot(bx - ax, by - ay) or 1.0
    ux, uy = (bx - ax) / length, (by - ay) / length
    x, y = frame.at(opening.at)
    along = (x - ax) * ux + (y - ay) * uy
    half = opening.wide * frame.per_m / 2
    start = (ax + (along - half) * ux, ay + (along - half) * uy)
    end = (ax + (along + half) * ux, ay + (along + half) * uy)
    yield _line(start, end, "white", 3.2, "1000")
    if opening.kind == "window":
        for side in (-0.6, 0.6):
            shift = (-uy * side, ux * side)
            yield _line(
                (start[0] + shift[0], start[1] + shift[1]), (end[0] + shift[0], end[1] + shift[1]), INK, 0.3, "1000"
            )
        return
    leaf = (start[0] + uy * 2 * half, start[1] - ux * 2 * half)
    yield _line(start, leaf, INK, 0.5, "1000")
    radius = 2 * half
    yield (
        f'<path d="M{leaf[0]:.2f} {leaf[1]:.2f}A{radius:.2f} {radius:.2f} 0 0 1 {end[0]:.2f} {end[1]:.2f}" fill="none" '
        f'stroke="{INK}" stroke-width="0.3" stroke-dasharray="1 1"/>'
    )


def _devices(
    storey: Storey, frame: _Frame, named: dict[str, tuple[list[str], str]], resolved: Resolved
) -> Iterator[str]:
    walls = [(frame.at(wall.start), frame.at(wall.end)) for wall in storey.walls]
    marks = {device: frame.at(point) for device, point in storey.places.items()}
    for device, (x, y) in marks.items():
        mark = MARKS.get(_senses(device, resolved), MARKS[""])
        yield f'<path d="{mark}" transform="translate({x:.2f} {y:.2f})" {PEN}/>'
        text = ", ".join(named.get(device, ([], ""))[0])
        if text:
            others = [spot for each, spot in marks.items() if each != device]
            at, low, anchor = max(_beside(x, y), key=lambda put: _free(put, len(text), walls, others))
            put = f'x="{at:.2f}" y="{low + 1.2:.2f}" font-size="3.5" font-weight="600" text-anchor="{anchor}"'
            yield f'<text {put} stroke="white" stroke-width="1.2">{text}</text><text {put}>{text}</text>'


def _beside(x: float, y: float) -> tuple[tuple[float, float, str], ...]:
    """Return where the number of a mark may stand, the best first: right, left, below, above."""
    return ((x + 3.4, y, "start"), (x - 3.4, y, "end"), (x, y + 4.6, "middle"), (x, y - 4.6, "middle"))


def _free(
    put: tuple[float, float, str],
    letters: int,
    walls: list[tuple[tuple[float, float], tuple[float, float]]],
    marks: list[tuple[float, float]],
) -> float:
    """Return how far a number is from walls and other marks [mm]; what is far enough counts as equally far."""
    x, y, anchor = put
    half = letters * 0.95
    middle = x + half * {"start": 1, "end": -1, "middle": 0}[anchor]
    spots = [(middle + side * half, y) for side in (-1, 0, 1)]
    from_walls = min((_from_line(spot, *wall) for spot in spots for wall in walls), default=9.0)
    from_marks = min((math.dist(spot, mark) for spot in spots for mark in marks), default=9.0)
    return min(from_walls, from_marks - 2.6, 2.4)


def _from_line(spot: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """Return how far a point lies from a stroke."""
    (px, py), (ax, ay), (bx, by) = spot, a, b
    length = (bx - ax) ** 2 + (by - ay) ** 2
    along = 0.0 if length == 0 else max(0.0, min(1.0, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / length))
    return math.hypot(px - ax - along * (bx - ax), py - ay - along * (by - ay))


def _senses(device: str, resolved: Resolved) -> str:
    if device in resolved.site.keypads:
        return "keypad"
    if device in resolved.site.sirens:
        return "siren"
    if device == PANEL and device not in resolved.site.devices:
        return PANEL
    return resolved.senses(device)


def _scale_bar(plan: Plan, scale: int, y: float, frame: _Frame) -> Iterator[str]:
    unit = 1.0 if plan.units == "metres" else 0.3048 * 5
    step = unit * frame.per_m
    for n in range(3):
        fill = INK if n % 2 == 0 else "white"
        x = EDGE_MM + n * step
        box = f"M{x:.2f} {y:.2f}h{step:.2f}v1.4h-{step:.2f}z"
        yield f'<path d="{box}" fill="{fill}" stroke="{INK}" stroke-width="0.3"/>'
    words = ("0", "3 m") if plan.units == "metres" else ("0", "15 ft")
    for text, x in zip(words, (EDGE_MM, EDGE_MM + 3 * step), strict=True):
        yield f'<text x="{x:.2f}" y="{y - 1:.2f}" font-size="3.2" text-anchor="middle">{text}</text>'
    yield f'<text x="{EDGE_MM + 3 * step + 6:.2f}" y="{y + 1.4:.2f}" font-size="3.2">1 : {scale}</text>'


def _north(plan: Plan, x: float, y: float) -> str:
    turned = {"up": 0, "right": 90, "down": 180, "left": 270}[plan.north]
    return (
        f'<g transform="translate({x:.1f} {y:.1f})">'
        f'<path d="M0-4L1.6 1.5L0 .6L-1.6 1.5z" transform="rotate({turned})"/>'
        '<text x="3" y="1.2" font-size="3.2">N</text></g>'
    )

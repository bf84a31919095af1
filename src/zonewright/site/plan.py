"""The plan of a site: storeys with rooms, walls, openings and where each device hangs.

Rules of this file:
1. A plan is a file of its own next to the site file; drawings, the survey and the rules use it.
2. Lengths are metres inside; a bare number counts in the plan's `units`. x runs right, y runs up.
3. What is drawn is checked here: a wall has length, an opening is in a wall, a place is of something on the site and on
   one storey only.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import hypot
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, WithJsonSchema

from zonewright.findings import Finding, Path, Place, Severity, nearest
from zonewright.site.composer import compose
from zonewright.site.files import Files
from zonewright.site.model import Site
from zonewright.site.nodes import MapNode, Places, TextNode
from zonewright.site.reading import Read, in_file_order, read_tree, to_mend
from zonewright.site.record import DeviceName, Record, metres

FURTHEST_M = 500.0
PANEL = "panel"  # the place of the panel itself
ON_THE_LINE_M = 0.3  # how far an opening may be from its wall


def _point(value: object, info: ValidationInfo) -> object:
    units = (info.context or {}).get("units", "metres")
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError("write a point as two lengths: [2.4, 0]")
    x, y = (metres(each, units) for each in value)
    if max(abs(x), abs(y)) > FURTHEST_M:
        raise ValueError(f"a point lies within {FURTHEST_M:g} m of the corner")
    return (x, y)


def _width(value: object, info: ValidationInfo) -> float:
    wide = metres(value, (info.context or {}).get("units", "metres"))
    if not 0 < wide <= 20:
        raise ValueError("an opening is wider than zero and at most 20 m")
    return wide


_LENGTHS = {"type": "array", "minItems": 2, "maxItems": 2}
Point = Annotated[tuple[float, float], BeforeValidator(_point), WithJsonSchema(_LENGTHS)]
Width = Annotated[float, BeforeValidator(_width), WithJsonSchema({"anyOf": [{"type": "number"}, {"type": "string"}]})]
Material = Literal["brick", "block", "stud", "glass", "concrete", "metal"]


class Room(Record):
    """A room with right angles, from one corner to the opposite one."""

    corner: Point
    opposite: Point


class Wall(Record):
    """A straight wall."""

    start: Point = Field(alias="from")
    end: Point = Field(alias="to")
    of: Material = "brick"


class Opening(Record):
    """A door or a window in a wall; `at` is its middle."""

    kind: Literal["door", "window"]
    at: Point
    wide: Width


class Storey(Record):
    """One floor."""

    rooms: dict[str, Room] = Field(default_factory=dict)
    walls: tuple[Wall, ...] = ()
    openings: tuple[Opening, ...] = ()
    places: dict[str, Point] = Field(
        default_factory=dict
    )  # a device's, keypad's or siren's name, or "panel" -> where it hangs


class Plan(Record):
    """The plan of one site."""

    plan: str
    units: Literal["metres", "feet"] = "metres"
    north: Literal["up", "down", "left", "right"] = "up"
    storeys: dict[str, Storey]


def read_plan(files: Files, name: str, site: Site, written: Place | None = None) -> Read[Plan]:
    """Read a plan file with every mistake at once.

    `site` says which devices there are. `written` is where the plan is named: the place of mistakes without a line of
    their own, such as a missing file.
    """
    text, findings = files.text(name)
    file = files.called(name)
    if findings:
        told = tuple(replace(each, place=each.place or written) for each in findings)
        return Read(None, told, Places(None, file))
    return read_plan_text(text, file, site)


def read_plan_text(text: str, file: str, site: Site) -> Read[Plan]:
    """Read the text of a plan file."""
    tree, findings = compose(text, file)
    units = "metres"
    if isinstance(tree, MapNode):
        said = [e.value.text for e in tree.entries if e.key == "units" and isinstance(e.value, TextNode)]
        units = said[0] if said else units
    read = read_tree(Plan, tree, findings, file, {"units": units})
    if read.record is None:
        return read
    found = in_file_order([*read.findings, *_doubts(read.record, site, read.places)])
    return Read(None if to_mend(found) else read.record, found, read.places)


def _doubts(plan: Plan, site: Site, places: Places) -> Iterator[Finding]:
    known = [*site.devices, *site.keypads, *site.sirens, PANEL]
    for name, storey in plan.storeys.items():
        top: Path = ("storeys", name)
        for n, wall in enumerate(storey.walls):
            if wall.start == wall.end:
                yield _wrong(places, (*top, "walls", n), f"wall {n + 1}", "it has no length", "give it two ends")
        for n, opening in enumerate(storey.openings):
            if not any(distance_to(wall, opening.at) <= ON_THE_LINE_M for wall in storey.walls):
                says = "it lies in no wall"
                yield _wrong(places, (*top, "openings", n), f"{opening.kind} {n + 1}", says, "move it onto a wall")
        for device in storey.places:
            if device not in known:
                near = nearest(device, known)
                hint = f"; did you mean {near[0]}" if near else ""
                says = f"the site has no device, keypad or siren of this name{hint}"
                yield _wrong(places, (*top, "places", device), f"place {device}", says, "name one of the site file")
    twice = [device for device in known if sum(device in each.places for each in plan.storeys.values()) > 1]
    for device in twice:
        last = [name for name, each in plan.storeys.items() if device in each.places][-1]
        says = "it hangs on two storeys"
        yield _wrong(places, ("storeys", last, "places", device), f"place {device}", says, "leave one of them")


def distance_to(wall: Wall, point: tuple[float, float]) -> float:
    """Return how far a point lies from a wall [m]."""
    (ax, ay), (bx, by), (px, py) = wall.start, wall.end, point
    length = (bx - ax) ** 2 + (by - ay) ** 2
    along = 0.0 if length == 0 else max(0.0, min(1.0, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / length))
    return hypot(px - ax - along * (bx - ax), py - ay - along * (by - ay))


def _wrong(places: Places, path: Path, thing: str, says: str, fix: str) -> Finding:
    return Finding("PLAN-01", Severity.PROBLEM, thing, says, place=places.key(path), fix=fix)


def unplaced(plan: Plan, site: Site) -> tuple[DeviceName, ...]:
    """Return the devices that have no place on the plan."""
    placed = {name for storey in plan.storeys.values() for name in storey.places}
    return tuple(name for name in site.devices if name not in placed)

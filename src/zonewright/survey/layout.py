"""Where things are on a plan: in which room, which openings lead out, and which rooms a walk crosses.

Rules of this file:
1. Pure geometry in metres. The caller decides what it means for a design.
2. Tolerances are choices of ours: a place is drawn next to the thing, so that both can be read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist, hypot

from zonewright.site.plan import Opening, Plan, Point, Room, Storey, distance_to

ON_A_WALL_M = 0.35  # how far outside its room a place may be drawn: on the wall
BESIDE_WALL_M = 0.4  # how far from the wall to look for a room on each side of an opening
STRIDE_M = 0.1  # the distance between the points of a walk that are looked at


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one thing is on a plan; `rooms` are those that it is in, or at the edge of."""

    storey: str
    point: Point
    rooms: tuple[str, ...]


def placed(plan: Plan, name: str) -> Placed | None:
    """Return where a device, keypad or siren is; None if the plan doesn't show it."""
    for storey, each in plan.storeys.items():
        if name in each.places:
            point = each.places[name]
            return Placed(storey, point, tuple(rooms_at(each, point, ON_A_WALL_M)))
    return None


def rooms_at(storey: Storey, point: Point, margin_m: float = 0.0) -> Iterator[str]:
    """Give the rooms that a point is in, or at most the margin [m] away from."""
    return (name for name, room in storey.rooms.items() if _within(room, point, margin_m))


def rooms_crossed(plan: Plan, stops: Sequence[Placed]) -> frozenset[tuple[str, str]]:
    """Return storey and room of everything that a walk in straight lines from stop to stop crosses.

    The way from one storey to another isn't known: there only the stops count.
    """
    crossed = {(stop.storey, room) for stop in stops for room in stop.rooms[:1]}
    for start, end in pairwise(stops):
        if start.storey != end.storey:
            continue
        (ax, ay), (bx, by) = start.point, end.point
        steps = max(1, round(dist(start.point, end.point) / STRIDE_M))
        for n in range(steps + 1):
            point = (ax + (bx - ax) * n / steps, ay + (by - ay) * n / steps)
            crossed |= {(start.storey, room) for room in rooms_at(plan.storeys[start.storey], point)}
    return frozenset(crossed)


def outer_openings(storey: Storey) -> Iterator[tuple[Opening, str]]:
    """Give each opening with a room on one side only, with that room: these lead out of the building."""
    for opening in storey.openings:
        wall = min(storey.walls, key=lambda each: distance_to(each, opening.at), default=None)
        if wall is None:
            continue
        (ax, ay), (bx, by) = wall.start, wall.end
        length = hypot(bx - ax, by - ay)
        across = (-(by - ay) / length * BESIDE_WALL_M, (bx - ax) / length * BESIDE_WALL_M)
        x, y = opening.at
        sides = [next(rooms_at(storey, (x + sign * across[0], y + sign * across[1])), None) for sign in (1, -1)]
        inside = [room for room in sides if room is not None]
        if len(inside) == 1:
            yield opening, inside[0]


def _within(room: Room, point: Point, margin_m: float) -> bool:
    (ax, ay), (bx, by), (x, y) = room.corner, room.opposite, point
    return (
        min(ax, bx) - margin_m <= x <= max(ax, bx) + margin_m and min(ay, by) - margin_m <= y <= max(ay, by) + margin_m
    )

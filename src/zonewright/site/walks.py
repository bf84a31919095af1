"""How long the walk of a route takes: as it is written, or else from the plan.

Rules of this file:
1. It is the walk of somebody slow, with bags: straight lines from the door past everything in `through` to the keypad.
   A time that was walked and written (`takes: 25 s`) comes first.
2. If neither says it, it isn't known: no time set on the panel is ever used instead.

Choices of ours, no source: 0.8 m/s (about what slow walkers do, from memory), 15 s for each storey between, 5 s to shut
the door, 10 s to key a code.
"""

from __future__ import annotations

from itertools import pairwise
from math import ceil, dist

from zonewright.site.model import Route, Site
from zonewright.site.names import causes
from zonewright.site.plan import Plan

SLOW_M_S = 0.8
STOREY_S = 15
AT_THE_DOOR_S = 5
AT_THE_KEYPAD_S = 10


def walk_s(site: Site, route: Route, plan: Plan | None) -> int | None:
    """Return how long the walk of a route takes [s]; None if it isn't known."""
    if route.takes is not None:
        return route.takes
    if plan is None:
        return None
    stops = [_place(site, plan, name) for name in (route.by, *route.through, route.to)]
    total = float(AT_THE_DOOR_S + AT_THE_KEYPAD_S)
    for here, there in pairwise(stops):
        if here is None or there is None:
            return None
        total += dist(here[1], there[1]) / SLOW_M_S + STOREY_S * abs(here[0] - there[0])
    return ceil(total)


def _place(site: Site, plan: Plan, name: str) -> tuple[int, tuple[float, float]] | None:
    """Return the storey, counted in the order of the file, and the point of a device, a keypad or a loop's device."""
    loops = [loop.devices for word, loop in site.loops.items() if word == name]
    meant = [each.device or each.loop or "" for each in causes(site).get(name, ())]
    loops += [site.loops[word].devices for word in meant if word in site.loops]
    names = [name, *meant, *(device for devices in loops for device in devices)]
    for n, storey in enumerate(plan.storeys.values()):
        for each in names:
            if each in storey.places:
                return n, storey.places[each]
    return None

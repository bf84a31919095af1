"""Who stands where in a test: whether one person can do it, walking, or how many it takes.

Rules of this file:
1. Choices of ours, no source: the pace of `ways.py`; a code takes 4 s at the keypad before its last key counts; a
   remote is pressed wherever somebody is.
2. A code is entered at a keypad of its area where the site file says which keypad is for which, else at any.
3. A rule of thumb: each act is done by whoever is nearest and can be there in time, else by one more person.
4. A detector on the way in sees whoever comes in by the door of that route: it needs nobody to stand at it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from zonewright.fieldwork.acting import Act, Handle, Press, Set
from zonewright.fieldwork.fieldtests import FieldTest
from zonewright.fieldwork.ways import Ways
from zonewright.fieldwork.zone_tests import Ground
from zonewright.site.plan import PANEL

CODE_S = 4
_NUMBER = {1: "one", 2: "two", 3: "three", 4: "four"}


def stands(ground: Ground, test: FieldTest, ways: Ways) -> tuple[str, ...]:
    """Return where each of the people begins that a test takes; one place if one person can do it."""
    first: list[str] = []
    people: list[tuple[str, int]] = []  # where each is, and since when [s]
    seen = _seen_coming_in(ground)

    def walk_s(here: str, place: str) -> int:
        return 0 if here == place or place in seen.get(here, ()) else ways.seconds(here, place)

    for after, act in test.acts:
        if isinstance(act, Press):
            continue
        ready = after - (CODE_S if isinstance(act, Set) else 0)
        reach = [
            (walk_s(here, place), n, place)
            for place in _places(ground, act)
            for n, (here, free) in enumerate(people)
            if free + walk_s(here, place) <= max(ready, free if here == place else 0)
        ]
        if reach:
            _, n, place = min(reach)
            people[n] = (place, after)
        else:
            place = next(iter(_places(ground, act)))
            first.append(place)
            people.append((place, after))
    return tuple(first) or (test.where,)


def _seen_coming_in(ground: Ground) -> dict[str, set[str]]:
    """Return the devices on the way in of each route, by the device at its door."""
    found: dict[str, set[str]] = {}
    for route in ground.resolved.site.routes.values():
        way = {ground.device(zone) for name in route.through for zone in ground.resolved.called(name)}
        for zone in ground.resolved.called(route.by):
            found.setdefault(ground.device(zone), set()).update(way)
    return found


def _places(ground: Ground, act: Act) -> Iterable[str]:
    """Return where an act can be done."""
    if isinstance(act, Handle):
        return (ground.device(act.zone),)
    keypads = ground.resolved.site.keypads
    numbers = ground.resolved.areas
    mine = [
        name
        for name, keypad in keypads.items()
        if isinstance(act, Set) and act.area in {numbers[area] for area in keypad.area if area in numbers}
    ]
    return mine or list(keypads) or (PANEL,)


def in_words(places: tuple[str, ...]) -> str:
    """Return who stands where, as a sentence; nothing for one person."""
    if len(places) < 2:
        return ""
    at = Counter(places)
    where = [f"{_NUMBER.get(many, many)} at {place}" for place, many in at.items()]
    return f"It takes {_NUMBER.get(len(places), len(places))} people: {', '.join(where)}."

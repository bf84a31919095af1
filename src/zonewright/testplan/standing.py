"""Who stands where in a test: whether one person can do it, walking, or how many it takes.

Rules of this file:
1. Choices of ours, no source: the pace of `ways.py`; a code takes 4 s at the keypad before its last key counts; a
   remote is pressed wherever somebody is.
2. A code is entered at a keypad of its area where the site file says which keypad is for which, else at any. Areas that
   one person sets alike at once take one code, at a keypad of them all or, where there is none, of any of them.
3. A rule of thumb: each act is done by whoever is nearest and can be there in time, else by one more person.
4. A detector on the way in sees whoever comes in by the door of that route: it needs nobody to stand at it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby

from zonewright.fieldwork.acting import Act, Handle, PressButton, Set
from zonewright.fieldwork.fieldtests import FieldTest
from zonewright.fieldwork.ways import Ways
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.site.plan import PANEL

CODE_S = 4
_NUMBER = {1: "one", 2: "two", 3: "three", 4: "four"}


def stands(ground: SiteOnTest, test: FieldTest, ways: Ways) -> tuple[str, ...]:
    """Return where each of the people stands that a test takes, and goes on to; one place if one person can do it."""
    stood: list[list[str]] = []
    people: list[tuple[str, int]] = []  # where each is, and since when [s]
    seen = _seen_coming_in(ground)

    def walk_s(here: str, place: str) -> int:
        return 0 if here == place or place in seen.get(here, ()) else ways.seconds(here, place)

    for after, acts in _at_once(test):
        if isinstance(acts[0], PressButton):
            continue
        ready = after - (CODE_S if isinstance(acts[0], Set) else 0)
        places = _places(ground, acts)
        reach = [
            (walk_s(here, place), n, place)
            for place in places
            for n, (here, free) in enumerate(people)
            if free + walk_s(here, place) <= max(ready, free if here == place else 0)
        ]
        if reach:
            _, n, place = min(reach)
            people[n] = (place, after)
            stood[n] += [place] if place != stood[n][-1] else []
        else:
            place = places[0]
            stood.append([place])
            people.append((place, after))
    if len(stood) < 2:
        return tuple(places[0] for places in stood) or (test.where,)
    return tuple(", then ".join(places) for places in stood)


def _seen_coming_in(ground: SiteOnTest) -> dict[str, set[str]]:
    """Return the devices on the way in of each route, by the device at its door."""
    found: dict[str, set[str]] = {}
    for route in ground.resolved.site.routes.values():
        way = {ground.device(zone) for name in route.through for zone in ground.resolved.called(name)}
        for zone in ground.resolved.called(route.by):
            found.setdefault(ground.device(zone), set()).update(way)
    return found


def _at_once(test: FieldTest) -> Iterator[tuple[int, list[Act]]]:
    """Give each act with its second; areas that one person sets alike at once are one act."""

    def alike(done: tuple[int, tuple[int, Act]]) -> tuple[object, ...]:
        place, (after, act) = done
        return (after, act.user, act.mode) if isinstance(act, Set) else (after, place)

    for _, group in groupby(enumerate(test.acts), key=alike):
        acts = [done for _, done in group]
        yield acts[0][0], [act for _, act in acts]


def _places(ground: SiteOnTest, acts: Sequence[Act]) -> Sequence[str]:
    """Return where acts that are one can be done."""
    if isinstance(acts[0], Handle):
        return (ground.device(acts[0].zone),)
    keypads, numbers = ground.resolved.site.keypads, ground.resolved.areas
    wanted = {act.area for act in acts if isinstance(act, Set)}
    of = {name: {numbers[area] for area in keypad.area if area in numbers} for name, keypad in keypads.items()}
    of_all = [name for name, areas in of.items() if wanted <= areas]
    of_some = [name for name, areas in of.items() if wanted & areas]
    return of_all or of_some or list(keypads) or (PANEL,)


def in_words(places: tuple[str, ...]) -> str:
    """Return who stands where, as a sentence; nothing for one person."""
    if len(places) < 2:
        return ""
    at = Counter(places)
    where = [f"{_NUMBER.get(many, many)} at {place}" for place, many in at.items()]
    return f"It takes {_NUMBER.get(len(places), len(places))} people: {'; '.join(where)}."

"""Which promises are kept or broken alike, so that one verdict serves for all of them.

Rules of this file:
1. Two promises are alike only if they ask the same of zones of the same kinds: the sort of promise, and also every
   number of seconds, every mode and every pattern in its observer and its premise. These are read from the observer and
   its judges themselves, so that no promise can forget to list one.
2. A verdict that names zones is used only for its own promise (`Settled.names_zones`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator
from dataclasses import fields, is_dataclass
from enum import Enum
from types import FunctionType
from typing import Any

from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.proof.promises.promise import Promise
from zonewright.proof.prover.alike import kind_anywhere, sounds_apart
from zonewright.site.record import ZoneNumber


def asked_for(promise: Promise) -> frozenset[Hashable]:
    """Return all seconds, modes and patterns that a promise asks for."""
    return frozenset(_held(promise.observer, set())) | frozenset(_held(promise.premise, set())) | seconds_of(promise)


def seconds_of(promise: Promise) -> frozenset[Hashable]:
    """Return the numbers of its observer, each with its name."""
    return frozenset(_numbers(promise.observer))


def _numbers(observer: Any) -> Iterator[Hashable]:
    for each in fields(observer):
        value = getattr(observer, each.name)
        if isinstance(value, int):
            yield each.name, value


def _held(value: Any, seen: set[int]) -> Iterator[Hashable]:
    """Give every choice that something holds, alone or as a set: a record in its fields, a judge in its closure.

    Zones and setups are passed over: what they are is told by their kinds.
    """
    if id(value) in seen or isinstance(value, ZoneSetup | Setup):
        return
    seen.add(id(value))
    if isinstance(value, Enum) or (
        isinstance(value, frozenset) and value and all(isinstance(each, Enum) for each in value)
    ):
        yield value
    elif isinstance(value, FunctionType):
        for cell in value.__closure__ or ():
            yield from _held(cell.cell_contents, seen)
    elif isinstance(value, tuple | list):
        for each in value:
            yield from _held(each, seen)
    elif is_dataclass(value) and not isinstance(value, type):
        for one in fields(value):
            yield from _held(getattr(value, one.name), seen)


class Likeness:
    """What decides the verdicts on the promises of one area, or some: where it is equal, they are kept or not alike.

    Areas with zones of the same kinds act alike, if they share them alike with others, and what happens elsewhere is
    alike, too. Of areas only the order counts, of those that share zones here: the lowest is the home of a zone.
    """

    def __init__(self, setup: Setup, areas: frozenset[AreaNumber]) -> None:
        zones = [zone for zone in setup.zones if zone.areas & areas]
        self.alone = len(areas) > 1 or any(zone.crosses for zone in zones)  # like nothing but itself
        near = sorted(areas.union(*(zone.areas for zone in zones)))
        places = frozenset(map(near.index, areas)), len(near)
        self.kind: dict[ZoneNumber, Hashable] = {
            zone.number: (kind_anywhere(zone), frozenset(map(near.index, zone.areas))) for zone in zones
        }
        kinds = frozenset((each, min(count, 2)) for each, count in Counter(self.kind.values()).items())
        self.areas = areas
        acts = () if setup.acts is None else tuple(setup.acts.of(area).sort for area in near)
        self.panel: Hashable = places, kinds, sounds_apart(setup, areas), acts

    def of(self, promise: Promise) -> Hashable:
        """Return what decides the verdict on a promise, all seconds and modes that it asks for included."""
        return self._of(promise, promise.sort or promise.aspect, promise.zones), asked_for(promise)

    def as_general(self, promise: Promise) -> Hashable:
        """Return under what a promise is looked for by those that are cases of it: within as many seconds."""
        return "general", self._of(promise, promise.aspect, promise.zones), seconds_of(promise)

    def of_general(self, promise: Promise) -> Hashable:
        """Return that of the promise of which this one is a case; None if there is none."""
        if promise.follows is None:
            return None
        return "general", self._of(promise, promise.follows[0], promise.follows[1:]), seconds_of(promise)

    def _of(self, promise: Promise, aspect: str, zones: tuple[ZoneNumber, ...]) -> Hashable:
        if self.alone or promise.outright is not None:
            return self.areas, aspect, zones or promise.areas
        return self.panel, aspect, tuple(self.kind[number] for number in zones if number in self.kind)

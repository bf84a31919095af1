"""Which sets of doors to look at where it isn't known by which doors people came in, or which are open.

A dozen doors have thousands of sets. A promise about one door depends on the others only by what they do to the panel
together, and all doors of one kind together do what one of them does. So a few sets are enough, if for each set of the
doors and each door they include a set that agrees with it in this door and in the kinds of doors, and where order
matters, in whether another door comes before this one.

Rules of this file:
1. Doors are of one kind if they differ only in number, label and chime. Once an entry time runs, the entry time that
   each of them starts doesn't count either, unless the alarm is held for the rest of a time then. A door of which
   something is kept, and one that a promise is about together with another door, is its own kind.
2. In an alarm of several doors the lowest number comes first, and only it may confirm another zone's alarm. Where the
   confirm window is tracked, each door is its own kind.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, combinations
from typing import cast

from zonewright.behaviour.disarming import is_free_when_off
from zonewright.behaviour.setup import NO_CHIME, AreaNumber, Setup
from zonewright.panel.behaviours import Timing
from zonewright.proof.prover.alike import has_device, is_door, signature
from zonewright.proof.prover.table import TooLarge
from zonewright.site.record import ZoneNumber

Doors = frozenset[ZoneNumber]
Like = Callable[[ZoneNumber], Hashable]
MOST_SETS = 1_024


@dataclass(slots=True)
class DoorSets:
    """The sets of doors to look at in one reading, by area; each made when first asked for."""

    setup: Setup
    themselves: Doors  # doors that are their own kind
    in_order: bool  # whether it matters which of several gives its alarm first
    hidden: Doors = frozenset()  # doors of which only what they do to the panel matters
    _in: dict[AreaNumber, tuple[Doors, ...]] = field(default_factory=dict)
    _open: dict[AreaNumber, tuple[Doors, ...]] = field(default_factory=dict)

    def ways_in(self, area: AreaNumber) -> tuple[Doors, ...]:
        """Return the sets of doors by which an area's entry time may run, the empty one first; raises `TooLarge`."""
        if area not in self._in:
            self._in[area] = self._few(area, ways_in(self.setup, area), self._kind_inside)
        return self._in[area]

    def left(self, area: AreaNumber) -> tuple[Doors, ...]:
        """Return the sets of exit doors of an area that may have been left open; raises `TooLarge`.

        This only adds messages about each of them, so of the doors that aren't their own kind either all were, or none.
        """
        doors = frozenset(zone.number for zone in self.setup.exit_doors(area))
        apart = doors & self.themselves
        if 2 ** len(apart) > MOST_SETS:
            raise TooLarge(f"{len(apart)} ways out of area {area}, each for itself")
        return tuple({each: None for some in _some_of(sorted(apart)) for each in (some, some | (doors - apart))})

    def left_open(self, area: AreaNumber) -> tuple[Doors, ...]:
        """Return the sets of exit doors of an area that may be open when its exit time ends; raises `TooLarge`."""
        if area not in self._open:
            self._open[area] = self._few(area, [zone.number for zone in self.setup.exit_doors(area)], self._kind)
        return self._open[area]

    def shared(self, area: AreaNumber) -> Doors:
        """Return the doors of an area for which other areas no longer wait once it is off."""
        return frozenset(zone.number for zone in self.setup.zones_of(area) if is_free_when_off(zone))

    def _few(self, area: AreaNumber, doors: Sequence[ZoneNumber], like: Like) -> tuple[Doors, ...]:
        kinds = len({like(door) for door in doors})
        seen = frozenset(doors) - self.hidden
        found = few_of(doors, seen, like, in_order=self.in_order) if 2**kinds <= MOST_SETS else ()
        if not 0 < len(found) <= MOST_SETS:
            raise TooLarge(f"{len(doors)} doors of area {area}, {kinds} of them unlike")
        return tuple(found)

    def _kind(self, number: ZoneNumber) -> Hashable:
        zone = self.setup.zone(number)
        if zone is None or number in self.themselves:
            return number
        before = sum(each < number for each in self.themselves) if self.in_order else 0
        return before, signature(replace(zone, chime=NO_CHIME))

    def _kind_inside(self, number: ZoneNumber) -> Hashable:
        """Return the kind of a door by which somebody came in: its entry time runs already."""
        zone = self.setup.zone(number)
        if zone is None or number in self.themselves or self.setup.settings.entry_hold:
            return self._kind(number)
        before, _ = cast("tuple[int, Hashable]", self._kind(number))
        return before, signature(replace(zone, chime=NO_CHIME, entry_s=min(zone.entry_s, 1)))


def ways_in(setup: Setup, area: AreaNumber) -> list[ZoneNumber]:
    """Return the zones by which an entry time of an area may run."""
    zones = (zone for zone in setup.zones_of(area) if has_device(zone))
    return [each.number for each in zones if each.entry_s > 0 or each.behaviour.timing is Timing.DELAYED]


def together(setup: Setup, groups: Iterable[Sequence[ZoneNumber]]) -> Doors:
    """Return the doors that are in one of these groups with another door."""
    doors = {zone.number for zone in setup.zones if is_door(zone)}
    mine = (doors.intersection(group) for group in groups)
    return frozenset(number for some in mine if len(some) > 1 for number in some)


def few_of(doors: Sequence[ZoneNumber], seen: Doors, like: Like, *, in_order: bool) -> list[Doors]:
    """Return few sets that stand for all sets of these doors, the empty one first; `like` gives a door's kind.

    `seen`: the doors that judges look at. `in_order`: it also matters whether another door comes before one of these.
    """
    sets = _in_order if in_order else _in_any_order
    found = {some for focus in (None, *seen) for some in sets(sorted(doors), focus, like)}
    return sorted(found, key=lambda some: (len(some), sorted(some)))


def _in_any_order(doors: Sequence[ZoneNumber], focus: ZoneNumber | None, like: Like) -> Iterator[Doors]:
    """Give sets with one door at most of each kind: without the focus, then with it as the only one of its kind."""
    kinds = _kinds(doors, focus, like)
    yield from _some_of(each[0] for each in kinds.values())
    if focus is not None:
        others = (each[0] for kind, each in kinds.items() if kind != like(focus))
        yield from (some | {focus} for some in _some_of(others))


def _in_order(doors: Sequence[ZoneNumber], focus: ZoneNumber | None, like: Like) -> Iterator[Doors]:
    """Give such sets with each kind of door as the first in turn; the others are the last ones of their kinds."""
    kinds = _kinds(doors, focus, like)

    def with_first(first: ZoneNumber, but: Hashable = None) -> Iterator[Doors]:
        others = (each[-1] for kind, each in kinds.items() if kind not in (but, like(first)))
        return (some | {first} for some in _some_of(others))

    yield frozenset()
    for each in kinds.values():
        yield from with_first(each[0])
        if focus is not None and each[0] < focus:
            yield from (some | {focus} for some in with_first(each[0], like(focus)))
    if focus is not None:
        yield from with_first(focus)


def _kinds(doors: Sequence[ZoneNumber], focus: ZoneNumber | None, like: Like) -> dict[Hashable, list[ZoneNumber]]:
    """Return the doors except the focus, by kind."""
    kinds: dict[Hashable, list[ZoneNumber]] = {}
    for door in doors:
        if door != focus:
            kinds.setdefault(like(door), []).append(door)
    return kinds


def _some_of(doors: Iterable[ZoneNumber]) -> Iterator[Doors]:
    mine = tuple(doors)
    return map(frozenset, chain.from_iterable(combinations(mine, size) for size in range(len(mine) + 1)))

"""The outcomes of a slice's events, looked up for many events at once.

Rules of this file:
1. What the events of one zone, or of one area, do depends on few facts. It is looked up once for all states that answer
   these facts alike: each event takes the same way through its tree there, so no outcome is lost.
2. If no judge looks at a device, only the states matter to which its events lead. The first event that leads to a state
   stands for all others that do.
3. Nothing is worked out here: in the first state of its kind each event is looked up by itself (`reading.py`). If it
   turns out that an event depends on more facts, its group is looked up again.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import chain
from operator import attrgetter
from typing import NamedTuple

from zonewright.behaviour.events import Bypass, DeviceEvent, Expires, Timer, Unbypass
from zonewright.proof.prover.facts import Fact
from zonewright.proof.prover.outcome import LeafEffect
from zonewright.proof.prover.reading import ReadControl, Reading
from zonewright.proof.prover.table import Act
from zonewright.site.record import ZoneNumber


class Event(NamedTuple):
    """Something that may happen, and what matters of it."""

    place: int  # its place among all that may happen
    act: Act
    hidden: bool  # whether only the state matters to which it leads
    anyway: bool  # whether it matters even if nothing changes


class GroupedOutcome(NamedTuple):
    """One thing that an event does."""

    event: Event
    effect: LeafEffect
    stops: frozenset[Timer]  # timers that ran before
    still: bool  # whether nothing changes


@dataclass(slots=True, eq=False)
class _Group:
    """Events that depend on nearly the same facts."""

    events: list[Event]
    depends: list[set[Fact]] = field(default_factory=list)  # for each event, the facts it depends on, as far as known
    size: int = -1  # of all these sets, when `facts` was made
    facts: tuple[Fact, ...] = ()  # all of them
    found: dict[Hashable, tuple[GroupedOutcome, ...]] = field(default_factory=dict)  # by the answers to these facts


@dataclass(slots=True, eq=False)
class Grouped:
    """Some events of a slice, in groups."""

    reading: Reading
    groups: tuple[_Group, ...]
    _together: dict[tuple[int, ...], tuple[GroupedOutcome, ...]] = field(
        default_factory=dict
    )  # by the identity of the groups'

    def ways(self, state: ReadControl) -> tuple[GroupedOutcome, ...]:
        """Return all that the events do in a state, in their order; raises `TooLarge`."""
        found: list[tuple[GroupedOutcome, ...]] = []
        for group in self.groups:
            ways = group.found.get(self._kind(group, state))
            if ways is None:
                ways = tuple(self._looked_up(group, state))
                group.found[self._kind(group, state)] = ways
            found.append(ways)
        key = tuple(map(id, found))
        together = self._together.get(key)
        if together is None:
            in_order = sorted(chain.from_iterable(found), key=attrgetter("event.place"))
            together = self._together[key] = tuple(in_order)
        return together

    def _looked_up(self, group: _Group, state: ReadControl) -> Iterator[GroupedOutcome]:
        """Give what the events of a group do in a state; of hidden events, each change only once."""
        led: set[Hashable] = set()
        for event in group.events:
            if id(event.act) in self.reading.idle:
                continue
            for effect, stops, still in self.reading.cases(state, event.act):
                if event.hidden and not still and (effect.kept, stops) not in led:
                    led.add((effect.kept, stops))
                    yield GroupedOutcome(event, effect, stops, still)
                elif not event.hidden and (event.anyway or not still):
                    yield GroupedOutcome(event, effect, stops, still)

    def _kind(self, group: _Group, state: ReadControl) -> Hashable:
        """Return a state's answers to the facts a group depends on; forget what was found if there are more by now."""
        if sum(map(len, group.depends)) != group.size:
            group.size = sum(map(len, group.depends))
            group.facts = tuple(dict.fromkeys(chain.from_iterable(group.depends)))
            group.found.clear()
            self._together.clear()
        return tuple([state[fact] for fact in group.facts])


def grouped(reading: Reading, acts: Iterable[Act], matters_anyway: Callable[[Act], bool]) -> Grouped:
    """Return events in groups: those of zones with the same areas, of each area, and of the panel."""
    groups: dict[Hashable, _Group] = {}
    events = [Event(n, act, is_hidden(reading, act), matters_anyway(act)) for n, act in enumerate(acts)]
    for event in events:
        group = groups.setdefault((event.hidden, _where(reading, event.act)), _Group([]))
        group.events.append(event)
        group.depends.append(reading.depends_on(event.act))
    return Grouped(reading, tuple(groups.values()))


def is_hidden(reading: Reading, act: Act) -> bool:
    """Return whether an event is from a device that no judge looks at."""
    return isinstance(act, DeviceEvent) and act.zone in reading.hidden


def _where(reading: Reading, act: Act) -> Hashable:
    """Return the areas of the zone that an event is about, or its area."""
    number = act.zone if isinstance(act, DeviceEvent | Bypass | Unbypass) else None
    if isinstance(act, Expires):
        if not act.timer.kind.of_zone:
            return act.timer.number
        number = ZoneNumber(act.timer.number)
    zone = None if number is None else reading.table.setup.zone(number)
    return getattr(act, "area", None) if zone is None else zone.areas

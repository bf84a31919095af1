"""What judges see of a run of `step`: nothing about hidden zones, and only the facts that make a difference to them.

Rules of this file:
1. Outcomes that differ only in lines of the display and bypasses of other zones are one. Outcomes that differ in
   anything a judge may read are never taken as one.
2. Which facts judges see depends on the event, the zones that the outcome says something about, and what was asked: it
   is worked out once for all runs that have these in common.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import NamedTuple, cast

from zonewright.behaviour.events import Arm, Disarm, Timer, TimerKind
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.proof.prover.facts import OF_AREAS, Fact
from zonewright.proof.prover.memory import Memory
from zonewright.proof.prover.outcome import Called, Held, LeafReport, Outputs, ends_exit, shown_of, stands_open, zone_of
from zonewright.proof.prover.table import NOT_TOLD, Act, Leaf, StateChange
from zonewright.site.record import ZoneNumber

_NOTHING: frozenset[Hashable] = frozenset()
_NO_DOORS: frozenset[ZoneNumber] = frozenset()
_OF_DOORS = frozenset({"open", "bypassed", "shut out"})

Places = tuple[int, ...]  # in a trail


class _Rule(NamedTuple):
    """When judges see a fact: always, or if the outcome is about one of these zones, open doors or areas."""

    always: bool = False
    zones: frozenset[Hashable] = _NOTHING
    doors: frozenset[Hashable] = _NOTHING
    areas: frozenset[Hashable] = _NOTHING

    def is_so(self, said: _Said, doors: frozenset[ZoneNumber]) -> bool:
        """Return whether judges see the fact in an outcome that says this, with these doors open."""
        return (
            self.always
            or not self.zones.isdisjoint(said.zones)
            or not self.doors.isdisjoint(doors)
            or not self.areas.isdisjoint(said.apart)
        )


_NEVER = _Rule()


@dataclass(frozen=True, slots=True, eq=False)
class _Said:
    """What some runs of one event do, without the facts."""

    outputs: Outputs
    called: Called
    held: Held
    zones: frozenset[Hashable]  # zones that it says something about
    apart: frozenset[AreaNumber]  # other areas of these zones than those that the slice is about
    sets: bool  # whether it arms or disarms an area
    same: int  # a number that runs of one event share if they are one


@dataclass(slots=True)
class _OfAct:
    """What was worked out about one event."""

    rules: dict[Fact, _Rule] = field(default_factory=dict)
    said: dict[tuple[StateChange, int], _Said] = field(default_factory=dict)  # with the identity of the outputs
    same: dict[Hashable, int] = field(default_factory=dict)
    places: dict[Hashable, tuple[Places, int]] = field(default_factory=dict)


@dataclass(slots=True)
class Telling:
    """What judges see of each event in one reading."""

    setup: Setup
    memory: Memory
    hidden: frozenset[ZoneNumber]  # zones that no judge looks at
    _ways_out: frozenset[ZoneNumber] = field(init=False)
    _of: dict[Act, _OfAct] = field(default_factory=dict)
    _of_doors: dict[int, tuple[tuple[Fact, int], ...]] = field(default_factory=dict)  # by the identity of the trail

    def __post_init__(self) -> None:
        doors = frozenset(zone.number for zone in self.setup.zones if zone.behaviour.exit_door)
        self._ways_out = doors - self.hidden

    def report(self, act: Act, leaf: Leaf) -> LeafReport:
        """Return what judges see of a leaf."""
        said, (places, _) = self._told(act, leaf)
        return LeafReport(
            said.outputs, said.called, said.held, {leaf.trail[each]: leaf.answers[each] for each in places}
        )

    def key(self, act: Act, leaf: Leaf) -> Hashable:
        """Return a key that is equal for all leaves of an event of which judges see the same."""
        said, (places, facts) = self._told(act, leaf)
        answers = leaf.answers
        return said.same, facts, tuple([answers[place] for place in places])

    def _told(self, act: Act, leaf: Leaf) -> tuple[_Said, tuple[Places, int]]:
        """Return what a leaf does, and the places of the questions that judges see, with a number for these."""
        of = self._of.get(act)
        if of is None:
            of = self._of[act] = _OfAct()
        said = of.said.get((leaf.change, id(leaf.outputs)))
        if said is None:
            said = of.said[leaf.change, id(leaf.outputs)] = self._said(of, act, leaf)
        doors = self._left_open(leaf) if said.sets and self._ways_out else _NO_DOORS
        key = id(leaf.trail), said.zones, said.apart, doors
        found = of.places.get(key)
        if found is None:
            places = self._places_told(of, act, leaf.trail, said, doors)
            facts = tuple(leaf.trail[place] for place in places)
            found = of.places[key] = places, of.same.setdefault(facts, len(of.same))
        return said, found

    def _said(self, of: _OfAct, act: Act, leaf: Leaf) -> _Said:
        """Return what a leaf does, without hidden zones."""
        hidden, memory, change = self.hidden, self.memory, leaf.change
        outputs, called, held = leaf.outputs, change.called, change.held
        if hidden:
            outputs = tuple(output for output in outputs if getattr(output, "zone", None) not in hidden)
            called = frozenset(pair for pair in called if pair[1] not in hidden)
            held = frozenset(pair for pair in held if pair[0] not in hidden)
        told = memory.told(shown_of(act), outputs)
        zones: frozenset[Hashable] = frozenset(
            {
                self._speaking(act),
                *(getattr(output, "zone", None) for output in told),
                *(number for _, number in called),
                *(number for number, _ in held),
            }
        )
        nowhere: frozenset[AreaNumber] = frozenset()
        apart = nowhere.union(*(memory.areas_of.get(cast("ZoneNumber", number), nowhere) for number in zones))
        sets = not isinstance(act, Arm | Disarm) and any("phase" in state for state in change.areas.values())
        same = of.same.setdefault((told, called, held), len(of.same))
        return _Said(outputs, called, held, zones, apart - memory.areas, sets, same)

    def _places_told(
        self, of: _OfAct, act: Act, trail: tuple[Fact, ...], said: _Said, doors: frozenset[ZoneNumber]
    ) -> Places:
        """Return the places of the questions whose answers judges see."""
        found: list[int] = []
        for place, fact in enumerate(trail):
            if fact[0] in NOT_TOLD:
                continue
            rule = of.rules.get(fact)
            if rule is None:
                rule = of.rules[fact] = self._rule(act, fact)
            if rule is not _NEVER and rule.is_so(said, doors):
                found.append(place)
        return tuple(found)

    def _speaking(self, act: Act) -> Hashable:
        """Return the zone whose device speaks, unless it is hidden."""
        zone = zone_of(act)
        return None if zone in self.hidden else zone

    def _rule(self, act: Act, fact: Fact) -> _Rule:
        """Return when judges see a fact about what an act does."""
        what, about = fact
        speaking = self._speaking(act)
        mine = frozenset({about})
        always = _Rule(always=True)
        if what == "siren without":
            return always if speaking is not None and not self.memory.heard else _NEVER
        if what == "elsewhere":
            return always if speaking is not None else _NEVER
        if what == "all in":
            return _Rule(areas=frozenset(cast("tuple[tuple[AreaNumber, ...], int]", about)[0]))
        if what in OF_AREAS:
            return _Rule(areas=mine) if what in ("mode", "phase") else _NEVER
        if isinstance(about, Timer):
            of_zone = _Rule(zones=frozenset({about.number})) if about.kind.of_zone else _NEVER
            return always if self._is_cancel_told(about) else of_zone
        if what == "shut out":
            everywhere = not ends_exit(act) and about not in self.hidden
            return always if everywhere else _Rule(zones=mine, doors=mine)
        if what == "barred" or are_paired(self.setup, speaking, about):
            return always
        return _Rule(zones=mine, doors=mine if what in ("open", "bypassed") else _NOTHING)

    def _is_cancel_told(self, timer: Timer) -> bool:
        """Return whether a timer is a cancel window of an area that a judge may look at."""
        if timer.kind is not TimerKind.CANCEL:
            return False
        zones = (zone for zone in self.setup.zones if zone.number not in self.hidden)
        return not self.hidden or any(timer.number in zone.areas for zone in zones)

    def _left_open(self, leaf: Leaf) -> frozenset[ZoneNumber]:
        """Return the exit doors that a leaf takes as open, not bypassed and not shut out."""
        asked = self._of_doors.get(id(leaf.trail))
        if asked is None:
            pairs = ((fact, place) for place, fact in enumerate(leaf.trail))
            mine = tuple((fact, n) for fact, n in pairs if fact[0] in _OF_DOORS and fact[1] in self._ways_out)
            asked = self._of_doors[id(leaf.trail)] = mine
        facts = {fact: leaf.answers[place] for fact, place in asked}
        return frozenset(number for number in self._ways_out if stands_open(facts, number))


def are_paired(setup: Setup, speaking: Hashable, about: Hashable) -> bool:
    """Return whether the zone that speaks is paired with this one, which may be unable to confirm it."""
    zone = setup.zone(cast("ZoneNumber", speaking)) if speaking is not None else None
    return zone is not None and about in zone.crosses and setup.settings.cross_window > 0

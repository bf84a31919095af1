"""What a slice remembers of a panel, and what it forgets.

Rules of this file:
1. Of other areas, zones, bypasses and troubles only what is in `kept` is remembered.
2. A slice that listens to the sounder forgets messages; one that reads messages forgets the sounder.
3. A call for the sounder that can never be heard, since it ends with the call that drowns it, is forgotten.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, cast

from zonewright.behaviour.events import Message, Output, PanelMessage, Shown, Siren, Timer, TimerKind
from zonewright.behaviour.setup import AreaNumber
from zonewright.behaviour.state import NOBODY, PRECEDENCE, AreaState, Phase
from zonewright.panel.behaviours import Pattern
from zonewright.proof.prover.facts import ANOTHER, DETAILS, DOORS_OF, KEPT, OF_ALARMS, OF_AREAS, SPINE, Fact
from zonewright.proof.prover.table import StateChange
from zonewright.site.record import ZoneNumber

Calls = frozenset[tuple[Pattern, ZoneNumber]]


_OF_ONE_DOOR = {part: what for what, part in DOORS_OF.items()}


class NotKept(Exception):
    """A judge asks for a part of an area's state that a slice doesn't keep: `fact`."""

    def __init__(self, fact: Fact) -> None:
        super().__init__(fact)
        self.fact = fact


class _Forgotten:
    """The placeholder for a part that isn't kept: reading it raises `NotKept`, so nobody takes it for an answer."""

    __slots__ = ("area", "part")

    def __init__(self, part: str, area: AreaNumber) -> None:
        self.part, self.area = part, area

    def _asked(self, *_: object) -> Any:
        raise NotKept((self.part, self.area))

    def __contains__(self, number: object) -> bool:
        """Raise `NotKept`, which asks for this one door only."""
        what = _OF_ONE_DOOR.get(self.part)
        raise NotKept((self.part, self.area) if what is None else (what, (self.area, number)))

    __bool__ = __len__ = __iter__ = __eq__ = __or__ = __sub__ = __and__ = __rand__ = __getattr__ = _asked
    __hash__ = object.__hash__


class Doors(frozenset[ZoneNumber]):
    """A set of doors of which only some are kept; asking for another one raises `NotKept`."""

    what: str  # what is asked of each
    area: AreaNumber
    known: frozenset[ZoneNumber]

    def __contains__(self, number: object) -> bool:
        """Return whether it is one of them."""
        if number not in self.known:
            raise NotKept((self.what, (self.area, number)))
        return super().__contains__(number)


@dataclass(frozen=True, slots=True, eq=False)
class Kept:
    """A change as far as it is remembered; a memory has one object for equal changes."""

    parts: dict[str, Any]
    waits: tuple[tuple[ZoneNumber, str], ...]  # messages that begin to wait, besides those that wait already
    lost: dict[str, frozenset[Any]]
    gained: dict[str, frozenset[Any]]
    areas: dict[AreaNumber, dict[str, Any]]
    starts: tuple[tuple[Timer, int], ...]
    stops: tuple[Timer, ...]  # if they run
    called: Calls  # by zones that stand for others
    ended: tuple[AreaNumber, ...] | None
    still: bool  # whether nothing changes if none of these timers runs
    # the areas after the change, by the identity of the areas before, which are kept here, too
    areas_after: dict[int, tuple[tuple[AreaState, ...], tuple[AreaState, ...]]] = field(default_factory=dict)


@cache
def _blank(area: AreaNumber) -> AreaState:
    """Return an area of which no detail is kept."""
    unknown: dict[str, Any] = {part: _Forgotten(part, area) for part in DETAILS}
    return replace(AreaState(area), **unknown)


@dataclass(slots=True)
class Memory:
    """What one reading of a table remembers."""

    areas: frozenset[AreaNumber]  # the areas that the slice is about
    kept: frozenset[Fact]
    heard: bool  # whether the slice listens to the sounder
    nobody: dict[ZoneNumber, ZoneNumber]  # the zone without a device that stands for each; empty for the whole panel
    areas_of: dict[ZoneNumber, frozenset[AreaNumber]]
    asks_for_keypad: bool  # whether the panel ever asks if it was armed at a keypad
    asks_who_armed: bool  # whether anything asks who armed an area after its exit time; at its end that is always asked
    # by the question about a door and the area: the doors for which the answer is kept
    doors: dict[tuple[str, AreaNumber], frozenset[ZoneNumber]] = field(init=False)
    _calls_after: dict[Hashable, Calls] = field(default_factory=dict)
    _kept: dict[StateChange, Kept] = field(default_factory=dict)
    _once: dict[Hashable, Kept] = field(default_factory=dict)

    def __post_init__(self) -> None:
        told: dict[tuple[str, AreaNumber], set[ZoneNumber]] = {}
        for what, about in self.kept:
            if what in DOORS_OF:
                area, door = cast("tuple[AreaNumber, ZoneNumber]", about)
                told.setdefault((what, area), set()).add(door)
        self.doors = {key: frozenset(doors) for key, doors in told.items()}

    def tracks(self, timer: Timer) -> bool:
        """Return whether it is remembered that a timer runs."""
        if timer.kind in (TimerKind.SIREN, TimerKind.ABORT):
            here = self.heard if timer.kind is TimerKind.SIREN else not self.heard and timer.number in self.areas
        else:
            here = timer.kind in SPINE and timer.number in self.areas
        return here or ("runs", timer) in self.kept

    def plain(self, areas: tuple[AreaState, ...]) -> tuple[AreaState, ...]:
        """Return areas without what isn't kept, such as which zones gave alarms."""
        told = {area for what, area in self.kept if what in OF_AREAS} | {area for _, area in self.doors}
        return tuple(
            replace(_blank(area.number), **self.of_area(area.number, {n: getattr(area, n) for n in OF_AREAS}))
            for area in areas
            if area.number in self.areas or area.number in told
        )

    def of_area(self, number: AreaNumber, state: dict[str, Any]) -> dict[str, Any]:
        """Return the parts of one area's state without those that aren't kept."""
        kept = {
            name: value and self.asks_for_keypad if name == "by_keypad" else value
            for name, value in state.items()
            if name not in OF_ALARMS and self.keeps((name, number))
        }
        leaves = state.get("phase", Phase.EXIT) is Phase.EXIT
        if not leaves and not self.asks_who_armed and self.keeps(("user", number)):
            kept["user"] = NOBODY
        for what, part in DOORS_OF.items():
            if part in state and part not in kept and (what, number) in self.doors:
                kept[part] = self.told_of(what, number, state[part])
        return kept

    def told_of(self, what: str, area: AreaNumber, some: frozenset[ZoneNumber]) -> Doors:
        """Return which of the kept doors are among `some`, and whether any other door is."""
        known = self.doors[what, area]
        doors = Doors({number if number in known else ANOTHER for number in frozenset.__iter__(some)})
        doors.what, doors.area, doors.known = what, area, known | {ANOTHER}
        return doors

    def keeps(self, fact: Fact) -> bool:
        """Return whether a fact about an area's state is remembered."""
        return (fact[0] in KEPT and fact[1] in self.areas) or fact in self.kept

    def forget(self, name: str, value: Any) -> Any:
        """Return a part of the control without what isn't kept; of waiting messages neither zone nor name is."""
        kept = self.kept
        match name:
            case "open" | "bypassed":
                return frozenset(number for number in value if (name, number) in kept)
            case "alarms":
                return frozenset(pair for pair in value if ("shut out", pair[0]) in kept)
            case "troubles":
                return frozenset(pair for pair in value if (f"trouble {pair[1].value}", pair[0]) in kept)
            case "standing":
                return frozenset(pair for pair in value if (f"stands {pair[1]}", pair[0]) in kept)
            case "causes":
                return self._heard(value)
            case "waiting":
                return () if self.heard else tuple(sorted({(self.anybody(number), "alarm") for number, _ in value}))
            case _:
                return value

    def of(self, change: StateChange) -> Kept:
        """Return what is remembered of a change."""
        found = self._kept.get(change)
        if found is None:
            found = self._kept[change] = self._made(change)
        return found

    def _made(self, change: StateChange) -> Kept:
        parts = {name: self.forget(name, value) for name, value in change.parts.items()}
        waits = () if "waiting" in parts else self.forget("waiting", change.held)
        lost = {name: kept for name, value in change.lost.items() if (kept := self.forget(name, value))}
        gained = {name: kept for name, value in change.gained.items() if (kept := self.forget(name, value))}
        areas = {number: kept for number, state in change.areas.items() if (kept := self.of_area(number, state))}
        starts = tuple(pair for pair in change.starts if self.tracks(pair[0]))
        stops = tuple(sorted(filter(self.tracks, change.stops), key=str))
        heard = change.called if self.heard else ()
        called = frozenset((pattern, self.anybody(number)) for pattern, number in heard)
        ended = change.ended if self.heard else ()
        still = not (parts or waits or lost or gained or areas or starts or called or ended != ())
        key = (
            tuple(parts.items()), waits, tuple(lost.items()), tuple(gained.items()),
            tuple((number, *sorted(state.items())) for number, state in areas.items()), starts, stops, called, ended,
        )  # fmt: skip
        made = Kept(parts, waits, lost, gained, areas, starts, stops, called, ended, still)
        return self._once.setdefault(key, made)

    def calls(self, before: Calls, kept: Kept) -> Calls:
        """Return what calls for the sounder after a change."""
        ended, called = kept.ended, kept.called
        if not self.heard:
            return before
        if not (ended or called) and ended is not None:
            return before
        found = self._calls_after.get((before, ended, called))
        if found is None:
            left = () if ended is None else (pair for pair in before if self.areas_of[pair[1]].isdisjoint(ended))
            found = self._calls_after[before, ended, called] = self._heard(frozenset({*left, *called}))
        return found

    def _heard(self, calls: Calls) -> Calls:
        """Forget calls that are never heard: whatever silences a call of higher precedence silences them, too."""
        if not self.nobody:
            return calls
        if not self.heard:
            return frozenset()
        causes = {(pattern, self.anybody(number)) for pattern, number in calls}
        areas = self.areas_of
        return frozenset(
            (pattern, number)
            for pattern, number in causes
            if not any(
                areas[other] <= areas[number]
                and (PRECEDENCE[first], len(areas[other])) < (PRECEDENCE[pattern], len(areas[number]))
                for first, other in causes
            )
        )

    def told(self, speaking: Hashable, outputs: tuple[Output, ...]) -> tuple[Output, ...]:
        """Return the outputs that matter outside; lines of the display and bypasses only of the zone that acts."""
        return tuple(output for output in outputs if self._tells(speaking, output))

    def _tells(self, speaking: Hashable, output: Output) -> bool:
        if isinstance(output, Siren):
            return self.heard
        if isinstance(output, Shown) or (isinstance(output, Message) and output.name == PanelMessage.BYPASS.value):
            return output.zone == speaking
        return not (self.heard and isinstance(output, Message) and output.zone != speaking)

    def anybody(self, number: ZoneNumber) -> ZoneNumber:
        """Return the zone without a device that stands for all zones with the same areas."""
        return self.nobody.get(number, number)

"""A draft that knows only part of the panel: it asks for the rest, one question at a time, and keeps the list.

Rules of this file:
1. A question is about one part of the control (an area, what waits, what calls for the sounder) or one fact (is this
   zone open, does this timer run). What was asked is noted in order: two panels that answer alike act alike.
2. A fact is asked for once. From then on the draft holds it like any other, so that one step never contradicts itself.
   To change something without having looked at it is no question.
3. Who answers, and whether "unknown" makes two answers of it, is the caller's business (`table.py`, `slices.py`).
4. Chimes are on, the power is on, no installer works, the air isn't jammed: these parts are read from the control,
   unasked.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import fields, replace
from typing import Any, cast

from zonewright.behaviour.events import Timer, TimerKind, Trouble
from zonewright.behaviour.faults import Fault, Right
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import PRECEDENCE, AreaState, Control, Draft, first_pattern, people_of
from zonewright.panel.behaviours import Pattern
from zonewright.site.record import ZoneNumber

SPINE = frozenset({TimerKind.EXIT, TimerKind.ENTRY, TimerKind.ABORT, TimerKind.SIREN})

Fact = tuple[str, Hashable]  # what is asked ("open", "shut out" ...) and of which zone or timer

PARTS = tuple(part.name for part in fields(Control) if part.name != "running")
ASKED_WHOLE = frozenset({"alarms", "waiting"})  # parts of the control that are one question each
SETS_OF_FACTS = ("open", "bypassed", "troubles", "standing")
OF_ALARMS = frozenset({"memory", "begun_by"})  # which zones gave alarms in an area: never kept
OF_AREAS = frozenset(part.name for part in fields(AreaState) if part.name != "number")


def truth(control: Control, setup: Setup, fact: Fact) -> Hashable:
    """Return what a control answers to a question."""
    what, about = fact
    if what in OF_AREAS:
        state: Hashable = getattr(control.area(cast("AreaNumber", about)), what)
        return state
    if what == "part":
        part: Hashable = getattr(control, str(about))
        return part
    if what == "siren without":
        ended = frozenset(cast("tuple[AreaNumber, ...]", about))
        return first_pattern(each for each, zone in control.causes if not ended & _areas(setup, zone))
    if what == "runs":
        return about in control.running
    if what == "open":
        return about in control.open
    if what == "bypassed":
        return about in control.bypassed
    if what == "shut out":
        return (about, setup.settings.swinger_limit) in control.alarms
    if what == "barred":
        area, over = cast("tuple[AreaNumber, Right | None]", about)
        return Draft(setup, control).bars_setting(area, over)
    if what.startswith("trouble "):
        return any(zone == about and trouble.value == what[8:] for zone, trouble in control.troubles)
    if what.startswith("stands "):
        return (about, what[7:]) in control.standing
    return False  # nothing is elsewhere when all of the panel is here


def _areas(setup: Setup, number: ZoneNumber) -> frozenset[AreaNumber]:
    zone = setup.zone(number)
    return zone.areas if zone is not None else frozenset({AreaNumber(-number)})  # its people call


class View(Draft):
    """The panel in the middle of a step, partly unknown. `whole`: all of it is known, and only noted."""

    __slots__ = ("asked", "assumed", "calls", "elsewhere", "ended", "expired", "known", "trail", "whole")

    def __init__(
        self,
        setup: Setup,
        control: Control,
        known: Callable[[Fact], Hashable],
        elsewhere: tuple[Pattern, ...] = (),
        *,
        whole: bool = False,
    ) -> None:
        self.setup, self.control, self.known, self.whole = setup, control, known, whole
        self.elsewhere = elsewhere  # what areas apart may call for, the first of the precedence first
        self.asked: dict[Fact, bool] = {}
        self.trail: list[Fact] = []  # every question, in order
        self.assumed: dict[str, frozenset[Any]] = {}  # of the sets of facts, what was answered with yes
        self.expired: Timer | None = None
        self.areas: AreasSeen = AreasSeen(known, self.trail, setup.areas)  # also of the sounder
        for name in SETS_OF_FACTS:
            held: frozenset[Any] = getattr(control, name) if whole else frozenset()
            setattr(self, name, held)
            self.assumed[name] = held
        self.chime_on, self.site, self.site_told = control.chime_on, control.site, control.site_told
        self.installer, self.jammed = control.installer, control.jammed
        self.starts, self.stops, self.outputs = {}, set(), []
        self.calls: list[tuple[Pattern, ZoneNumber]] = []  # for the sounder, since
        self.ended: tuple[AreaNumber, ...] | None = ()  # areas whose earlier calls are over; None: all are

    def __getattr__(self, name: str) -> Any:
        """Load a part of the control when it is first looked at (Python asks here for what isn't set)."""
        if name not in ASKED_WHOLE:
            raise AttributeError(name)
        self.trail.append(("part", name))
        value: Any = getattr(self.control, name)
        setattr(self, name, value)
        return value

    def change(self, area: AreaNumber, **changes: Any) -> None:
        """Set parts of an area's state without looking at the others."""
        state: AreaState | _Area = self.areas[area]
        made = replace(state, **changes) if isinstance(state, AreaState) else state.changed(changes)
        self.areas[area] = cast("AreaState", made)

    def loaded(self, name: str) -> Any:
        """Return a part that is one question as it is now; None if nobody looked at it or set it."""
        try:
            return getattr(Draft, name).__get__(self, View)
        except AttributeError:
            return None

    # Questions about a zone

    def is_open(self, zone: ZoneSetup) -> bool:
        """Return whether it is open now."""
        number = zone.number
        if self._learn(("open", number)):
            self.open |= {number}
            self.assumed["open"] |= {number}
        return number in self.open

    def is_bypassed(self, zone: ZoneSetup) -> bool:
        """Return whether it is taken out of use."""
        number = zone.number
        if self._learn(("bypassed", number)):
            self.bypassed |= {number}
            self.assumed["bypassed"] |= {number}
        return number in self.bypassed

    def is_shut_out(self, zone: ZoneSetup) -> bool:
        """Return whether it used up its alarms; a zone that isn't counted never does."""
        limit, number = self.setup.settings.swinger_limit, zone.number
        if limit == 0 or not zone.behaviour.swinger:
            return False
        if self._learn(("shut out", number)) and (number, limit) not in self.alarms:
            others = frozenset(pair for pair in self.alarms if pair[0] != number)
            self.alarms = others | {(zone.number, limit)}
        return (number, limit) in self.alarms

    def has(self, zone: ZoneSetup, trouble: Trouble) -> bool:
        """Return whether a trouble of its device stands."""
        pair = (zone.number, trouble)
        if self._learn((f"trouble {trouble.value}", zone.number)):
            self.troubles |= {pair}
            self.assumed["troubles"] |= {pair}
        return pair in self.troubles

    def stands(self, zone: ZoneSetup, name: str) -> bool:
        """Return whether a message about it, sent or told, is not over."""
        pair = (zone.number, name)
        if self._learn((f"stands {name}", zone.number)):
            self.standing |= {pair}
            self.assumed["standing"] |= {pair}
        return pair in self.standing

    def siren(self) -> Pattern:
        """Return the pattern that the sounder plays now, for a zone here or elsewhere."""
        here = self._called_here()
        for pattern in self.elsewhere:
            if PRECEDENCE[pattern] < PRECEDENCE[here]:
                fact: Fact = ("elsewhere", pattern)
                if self.asked.get(fact) or self._learn(fact):
                    return pattern
        return here

    def _called_here(self) -> Pattern:
        before = Pattern.NONE if self.ended is None else self.areas.ask(("siren without", self.ended))
        return first_pattern((before, *(pattern for pattern, _ in self.calls)))

    def calls_for_sounder(self) -> bool:
        """Return whether a zone here calls for the sounder."""
        return self._called_here() is not Pattern.NONE

    def call_sounder(self, pattern: Pattern, number: ZoneNumber) -> None:
        """A zone calls for the sounder, or people do; whether they did before makes no difference."""
        self.calls.append((pattern, number))

    def end_calls(self, area: AreaNumber | None = None) -> None:
        """Nothing calls for the sounder any longer; or no zone of one area, nor its people."""
        here = None if area is None else {people_of(area), *(zone.number for zone in self.setup.zones_of(area))}
        self.calls = [pair for pair in self.calls if here is not None and pair[1] not in here]
        self.ended = None if area is None or self.ended is None else tuple(sorted({*self.ended, area}))

    # Faults at setting

    def bars_setting(self, area: AreaNumber, over: Right | None) -> bool:
        """Return whether a fault stands that stops setting: one question, whichever it is and whosever."""
        if not self.setup.settings.at_setting:
            return False
        fact: Fact = ("barred", (area, over))
        self._learn(fact)
        return self.asked[fact]

    def faults(self, area: AreaNumber) -> list[tuple[Fault, Right, ZoneSetup | None]]:
        """Return the faults that stand; none are named where not all of the panel is known."""
        return super().faults(area) if self.whole else []

    # Timers

    def runs(self, kind: TimerKind, number: int) -> bool:
        """Return whether a timer runs."""
        timer = Timer(kind, number)
        if timer in self.starts:
            return True
        if timer in self.stops or timer == self.expired:
            return False
        fact: Fact = ("runs", timer)
        self._learn(fact)
        return self.asked[fact]

    def start(self, kind: TimerKind, number: int, seconds: int) -> None:
        """Start a timer, or start it anew."""
        if seconds > 0:
            timer = Timer(kind, number)
            self.starts[timer] = seconds
            self.stops.discard(timer)

    def stop(self, kind: TimerKind, number: int) -> None:
        """Stop a timer if it runs; whether it does makes no difference afterwards, so it isn't asked."""
        timer = Timer(kind, number)
        self.starts.pop(timer, None)
        if timer != self.expired:
            self.stops.add(timer)

    def expire(self, timer: Timer) -> bool:
        """Take a timer out that has run its time."""
        fact: Fact = ("runs", timer)
        self._learn(fact)
        if self.asked[fact]:
            self.expired = timer
        return self.asked[fact]

    def _learn(self, fact: Fact) -> bool:
        """Ask for a fact unless that was done; True if it was asked just now and is so."""
        if fact in self.asked:
            return False
        answer = self.asked[fact] = bool(self.known(fact))
        self.trail.append(fact)
        return answer


class AreasSeen(dict[AreaNumber, AreaState]):
    """The areas' states, each looked at when it is first needed."""

    __slots__ = ("every", "known", "read", "trail")

    def __init__(self, known: Callable[[Fact], Hashable], trail: list[Fact], every: tuple[AreaNumber, ...]) -> None:
        self.known, self.trail, self.every = known, trail, every
        self.read: dict[Fact, Any] = {}  # what was answered

    def __missing__(self, number: AreaNumber) -> AreaState:
        state = self[number] = cast("AreaState", _Area(self, number, {}))
        return state

    def __contains__(self, number: object) -> bool:
        return number in self.every

    def values(self) -> Any:
        """Return every area's state."""
        return [self[number] for number in self.every]

    def ask(self, fact: Fact) -> Any:
        """Return one part of an area's state as it was before."""
        if fact not in self.read:
            self.read[fact] = self.known(fact)
            self.trail.append(fact)
        return self.read[fact]

    def written(self) -> dict[AreaNumber, dict[str, Any]]:
        """Return what became of each area, by parts; what was set unasked is so whatever it was before."""
        found = {}
        for number, state in self.items():
            known: AreaState | _Area = state
            parts = known.parts if isinstance(known, _Area) else {name: getattr(known, name) for name in OF_AREAS}
            new = {name: part for name, part in parts.items() if self.read.get((name, number), _UNREAD) != part}
            if new:
                found[number] = new
        return found


_UNREAD = object()


class _Area:
    """An area's state, of which each part is one question. It never changes: `changed` makes another."""

    __slots__ = ("number", "parts", "seen")

    def __init__(self, seen: AreasSeen, number: AreaNumber, parts: dict[str, Any]) -> None:
        self.seen, self.number, self.parts = seen, number, parts

    def __getattr__(self, name: str) -> Any:
        """Return a part: as it was set, else as it was before."""
        if name in self.parts:
            return self.parts[name]
        return self.seen.ask((name, self.number))

    def changed(self, parts: dict[str, Any]) -> _Area:
        """Return the state with other parts."""
        return _Area(self.seen, self.number, {**self.parts, **parts})

"""A draft that knows only part of the panel: it asks for the rest, and notes what it read.

Rules of this file:
1. What isn't kept is unknown. The first time `step` asks for it, the answer given for this run is taken, false if none
   is given; from then on the draft holds it like any other fact, so that one step never contradicts itself.
2. What is read of the control is noted, item by item: two controls that agree on these items act alike.
3. Of a zone whose device isn't speaking, tamper and a bypass are taken as absent, of any zone a low battery and that it
   was missed: they only add lines to the display and messages about troubles, and a bypassed zone does as a shut one
   does, messages about the bypass aside; what was told counts as over, which leaves out restores. A slice tells nothing
   of all this. (Tests hold `step` to it.)
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field, fields
from typing import Any

from zonewright.behaviour.events import Timer, TimerKind, Trouble
from zonewright.behaviour.setup import ZoneSetup
from zonewright.behaviour.state import PRECEDENCE, Control, Draft, first_pattern
from zonewright.panel.behaviours import Pattern

SPINE = frozenset({TimerKind.EXIT, TimerKind.ENTRY, TimerKind.ABORT, TimerKind.SIREN})

Fact = tuple[str, Hashable]  # what is asked ("open", "shut out" ...) and of which zone or timer
Item = str | Timer  # a part of the control: a field, or whether one timer runs

PARTS = tuple(part.name for part in fields(Control) if part.name != "running")


@dataclass(slots=True)
class View(Draft):
    """The panel in the middle of a step, partly unknown. `kept` None: everything is known, and only noted."""

    kept: frozenset[Fact] | None
    given: tuple[bool, ...]  # answers to the open questions, in the order asked
    speaking: Hashable = None  # the zone whose device speaks
    elsewhere: tuple[Pattern, ...] = ()  # what areas apart may call for, the first of the precedence first
    asked: dict[Fact, bool] = field(default_factory=dict)
    open_questions: list[bool] = field(default_factory=list)  # the answers taken
    read: dict[Item, None] = field(default_factory=dict)  # in the order of the first reading
    expired: Timer | None = None

    def __post_init__(self) -> None:
        self.starts = {}
        self.stops = set()
        self.outputs = []

    def __getattr__(self, name: str) -> Any:
        """Load a part of the control when it is first looked at (Python asks here for what isn't set)."""
        if name not in PARTS:
            raise AttributeError(name)
        self.read[name] = None
        value: Any = getattr(self.control, name)
        if name == "areas":
            value = {area.number: area for area in value}
        setattr(self, name, value)
        return value

    def changed(self) -> dict[str, Any]:
        """Return every part that is no longer as it was."""
        found = {}
        for name in PARTS:
            try:
                value = getattr(Draft, name).__get__(self, View)
            except AttributeError:
                continue
            value = tuple(value.values()) if name == "areas" else value
            before = getattr(self.control, name)
            if value is not before and value != before:
                found[name] = value
        return found

    # Questions about a zone

    def is_open(self, zone: ZoneSetup) -> bool:
        """Return whether it is open now."""
        if self._unknown(("open", zone.number)) and self._answer(("open", zone.number)):
            self.open |= {zone.number}
        return self._noted(("open", zone.number), zone.number in self.open)

    def is_bypassed(self, zone: ZoneSetup) -> bool:
        """Return whether it is taken out of use."""
        fact = ("bypassed", zone.number)
        if self.speaking == zone.number and self._unknown(fact) and self._answer(fact):
            self.bypassed |= {zone.number}
        return self._noted(fact, zone.number in self.bypassed)

    def is_shut_out(self, zone: ZoneSetup) -> bool:
        """Return whether it used up its alarms; a zone that isn't counted never does."""
        limit, fact = self.setup.settings.swinger_limit, ("shut out", zone.number)
        if limit == 0 or not zone.behaviour.swinger:
            return False
        if self._unknown(fact) and self._answer(fact):
            others = frozenset((number, count) for number, count in self.alarms if number != zone.number)
            self.alarms = others | {(zone.number, limit)}
        return self._noted(fact, (zone.number, limit) in self.alarms)

    def has(self, zone: ZoneSetup, trouble: Trouble) -> bool:
        """Return whether a trouble of its device stands."""
        fact = (f"trouble {trouble.value}", zone.number)
        asks = trouble is Trouble.TAMPER and self.speaking == zone.number
        if asks and self._unknown(fact) and self._answer(fact):
            self.troubles |= {(zone.number, trouble)}
        return self._noted(fact, (zone.number, trouble) in self.troubles)

    def stands(self, zone: ZoneSetup, name: str) -> bool:
        """Return whether a message about it, sent or told, is not over."""
        return self._noted((f"stands {name}", zone.number), (zone.number, name) in self.standing)

    def siren(self) -> Pattern:
        """Return the pattern that the sounder plays now, for a zone here or elsewhere."""
        here = first_pattern(pattern for pattern, _ in self.causes)
        for pattern in self.elsewhere:
            if PRECEDENCE[pattern] < PRECEDENCE[here]:
                fact: Fact = ("elsewhere", pattern)
                if self.asked.get(fact) or (self._unknown(fact) and self._answer(fact)):
                    return pattern
        return here

    def is_deaf(self) -> bool:
        """Return whether nothing that opens counts now."""
        return self.installer or self.runs(TimerKind.WARM_UP, 0)

    # Timers

    def runs(self, kind: TimerKind, number: int) -> bool:
        """Return whether a timer runs."""
        timer = Timer(kind, number)
        if timer in self.starts:
            return True
        if timer in self.stops or timer == self.expired:
            return False
        fact: Fact = ("runs", timer)
        if kind in SPINE or not self._unknown(fact):
            if fact in self.asked:
                return self.asked[fact]
            self.read[timer] = None
            return self._noted(fact, timer in self.control.running)
        return self._answer(fact)

    def start(self, kind: TimerKind, number: int, seconds: int) -> None:
        """Start a timer, or start it anew."""
        if seconds > 0:
            timer = Timer(kind, number)
            self.starts[timer] = seconds
            self.stops.discard(timer)

    def stop(self, kind: TimerKind, number: int) -> None:
        """Stop a timer if it runs; to stop one that is unknown is no question: it is unknown afterwards, too."""
        timer = Timer(kind, number)
        self.starts.pop(timer, None)
        unknown = kind not in SPINE and self.kept is not None and ("runs", timer) not in self.kept
        if timer != self.expired and (unknown or self.runs(kind, number)):
            self.stops.add(timer)

    def expire(self, timer: Timer) -> bool:
        """Take a timer out that has run its time; of one that isn't kept, any moment may be its end."""
        fact: Fact = ("runs", timer)
        if timer.kind in SPINE or not self._unknown(fact):
            self.read[timer] = None
            if not self._noted(fact, timer in self.control.running):
                return False
        self.expired = timer
        return True

    def _unknown(self, fact: Fact) -> bool:
        return self.kept is not None and fact not in self.kept and fact not in self.asked

    def _noted(self, fact: Fact, value: bool) -> bool:
        self.asked.setdefault(fact, value)
        return value

    def _answer(self, fact: Fact) -> bool:
        """Return the answer given for this run to a question that is open."""
        place = len(self.open_questions)
        answer = self.given[place] if place < len(self.given) else False
        self.open_questions.append(answer)
        self.asked[fact] = answer
        return answer

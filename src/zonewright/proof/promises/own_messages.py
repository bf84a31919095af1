"""Observers of one zone's messages: they know which of them wait, where a slice knows only that somebody's wait.

Rules of this file:
1. Messages of zones with the same areas leave, or are called off, together: one timer holds them, one disarm drops
   them. So a message of the zone that was seen to begin to wait leaves when those of nobody in particular do.
2. On the whole panel each message has its own name, and the same observers see it leave by that.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from zonewright.behaviour.events import Message
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.proof.prover.observers import OVER, Judge, Observation, never
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.site.record import ZoneNumber

Names = tuple[str, ...]  # of messages
NONE_WAITS = ""
_BETWEEN = "|"


@dataclass(frozen=True, slots=True)
class Own:
    """The messages of one zone. What waits of them is a text, so that it can be the state of an observer."""

    zone: ZoneNumber
    nobody: ZoneNumber  # the zone without a device that stands for it in a slice

    def leaving(self, waits: str, outcome: EventOutcome) -> Names:
        """Return the names of those that leave; `waits` are those that waited."""
        if not outcome.outputs:
            return ()
        found: list[str] = []
        for each in outcome.outputs:
            if isinstance(each, Message) and not each.restore:
                if each.zone == self.zone:
                    found.append(each.name)
                elif each.zone == self.nobody and waits:
                    found += waits.split(_BETWEEN)
        return tuple(found)

    def waiting(self, waits: str, outcome: EventOutcome) -> str:
        """Return those that wait afterwards."""
        kept = outcome.effect.kept
        if "waiting" not in kept.parts and not kept.waits:
            return waits
        here = (self.zone, self.nobody)
        if waits and all(number not in here for number, _ in outcome.control.waiting):
            waits = NONE_WAITS
        new = {name for number, name in outcome.held if number == self.zone}
        return _BETWEEN.join(sorted({*waits.split(_BETWEEN), *new} - {NONE_WAITS})) if new else waits


def own(setup: Setup, zone: ZoneSetup) -> Own:
    """Return the messages of a zone."""
    return Own(zone.number, setup.nobody(zone.areas))


@dataclass(frozen=True, slots=True)
class Sends:
    """Once it has begun, something good comes of a zone within a time, unless somebody disarms before."""

    own: Own
    start: Judge
    good: Callable[[Act, EventOutcome, Names], bool]  # given which messages leave
    within: int  # [s]; the watch is one second longer
    disarms: Judge

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin unless the event is answered at once."""
        if not self.start(before, act, outcome):
            return None
        if self.good(act, outcome, self.own.leaving(NONE_WAITS, outcome)):
            return OVER
        return Observation(self.own.waiting(NONE_WAITS, outcome), watch=self.within + 1)

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Wait for what is good."""
        if self.disarms(before, act, outcome) or (not state and outcome.is_so("shut out", self.own.zone)):
            return OVER  # a zone that wasn't shut out is so only after an alarm of its own
        if self.good(act, outcome, self.own.leaving(state, outcome)):
            return OVER
        return Observation(self.own.waiting(state, outcome))

    def too_late(self, state: str) -> Observation:
        """The time is over, and nothing good happened."""
        return Observation(None, bad=True)


@dataclass(frozen=True, slots=True)
class CalledOff:
    """Once a message of a zone begins to wait, none leaves within a time; who calls it off in that time is told."""

    own: Own
    start: Judge
    leaves: Callable[[Names], bool]  # whether one of those is meant that leave
    disarms: Judge
    is_told: Callable[[EventOutcome, ZoneNumber], bool]  # whether the keypad says so of a zone
    within: int  # [s]
    ends: Judge = never

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin, and judge this event too."""
        if not self.start(before, act, outcome):
            return None
        return self._judged(NONE_WAITS, outcome, watch=self.within)

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Judge each event until the time is over; who disarms within it has called off what waited."""
        if self.ends(before, act, outcome):
            return OVER
        if not self.disarms(before, act, outcome):
            return self._judged(state, outcome)
        told = any(self.is_told(outcome, number) for number in (self.own.zone, self.own.nobody))
        return Observation(state, bad=True) if state and not told else self._judged(state, outcome, unwatch=True)

    def _judged(
        self, state: str, outcome: EventOutcome, watch: int | None = None, *, unwatch: bool = False
    ) -> Observation:
        leaving = self.own.leaving(state, outcome)
        bad = bool(leaving) and self.leaves(leaving)
        return Observation(self.own.waiting(state, outcome), bad, watch, unwatch)

    def too_late(self, state: str) -> Observation:
        """From now on anything may happen."""
        return OVER


@dataclass(frozen=True, slots=True)
class SendsOnce:
    """Once it has begun, a message of a zone leaves at most once until it ends."""

    own: Own
    name: str
    start: Judge
    ends: Judge

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin, and count this event too."""
        return self._counts("", outcome) if self.start(before, act, outcome) else None

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Count."""
        return OVER if self.ends(before, act, outcome) else self._counts(state, outcome)

    def _counts(self, state: str, outcome: EventOutcome) -> Observation:
        told, waits = state[:1], state[1:]
        times = self.own.leaving(waits, outcome).count(self.name)
        after = ("1" if times else told or "0") + self.own.waiting(waits, outcome)
        return Observation(after, bad=times > (0 if told == "1" else 1))

    def too_late(self, state: str) -> Observation:
        """There is no watch."""
        return OVER

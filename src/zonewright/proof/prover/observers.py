"""Observers: each watches the runs of a panel, and says when something breaks a promise.

Rules of this file:
1. An observer sees each event with the control before it and its outcome; it never changes either.
2. It has at most one timer of its own, the watch. "At most T" is a watch of T + 1 s that must not run out. "Nothing
   within T" is a watch of T: at its end the observation is over, and what happens in that same second still counts.
3. An event that the promise doesn't cover ends the observation before that event's outcome is judged.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from zonewright.behaviour.events import Expires, Timer
from zonewright.behaviour.state import Control
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act

Judge = Callable[[Control, Act, EventOutcome], bool]


class Observation(NamedTuple):
    """What an observer makes of an event; `state` None: the observation is over."""

    state: str | None
    bad: bool = False
    watch: int | None = None  # starts the watch, or starts it again [s]
    unwatch: bool = False


OVER = Observation(None)
AWAITED = "not begun"


class Observer(Protocol):
    """One promise, watched."""

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Return what is seen if the observation begins with this event, else None."""

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Return what is seen of a later event."""

    def too_late(self, state: str) -> Observation:
        """Return what is seen when the watch runs out."""


def never(_before: Control, _act: Act, _outcome: EventOutcome) -> bool:
    """Judge nothing."""
    return False


def anything(_before: Control, _act: Act, _outcome: EventOutcome) -> bool:
    """Judge everything."""
    return True


@dataclass(frozen=True, slots=True)
class Invariant:
    """No event, ever, is bad."""

    bad: Judge

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin with whatever happens first."""
        return self.goes_on("", before, act, outcome)

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Judge the event alone."""
        return Observation("on", bad=self.bad(before, act, outcome))

    def too_late(self, state: str) -> Observation:
        """There is no watch."""
        return OVER


@dataclass(frozen=True, slots=True)
class GoodWithin:
    """Once it has begun, something good happens within a time, unless the observation is ended before."""

    start: Judge
    good: Judge
    within: int  # [s]; the watch is one second longer
    ends: Judge = never
    again: Judge = never  # starts the watch again

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin unless the event is answered at once."""
        if not self.start(before, act, outcome):
            return None
        return OVER if self.good(before, act, outcome) else Observation("on", watch=self.within + 1)

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Wait for what is good."""
        if self.ends(before, act, outcome) or self.good(before, act, outcome):
            return OVER
        return Observation(state, watch=self.within + 1 if self.again(before, act, outcome) else None)

    def too_late(self, state: str) -> Observation:
        """The time is over, and nothing good happened."""
        return Observation(None, bad=True)


@dataclass(frozen=True, slots=True)
class Quiet:
    """Once it has begun, nothing bad happens for `within` seconds, or if `settled` happens within them, ever."""

    start: Judge
    bad: Judge
    within: int  # [s]
    ends: Judge = never
    settled: Judge = never  # what makes it quiet for good, if it happens within the time

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin, and judge this event too."""
        if not self.start(before, act, outcome):
            return None
        return Observation("on", bad=self.bad(before, act, outcome), watch=self.within)

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Judge each event until the time is over."""
        if self.ends(before, act, outcome):
            return OVER
        if state == "on" and self.settled(before, act, outcome):
            return Observation("settled", bad=self.bad(before, act, outcome), unwatch=True)
        return Observation(state, bad=self.bad(before, act, outcome))

    def too_late(self, state: str) -> Observation:
        """From now on anything may happen."""
        return OVER


@dataclass(frozen=True, slots=True)
class Reply:
    """For some time from `start` on, whatever is asked is answered by the same event.

    What starts it also starts a timer of the panel. If that takes longer than `within` and the observer sees that it
    runs, no outcome is possible that needs it not to run, or is its end.
    """

    start: Judge  # also starts the watch again
    asked: Judge
    good: Judge
    timer: Timer
    long_enough: int  # [s]; if the timer is set to this, it takes longer than `within`
    within: int  # [s]

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin, no matter how long the timer takes."""
        if not self.start(before, act, outcome):
            return None
        runs = dict(outcome.effect.leaf.change.starts).get(self.timer, 0) >= self.long_enough
        return Observation("runs" if runs else "on", watch=self.within)

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Judge the answer."""
        if state == "runs" and (act == Expires(self.timer) or outcome.facts.get(("runs", self.timer)) is False):
            return OVER
        begins = self.begins(before, act, outcome)
        if begins is not None:
            return begins
        if self.asked(before, act, outcome):
            return Observation(None, bad=not self.good(before, act, outcome))
        return Observation("on" if self.timer in outcome.effect.leaf.change.stops else state)

    def too_late(self, state: str) -> Observation:
        """From now on nothing needs to be answered."""
        return OVER


@dataclass(frozen=True, slots=True)
class Passage:
    """Once it has begun, nothing bad happens; and if `done` happened before it is over, it ends well."""

    start: Judge
    done: Judge
    over: Judge
    good: Judge
    bad: Judge
    ends: Judge

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin."""
        return Observation("on") if self.start(before, act, outcome) else None

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Judge each event, and the end."""
        if self.ends(before, act, outcome):
            return OVER
        bad = self.bad(before, act, outcome)
        now = "done" if state == "done" or self.done(before, act, outcome) else state
        if self.over(before, act, outcome):
            return Observation(None, bad=bad or (now == "done" and not self.good(before, act, outcome)))
        return Observation(now, bad=bad)

    def too_late(self, state: str) -> Observation:
        """There is no watch."""
        return OVER


@dataclass(frozen=True, slots=True)
class Awaited:
    """Another observer, awaited from power-up on: it begins wherever it may, and again when it is over.

    Whatever it calls bad is bad; but it misses some, since it follows one beginning at a time.
    """

    observer: Observer
    root: Callable[[Control], bool]  # where it may begin

    def begins(self, before: Control, act: Act, outcome: EventOutcome) -> Observation | None:
        """Begin with whatever happens first."""
        return self.goes_on(AWAITED, before, act, outcome)

    def goes_on(self, state: str, before: Control, act: Act, outcome: EventOutcome) -> Observation:
        """Begin, or go on, as the other observer does."""
        if state != AWAITED:
            seen = self.observer.goes_on(state, before, act, outcome)
            return Observation(AWAITED, unwatch=True) if seen == OVER else seen
        begun = self.observer.begins(before, act, outcome) if self.root(before) else None
        return Observation(AWAITED) if begun is None or begun == OVER else begun

    def too_late(self, state: str) -> Observation:
        """See it as the other observer does."""
        return self.observer.too_late(state)

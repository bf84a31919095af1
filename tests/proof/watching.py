"""Promises watched by their own observers while the whole panel runs: what is said to hold must never be seen to break.

Rules of this file:
1. The run is the clockwork's, of all zones (`outside.py`). Nothing is left out of it, and of a proof nothing is used
   but the promise and its verdict.
2. Of a promise that takes its time each beginning is watched, whatever else is watched already.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from tests.proof.outside import Happened
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.state import Control
from zonewright.proof.prove import Verdict
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.prover.replay import Seer
from zonewright.proof.prover.slices import whole_panel
from zonewright.proof.prover.table import Act


def can_be_watched(verdict: Verdict) -> bool:
    """Return whether a run can speak against a verdict: it holds, or never comes, and is no sum and no possibility."""
    mine = verdict.promise
    claims = verdict.settled.result in (VerdictKind.HOLDS, VerdictKind.EMPTY)
    return claims and mine.outright is None and not mine.wants


@dataclass(slots=True)
class Watched:
    """One verdict and what runs showed of it."""

    verdict: Verdict
    came: int = 0  # how often it came to what is promised of
    broken_at: int | None = None  # the first second that speaks against it, in its run [s]
    _seers: list[Seer] = field(default_factory=list)

    def sees(self, at: int, before: Control, act: Act, outcome: EventOutcome) -> None:
        """Judge one event."""
        promise = self.verdict.promise
        if (not promise.timed or promise.root(before)) and promise.premise(before, act, outcome):
            self.came += 1
            if self.verdict.settled.result is VerdictKind.EMPTY:
                self._broken(at)
        if not promise.timed:
            if promise.observer.goes_on("on", before, act, outcome).bad:
                self._broken(at)
            return
        for seer in self._seers:
            seer.goes_on(at, before, act, outcome)
        if promise.root(before):
            begun = Seer(promise.observer)
            begun.begins(at, before, act, outcome)
            self._seers.append(begun)
        if any(seer.bad for seer in self._seers):
            self._broken(at)
        going: list[Seer] = []
        for seer in self._seers:
            if seer.state is not None and seer not in going:  # two that wait for the same see the same
                going.append(seer)
        self._seers = going

    def ends(self, at: int) -> None:
        """Let the time up to the end of a run pass, and forget what was awaited of it."""
        for seer in self._seers:
            seer.waits(at)
            if seer.bad:
                self._broken(at)
        self._seers = []

    def _broken(self, at: int) -> None:
        self.broken_at = at if self.broken_at is None else self.broken_at


def watch(setup: Setup, verdicts: Iterable[Verdict], runs: Iterable[Sequence[Happened]]) -> list[Watched]:
    """Return what these runs of the whole panel show of each verdict that can be watched."""
    watched = [Watched(verdict) for verdict in verdicts if can_be_watched(verdict)]
    for run in runs:
        whole = whole_panel(setup)
        for one in run:
            (outcome,) = whole.outcomes(one.before, one.event)
            assert outcome.outputs == one.outputs
            outcome = outcome._replace(control=one.after)  # with the panel's own troubles, which no slice remembers
            for each in watched:
                each.sees(one.at, one.before, one.event, outcome)
        for each in watched:
            each.ends(run[-1].at)
    return watched

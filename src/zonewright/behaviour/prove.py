"""Every promise of a panel, settled.

Rules of this file:
1. Each group of areas that share zones is looked at once; promises about single events are all judged in that one pass.
2. A promise is settled for the first of the zones that differ in nothing but number and label (`properties.py`).
3. A promise whose case never comes is told apart from one that holds.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice

from zonewright.behaviour.clockwork import Clockwork, Timeline
from zonewright.behaviour.events import Arm, Means, ZoneOpens
from zonewright.behaviour.explore import Cover, Move, OutOfBounds
from zonewright.behaviour.observers import Invariant, Observer
from zonewright.behaviour.properties import Promise, Window
from zonewright.behaviour.refine import Ground, Result, Settled, settle, tried
from zonewright.behaviour.replay import Run
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.slices import PERSON, Act, Outcome, Slice, TooLarge, hush, signature, together
from zonewright.behaviour.state import Control
from zonewright.behaviour.unknowns import Fact
from zonewright.panel.behaviours import Mode

MOST_AREAS = 2  # of areas that share zones
MOST_WITNESSES = 40  # runs tried to show that a case comes
NOT_SHOWN = "that it comes to it was not shown on the whole panel"


@dataclass(frozen=True, slots=True)
class Verdict:
    """One promise and what became of it."""

    promise: Promise
    settled: Settled


@dataclass(slots=True)
class Effort:
    """What it took."""

    controls: int = 0
    sets: int = 0
    steps: int = 0


Case = tuple[Control, Act, Outcome]


def prove(
    setup: Setup,
    promises: Iterable[Promise],
    window: Window | None = None,
    effort: Effort | None = None,
    on: Callable[[Promise], None] | None = None,
) -> Iterator[Verdict]:
    """Give the verdict on each promise, in groups of areas; stop whenever you like.

    `effort`, if given, is added to; `on` is told of each promise before it is settled.
    """
    spent = effort if effort is not None else Effort()
    limits = (window or Window()).limits
    todo = list(promises)
    for areas in together(setup):
        mine = [promise for promise in todo if promise.areas <= areas]
        if not mine:
            continue
        named = frozenset(number for promise in mine for number in promise.zones)
        try:
            if len(areas) > MOST_AREAS:
                raise OutOfBounds(f"{len(areas)} areas share zones; it looks at {MOST_AREAS} at most")
            ground = Ground(Cover(Slice(setup, areas, named=named)), limits, setup)
            silent = Ground(Cover(Slice(hush(setup), areas, named=named)), limits, setup)
        except (OutOfBounds, TooLarge) as bound:
            for promise in mine:
                yield Verdict(promise, Settled(Result.UNDECIDED, why=f"too large to look at all of it: {bound}"))
            continue
        spent.controls += len(ground.cover.controls)
        cases, silent_cases = _Cases(ground), _Cases(silent)
        for promise in mine:
            if on is not None:
                on(promise)
            if promise.hushed:
                settled = _timed(silent, silent_cases, promise)
            else:
                settled = _timed(ground, cases, promise) if promise.timed else _single(ground, cases, promise)
            spent.sets += settled.sets
            yield Verdict(promise, settled)
        spent.steps += ground.slice.steps + silent.slice.steps
    for promise in todo:
        if not any(promise.areas <= areas for areas in together(setup)):
            yield Verdict(promise, Settled(Result.UNDECIDED, why="it spans areas that share no zone"))


class _Cases:
    """Everything that can happen in a cover, gathered by the zones that it is about."""

    def __init__(self, ground: Ground) -> None:
        self.all: list[Case] = list(ground.cover.moves())
        self._of: dict[object, list[Case]] = {}
        for case in self.all:
            _, act, outcome = case
            about = {getattr(act, "zone", None), *(number for _, number in outcome.called)}
            about |= {number for number, _ in outcome.held}
            about |= {getattr(output, "zone", None) for output in outcome.outputs}
            for number in about:
                self._of.setdefault(number, []).append(case)

    def of(self, promise: Promise) -> list[Case]:
        """Return what a promise can be about."""
        if not promise.zones:
            return self.all
        return [case for number in promise.zones for case in self._of.get(number, ())]


def _single(ground: Ground, cases: _Cases, promise: Promise) -> Settled:
    """Settle a promise that each event keeps or breaks by itself."""
    mine = cases.of(promise)
    bad = [case for case in mine if promise.observer.goes_on("", *case).bad]
    if promise.wants:
        return _wanted(ground, bad, promise)
    looked_at = len(ground.cover.controls)
    if bad:
        return settle(ground, lambda control: control == ground.slice.first(), promise.observer)
    first = next((case for case in mine if promise.premise(*case)), None)
    if first is None:
        return Settled(Result.EMPTY, looked_at, why="it never comes to that")
    shown = _witness(ground, (case for case in mine if promise.premise(*case)), Invariant(promise.premise))
    return Settled(Result.HOLDS, looked_at, why="" if shown is not None else NOT_SHOWN)


def _timed(ground: Ground, cases: _Cases, promise: Promise) -> Settled:
    """Settle a promise that begins with an event and takes its time."""
    begins = [case for case in cases.of(promise) if promise.root(case[0]) and promise.premise(*case)]
    if not begins:
        return Settled(Result.EMPTY, len(ground.cover.controls), why="it never comes to that")
    settled = settle(ground, promise.root, promise.observer, promise.focus | _twins(ground.whole, promise))
    if settled.result is Result.HOLDS and _witness(ground, begins, Invariant(promise.premise)) is None:
        return replace(settled, why=NOT_SHOWN)
    return settled


def _twins(setup: Setup, promise: Promise) -> frozenset[Fact]:
    """Return what keeps a promise's zones apart from those that act alike, whose alarms are no answer of theirs."""
    alike = Counter(signature(zone) for zone in setup.zones)
    zones = [zone for zone in setup.zones if zone.number in promise.zones]
    return frozenset(("itself", zone.number) for zone in zones if alike[signature(zone)] > 1)


def _wanted(ground: Ground, good: list[Case], promise: Promise) -> Settled:
    """Settle that something is possible: by a run of the whole panel that shows it."""
    looked_at = len(ground.cover.controls)
    shown = _witness(ground, good, promise.observer)
    if shown is not None:
        return Settled(Result.HOLDS, looked_at, timeline=shown.timeline)
    if good:
        return Settled(Result.UNDECIDED, looked_at, why=NOT_SHOWN)
    return Settled(Result.FAILS, looked_at, timeline=_unnoticed(ground.whole, promise))


def _witness(ground: Ground, cases: Iterable[Case], observer: Observer) -> Run | None:
    """Return a run of the whole panel that comes to one of these cases."""
    likely = sorted(cases, key=lambda case: sum(answer for _, answer in case[2].answers))  # asks least of the panel
    for control, act, outcome in islice(likely, MOST_WITNESSES):
        before = ground.cover.way_to(control)
        run = tried(ground, (*before, Move(act, outcome)), len(before), observer)
        if isinstance(run, Run) and run.bad:
            return run
    return None


def _unnoticed(setup: Setup, promise: Promise) -> Timeline:
    """Return a zone's opening with its areas armed away, everything else at rest."""
    panel = Clockwork(setup)
    entries = [panel.give(Arm(area, Mode.AWAY, PERSON, Means.REMOTE)) for area in sorted(promise.areas)]
    entries += panel.rest()
    entries += [panel.give(ZoneOpens(number)) for number in promise.zones]
    return (*entries, *panel.rest())

"""A path that an exploration found, put to the test: times for it, then a run of the whole panel along it.

Rules of this file:
1. Nothing is left out here: every zone, every fact, every timer. What is shown to a person was run here.
2. A timer of the path ends at the second that was found for it, if it may on the whole panel; all others end when they
   are due. None ends before it is due, and none runs on when it is overdue, whatever the path says: if the path
   differs, the run is over, and that timer is what was in doubt.
3. The same observer judges this run. The second in which it calls something bad is noted, also if all that happens then
   is that it is too late.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, replace
from typing import cast

from zonewright.behaviour.acts import setting
from zonewright.behaviour.clockwork import Timeline, TimelineEntry
from zonewright.behaviour.events import (
    Arm,
    Disarm,
    Event,
    Expires,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    ZoneOpens,
)
from zonewright.behaviour.faults import SettingFault
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.behaviour.step import power_up
from zonewright.panel.behaviours import ALWAYS, ARMED, Mode, Pattern, Timing
from zonewright.proof.prover.explore import WATCH, Path
from zonewright.proof.prover.facts import OF_SEVERAL, PLACES, Fact, truth
from zonewright.proof.prover.observers import AWAITED, Observation, Observer
from zonewright.proof.prover.other_areas import one_way, told_of_areas
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.schedule import APART_S, ChainMoment, Clash, schedule
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import Act, Elsewhere

Limits = Callable[[int], tuple[int, int]]


def exact(seconds: int) -> tuple[int, int]:
    """Return the limits of a timer that takes exactly this long."""
    return seconds, seconds


def moments(path: Path, limits: Limits) -> list[ChainMoment]:
    """Return what each move of a path does to the timers."""
    chain = []
    for move in path:
        if move.outcome is None:
            chain.append(ChainMoment(expires=WATCH))
            continue
        starts: tuple[tuple[Hashable, int, int], ...]
        starts = tuple((timer, *limits(seconds)) for timer, seconds in move.outcome.starts)
        if move.watch is not None:
            starts = (*starts, (WATCH, move.watch, move.watch))
        expires = move.act.timer if isinstance(move.act, Expires) else None
        stops = frozenset[Hashable](move.outcome.stops - ({expires} if expires is not None else set()))
        if move.unwatch:
            stops |= {WATCH}
        chain.append(ChainMoment(starts, stops, expires, by_people=expires is None))
    return chain


def times_of(path: Path, limits: Limits, tracked: frozenset[Hashable]) -> tuple[int, ...] | Clash:
    """Return a second for each move, or the timers that can't all be kept."""
    return schedule(moments(path, limits), known=tracked)


@dataclass(frozen=True, slots=True)
class ReplayedRun:
    """What the whole panel did along a path."""

    timeline: Timeline
    bad: bool  # whether the observer saw anything bad
    began: bool
    last: EventOutcome | None
    doubtful: frozenset[Fact]  # facts that differed from what the path assumed
    elsewhere: bool = False  # the path needs something in another area
    too_late: int | None = None  # the second in which it was too late, if that was what was bad


def replay(
    whole: Slice,
    path: Path,
    times: tuple[int, ...],
    begins_at: int,
    observer: Observer,
    areas: frozenset[AreaNumber],
    limits: Limits,
) -> ReplayedRun:
    """Run the whole panel along a path whose observation begins with move `begins_at`.

    What the path assumes about areas other than `areas`, and perhaps a trouble, is made true first.
    """
    before_it, path = made_so(whole.setup, path, areas)
    before_it = [*before_it, *faults_assumed(whole.setup, path)]
    if any(isinstance(move.act, Elsewhere) for move in path):
        return ReplayedRun((), False, False, None, frozenset(), elsewhere=True)
    panel = ReplayPanel(whole, limits)
    entries = panel.prepare(before_it)
    if entries:
        times = tuple(at + entries[-1].at + APART_S for at in times)
    doubtful: set[Fact] = set()
    seer = Seer(observer)
    last: EventOutcome | None = None
    planned: frozenset[Timer] = frozenset()  # timers that the path itself lets end, or leaves running
    for place, (move, at) in enumerate(zip(path, times, strict=True)):
        while (timer := panel.due_before(at, planned)) is not None:
            before, moment = panel.control, panel.ends_at(timer, planned)
            outcome = panel.give(Expires(timer), moment)
            entries.append(TimelineEntry(moment, Expires(timer), outcome.outputs))
            seer.goes_on(moment, before, Expires(timer), outcome)
        planned = planned if move.outcome is None else move.outcome.control.running
        if move.act is None or isinstance(move.act, Elsewhere):
            seer.waits(at + 1)
            continue
        before = panel.control
        if isinstance(move.act, Expires) and not panel.may_end(move.act.timer, at):
            doubtful = doubtful or {("runs", move.act.timer)}
            break
        last = panel.give(move.act, at)
        entries.append(TimelineEntry(at, move.act, last.outputs))
        assumed = move.outcome.assumed if move.outcome is not None else {}
        if not doubtful:  # what differs later may only follow from this
            doubtful = {
                fact for fact, answer in assumed.items() if _was_otherwise(whole.setup, before, last, fact, answer)
            }
        if place == begins_at:
            seer.begins(at, before, move.act, last)
        else:
            seer.goes_on(at, before, move.act, last)
    bad = seer.bad
    if bad and seer.late is None and last is not None and last.held:  # let it be seen that the message leaves
        while TimerKind.ABORT in {timer.kind for timer in panel.due}:
            timer = panel.next()
            moment = panel.due[timer]
            entries.append(TimelineEntry(moment, Expires(timer), panel.give(Expires(timer), moment).outputs))
    return ReplayedRun(tuple(entries), bad, seer.began, last, frozenset(doubtful), too_late=seer.late)


def _was_otherwise(setup: Setup, before: Control, last: EventOutcome, fact: Fact, answer: Hashable) -> bool:
    """Return whether what a path assumes of an event was different on the whole panel."""
    if fact[0] in ("siren without", "before"):
        return False  # the panel says what sounds, not the path
    if fact[0] in OF_SEVERAL:
        return truth(before, setup, fact) != answer
    return last.assumed.get(fact, answer) != answer


@dataclass(slots=True)
class Seer:
    """An observer with a run of the whole panel: its watch runs there too, whatever a path says of it."""

    observer: Observer
    state: str | None = None
    began: bool = False
    bad: bool = False
    late: int | None = None  # when the watch ran out, if that was bad
    _due: int | None = None  # when the watch runs out

    def begins(self, at: int, before: Control, act: Act, outcome: EventOutcome) -> None:
        """Let it begin with an event, if it does."""
        seen = self.observer.begins(before, act, outcome)
        self.began = seen is not None
        if seen is not None:
            self._sees(at, seen)

    def goes_on(self, at: int, before: Control, act: Act, outcome: EventOutcome) -> None:
        """Let it see a later event."""
        self.waits(at)
        if self.state is not None:
            self._sees(at, self.observer.goes_on(self.state, before, act, outcome))

    def waits(self, until: int) -> None:
        """Let time pass up to a second; the watch runs out before it, or not."""
        if self._due is None or self._due >= until or self.state is None:
            return
        at, self._due = self._due, None
        seen = self.observer.too_late(self.state)
        if seen.bad and not self.bad:
            self.late = at
        self._sees(at, seen)

    def _sees(self, at: int, seen: Observation) -> None:
        self.state, self.bad = seen.state, self.bad or seen.bad
        if seen.unwatch:
            self._due = None
        elif seen.watch is not None:
            self._due = at + seen.watch


def breaks_again(whole: Slice, timeline: Timeline, observer: Observer) -> bool:
    """Return whether the observer calls bad what a panel does when people and devices do the same as in a timeline.

    If the observer still waits for something at the timeline's end, the run goes on.
    """
    panel, state, watch = ReplayPanel(whole), "", None
    given = [entry for entry in timeline if not isinstance(entry.event, Expires)]
    todo = [(entry.at, entry.event) for entry in given]
    last = timeline[-1].at if timeline else 0
    begun = False
    while True:
        until = todo[0][0] if todo else max(last, watch or 0)
        timer = panel.next() if panel.due else None
        if timer is not None and panel.due[timer] <= until and (watch is None or panel.due[timer] < watch):
            at, act = panel.due[timer], cast("Event", Expires(timer))
        elif watch is not None and watch <= until:
            seen, watch = observer.too_late(state), None
            if seen.bad:
                return True
            state = seen.state if seen.state is not None else AWAITED
            continue
        elif todo:
            at, act = todo.pop(0)
        else:
            return False
        before, outcome = panel.control, panel.give(act, at)
        first = None if begun else observer.begins(before, act, outcome)
        seen = observer.goes_on(state, before, act, outcome) if begun or first is None else first
        begun = True
        if seen.bad:
            return True
        state = seen.state if seen.state is not None else state
        watch = None if seen.unwatch else at + seen.watch if seen.watch is not None else watch


def made_so(setup: Setup, path: Path, areas: frozenset[AreaNumber]) -> tuple[list[Event], Path]:
    """Return what arms other areas as a path assumes, and the path with a zone for each call from elsewhere."""
    arms: dict[AreaNumber, Mode] = {}
    acted_on: set[AreaNumber] = set()
    concrete = []
    for move in path:
        act = move.act
        if isinstance(act, Elsewhere):
            zone = _caller(setup, act, areas)
            if zone is not None:
                act = ZoneOpens(zone.number)
                if zone.behaviour.live != ALWAYS:
                    arms |= {area: Mode.AWAY for area in zone.areas if area not in arms}
        concrete.append(replace(move, act=act))
        told = told_of_areas(move.outcome.assumed) if move.outcome is not None else frozenset()
        for area, mask in one_way(told):
            if area not in areas | acted_on:  # what is assumed last counts
                arms[area] = next(mode for n, (mode, _) in enumerate(PLACES) if mask >> n & 1)
        if isinstance(act, Arm | Disarm):
            acted_on.add(act.area)
    events: list[Event] = [
        event
        for area, mode in sorted(arms.items())
        if mode in ARMED and area not in areas
        for event in setting(setup, area, mode)
    ]
    return events, tuple(concrete)


def faults_assumed(setup: Setup, path: Path) -> list[Event]:
    """Return a device's trouble for each area in which a path assumes that one stops arming, if a device's can."""
    assumed = {
        cast("tuple[AreaNumber, object]", about)[0]
        for move in path
        for (what, about), answer in (move.outcome.facts.items() if move.outcome is not None else ())
        if what == "barred" and answer is True
    }
    faults = [fault for fault, _ in setup.settings.at_setting]
    quiet = [zone for zone in setup.zones if Mode.DISARMED not in zone.behaviour.tamper_alarm and zone.behaviour.in_use]
    watched = [zone for zone in setup.zones if zone.supervise and setup.settings.supervision_window]
    found: list[Event] = []
    for area in sorted(assumed):
        covers = [zone for zone in quiet if area in zone.areas and SettingFault.TAMPER in faults]
        silent = [zone for zone in watched if area in zone.areas and SettingFault.MISSING in faults]
        if covers:
            found.append(TroubleBegins(covers[0].number, Trouble.TAMPER))
        elif silent:
            found.append(TroubleBegins(silent[0].number, Trouble.MISSING))
    return found


def _caller(setup: Setup, act: Elsewhere, areas: frozenset[AreaNumber]) -> ZoneSetup | None:
    """Return a zone of other areas that can call for this pattern by opening."""
    able = [
        zone
        for zone in setup.zones
        if zone.behaviour.siren is (Pattern.BURGLARY if act.pattern is Pattern.INSIDE else act.pattern)
        and not zone.areas & areas
        and zone.behaviour.timing is Timing.INSTANT
        and (zone.behaviour.live == ALWAYS or Mode.AWAY in zone.behaviour.live)
    ]
    return min(able, key=lambda zone: (zone.behaviour.live != ALWAYS, zone.number), default=None)


class ReplayPanel:
    """The whole panel, with what is due."""

    def __init__(self, whole: Slice, limits: Limits = exact) -> None:
        first = power_up(whole.setup)
        self.whole, self.limits = whole, limits
        self.control = first.control
        self.due: dict[Timer, int] = dict(first.starts)
        self.window: dict[Timer, tuple[int, int]] = {timer: limits(seconds) for timer, seconds in first.starts}

    def prepare(self, events: Iterable[Event]) -> list[TimelineEntry]:
        """Let events happen and exit times run out."""
        entries = [TimelineEntry(0, event, self.give(event, 0).outputs) for event in events]
        while any(timer.kind is TimerKind.EXIT for timer in self.due):
            timer = self.next()
            at = self.due[timer]
            entries.append(TimelineEntry(at, Expires(timer), self.give(Expires(timer), at).outputs))
        return entries

    def may_end(self, timer: Timer, at: int) -> bool:
        """Return whether a timer runs that may end in this second."""
        return timer in self.due and self.window[timer][0] <= at <= self.window[timer][1]

    def ends_at(self, timer: Timer, planned: frozenset[Timer]) -> int:
        """Return when a timer ends; if the path ends it itself, its latest possible second."""
        return self.window[timer][1] if timer in planned else self.due[timer]

    def due_before(self, at: int, planned: frozenset[Timer]) -> Timer | None:
        """Return the timer to end next: one that is due before a second, or is overdue in spite of the plan."""
        waiting = [(end, str(timer), timer) for timer in self.due if (end := self.ends_at(timer, planned)) < at]
        return min(waiting)[2] if waiting else None

    def next(self) -> Timer:
        """Return the timer that ends next."""
        return min((end, str(timer), timer) for timer, end in self.due.items())[2]

    def give(self, act: Event, at: int) -> EventOutcome:
        """Let an event happen."""
        (outcome,) = self.whole.outcomes(self.control, act)
        if isinstance(act, Expires):
            self.due.pop(act.timer, None)
        for timer in outcome.stops:
            self.due.pop(timer, None)
        for timer, seconds in outcome.starts:
            self.due[timer] = at + seconds
            least, most = self.limits(seconds)
            self.window[timer] = at + least, at + most
        self.control = outcome.control
        return outcome

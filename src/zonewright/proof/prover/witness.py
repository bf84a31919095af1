"""Runs of the whole panel that reach a case: that a slice may reach it doesn't mean that the panel does.

Rules of this file:
1. What a slice assumes is made true first, if a person can do that: a zone that is shut out has given all its alarms.
2. Only what the whole panel did is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from heapq import nsmallest
from typing import cast

from zonewright.behaviour.acts import setting
from zonewright.behaviour.clockwork import Timeline, TimelineEntry
from zonewright.behaviour.events import Event, Expires, Timer, TimerKind, ZoneCloses, ZoneOpens
from zonewright.behaviour.setup import ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import ARMED, Mode
from zonewright.proof.prover.explore import Case, Move, Path
from zonewright.proof.prover.observers import Observer
from zonewright.proof.prover.outcome import zone_of
from zonewright.proof.prover.refine import Ground, Shown, tried
from zonewright.proof.prover.replay import ReplayedRun, ReplayPanel, Seer
from zonewright.proof.prover.schedule import APART_S
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import Act
from zonewright.site.record import ZoneNumber

MOST_WITNESSES = 12  # runs tried to show that a case can be reached
NEVER_S = 10**9  # longer than anything is awaited
MOST_ENDS = 30  # ends of timers that are awaited after an opening


def witness(ground: Ground, cases: Iterable[Case], observer: Observer) -> Timeline | None:
    """Return a run of the whole panel that reaches one of these cases: the observer calls it bad."""
    likely = nsmallest(MOST_WITNESSES, cases, key=lambda case: case[2].effect.leaf.asks)  # those that assume least
    if likely and all(_is_shut_out(case) for case in likely):
        zone = ground.whole.setup.zone(getattr(likely[0][1], "zone", None))  # type: ignore[arg-type]  # no zone: None
        shown = None if zone is None else after_its_last_alarm(ground.whole, zone, observer)
        if shown is not None:
            return shown
    for control, act, outcome in likely:
        path = tuple(_opened_first(ground, (*ground.cover.way_to(control), Move(act, outcome))))
        run = tried(ground, path, len(path) - 1, observer)
        if isinstance(run, ReplayedRun) and run.bad:
            return run.timeline
    return None


def opened_plainly(
    whole: Slice, zones: Iterable[ZoneNumber], observer: Observer, begins: Callable[[Control], bool] | None = None
) -> Shown | None:
    """Return a bad run in which a zone opens with its areas all in one mode and all else quiet; None if there is none.

    `begins`: where an observation may begin, if it doesn't judge each event by itself.
    """
    for number in zones:
        zone = whole.setup.zone(number)
        for mode in Mode if zone is not None else ():
            shown = _opened_in(whole, zone, mode, observer, begins) if zone is not None else None
            if shown is not None:
                return shown
    return None


def _opened_in(
    whole: Slice, zone: ZoneSetup, mode: Mode, observer: Observer, begins: Callable[[Control], bool] | None
) -> Shown | None:
    """Return what an opening in this mode leads to, until the observer calls it bad; None if it never does."""
    panel, seer = ReplayPanel(whole), Seer(observer)
    entries = panel.prepare(
        event for area in sorted(zone.areas) if mode in ARMED for event in setting(whole.setup, area, mode)
    )
    now = entries[-1].at + APART_S if entries else 0
    act: Event = ZoneOpens(zone.number)
    for place in range(MOST_ENDS):
        before = panel.control
        if place:
            seer.waits(now)
            if seer.bad:
                break
        outcome = panel.give(act, now)
        entries.append(TimelineEntry(now, act, outcome.outputs))
        if place:
            seer.goes_on(now, before, act, outcome)
        elif begins is None or begins(before):
            seer.begins(now, before, act, outcome)
        if seer.bad or not panel.due:
            break
        timer = panel.next()
        act, now = Expires(timer), panel.due[timer]
    else:
        return None
    if not seer.bad:
        seer.waits(now + NEVER_S)
    return (tuple(entries), seer.late) if seer.bad else None


def _opened_first(ground: Ground, path: Path) -> Iterator[Move]:
    """Give the path, with an opening before each move of any zone that it assumes to be open."""
    control = ground.slice.first()
    opened: set[Hashable] = set()
    for move in path:
        assert move.outcome is not None  # nothing is watched yet
        for (what, number), answer in move.outcome.assumed.items():
            if what == "open" and answer is True and number != zone_of(cast("Act", move.act)) and number not in opened:
                opened.add(number)
                opens = ZoneOpens(cast("ZoneNumber", number))
                yield Move(opens, ground.slice.outcomes(control, opens)[0])
        yield move
        control = move.outcome.control


def _is_shut_out(case: Case) -> bool:
    _, act, outcome = case
    return outcome.is_so("shut out", getattr(act, "zone", None))


def after_its_last_alarm(whole: Slice, zone: ZoneSetup, observer: Observer) -> Timeline | None:
    """Return a run in which a zone is shut out and opens once more; None if the observer doesn't call it bad."""
    panel = ReplayPanel(whole)
    entries: list[TimelineEntry] = []
    now = 0

    def give(act: Event) -> bool:
        """Let an event happen now; True if the observer calls it bad."""
        before = panel.control
        outcome = panel.give(act, now)
        entries.append(TimelineEntry(now, act, outcome.outputs))
        return observer.goes_on("", before, act, outcome).bad

    def wait() -> None:
        """Let exit and entry times run out, and whatever is due by then."""
        nonlocal now
        while any(timer.kind in (TimerKind.EXIT, TimerKind.ENTRY) for timer in panel.due):
            end(panel.next())
        until = now + APART_S
        while (timer := panel.due_before(until + 1, frozenset())) is not None:
            end(timer)
        now = until

    def end(timer: Timer) -> None:
        """Let a timer end when it is due."""
        nonlocal now
        now = panel.due[timer]
        give(Expires(timer))

    modes = [mode for mode in (Mode.AWAY, Mode.STAY, Mode.NIGHT) if mode in zone.behaviour.live & ARMED]
    for area in sorted(zone.areas) if modes else ():
        for act in setting(whole.setup, area, modes[0]):
            give(act)
    wait()
    for _ in range(whole.setup.settings.swinger_limit + 1):
        if give(ZoneOpens(zone.number)):
            return tuple(entries)
        wait()
        give(ZoneCloses(zone.number))
    return None

"""The panel run in time: a queue of expiries and given events, in whole seconds.

Rules of this file:
1. It adds moments to `step` and nothing else; no moment comes from a real clock.
2. In one second expiries come first, by (area, timer's name), then the events as given (a choice: a proof takes every
   order). So "disarmed in the same second in which the entry time ends" is an alarm here.
3. "At rest" means that no timer runs but those that may run for days: supervision, a low battery's day, 48 quiet hours.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from heapq import heappop, heappush

from zonewright.behaviour.events import TROUBLE_OF, Event, Expires, Output, Timer, TimerKind
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.state import Control, Phase, Response
from zonewright.behaviour.step import power_up, step
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber


@dataclass(frozen=True, slots=True)
class TimelineEntry:
    """One event of a timeline and what the panel did."""

    at: int  # seconds since power-up
    event: Event
    outputs: tuple[Output, ...]


Timeline = tuple[TimelineEntry, ...]
Stepping = Callable[[Setup, Control, Event], Response]  # `step`, or a cache of it


def as_played(setup: Setup, timeline: Timeline) -> Timeline:
    """Return the timeline of the same events with expiries first in every second, as the clockwork orders them."""
    panel, found = Clockwork(setup), list[TimelineEntry]()
    for entry in timeline:
        if not isinstance(entry.event, Expires):
            found += panel.advance(entry.at)
            found.append(panel.give(entry.event))
    return tuple(found + panel.advance(max((entry.at for entry in timeline), default=0)))


class Clockwork:
    """One panel, at one moment."""

    __slots__ = ("_foreground", "_queue", "_step", "control", "due", "now", "setup")

    def __init__(self, setup: Setup, stepping: Stepping = step) -> None:
        first = power_up(setup)
        self.setup = setup
        self._step = stepping
        self.now = 0
        self.control: Control = first.control
        self.due: dict[Timer, int] = {}
        self._queue: list[tuple[int, int, str, int, Timer]] = []  # a heap; entries no longer due are skipped
        self._foreground: set[Timer] = set()
        self._book(first)

    def copy(self) -> Clockwork:
        """Return a second panel in the same state at the same moment."""
        twin = object.__new__(Clockwork)
        twin.setup, twin.now, twin.control = self.setup, self.now, self.control
        twin._step = self._step
        twin.due, twin._queue, twin._foreground = dict(self.due), list(self._queue), set(self._foreground)
        return twin

    def give(self, event: Event) -> TimelineEntry:
        """Let an event happen now; call `advance` first, so that timers due at this moment expire before it."""
        if isinstance(event, Expires):
            self.due.pop(event.timer, None)
            self._foreground.discard(event.timer)
        done = self._step(self.setup, self.control, event)
        self.control = done.control
        self._book(done)
        return TimelineEntry(self.now, event, done.outputs)

    def advance(self, to: int) -> list[TimelineEntry]:
        """Let time pass up to and including the second `to`; every timer due by then expires."""
        entries = []
        while (timer := self._next()) is not None and self.due[timer] <= to:
            entries.append(self.to_next())
        self.now = max(self.now, to)
        return entries

    @property
    def at_rest(self) -> bool:
        """Return whether no timer runs but those that may run for days."""
        return not self._foreground

    @property
    def next_timer(self) -> Timer | None:
        """Return the timer that expires next; None if none runs."""
        return self._next()

    def to_next(self) -> TimelineEntry:
        """Let time pass until the next timer expires, and let it expire; raises ValueError if none runs."""
        timer = self._next()
        if timer is None:
            raise ValueError("no timer runs")
        self.now = self.due[timer]
        return self.give(Expires(timer))

    def rest(self) -> list[TimelineEntry]:
        """Let time pass until the panel is at rest; it always comes to rest when nobody does anything."""
        entries = []
        while not self.at_rest:
            entries.append(self.to_next())
        return entries

    def _book(self, done: Response) -> None:
        for timer in done.stops:
            self.due.pop(timer, None)
            self._foreground.discard(timer)
        for timer, seconds in done.starts:
            self.due[timer] = self.now + seconds
            heappush(self._queue, (self.now + seconds, *self._rank(timer), timer))
            if not timer.kind.background:
                self._foreground.add(timer)

    def _next(self) -> Timer | None:
        while self._queue and self.due.get(self._queue[0][-1]) != self._queue[0][0]:
            heappop(self._queue)
        return self._queue[0][-1] if self._queue else None

    def _rank(self, timer: Timer) -> tuple[int, str, int]:
        area = timer.number
        if timer.kind.of_zone:
            zone = self.setup.zone(ZoneNumber(timer.number))
            area = zone.home if zone is not None else 0
        return area, timer.kind.value, timer.number


def run(setup: Setup, given: Iterable[tuple[int, Event]], *, until: int | None = None) -> Timeline:
    """Return what happens from power-up on when these events happen, each at its second.

    Events of one second keep their order. Time then runs up to `until` [s], or until the panel is at rest.
    """
    clockwork = Clockwork(setup)
    entries: list[TimelineEntry] = []
    for at, event in sorted(given, key=lambda pair: pair[0]):
        entries += clockwork.advance(at)
        entries.append(clockwork.give(event))
    entries += clockwork.rest() if until is None else clockwork.advance(until)
    return tuple(entries)


def bookkeeping_faults(setup: Setup, before: Control, event: Event, done: Response) -> list[str]:
    """Return what is wrong with the books after one event, in words; empty if nothing is.

    The timers that run are those that ran, less those stopped or expired, plus those started; a stopped timer ran;
    times are positive; no exit, entry or recent-closing timer is left in a disarmed area; an abort window runs exactly
    while messages wait; a trip that must last is still open; a detector either settles or waits for its second trip; a
    trouble of the panel is reported only while it lasts, and its timer runs exactly as long.
    """
    faults = []
    starts = {timer for timer, _ in done.starts}
    expired = {event.timer} if isinstance(event, Expires) else set()
    after = done.control.running
    if after != (before.running - done.stops - expired) | starts:
        faults.append("the running timers don't follow from stops, expiries and starts")
    if not done.stops <= before.running:
        faults.append("a timer is stopped that didn't run")
    if any(seconds < 1 or seconds != int(seconds) for _, seconds in done.starts):
        faults.append("a time isn't a positive whole number of seconds")
    homes = {zone.home for number, _ in done.control.waiting if (zone := setup.zone(number)) is not None}
    for area in done.control.areas:
        running = {timer.kind for timer in after if timer.number == area.number and not timer.kind.of_zone}
        faults += [
            f"area {area.number}: {text}"
            for text, wrong in (
                ("disarmed is not at rest", (area.mode is Mode.DISARMED) != (area.phase is Phase.REST)),
                ("exit timer and phase differ", (TimerKind.EXIT in running) != (area.phase is Phase.EXIT)),
                ("entry timer and phase differ", (TimerKind.ENTRY in running) != (area.phase is Phase.ENTRY)),
                ("beeps without exit or entry time", TimerKind.LAST_TEN in running and not running & _WALKS),
                ("recent closing while disarmed", TimerKind.RECENT in running and area.phase is Phase.REST),
                ("abort window and waiting messages differ", (TimerKind.ABORT in running) != (area.number in homes)),
            )
            if wrong
        ]
    if (Timer(TimerKind.SIREN, 0) in after) != bool(done.control.causes):
        faults.append("the siren timer and the siren's causes differ")
    zones = {kind: {timer.number for timer in after if timer.kind is kind} for kind in _CONFIRMS}
    if not zones[TimerKind.PERSIST] <= done.control.open:
        faults.append("what must last isn't there")
    if zones[TimerKind.VERIFY] & zones[TimerKind.VERIFY_RESET]:
        faults.append("a detector settles and is waited for")
    if not done.control.site_told <= done.control.site:
        faults.append("a trouble of the panel is told that doesn't stand")
    if {trouble.timer for trouble in done.control.site} != {timer for timer in after if timer.kind in TROUBLE_OF}:
        faults.append("the panel's troubles and their timers differ")
    return faults


_WALKS = {TimerKind.EXIT, TimerKind.ENTRY}
_CONFIRMS = (TimerKind.PERSIST, TimerKind.VERIFY, TimerKind.VERIFY_RESET)

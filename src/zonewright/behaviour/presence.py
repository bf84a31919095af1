"""The panel run in time at a lived-in site: devices check in by themselves, unless something keeps them silent.

Rules of this file:
1. A supervised device checks in before its supervision window ends, and before somebody arms. No check-in needs to be
   written.
2. A device that falls silent, or is said to be missing, is silent until anything is heard of it again. *Missing* means
   that the panel notices it now; for one that falls silent it does when the supervision window ends.
3. When jamming ends, a device that changed meanwhile says so: smoke that is still there, a window that is open, a cover
   that is off. What came and went in the meantime is lost.
4. Check-ins that change nothing visible are left out of the timeline.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from zonewright.behaviour.clockwork import Clockwork, Timeline, TimelineEntry
from zonewright.behaviour.events import (
    Arm,
    CheckIn,
    DeviceEvent,
    Event,
    FallsSilent,
    SiteTrouble,
    SiteTroubleEnds,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import Setup
from zonewright.site.record import ZoneNumber


def lived(setup: Setup, given: Iterable[tuple[int, Event]], *, until: int | None = None) -> Timeline:
    """Return what happens from power-up on when these events happen, as `run` does, with every device alive."""
    watched = [zone.number for zone in setup.zones if zone.supervise and zone.behaviour.in_use]
    site = Presence(Clockwork(setup), watched)
    entries: list[TimelineEntry] = []
    for at, event in sorted(given, key=lambda pair: pair[0]):
        entries += site.passes(at)
        entries += site.happens(event)
    entries += site.passes(until)
    return tuple(entries)


class Presence:
    """One panel with the devices that check in at it: those of the watched zones."""

    def __init__(self, panel: Clockwork, watched: Iterable[ZoneNumber]) -> None:
        self.panel = panel
        self.watched = frozenset(watched)
        self.silent: set[ZoneNumber] = set()
        self.is_open: dict[ZoneNumber, bool] = {}  # whether it really is open, heard or not
        self.is_wrong: dict[tuple[ZoneNumber, Trouble], bool] = {}  # whether the cover is really off, the battery low

    def happens(self, event: Event) -> Iterator[TimelineEntry]:
        """Let an event happen, with what devices do before or after it."""
        if self.sets(event) and self.panel.setup.settings.heard_before_setting:
            yield from self.all_check_in()
        if isinstance(event, DeviceEvent):
            missing = isinstance(event, TroubleBegins) and event.trouble is Trouble.MISSING
            falls_silent = missing or isinstance(event, FallsSilent)
            (self.silent.add if falls_silent else self.silent.discard)(event.zone)
            if isinstance(event, ZoneOpens | ZoneCloses | ZoneTrips):
                self.is_open[event.zone] = isinstance(event, ZoneOpens)
            if isinstance(event, TroubleBegins | TroubleEnds) and event.trouble is not Trouble.MISSING:
                self.is_wrong[event.zone, event.trouble] = isinstance(event, TroubleBegins)
        yield self.panel.give(event)
        if event == SiteTroubleEnds(SiteTrouble.JAMMING):
            yield from self.all_check_in()
            yield from self.all_say_what_changed()

    def sets(self, event: Event) -> bool:
        """Return whether an event may arm an area: a code, a remote, or a switch that is turned."""
        if isinstance(event, ZoneOpens | ZoneTrips):
            zone = self.panel.setup.zone(event.zone)
            return zone is not None and zone.behaviour.arms is not None
        return isinstance(event, Arm)

    def all_say_what_changed(self) -> Iterator[TimelineEntry]:
        """Let every device say what the panel doesn't know of it yet."""
        for number, is_open in sorted(self.is_open.items()):
            if number not in self.silent and is_open != (number in self.panel.control.open):
                yield self.panel.give(ZoneOpens(number) if is_open else ZoneCloses(number))
        for (number, trouble), is_so in self.is_wrong.items():
            if number not in self.silent and is_so != ((number, trouble) in self.panel.control.troubles):
                yield self.panel.give(TroubleBegins(number, trouble) if is_so else TroubleEnds(number, trouble))

    def all_check_in(self) -> Iterator[TimelineEntry]:
        """Let every device that isn't silent be heard."""
        for number in sorted(self.watched - self.silent):
            yield from self.checks_in(number)

    def checks_in(self, number: ZoneNumber) -> Iterator[TimelineEntry]:
        """Let one device check in; give the entry if the panel shows anything."""
        entry = self.panel.give(CheckIn(number))
        if entry.outputs:
            yield entry

    def passes(self, until: int | None) -> Iterator[TimelineEntry]:
        """Let time pass up to a second, or until the panel is at rest."""
        panel = self.panel
        while (timer := panel.next_timer) is not None:
            due = panel.due[timer]
            if panel.at_rest if until is None else due > until:
                break
            if timer.kind is TimerKind.MISSING and timer.number in self.watched - self.silent:
                panel.now = due
                yield from self.checks_in(ZoneNumber(timer.number))
                if panel.due.get(timer) != due:
                    continue  # it was heard
            yield panel.to_next()
        if until is not None:
            panel.now = max(panel.now, until)

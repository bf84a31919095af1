"""What surrounds a panel and isn't as it should be: devices that aren't heard, a dead sounder, troubles that stand.

Rules of this file:
1. A fault changes what reaches the panel, what had happened before, or what of the panel's doing can be noticed. What
   the panel itself does with it is the clockwork's business.
2. What is done is a person's act, or any event of a scenario; an event about a device names the zone planned for it.
3. What a zone that is shut out has sounded and sent before isn't told again.
4. Whatever has stood for long has been told: low batteries, the line, every supervised zone that isn't heard.
5. What comes before anything is done is run once for all that is then tried in the same house.
6. Devices that are heard check in by themselves (`behaviour/presence.py`), however long it lasts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from zonewright.behaviour.clockwork import Clockwork, TimelineEntry
from zonewright.behaviour.events import (
    TROUBLE_OF,
    Arm,
    Beeps,
    Bypass,
    CheckIn,
    Chime,
    ChimeSwitch,
    DeviceEvent,
    Disarm,
    DisplayLine,
    Event,
    Expires,
    InstallerMode,
    Means,
    Message,
    OfDevice,
    Output,
    PanelMessage,
    Panic,
    QuickExit,
    Shown,
    Siren,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Spoken,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.presence import Presence
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.behaviour.state import Phase
from zonewright.fieldwork.acting import Act, Handle, PanelInHouse, PressButton, Set, What
from zonewright.fieldwork.conditions import Channel, Surroundings
from zonewright.fieldwork.fieldtests import OFF, Arming
from zonewright.fieldwork.observing import audible
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.panel.programme import Item
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import SOMEBODY
from zonewright.words.telling import SIRENS, output_in_words

Done = Act | Event
ArmedBy = tuple[tuple[AreaNumber, UserNumber], ...]  # whose code arms each area; (): somebody's who may


_HANDLED: dict[type[DeviceEvent], What] = {
    ZoneOpens: What.OPEN, ZoneCloses: What.CLOSE, ZoneTrips: What.TRIP,
}  # fmt: skip
_TOLD_AT_ITS_END = frozenset({TimerKind.BATTERY, *TROUBLE_OF})


@dataclass(frozen=True)
class House:
    """A panel in its surroundings, reduced to the zones that matter for what is done."""

    panel: PanelInHouse
    around: Surroundings
    zones: frozenset[ZoneNumber]
    _begun: dict[tuple[Arming, ArmedBy, bool], tuple[Clockwork, list[TimelineEntry]]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def events(self, done: Done) -> Iterator[Event]:
        """Give what the panel notices of what is done."""
        match done:
            case Handle(what, zone):
                yield from self._of_device(done, what, zone)
            case PressButton():
                yield from self.panel.events(done) if done.remote not in self.around.dead_remotes else ()
            case ZoneOpens() | ZoneCloses() | ZoneTrips() | CheckIn() | TroubleBegins() | TroubleEnds():
                yield from self._event(done, done.zone)
            case _ if self.around.keys_dead and _by_keys(done):
                return
            case Set():
                yield from self.panel.events(done)
            case Arm():
                if self.panel.allows(Set(done.area, done.mode, done.user, done.means)):
                    yield done
            case Disarm() | QuickExit():
                if self.panel.allows(Set(done.area, Mode.DISARMED, done.user)):
                    yield done
            case _:
                yield done

    def _of_device(self, done: Handle, what: What, zone: ZoneNumber) -> Iterator[Event]:
        if any(silent == zone for silent, _ in self.around.silent):
            return
        if what is What.TRIP:
            halves = [each for each in (What.OPEN, What.CLOSE) if (zone, each) not in self.around.unseen]
            if len(halves) == 1:
                yield from self.panel.events(Handle(halves[0], zone))
            elif halves:
                yield from self.panel.events(done)
        elif (zone, what) not in self.around.unseen:
            yield from self.panel.events(done)

    def _event(self, event: OfDevice, zone: ZoneNumber) -> Iterator[Event]:
        """Give a device's event of a scenario, as the zones that hear it get it."""
        what = _HANDLED.get(type(event))
        match event:
            case TroubleBegins(trouble=Trouble.TAMPER):
                what = What.COVER_OFF
            case TroubleEnds(trouble=Trouble.TAMPER):
                what = What.COVER_ON
            case TroubleBegins(trouble=Trouble.MISSING):
                yield from (replace(event, zone=heard) for heard in self.panel.hearing(zone))
                return
            case _:
                pass
        if what is not None:
            yield from self._of_device(Handle(what, zone), what, zone)
        elif not any(silent == zone for silent, _ in self.around.silent):
            yield from (replace(event, zone=heard) for heard in self.panel.hearing(zone))

    @cached_property
    def slow(self) -> bool:
        """Return whether something stands that the panel tells only after a while."""
        return bool(self.unheard) or any(
            isinstance(event, TroubleBegins | SiteTroubleBegins) for event in self.around.stands
        )

    @cached_property
    def unheard(self) -> list[ZoneNumber]:
        """Return the supervised zones that no living device is heard for; a zone's own is looked at first."""
        panel, silent = self.panel, {each for each, _ in self.around.silent}
        alone = [
            zone.number
            for zone in panel.setup.zones
            if zone.number in self.zones and zone.supervise and zone.behaviour.in_use
            and zone.number not in panel.wired
            and (zone.number in silent or zone.number not in panel.hearing(zone.number))
        ]  # fmt: skip
        heard = {zone for each in panel.sends if each not in silent for zone in panel.hearing(each)} if alone else ()
        return [zone for zone in alone if zone not in heard]

    def begun(self, arming: Arming = OFF, *, long: bool, by: ArmedBy = ()) -> tuple[Clockwork, list[TimelineEntry]]:
        """Return the panel at rest, off and shut but for what isn't as it should be, and what it has done till then.

        `long`: it has been so for longer than the panel waits before it tells; else it has only just begun.
        """
        if (arming, by, long) not in self._begun:
            self._begun[arming, by, long] = self._begin(arming, by, long=long)
        clockwork, entries = self._begun[arming, by, long]
        return clockwork.copy(), entries

    @cached_property
    def _setup(self) -> Setup:
        return reduced(self.panel.setup, self.zones)

    def _begin(self, arming: Arming, by: ArmedBy, *, long: bool) -> tuple[Clockwork, list[TimelineEntry]]:
        clockwork = Clockwork(self._setup)
        entries = [clockwork.give(event) for event in self.panel.standing()]
        for event in self.around.stands:
            heard = self.panel.hearing(event.zone) if isinstance(event, DeviceEvent) else ()
            given = [replace(event, zone=zone) for zone in heard] if isinstance(event, DeviceEvent) else [event]
            entries += [clockwork.give(each) for each in given]
        if long:
            entries += [clockwork.give(TroubleBegins(zone, Trouble.MISSING)) for zone in self.unheard]
            due = [timer for timer in clockwork.due if timer.kind in _TOLD_AT_ITS_END]
            entries += [clockwork.give(Expires(timer)) for timer in sorted(due, key=str)]
        for area in sorted(arming.areas) if not self.around.keys_dead else ():
            whose = dict(by).get(area)
            if whose is None or self.panel.allows(Set(area, arming.mode, whose)):
                entries.append(clockwork.give(Arm(area, arming.mode, whose or SOMEBODY, Means.REMOTE)))
        entries += clockwork.rest()
        self._shut_out(clockwork)
        return clockwork, entries

    def run(
        self,
        done: Sequence[tuple[int, Done]],
        until: int | None,
        arming: Arming = OFF,
        *,
        long: bool,
        by: ArmedBy = (),
    ) -> tuple[int, list[TimelineEntry]]:
        """Do this, each so many seconds after the start; return the start and what happens until then or until rest."""
        clockwork, _ = self.begun(arming, long=long, by=by)
        start = clockwork.now
        entries: list[TimelineEntry] = []
        site = self._presence(clockwork)
        last = max([until or 0, *(after for after, _ in done)])
        for after, act in [*done, *((last, None),)]:
            entries += site.passes(start + after)
            self._shut_out(clockwork)
            for event in self.events(act) if act is not None else ():
                entries += site.happens(event)
        return start, entries + (list(site.passes(None)) if until is None else [])

    def _presence(self, clockwork: Clockwork) -> Presence:
        """Return the panel with all devices that are heard there."""
        zones = (zone for zone in clockwork.setup.zones if zone.supervise and zone.behaviour.in_use)
        return Presence(clockwork, (zone.number for zone in zones if zone.number not in self.unheard))

    def _shut_out(self, clockwork: Clockwork) -> None:
        """Let the zones that tripped too often be shut out, where all their areas are armed and left by now."""
        setup, control = clockwork.setup, clockwork.control
        limit = setup.settings.swinger_limit
        for number in {heard for zone in self.around.shut_out for heard in self.panel.hearing(zone)}:
            zone = setup.zone(number)
            if zone is not None and limit and all(control.area(area).phase is Phase.SET for area in zone.areas):
                others = frozenset(pair for pair in control.alarms if pair[0] != number)
                control = replace(control, alarms=others | {(number, limit)})
        clockwork.control = control

    def noticeable(
        self, entries: Iterable[TimelineEntry], handled: frozenset[ZoneNumber] | None = None
    ) -> Iterator[tuple[int, Output]]:
        """Give what of a run is heard, seen or got by the station, with its second; what is dead gives nothing.

        With `handled`, what the panel says again of other zones' standing troubles is left out: it is asked by itself.
        """
        wrong = self.panel.account != (self.panel.planned.get(ACCOUNT) or "")
        alive = audible(self._alive(entries, self.around.dead | ({Channel.STATION} if wrong else set())))
        return (each for each in alive if handled is None or not _again(each[1], handled))

    def _alive(self, entries: Iterable[TimelineEntry], dead: frozenset[Channel]) -> Iterator[TimelineEntry]:
        """Give the entries without what a dead channel would carry; a line lost meanwhile carries nothing either."""
        lost = False
        for entry in entries:
            if entry.event in (SiteTroubleBegins(SiteTrouble.LINE), SiteTroubleEnds(SiteTrouble.LINE)):
                lost = isinstance(entry.event, SiteTroubleBegins) and not self.panel.setup.settings.second_path
            gone = dead | {Channel.STATION} if lost else dead
            if gone and any(channel_of(output) in gone for output in entry.outputs):
                kept = tuple(output for output in entry.outputs if channel_of(output) not in gone)
                yield replace(entry, outputs=kept)
            else:
                yield entry

    def display(self, *, long: bool) -> tuple[str, ...]:
        """Return what the display shows while nobody does anything: what stands, and what was bypassed."""
        _, entries = self.begun(long=long)
        shown = {
            output_in_words(self.panel.setup, output)
            for _, output in self.noticeable(entries)
            if isinstance(output, Shown)
        }
        return tuple(sorted(shown))


ACCOUNT = Item("station/account")


def _again(output: Output, handled: frozenset[ZoneNumber]) -> bool:
    """Return whether an output is about a trouble or a bypass that stands elsewhere."""
    match output:
        case Shown():
            return output.line in _STANDING and output.zone not in handled
        case Message():
            return output.name == PanelMessage.BYPASS.value and output.zone not in handled
        case Siren() | Chime() | Spoken() | Beeps():
            return False


_STANDING = frozenset(
    {
        DisplayLine.TAMPER,
        DisplayLine.MISSING,
        DisplayLine.LOW_BATTERY,
        DisplayLine.BYPASSED,
        *(trouble.line for trouble in SiteTrouble),
    }
)


def _by_keys(done: Done) -> bool:
    """Return whether something is done at a keypad."""
    if isinstance(done, Set | Arm):
        return done.means is Means.KEYPAD
    return isinstance(done, Disarm | QuickExit | Panic | Bypass | Unbypass | ChimeSwitch | InstallerMode)


def channel_of(output: Output) -> Channel:
    """Return by what an output is noticed."""
    match output:
        case Message():
            return Channel.STATION
        case Shown():
            return Channel.DISPLAY
        case Siren() if output.pattern in SIRENS or output.pattern is Pattern.NONE:
            return Channel.SIREN
        case Siren() | Chime() | Spoken() | Beeps():
            return Channel.SOUNDS


def reduced(setup: Setup, zones: frozenset[ZoneNumber]) -> Setup:
    """Return the setup with these zones, those that they are paired with, and one exit door of each area.

    Nothing that these zones do is another then: the others stay shut. The exit door is kept since a panel without one
    knows no "nobody left".
    """
    kept = set(zones)
    for zone in setup.zones:
        if zone.number in zones:
            kept |= zone.crosses
    for area in setup.areas:
        kept |= {door.number for door in setup.exit_doors(area)[:1]}
    if len(kept) >= len(setup.zones):
        return setup
    return replace(setup, zones=tuple(zone for zone in setup.zones if zone.number in kept))

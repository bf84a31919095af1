"""Every message that a panel can send, found by letting its clockwork run through scenes of what this site can do.

Rules of this file:
1. Nothing is listed that no run sent. A scene is made of a zone and what is around it: the zones paired with it, the
   doors of its areas, a second zone that it confirms. All others stay shut.
2. Every means of every person is tried if it makes a difference; only messages about people have a person's name.
3. A test checks that no scene is missing: long random runs of the whole panel send nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import product

from zonewright.behaviour.clockwork import Clockwork, TimelineEntry
from zonewright.behaviour.effects import may_be_bypassed
from zonewright.behaviour.events import (
    Arm,
    CheckIn,
    Event,
    InstallerMode,
    Means,
    Message,
    PanelMessage,
    PowerReturns,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
)
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import Phase
from zonewright.panel.behaviours import ARMED, Mode, Timing
from zonewright.reporting.people import Hands
from zonewright.site.record import ZoneNumber

Modes = Mapping[AreaNumber, Mode]
Act = Event | SiteTrouble | int | None  # it happens; a trouble lasts for its wait; so many seconds pass; rest

FEW = 2  # areas of a zone; up to this many, all combinations of their modes are tried
SOON_S = 2  # from one act to the next
LONG_S = 400  # a long wait between two alarms; where every timer should end, a scene rests instead (`let`)


@dataclass
class SentScenes:
    """The scenes of one site, and what was sent in them, in the order in which it was first sent."""

    setup: Setup
    hands: Hands
    covered: frozenset[ZoneNumber]
    cells: frozenset[ZoneNumber]
    sent: dict[Message, None] = field(default_factory=dict)
    _cancelled: set[AreaNumber] = field(default_factory=set)

    def all(self) -> tuple[Message, ...]:
        """Run every scene; return all messages."""
        for zone in self.setup.zones:
            if zone.behaviour.in_use:
                self.of_zone(zone)
        for area in self.setup.areas:
            self.of_people(area)
        self.of_panel()
        return tuple(self.sent)

    # One zone ---------------------------------------------------------------------------------------------------------

    def of_zone(self, zone: ZoneSetup) -> None:
        """Run all scenes that begin with one zone."""
        here = self.around(zone.number, *zone.crosses)
        for n, panel in enumerate(self.panels(here, self.setup.set_with(zone))):
            self.tripped(panel, zone)
            if zone.number in self.covered:
                self.uncovered(panel, zone)
            if n == 0:
                self.ailing(panel, zone)
            if may_be_bypassed(zone):
                self.bypassed(panel, zone)
        self.confirming(zone)
        self.left_open(zone)
        self.soon_after(zone)
        self.set_over(zone)

    def tripped(self, panel: Clockwork, zone: ZoneSetup) -> None:
        """It opens for a long time; twice; after each zone that it is paired with."""
        opens, shuts = ZoneOpens(zone.number), ZoneCloses(zone.number)
        self.let(panel.copy(), opens, None, shuts, None)
        if zone.crosses or zone.verifies:
            for wait in (SOON_S, self.setup.settings.fire_reset + SOON_S):
                self.let(panel.copy(), opens, SOON_S, shuts, wait, opens, None, shuts, None)
        for pair in sorted(zone.crosses):
            self.let(panel.copy(), ZoneOpens(pair), SOON_S, ZoneCloses(pair), SOON_S, opens, None, shuts, None)

    def uncovered(self, panel: Clockwork, zone: ZoneSetup) -> None:
        """Its cover is taken off: with nobody disarming, with a disarm at once, and in installer mode."""
        off, on = TroubleBegins(zone.number, Trouble.TAMPER), TroubleEnds(zone.number, Trouble.TAMPER)
        self.let(panel.copy(), off, None, on, None)
        for area in sorted(zone.areas):
            self.let(panel.copy(), off, *self._off(area), None, on, None)
        self.let(panel.copy(), InstallerMode(on=True), off, None, on, None)

    def ailing(self, panel: Clockwork, zone: ZoneSetup) -> None:
        """Its battery is low for a long time; it isn't heard for a long time."""
        settings = self.setup.settings
        if zone.number in self.cells:
            low, good = TroubleBegins(zone.number, Trouble.LOW_BATTERY), TroubleEnds(zone.number, Trouble.LOW_BATTERY)
            self.let(panel.copy(), low, settings.low_battery_wait + SOON_S, good, None)
        if Timer(TimerKind.MISSING, zone.number) in panel.due:
            wait = max(settings.supervision_window, settings.life_safety_supervision_window) + SOON_S
            self.let(panel.copy(), wait, CheckIn(zone.number), None)

    def bypassed(self, panel: Clockwork, zone: ZoneSetup) -> None:
        """Somebody bypasses it and takes that back; somebody arms while it is open."""
        for act in list(self.hands.bypassing(self.setup, zone))[:1]:
            self.let(panel.copy(), act, SOON_S, Unbypass(act.zone, act.user), None)
        for area in sorted(zone.areas) if self.setup.settings.forced_arming else ():
            for arm in self._armings(area):
                self.let(panel.copy(), ZoneOpens(zone.number), SOON_S, arm, None,
                         *self._off(area), ZoneCloses(zone.number), None)  # fmt: skip
                if zone.behaviour.exit_door and zone.behaviour.swinger:  # one that is shut out gives no exit error
                    once = (ZoneOpens(zone.number), None, ZoneCloses(zone.number), SOON_S)
                    self.let(panel.copy(), *once * self.setup.settings.swinger_limit, once[0], arm, None)

    def confirming(self, zone: ZoneSetup) -> None:
        """Another zone's alarm comes first."""
        if not self.setup.settings.confirm_window or not zone.behaviour.abort or not zone.can_alarm:
            return
        for other in self.setup.zones:
            if other is zone or other.areas.isdisjoint(zone.areas) or not (other.behaviour.abort and other.can_alarm):
                continue
            here = self.around(zone.number, other.number, *zone.crosses, *other.crosses)
            doors = zone.behaviour.timing is other.behaviour.timing is Timing.DELAYED
            waits = (SOON_S,) if doors else (other.entry_s + SOON_S, other.entry_s + LONG_S)
            twice: list[Act] = (
                [ZoneOpens(other.number), SOON_S, ZoneCloses(other.number), SOON_S] if other.crosses else []
            )
            again: list[Act] = [ZoneOpens(zone.number), SOON_S, ZoneCloses(zone.number), SOON_S] if zone.crosses else []
            for panel in self.panels(here, zone.areas | other.areas):
                for wait in waits:
                    self.let(panel.copy(), *twice, ZoneOpens(other.number), SOON_S, ZoneCloses(other.number), wait,
                             *again, ZoneOpens(zone.number), None, ZoneCloses(zone.number), None)  # fmt: skip
                    if self.was_sent(PanelMessage.CONFIRMED, zone):
                        return
                for area in sorted(zone.areas) if zone.behaviour.exit_door else ():
                    for arm in self._armings(area):  # left open when its other areas are armed already
                        self.let(panel.copy(), *twice, ZoneOpens(other.number), SOON_S, ZoneCloses(other.number),
                                 other.entry_s + SOON_S, arm, SOON_S, ZoneOpens(zone.number), None)  # fmt: skip
                        if self.was_sent(PanelMessage.CONFIRMED, zone):
                            return

    def left_open(self, zone: ZoneSetup) -> None:
        """A door is open at the end of an exit time: this one, or another one while this opens as the second."""
        if not self.setup.settings.exit_error or zone.behaviour.timing is not Timing.DELAYED:
            return
        late = self.setup.settings.exit_time + SOON_S
        for area in sorted(zone.areas):
            for door in self.setup.exit_doors(area):
                acts: tuple[Act, ...] = (ZoneOpens(door.number), None)
                if door is not zone:
                    acts = (ZoneOpens(door.number), late, ZoneOpens(zone.number), None)
                others = (zone.areas | door.areas) - {area}
                for panel in self.panels(self.around(zone.number, door.number), others):
                    for arm in self._armings(area):
                        self.let(panel.copy(), arm, SOON_S, *acts)
                        if self.was_sent(PanelMessage.EXIT_ERROR, zone):
                            return

    def soon_after(self, zone: ZoneSetup) -> None:
        """It gives an alarm soon after each way of arming, also if somebody arms in another mode before it is sent."""
        if not self.setup.settings.recent_closing or not zone.behaviour.abort:
            return
        trips: list[Event] = [ZoneOpens(zone.number)]
        trips += [TroubleBegins(zone.number, Trouble.TAMPER)] if zone.number in self.covered else []
        here = self.around(zone.number, *zone.crosses)
        for area in sorted(zone.areas):
            for panel in self.panels(here, zone.areas - {area}):
                for arm in self.hands.arming(area):
                    soon = self.armed(panel.copy(), arm)
                    if soon is None:
                        continue
                    for trip in trips:
                        self.let(soon.copy(), trip, SOON_S, ZoneCloses(zone.number), None)
                        for other in self.hands.arming(area) if zone.message_waits else ():
                            self.let(soon.copy(), trip, SOON_S, ZoneCloses(zone.number), SOON_S, other, None)
                for switch in self._switches(area):
                    soon = panel.copy()
                    self.let(soon, ZoneOpens(switch.number), self.setup.settings.exit_time + SOON_S)
                    for trip in trips:
                        self.let(soon.copy(), trip, SOON_S, ZoneCloses(zone.number), None)

    def set_over(self, zone: ZoneSetup) -> None:
        """Somebody with the right arms its area although its cover is off or it isn't heard."""
        settings = self.setup.settings
        for fault, right in settings.at_setting:
            if fault not in (SettingFault.TAMPER, SettingFault.MISSING) or right is Right.NOBODY:
                continue
            if fault is SettingFault.TAMPER and zone.number not in self.covered:
                continue
            trouble = Trouble.TAMPER if fault is SettingFault.TAMPER else Trouble.MISSING
            wait = SOON_S if fault is SettingFault.TAMPER else settings.heard_before_setting + SOON_S
            for area in sorted(zone.areas):
                for arm in self.hands.over_faults(area):
                    panel = Clockwork(self.only(zone.number))
                    self.let(panel, TroubleBegins(zone.number, trouble), wait, arm, None)

    # People, and the panel itself -------------------------------------------------------------------------------------

    def of_people(self, area: AreaNumber) -> None:
        """Everybody arms it, leaving or not, disarms it, calls for help in it, arms it in spite of a trouble."""
        here = self.around(*(door.number for door in self.setup.exit_doors(area)[:1]), areas=(area,))
        panel = Clockwork(here)
        for arm in self.hands.arming(area):
            self.let(panel.copy(), arm, None)
        for off in self.hands.disarming(area):
            self.let(panel.copy(), off, None)
            for way in self._armings(area)[:1]:
                self.let(panel.copy(), way, SOON_S, off, None)
        for help_ in self.hands.panic(area):
            self.let(panel.copy(), help_, None)
        armed_over = {fault for fault, right in self.setup.settings.at_setting if right is not Right.NOBODY}
        for trouble in SiteTrouble:
            for arm in self.hands.over_faults(area) if trouble.fault in armed_over else ():
                self.let(panel.copy(), SiteTroubleBegins(trouble), trouble, arm, None)

    def of_panel(self) -> None:
        """Run all scenes about the panel itself."""
        panel = Clockwork(self.only())
        for trouble in SiteTrouble:
            self.let(panel.copy(), SiteTroubleBegins(trouble), trouble, SiteTroubleEnds(trouble), None)
        self.let(panel.copy(), PowerReturns(), None)
        self.let(panel.copy(), InstallerMode(on=True), None, InstallerMode(on=False), None)

    # Running ----------------------------------------------------------------------------------------------------------

    def let(self, panel: Clockwork, *acts: Act) -> None:
        """Let these happen in turn: an event now, a number of seconds, a trouble's own wait, or (None) rest."""
        for act in acts:
            if act is None:
                while not panel.at_rest:
                    self.hear(panel, panel.to_next())
            elif isinstance(act, int):
                self.wait(panel, panel.now + act)
            elif isinstance(act, SiteTrouble):
                self.wait(panel, panel.now if act in panel.control.site_told else panel.due.get(act.timer, 0))
            else:
                self.hear(panel, panel.give(act))

    def wait(self, panel: Clockwork, to: int) -> None:
        """Let time pass up to a second."""
        while (timer := panel.next_timer) is not None and panel.due[timer] <= to:
            self.hear(panel, panel.to_next())
        panel.advance(to)

    def hear(self, panel: Clockwork, entry: TimelineEntry) -> None:
        """Note what the panel sends."""
        messages = [each for each in entry.outputs if isinstance(each, Message)]
        if messages:
            self.sent.update(dict.fromkeys(messages))
            self.cancel(panel)

    def cancel(self, panel: Clockwork) -> None:
        """Let everybody disarm each area in which a message can be cancelled now, once for each area."""
        for area in self.setup.areas:
            if area not in self._cancelled and (TimerKind.CANCEL, area) in panel.control.running:
                self._cancelled.add(area)
                for off in self.hands.disarming(area):
                    self.let(panel.copy(), off)
                for switch in self._switches(area):
                    self.let(panel.copy(), ZoneOpens(switch.number), ZoneCloses(switch.number))

    def was_sent(self, name: PanelMessage, zone: ZoneSetup) -> bool:
        """Return whether a message about a zone was sent in some scene."""
        return any(each.name == name.value and each.zone == zone.number for each in self.sent)

    def only(self, *zones: ZoneNumber) -> Setup:
        """Return the panel with only these zones; the others stay shut."""
        return replace(self.setup, zones=tuple(zone for zone in self.setup.zones if zone.number in zones))

    def around(self, *zones: ZoneNumber, areas: Iterable[AreaNumber] = ()) -> Setup:
        """Return the panel with these zones, a door of each of their areas, and the switches of these areas."""
        known = (zone for number in zones if (zone := self.setup.zone(number)) is not None)
        mine = {area for zone in known for area in zone.areas}.union(areas)
        doors = {self._door(area) for area in mine} | {each.number for area in mine for each in self._switches(area)}
        return self.only(*zones, *(door for door in doors if door is not None))

    def modes(self, areas: Iterable[AreaNumber]) -> Iterator[Modes]:
        """Give modes that these areas may be in together; if there are many areas, all the same, or one different."""
        areas = sorted(areas)
        if len(areas) <= FEW:
            yield from (dict(zip(areas, each, strict=True)) for each in product(Mode, repeat=len(areas)))
            return
        yield from (dict.fromkeys(areas, mode) for mode in Mode)
        for one, mode in product(areas, sorted(ARMED, key=list(Mode).index)):
            yield {area: mode if area == one else Mode.DISARMED for area in areas}
            yield {area: Mode.DISARMED if area == one else mode for area in areas}

    def panels(self, here: Setup, areas: Iterable[AreaNumber]) -> Iterator[Clockwork]:
        """Give a panel at rest for each combination of modes in which somebody can arm these areas."""
        for modes in self.modes(areas):
            panel = self.set(here, modes)
            if panel is not None:
                yield panel

    def set(self, here: Setup, modes: Modes) -> Clockwork | None:
        """Return a panel at rest in these modes; None if nobody can bring it there."""
        panel: Clockwork | None = Clockwork(here)
        for area, mode in sorted(modes.items()):
            if mode is Mode.DISARMED or panel is None:
                continue
            panel = self._set(panel, area, mode)
        return panel

    def _set(self, panel: Clockwork, area: AreaNumber, mode: Mode) -> Clockwork | None:
        ways = [arm for arm in self.hands.arming(area) if arm.mode is mode]
        for arm in sorted(ways, key=_by_keypad):
            done = self.armed(panel.copy(), arm)
            if done is not None:
                self.let(done, None)
                return done
        dark: list[tuple[Event, ...]] = [(arm, PowerReturns()) for arm in ways]  # a power cut ends the exit time, armed
        for acts in [*((ZoneOpens(switch.number),) for switch in self._switches(area)), *dark]:
            tried = panel.copy()
            self.let(tried, *acts, None)
            if tried.control.area(area).mode is mode and tried.control.area(area).phase is Phase.SET:
                return tried
        return None

    def armed(self, panel: Clockwork, arm: Arm) -> Clockwork | None:
        """Return a panel that somebody has just armed, out by a door if there is one; None if that fails."""
        door = self._door(arm.area)
        acts: tuple[Event | int, ...] = (arm, SOON_S)
        if door is not None and arm.means is Means.KEYPAD:
            acts += (ZoneOpens(door), SOON_S, ZoneCloses(door))
        self.let(panel, *acts, self.setup.settings.exit_time)
        state = panel.control.area(arm.area)
        return panel if state.phase is Phase.SET and state.mode is arm.mode else None

    def _armings(self, area: AreaNumber) -> list[Event]:
        """Return the ways of arming that make a difference: each means and mode once, and each switch."""
        ways = {(arm.means, arm.mode): arm for arm in self.hands.arming(area)}
        return [*ways.values(), *(ZoneOpens(switch.number) for switch in self._switches(area))]

    def _off(self, area: AreaNumber) -> list[Event]:
        """Return how the first who can disarms an area."""
        return list[Event](self.hands.disarming(area))[:1]

    def _switches(self, area: AreaNumber) -> list[ZoneSetup]:
        return [zone for zone in self.setup.zones_of(area) if zone.behaviour.arms is not None]

    def _door(self, area: AreaNumber) -> ZoneNumber | None:
        doors = self.setup.exit_doors(area)
        best = min(doors, key=lambda door: (not door.behaviour.completes_exit, len(door.areas)), default=None)
        return best.number if best is not None else None


def _by_keypad(arm: Arm) -> bool:
    return arm.means is Means.KEYPAD

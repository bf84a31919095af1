"""Everything the panel remembers, and the working copy of it while one event happens.

Rules of this file:
1. `Control` holds no seconds: of a timer it knows only that it runs. It is hashable, and two equal ones act alike.
2. What is as at power-up isn't stored: sets name only the zones that differ. So a Control grows with what happened, not
   with the number of zones.
3. `Draft` keeps the books while one event happens and answers questions; what anything *means* is decided by `step.py`
   and the files it calls. The questions are few and named, each only as fine as the decision needs, and every answer
   about a zone comes through them: a prover may answer "unknown" by a Draft of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Any

from zonewright.behaviour.events import Output, SiteTrouble, Timer, TimerKind, Trouble
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.panel.behaviours import ALWAYS, ARMED, Mode, Pattern
from zonewright.site.record import ZoneNumber

NOBODY = UserNumber(0)
PRECEDENCE = {pattern: rank for rank, pattern in enumerate(Pattern)}  # lower number: comes first


class Phase(Enum):
    """Where an area is between disarmed and armed."""

    __hash__ = object.__hash__  # each member is one object; the usual hash of its name is slow

    REST = "disarmed"
    EXIT = "exit time"
    SET = "armed"
    ENTRY = "entry time"


class Door(Enum):
    """What the exit doors of an area did in this exit time."""

    __hash__ = object.__hash__  # as above

    UNUSED = "not used"
    OPENED = "opened"
    SHUT = "opened and shut again"


@dataclass(frozen=True, slots=True)
class AreaState:
    """One area. `mode` is the one it is armed in, or being armed to; DISARMED exactly when the phase is REST."""

    number: AreaNumber
    mode: Mode = Mode.DISARMED
    phase: Phase = Phase.REST
    user: UserNumber = NOBODY  # who armed it
    # in the exit time
    door: Door = Door.UNUSED
    restarted: bool = False
    silent: bool = False
    by_keypad: bool = False
    # in the entry time
    entry_by: frozenset[ZoneNumber] = frozenset()
    left_open: frozenset[ZoneNumber] = frozenset()  # doors that stood open when the exit time ended
    # since the last arming: zones in the order of their first alarm
    memory: tuple[ZoneNumber, ...] = ()
    begun_by: ZoneNumber | None = None  # the zone whose alarm began the confirm window


@dataclass(frozen=True, slots=True)
class Control:
    """What the panel remembers between two events."""

    areas: tuple[AreaState, ...]
    open: frozenset[ZoneNumber] = frozenset()
    bypassed: frozenset[ZoneNumber] = frozenset()
    alarms: frozenset[tuple[ZoneNumber, int]] = frozenset()  # counted in this armed period, never above the limit
    troubles: frozenset[tuple[ZoneNumber, Trouble]] = frozenset()
    standing: frozenset[tuple[ZoneNumber, str]] = frozenset()  # alarms sent and troubles reported that are not over
    waiting: tuple[tuple[ZoneNumber, str], ...] = ()  # messages held by the abort window, oldest first
    causes: frozenset[tuple[Pattern, ZoneNumber]] = frozenset()  # what still calls for the sounder
    chime_on: bool = True
    running: frozenset[Timer] = frozenset()
    site: frozenset[SiteTrouble] = frozenset()  # troubles of the panel itself
    site_told: frozenset[SiteTrouble] = frozenset()  # those of them that were reported
    installer: bool = False  # whether the panel is in installer mode
    jammed: bool = False  # whether no radio device can be heard, reported or not

    @property
    def siren(self) -> Pattern:
        """Return the pattern that the sounder plays now."""
        return first_pattern(pattern for pattern, _ in self.causes)

    def area(self, number: AreaNumber) -> AreaState:
        """Return an area's state; raises KeyError if the panel has no such area."""
        for area in self.areas:
            if area.number == number:
                return area
        raise KeyError(number)


@dataclass(frozen=True, slots=True)
class Response:
    """What one event does."""

    control: Control
    starts: tuple[tuple[Timer, int], ...] = ()  # timers started, or started again; whole seconds, at least 1
    stops: frozenset[Timer] = frozenset()
    outputs: tuple[Output, ...] = ()


def people_of(area: AreaNumber) -> ZoneNumber:
    """Return the number used in place of a zone's when people of an area call for the sounder."""
    return ZoneNumber(-area)


def first_pattern(patterns: Iterable[Pattern]) -> Pattern:
    """Return the pattern of highest precedence."""
    return min(patterns, key=PRECEDENCE.__getitem__, default=Pattern.NONE)


@dataclass(slots=True)
class Draft:
    """The panel while an event happens."""

    setup: Setup
    control: Control
    areas: dict[AreaNumber, AreaState] = field(init=False)
    open: frozenset[ZoneNumber] = field(init=False)
    bypassed: frozenset[ZoneNumber] = field(init=False)
    alarms: frozenset[tuple[ZoneNumber, int]] = field(init=False)
    troubles: frozenset[tuple[ZoneNumber, Trouble]] = field(init=False)
    standing: frozenset[tuple[ZoneNumber, str]] = field(init=False)
    waiting: tuple[tuple[ZoneNumber, str], ...] = field(init=False)
    causes: frozenset[tuple[Pattern, ZoneNumber]] = field(init=False)
    chime_on: bool = field(init=False)
    running: frozenset[Timer] = field(init=False)
    site: frozenset[SiteTrouble] = field(init=False)
    site_told: frozenset[SiteTrouble] = field(init=False)
    installer: bool = field(init=False)
    jammed: bool = field(init=False)
    starts: dict[Timer, int] = field(init=False)
    stops: set[Timer] = field(init=False)
    outputs: list[Output] = field(init=False)
    back_in_use: list[ZoneSetup] = field(init=False)  # zones whose bypass this event ended

    def __post_init__(self) -> None:
        control = self.control
        self.areas = {area.number: area for area in control.areas}
        self.open = control.open
        self.bypassed = control.bypassed
        self.alarms = control.alarms
        self.troubles = control.troubles
        self.standing = control.standing
        self.waiting = control.waiting
        self.causes = control.causes
        self.chime_on = control.chime_on
        self.running = control.running
        self.site = control.site
        self.site_told = control.site_told
        self.installer = control.installer
        self.jammed = control.jammed
        self.starts = {}
        self.stops = set()
        self.outputs = []
        self.back_in_use = []

    def step(self) -> Response:
        """Return the finished step."""
        control = Control(
            tuple(self.areas.values()), self.open, self.bypassed, self.alarms, self.troubles, self.standing,
            self.waiting, self.causes, self.chime_on, self.running, self.site, self.site_told, self.installer,
            self.jammed,
        )  # fmt: skip
        return Response(control, tuple(self.starts.items()), frozenset(self.stops), tuple(self.outputs))

    # Questions about a zone

    def is_open(self, zone: ZoneSetup) -> bool:
        """Return whether it is open now."""
        return zone.number in self.open

    def is_bypassed(self, zone: ZoneSetup) -> bool:
        """Return whether it is bypassed for this armed period."""
        return zone.number in self.bypassed

    def is_shut_out(self, zone: ZoneSetup) -> bool:
        """Return whether it used up its alarms of this armed period."""
        limit = self.setup.settings.swinger_limit
        return limit > 0 and (zone.number, limit) in self.alarms

    def has(self, zone: ZoneSetup, trouble: Trouble) -> bool:
        """Return whether its device has this trouble now."""
        return (zone.number, trouble) in self.troubles

    def stands(self, zone: ZoneSetup, name: str) -> bool:
        """Return whether an alarm or trouble of this name was reported and is not over."""
        return (zone.number, name) in self.standing

    # Questions about areas, timers and the panel

    def bars_setting(self, area: AreaNumber, over: Right | None) -> bool:
        """Return whether a trouble stops arming that nobody may override with this right."""
        return any(over is None or not over.sets_over(right) for _, right, _ in self.faults(area))

    def faults(self, area: AreaNumber) -> list[tuple[SettingFault, Right, ZoneSetup | None]]:
        """Return the troubles that stop arming now, each with who may arm in spite of it and the zone that has it."""
        return [
            (fault, right, zone)
            for fault, right in sorted(self.setup.settings.at_setting, key=lambda pair: pair[0].value)
            for zone in self._faulty(fault, area)
        ]

    def _faulty(self, fault: SettingFault, area: AreaNumber) -> list[ZoneSetup | None]:
        """Return the zones of an area that have a trouble; None for the panel itself."""
        zones = [zone for zone in self.setup.zones_of(area) if zone.behaviour.in_use]
        match fault:
            case SettingFault.TAMPER:
                return [zone for zone in zones if self.has(zone, Trouble.TAMPER)]
            case SettingFault.MISSING:
                return [zone for zone in zones if self.has(zone, Trouble.MISSING) or self._not_heard_lately(zone)]
            case SettingFault.SUPPLY | SettingFault.SIREN_CIRCUIT | SettingFault.LINE | SettingFault.JAMMING:
                return [None] if any(trouble.fault is fault for trouble in self.site_told) else []

    def _not_heard_lately(self, zone: ZoneSetup) -> bool:
        watched = zone.supervise and self.setup.settings.heard_before_setting > 0
        return watched and not self.runs(TimerKind.HEARD, zone.number)

    def is_deaf(self) -> bool:
        """Return whether nothing that opens counts now: power is just back, or the panel is in installer mode."""
        return self.installer or (self.setup.settings.warm_up > 0 and self.runs(TimerKind.WARM_UP, 0))

    def runs(self, kind: TimerKind, number: int) -> bool:
        """Return whether a timer runs; how much of it is left can't be asked."""
        return (kind, number) in self.running

    def any_runs(self, kind: TimerKind, numbers: Iterable[int]) -> bool:
        """Return whether a timer of this kind runs for one of these areas or zones."""
        return any(self.runs(kind, number) for number in numbers)

    def in_phase(self, areas: Iterable[AreaNumber], *phases: Phase) -> frozenset[AreaNumber]:
        """Return which of these areas are in one of the phases."""
        return frozenset(area for area in areas if self.areas[area].phase in phases)

    def any_in_phase(self, areas: Iterable[AreaNumber], *phases: Phase) -> bool:
        """Return whether one of these areas is in one of the phases."""
        return any(self.areas[area].phase in phases for area in areas)

    def all_in_mode(self, areas: Iterable[AreaNumber], modes: frozenset[Mode]) -> bool:
        """Return whether each of these areas is in one of the modes."""
        return all(self.areas[area].mode in modes for area in areas)

    def any_phase(self, zone: ZoneSetup, phase: Phase) -> bool:
        """Return whether any area of a zone is in this phase."""
        return self.any_in_phase(zone.areas, phase)

    def every_mode(self, zone: ZoneSetup, modes: frozenset[Mode]) -> bool:
        """Return whether every area of a zone is in one of these modes."""
        return self.all_in_mode(zone.areas, modes)

    def any_mode(self, zone: ZoneSetup, modes: frozenset[Mode]) -> bool:
        """Return whether any area of a zone is in one of these modes."""
        return not self.all_in_mode(zone.areas, ALWAYS - modes)

    def is_armed(self, zone: ZoneSetup) -> bool:
        """Return whether every area of a zone is armed, or being armed."""
        return self.all_in_mode(zone.areas, ARMED)

    def kept(self, areas: Iterable[AreaNumber]) -> list[AreaNumber]:
        """Return these areas in order; a prover leaves out those whose state it doesn't keep."""
        return sorted(areas)

    def confirms(self, zone: ZoneSetup) -> bool:
        """Return whether another zone's alarm, in one of its areas, waits for a second one to confirm it."""
        return any(
            self.runs(TimerKind.CONFIRM, area) and self.areas[area].begun_by not in (None, zone.number)
            for area in zone.areas
        )

    def began_window(self, area: AreaNumber, zones: Collection[ZoneNumber]) -> bool:
        """Return whether one of these zones began the last confirm window of an area."""
        return self.areas[area].begun_by in zones

    def siren(self) -> Pattern:
        """Return the pattern that the sounder plays now."""
        return first_pattern(pattern for pattern, _ in self.causes)

    def sounds(self) -> bool:
        """Return whether the sounder plays anything."""
        return self.siren() is not Pattern.NONE

    def would_be_heard(self, pattern: Pattern) -> bool:
        """Return whether the sounder plays nothing of higher precedence than this pattern."""
        return PRECEDENCE[pattern] <= PRECEDENCE[self.siren()]

    def calls_for_sounder(self) -> bool:
        """Return whether anything calls for the sounder."""
        return bool(self.causes)

    # Keeping the books

    def call_sounder(self, pattern: Pattern, number: ZoneNumber) -> None:
        """A zone calls for the sounder, or people of an area do."""
        self.causes |= {(pattern, number)}

    def end_calls(self, area: AreaNumber | None = None) -> None:
        """End all calls for the sounder, or those of one area's zones and people."""
        here = set() if area is None else {people_of(area), *(zone.number for zone in self.setup.zones_of(area))}
        self.causes = frozenset(pair for pair in self.causes if area is not None and pair[1] not in here)

    def hold(self, number: ZoneNumber, name: str) -> None:
        """Let a message of a zone wait, if it doesn't already."""
        if (number, name) not in self.waiting:
            self.waiting = (*self.waiting, (number, name))

    def start_unless_running(self, kind: TimerKind, number: int, seconds: int) -> None:
        """Start a timer; one that runs already goes on."""
        if not self.runs(kind, number):
            self.start(kind, number, seconds)

    def start(self, kind: TimerKind, number: int, seconds: int) -> None:
        """Start a timer, or start it again; a time of zero starts nothing: the panel lacks the feature."""
        if seconds > 0:
            timer = Timer(kind, number)
            self.starts[timer] = seconds
            self.stops.discard(timer)
            if timer not in self.running:
                self.running |= {timer}

    def stop(self, kind: TimerKind, number: int) -> None:
        """Stop a timer if it runs."""
        if (kind, number) in self.running:
            timer = Timer(kind, number)
            self.running -= {timer}
            if self.starts.pop(timer, None) is None or timer in self.control.running:
                self.stops.add(timer)

    def expire(self, timer: Timer) -> bool:
        """Note that a timer has expired; False if it doesn't run."""
        if timer not in self.running:
            return False
        self.running -= {timer}
        return True

    def say(self, *outputs: Output) -> None:
        """Do these things now."""
        self.outputs.extend(outputs)

    def change(self, area: AreaNumber, **changes: Any) -> None:
        """Set parts of an area's state."""
        self.areas[area] = replace(self.areas[area], **changes)

    def put(self, area: AreaState) -> None:
        """Set an area's state."""
        self.areas[area.number] = area

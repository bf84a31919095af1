"""What can happen to the panel, and what it can do: the records that go into a step and come out.

Rules of this file:
1. No record holds a moment or a code. Whoever acts is a slot number; the clockwork adds the moments.
2. `ZoneTrips` is an opening and closing at once: a push, a movement. A door opens and closes.
3. Outputs hold what happened, as closed choices; `telling.py` puts them into words.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from operator import attrgetter
from typing import NamedTuple

from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Settings, UserNumber
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber


class Of(Enum):
    """What a timer belongs to."""

    AREA = "area"
    ZONE = "zone"
    PANEL = "panel"


class TimerKind(Enum):
    """What a timer is for: its name in timelines, what it belongs to, and whether it may run with the panel at rest.

    The name orders expiries of the same second.
    """

    _value_: str
    of: Of
    background: bool

    def __new__(cls, name: str, of: Of, background: bool = False) -> TimerKind:
        """Make a kind out of its row."""
        kind = object.__new__(cls)
        kind._value_, kind.of, kind.background = name, of, background
        return kind

    @classmethod
    def called(cls, name: str) -> TimerKind:
        """Return the kind of this name; raises `KeyError` if there is none."""
        return _KINDS[name]

    __hash__ = object.__hash__  # each member is one object; the usual hash of its name is slow

    EXIT = "exit", Of.AREA  # an area's exit time
    LAST_TEN = "last-ten", Of.AREA  # until the last ten seconds of an exit or entry time begin
    ENTRY = "entry", Of.AREA  # an area's entry time
    ABORT = "abort", Of.AREA  # an area's abort window
    CANCEL = "cancel", Of.AREA  # an area's cancel window
    RECENT = "recent", Of.AREA  # an area was armed a moment ago
    SIREN = "siren", Of.PANEL  # until the sounder is cut off
    SWINGER_RESET = "swinger-reset", Of.AREA, True  # an area's counted zones are quiet
    MISSING = "missing", Of.ZONE, True  # since a device was last heard
    HEARD = "heard", Of.ZONE, True  # a device was heard lately enough for arming
    BATTERY = "battery", Of.ZONE, True  # until a device's low battery is reported, or shown again
    PERSIST = "persist", Of.ZONE  # a trip must last until this ends, and counts then
    CONFIRM = "confirm", Of.AREA  # a zone gave an alarm; another zone's alarm would confirm it
    CROSS = "cross", Of.ZONE  # a zone tripped; a second trip would confirm it
    VERIFY_RESET = "verify-reset", Of.ZONE  # a detector's power is off, then it settles
    VERIFY = "verify", Of.ZONE  # a detector tripped once; its second trip is the alarm
    WARM_UP = "warm-up", Of.PANEL  # power is back after a total loss, and nothing that opens counts
    # until a trouble of the panel itself is reported, or shown again (`SiteTrouble`)
    MAINS = "mains", Of.PANEL, True
    PANEL_BATTERY = "panel-battery", Of.PANEL, True
    SIREN_CIRCUIT = "siren-circuit", Of.PANEL, True
    AUXILIARY = "auxiliary", Of.PANEL, True
    LINE = "line", Of.PANEL, True
    JAMMING = "jamming", Of.PANEL, True

    @property
    def of_zone(self) -> bool:
        """Return whether its number is a zone's; else it is an area's, or 0 for the whole panel."""
        return self.of is Of.ZONE

    @property
    def of_panel(self) -> bool:
        """Return whether there is one for the whole panel."""
        return self.of is Of.PANEL


_KINDS = {kind.value: kind for kind in TimerKind}


class Timer(NamedTuple):
    """The name of a timer."""

    kind: TimerKind
    number: int

    def __str__(self) -> str:
        return f"{self.kind.value}:{self.number}" if self.number else self.kind.value


class Means(Enum):
    """How an area is armed."""

    KEYPAD = "keypad"
    REMOTE = "remote"  # a keyfob, a telephone, an app
    SWITCH = "arm switch"


class Trouble(Enum):
    """What can be wrong with a device; the value is the name of its message."""

    __hash__ = object.__hash__  # each member is one object; the usual hash of its name is slow

    TAMPER = "tamper"
    LOW_BATTERY = "low battery"
    MISSING = "missing"


class DisplayLine(Enum):
    """What the keypad's display says; where it is about a zone, the zone's label comes before it."""

    OPENED = "open"
    ALARM = "alarm"
    MEMORY = "was in alarm"
    STILL_OPEN = "still open"
    STILL_IN_ALARM = "still in alarm"
    CANT_ARM = "open, can't arm"
    DISARM_FIRST = "disarm first"
    FAULT = "fault, can't arm"
    OVER_FAULT = "armed over a fault"
    LEFT_OPEN = "open while armed"
    BYPASSED = "bypassed"
    CANT_BYPASS = "can't be bypassed"
    CANT_BYPASS_NOW = "can't be bypassed now"
    CANT_TAKE_BACK_NOW = "can't be taken back now"
    NO_RIGHT = "not with this code"
    TAMPER = "tamper"
    LOW_BATTERY = "low battery"
    MISSING = "missing"
    NOT_HEARD_LATELY = "not heard lately"
    ARMING = "arming"
    ARMED_STAY = "armed stay"
    ARMED_NIGHT = "armed night"
    ARMED_AWAY = "armed away"
    DISARMED = "disarmed"
    NOT_SET = "not set, nobody completed it"
    NOBODY_LEFT = "nobody left, armed stay"
    EXIT_ERROR = "left open, disarm"
    NOT_SENT = "no message sent"
    CANCEL_SENT = "a cancel message was sent"
    CHIME_ON = "chime on"
    CHIME_OFF = "chime off"
    WARNING = "trouble"
    UNVERIFIED = "tripped alone"
    VERIFYING = "being verified"
    MAINS = "mains lost"
    PANEL_BATTERY = "panel battery low"
    SIREN_CIRCUIT = "siren circuit"
    AUXILIARY = "auxiliary supply overloaded"
    LINE = "line lost"
    JAMMING = "radio jammed"
    WARMING_UP = "power back, sensors settle"
    WATCHING = "sensors are watched again"
    INSTALLER = "installer mode, no alarms"
    INSTALLER_ENDS = "installer mode ended"
    INSTALLER_NOT_NOW = "disarm all areas first"
    PANIC = "panic"


class SiteTrouble(Enum):
    """What can be wrong with the panel itself.

    Each has its message's name, the kind of its timer, its line of the display, what it counts as at arming, and how
    long it lasts before it is reported, by a setting [s]; None: the panel doesn't look for it.
    """

    _value_: str
    kind: TimerKind
    line: DisplayLine
    fault: SettingFault
    wait: Callable[[Settings], int | None]

    def __new__(
        cls,
        message: str,
        kind: TimerKind,
        line: DisplayLine,
        fault: SettingFault,
        wait: Callable[[Settings], int | None],
    ) -> SiteTrouble:
        """Make a trouble out of its row."""
        trouble = object.__new__(cls)
        trouble._value_, trouble.kind, trouble.line, trouble.fault, trouble.wait = message, kind, line, fault, wait
        return trouble

    __hash__ = object.__hash__  # each member is one object; the usual hash of its name is slow

    MAINS = "mains lost", TimerKind.MAINS, DisplayLine.MAINS, SettingFault.SUPPLY, attrgetter("mains_wait")
    PANEL_BATTERY = (
        "panel battery low", TimerKind.PANEL_BATTERY, DisplayLine.PANEL_BATTERY, SettingFault.SUPPLY,
        attrgetter("panel_battery_wait"),
    )  # fmt: skip
    SIREN_CIRCUIT = (
        "siren circuit", TimerKind.SIREN_CIRCUIT, DisplayLine.SIREN_CIRCUIT, SettingFault.SIREN_CIRCUIT,
        attrgetter("siren_circuit_wait"),
    )  # fmt: skip
    AUXILIARY = (  # what feeds wired detectors
        "auxiliary supply", TimerKind.AUXILIARY, DisplayLine.AUXILIARY, SettingFault.SUPPLY,
        attrgetter("auxiliary_wait"),
    )  # fmt: skip
    LINE = "line lost", TimerKind.LINE, DisplayLine.LINE, SettingFault.LINE, attrgetter("line_wait")
    JAMMING = "jamming", TimerKind.JAMMING, DisplayLine.JAMMING, SettingFault.JAMMING, attrgetter("jamming_wait")

    @property
    def timer(self) -> Timer:
        """Return the timer at whose end it is reported, or shown again."""
        return Timer(self.kind, 0)


TROUBLE_OF = {trouble.kind: trouble for trouble in SiteTrouble}  # by the kind of its timer


# What happens ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class DeviceEvent:
    """A device says something about its zone."""

    zone: ZoneNumber


@dataclass(frozen=True, slots=True)
class ZoneOpens(DeviceEvent):
    """A door or a window opens, smoke or water is noticed, a button is held."""


@dataclass(frozen=True, slots=True)
class ZoneCloses(DeviceEvent):
    """The door is shut, the smoke is gone, the button is released."""


@dataclass(frozen=True, slots=True)
class ZoneTrips(DeviceEvent):
    """A movement, a push: open and closed at once."""


@dataclass(frozen=True, slots=True)
class CheckIn(DeviceEvent):
    """It only says that it is there."""


@dataclass(frozen=True, slots=True)
class FallsSilent(CheckIn):
    """The last sign of it; the panel finds out when its supervision window ends (`presence.py`)."""


@dataclass(frozen=True, slots=True)
class TroubleBegins(DeviceEvent):
    """A device's tamper or low battery; MISSING means that it has been silent for the whole supervision window."""

    trouble: Trouble


@dataclass(frozen=True, slots=True)
class TroubleEnds(DeviceEvent):
    """It is put right."""

    trouble: Trouble


@dataclass(frozen=True, slots=True)
class Arm:
    """Somebody who may do so arms an area."""

    area: AreaNumber
    mode: Mode
    user: UserNumber
    means: Means = Means.KEYPAD
    silent: bool = False  # a silent exit: twice the time, no sound
    over: Right | None = None  # at a keypad: the right used to arm in spite of a trouble; None: nobody insists


@dataclass(frozen=True, slots=True)
class QuickExit:
    """Somebody leaves while the area stays armed stay or night."""

    area: AreaNumber
    user: UserNumber


@dataclass(frozen=True, slots=True)
class Disarm:
    """A valid code at the keypad, or a remote's button; it also silences, in every mode. The slot may be for duress."""

    area: AreaNumber
    user: UserNumber
    means: Means = Means.KEYPAD


@dataclass(frozen=True, slots=True)
class Panic:
    """Somebody calls for the police with two keys of a keypad, or a button of a remote that is meant for it."""

    area: AreaNumber
    user: UserNumber
    means: Means = Means.KEYPAD


@dataclass(frozen=True, slots=True)
class Bypass:
    """A user bypasses a zone for the next armed period."""

    zone: ZoneNumber
    user: UserNumber


@dataclass(frozen=True, slots=True)
class Unbypass:
    """A user takes a bypass back."""

    zone: ZoneNumber
    user: UserNumber


@dataclass(frozen=True, slots=True)
class ChimeSwitch:
    """All chimes on or off."""

    on: bool


@dataclass(frozen=True, slots=True)
class SiteTroubleBegins:
    """Something is wrong with mains, a battery, a siren's wire, the line or radio."""

    trouble: SiteTrouble


@dataclass(frozen=True, slots=True)
class SiteTroubleEnds:
    """It is put right."""

    trouble: SiteTrouble


@dataclass(frozen=True, slots=True)
class PowerReturns:
    """Power is back after mains and battery had both failed; every timer was lost."""


@dataclass(frozen=True, slots=True)
class InstallerMode:
    """A technician starts installer mode, or ends it."""

    on: bool


@dataclass(frozen=True, slots=True)
class Expires:
    """A timer has run its time."""

    timer: Timer


OfDevice = ZoneOpens | ZoneCloses | ZoneTrips | CheckIn | TroubleBegins | TroubleEnds
Event = (
    OfDevice
    | Arm
    | QuickExit
    | Disarm
    | Panic
    | Bypass
    | Unbypass
    | ChimeSwitch
    | SiteTroubleBegins
    | SiteTroubleEnds
    | PowerReturns
    | InstallerMode
    | Expires
)


# What the panel does --------------------------------------------------------------------------------------------------


class Sound(Enum):
    """Short sounds of the keypad, and those of a running time."""

    EXIT = "exit beeps"
    EXIT_LAST_TEN = "fast exit beeps"
    ENTRY = "entry beeps"
    ENTRY_LAST_TEN = "fast entry beeps"
    CONFIRM = "confirming chirp"
    REFUSED = "refusal"
    TROUBLE = "trouble tone"


class PanelMessage(Enum):
    """Messages with names of the panel's own; the other alarms' names come from the behaviours."""

    EXIT_ERROR = "exit error"
    RECENT_CLOSING = "recent closing"
    CANCEL = "cancel"
    BYPASS = "zone bypass"
    OVER_FAULT = "armed over a fault"
    TAMPER_ALARM = "tamper alarm"
    NOT_SET = "failed to set"
    OPENING = "opening"
    CLOSING = "closing"
    SWITCH_OPENING = "opening by switch"  # these two are about the switch's zone
    SWITCH_CLOSING = "closing by switch"
    DURESS = "duress"
    UNVERIFIED = "unverified alarm"
    CONFIRMED = "confirmed alarm"  # about the zone that confirms
    PANIC = "panic alarm"  # of a keypad or a remote; a zone's has its own name, which may be the same
    RESTART = "restart"  # these three are about the whole panel
    INSTALLER_IN = "installer mode"
    INSTALLER_OUT = "installer mode ended"


WHOLE_PANEL = AreaNumber(0)


@dataclass(frozen=True, slots=True)
class Siren:
    """The sounder plays this pattern from now on; NONE: it is silent. Given again when a new alarm prolongs it."""

    pattern: Pattern


@dataclass(frozen=True, slots=True)
class Chime:
    """The keypad announces a zone."""

    kind: str
    zone: ZoneNumber


@dataclass(frozen=True, slots=True)
class Spoken:
    """The panel says a zone's label."""

    zone: ZoneNumber


@dataclass(frozen=True, slots=True)
class Shown:
    """A line of the display about a zone or an area."""

    line: DisplayLine
    zone: ZoneNumber | None = None
    area: AreaNumber | None = None


@dataclass(frozen=True, slots=True)
class Beeps:
    """The keypad sounds."""

    sound: Sound


@dataclass(frozen=True, slots=True)
class Message:
    """The panel decides to send this to the monitoring station; about a zone, a user or the panel itself (area 0)."""

    name: str
    area: AreaNumber
    zone: ZoneNumber | None = None
    user: UserNumber | None = None
    restore: bool = False


Output = Siren | Chime | Spoken | Shown | Beeps | Message

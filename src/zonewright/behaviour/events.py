"""What can happen to the panel, and what it can do: the records of one step in and out.

Rules of this file:
1. No record holds a moment or a code. Who acts is a slot number; when, is the clockwork's business.
2. `ZoneTrips` is an opening with its closing at once: a push, a movement. A door opens and closes.
3. Outputs hold what happened, as closed choices; `telling.py` puts them into words.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from zonewright.behaviour.setup import AreaNumber, UserNumber
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber


class TimerKind(Enum):
    """What a timer is for; the value is its name in timelines, and orders expiries of one instant."""

    EXIT = "exit"  # an area's exit time
    LAST_TEN = "last-ten"  # until the last ten seconds of an exit or entry time begin
    ENTRY = "entry"  # an area's entry time
    ABORT = "abort"  # an area's abort window
    CANCEL = "cancel"  # an area's cancel window
    RECENT = "recent"  # an area was armed a moment ago
    SIREN = "siren"  # until the sounder is cut off
    SWINGER_RESET = "swinger-reset"  # an area's counted zones are quiet
    MISSING = "missing"  # since a device was last heard
    BATTERY = "battery"  # until a device's low battery is told, or told again

    @property
    def background(self) -> bool:
        """Return whether the panel is at rest while it runs: it may run for days."""
        return self in (TimerKind.SWINGER_RESET, TimerKind.MISSING, TimerKind.BATTERY)

    @property
    def of_zone(self) -> bool:
        """Return whether its number is a zone's; else it is an area's, or 0 for the whole panel."""
        return self in (TimerKind.MISSING, TimerKind.BATTERY)


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

    TAMPER = "tamper"
    LOW_BATTERY = "low battery"
    MISSING = "missing"


# What happens ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class DeviceEvent:
    """A device says something about its zone."""

    zone: ZoneNumber


@dataclass(frozen=True, slots=True)
class ZoneOpens(DeviceEvent):
    """A door or a window opens, smoke or water is there, something is held pressed."""


@dataclass(frozen=True, slots=True)
class ZoneCloses(DeviceEvent):
    """What was open or there no longer is."""


@dataclass(frozen=True, slots=True)
class ZoneTrips(DeviceEvent):
    """A movement, a push: open and closed at once."""


@dataclass(frozen=True, slots=True)
class CheckIn(DeviceEvent):
    """Only that it is there."""


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


@dataclass(frozen=True, slots=True)
class QuickExit:
    """Somebody leaves while the area stays armed stay or night."""

    area: AreaNumber
    user: UserNumber


@dataclass(frozen=True, slots=True)
class Disarm:
    """A valid code at the keypad, or a remote's button; it also silences, in every mode."""

    area: AreaNumber
    user: UserNumber


@dataclass(frozen=True, slots=True)
class Bypass:
    """A user takes a zone out of use for the next armed period."""

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
class Expires:
    """A timer has run its time."""

    timer: Timer


Event = DeviceEvent | Arm | QuickExit | Disarm | Bypass | Unbypass | ChimeSwitch | Expires


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


class Line(Enum):
    """What the keypad's display says; where it is about a zone, the zone's label stands before it."""

    OPENED = "open"
    ALARM = "alarm"
    MEMORY = "was in alarm"
    STILL_OPEN = "still open"
    CANT_ARM = "open, can't arm"
    LEFT_OPEN = "open while armed"
    BYPASSED = "bypassed"
    CANT_BYPASS = "can't be bypassed now"
    TAMPER = "tamper"
    LOW_BATTERY = "low battery"
    MISSING = "not heard"
    ARMING = "arming"
    ARMED_STAY = "armed stay"
    ARMED_NIGHT = "armed night"
    ARMED_AWAY = "armed away"
    DISARMED = "disarmed"
    NOBODY_LEFT = "nobody left, armed stay"
    EXIT_ERROR = "left open, disarm or close"
    NOT_SENT = "no message sent"
    CANCEL_SENT = "a cancel message was sent"
    CHIME_ON = "chime on"
    CHIME_OFF = "chime off"


class Told(Enum):
    """Messages that the panel itself names; the alarms' names come from the behaviours."""

    EXIT_ERROR = "exit error"
    RECENT_CLOSING = "recent closing"
    CANCEL = "cancel"
    BYPASS = "zone bypass"
    TAMPER_ALARM = "tamper alarm"
    OPENING = "opening"
    CLOSING = "closing"


@dataclass(frozen=True, slots=True)
class Siren:
    """The sounder plays this pattern from now on; NONE: it is silent. Said again when a new alarm prolongs it."""

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

    line: Line
    zone: ZoneNumber | None = None
    area: AreaNumber | None = None


@dataclass(frozen=True, slots=True)
class Beeps:
    """The keypad sounds."""

    sound: Sound


@dataclass(frozen=True, slots=True)
class Message:
    """The monitoring station is told; about a zone or a user."""

    name: str
    area: AreaNumber
    zone: ZoneNumber | None = None
    user: UserNumber | None = None
    restore: bool = False


Output = Siren | Chime | Spoken | Shown | Beeps | Message

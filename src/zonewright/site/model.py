"""What a technician writes down about one site.

Rules of this file:
1. It holds what was written, in the site's own words; `panel.resolve` works out what that means for a panel. So a
   behaviour, a kind or a setting is a text here, and only the profile knows which exist.
2. No code, pass phrase or key has a field: people have names and roles, and their codes are never written here.
3. Whatever the writer left out is None or empty, so that a default is never taken for a decision.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from zonewright.site.record import (
    AmpereHours,
    Amperes,
    AreaName,
    Celsius,
    Day,
    DeviceName,
    Height,
    Record,
    Seconds,
    WholeNumber,
    YesNo,
    ZoneNumber,
    whole_number,
)

NEXT_FREE = "next free"


class Report(Enum):
    """What the monitoring station hears about a zone."""

    EVERYTHING = "everything"
    ALARMS = "alarms"
    TROUBLES = "troubles"
    NOTHING = "nothing"


class Role(Enum):
    """What a person may do at the panel; `guest` arms and disarms but changes nothing."""

    OWNER = "owner"
    USER = "user"
    GUEST = "guest"


def _one_or_several(value: object) -> object:
    return (value,) if isinstance(value, str) else value


def _number(value: object) -> object:
    if value in (None, NEXT_FREE):
        return None
    try:
        return whole_number(value)
    except ValueError:
        raise ValueError(f"write a whole number, digits only, or {NEXT_FREE}") from None


AreaNames = Annotated[
    tuple[AreaName, ...],
    BeforeValidator(_one_or_several),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}),
]
OptionalZoneNumber = Annotated[
    ZoneNumber | None,
    BeforeValidator(_number),
    WithJsonSchema(
        {"anyOf": [{"type": "integer", "minimum": 0}, {"type": "string", "pattern": f"^([0-9]{{1,9}}|{NEXT_FREE})$"}]}
    ),
]


class ZoneFields(Record):
    """What is decided for one zone, except its number."""

    area: AreaNames
    behaviour: str
    called: str
    place: str | None = None  # the spoken place; the device's room if left out
    delay: str | None = None  # "entry time" or "second entry time"
    chime: str | None = None
    light: WholeNumber | None = None  # at the keypad, lit while the zone is open; 0 or left out: none
    report: Report | None = None
    message_delay: Literal["abort window", "none"] | None = None
    confirmed_by: str | None = None  # the device, input or loop that must also trip before it is an alarm
    verify: YesNo | None = None  # whether the panel resets a wired fire detector once before it believes it
    supervise: YesNo | None = None


class DeviceZone(ZoneFields):
    """The zone of a device with one input: `number: 14` or `number: next free`."""

    number: OptionalZoneNumber = None  # None: the next free one


class InputZone(ZoneFields):
    """The zone of one input of a device, or of a wired loop: `zone: 9` or `zone: next free`."""

    number: OptionalZoneNumber = Field(default=None, alias="zone")


class TransmitterNumber(Record):
    """The number on a device's label, as typed, and what the panel learnt from it."""

    printed: str
    learnt: str | None = None


# What older files wrote in place of `fitted` and `used before`.
_HISTORY = {
    "history": "write fitted: 2026-11-20, the day if it is known, and used before: yes of what was owned before"
}


class Spot(Record):
    """Where a thing hangs."""

    storey: str | None = None
    room: str
    height: Height | None = None  # above the floor [m]


class Device(Record):
    """One sensor, transmitter or button: either with one `zone`, or with a zone for each of its `inputs`."""

    replaced: ClassVar[Mapping[str, str]] = _HISTORY

    kind: str
    number: TransmitterNumber | None = None
    fitted: Day | None = None
    used_before: YesNo = False  # whether somebody owned it before it came here: its age isn't known
    at: Spot | None = None
    guards: str = ""
    fixed: YesNo = False  # for a device usually carried about: it is screwed to a wall, so it is supervised
    zone: DeviceZone | None = None
    inputs: dict[str, InputZone] = Field(default_factory=dict)


class Loop(InputZone):
    """One wired loop: a zone with the devices on it and the way its end is watched."""

    resistor: Literal["none", "single", "double", "triple"] = "none"
    devices: tuple[DeviceName, ...] = ()


class Area(Record):
    """A part of the site that is armed by itself; `number` is its number on the panel; in file order if left out."""

    number: WholeNumber | None = None


class Person(Record):
    """Somebody with a code; the code itself is never written here."""

    refused: ClassVar[Mapping[str, str]] = dict.fromkeys(
        ("code", "codes", "pin", "pass code", "pass phrase", "passphrase", "password", "user code", "duress code"),
        "codes and pass phrases are never written in a site file",
    )

    role: Role
    may: tuple[AreaName, ...] = ()
    slot: WholeNumber | None = None
    duress: YesNo = False  # whether the code of this slot disarms and calls for help without a sign


class Keypad(Record):
    """A keypad of the panel."""

    at: Spot | None = None
    area: AreaNames = ()


class SirenDevice(Record):
    """A sounder of the panel."""

    at: Spot | None = None
    outdoors: YesNo = False


class Remote(Record):
    """A remote control with two buttons; `number` is the one on its label, `slot` its number on the panel."""

    replaced: ClassVar[Mapping[str, str]] = _HISTORY

    number: TransmitterNumber | None = None
    slot: WholeNumber | None = None
    fitted: Day | None = None
    used_before: YesNo = False  # whether somebody owned it before it came here: its age isn't known
    carried_by: str = ""  # one of the people
    area: AreaNames = ()  # every area if left out
    first_button: str | None = None  # "arm away", "disarm" ...; as shipped if left out
    second_button: str | None = None


class Route(Record):
    """A walk from a door to a keypad; `by` and `through` name devices or zone labels."""

    by: str
    through: tuple[str, ...] = ()
    to: str
    takes: Seconds | None = None  # how long somebody slow needs [s]; from the plan if left out


class Must(Record):
    """One thing the owner wants always or never to happen, in the words of the file."""

    never: str | None = None
    always: str | None = None

    @model_validator(mode="after")
    def _one_of_both(self) -> Must:
        if (self.never is None) == (self.always is None):
            raise ValueError("write either never: ... or always: ...")
        return self

    def __str__(self) -> str:
        return f"always: {self.always}" if self.never is None else f"never: {self.never}"


class Acceptance(Record):
    """Somebody's statement that one finding, about one thing or one of the owner's statements, is as wanted."""

    rule: str
    for_: str = Field(alias="for")
    by: str
    on: Day
    because: str


class Station(Record):
    """The monitoring station and how it is reached."""

    account: str
    by: str = ""
    telephone: str = ""


class Load(Record):
    """What one thing, or several alike, draws from the panel's supply."""

    standby: Amperes
    alarm: Amperes | None = None  # the standby current if left out
    count: WholeNumber = 1


class Power(Record):
    """The standby battery and its loads; `standard` says how long it must last."""

    standard: str
    battery: AmpereHours
    coldest: Celsius = 20.0  # the coldest it gets at the battery [degrees C]
    loads: dict[str, Load] = Field(default_factory=dict)


class Installer(Record):
    """Whom the household calls."""

    name: str
    telephone: str = ""


class Site(Record):
    """One site file."""

    things: ClassVar[Mapping[str, str]] = {
        "": "site file",
        "settings": "setting",
        "areas": "area",
        "keypads": "keypad",
        "sirens": "siren",
        "devices": "device",
        "inputs": "input",
        "loops": "loop",
        "remotes": "remote",
        "people": "person",
        "routes": "route",
        "must": "must statement",
        "accept": "acceptance",
    }

    site: str
    revision: WholeNumber = 1
    dated: Day | None = None
    units: Literal["metres", "feet"] = "metres"
    panel: str
    plan: str | None = None
    installer: Installer | None = None
    station: Station | None = None
    power: Power | None = None
    settings: dict[str, str] = Field(default_factory=dict)
    areas: dict[AreaName, Area] = Field(default_factory=dict)
    keypads: dict[str, Keypad] = Field(default_factory=dict)
    sirens: dict[str, SirenDevice] = Field(default_factory=dict)
    devices: dict[DeviceName, Device] = Field(default_factory=dict)
    loops: dict[str, Loop] = Field(default_factory=dict)
    remotes: dict[str, Remote] = Field(default_factory=dict)
    people: dict[str, Person] = Field(default_factory=dict)
    routes: dict[str, Route] = Field(default_factory=dict)
    must: tuple[Must, ...] = ()
    accept: tuple[Acceptance, ...] = ()

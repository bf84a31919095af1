"""What a technician writes down about one site.

Rules of this file:
1. It holds what was written, in the site's own words; what a panel makes of it is `panel.resolve`'s business. So a
   behaviour, a kind or a setting is a text here, and only the profile knows which exist.
2. No code, pass phrase or key has a field: people have names and roles, their codes live sealed elsewhere.
3. Whatever the writer left out is None or empty, so that a default is never taken for a decision.
"""

from __future__ import annotations

from datetime import date
from enum import Enum
from typing import Literal

from pydantic import Field, field_validator, model_validator

from zonewright.site.record import AreaName, DeviceName, Record, WholeNumber, YesNo, ZoneNumber, whole_number

NEXT_FREE = "next free"


class Report(Enum):
    """What the monitoring station is told about a zone."""

    EVERYTHING = "everything"
    ALARMS = "alarms"
    TROUBLES = "troubles"
    NOTHING = "nothing"


class Role(Enum):
    """What a person may do at the panel; `guest` arms and disarms but changes nothing."""

    OWNER = "owner"
    USER = "user"
    GUEST = "guest"


class ZoneFields(Record):
    """What is decided for one zone, except its number."""

    area: tuple[AreaName, ...]
    behaviour: str
    called: str
    place: str | None = None  # the spoken place; the device's room if left out
    delay: str | None = None  # "entry time" or "second entry time"
    chime: str | None = None
    report: Report | None = None
    message_delay: Literal["abort window", "none"] | None = None
    supervise: YesNo | None = None

    @field_validator("area", mode="before")
    @classmethod
    def _one_or_several(cls, value: object) -> object:
        return (value,) if isinstance(value, str) else value


def _number(value: object) -> object:
    return None if value in (None, NEXT_FREE) else whole_number(value)


class DeviceZone(ZoneFields):
    """The zone of a device with one input: `number: 14` or `number: next free`."""

    number: ZoneNumber | None = None  # None: the next free one

    _read_number = field_validator("number", mode="before")(_number)


class InputZone(ZoneFields):
    """The zone of one input of a device, or of a wired loop: `zone: 9` or `zone: next free`."""

    number: ZoneNumber | None = Field(default=None, alias="zone")

    _read_number = field_validator("number", mode="before")(_number)


class TransmitterNumber(Record):
    """The number on a device's label, kept as typed, and what the panel learnt from it."""

    printed: str
    learnt: str | None = None


class History(Record):
    """Where a device comes from; written `new`, `already owned`, or either with `, fitted 2026-11-20`."""

    new: bool
    fitted: date | None = None

    @model_validator(mode="before")
    @classmethod
    def _from_words(cls, value: object) -> object:
        if not isinstance(value, str):
            return value
        start, _, rest = (part.strip() for part in value.partition(","))
        if start not in ("new", "already owned") or (rest and not rest.startswith("fitted ")):
            raise ValueError("write new or already owned, then if you know it: , fitted 2026-11-20")
        day = rest.removeprefix("fitted ").strip() if rest else None
        try:
            return {"new": start == "new", "fitted": date.fromisoformat(day) if day else None}
        except ValueError:
            raise ValueError("write the day it was fitted as year-month-day: fitted 2026-11-20") from None


class Spot(Record):
    """Where a thing hangs."""

    storey: str | None = None
    room: str


class Device(Record):
    """One sensor, transmitter or button: either with one `zone`, or with a zone for each of its `inputs`."""

    kind: str
    number: TransmitterNumber | None = None
    history: History | None = None
    at: Spot | None = None
    guards: str = ""
    zone: DeviceZone | None = None
    inputs: dict[str, InputZone] = Field(default_factory=dict)


class Loop(InputZone):
    """One wired loop: a zone with the devices on it and the way its end is watched."""

    resistor: Literal["none", "single", "double", "triple"] = "none"
    devices: tuple[DeviceName, ...] = ()


class Area(Record):
    """A part of the site that is armed by itself; `number` is its number on the panel, in file order if left out."""

    number: WholeNumber | None = None


class Person(Record):
    """Somebody with a code; the code itself never stands here."""

    role: Role
    may: tuple[AreaName, ...] = ()
    slot: WholeNumber | None = None


class Keypad(Record):
    """A keypad of the panel."""

    at: Spot | None = None
    area: tuple[AreaName, ...] = ()

    @field_validator("area", mode="before")
    @classmethod
    def _one_or_several(cls, value: object) -> object:
        return (value,) if isinstance(value, str) else value


class Route(Record):
    """A walk from a door to a keypad; `by` and `through` name devices or zone labels."""

    by: str
    through: tuple[str, ...] = ()
    to: str


class Must(Record):
    """One thing the owner wants always or never to happen, in the words of the file."""

    never: str | None = None
    always: str | None = None

    @model_validator(mode="after")
    def _one_of_both(self) -> Must:
        if (self.never is None) == (self.always is None):
            raise ValueError("write either never: ... or always: ...")
        return self


class Acceptance(Record):
    """Somebody's word that one finding about one thing is as wanted."""

    rule: str
    for_: str = Field(alias="for")
    by: str
    on: date
    because: str


class Station(Record):
    """The monitoring station and how it is reached."""

    account: str
    by: str = ""
    telephone: str = ""


class Installer(Record):
    """Whom the household calls."""

    name: str
    telephone: str = ""


class Site(Record):
    """One site file."""

    site: str
    revision: WholeNumber = 1
    dated: date | None = None
    units: Literal["metres", "feet"] = "metres"
    panel: str
    plan: str | None = None
    installer: Installer | None = None
    station: Station | None = None
    settings: dict[str, str] = Field(default_factory=dict)
    areas: dict[AreaName, Area] = Field(default_factory=dict)
    keypads: dict[str, Keypad] = Field(default_factory=dict)
    devices: dict[DeviceName, Device] = Field(default_factory=dict)
    loops: dict[str, Loop] = Field(default_factory=dict)
    people: dict[str, Person] = Field(default_factory=dict)
    routes: dict[str, Route] = Field(default_factory=dict)
    must: tuple[Must, ...] = ()
    accept: tuple[Acceptance, ...] = ()

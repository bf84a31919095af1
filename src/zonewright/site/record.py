"""The base of every record that is read from a file, and the small values in such files.

Rules of this file:
1. A file's scalars are always text at first (`site.composer`); these types turn text into values. If they can't, they
   say in plain words what to write; the message of the `ValueError` is what the technician reads.
2. A record is frozen. A field `entry_time` is written `entry time` in a file.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date
from typing import Annotated, ClassVar, NewType

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo, WithJsonSchema

DeviceName = NewType("DeviceName", str)
AreaName = NewType("AreaName", str)
ZoneNumber = NewType("ZoneNumber", int)

_DURATION = re.compile(r"(\d{1,6})\s*(s|sec|seconds?|min|minutes?|h|hours?)", re.ASCII)
_SECONDS_IN = {"s": 1, "m": 60, "h": 3600}
_LENGTH = re.compile(r"(-?\d{1,6}(?:\.\d{1,4})?)\s*(m|ft)?", re.ASCII)
_QUANTITY = re.compile(r"(-?\d{1,6}(?:\.\d{1,4})?) ?([A-Za-z]+)", re.ASCII)
METRES_IN_A_FOOT = 0.3048  # exact, international foot of 1959


class Record(BaseModel):
    """A frozen record; its fields are written with spaces in files.

    `things` says what a part of the file is called when something is wrong in it ("devices" -> "device"; "" is the file
    itself). `refused` holds words that people may try to write as a field but must not, and why; `replaced` holds words
    of older files, and what to write instead.
    """

    things: ClassVar[Mapping[str, str]] = {}
    refused: ClassVar[Mapping[str, str]] = {}
    replaced: ClassVar[Mapping[str, str]] = {}

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        alias_generator=lambda name: name.replace("_", " "),
        populate_by_name=True,
    )


def yes_or_no(text: object) -> bool:
    """Return True for `yes`, False for `no`; nothing else is either."""
    if isinstance(text, bool):
        return text
    if text == "yes":
        return True
    if text == "no":
        return False
    raise ValueError("write yes or no")


def whole_number(text: object) -> int:
    """Return a whole number of at most nine digits, written with digits only."""
    if isinstance(text, int) and not isinstance(text, bool):
        return text
    if isinstance(text, str) and re.fullmatch(r"\d{1,9}", text, re.ASCII):
        return int(text)
    raise ValueError("write a whole number, digits only")


def seconds(text: object) -> int:
    """Return the whole seconds of `45 s`, `5 min` or `12 h`; the unit may not be left out."""
    if isinstance(text, int) and not isinstance(text, bool):
        return text
    found = _DURATION.fullmatch(text.strip()) if isinstance(text, str) else None
    if found is None:
        raise ValueError("write a time with its unit: 45 s, 5 min or 12 h")
    return int(found[1]) * _SECONDS_IN[found[2][0]]


def span(seconds: int) -> str:
    """Return a time in words: 30 s, 540 s, 10 min, 4 h 5 min, 12 h."""
    if seconds < 600:
        return f"{seconds} s"
    hours, rest = divmod(seconds, 3600)
    minutes, odd = divmod(rest, 60)
    parts = ((hours, "h"), (minutes, "min"), (odd, "s"))
    return " ".join(f"{number} {unit}" for number, unit in parts if number)


def metres(text: object, units: str = "metres") -> float:
    """Return metres from `3.2`, `3.2 m` or `10.5 ft`; a bare number counts in the file's own units."""
    if isinstance(text, int | float) and not isinstance(text, bool):
        value, unit = float(text), "m"
    else:
        found = _LENGTH.fullmatch(text.strip()) if isinstance(text, str) else None
        if found is None:
            raise ValueError("write a length: 3.2, 3.2 m or 10.5 ft")
        value, unit = float(found[1]), found[2] or ("ft" if units == "feet" else "m")
    if not math.isfinite(value):
        raise ValueError("write a length that is a number")
    return value * METRES_IN_A_FOOT if unit == "ft" else value


def amperes(text: object) -> float:
    """Return amperes from `65 mA` or `1.2 A`; the unit may not be left out."""
    return _quantity(text, {"mA": 0.001, "A": 1.0}, "write a current with its unit: 65 mA or 1.2 A")


def ampere_hours(text: object) -> float:
    """Return ampere-hours from `7 Ah` or `7.2 Ah`."""
    return _quantity(text, {"Ah": 1.0}, "write a capacity with its unit: 7 Ah")


def celsius(text: object) -> float:
    """Return degrees Celsius from `5 C` or `-10 C`."""
    return _quantity(text, {"C": 1.0}, "write a temperature in degrees Celsius: 5 C or -10 C")


def _quantity(text: object, units: Mapping[str, float], wanted: str) -> float:
    if isinstance(text, int | float) and not isinstance(text, bool):
        return float(text)
    found = _QUANTITY.fullmatch(text.strip()) if isinstance(text, str) else None
    if found is None or found[2] not in units or (found[1].startswith("-") and "C" not in units):
        raise ValueError(wanted)
    return float(found[1]) * units[found[2]]


def day(text: object) -> date:
    """Return the day of `2026-11-20`; no other order, and nothing but digits and hyphens."""
    if isinstance(text, date):
        return text
    if isinstance(text, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
        try:
            return date.fromisoformat(text)
        except ValueError:
            raise ValueError("there is no such day") from None
    raise ValueError("write a day as year-month-day: 2026-11-20")


def _height(text: object, info: ValidationInfo) -> float:
    units = (info.context or {}).get("units", "metres")
    height = metres(text, units)
    if height < 0:
        raise ValueError("a height counts from the floor up and can't be negative")
    return height


def _quantity_in_a_file(unit: str) -> dict[str, object]:
    return {"type": "string", "pattern": rf"^ *-?[0-9]{{1,6}}(\.[0-9]{{1,4}})? ?{unit} *$"}


_NUMBER_IN_A_FILE = {"anyOf": [{"type": "integer", "minimum": 0}, {"type": "string", "pattern": "^[0-9]{1,9}$"}]}
_TIME_IN_A_FILE = {"type": "string", "pattern": r"^\s*[0-9]{1,6}\s*(s|sec|seconds?|min|minutes?|h|hours?)\s*$"}
_LENGTH_IN_A_FILE = {
    "anyOf": [{"type": "number"}, {"type": "string", "pattern": r"^\s*-?[0-9]{1,6}(\.[0-9]{1,4})?\s*(m|ft)?\s*$"}]
}

YesNo = Annotated[bool, BeforeValidator(yes_or_no), WithJsonSchema({"enum": ["yes", "no"]})]
WholeNumber = Annotated[int, BeforeValidator(whole_number), WithJsonSchema(_NUMBER_IN_A_FILE)]
Seconds = Annotated[int, BeforeValidator(seconds), WithJsonSchema(_TIME_IN_A_FILE)]
Day = Annotated[date, BeforeValidator(day), WithJsonSchema({"type": "string", "format": "date"})]
Height = Annotated[float, BeforeValidator(_height), WithJsonSchema(_LENGTH_IN_A_FILE)]  # metres above the floor
Amperes = Annotated[float, BeforeValidator(amperes), WithJsonSchema(_quantity_in_a_file("(mA|A)"))]
AmpereHours = Annotated[float, BeforeValidator(ampere_hours), WithJsonSchema(_quantity_in_a_file("Ah"))]
Celsius = Annotated[float, BeforeValidator(celsius), WithJsonSchema(_quantity_in_a_file("C"))]

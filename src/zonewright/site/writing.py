"""A site written as a file: the way a technician would type it.

Rules of this file:
1. What is written reads back as the same site; a test checks this for any site.
2. A text is written without quotes if nothing in it could be mistaken for something else, otherwise in double quotes.
3. Devices are blocks with their zone on a line; short things are in braces; lines are as short as they can be.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from datetime import date
from enum import Enum

from zonewright.site.model import NEXT_FREE, Device, DeviceZone, InputZone, Site
from zonewright.site.record import Record

WIDTH = 110
UNITS = {"height": "m", "standby": "A", "alarm": "A", "battery": "Ah", "coldest": "C"}  # of fields that hold quantities
_PLAIN = re.compile(
    r"[A-Za-z](?:[A-Za-z0-9_./'-]| (?=[A-Za-z0-9]))*"  # words
    r"|[1-9]\d{0,8}(?: (?:s|min|h))?"  # numbers and times
    r"|-?\d{1,6}(?:\.\d{1,4})? (?:m|A|Ah|C)",  # quantities with their units
    re.ASCII,
)
_WORDS = frozenset({"yes", "no", "null", "true", "false", "none", "on", "off", "y", "n"})


EDITOR = "# yaml-language-server: $schema=zonewright.schema.json"  # `zonewright schema` writes that file


def site_text(site: Site, head: str = "") -> str:
    """Return a site as the text of a file; `head` is a comment at the top, below the line for editors."""
    lines = [EDITOR, *(f"# {line}" for line in head.splitlines())]
    for name, value in _fields(site):
        if isinstance(value, dict) and value and isinstance(next(iter(value.values())), Device):
            lines += ["", f"{name}:"]
            for device, fields in value.items():
                lines += _device(str(device), fields)
            lines.append("")
        elif isinstance(value, tuple):
            lines += [f"{name}:", *(f"  - {_value(each)}" for each in value)] if value else [f"{name}: []"]
        else:
            lines += _wrapped(f"{scalar(name)}: ", value, "")
    return "\n".join(lines).rstrip("\n") + "\n"


def scalar(text: str) -> str:
    """Return a text as it is written in a file, in quotes if necessary."""
    if _PLAIN.fullmatch(text) and text.lower() not in _WORDS:
        return text
    return json.dumps(text, ensure_ascii=False)


def _device(name: str, device: Device) -> Iterator[str]:
    yield f"  {scalar(name)}:"
    for field, value in _fields(device):
        if field == "inputs":
            if value:
                yield "    inputs:"
                for each, zone in value.items():  # type: ignore[attr-defined]
                    yield from _wrapped(f"      {scalar(each)}: ", zone, "      ")
        else:
            yield from _wrapped(f"    {field}: ", value, "    ")


def _wrapped(start: str, value: object, indent: str) -> Iterator[str]:
    """Yield a value on one line, or a map in braces over several."""
    whole = f"{start}{_value(value)}"
    pairs = _pairs(value)
    if len(whole) <= WIDTH or pairs is None:
        yield whole
        return
    line = f"{start}{{"
    for place, pair in enumerate(pairs):
        piece = pair + ("}" if place == len(pairs) - 1 else ",")
        if len(line) + len(piece) + 1 > WIDTH and not line.endswith("{"):
            yield line
            line = f"{indent}    {piece}"
        else:
            line += piece if line.endswith("{") else f" {piece}"
    yield line


def _pairs(value: object) -> list[str] | None:
    if isinstance(value, Record):
        return [f"{scalar(name)}: {_value(one)}" for name, one in _fields(value)]
    if isinstance(value, Mapping) and value:
        return [f"{scalar(str(name))}: {_value(one)}" for name, one in value.items()]
    return None


def _fields(record: Record) -> list[tuple[str, object]]:
    """Return what a record says, by the names used in files; a number left to the panel is included."""
    found: list[tuple[str, object]] = []
    fields = list(type(record).model_fields.items())
    if isinstance(record, DeviceZone | InputZone):
        fields.sort(key=lambda each: each[0] != "number")
    for name, field in fields:
        value, word = getattr(record, name), field.alias or name
        if name == "area" and isinstance(value, tuple) and len(value) == 1:
            value = str(value[0])
        if isinstance(value, float):
            value = f"{value:.4f}".rstrip("0").rstrip(".") + f" {UNITS[name]}"
        if value is None and isinstance(record, DeviceZone | InputZone) and name == "number":
            value = NEXT_FREE
        unsaid = not field.is_required() and value == field.get_default(call_default_factory=True)
        if value is not None and not unsaid:
            found.append((word, value))
    return found


def _value(value: object) -> str:
    pairs = _pairs(value)
    if pairs is not None:
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, Mapping):
        return "{}"
    if isinstance(value, tuple):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, int | date):
        return str(value)
    return scalar(str(value))

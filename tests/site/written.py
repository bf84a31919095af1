"""A site written as a file, for tests that read it back."""

from __future__ import annotations

import json
from datetime import date
from enum import Enum

from zonewright.site.model import NEXT_FREE, DeviceZone, History, InputZone
from zonewright.site.record import Record


def written(record: Record) -> str:
    """Return a record as text in the subset: every text quoted, every map in braces."""
    return "\n".join(f"{_text(name)}: {_value(value)}" for name, value in _fields(record)) + "\n"


def _fields(record: Record) -> list[tuple[str, object]]:
    fields = type(record).model_fields
    left_out_is_told = isinstance(record, DeviceZone | InputZone)  # a number left out may also be written
    pairs = [(field.alias or name, getattr(record, name)) for name, field in fields.items()]
    return [
        (word, NEXT_FREE if value is None and left_out_is_told and word in ("number", "zone") else value)
        for word, value in pairs
        if value is not None or (left_out_is_told and word in ("number", "zone"))
    ]


def _value(value: object) -> str:
    if isinstance(value, History):
        start = "new" if value.new else "already owned"
        return _text(f"{start}, fitted {value.fitted}" if value.fitted else start)
    if isinstance(value, Record):
        return "{" + ", ".join(f"{_text(name)}: {_value(one)}" for name, one in _fields(value)) + "}"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(str(name))}: {_value(one)}" for name, one in value.items()) + "}"
    if isinstance(value, tuple):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, float):
        return f"{value:.4f} m"
    if isinstance(value, int | date):
        return str(value)
    assert isinstance(value, str), f"no way to write {type(value)}"
    return _text(value)


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)

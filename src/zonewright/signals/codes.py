"""What the event codes of DC-05 mean, in our words.

Rules of this file:
1. The table is the data file in this folder; nothing else gives a code's meaning.
2. An unlisted code is kept and described by its first digit, never refused.
"""

from __future__ import annotations

from functools import cache
from typing import Literal, NamedTuple

from zonewright.signals.code_files import rows

Names = Literal["zone", "user", "device", "download"]
BY_FIRST_DIGIT = {
    "1": "alarm", "2": "supervisory", "3": "trouble", "4": "open, close or remote", "5": "disabled or bypassed",
    "6": "test or other", "7": "by local agreement", "9": "download or other",
}  # fmt: skip
OPEN_CLOSE = frozenset({"400", "401", "402", "403", "404", "405", "406", "407", "408", "409", "441", "442"})


class EventCode(NamedTuple):
    """One code: what its last three digits name, and what it means."""

    code: str
    names: Names
    meaning: str


@cache
def event_codes() -> dict[str, EventCode]:
    """Return every listed code."""
    return {code: EventCode(code, _NAMES[names], meaning) for code, names, meaning in rows("dc05_codes.tsv")}


def meaning_of(code: str) -> EventCode:
    """Return what a code means; an unlisted one is described by its first digit."""
    known = event_codes().get(code)
    if known is not None:
        return known
    if "750" <= code <= "789":
        return EventCode(code, "zone", "by local agreement: see the job's own table")
    return EventCode(code, "zone", f"{BY_FIRST_DIGIT.get(code[:1], 'event')}, not in the table")


_NAMES: dict[str, Names] = {"zone": "zone", "user": "user", "device": "device", "download": "download"}

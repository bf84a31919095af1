"""What is done at a keypad, as records: one answer, a job's worth of them, and a job that can't be done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from zonewright.entry.keypad.standing import KeypadState
from zonewright.entry.keypad.styles import Keys
from zonewright.panel.programme import Item, Value


class Act(Enum):
    """What one stroke does."""

    WAY_IN = "way in"
    CODE = "own code to be let in"
    CHOICE = "choice"
    NUMBER = "number"
    CHANGE = "change"  # a new answer is given
    KEEP = "keep"  # the present answer is taken as it is
    LOOK = "look"
    TRIP = "trip"
    LEAVE = "leave"
    PLACE = "place"


class Stroke(NamedTuple):
    """One question and what is done there: the keys pressed, or the number of the device to be tripped."""

    act: Act
    node: str
    keys: Keys
    trip: str | None
    item: Item | None
    value: Value | None
    before: KeypadState
    after: KeypadState


@dataclass(frozen=True, slots=True)
class KeyingJob:
    """What one run of questions is for."""

    group: str  # "zone", "user", or "" for settings
    number: int | None
    gone: bool  # to be taken out
    wanted: Mapping[Item, Value]  # what its items should hold


@dataclass(frozen=True, slots=True)
class Driven:
    """One job done: its strokes, and the panel after it."""

    job: KeyingJob
    strokes: tuple[Stroke, ...]


class NoWay(Exception):
    """The keypad can't be brought to hold this; the text names the item."""

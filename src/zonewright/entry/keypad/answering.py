"""What all styles of answers share: `Typing` and `Taken`, their five methods, and the signs that displays use.

Rules of this file:
1. Records and names only; the styles themselves are in `styles` and `picking`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from zonewright.panel.profile import Answer

Keys = tuple[str, ...]
DIGITS = frozenset("0123456789")
PAUSE = "pause"  # no key: the time after which a letter typed by taps is closed
NO = "no"  # what the display says to a key without meaning
BLANK, HIDDEN, UNSET = "_", "*", "-"


@dataclass(frozen=True, slots=True)
class Typing:
    """The answer isn't given yet; `buffer` is what was typed so far, `message` what the display says meanwhile."""

    buffer: str
    message: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """The answer is given."""

    value: str


class AnswerStyle(Protocol):
    """The five methods of a style."""

    def start(self, answer: Answer, present: str | None) -> str:
        """Return the buffer at the moment when the question comes."""

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        """Return what one key does; a key without meaning leaves the buffer and says `no`."""

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        """Return the display's answer line."""

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        """Return the keys that give `wanted` when the question has just come."""

    def parse(self, answer: Answer, shown: str) -> str | None:
        """Return the present value that the display shows when the question has just come; None for nothing yet."""

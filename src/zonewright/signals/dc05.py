"""DC-05 (ANSI/SIA DC-05, "Contact ID"): one event in sixteen digits.

`ACCT MT Q XYZ GG CCC S`: account, message type, qualifier, event, group (area), zone or user, check digit.
Source: SpanDSP's summary of DC-05-1999 and a public-domain library that cites DC-05-2016, both seen; the standard
itself was not read.

Rules of this file:
1. Every field keeps the digits that came: zeros in front and hex letters matter.
2. Reading is total: any text gives a message, or a fault with the place of what is wrong.
3. A right check digit proves little: swapped digits pass it. Nothing here relies on it alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

DIGITS = "0123456789BCDEF"  # A is no digit (DC-05-2016 4.1.2.2, seen second-hand)
LENGTH = 16
MESSAGE_TYPES = ("18", "98")
NEW_FORM = "58"  # listed for 2016; its layout was never seen


class Qualifier(Enum):
    """What happened to the event."""

    NEW = "1"  # a new event; an opening (disarming)
    RESTORE = "3"  # over again; a closing (arming)
    STILL = "6"  # reported before and still there


@dataclass(frozen=True, slots=True)
class Dc05:
    """One message; each field as its digits."""

    account: str
    event: str
    group: str
    ccc: str  # zone or user, by event
    qualifier: Qualifier = Qualifier.NEW
    message_type: str = "18"

    @property
    def body(self) -> str:
        """Return the first fifteen digits."""
        return f"{self.account}{self.message_type}{self.qualifier.value}{self.event}{self.group}{self.ccc}"

    @property
    def digits(self) -> str:
        """Return all sixteen digits."""
        return self.body + check_digit(self.body)


@dataclass(frozen=True, slots=True)
class BadLine:
    """Why a text is no message; `at` counts characters from 0; None if no single one is wrong."""

    says: str
    at: int | None = None


def value(digit: str) -> int:
    """Return what a digit counts in the sum: itself, ten for 0, 11 to 15 for B to F."""
    return 10 if digit == "0" else int(digit, 16)


def check_digit(body: str) -> str:
    """Return the digit that makes the values of all sixteen a multiple of 15: `0` stands for 10, `F` for 15.

    Check value: `123418113101015` gives `8` (worked example of DC-05-1999, seen in a public README).
    """
    missing = 15 - sum(map(value, body)) % 15
    return "0" if missing == 10 else f"{missing:X}"


def decode(text: str) -> Dc05 | BadLine:
    """Read sixteen digits; blanks between the fields are allowed."""
    digits = text.replace(" ", "")
    for place, sign in enumerate(digits[: LENGTH + 1]):
        if sign not in DIGITS:
            return BadLine(f'"{sign}" is no digit of DC-05: 0 to 9 and B to F are', place)
    if len(digits) != LENGTH:
        return BadLine(f"{len(digits)} digits; a message has {LENGTH}")
    kind, qualifier = digits[4:6], digits[6]
    if kind == NEW_FORM:
        return BadLine("message type 58, a newer form whose layout is not known here", 4)
    if kind not in MESSAGE_TYPES:
        return BadLine(f"message type {kind}; {' or '.join(MESSAGE_TYPES)} are known", 4)
    if qualifier not in {each.value for each in Qualifier}:
        return BadLine(f"qualifier {qualifier}; 1, 3 and 6 are known", 6)
    if not digits[7:10].isdigit():
        return BadLine(f"event {digits[7:10]}; events have decimal digits", 7)
    wanted = check_digit(digits[:15])
    if digits[15] != wanted:
        return BadLine(f"check digit {digits[15]}; the others ask for {wanted}", 15)
    return Dc05(digits[:4], digits[7:10], digits[10:12], digits[12:15], Qualifier(qualifier), kind)

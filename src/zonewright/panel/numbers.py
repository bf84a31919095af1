"""Transmitter numbers: which printed digits count, and how the number that a panel learnt differs from them.

Rules of this file:
1. A printed number stays as typed; the kind of device says which of its digits count (`digits: 3-8`).
2. Look-alike digits: print by common practice (Thorndike on 3, 5 and 8; Beier on 1 and 7; seen second-hand), seven
   segments computed from the segments each digit lights. No table of rates was seen, so pairs carry no weights.
"""

from __future__ import annotations

from dataclasses import dataclass

from zonewright.panel.profile import Kind

LOOK_ALIKE = frozenset(
    frozenset(pair)
    for pair in ("38", "35", "58", "68", "08", "56", "89", "06", "69", "17", "14", "47", "27", "49", "39", "59")
)
LETTER_FOR = {"O": "0", "D": "0", "I": "1", "L": "1", "Z": "2", "S": "5", "B": "8", "G": "6"}


@dataclass(frozen=True, slots=True)
class DigitDifference:
    """One place, counted from 1 among the digits that count, where two numbers differ."""

    place: int
    printed: str
    learnt: str
    likely: str


class UnreadableNumber(ValueError):
    """A printed number doesn't have the form that its kind of device prints; the text says what to write."""


def counted_digits(kind: Kind, printed: str) -> str:
    """Return the digits of a printed number that count.

    Raises
    ------
    UnreadableNumber
        If there is a letter among the digits, or there are too few or too many of them.
    """
    compact = printed.replace(" ", "").replace("-", "")
    body = compact[:-1] if kind.letter and compact[-1:].isalpha() else compact
    for position, sign in enumerate(body, 1):
        if not (sign.isascii() and sign.isdigit()):
            meant = LETTER_FOR.get(sign.upper())
            hint = f", perhaps {meant}" if meant else ""
            raise UnreadableNumber(f'sign {position} is "{sign}", where a digit belongs{hint}')
    if kind.printed is not None and len(body) != kind.printed:
        raise UnreadableNumber(f"it has {len(body)} digits, the label of this kind shows {kind.printed}")
    if kind.digits is None:
        return body
    first, _, last = kind.digits.partition("-")
    return body[int(first) - 1 : int(last)]


def differences(printed: str, learnt: str) -> tuple[DigitDifference, ...]:
    """Return where two numbers differ, place by place, each with its likely reason; empty if they agree."""
    if len(printed) != len(learnt):
        return (DigitDifference(0, printed, learnt, f"{len(learnt)} digits instead of {len(printed)}"),)
    wrong = [place for place, (a, b) in enumerate(zip(printed, learnt, strict=True)) if a != b]
    if (
        len(wrong) == 2
        and wrong[1] == wrong[0] + 1
        and printed[wrong[0]] == learnt[wrong[1]]
        and printed[wrong[1]] == learnt[wrong[0]]
    ):
        first = wrong[0]
        return (
            DigitDifference(first + 1, printed[first : first + 2], learnt[first : first + 2], "neighbours swapped"),
        )
    return tuple(
        DigitDifference(place + 1, printed[place], learnt[place], _likely(printed[place], learnt[place]))
        for place in wrong
    )


def _likely(printed: str, learnt: str) -> str:
    return "they look alike: a misread" if frozenset(printed + learnt) in LOOK_ALIKE else "another digit"

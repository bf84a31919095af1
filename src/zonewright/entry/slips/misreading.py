"""Wrong answers that people may give to one question, as values: misread digits, a neighbouring choice, another word.

Rules of this file:
1. The profile decides what is near: choices in their order, letters on their keys, words by their codes.
2. A wrong value is one that the panel would take.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum

from zonewright.panel.answers import is_identity, refuses, typed
from zonewright.panel.numbers import LOOK_ALIKE
from zonewright.panel.profile import Answer, Style


class SlipKind(Enum):
    """What went wrong: a key, or the answer that somebody had in mind."""

    NEAR_KEY = "near key"
    DROPPED = "dropped"
    DOUBLED = "doubled"
    SWAPPED = "swapped"
    ONE_TOO_MANY = "one too many"
    ONE_TOO_FEW = "one too few"
    FLIPPED = "flipped"
    MISREAD = "misread"
    OTHER_WORD = "other word"
    MISTAPPED = "one tap off"
    WORD_LEFT_OUT = "word left out"
    OTHER_NUMBER = "wrong number"
    OTHER_DEVICE = "another device tripped"
    TIMED_OUT = "timed out"
    NOT_KEPT = "not kept"
    LEFT = "left as it was"


WEIGHTS = {
    SlipKind.NEAR_KEY: 2.0, SlipKind.DROPPED: 1.0, SlipKind.DOUBLED: 1.0, SlipKind.SWAPPED: 1.0,
    SlipKind.ONE_TOO_MANY: 2.0, SlipKind.ONE_TOO_FEW: 2.0, SlipKind.FLIPPED: 2.0, SlipKind.MISREAD: 3.0,
    SlipKind.OTHER_WORD: 1.0, SlipKind.WORD_LEFT_OUT: 1.0, SlipKind.OTHER_NUMBER: 2.0, SlipKind.OTHER_DEVICE: 1.0,
    SlipKind.MISTAPPED: 2.0, SlipKind.TIMED_OUT: 1.0, SlipKind.NOT_KEPT: 1.0, SlipKind.LEFT: 1.0,
}  # fmt: skip


def near_codes(answer: Answer, value: str) -> list[str]:
    """Return the choices whose code is one key from that of a value."""
    code = answer.codes[value]
    return [choice for choice, other in answer.codes.items() if sum(map(str.__ne__, code, other)) == 1]


def mistapped(answer: Answer, value: str) -> Iterator[str]:
    """Return texts in which one letter is that before or after it on its key."""
    for n, sign in enumerate(value):
        letters = next(each for each in answer.taps.values() if sign in each.replace("_", " "))
        if len(letters) > 1:
            for step in (1, -1):
                other = letters[(letters.index(sign) + step) % len(letters)]
                yield value[:n] + other + value[n + 1 :]


def misreads(digits: str) -> Iterator[str]:
    """Return numbers that differ by one look-alike digit or by neighbours swapped."""
    for n, digit in enumerate(digits):
        for other in "0123456789":
            if frozenset(digit + other) in LOOK_ALIKE:
                yield digits[:n] + other + digits[n + 1 :]
        if n + 1 < len(digits) and digits[n + 1] != digit:
            yield digits[:n] + digits[n + 1] + digit + digits[n + 2 :]


def wrong_values(answer: Answer, value: str) -> Iterator[tuple[SlipKind, str]]:
    """Give every wrong value that somebody may answer instead of a right one, each once, with what went wrong."""
    seen = {value}
    for kind, wrong in _wrong(answer, value):
        if wrong not in seen and refuses(answer, wrong) is None:
            seen.add(wrong)
            yield kind, wrong


def _wrong(answer: Answer, value: str) -> Iterator[tuple[SlipKind, str]]:
    match answer.style:
        case Style.OFFER | Style.SCROLL if answer.choices:
            ring = list(answer.choices)
            at = ring.index(value) if value in ring else 0
            yield SlipKind.ONE_TOO_MANY, ring[(at + 1) % len(ring)]
            yield SlipKind.ONE_TOO_FEW, ring[at - 1]
        case Style.OFFER:
            pass  # a profile refuses one without choices
        case Style.SCROLL:
            yield SlipKind.ONE_TOO_MANY, str(int(value) + answer.step)
            yield SlipKind.ONE_TOO_FEW, str(int(value) - answer.step)
        case Style.FLAG:
            yield SlipKind.FLIPPED, "no" if value == "yes" else "yes"
        case Style.DIGITS | Style.WHEEL:
            for wrong in misreads(typed(answer, value)):
                yield SlipKind.MISREAD, wrong if is_identity(answer) else str(int(wrong))
        case Style.LETTERS:
            yield from ((SlipKind.OTHER_WORD, choice) for choice in near_codes(answer, value))
        case Style.TAP:
            yield from ((SlipKind.MISTAPPED, text) for text in mistapped(answer, value))
        case Style.TRIP:
            yield from ((SlipKind.OTHER_DEVICE, number) for number in misreads(value))
        case Style.WORDS:
            yield from _wrong_words(answer, value.split())
        case Style.SECRET:
            pass  # nobody sees it, and a Programme holds only that there is one


def _wrong_words(answer: Answer, words: list[str]) -> Iterator[tuple[SlipKind, str]]:
    for n, word in enumerate(words):
        for code in misreads(answer.codes.get(word, "")):
            if code in answer.word_of:
                yield SlipKind.OTHER_WORD, " ".join([*words[:n], answer.word_of[code], *words[n + 1 :]])
        if len(words) > 1:
            yield SlipKind.WORD_LEFT_OUT, " ".join([*words[:n], *words[n + 1 :]])

"""What transcripts have to touch of one answer: its choices, its limits, its refusals, each kind of its keys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from zonewright.entry.keypad.answering import NO
from zonewright.entry.keypad.standing import HEARD
from zonewright.entry.keypad.styles import DIGITS
from zonewright.panel.answers import is_identity, refuses, typed
from zonewright.panel.profile import Answer, Style

OPEN = "|"  # stands behind a tapped text whose last letter is still open


@dataclass(frozen=True)
class Key:
    """One key at an answer: what was typed before and after it, and what it gave if it took something."""

    key: str
    before: str
    after: str
    message: str
    taken: str | None


def wanted(answer: Answer, *, typed_back: bool) -> Iterator[str]:
    """Yield the points of one answer; `typed_back` where `back` wipes what was typed."""
    match answer.style:
        case Style.OFFER:
            yield from (f"takes {choice}" for choice in answer.choices)
            yield "goes round past the last"
        case Style.SCROLL:
            values = answer.scrolled
            yield from (f"takes {value}" for value in (values if answer.choices else (values[0], values[-1])))
            yield from ("goes round past the last", "goes round before the first")
        case Style.FLAG:
            yield from ("takes yes", "takes no")
        case Style.WORDS:
            yield from (f"word {word}" for word in answer.codes)
            yield from ("no such word", "too many words")
        case Style.LETTERS:
            yield from (f"takes {choice}" for choice in answer.choices)
            yield from ("no such choice", "a letter too many", "taken half typed")
        case Style.TAP:
            signs = {key: letters.replace("_", " ") for key, letters in answer.taps.items()}
            yield from (f"sign {sign}" for letters in signs.values() for sign in letters)
            yield from (f"round on {key}" for key, letters in signs.items() if len(letters) > 1)
            yield from ("a pause parts two letters of one key", "too many signs", "as many signs as it holds")
            yield from (f"refused: {why}" for why in ("blank first", "blank last", "two blanks"))
        case Style.DIGITS:
            yield from _limits(answer)
            if answer.closing:
                yield "a digit too many"
            if answer.closing and (answer.width or 1) > 1:
                yield "taken half typed" if is_identity(answer) else "fewer digits"
        case Style.WHEEL:
            places = range(1, (answer.width or 1) + 1)
            yield from (f"turns digit {place} {way}" for place in places for way in ("up", "down"))
            yield from ("from 9 round to 0", "from 0 round to 9", "from the last digit to the first", "takes")
        case Style.SECRET:
            yield from ("taken", *(() if answer.takes_itself else ("taken half typed", "a key too many")))
        case Style.TRIP:
            pass
    several = answer.style is not Style.DIGITS or (answer.width or 1) > 1
    if typed_back and several and answer.style in (Style.WORDS, Style.DIGITS, Style.SECRET):
        yield "back with something typed"


def _limits(answer: Answer) -> Iterator[str]:
    least, most = answer.least or 0, answer.most_value or 0
    for value in (least - answer.step, least, most, most + answer.step):
        if value >= 0 and len(str(value)) <= (answer.width or 1):
            yield f"types {typed(answer, str(value))}"
    if answer.step > 1:
        yield "off the step"


def keeps_the_present(answer: Answer) -> bool:
    """Return whether an answer has a key that keeps what is there with nothing typed."""
    return answer.style in (Style.WORDS, Style.DIGITS, Style.SECRET, Style.LETTERS, Style.TAP)


def touched(answer: Answer, press: Key, digits: str) -> Iterator[str]:
    """Yield the points that one key touches; `digits` are those typed up to here with nothing between."""
    if press.message.startswith("no such"):
        yield press.message
    if press.taken is not None and press.before not in ("", HEARD):
        yield f"takes {press.taken}"
    match answer.style:
        case Style.OFFER | Style.SCROLL:
            yield from _scrolled(answer, press)
        case Style.FLAG if press.taken is not None:
            yield f"takes {press.taken}"
        case Style.WORDS:
            words = [word for word in press.after.split() if not word.isdigit()]
            yield from (f"word {word}" for word in words)
            if press.message == NO and len(words) == answer.most and press.key in DIGITS:
                yield "too many words"
        case Style.LETTERS:
            if press.message == NO and press.key in answer.letter_keys and len(press.before) == answer.code_length:
                yield "a letter too many"
            if press.message == NO and press.key == answer.take and len(press.before) < answer.code_length:
                yield "taken half typed"
        case Style.TAP:
            yield from _tapped(answer, press)
        case Style.DIGITS:
            yield from _typed(answer, press, digits)
        case Style.WHEEL:
            yield from _turned(answer, press)
        case Style.SECRET:
            yield from _hidden(answer, press)
        case _:
            pass


def _scrolled(answer: Answer, press: Key) -> Iterator[str]:
    values = answer.scrolled if answer.style is Style.SCROLL else tuple(answer.choices)
    if press.key == answer.next and press.before == values[-1]:
        yield "goes round past the last"
    if press.key == answer.previous and press.before == values[0]:
        yield "goes round before the first"


def _tapped(answer: Answer, press: Key) -> Iterator[str]:
    text, before = press.after.removesuffix(OPEN), press.before.removesuffix(OPEN)
    letters = answer.taps.get(press.key, "").replace("_", " ")
    if letters and not press.message:
        yield f"sign {text[-1]}"
        if press.before.endswith(OPEN) and before[-1] == letters[-1] and len(letters) > 1 and len(text) == len(before):
            yield f"round on {press.key}"
        if not press.before.endswith(OPEN) and before and before[-1] in letters:
            yield "a pause parts two letters of one key"
        if len(text) == answer.most:
            yield "as many signs as it holds"
    if letters and press.message == NO and len(before) == answer.most:
        yield "too many signs"
    if press.key == answer.take and press.message == NO:
        whys = {"blank first": before.startswith(" "), "blank last": before.endswith(" "), "two blanks": "  " in before}
        yield from (f"refused: {why}" for why, so in whys.items() if so and sum(whys.values()) == 1)


def _typed(answer: Answer, press: Key, digits: str) -> Iterator[str]:
    width = answer.width or 1
    if press.key in answer.closing and press.before:
        digits = press.before
        if press.message == NO:
            yield "taken half typed"
        elif len(digits) < width and press.taken is not None:
            yield "fewer digits"
    elif answer.closing or press.key not in DIGITS or len(digits) != width:
        if press.key in DIGITS and press.message == NO and len(press.before) == width:
            yield "a digit too many"
        return
    yield f"types {typed(answer, digits)}"
    inside = (answer.least or 0) <= int(digits) <= (answer.most_value or 0)
    if inside and refuses(answer, digits if is_identity(answer) else str(int(digits))):
        yield "off the step"


def _turned(answer: Answer, press: Key) -> Iterator[str]:
    (before, _, at), after = press.before.partition(" "), press.after.partition(" ")[0]
    if press.taken is not None:
        yield "takes"
    if press.key == answer.along and int(at) == len(before) - 1:
        yield "from the last digit to the first"
    if press.key in (answer.next, answer.previous):
        yield f"turns digit {int(at) + 1} {'up' if press.key == answer.next else 'down'}"
        turn = before[int(at)] + after[int(at)]
        if turn in ("90", "09"):
            yield f"from {turn[0]} round to {turn[1]}"


def _hidden(answer: Answer, press: Key) -> Iterator[str]:
    if press.taken is not None and press.before:
        yield "taken"
    if press.message == NO and press.before and press.key == answer.take:
        yield "taken half typed"
    if press.message == NO and press.key in answer.made_of and len(press.before) == answer.width:
        yield "a key too many"

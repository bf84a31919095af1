"""How each style of answer takes keys, shows what it has, and which keys give a wanted value.

Rules of this file:
1. One small class for each style, with its five methods together, so that `keys` can be compared with `press`.
2. A style sees one answer, the present value and its own buffer; it knows no node, no Programme and no time.
3. A law that a test checks: from any present value, pressing `keys(wanted)` gives `wanted` at the last key, never
   before.
4. The present value may be None (nothing there yet) or UNKNOWN ("?": a panel that somebody else programmed).
"""

from __future__ import annotations

from zonewright.entry.keypad.answering import (
    BLANK,
    DIGITS,
    HIDDEN,
    NO,
    PAUSE,
    UNSET,
    AnswerStyle,
    Keys,
    Taken,
    Typing,
)
from zonewright.entry.keypad.picking import Letters, Scroll, Tap, Wheel
from zonewright.panel.answers import SECRET_SET, is_identity, limits, refuses, typed
from zonewright.panel.profile import Answer, Style
from zonewright.panel.programme import UNKNOWN

__all__ = ["DIGITS", "NO", "PAUSE", "STYLES", "Digits", "Keys", "Taken", "Typing"]


class Digits:
    """Digits typed, shown as they come, taken by themselves at the full width, or by a key if the answer has one.

    With nothing typed the key keeps the present number. An identity needs all its digits.
    """

    def start(self, answer: Answer, present: str | None) -> str:
        return ""

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        width = answer.width or 1
        if key == answer.take and not buffer and present is not None:
            return Typing(buffer, NO) if present == UNKNOWN else Taken(present)
        takes = key in answer.closing and bool(buffer) and (len(buffer) == width or not is_identity(answer))
        if not takes and (key not in DIGITS or len(buffer) == width):
            return Typing(buffer, NO)
        typed_so_far = buffer if takes else buffer + key
        if not takes and (len(typed_so_far) < width or answer.closing):
            return Typing(typed_so_far)
        value = typed_so_far if is_identity(answer) else str(int(typed_so_far))
        if refuses(answer, value):
            return Typing("", f"{NO}: {limits(answer)}")
        return Taken(value)

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        if not buffer and present is not None:
            return present if present == UNKNOWN else typed(answer, present)
        return buffer.ljust(answer.width or 1, BLANK)

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        if present == wanted and answer.take is not None:
            return (answer.take,)
        return (*typed(answer, wanted), *answer.closing)

    def parse(self, answer: Answer, shown: str) -> str | None:
        if BLANK in shown:
            return None
        if shown == UNKNOWN:
            return UNKNOWN
        return shown if is_identity(answer) else str(int(shown))


class Words:
    """Words, each typed by its code; the closing key takes them, or keeps the present ones if nothing is typed."""

    def start(self, answer: Answer, present: str | None) -> str:
        return ""

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        words, code = _words_and_code(buffer)
        if key == answer.ends_with:
            if not buffer and present is not None and present != UNKNOWN:
                return Taken(present)
            return Taken(" ".join(words)) if words and not code else Typing(buffer, NO)
        if key not in DIGITS or (len(words) == answer.most and not code):
            return Typing(buffer, NO)
        code += key
        if len(code) < answer.code_length:
            return Typing(" ".join([*words, code]))
        word = answer.word_of.get(code)
        if word is None:
            return Typing(" ".join(words), "no such word")
        return Typing(" ".join([*words, word]))

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        if not buffer:
            return BLANK if present is None else present
        words, code = _words_and_code(buffer)
        return " ".join([*words, code.ljust(answer.code_length, BLANK)] if code else words)

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        end = answer.ends_with or ""
        if present == wanted:
            return (end,)
        return (*(digit for word in wanted.split() for digit in answer.codes[word]), end)

    def parse(self, answer: Answer, shown: str) -> str | None:
        return None if shown == BLANK else shown


class Offer:
    """Choices offered one after another; one key for the next, one to take what is shown."""

    def start(self, answer: Answer, present: str | None) -> str:
        return next(iter(answer.choices)) if present is None or _no_choice(answer, present) else present

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        choices = list(answer.choices)
        if key == answer.take:
            return Typing(buffer, NO) if buffer == UNKNOWN else Taken(buffer)
        if key == answer.next:
            following = 0 if buffer == UNKNOWN else (choices.index(buffer) + 1) % len(choices)
            return Typing(choices[following])
        return Typing(buffer, NO)

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        return UNKNOWN if buffer == UNKNOWN else f"{answer.choices[buffer]}?"

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        choices = list(answer.choices)
        start = self.start(answer, present)
        presses = choices.index(wanted) + 1 if start == UNKNOWN else choices.index(wanted) - choices.index(start)
        return (
            *(answer.next or "" for _ in range(presses % len(choices) if start != UNKNOWN else presses)),
            answer.take or "",
        )

    def parse(self, answer: Answer, shown: str) -> str | None:
        if shown == UNKNOWN:
            return UNKNOWN
        return next((choice for choice, says in answer.choices.items() if f"{says}?" == shown), None)


class Flag:
    """One key for yes, one for no; taken at the key."""

    def start(self, answer: Answer, present: str | None) -> str:
        return ""

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        if key == answer.yes:
            return Taken("yes")
        if key == answer.no:
            return Taken("no")
        return Typing(buffer, NO)

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        return "yes or no" if present is None else f"now {present}"

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        return ((answer.yes if wanted == "yes" else answer.no) or "",)

    def parse(self, answer: Answer, shown: str) -> str | None:
        return shown.removeprefix("now ") if shown.startswith("now ") else None


class Secret:
    """A person's own code: as many digits as it has, each shown as a star; taken by itself."""

    def start(self, answer: Answer, present: str | None) -> str:
        return ""

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        if key == answer.take and not buffer and present is not None:
            return Typing(buffer, NO) if present == UNKNOWN else Taken(present)
        if key == answer.take and len(buffer) == answer.width:
            return Taken(SECRET_SET)
        if key not in answer.made_of or len(buffer) == answer.width:
            return Typing(buffer, NO)
        stars = buffer + HIDDEN
        return Taken(SECRET_SET) if len(stars) == answer.width and answer.takes_itself else Typing(stars)

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        if not buffer and present is not None:
            return present
        return buffer.ljust(answer.width or 1, UNSET)

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        if present == wanted and answer.take is not None:
            return (answer.take,)
        return (*(answer.made_of[:1] * (answer.width or 1)), *answer.closing)

    def parse(self, answer: Answer, shown: str) -> str | None:
        return None if UNSET in shown else shown


STYLES: dict[Style, AnswerStyle] = {
    Style.DIGITS: Digits(),
    Style.WORDS: Words(),
    Style.OFFER: Offer(),
    Style.FLAG: Flag(),
    Style.SECRET: Secret(),
    Style.SCROLL: Scroll(),
    Style.LETTERS: Letters(),
    Style.TAP: Tap(),
    Style.WHEEL: Wheel(),
}


def _words_and_code(buffer: str) -> tuple[list[str], str]:
    words = buffer.split()
    code = words.pop() if words and words[-1].isdigit() else ""
    return words, code


def _no_choice(answer: Answer, present: str) -> bool:
    return present != UNKNOWN and present not in answer.choices

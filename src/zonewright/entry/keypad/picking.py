"""The styles of keypads that scroll, turn and tap: the other half of `styles`.

Rules of this file:
1. As in `styles`: one small class for each style, with its five methods together, and the same law.
2. Nothing is taken without its key; until then people can look at what is shown.
3. What can be reached in both directions is reached the shorter way; from an unknown value there is no shorter way.
"""

from __future__ import annotations

from zonewright.entry.keypad.answering import BLANK, NO, PAUSE, Keys, Taken, Typing
from zonewright.panel.answers import limits, refuses, typed
from zonewright.panel.profile import Answer
from zonewright.panel.programme import UNKNOWN

OPEN = "|"  # ends a tap buffer whose last letter its key may still change


def shorter(steps: int, size: int) -> int:
    """Return the steps round a ring of this size in the shorter direction; backwards is negative."""
    forward = steps % size
    return forward if forward <= size - forward else forward - size


class Scroll:
    """Values scrolled both ways, round past the ends, from the present one; a key takes what is shown."""

    def start(self, answer: Answer, present: str | None) -> str:
        return answer.scrolled[0] if present is None or _foreign(answer, present) else present

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        values = answer.scrolled
        if key == answer.take:
            return Typing(buffer, NO) if buffer == UNKNOWN else Taken(buffer)
        if key not in (answer.next, answer.previous):
            return Typing(buffer, NO)
        if buffer == UNKNOWN:
            return Typing(values[0 if key == answer.next else -1])
        step = 1 if key == answer.next else -1
        return Typing(values[(values.index(buffer) + step) % len(values)])

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        if buffer == UNKNOWN:
            return UNKNOWN
        return answer.choices.get(buffer) or f"{buffer} {answer.unit or ''}".rstrip()

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        values, start = answer.scrolled, self.start(answer, present)
        if start == UNKNOWN:
            steps = values.index(wanted) + 1
        else:
            steps = shorter(values.index(wanted) - values.index(start), len(values))
        key = answer.next if steps >= 0 else answer.previous
        return (*(key or "" for _ in range(abs(steps))), answer.take or "")

    def parse(self, answer: Answer, shown: str) -> str | None:
        if shown == UNKNOWN:
            return UNKNOWN
        return answer.choice_of.get(shown) or (shown.partition(" ")[0] if not answer.choices else None)


class Letters:
    """Choices typed by their code of letter keys; the whole code shows the choice, a key takes it."""

    def start(self, answer: Answer, present: str | None) -> str:
        return ""

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        choice = answer.word_of.get(buffer)
        if key == answer.take:
            if not buffer and present is not None and present != UNKNOWN:
                return Taken(present)
            return Typing(buffer, NO) if choice is None else Taken(choice)
        if key not in answer.letter_keys or len(buffer) >= answer.code_length:
            return Typing(buffer, NO)
        code = buffer + key
        if len(code) == answer.code_length and code not in answer.word_of:
            return Typing("", "no such choice")
        return Typing(code)

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        if not buffer:
            return BLANK * answer.code_length if present is None else answer.choices.get(present, present)
        choice = answer.word_of.get(buffer)
        return buffer.ljust(answer.code_length, BLANK) if choice is None else f"{buffer} {answer.choices[choice]}"

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        return (*(() if present == wanted else answer.codes[wanted]), answer.take or "")

    def parse(self, answer: Answer, shown: str) -> str | None:
        if shown == UNKNOWN:
            return UNKNOWN
        return answer.choice_of.get(shown) or answer.word_of.get(shown.partition(" ")[0])


class Tap:
    """Text from letters that share keys: a key gives its first letter, the same key at once its next one.

    A pause, or another key, closes the letter. The taking key closes it and takes the text.
    """

    def start(self, answer: Answer, present: str | None) -> str:
        return ""

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        text, open_ = buffer.removesuffix(OPEN), buffer.endswith(OPEN)
        if key == PAUSE:
            return Typing(text)
        if key == answer.take:
            if not text and present is not None and present != UNKNOWN:
                return Taken(present)
            return Typing(buffer, NO) if refuses(answer, text) else Taken(text)
        letters = answer.taps.get(key, "").replace("_", " ")
        if not letters:
            return Typing(buffer, NO)
        if open_ and text[-1] in letters:
            following = letters[(letters.index(text[-1]) + 1) % len(letters)]
            return Typing(text[:-1] + following + OPEN)
        if len(text) == answer.most:
            return Typing(text, NO)
        return Typing(text + letters[0] + OPEN)

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        if not buffer:
            return BLANK if present is None else present
        return buffer.removesuffix(OPEN).replace(" ", BLANK)

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        pressed: list[str] = []
        if present != wanted:
            for sign in wanted:
                key = next(key for key, letters in answer.taps.items() if sign in letters.replace("_", " "))
                if pressed and pressed[-1] == key:
                    pressed.append(PAUSE)
                pressed += [key] * (answer.taps[key].replace("_", " ").index(sign) + 1)
        return (*pressed, answer.take or "")

    def parse(self, answer: Answer, shown: str) -> str | None:
        return None if shown == BLANK else shown.replace(BLANK, " ")


class Wheel:
    """Digits turned one by one, the present one in brackets; one key moves along, another takes them all."""

    def start(self, answer: Answer, present: str | None) -> str:
        width = answer.width or 1
        digits = UNKNOWN * width if present == UNKNOWN else typed(answer, present or "0")
        return f"{digits} 0"

    def press(self, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
        digits, _, place = buffer.partition(" ")
        at = int(place)
        if key == answer.take:
            if UNKNOWN in digits:
                return Typing(buffer, NO)
            return Typing(buffer, f"{NO}: {limits(answer)}") if refuses(answer, digits) else Taken(digits)
        if key == answer.along:
            return Typing(f"{digits} {(at + 1) % len(digits)}")
        if key not in (answer.next, answer.previous):
            return Typing(buffer, NO)
        step = 1 if key == answer.next else -1
        start = (-1 if step == 1 else 10) if digits[at] == UNKNOWN else int(digits[at])
        return Typing(f"{digits[:at]}{(start + step) % 10}{digits[at + 1 :]} {at}")

    def show(self, answer: Answer, present: str | None, buffer: str) -> str:
        digits, _, place = buffer.partition(" ")
        at = int(place)
        return f"{digits[:at]}[{digits[at]}]{digits[at + 1 :]}"

    def keys(self, answer: Answer, present: str | None, wanted: str) -> Keys:
        digits, pressed = self.start(answer, present).partition(" ")[0], []
        last = max((n for n, digit in enumerate(digits) if digit != wanted[n]), default=-1)
        for n in range(last + 1):
            pressed += [answer.along or ""] if n else []
            steps = int(wanted[n]) + 1 if digits[n] == UNKNOWN else shorter(int(wanted[n]) - int(digits[n]), 10)
            pressed += [(answer.next if steps > 0 else answer.previous) or ""] * abs(steps)
        return (*pressed, answer.take or "")

    def parse(self, answer: Answer, shown: str) -> str | None:
        digits = shown.replace("[", "").replace("]", "")
        return UNKNOWN if UNKNOWN in digits else digits


def _foreign(answer: Answer, present: str) -> bool:
    return present != UNKNOWN and present not in answer.scrolled

"""From what a display shows as the present answer to the value that it means.

Rules of this file:
1. There is no second list of texts: each value is shown as the keypad shows it, and the texts are compared.
2. Upper and lower case, blanks and the signs around a present answer (`?`, `now`, `[ ]`) don't matter.
3. A text as long as the display is wide may be cut: it means a value only if no other would look the same.
4. A code is never a value: anything but `set` or a sign for "none" is refused and not repeated.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from zonewright.entry.keypad.answering import BLANK, UNSET
from zonewright.entry.keypad.styles import STYLES
from zonewright.findings import nearest
from zonewright.panel.answers import SECRET_SET, is_identity, limits, nearest_words, refuses
from zonewright.panel.profile import Answer, Profile, Style
from zonewright.panel.programme import Item, Value

NOT_SET = Value("-")
MOST_TOLD = 3


@dataclass(frozen=True, slots=True)
class Meant:
    """The value that a text means; None: none is certain, and `says` gives the reason."""

    value: Value | None
    says: str = ""


def meaning(profile: Profile, item: Item, shown: str, *, whole: bool = False) -> Meant:
    """Return what a shown text means; `whole`: the display didn't cut it."""
    answer, text = profile.answer_of(item), " ".join(shown.split())
    if answer is None:
        if text.casefold() == profile.edition.casefold():
            return Meant(Value(profile.edition))
        return Meant(None, f"this profile describes edition {profile.edition}: another edition's items may differ")
    match answer.style:
        case Style.SECRET:
            return _code(text)
        case Style.DIGITS | Style.WHEEL:
            return _digits(answer, text.replace("[", "").replace("]", ""))
        case Style.TRIP:
            return _if_allowed(answer, text.replace(" ", ""))
        case Style.WORDS | Style.TAP:
            return _text(answer, _in_its_letters(answer, text), profile.display.columns, whole=whole)
        case _:
            return _choice(profile, item, answer, text)


def as_shown(profile: Profile, item: Item, value: Value) -> str:
    """Return how the display shows a value at its question, cut at its width."""
    answer = profile.answer_of(item)
    if answer is None or answer.style in (Style.TRIP, Style.SECRET):
        return value
    style = STYLES[answer.style]
    return style.show(answer, value, style.start(answer, value))[: profile.display.columns].rstrip()


def _code(text: str) -> Meant:
    if text.casefold() == SECRET_SET:
        return Meant(Value(SECRET_SET))
    if text.casefold() in ("not set", "none") or not text.strip(UNSET + BLANK):
        return Meant(NOT_SET)
    return Meant(None, 'never write a code: write "set" if there is one, "not set" if there is none')


def _digits(answer: Answer, text: str) -> Meant:
    digits = text.removesuffix(answer.unit or "").strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) <= (answer.width or 1)):
        return Meant(None, f"digits belong here, {limits(answer)}")
    return _if_allowed(answer, digits if is_identity(answer) else str(int(digits)))


def _if_allowed(answer: Answer, value: str) -> Meant:
    why = refuses(answer, value)
    return Meant(Value(value)) if why is None else Meant(None, why)


def _choice(profile: Profile, item: Item, answer: Answer, text: str) -> Meant:
    """Find the one choice that is shown like this; a number's unit may be left out."""
    looks: dict[str, list[str]] = {}
    for value in answer.scrolled if answer.style is Style.SCROLL else answer.values:
        looks.setdefault(_plain(as_shown(profile, item, Value(value))), []).append(value)
    plain = _plain(text)
    digits = plain.removesuffix(f" {answer.unit}").lstrip("0") or "0"
    found = looks.get(plain) or looks.get(f"{digits} {answer.unit}") or []
    if len(found) == 1:
        return Meant(Value(found[0]))
    if found:
        return Meant(None, f"{' and '.join(found)} look the same here: leave it empty")
    if answer.style is Style.SCROLL and not answer.choices:
        return Meant(None, f"it shows {limits(answer)} {answer.unit or ''}".rstrip())
    near = nearest(plain, looks, 1)
    return Meant(None, f"it shows one of: {', '.join(looks)}" + (f"; did you mean {near[0]}?" if near else ""))


def _plain(text: str) -> str:
    return " ".join(text.casefold().removesuffix("?").removeprefix("now ").split())


def _in_its_letters(answer: Answer, text: str) -> str:
    """Return a text in the letters of the panel: upper and lower case don't matter."""
    if answer.style is Style.WORDS:
        words = {word.casefold(): word for word in answer.codes}
        return " ".join(words.get(word.casefold(), word) for word in text.split())
    return text if refuses(answer, text) is None or refuses(answer, text.lower()) is not None else text.lower()


def _text(answer: Answer, text: str, columns: int, *, whole: bool) -> Meant:
    why = refuses(answer, text)
    if whole or len(text) < columns - 1:  # a cut text fills the display, except perhaps a blank at its end
        near = nearest_words(answer, text) if answer.style is Style.WORDS else ()
        return Meant(Value(text)) if why is None else Meant(None, why + (f"; did you mean {near[0]}?" if near else ""))
    if len(text) > columns:
        return _if_allowed(answer, text)
    if answer.style is Style.TAP:
        if (answer.most or 1) <= columns:
            return _if_allowed(answer, text)
        return Meant(None, "the display may cut it here: write = before it if it is whole, else leave it empty")
    found = []
    for candidate in _completions(answer, text, columns):
        found.append(candidate)
        if len(found) == MOST_TOLD:
            break
    if len(found) == 1:
        return Meant(Value(found[0]))
    if not found:
        return Meant(None, why or "no words look like this")
    told = ", or ".join(f'"{each}"' for each in found)
    return Meant(
        None, f"the display cuts it: it may be {told} ...; write = and all of it if you know, else leave it empty"
    )


def _completions(answer: Answer, text: str, columns: int, words: tuple[str, ...] = ()) -> Iterator[str]:
    """Return every run of words that the display shows as this text."""
    said = " ".join(words)
    if said[:columns].rstrip() == text:
        yield said
    if len(words) < (answer.most or 1):
        for word in answer.codes:
            longer = f"{said} {word}".strip()
            if longer[:columns].rstrip() == text or text.startswith(f"{longer} "):
                yield from _completions(answer, text, columns, (*words, word))

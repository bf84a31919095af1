"""Which values an answer can give, whatever keypad it is keyed at.

Rules of this file:
1. Only `refuses` judges a value; reading a profile, resolving a site and the keypad all use it.
2. A value is the text in a Programme: a choice's own name (not what the display says), digits without leading zeros for
   numbers with a unit or a count, digits as typed for identities (accounts, transmitter numbers).
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from zonewright.findings import nearest
from zonewright.panel.profile import Answer, Style

SECRET_SET = "set"  # noqa: S105 - not a code: a Programme only holds that there is one


def is_identity(answer: Answer) -> bool:
    """Return whether the digits name something (an account) rather than count: then zeros in front are part of it."""
    return answer.style in (Style.DIGITS, Style.WHEEL) and answer.unit is None and (answer.width or 0) >= 4


def typed(answer: Answer, value: str) -> str:
    """Return the digits that a person types for a value of a digits answer."""
    return value.zfill(answer.width or 1)


def refuses(answer: Answer, value: str) -> str | None:
    """Return why the answer can't give this value, in words; None if it can."""
    match answer.style:
        case Style.DIGITS | Style.WHEEL:
            return _refuses_digits(answer, value)
        case Style.WORDS:
            return _refuses_words(answer, value)
        case Style.SCROLL if not answer.choices:
            return _refuses_digits(answer, value)
        case Style.OFFER | Style.SCROLL | Style.LETTERS:
            return None if value in answer.choices else f"it is none of {', '.join(answer.choices)}"
        case Style.TAP:
            return _refuses_tap(answer, value)
        case Style.FLAG:
            return None if value in ("yes", "no") else "it is yes or no"
        case Style.TRIP:
            ok = value.isascii() and value.isdigit() and len(value) == answer.width
            return None if ok else f"it has {answer.width} digits"
        case Style.SECRET:
            return None if value == SECRET_SET else "a code is never written down; only whether there is one"


def limits(answer: Answer) -> str:
    """Return the limits of a digits answer as its keypad shows them: `010 to 240 by 5`."""
    least, most = typed(answer, str(answer.least or 0)), typed(answer, str(answer.most_value))
    return f"{least} to {most}" + (f" by {answer.step}" if answer.step != 1 else "")


def nearest_words(answer: Answer, value: str) -> tuple[str, ...]:
    """Return, for each word of `value` that the vocabulary lacks, its nearest words."""
    missing = [word for word in value.split() if word not in answer.codes]
    return tuple(found for word in missing for found in nearest(word, answer.codes, 3))


def any_value(answer: Answer, rng: random.Random) -> str:
    """Return a value that the answer can give, drawn at random; for tests, examples and benchmarks."""
    match answer.style:
        case Style.DIGITS | Style.WHEEL:
            number = rng.randrange(answer.least or 0, (answer.most_value or 0) + 1, answer.step)
            return typed(answer, str(number)) if is_identity(answer) else str(number)
        case Style.WORDS:
            words: Sequence[str] = rng.sample(sorted(answer.codes), rng.randint(1, answer.most or 1))
            return " ".join(words)
        case Style.SCROLL:
            return rng.choice(answer.scrolled)
        case Style.OFFER | Style.LETTERS:
            return rng.choice(list(answer.choices))
        case Style.TAP:
            signs = sorted("".join(answer.taps.values()).replace("_", " "))
            text = "".join(rng.choice(signs) for _ in range(rng.randint(1, answer.most or 1)))
            return " ".join(text.split()) or next(sign for sign in signs if sign != " ")
        case Style.FLAG:
            return rng.choice(["yes", "no"])
        case Style.TRIP:
            return "".join(rng.choice("0123456789") for _ in range(answer.width or 1))
        case Style.SECRET:
            return SECRET_SET


def _refuses_digits(answer: Answer, value: str) -> str | None:
    if not (value.isascii() and value.isdigit()):
        return "it has digits only"
    if is_identity(answer) and len(value) != answer.width:
        return f"it has {answer.width} digits"
    number, least, most = int(value), answer.least or 0, answer.most_value or 0
    unit = f" {answer.unit}" if answer.unit else ""
    if not least <= number <= most:
        return f"it is {least} to {most}{unit}"
    if (number - least) % answer.step:
        return f"it goes from {least} to {most}{unit} in steps of {answer.step}"
    return None


def _refuses_tap(answer: Answer, value: str) -> str | None:
    signs = "".join(answer.taps.values()).replace("_", " ")
    missing = sorted(set(value) - set(signs))
    if missing:
        return f"it has no sign {' '.join(missing)}"
    if not value or value != " ".join(value.split()):
        return "it has at least one sign, and single blanks only within"
    if len(value) > (answer.most or 1):
        return f"it has {answer.most} signs at most"
    return None


def _refuses_words(answer: Answer, value: str) -> str | None:
    words = value.split()
    if not words:
        return "it has at least one word"
    if len(words) > (answer.most or 1):
        return f"it has {answer.most} words at most"
    missing = [word for word in words if word not in answer.codes]
    if missing:
        return "it has no word for " + " or ".join(f'"{word}"' for word in missing)
    return None

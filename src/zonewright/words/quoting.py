"""Names inside lines that people type: between double quotes where a sign or a word in them would part the line.

    "shed; left door" opens
    disarm by "Ida ""Piet"" Holm"

Rules of this file:
1. A name that reads as one without quotes is left as it is. A double quote inside quotes is written twice.
2. It knows nothing of what a line means. A quote that never closes is an ordinary sign.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

_QUOTED = re.compile(r'"(?:[^"]|"")*"')
_PLAIN = re.compile(r"[^\W_](?:[\w '’.,()/&+-]*[\w'’.)])?")
_WORDS_OF_LINES = frozenset({"arm", "disarm", "quick", "panic", "leave", "bypass", "take", "at", "nobody", "by"})
STAND_IN = "\ue000"  # private use: no name of a site file may hold it


def quoted(name: str) -> str:
    """Return a name as it is written in a line."""
    words = name.split(" ")
    plain = _PLAIN.fullmatch(name) and words[0].casefold() not in _WORDS_OF_LINES and "by" not in words
    return name if plain else '"' + name.replace('"', '""') + '"'


def parts(text: str, sign: str) -> list[str]:
    """Return the pieces of a text between signs that are outside quotes."""
    hidden, names = set_aside(text)
    return [put_back(piece, names) for piece in hidden.split(sign)]


def set_aside(text: str) -> tuple[str, tuple[str, ...]]:
    """Return a text with a stand-in for each quoted name, and the quoted names as they are written."""
    names = tuple(found[0] for found in _QUOTED.finditer(text))
    numbers = iter(range(len(names)))
    return _QUOTED.sub(lambda _: f"{STAND_IN}{next(numbers)}{STAND_IN}", text), names


def put_back(text: str, names: tuple[str, ...]) -> str:
    """Return a text with its quoted names again."""
    return "".join(_pieces(text, names))


def meant(text: str, names: tuple[str, ...]) -> str:
    """Return the name that a piece of a text means, without its quotes."""
    written = put_back(text, names)
    return written[1:-1].replace('""', '"') if _QUOTED.fullmatch(written) else written


def _pieces(text: str, names: tuple[str, ...]) -> Iterator[str]:
    for at, piece in enumerate(text.split(STAND_IN)):
        known = at % 2 == 1 and piece.isascii() and piece.isdigit() and int(piece) < len(names)
        yield names[int(piece)] if known else piece

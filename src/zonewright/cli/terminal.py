"""The screen that words are printed on: how wide it is, whether it takes colour, which letters it can show.

Rules of this file:
1. Lines are at most 80 columns wide, also in pipes and files, so that what is pasted or printed reads the same.
2. Colour only adds. It is off in pipes, with NO_COLOR and with TERM=dumb.
3. A letter that the stream can't encode becomes its nearest plain one; output never fails for a letter.
4. Control characters out of a user's file never reach the terminal, which would obey them.
"""

from __future__ import annotations

import os
import shutil
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TextIO

WIDEST = 80
NARROWEST = 40
ELLIPSIS = "…"
BOLD, DIM, PLAIN = "\033[1m", "\033[2m", "\033[0m"
TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"  # bidirectional controls
PLAINER = {
    "…": "...", "→": "->", "←": "<-", "↑": "^", "↓": "v", "–": "-", "—": "-", "−": "-", "‑": "-", "·": ".", "•": "*",
    "×": "x", "✓": "ok", "✗": "X", "☐": "[ ]", "≥": ">=", "≤": "<=", "≠": "not ", "±": "+-", "°": "deg ", "Ω": "ohm",
    "µ": "u", "μ": "u", "‘": "'", "’": "'", "“": '"', "”": '"', "▕": "[", "▏": "]", "│": "|", "─": "-", "ß": "ss",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Styled:
    """A line with a style for terminals that take one: `BOLD` or `DIM`."""

    text: str
    style: str


@dataclass(frozen=True, slots=True)
class Screen:
    """A stream with what it can show."""

    stream: TextIO
    width: int
    colour: bool
    encoding: str

    def say(self, *lines: str | Styled) -> None:
        """Print lines, each made fit for this screen."""
        for line in lines:
            text = fit(line.text if isinstance(line, Styled) else line, self.encoding)
            if self.colour and isinstance(line, Styled):
                text = f"{line.style}{text}{PLAIN}"
            self.stream.write(text + "\n")


def screen_of(stream: TextIO, environment: Mapping[str, str] = os.environ, *, ascii_only: bool = False) -> Screen:
    """Look at a stream and the environment and tell what may be printed there."""
    terminal = stream.isatty()
    width = WIDEST
    if terminal:
        width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns))
    colour = terminal and not environment.get("NO_COLOR") and environment.get("TERM") != "dumb"
    return Screen(stream, width, colour, "ascii" if ascii_only else (stream.encoding or "ascii"))


def fit(text: str, encoding: str) -> str:
    """Return the text without control characters and in letters that the encoding has."""
    if text.isascii() and text.isprintable():
        return text
    shown = "".join("\N{REPLACEMENT CHARACTER}" if is_control(letter) else letter for letter in text)
    return "".join(letter if encodes(letter, encoding) else plainer(letter, encoding) for letter in shown)


def is_control(letter: str) -> bool:
    """Tell whether a terminal would obey this character (or turn the line round) in place of showing it."""
    return unicodedata.category(letter) in ("Cc", "Cs") or letter in TURNING


def encodes(letter: str, encoding: str) -> bool:
    """Tell whether an encoding has a letter."""
    try:
        letter.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


def plainer(letter: str, encoding: str) -> str:
    """Return the nearest text that the encoding has: a known stand-in, the letter without its accent, or "?"."""
    if letter in PLAINER:
        return PLAINER[letter]
    base = "".join(part for part in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(part))
    return base if base and base != letter and encodes(base, encoding) else "?"


def columns(text: str) -> int:
    """Return how many columns a terminal gives to a text: wide letters take two, combining marks none."""
    if text.isascii():
        return len(text)
    taken = 0
    for letter in text:
        if unicodedata.combining(letter) or unicodedata.category(letter) in ("Mn", "Me", "Cf"):
            continue
        taken += 2 if unicodedata.east_asian_width(letter) in ("W", "F") else 1
    return taken


def cut(text: str, width: int) -> str:
    """Return the text in at most `width` columns, with … where something was cut off."""
    if columns(text) <= width:
        return text
    kept = ""
    for letter in text:
        if columns(kept + letter) > width - 1:
            break
        kept += letter
    return kept.rstrip() + ELLIPSIS


def paragraph(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Break a text into lines of at most `width` columns; `first` begins the first line, `rest` the others.

    A word longer than a line is broken, so that nothing is lost and nothing runs over.
    """
    rest = " " * columns(first) if rest is None else rest
    lines: list[str] = []
    line, empty = first, True
    for word in text.split():
        if not empty and columns(line) + 1 + columns(word) > width:
            lines.append(line)
            line, empty = rest, True
        if empty and line is first and columns(line) + columns(word) > width >= columns(rest) + columns(word):
            lines.append(line.rstrip())
            line = rest
        while columns(line) + columns(word) > width and empty and columns(line) < width:
            head = leading(word, width - columns(line))
            lines.append(line + head)
            word, line = word[len(head) :], rest  # noqa: PLW2901 (what is left of the word is the word now)
        line = line + word if empty else f"{line} {word}"
        empty = False
    return [*lines, line.rstrip()]


def leading(word: str, width: int) -> str:
    """Return as much of a word as `width` columns hold, at least one letter."""
    end = 1
    while end < len(word) and columns(word[: end + 1]) <= width:
        end += 1
    return word[:end]

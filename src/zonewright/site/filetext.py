"""From a path to text that is safe to look at.

Rules of this file:
1. Nothing is read before its size is known, and never more than `MOST_BYTES`.
2. Whatever the outside world does wrong (no file, a folder, not UTF-8) is a finding, never an exception.
3. A character that nobody can see, or that makes text look different from what it is, is reported with its place. Then
   it is removed or replaced by a blank, so that the rest of the file can still be read, with every place as the editor
   shows it.
"""

from __future__ import annotations

import re
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path as FilePath

from zonewright.findings import Finding, Mending, Place, Severity, nearest

MOST_BYTES = 2_000_000
MOST_FINDINGS = 200  # of one kind in one file; a file with more is broken as a whole

_LINE_END = re.compile(r"\r\n|\n|\r")
_BLANKS = "\t\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000\u0085\u2028\u2029"
_BIDI = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_INVISIBLE = "\u00ad\u200b\u2060\ufeff"
_CONTROL = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufffe\uffff"
_SURROGATE = "\ud800-\udfff"
HIDDEN = re.compile(f"[{_BLANKS}{_BIDI}{_INVISIBLE}{_CONTROL}{_SURROGATE}]")
_IS_BLANK, _IS_BIDI, _IS_CONTROL = re.compile(f"[{_BLANKS}]"), re.compile(f"[{_BIDI}]"), re.compile(f"[{_CONTROL}]")
_IS_SURROGATE = re.compile(f"[{_SURROGATE}]")


@dataclass(frozen=True, slots=True)
class CleanText:
    """A text without hidden characters, and how to get from its places to those of the file."""

    file: str
    text: str
    shifted: dict[int, list[int]] = field(default_factory=dict)  # line -> columns removed, ascending, both from 1

    def place(self, line: int, column: int) -> Place:
        """Return the place in the file of a place in this text; both count from 1."""
        for taken in self.shifted.get(line, ()):
            if taken <= column:
                column += 1
        return Place(self.file, line, column)


def mistake(
    code: str,
    place: Place | None,
    thing: str,
    says: str,
    *,
    fix: str = "",
    wrote: str | None = None,
    allowed: str | None = None,
    near: str | None = None,
    subject: str = "",
    mending: Mending | None = None,
) -> Finding:
    """Return one mistake in a file: something to mend before the file can be used."""
    return Finding(
        code, Severity.PROBLEM, thing, says, place,
        wrote=wrote, allowed=allowed, nearest=near, fix=fix, subject=subject, mending=mending,
    )  # fmt: skip


def read_text(path: FilePath | str) -> tuple[str, tuple[Finding, ...]]:
    """Return a file's text; if it can't be read, an empty one and a finding that says why."""
    path = FilePath(path)
    name = str(path)

    def refused(says: str, fix: str, near: str | None = None) -> tuple[str, tuple[Finding, ...]]:
        return "", (mistake("READ-FILE", None, f"file {name}", says, fix=fix, near=near),)

    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            return refused("this is a folder", "name the file in it")
        if not stat.S_ISREG(about.st_mode):
            return refused("this isn't a file", "name a text file")
        if about.st_size > MOST_BYTES:
            return refused(f"{about.st_size / 1e6:.1f} MB is too long for this kind of file", "at most 2 MB are read")
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        return refused("there is no such file", "look at its name and folder", _neighbour(path))
    except PermissionError:
        return refused("it may not be read", "ask whoever owns the file for the right to read it")
    except (OSError, ValueError) as trouble:  # ValueError: a NUL in the path
        return refused(f"it can't be read: {getattr(trouble, 'strerror', None) or trouble}", "try another copy")
    if len(data) > MOST_BYTES:
        return refused("it grew beyond 2 MB while it was read", "at most 2 MB are read")
    return decode(data, name)


def _neighbour(path: FilePath) -> str | None:
    try:
        names = [entry.name for _, entry in zip(range(1000), path.parent.iterdir(), strict=False)]
    except OSError:
        return None
    return next(iter(nearest(path.name, names)), None)


def decode(data: bytes, file: str) -> tuple[str, tuple[Finding, ...]]:
    """Return the text of UTF-8 bytes; empty with a finding at the first byte that isn't UTF-8."""
    try:
        return data.decode("utf-8"), ()
    except UnicodeDecodeError as trouble:
        before = data[: trouble.start].decode("utf-8")
        *above, line = _LINE_END.split(before)
        place = Place(file, len(above) + 1, len(line.removeprefix("\ufeff")) + 1)
        says = f"byte {trouble.start + 1} of the file, 0x{data[trouble.start]:02X}, is not UTF-8 text"
        if data.startswith((b"\xff\xfe", b"\xfe\xff")):
            says = "the file is saved as UTF-16, not as UTF-8"
        return "", (mistake("READ-UTF8", place, "file", says, fix="save the file again as UTF-8"),)


def clean(text: str, file: str) -> tuple[CleanText, tuple[Finding, ...]]:
    """Return the text without a byte-order mark and without hidden characters, and a finding for each of these."""
    text = text.removeprefix("\ufeff")
    if HIDDEN.search(text) is None:
        return CleanText(file, text), ()
    findings: list[Finding] = []
    shifted: dict[int, list[int]] = {}
    pieces: list[str] = []
    for number, line, end in _lines(text):
        for found in HIDDEN.finditer(line):
            if not _IS_BLANK.match(found[0]):
                shifted.setdefault(number, []).append(found.start() + 1)
            findings.append(hidden_character(found[0], Place(file, number, found.start() + 1)))
            if len(findings) == MOST_FINDINGS:
                return CleanText(file, ""), tuple(findings)
        pieces.append(HIDDEN.sub(lambda m: " " if _IS_BLANK.match(m[0]) else "", line) + end)
    return CleanText(file, "".join(pieces), shifted), tuple(findings)


def _lines(text: str) -> Iterator[tuple[int, str, str]]:
    start = 0
    number = 1
    for end in _LINE_END.finditer(text):
        yield number, text[start : end.start()], end[0]
        start, number = end.end(), number + 1
    yield number, text[start:], ""


def hidden_character(character: str, place: Place) -> Finding:
    """Return the finding for one character that nobody can see."""
    named = f"U+{ord(character):04X}"
    if character == "\t":
        says, fix = "a tab", "use blanks; a tab is as wide as each editor likes"
    elif _IS_BLANK.match(character):
        says, fix = f"a special blank ({named})", "type an ordinary blank in its place"
    elif _IS_BIDI.match(character):
        says, fix = f"a hidden character that turns the direction of text ({named})", "delete it"
    elif _IS_SURROGATE.match(character):
        says, fix = f"half a character ({named})", "delete it"
    elif _IS_CONTROL.match(character):
        says, fix = f"a control character ({named})", "delete it"
    else:
        says, fix = f"a character without width ({named})", "delete it, and type the word again"
    return mistake("READ-HIDDEN", place, "text", f"{says} is here", fix=fix)

"""Which letters the pages can show: the typesetter prints an empty box for a missing one and says nothing.

Rules of this file:
1. A text is told as it stands, with the letters that are missing; nothing is replaced.
2. Keypad displays are set in a font that comes inside the typesetter, where it can't be read; `DISPLAY` holds blocks
   of letters that it has whole (a test sets every one of them).

Source of the table formats: OpenType specification, table `cmap`, formats 4 and 12.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from struct import unpack_from

WEIGHTS = ("Regular", "Semibold", "Bold")  # no italics: they have neither Greek nor Cyrillic letters
_BLOCKS = ((0x20, 0x7F), (0xA0, 0x180), (0x391, 0x3A2), (0x3A3, 0x3CA), (0x400, 0x460))
DISPLAY = frozenset(chr(code) for first, end in _BLOCKS for code in range(first, end))
SPACING = frozenset("\n\t")


def missing(text: str) -> str:
    """Return the letters of a text that the pages can't show, each once, in the order of the text."""
    return "".join(dict.fromkeys(letter for letter in text if letter not in printable() and letter not in SPACING))


def missing_on_displays(text: str) -> str:
    """Return the letters of a keypad's display that the pages can't show."""
    return "".join(dict.fromkeys(letter for letter in text if letter not in DISPLAY))


@cache
def printable() -> frozenset[str]:
    """Return every letter that all weights of the text font have."""
    fonts = files("zonewright.documents") / "fonts"
    return frozenset.intersection(*(letters((fonts / f"SourceSansPro-{each}.ttf").read_bytes()) for each in WEIGHTS))


def letters(font: bytes) -> frozenset[str]:
    """Return the letters for which a TrueType font has a shape."""
    tables = {font[at : at + 4]: unpack_from(">I", font, at + 8)[0] for at in _records(font, 12, 4, 16)}
    cmap: int = tables[b"cmap"]
    found: set[int] = set()
    for at in _records(font, cmap + 4, cmap + 2, 8):
        start = cmap + unpack_from(">I", font, at + 4)[0]
        match unpack_from(">H", font, start):
            case (4,):
                found |= _format_4(font, start)
            case (12,):
                found |= _format_12(font, start)
            case _:
                pass  # of a form that these fonts have beside the two
    return frozenset(map(chr, found))


def _records(font: bytes, first: int, count_at: int, size: int) -> range:
    (count,) = unpack_from(">H", font, count_at)
    return range(first, first + count * size, size)


def _format_4(font: bytes, start: int) -> set[int]:
    (twice,) = unpack_from(">H", font, start + 6)
    count = twice // 2
    ends = unpack_from(f">{count}H", font, start + 14)
    begins = unpack_from(f">{count}H", font, start + 16 + twice)
    deltas = unpack_from(f">{count}H", font, start + 16 + 2 * twice)
    offsets_at = start + 16 + 3 * twice
    found = set()
    for segment, (begin, end, delta) in enumerate(zip(begins, ends, deltas, strict=True)):
        at = offsets_at + 2 * segment
        (offset,) = unpack_from(">H", font, at)
        for code in range(begin, min(end, 0xFFFE) + 1):
            glyph = code if offset == 0 else unpack_from(">H", font, at + offset + 2 * (code - begin))[0]
            if offset == 0 or glyph:
                glyph = (glyph + delta) & 0xFFFF
            if glyph:
                found.add(code)
    return found


def _format_12(font: bytes, start: int) -> set[int]:
    (count,) = unpack_from(">I", font, start + 12)
    found = set()
    for at in range(start + 16, start + 16 + 12 * count, 12):
        begin, end, glyph = unpack_from(">III", font, at)
        found |= {code for code in range(begin, end + 1) if glyph + code - begin}
    return found

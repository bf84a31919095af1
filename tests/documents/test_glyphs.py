from __future__ import annotations

import re

import typst

from zonewright.documents.glyphs import DISPLAY, missing, missing_on_displays, printable

UNSEEN = frozenset(" \N{NO-BREAK SPACE}\N{SOFT HYPHEN}")


def shapes(letters: str) -> list[str]:
    """Return the name of the shape by which the typesetter's own font shows each letter."""
    lines = "\n\n".join(f'#text("\\u{{{ord(letter):x}}}")' for letter in letters)
    source = f'#set page(width: 400pt, height: auto)\n#set text(font: "DejaVu Sans Mono", fallback: false)\n{lines}'
    picture = typst.compile(source.encode(), format="svg", ignore_system_fonts=True)
    assert isinstance(picture, bytes)
    return re.findall(r'<use xlink:href="#([^"]*)"', picture.decode())


def test_display_font_has_every_letter_that_is_promised() -> None:
    (lacking,) = shapes("\N{CJK UNIFIED IDEOGRAPH-4F60}")
    seen = shapes("".join(sorted(DISPLAY - UNSEEN)))
    assert len(seen) == len(DISPLAY - UNSEEN)
    assert lacking not in seen


def test_text_font_has_latin_greek_and_cyrillic() -> None:
    assert missing("Äußere Tür, Łąka, θύρα, дверь, Ω ± − ≤ → ✓ ·") == ""
    assert len(printable()) > 1000


def test_missing_letters_are_told_once_in_their_order() -> None:
    assert missing("a你b好你") == "你好"
    assert missing_on_displays("gate ✓✓") == "✓"

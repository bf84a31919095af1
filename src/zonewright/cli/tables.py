"""Plain tables that fit the screen.

Rules of this file:
1. A table is never wider than it may be: the widest columns give way first, and their cells go on in further lines.
2. Nothing is cut off. Where columns become too narrow to read, each row is told as a small list in place of a line.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from zonewright.cli.terminal import WIDEST, columns, paragraph

GAP = 2
NARROWEST_COLUMN = 6


def table(
    headings: Sequence[str], rows: Sequence[Sequence[str]], width: int = WIDEST, right: Collection[int] = ()
) -> list[str]:
    """Return the lines of a table; `right` names the columns (from 0) whose cells end flush, such as numbers."""
    widths = shares([[heading, *(row[n] for row in rows)] for n, heading in enumerate(headings)], width)
    if widths is None:
        return as_lists(headings, rows, width)
    lines = [*line_of(headings, widths, right), line_of(["-" * share for share in widths], widths, ())[0]]
    for row in rows:
        lines += line_of(row, widths, right)
    return lines


def shares(cells: Sequence[Sequence[str]], width: int) -> list[int] | None:
    """Return how many columns of the screen each column of the table gets; None if it can't be read so narrow."""
    wanted = [max(columns(cell) for cell in column) for column in cells]
    room = width - GAP * (len(wanted) - 1)
    while sum(wanted) > room:
        widest = max(wanted)
        if widest <= NARROWEST_COLUMN:
            return None
        wanted[wanted.index(widest)] -= 1
    return wanted


def line_of(cells: Sequence[str], widths: Sequence[int], right: Collection[int]) -> list[str]:
    """Return the lines of one row."""
    broken = [paragraph(cell, share) for cell, share in zip(cells, widths, strict=True)]
    lines: list[str] = []
    for n in range(max(len(part) for part in broken)):
        shown = [
            padded(part[n] if n < len(part) else "", share, flush_right=index in right)
            for index, (part, share) in enumerate(zip(broken, widths, strict=True))
        ]
        lines.append((" " * GAP).join(shown).rstrip())
    return lines


def padded(text: str, width: int, *, flush_right: bool) -> str:
    """Return a text filled up with spaces to `width` columns."""
    space = " " * (width - columns(text))
    return space + text if flush_right else text + space


def as_lists(headings: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> list[str]:
    """Return each row as a list of "heading: cell"."""
    lines: list[str] = []
    for row in rows:
        for heading, cell in zip(headings, row, strict=True):
            lines += paragraph(cell, width, f"{heading}: ", "  ")
        lines.append("")
    return lines[:-1]

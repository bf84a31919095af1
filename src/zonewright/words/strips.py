"""The matrix as it is drawn: equal neighbours fused, zones alike in one row, what is the same for all in a sentence.

Rules of this file:
1. A bar spans neighbouring modes that look alike (`Cell.looks_like`); a row is shared by the zones of an area whose
   bars are equal.
2. An outcome that at least `SHARE` of the zones have in common is a sentence with its exceptions, never a column.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby

from zonewright.behaviour.setup import AreaNumber
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber, span
from zonewright.words.matrix import Cause, Cell, Mark, Matrix, SiteRow
from zonewright.words.panel_troubles import words_of
from zonewright.words.telling import in_modes, listed, nobody_can_have

SHARE = 0.8


@dataclass(frozen=True, slots=True)
class MatrixBar:
    """Neighbouring modes in which the same comes of it."""

    modes: tuple[Mode, ...]
    mark: Mark
    words: str
    message: str | None  # name of the message sent
    message_after: int | None  # when it leaves, seconds after the event

    @property
    def short(self) -> str:
        """Return the words for a bar of this length: one cell leaves "at once" unsaid."""
        return self.words.removesuffix(" at once") if len(self.modes) == 1 else self.words


@dataclass(frozen=True, slots=True)
class MatrixRow:
    """Zones of an area that act alike."""

    zones: tuple[ZoneNumber, ...]
    bars: tuple[MatrixBar, ...]


@dataclass(frozen=True, slots=True)
class AreaStrips:
    """The rows of the zones that have exactly these areas, ordered by their lowest zone."""

    areas: frozenset[AreaNumber]
    rows: tuple[MatrixRow, ...]


@dataclass(frozen=True, slots=True)
class Common:
    """What follows from a cause for nearly all zones, and for which it is otherwise."""

    cause: Cause
    bars: tuple[MatrixBar, ...]
    zones: tuple[ZoneNumber, ...]
    exceptions: tuple[MatrixRow, ...]
    every: bool = True  # whether it is of every zone, wired ones too


def bars(cells: tuple[Cell, ...]) -> tuple[MatrixBar, ...]:
    """Fuse a zone's neighbouring cells that look alike."""
    return tuple(
        MatrixBar(tuple(cell.mode for cell in alike), *look)
        for look, group in groupby(cells, key=lambda cell: cell.looks_like)
        if (alike := tuple(group))
    )


def strips(matrix: Matrix, cause: Cause = Cause.OPENS) -> tuple[AreaStrips, ...]:
    """Return the rows of the drawn matrix, area by area; shared zones come after the areas by themselves."""
    by_areas: dict[frozenset[AreaNumber], dict[tuple[MatrixBar, ...], list[ZoneNumber]]] = {}
    for zone in sorted(matrix.setup.zones, key=lambda zone: zone.number):
        if not matrix.tells(zone, cause):
            continue
        rows = by_areas.setdefault(zone.areas, {})
        rows.setdefault(bars(matrix.row(zone.number, cause)), []).append(zone.number)
    return tuple(
        AreaStrips(areas, tuple(MatrixRow(tuple(zones), row) for row, zones in by_areas[areas].items()))
        for areas in sorted(by_areas, key=lambda areas: (len(areas), sorted(areas)))
    )


def common(matrix: Matrix, cause: Cause) -> Common | None:
    """Return what follows from a cause for nearly all zones; None where too few agree, then it needs its own strips."""
    rows: dict[tuple[MatrixBar, ...], list[ZoneNumber]] = {}
    zones = [zone for zone in matrix.setup.zones if matrix.tells(zone, cause)]
    for zone in sorted(zones, key=lambda zone: zone.number):
        rows.setdefault(bars(matrix.row(zone.number, cause)), []).append(zone.number)
    if not rows:
        return None
    most, count = Counter({row: len(zones) for row, zones in rows.items()}).most_common(1)[0]
    if count < SHARE * len(zones):
        return None
    others = tuple(MatrixRow(tuple(zones), row) for row, zones in rows.items() if row != most)
    return Common(cause, most, tuple(rows[most]), others, every=len(zones) == len(matrix.setup.zones))


def common_in_words(found: Common) -> str:
    """Return the sentence with its exceptions."""
    text = f"All {'' if found.every else 'radio '}zones, {found.cause.value}: {_in_words(found.bars)}."
    if found.exceptions:
        text += " Not so: " + "; ".join(f"{_zones(row.zones)}: {_in_words(row.bars)}" for row in found.exceptions)
        text += "."
    return text


def cell_in_words(cell: Cell) -> str:
    """Return what follows from one cause in one mode."""
    return _with_message(bars((cell,))[0])


def never_armed_in_words(never: Mapping[AreaNumber, frozenset[Mode]]) -> list[str]:
    """Return for each area in which modes nobody can set it, so that a reader doesn't count on what stands there."""
    says = (nobody_can_have(f"area {area}", modes) for area, modes in sorted(never.items()))
    return [
        f"{text[:1].upper()}{text[1:]} once the exit time is over: what is shown for that can't come up then."
        for text in says
    ]


def site_trouble_in_words(row: SiteRow) -> str:
    """Return what becomes of a trouble of the panel itself, in a sentence."""
    name = words_of(row.trouble).begins
    name = name[:1].upper() + name[1:]
    if not row.outcome:
        return f"{name}: never noticed."
    if row.message is None:
        return f"{name}: {row.words}, not reported."
    return f'{name}: {row.words}, message "{row.message}".'


def _zones(numbers: tuple[ZoneNumber, ...]) -> str:
    return ("zones " if len(numbers) > 1 else "zone ") + listed([str(number) for number in numbers])


def _in_words(found: tuple[MatrixBar, ...]) -> str:
    return "; ".join(f"{in_modes(bar.modes)} {_with_message(bar)}" for bar in found)


def _with_message(bar: MatrixBar) -> str:
    if bar.message is None:
        return bar.words
    late = f" after {span(bar.message_after)}" if bar.message_after else ""
    return f'{bar.words}, message "{bar.message}"{late}'

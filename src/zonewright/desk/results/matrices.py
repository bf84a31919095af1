"""What each zone leads to in each mode, as cells, and what each zone does, as texts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from zonewright.behaviour.setup import Setup
from zonewright.desk.job import Job
from zonewright.desk.readbacks import ReadMatrix, ReadTexts, Untold
from zonewright.desk.results.result import Part, Result
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import Cell, SiteRow, site_troubles
from zonewright.words.telling import output_in_words
from zonewright.words.tracks import NUMBERS, Names, called


class Consequence(Part):
    """What the panel does, so many seconds after the cause."""

    after: int
    does: str


class CellPart(Part):
    """What follows from one cause at one zone in one mode; a trouble of the panel itself has no zone and no mode."""

    zone: int | None
    mode: str | None
    cause: str
    mark: str
    words: str
    siren_after: int | None = None
    message: str | None
    message_after: int | None
    outcome: tuple[Consequence, ...]


class NotKnown(Part):
    """What can't be said of a zone until these items are known; `cause` null: nothing of it can."""

    zone: int
    cause: str | None
    needs: tuple[str, ...]


class NeverArmed(Part):
    """In which modes nobody on the site can set an area."""

    area: int
    modes: tuple[str, ...]


class MatrixResult(Result):
    """Every cell, those of the panel's own troubles last; of a readback also what isn't known.

    There are cells of every mode, also of one in which nobody can set an area: `never_armed` tells of which.
    """

    kind: Literal["matrix"] = "matrix"
    cells: tuple[CellPart, ...]
    never_armed: tuple[NeverArmed, ...] = ()
    not_known: tuple[NotKnown, ...] = ()


class ZoneText(Part):
    """What a zone does, in words."""

    zone: int
    text: str


class ExplanationResult(Result):
    """What zones do, in words; of a readback also what isn't known."""

    kind: Literal["explanation"] = "explanation"
    zones: tuple[ZoneText, ...]
    never_armed: tuple[NeverArmed, ...] = ()
    not_known: tuple[NotKnown, ...] = ()


def matrix_data(job: Job) -> MatrixResult:
    """Return the cells of a site's matrix that tell something."""
    made = job.matrix
    zones = {zone.number: zone for zone in job.setup.zones}
    mine = (cell for cell in made.cells if made.tells(zones[cell.zone], cell.cause))
    troubles = (_site_cell(job.setup, row) for row in site_troubles(job.setup))
    return MatrixResult(cells=(*cells(job.setup, mine, job.names), *troubles), never_armed=tuple(never_armed(job)))


def never_armed(job: Job) -> Iterator[NeverArmed]:
    """Give the areas that nobody can set in some modes."""
    for area, modes in job.never_armed.items():
        yield NeverArmed(area=area, modes=tuple(mode.value for mode in Mode if mode in modes))


def matrix_of_readback(found: ReadMatrix) -> MatrixResult:
    """Return the cells that are known of a panel that was read, and what isn't known."""
    known = (cell for each in found.told.values() for cell in each.cells)
    return MatrixResult(cells=tuple(cells(found.setup, known)), not_known=tuple(_not_known(found.untold)))


def cells(setup: Setup, made: Iterable[Cell], names: Names = NUMBERS) -> Iterator[CellPart]:
    """Give cells as data; `names` are what texts call areas and people."""
    for cell in made:
        yield CellPart(
            zone=cell.zone,
            mode=cell.mode.value,
            cause=cell.cause.value,
            mark=cell.mark.value,
            words=cell.words,
            siren_after=cell.siren_after,
            message=cell.message,
            message_after=cell.message_after,
            outcome=tuple(
                Consequence(after=after, does=called(output_in_words(setup, output), names))
                for after, output in cell.outcome
            ),
        )


def explanation(told: Mapping[ZoneNumber, str], never: Iterable[NeverArmed] = ()) -> ExplanationResult:
    """Return the texts of some zones."""
    return ExplanationResult(zones=_texts(told), never_armed=tuple(never))


def explanation_of_readback(found: ReadTexts) -> ExplanationResult:
    """Return what is certain of a panel that was read, in words, and what isn't known."""
    return ExplanationResult(zones=_texts(found.told), not_known=tuple(_not_known(found.untold)))


def _texts(told: Mapping[ZoneNumber, str]) -> tuple[ZoneText, ...]:
    return tuple(ZoneText(zone=number, text=text) for number, text in told.items())


def _not_known(untold: Untold) -> Iterator[NotKnown]:
    for number, causes in untold.needs.items():
        for cause, items in causes.items():
            yield NotKnown(zone=number, cause=cause.value, needs=items)


def _site_cell(setup: Setup, row: SiteRow) -> CellPart:
    return CellPart(
        zone=None,
        mode=None,
        cause=row.trouble.value,
        mark=row.mark.value,
        words=row.words,
        message=row.message,
        message_after=row.message_after,
        outcome=tuple(Consequence(after=after, does=output_in_words(setup, output)) for after, output in row.outcome),
    )

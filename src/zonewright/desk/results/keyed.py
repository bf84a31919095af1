"""What is keyed at the panel: an entry sheet, or a householder's page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from zonewright.desk.results.ids import of_job, of_row, told_apart
from zonewright.desk.results.result import Part, Result
from zonewright.entry.sheets.guide import Guide
from zonewright.entry.sheets.sheet import EntrySheet, SheetRow


class FieldChange(Part):
    """A field that is keyed: its old and its new value."""

    field: str
    old: str | None
    new: str | None


class RowPart(Part):
    """A row of a sheet: what the display shows, what is pressed, what is looked at."""

    id: str  # by which it is known again in another sheet
    number: int
    shows: tuple[str, ...]
    press: tuple[tuple[str, ...], ...] | None  # key by key, in groups; null: digits that only their owner knows
    look: tuple[str, ...] | None
    then: str | None
    trip: str | None
    after: tuple[str, ...]
    item: str | None
    read_back: bool


class JobPart(Part):
    """A part of a sheet that is keyed in one go, and the rows at which the panel saves."""

    id: str  # by which it is known again in another sheet
    title: str
    saved_at: tuple[int, ...]
    changes: tuple[FieldChange, ...]
    rows: tuple[RowPart, ...]


class ReadingPart(Part):
    """What the display must show when an item is read back."""

    item: str
    shows: tuple[str, ...]


class SheetPart(Part):
    """All that is keyed, and what is read back at the end."""

    panel: str
    presses: int
    jobs: tuple[JobPart, ...]
    read_back: tuple[ReadingPart, ...]


class SheetResult(Result, SheetPart):
    """An entry sheet, with what must be mended or known before the first key."""

    kind: Literal["entry-sheet"] = "entry-sheet"
    not_ready: tuple[str, ...]
    beware: tuple[str, ...]


class ActionPart(Part):
    """One thing that a householder does, what they then see, and whether it is read out on the telephone."""

    number: int
    do: str
    see: str
    aloud: bool


class GuidePage(Result):
    """A householder's page for one device, with what must be mended or known before the first key."""

    kind: Literal["householders-page"] = "householders-page"
    not_ready: tuple[str, ...]
    beware: tuple[str, ...]
    title: str
    does: str
    first: tuple[str, ...]
    actions: tuple[ActionPart, ...]
    test: tuple[str, ...]
    differs: tuple[str, ...]
    code: tuple[str, ...]


def sheet_result(sheet: EntrySheet, unready: Sequence[str], beware: Sequence[str]) -> SheetResult:
    """Return a sheet."""
    return SheetResult(**dict(sheet_part(sheet)), not_ready=tuple(unready), beware=tuple(beware))


def sheet_part(sheet: EntrySheet) -> SheetPart:
    """Return a sheet; digits that only their owner keys are left out."""
    job_ids = told_apart(of_job(job.job) for job in sheet.jobs)
    row_ids = iter(told_apart(of_row(job.job, row) for job in sheet.jobs for row in job.steps))
    return SheetPart(
        panel=sheet.profile.panel,
        presses=sheet.presses,
        jobs=tuple(
            JobPart(
                id=job_id,
                title=job.title,
                saved_at=tuple(job.saved_at),
                changes=tuple(FieldChange(field=each.field, old=each.old, new=each.new) for each in job.changes),
                rows=tuple(_row(next(row_ids), row) for row in job.steps),
            )
            for job_id, job in zip(job_ids, sheet.jobs, strict=True)
        ),
        read_back=tuple(
            ReadingPart(item=reading.item, shows=tuple(reading.shows))
            for part in sheet.walk.parts
            for reading in part.readings
        ),
    )


def _row(row_id: str, row: SheetRow) -> RowPart:
    return RowPart(
        id=row_id,
        number=row.number,
        shows=tuple(row.shows),
        press=None if row.own_code else tuple(tuple(group) for group in row.keys),
        look=tuple(row.look) if row.look is not None else None,
        then=row.accept,
        trip=row.trip,
        after=tuple(row.after),
        item=row.item,
        read_back=row.read_back,
    )


def guide_result(page: Guide, unready: Sequence[str], beware: Sequence[str]) -> GuidePage:
    """Return a householder's page."""
    return GuidePage(
        not_ready=tuple(unready),
        beware=tuple(beware),
        title=page.title,
        does=page.does,
        first=tuple(page.first),
        actions=tuple(
            ActionPart(number=each.number, do=each.do, see=each.see, aloud=each.aloud) for each in page.actions
        ),
        test=tuple(page.test),
        differs=tuple(page.differs),
        code=tuple(page.code),
    )

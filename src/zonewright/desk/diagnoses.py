"""A diagnosis begun: all that may be the matter at a site, gathered by all cores."""

from __future__ import annotations

from functools import partial

from zonewright.desk.job import Job
from zonewright.desk.keyable import keyable
from zonewright.desk.progress import Progress, untold
from zonewright.desk.slip_ends import ends_of
from zonewright.diagnosis.case import Case, case_of


def case_at(job: Job, older: Job | None = None, progress: Progress = untold) -> Case:
    """Return a site's case; with `older` only what the sheet of that change keys can be keyed wrong.

    Raises `BadInput` where the keypad can't do what is planned.
    """
    before = older.resolved.programme if older is not None else None
    with keyable(job.resolved):
        return case_of(job.resolved, before, partial(progress, "gathering causes"), ends_of)

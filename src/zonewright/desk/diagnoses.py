"""A diagnosis begun with all that may be the matter at a site, gathered by all cores, and what is keyed for it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from zonewright.desk.job import Job
from zonewright.desk.keyable import keyable
from zonewright.desk.progress import Progress, untold
from zonewright.desk.slip_ends import ends_of
from zonewright.diagnosis.case import Case, CureGroup, Diagnosis, case_of
from zonewright.diagnosis.curing import sheet_of_cure
from zonewright.diagnosis.evidence import Evidence
from zonewright.diagnosis.questions import Question, ReadBack
from zonewright.diagnosis.reading_back import parts_to_read
from zonewright.diagnosis.statements import about, one_line, read_statements
from zonewright.entry.sheets.sheet import EntrySheet
from zonewright.entry.sheets.walk import WalkPart
from zonewright.findings import BadInput
from zonewright.panel.resolve import Resolved


def case_at(job: Job, older: Job | None = None, progress: Progress = untold) -> Case:
    """Return a site's case; with `older` only what the sheet of that change keys can be keyed wrong.

    Raises `BadInput` where the keypad can't do what is planned.
    """
    before = older.resolved.programme if older is not None else None
    with keyable(job.resolved):
        return case_of(job.resolved, before, partial(progress, "gathering causes"), ends_of)


def noticed(case: Case, text: str, file: str, lines: Iterable[str] = (), lines_file: str = "") -> Diagnosis:
    """Return the diagnosis after the observations of a text, then those that are a line each.

    `file` and `lines_file` are what findings call the two. Raises `BadInput` with every slip of both.
    """
    diagnosis, findings = read_statements(text, file, case)
    for each in lines:
        observed, slips = one_line(case, each, lines_file)
        findings += slips
        diagnosis = diagnosis.given(observed) if observed is not None else diagnosis
    if findings:
        raise BadInput(findings)
    return diagnosis


def restated(diagnosis: Diagnosis, evidence: Evidence) -> Diagnosis:
    """Return the diagnosis after one more observation or answer, as a file is read: it replaces one about the same."""
    for each in diagnosis.evidence:
        if about(each) == about(evidence):
            diagnosis = diagnosis.without(each)
    return diagnosis.given(evidence)


def keyed(diagnosis: Diagnosis, cause: CureGroup) -> EntrySheet | None:
    """Return the sheet that cures a cause, if keys do; raises `BadInput` where the keypad can't do it."""
    resolved = diagnosis.case.resolved
    with keyable(resolved):
        return sheet_of_cure(resolved, cause)


def read_with(question: Question, resolved: Resolved) -> tuple[WalkPart, ...]:
    """Return the keys of a question that reads something back; none of another."""
    if not isinstance(question, ReadBack):
        return ()
    return tuple(part for thing in sorted(question.things) for part in parts_to_read(resolved, thing))

"""The walk that tests a programmed panel: planned for a whole site, or for what a change touches."""

from __future__ import annotations

from zonewright.behaviour.setup import UnknownValues
from zonewright.desk.job import Job
from zonewright.desk.progress import Progress, untold
from zonewright.fieldwork.candidates import ground_of
from zonewright.fieldwork.ways import ways_of
from zonewright.findings import BadInput, Finding, Severity
from zonewright.testplan.planner import Planner


def planner_of(job: Job, older: Job | None = None, progress: Progress = untold) -> Planner:
    """Return the planner of a site's walk; `older` is what the panel held before a change.

    Raises `BadInput` where there is nothing to test, or where it isn't known what the panel holds.
    """
    if not job.resolved.zones:
        raise _untestable(job, "it has no zone that could be tested", "write its devices and their zones")
    try:
        ground = ground_of(job.resolved)
    except UnknownValues as unknown:
        says = "these values aren't known, so nothing can be foretold: " + ", ".join(unknown.items)
        raise _untestable(job, says, "write them") from unknown
    return Planner(ground, ways_of(job.plan), older.resolved if older is not None else None, progress)


def _untestable(job: Job, says: str, fix: str) -> BadInput:
    return BadInput([Finding("USE-03", Severity.PROBLEM, job.file, says, fix=fix)])

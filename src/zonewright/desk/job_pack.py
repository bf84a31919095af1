"""The job pack: everything about a site on one set of pages, as data that PDF and HTML are made from."""

from __future__ import annotations

from zonewright.desk.job import Job
from zonewright.desk.progress import Progress, untold
from zonewright.desk.sheets import guide_of, keying
from zonewright.desk.test_plans import planner_of
from zonewright.desk.verdicts import Proving
from zonewright.documents.pack import pack_data
from zonewright.documents.records import PackData
from zonewright.site.record import ZoneNumber


def job_pack(
    job: Job,
    older: Job | None = None,
    zone: ZoneNumber | None = None,
    proving: Proving | None = None,
    *,
    walk: bool = True,
    progress: Progress = untold,
) -> PackData:
    """Return the pack of a site.

    `older` is the site as the panel holds it, `zone` the one that a householder keys. What `proving` asks is proved
    here, and stands in it; so does the plan of the walk. Raises `BadInput` where the keypad can't do it, or where there
    can't be a householder's page.
    """
    keys = keying(job, older)
    pages = () if zone is None else (guide_of(keys, zone),)
    if proving is not None:
        proving.run(progress)
    tests = planner_of(job, older, progress).run() if walk and job.resolved.zones else None
    verdicts = proving.verdicts if proving is not None else ()
    return pack_data(job.resolved, job.matrix, job.judged, (keys.sheet,), pages, job.plan, verdicts, tests, keys.beware)

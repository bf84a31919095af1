"""Opening what a user names on the command line; `--outside` stands there, before the verb."""

from __future__ import annotations

from pathlib import Path

import click

from zonewright.desk.job import Job, older_job, open_job
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.profile import Profile
from zonewright.panel.readback_file import OpenedReadback, is_readback, open_readback
from zonewright.site.filetext import read_text


def outside_allowed() -> bool:
    """Return whether this run may follow names that lead out of a file's folder (`zonewright --outside VERB ...`)."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.find_root().params.get("outside"))


def job_at(path: Path) -> Job:
    """Return the job of a site file; raises `BadInput` as `open_job` does, and for a readback."""
    if path.is_file() and is_readback(path):
        says, fix = "it is a readback, and this takes a site file", f"begin one: zonewright new FILE --from {path}"
        raise BadInput([Finding("RBK-09", Severity.PROBLEM, str(path), says, fix=fix)])
    return open_job(path, outside=outside_allowed())


def older_at(path: Path | None, job: Job) -> Job | None:
    """Return the older state of a site in a file, as its panel holds it; None where no file is named.

    Raises `BadInput` as `older_job` does.
    """
    return older_job(job_at(path), job) if path is not None else None


def readback_at(path: Path, profile: Profile | None = None) -> OpenedReadback:
    """Return what a readback file says; raises `BadInput` as `open_readback` does."""
    return open_readback(path, profile, outside=outside_allowed())


def text_at(path: Path) -> str:
    """Return what a file says; raises `BadInput` where it isn't there or can't be read."""
    text, unreadable = read_text(path)
    if unreadable:
        raise BadInput(unreadable)
    return text

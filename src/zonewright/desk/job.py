"""A site that somebody works on: its file, what its panel will hold and do, its plan, and what `check` finds.

Rules of this file:
1. A Job is opened once and handed on. What follows from it is worked out when it is first asked for, and once.
2. Nothing of it is global: two threads may work on two jobs, or on one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from zonewright.behaviour.acts import with_acts
from zonewright.behaviour.setup import Setup, setup_of
from zonewright.behaviour.tracks import Names, names_of
from zonewright.checks.check import Judged, check
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.held_before import as_held
from zonewright.panel.opening import open_site
from zonewright.panel.reading import is_path
from zonewright.panel.resolve import Resolved
from zonewright.site.folder import leads_out, led_out
from zonewright.site.plan import Plan, read_plan


@dataclass(frozen=True)
class Job:
    """One site, read and resolved with its panel's profile."""

    path: Path  # of the site file
    resolved: Resolved
    outside: bool = False  # whether names in the file may lead out of its folder

    @cached_property
    def setup(self) -> Setup:
        """Return what the panel model reads; raises `UnknownValues` or `UnusableValues` as `setup_of` does."""
        return setup_of(self.resolved.programme, self.resolved.profile)

    @cached_property
    def acting(self) -> Setup:
        """Return the setup with all that people on this site can do."""
        return with_acts(self.setup, self.resolved)

    @cached_property
    def names(self) -> Names:
        """Return what zones, areas and people are called in everything that is told."""
        return names_of(self.resolved)

    @cached_property
    def plan(self) -> Plan | None:
        """Return the plan that the site names, if it names one; raises `BadInput` with every mistake in it."""
        site, folder = self.resolved.site, self.path.parent
        if site.plan is None:
            return None
        if not self.outside and leads_out(folder, site.plan):
            raise BadInput([led_out("plan", site.plan, self.resolved.written["plan",])])
        return read_plan(folder / site.plan, site).usable()

    @cached_property
    def judged(self) -> Judged:
        """Return what every rule finds; raises `BadInput` where the plan can't be read."""
        return check(self.resolved, self.plan)

    @property
    def files(self) -> tuple[Path, ...]:
        """Return the files that it comes from: the site's, its panel's profile and its plan where they are files."""
        site = self.resolved.site
        named = [name for name in (site.plan, site.panel if is_path(site.panel) else None) if name]
        return (self.path, *(self.path.parent / name for name in named))


def open_job(path: Path, *, outside: bool = False) -> Job:
    """Return the job of a site file; raises `BadInput` as `open_site` does."""
    return Job(path, open_site(path, outside=outside), outside)


def older_job(path: Path, job: Job) -> Job:
    """Return an older state of a site, as its panel holds it; raises `BadInput` where it is for another panel."""
    older = open_job(path, outside=job.outside)
    was, now = older.resolved.profile.panel, job.resolved.profile.panel
    if was != now:
        says = f"it is for the panel {was}, and the site for {now}"
        fix = "name an older file of the same panel; for another panel leave --since out and key it whole"
        raise BadInput([Finding("USE-08", Severity.PROBLEM, str(path), says, fix=fix)])
    return Job(path, as_held(older.resolved, job.resolved), job.outside)

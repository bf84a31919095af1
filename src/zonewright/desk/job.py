"""A site that somebody works on: its file, what its panel will hold and do, its plan, and what `check` finds.

Rules of this file:
1. A Job is opened once and handed on. What follows from it is worked out when it is first asked for, and once.
2. Nothing of it is global: two threads may work on two jobs, or on one.
3. It is opened from files wherever they are: in a folder, or as texts that a browser sent.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from zonewright.behaviour.acts import can_be, with_acts
from zonewright.behaviour.devices import without_cover
from zonewright.behaviour.setup import AreaNumber, Setup, setup_of
from zonewright.checks.check import Judged, check
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.behaviours import ARMED, Mode
from zonewright.panel.held_before import as_held
from zonewright.panel.opening import resolved_site
from zonewright.panel.profile_file import is_path
from zonewright.panel.resolve import Resolved
from zonewright.site.files import Files, Folder, Texts, led_out
from zonewright.site.plan import Plan, read_plan
from zonewright.words.matrix import Matrix
from zonewright.words.matrix import matrix as matrix_of
from zonewright.words.tracks import Names, names_of


@dataclass(frozen=True)
class Job:
    """One site, read and resolved with its panel's profile."""

    source: Files
    name: str  # of the site file among them
    resolved: Resolved

    @property
    def file(self) -> str:
        """Return what findings call the site file."""
        return self.source.called(self.name)

    @property
    def files(self) -> tuple[Path, ...]:
        """Return the files that it comes from: the site's, its panel's profile and its plan where they are files."""
        site = self.resolved.site
        named = [name for name in (site.plan, site.panel if is_path(site.panel) else None) if name]
        return tuple(Path(self.source.called(name)) for name in (self.name, *named))

    @cached_property
    def setup(self) -> Setup:
        """Return what the panel model reads; raises `UnknownValues` or `UnusableValues` as `setup_of` does."""
        return setup_of(self.resolved.programme, self.resolved.profile)

    @cached_property
    def acting(self) -> Setup:
        """Return the setup with all that people on this site can do."""
        return with_acts(self.setup, self.resolved)

    @cached_property
    def matrix(self) -> Matrix:
        """Return what follows from each cause at each zone in each mode."""
        return matrix_of(self.setup, bare=without_cover(self.resolved), never=self.never_armed)

    @cached_property
    def never_armed(self) -> Mapping[AreaNumber, frozenset[Mode]]:
        """Return the modes in which nobody can set an area."""
        never = {area: ARMED - can_be(self.acting, area) for area in self.setup.areas}
        return {area: modes for area, modes in never.items() if modes}

    @cached_property
    def names(self) -> Names:
        """Return what the site calls its areas and people."""
        return names_of(self.resolved)

    @cached_property
    def plan(self) -> Plan | None:
        """Return the plan that the site names, if it names one; raises `BadInput` with every mistake in it."""
        site = self.resolved.site
        if site.plan is None:
            return None
        if self.source.leads_out(site.plan):
            raise BadInput([led_out("plan", site.plan, self.resolved.written["plan",])])
        return read_plan(self.source, site.plan, site, self.resolved.written["plan",]).usable()

    @cached_property
    def judged(self) -> Judged:
        """Return what every rule finds; raises `BadInput` where the plan can't be read."""
        return check(self.resolved, self.plan)


def open_job(path: Path, *, outside: bool = False) -> Job:
    """Return the job of a site file on disk; `outside` lets what it names lead out of its folder.

    Raises `BadInput` as `job_in` does.
    """
    return job_in(Folder(path.parent, outside=outside), path.name)


def open_text(texts: Mapping[str, str], name: str) -> Job:
    """Return the job of a site file among texts, by their names; raises `BadInput` as `job_in` does."""
    return job_in(Texts(texts), name)


def job_in(files: Files, name: str) -> Job:
    """Return the job of a site file among files; raises `BadInput` as `resolved_site` does."""
    return Job(files, name, resolved_site(files, name))


def older_job(older: Job, job: Job) -> Job:
    """Return an older state of a site, as its panel holds it; raises `BadInput` where it is for another panel."""
    was, now = older.resolved.profile.panel, job.resolved.profile.panel
    if was != now:
        says = f"it is for the panel {was}, and the site for {now}"
        fix = "name an older file of the same panel; a site for another panel is keyed whole"
        raise BadInput([Finding("USE-08", Severity.PROBLEM, older.file, says, fix=fix)])
    return replace(older, resolved=as_held(older.resolved, job.resolved))

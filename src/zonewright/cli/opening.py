"""Opening what a user names: a site file, an older one of the same panel, the plan that a site names."""

from __future__ import annotations

from pathlib import Path

import click

from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.held_before import as_held
from zonewright.panel.opening import open_site
from zonewright.panel.profile import Profile
from zonewright.panel.readback_file import OpenedReadback, open_readback
from zonewright.panel.reading import is_path
from zonewright.panel.resolve import Resolved
from zonewright.site.folder import leads_out, led_out
from zonewright.site.plan import Plan, read_plan


def outside_allowed() -> bool:
    """Return whether this run may follow names that lead out of a file's folder (`zonewright --outside VERB ...`)."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.find_root().params.get("outside"))


def site_at(path: Path) -> Resolved:
    """Return the site of a file; raises `BadInput` as `open_site` does."""
    return open_site(path, outside=outside_allowed())


def older_at(path: Path, site: Resolved) -> Resolved:
    """Return an older state of a site, as its panel holds it; raises `BadInput` where it is for another panel."""
    older = site_at(path)
    if older.profile.panel != site.profile.panel:
        says = f"it is for the panel {older.profile.panel}, and the site for {site.profile.panel}"
        fix = "name an older file of the same panel; for another panel leave --since out and key it whole"
        raise BadInput([Finding("USE-08", Severity.PROBLEM, str(path), says, fix=fix)])
    return as_held(older, site)


def readback_at(path: Path, profile: Profile | None = None) -> OpenedReadback:
    """Return what a readback file says; raises `BadInput` as `open_readback` does."""
    return open_readback(path, profile, outside=outside_allowed())


def plan_of(site: Resolved, folder: Path) -> Plan | None:
    """Return the plan that a site names, if it names one; raises `BadInput` with every mistake in it."""
    name = site.site.plan
    if name is None:
        return None
    if not outside_allowed() and leads_out(folder, name):
        raise BadInput([led_out("plan", name, site.written["plan",])])
    return read_plan(folder / name, site.site).usable()


def files_behind(path: Path, site: Resolved) -> tuple[Path, ...]:
    """Return the files that a site comes from: its own, its panel's profile and its plan where they are files."""
    named = [name for name in (site.site.plan, site.site.panel if is_path(site.site.panel) else None) if name]
    return (path, *(path.parent / name for name in named))

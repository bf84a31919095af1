"""From the path of a site file to the site as its panel will hold it.

Rules of this file:
1. Every verb opens a site here: one that its panel can't hold goes no further, and every reason is reported.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from zonewright.findings import BadInput
from zonewright.panel.profile_file import find_profile
from zonewright.panel.resolve import Resolved, resolve
from zonewright.site.files import Files, Folder
from zonewright.site.model import Site
from zonewright.site.plan import Plan, read_plan
from zonewright.site.sitefile import read_site


def open_site(path: Path, *, outside: bool = False) -> Resolved:
    """Return the site of a file on disk; `outside` allows a profile and a plan outside the file's folder.

    Raises `BadInput` as `resolved_site` does.
    """
    return resolved_site(Folder(path.parent, outside=outside), path.name)


def resolved_site(files: Files, name: str) -> Resolved:
    """Read a site file and its profile and resolve them.

    Raises `BadInput` with every mistake of the site file; if it has none, of the profile; if that has none either, with
    everything that the panel can't do.
    """
    read = read_site(files, name)
    site = read.usable()
    profile = find_profile(site.panel, files)
    if profile.record is None:
        where = read.places[("panel",)]
        raise BadInput(
            finding if finding.place is not None else replace(finding, place=where) for finding in profile.findings
        )
    resolved = resolve(site, read.places, profile.record, profile.places)
    if resolved.findings:
        raise BadInput(resolved.findings)
    return replace(resolved, plan=_plan(files, site))


def _plan(files: Files, site: Site) -> Plan | None:
    """Return the plan of a site, for how long its walks take; None if there is none that can be used."""
    if site.plan is None or files.leads_out(site.plan):
        return None
    return read_plan(files, site.plan, site).record

"""A site file begun: from a few answers, from what a panel holds, or from a schedule in CSV.

Rules of this file:
1. It gives texts, and whoever calls writes them (`saving.py`). Nothing that stands in one was guessed.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

from zonewright.findings import BadInput, Finding
from zonewright.panel.first_file import first_file
from zonewright.panel.profile import Profile
from zonewright.panel.profile_file import is_path
from zonewright.panel.readback_file import OpenedReadback
from zonewright.panel.skeleton import skeleton
from zonewright.site.schedule_csv import read_schedule
from zonewright.site.sitefile import read_site_text
from zonewright.site.writing import scalar, site_text

UNNAMED, ONE_AREA = "A new site", "house"


@dataclass(frozen=True, slots=True)
class Begun:
    """The text of a site file that was begun with what a panel holds."""

    text: str
    unknown: int  # remarks that tell what is not known


@dataclass(frozen=True, slots=True)
class ImportedSite:
    """The text of a site file made from a schedule; with findings it can't be used until they are mended."""

    text: str
    devices: int
    findings: tuple[Finding, ...]


def new_site(profile: Profile, panel: str, file: str, name: str, areas: Sequence[str], account: str) -> str:
    """Return the text of a new site file with examples to copy.

    `panel` names the profile as the file must, `file` is the path that it will have; without an account nobody is
    told. Raises `BadInput` where an answer is nothing that a site file can say.
    """
    named = [each.strip() for each in areas if each.strip()] or [ONE_AREA]
    word = panel if is_path(panel) else scalar(panel)
    text = first_file(profile, word, name.strip() or UNNAMED, PurePath(file).name, named, account.strip())
    read_site_text(text, file).usable()
    return text


def site_from_readback(opened: OpenedReadback, file: Path, name: str) -> Begun:
    """Return a site file, to be written at `file`, begun with what a panel holds."""
    panel = named_beside(opened.readback.panel, Path(opened.file).parent, file)
    text = skeleton(opened.profile, opened.programme, panel, name.strip() or UNNAMED, file.name)
    return Begun(text, text.count("not known") - 1)  # the head speaks of it


def named_beside(panel: str, folder: Path, file: Path) -> str:
    """Return how a file names a profile that is called `panel` in a folder: a path is told from the file."""
    return os.path.relpath(folder / panel, file.parent) if is_path(panel) else panel


def site_from_schedule(
    schedule: str, schedule_file: str, file: str, columns: Mapping[str, str], *, name: str, panel: str
) -> ImportedSite:
    """Return a site file, to be written at `file`, with the devices of a schedule's text.

    `columns` maps a field to the name of its column, `panel` names the profile as the file must. Raises `BadInput` with
    every mistake of the schedule.
    """
    made = read_schedule(schedule, schedule_file, columns)
    if made.findings:
        raise BadInput(made.findings)
    lines = [f"site: {scalar(name)}", f"panel: {panel if is_path(panel) else scalar(panel)}"]
    lines.append("areas: {" + ", ".join(f"{scalar(area)}: {{}}" for area in made.areas) + "}")
    lines.append("devices:")
    for device, fields in made.devices.items():
        lines += [f"  {scalar(device)}:", *(f"    {field}: {_flow(value)}" for field, value in fields.items())]
    raw = "\n".join(lines) + "\n"
    read = read_site_text(raw, file)
    if read.record is None:
        return ImportedSite(raw, len(made.devices), read.findings)
    came_from = f"{name}, imported from {PurePath(schedule_file).name}."
    head = f"{came_from}\nIt shows how to get in: keep it locked. No code belongs in it."
    return ImportedSite(site_text(read.record, head), len(made.devices), ())


def _flow(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{name}: {_flow(one)}" for name, one in value.items()) + "}"
    return scalar(str(value))

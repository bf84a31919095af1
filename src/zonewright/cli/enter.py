"""`enter`: the entry sheet, whole or for a change, and the householder's guide for one device."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from zonewright.cli.opening import job_at, older_at, readback_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import json_text
from zonewright.cli.terminal import paragraph, screen_of
from zonewright.desk.results.keyed import guide_result, sheet_result
from zonewright.desk.results.result import Result
from zonewright.desk.saving import save
from zonewright.desk.sheets import guide_of, keying_asked
from zonewright.desk.zones import zone_meant
from zonewright.entry.sheets.guide import Guide
from zonewright.entry.sheets.text import sheet_lines
from zonewright.findings import BadInput, Finding, Severity


@click.command()
@click.argument("site", type=FILE)
@click.option("--since", type=FILE, metavar="OLDER", help="The site file as the panel holds it.")
@click.option("--from", "read", type=FILE, metavar="READBACK", help="What was read at the panel.")
@click.option("--guide", "device", metavar="DEVICE", help="One page for a householder who keys this device.")
@click.option("--out", type=FILE, metavar="FILE", help="Write it into a file.")
@click.option("--force", is_flag=True, help="Write over an existing file.")
@click.option("--json", "as_json", is_flag=True, help="Print the sheet as JSON.")
def enter(
    site: Path,
    since: Path | None,
    read: Path | None,
    device: str | None,
    out: Path | None,
    force: bool,
    as_json: bool,
) -> int:
    """Write the sheet of keys that brings the panel to what SITE says.

    Every key was pressed on a virtual keypad, and all of them together give back the plan: only then is it printed.
    Without --since or --from the panel is taken as shipped; with one of them, the sheet is the shortest way from there.
    Where a readback doesn't know what stands there, the keys are pressed until the display shows what is wanted.

    \b
    zonewright enter larkfield.yaml
    zonewright enter larkfield.yaml --since larkfield-before.yaml
    zonewright enter larkfield.yaml --from larkfield-panel.yaml
    zonewright enter larkfield.yaml --guide side-gate
    """
    if since is not None and read is not None:
        says, fix = "both tell what the panel holds now", "leave one of the two out"
        raise BadInput([Finding("USE-07", Severity.PROBLEM, "--since and --from", says, fix=fix)])
    job = job_at(site)
    zone = zone_meant(job.resolved, device) if device is not None else None
    opened = readback_at(read, job.resolved.profile) if read is not None else None
    found = keying_asked(job, older_at(since, job), opened, zone)
    unready, site_file = found.unready, job.resolved.site
    screen = screen_of(sys.stdout)
    if zone is not None:
        page = guide_of(found, zone)
        result: Result = guide_result(page, unready, found.beware)
        lines = guide_lines(page)
    else:
        result, lines = sheet_result(found.sheet, unready, found.beware), sheet_lines(found.sheet)
        lines = [f"{site_file.site}, revision {site_file.revision}", "", *lines]
    above = [*unready_lines(unready), *beware_lines(found.beware)]
    text = json_text(result.to_data()) if as_json else "\n".join([*above, *lines])
    if out is not None:
        read_here = (*job.files, *(each for each in (since, read) if each is not None))
        save(out, text + "\n", force=force, inputs=read_here)
        screen.say(f"{out}: written")
    else:
        screen.say(*text.splitlines())
    return 0


def unready_lines(unready: Sequence[str]) -> list[str]:
    """Return what stands above the first key where something must be mended before."""
    if not unready:
        return []
    head, *findings = unready
    lines = [line for each in findings for line in paragraph(each, 80, "  - ", "    ")]
    return [*paragraph(head.replace("Not ready to key", "NOT READY TO KEY", 1), 80), *lines, ""]


def beware_lines(known: Sequence[str]) -> list[str]:
    """Return what somebody must know of a change before the first key."""
    lines = [line for each in known for line in paragraph(each, 80, "  - ", "    ")]
    return ["BEFORE YOU KEY IT", *lines, ""] if lines else []


def guide_lines(page: Guide) -> list[str]:
    """Return the guide as text."""
    lines = [page.title, *paragraph(page.does, 80), "", "First", *(f"  - {line}" for line in page.first), ""]
    for action in page.actions:
        lines += paragraph(f"{action.do} {action.see}", 80, f"{action.number:>3}  ")
    for head, part in (("Try it", page.test), ("If it shows something else", page.differs), ("The code", page.code)):
        lines += ["", head, *(f"  - {line}" for line in part)]
    return lines

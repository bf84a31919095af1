"""`enter`: the entry sheet, whole or for a change, and the householder's guide for one device."""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import click

from zonewright.cli.opening import job_at, older_at, readback_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import json_text
from zonewright.cli.terminal import paragraph, screen_of
from zonewright.desk.saving import save
from zonewright.desk.sheets import guide_of, keying, keying_from, keying_of_one
from zonewright.desk.zones import zones_meant
from zonewright.entry.keypad.drive import drive
from zonewright.entry.sheets.guide import Guide
from zonewright.entry.sheets.sheet import EntrySheet, whole
from zonewright.entry.sheets.text import sheet_lines
from zonewright.entry.slips.invited import Seen, slip_table, slips
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.reading import shipped, shipped_names
from zonewright.panel.resolve import Resolved
from zonewright.site.record import ZoneNumber


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
    zone = _one_zone(job.resolved, device) if device is not None else None
    if read is not None:
        found = keying_from(job, readback_at(read, job.resolved.profile), read)
    elif since is None and zone is not None:
        found = keying_of_one(job, zone)
    else:
        found = keying(job, older_at(since, job))
    known = (
        () if read is not None and zone is not None else found.beware
    )  # a householder's page says nothing of other people's codes
    unready, site_file = found.unready, job.resolved.site
    screen = screen_of(sys.stdout)
    if zone is not None:
        page = guide_of(found, zone)
        data, lines = guide_object(page), guide_lines(page)
    else:
        data, lines = sheet_object(found.sheet), sheet_lines(found.sheet)
        lines = [f"{site_file.site}, revision {site_file.revision}", "", *lines]
    above = [*unready_lines(unready), *beware_lines(known)]
    text = json_text({"not ready": unready, "beware": known, **data}) if as_json else "\n".join([*above, *lines])
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


def guide_object(page: Guide) -> dict[str, object]:
    """Return the guide as plain data."""
    return {
        "title": page.title,
        "does": page.does,
        "first": list(page.first),
        "actions": [
            {"number": each.number, "do": each.do, "see": each.see, "aloud": each.aloud} for each in page.actions
        ],
        "test": list(page.test),
        "differs": list(page.differs),
        "code": list(page.code),
    }


def sheet_object(sheet: EntrySheet) -> dict[str, object]:
    """Return a sheet as plain data; digits that only their owner keys are left out."""
    return {
        "panel": sheet.profile.panel,
        "presses": sheet.presses,
        "jobs": [
            {
                "title": job.title,
                "saved at": list(job.saved_at),
                "changes": [{"field": each.field, "old": each.old, "new": each.new} for each in job.changes],
                "steps": [
                    {
                        "step": step.number,
                        "shows": list(step.shows),
                        "press": None if step.own_code else [list(group) for group in step.keys],
                        "look": list(step.look) if step.look is not None else None,
                        "then": step.accept,
                        "trip": step.trip,
                        "after": list(step.after),
                        "item": step.item,
                        "read back": step.read_back,
                    }
                    for step in job.steps
                ],
            }
            for job in sheet.jobs
        ],
        "read back": [
            {"item": reading.item, "shows": list(reading.shows)}
            for part in sheet.walk.parts
            for reading in part.readings
        ],
    }


def _one_zone(resolved: Resolved, device: str) -> ZoneNumber:
    found = zones_meant(resolved, device)
    if len(found) > 1:
        says = f"it may mean the zones {', '.join(map(str, found))}, and a guide is for one"
        fix = "name the device with its input, or the zone's number"
        raise BadInput([Finding("USE-02", Severity.PROBLEM, f'zone "{device}"', says, fix=fix)])
    return found[0]


def slips_page() -> str:
    """Return the page of slips for docs/: what a 32-zone sheet of each shipped panel shows and hides."""
    lines = [
        "# Slips: what a sheet shows and what it hides",
        "",
        "Every slip of a whole sheet (32 zones, 4 people, drawn at random) is tried on the virtual keypad: the altered",
        "keys are pressed, then all the following keys of that job as printed. The *plain* reader looks at the display",
        "after each step; the *careful* one also before the key that accepts. Both never overlook a difference, which",
        "no real person can say.",
        "",
        "- **keys**: each key of the sheet replaced by each near key, dropped, doubled, swapped with the next.",
        "- **answers**: whole wrong answers, properly keyed: the neighbouring choice, a flipped yes or no, a misread",
        "  digit, another word, another number, another device tripped, the time-out, leaving before the end.",
        "",
        "What stays silent is marked [R] on the sheet and read back at the end.",
        "",
        "A sheet that gives back the plan when replayed proves nothing about the profile: both share its mistakes. Of",
        "31 mistakes planted in Tern's profile and in the keypad itself, replaying caught 8; the transcripts, typed by",
        "hand from the manual, caught all 31 (`tests/panels/test_planted.py`).",
        "",
    ]
    for name in shipped_names():
        profile = shipped(name)
        plan = random_programme(profile, random.Random(32), 32, 4)  # noqa: S311 - an example, no secret
        sheet = whole(profile, plan)
        found = list(slips(profile, drive(profile, as_shipped(profile), plan)))
        table = slip_table(found)
        lines += [
            f"## {name}",
            "",
            f"{sheet.presses} presses, {sheet.trips} trips; {len(found)} slips tried.",
            f"Reading back takes {sheet.walk.presses} presses.",
            "",
            f"| share of slips, % | {' | '.join(table)} |",
            "| --- |" + " --- |" * len(table),
        ]
        lines += [
            f"| {seen.value} | {' | '.join(f'{100 * shares[seen]:.1f}' for shares in table.values())} |"
            for seen in Seen
        ]
        silent = Counter(
            str(slip.item).rpartition("/")[2] for slip in found if slip.careful is Seen.NEVER and slip.item
        )
        lines += [
            "",
            f"Silent even for the careful reader: {', '.join(f'{item} {n}' for item, n in silent.most_common())}.",
            "",
        ]
    return "\n".join(lines)

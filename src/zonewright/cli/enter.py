"""`enter`: the entry sheet, whole or for a change, and the householder's guide for one device."""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import click

from zonewright.behaviour.matrix import Cause, matrix
from zonewright.behaviour.sentence import sentence
from zonewright.behaviour.setup import setup_of
from zonewright.behaviour.telling import listed
from zonewright.behaviour.tracks import names_of
from zonewright.checks.check import check
from zonewright.checks.readiness import not_ready
from zonewright.checks.since import beware
from zonewright.checks.taken_over import beware_of_panel
from zonewright.cli.keyable import keyable
from zonewright.cli.opening import files_behind, older_at, plan_of, readback_at, site_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import json_text
from zonewright.cli.saving import save
from zonewright.cli.terminal import paragraph, screen_of
from zonewright.cli.zones import zones_meant
from zonewright.entry.drive import drive
from zonewright.entry.guide import Guide, for_one_zone, guide, set_off_words
from zonewright.entry.review import NO_MORE, called
from zonewright.entry.sheet import EntrySheet, delta, whole
from zonewright.entry.slips import Seen, slip_table, slips
from zonewright.entry.strokes import NoWay
from zonewright.entry.text import sheet_lines
from zonewright.fieldwork.householder import not_for_a_layman, trial, why_unheard
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.behaviours import Mode
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.programme import Programme
from zonewright.panel.readback import SAID_BY_A_SITE, before_and_after
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
    resolved = site_at(site)
    zone = _one_zone(resolved, device) if device is not None else None
    known: tuple[str, ...] = ()
    older: Programme | None
    if read is not None:
        resolved, held = _taken_over(resolved, read, since)
        known, older = beware_of_panel(held, resolved) if zone is None else (), held
    else:
        before = older_at(since, resolved) if since is not None else None
        known = beware(before, resolved) if before is not None else ()
        older = before.programme if before is not None else _all_but(resolved, zone)
    sheet = sheet_of(resolved, older)
    unready = not_ready(check(resolved, plan_of(resolved, site.parent)))
    screen = screen_of(sys.stdout)
    if zone is not None:
        page = guide_of(resolved, sheet, zone)
        data, lines = guide_object(page), guide_lines(page)
    else:
        data, lines = sheet_object(sheet), sheet_lines(sheet)
        lines = [f"{resolved.site.site}, revision {resolved.site.revision}", "", *lines]
    above = [*unready_lines(unready), *beware_lines(known)]
    text = json_text({"not ready": unready, "beware": known, **data}) if as_json else "\n".join([*above, *lines])
    if out is not None:
        save(out, text + "\n", force=force, inputs=_read_here(site, resolved, since, read))
        screen.say(f"{out}: written")
    else:
        screen.say(*text.splitlines())
    return 0


def _read_here(site: Path, resolved: Resolved, *others: Path | None) -> tuple[Path, ...]:
    return (*files_behind(site, resolved), *(each for each in others if each is not None))


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


def sheet_of(resolved: Resolved, older: Programme | None) -> EntrySheet:
    """Return the whole sheet, or that from an older Programme; raises `BadInput` where the keypad can't do it."""
    with keyable(resolved):
        if older is None:
            return whole(resolved.profile, resolved.programme, resolved.users)
        return delta(resolved.profile, older, resolved.programme, resolved.users)


def guide_of(resolved: Resolved, sheet: EntrySheet, zone: ZoneNumber) -> Guide:
    """Return the householder's guide for a zone of a sheet; raises `BadInput` where there can't be one."""
    setup = setup_of(resolved.programme, resolved.profile)
    made = matrix(setup, (Cause.OPENS, Cause.LOW_BATTERY, Cause.MISSING))
    mine = setup.zone(zone)
    assert mine is not None  # it was found by its name
    why = not_for_a_layman(mine) or _more_than_a_device(resolved, sheet, zone)
    if why:
        raise _no_guide(zone, f"a householder should not key it: {why}", "key it yourself, with the whole sheet")
    try:
        alone = for_one_zone(sheet, zone)
        set_off = set_off_words(resolved.zone_senses(zone))
        how = trial(setup, mine, set_off, made.cell(zone, Mode.DISARMED).words, names_of(resolved))
        if how is None:
            raise _no_guide(zone, why_unheard(setup, mine), "give it a chime, or try it yourself")
        last = (*_other_inputs(resolved, sheet, zone), *how.last)
        return guide(alone, zone, does_in_short(sentence(made, zone)), how.test, how.first, last, set_off)
    except KeyError:
        says = "nothing of it is to be keyed: the panel holds it already"
        raise _no_guide(zone, says, "leave --since out, or name a device that changed") from None
    except NoWay as none:
        raise _no_guide(zone, f"it can't be keyed alone: {none}", "key it yourself, with the whole sheet") from none


def _more_than_a_device(resolved: Resolved, sheet: EntrySheet, zone: ZoneNumber) -> str:
    """Return that a page for one device is not enough: what it tells is so only once the rest is keyed, too."""
    mine, had = resolved.of_same_device(zone), sheet.old.numbers("zone")
    rest = (each.job for each in sheet.jobs if each.job.group != "zone" or each.job.number not in mine)
    from_nothing = sheet.old == as_shipped(sheet.profile)  # of the page of a whole pack the rest is keyed already
    if not from_nothing and any(job.group != "zone" or job.gone or job.number in had for job in rest):
        return "more than this device changes, and a page for it alone would leave the rest as it is"
    return ""


def _other_inputs(resolved: Resolved, sheet: EntrySheet, zone: ZoneNumber) -> tuple[str, ...]:
    """Return that the other zones of a device are keyed, too, before it is done."""
    keyed = {job.job.number for job in sheet.jobs if job.job.group == "zone" and not job.job.gone}
    others = [number for number in resolved.of_same_device(zone) if number != zone and number in keyed]
    names = [resolved.programme.fields("zone", number).get("label", f"zone {number}") for number in others]
    return (f"Its other part, {listed(names)}, has a page of its own: I do that, too.",) if names else ()


def _no_guide(zone: ZoneNumber, says: str, fix: str) -> BadInput:
    return BadInput([Finding("ENT-02", Severity.PROBLEM, f"zone {zone}", says, fix=fix)])


def does_in_short(told: str) -> str:
    """Return a zone's sentence as short ones for a householder."""
    _, _, does = told.partition(": ")
    return " ".join(f"{part[:1].upper()}{part[1:].rstrip('.')}." for part in does.split("; "))


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


def _all_but(resolved: Resolved, zone: ZoneNumber | None) -> Programme | None:
    """Return what the panel holds before one device is keyed: all but its zone; None if all is to be keyed."""
    if zone is None:
        return None
    gone = {item: None for item in resolved.programme if item.startswith(f"zone/{zone}/")}
    return resolved.programme.changed(gone)


def _taken_over(resolved: Resolved, read: Path, since: Path | None) -> tuple[Resolved, Programme]:
    """Return the site with what the panel keeps besides, and what the panel holds as far as it was read."""
    if since is not None:
        says, fix = "both tell what the panel holds now", "leave one of the two out"
        raise BadInput([Finding("USE-07", Severity.PROBLEM, "--since and --from", says, fix=fix)])
    opened = readback_at(read, resolved.profile)
    unsaid = [group for group in SAID_BY_A_SITE if group in {*opened.profile.groups} - opened.readback.no_more]
    if unsaid:
        fix = f"zonewright readback {opened.readback.panel} {read}, and say {NO_MORE} when there are no more"
        raise BadInput(
            Finding(
                "ENT-04", Severity.PROBLEM, str(read),
                f"nobody said that there is no further {called(group)}: keys can't be told for one that nobody saw",
                fix=fix,
            )
            for group in unsaid
        )  # fmt: skip
    older, wanted = before_and_after(opened.profile, opened.programme, resolved.programme)
    return replace(resolved, programme=wanted), older


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

"""What is keyed: the sheet from a panel as shipped, as an older file says or as it was read; and a householder's page.

Rules of this file:
1. With the keys comes what somebody must know before the first one: what must be mended, what a change hands on.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from zonewright.checks.readiness import not_ready
from zonewright.checks.since import beware
from zonewright.checks.taken_over import beware_of_panel
from zonewright.desk.job import Job
from zonewright.desk.keyable import keyable
from zonewright.entry.keypad.review import NO_MORE, called
from zonewright.entry.keypad.strokes import NoWay
from zonewright.entry.sheets.guide import Guide, for_one_zone, guide, set_off_words
from zonewright.entry.sheets.sheet import EntrySheet, delta, whole
from zonewright.fieldwork.householder import not_for_a_layman, trial, why_unheard
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.behaviours import Mode
from zonewright.panel.legal import as_shipped
from zonewright.panel.programme import Programme
from zonewright.panel.readback import SAID_BY_A_SITE, before_and_after
from zonewright.panel.readback_file import OpenedReadback
from zonewright.panel.resolve import Resolved
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import matrix
from zonewright.words.sentence import IN_SENTENCES, sentence
from zonewright.words.telling import listed


@dataclass(frozen=True)
class Keying:
    """A sheet, with what must be known before it is keyed."""

    job: Job  # that the panel does afterwards
    sheet: EntrySheet
    beware: tuple[str, ...] = ()  # what the change hands on, as sentences

    @property
    def unready(self) -> tuple[str, ...]:
        """Return why it must not be keyed yet: what `check` says must be mended; raises `BadInput` as it does."""
        return not_ready(self.job.judged)


def keying_asked(
    job: Job, older: Job | None = None, opened: OpenedReadback | None = None, zone: ZoneNumber | None = None
) -> Keying:
    """Return what is keyed, by what is known of the panel: what was read of it, else what an older file says.

    `zone` is the one that a householder keys; where nothing is known of the panel, it holds all the others. Raises
    `BadInput` as the functions below do.
    """
    if opened is not None:
        found = keying_from(job, opened)
        return found if zone is None else replace(found, beware=())  # a householder is told nothing of others' codes
    if older is None and zone is not None:
        return keying_of_one(job, zone)
    return keying(job, older)


def keying(job: Job, older: Job | None = None) -> Keying:
    """Return what is keyed into a panel as shipped, or into one that holds what an older file says.

    Raises `BadInput` where the keypad can't do it.
    """
    if older is None:
        return Keying(job, _sheet(job, None))
    return Keying(job, _sheet(job, older.resolved.programme), beware(older.resolved, job.resolved))


def keying_of_one(job: Job, zone: ZoneNumber) -> Keying:
    """Return what is keyed of one zone where the panel holds all the others; raises as `keying` does."""
    others = {item: None for item in job.resolved.programme if item.thing == f"zone/{zone}"}
    return Keying(job, _sheet(job, job.resolved.programme.changed(others)))


def keying_from(job: Job, opened: OpenedReadback) -> Keying:
    """Return what is keyed into a panel that was read; what no site file has words for stays as it is there.

    Raises `BadInput` where the readback doesn't tell all that is in use, or as `keying` does.
    """
    unsaid = [group for group in SAID_BY_A_SITE if group in {*opened.profile.groups} - opened.readback.no_more]
    if unsaid:
        fix = f"read it on, and say {NO_MORE} when there are no more"
        raise BadInput(
            Finding(
                "ENT-04", Severity.PROBLEM, opened.file,
                f"nobody said that there is no further {called(group)}: keys can't be told for one that nobody saw",
                fix=fix,
            )
            for group in unsaid
        )  # fmt: skip
    held, wanted = before_and_after(opened.profile, opened.programme, job.resolved.programme)
    wanting = replace(job, resolved=replace(job.resolved, programme=wanted))
    return Keying(wanting, _sheet(wanting, held), beware_of_panel(held, wanting.resolved))


def _sheet(job: Job, older: Programme | None) -> EntrySheet:
    resolved = job.resolved
    with keyable(resolved):
        if older is None:
            return whole(resolved.profile, resolved.programme, resolved.users)
        return delta(resolved.profile, older, resolved.programme, resolved.users)


# The householder's page -----------------------------------------------------------------------------------------------


def guide_of(found: Keying, zone: ZoneNumber) -> Guide:
    """Return the householder's page for a zone of a sheet; raises `BadInput` where there can't be one."""
    resolved, setup, sheet = found.job.resolved, found.job.setup, found.sheet
    made = matrix(setup, IN_SENTENCES)
    mine = setup.zone(zone)
    assert mine is not None  # it was found by its name
    why = not_for_a_layman(mine) or _more_than_a_device(resolved, sheet, zone)
    if why:
        raise _no_guide(zone, f"a householder should not key it: {why}", "key it yourself, with the whole sheet")
    try:
        alone = for_one_zone(sheet, zone)
        set_off = set_off_words(resolved.zone_senses(zone))
        how = trial(setup, mine, set_off, made.cell(zone, Mode.DISARMED).words, found.job.names)
        if how is None:
            raise _no_guide(zone, why_unheard(setup, mine), "give it a chime, or try it yourself")
        last = (*_other_inputs(resolved, sheet, zone), *how.last)
        return guide(alone, zone, does_in_short(sentence(made, zone)), how.test, how.first, last, set_off)
    except KeyError:
        says = "nothing of it is to be keyed: the panel holds it already"
        raise _no_guide(zone, says, "name a device that changed, or ask for the whole sheet") from None
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

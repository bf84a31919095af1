"""Rules about what the station hears, how devices are watched, and who may do what."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.checks.catalogue import rule
from zonewright.checks.job import Doubt, Job
from zonewright.findings import Severity


@rule("REP-01", severity=Severity.PROBLEM, topic="reporting")
def alarm_stays_at_home(job: Job) -> Iterator[Doubt]:
    """A zone sounds the siren, and the station that the site pays for isn't told.

    Why: with nobody at home the siren is all that happens.
    Fix: set `report: everything`, or accept it with the reason.
    Source: common practice, no source.
    """
    for zone in job.zones:
        if job.setup.settings.told and zone.setup.behaviour.alarm is not None and not zone.setup.tells_alarm:
            yield zone.doubt("tells-alarm", "its alarm is not told to the station")


@rule("REP-02", severity=Severity.PROBLEM, topic="reporting")
def messages_to_nobody(job: Job) -> Iterator[Doubt]:
    """Zones are to be told to a station, and none is set.

    Why: the site file promises messages; none will ever leave the panel.
    Fix: write the station and its account, or set `report: nothing` where that is meant.
    Source: found on the panel model: no message leaves.
    """
    asked = [zone for zone in job.zones if zone.setup.tells_alarm or zone.setup.tells_trouble]
    written = [zone for zone in asked if zone.origin.fields.report is not None]
    if not job.setup.settings.told and written:
        yield written[0].doubt("tells-alarm", f"{len(written)} zones say what is reported, and the site has no station")


@rule("REP-03", severity=Severity.ADVICE, topic="reporting")
def station_never_hears_the_end(job: Job) -> Iterator[Doubt]:
    """The station isn't told when an alarm or a trouble is over.

    Why: the operator keeps calling about a door that was shut an hour ago, and a mended fault stays open.
    Fix: set `restores: yes`.
    Source: common practice, no source.
    """
    if job.setup.settings.told and not job.setup.settings.restores:
        yield job.setting("restores", "it is off")


@rule("SUP-01", severity=Severity.PROBLEM, topic="supervision")
def nobody_watches_the_guard(job: Job) -> Iterator[Doubt]:
    """A radio device that gives alarms isn't watched for battery and range.

    Why: a flat cell or a lost link is then found by the burglar.
    Fix: set `supervise: yes`.
    Source: common practice, no source; EN 50131-5-3 asks periodic communication of every radio device, from memory.
    """
    for zone in job.zones:
        if zone.kind.link == "radio" and not zone.kind.worn and zone.setup.can_alarm and not zone.setup.supervise:
            yield zone.doubt("supervise", "it gives alarms and is not supervised")


@rule("SUP-02", severity=Severity.ADVICE, topic="supervision")
def worn_and_watched(job: Job) -> Iterator[Doubt]:
    """A button that is carried about is watched for range.

    Why: each time its owner goes out the panel reports it missing; after a while nobody listens.
    Fix: set `supervise: no`, and test it by hand each month.
    Source: common practice, no source.
    """
    for zone in job.zones:
        if zone.kind.worn and zone.setup.supervise:
            yield zone.doubt("supervise", "it leaves the house in a pocket and is supervised")


@rule("SUP-03", severity=Severity.ADVICE, topic="supervision")
def troubles_stay_at_home(job: Job) -> Iterator[Doubt]:
    """A watched device's troubles are shown here and told to nobody.

    Why: a line on a keypad is easily overlooked; the station, or you, would have called.
    Fix: set `report: everything`, or `report: troubles` for a zone that only announces.
    Source: common practice, no source.
    """
    for zone in job.zones:
        if job.setup.settings.told and zone.setup.supervise and not zone.setup.tells_trouble:
            yield zone.doubt("tells-trouble", "flat battery and lost contact show on the keypad only")


@rule("PPL-01", severity=Severity.PROBLEM, topic="people")
def nobody_owns_it(job: Job) -> Iterator[Doubt]:
    """No person on the panel is an owner.

    Why: nobody in the house may change a code or let an installer in.
    Fix: give one person the role owner.
    Source: common practice, no source.
    """
    roles = [job.programme.fields("user", number).get("role") for number in job.programme.numbers("user")]
    if roles and "owner" not in roles:
        yield Doubt("people", "people", f"{len(roles)} people, none of them an owner")


@rule("PPL-02", severity=Severity.PROBLEM, topic="people")
def nobody_may_disarm(job: Job) -> Iterator[Doubt]:
    """An area that nobody may disarm.

    Why: once armed it stays armed, and its siren sounds to its end.
    Fix: let at least one person into it with `may:`.
    Source: common practice, no source.
    """
    users = job.programme.numbers("user")
    for area in job.setup.areas if users else ():
        allowed = [
            number for number in users if str(area) in job.programme.fields("user", number).get("areas", "").split("+")
        ]
        if not allowed and any(area in zone.setup.areas for zone in job.zones):
            name = job.area_name(area)
            yield Doubt(name, f"area {name}", "nobody's code disarms it")

"""Rules about what the station hears, how devices are watched, and who may do what."""

from __future__ import annotations

import re
from collections.abc import Iterator

from zonewright.behaviour.acts import with_acts
from zonewright.behaviour.events import Beeps, Chime, Message, Siren, Spoken
from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt
from zonewright.findings import Severity
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.panel.programme import areas_in, item_of
from zonewright.site.model import Role
from zonewright.words.telling import count_of

SIREN = re.compile(r"\b(siren|sounder|bell)s?\b", re.IGNORECASE)


@rule("REP-01", severity=Severity.PROBLEM, topic="reporting")
def alarm_stays_at_home(job: Design) -> Iterator[Doubt]:
    """A zone gives an alarm, and the station that the site pays for isn't told.

    Why: with nobody at home nobody learns of it, whether it sounds or not.
    Fix: set `report: everything`, or accept it with the reason.
    Source: common practice, no source.
    Example: larkfield with
        devices: {kitchen-window: {zone: {report: troubles}}}
    """
    for zone in job.zones:
        if job.setup.settings.told and zone.setup.behaviour.alarm is not None and not zone.setup.tells_alarm:
            yield zone.doubt("tells-alarm", "its alarm is not told to the station")


@rule("REP-02", severity=Severity.PROBLEM, topic="reporting")
def messages_to_nobody(job: Design) -> Iterator[Doubt]:
    """Zones are to be told to a station, and none is set.

    Why: the site file promises messages; none will ever leave the panel.
    Fix: write the station and its account, or set `report: nothing` where that is meant.
    Source: found on the panel model: no message leaves.
    Example: larkfield with
        station: (left out)
    """
    asked = [zone for zone in job.zones if zone.setup.tells_alarm or zone.setup.tells_trouble]
    written = [zone for zone in asked if zone.origin.fields.report is not None]
    if not job.setup.settings.told and written:
        yield written[0].doubt("tells-alarm", f"{len(written)} zones say what is reported, and the site has no station")


@rule("REP-03", severity=Severity.ADVICE, topic="reporting")
def station_never_hears_the_end(job: Design) -> Iterator[Doubt]:
    """The station isn't told when an alarm or a trouble is over.

    Why: the operator keeps calling about a door that was shut an hour ago, and a mended fault stays open.
    Fix: set `restores: yes`.
    Source: common practice, no source.
    Example: larkfield with
        settings: {restores: no}
    """
    if job.setup.settings.told and not job.setup.settings.restores:
        yield job.setting("restores", "it is off")


@rule("REP-06", severity=Severity.ADVICE, topic="reporting")
def no_siren_is_named(job: Design) -> Iterator[Doubt]:
    """Zones sound a siren, and neither the site's sirens nor its loads name one.

    Why: an alarm may then be heard by nobody, and no test here would tell: each waits for a siren.
    Fix: write the siren below `sirens:`, or accept it where it stands in the panel's own box.
    Source: common practice, no source.
    Example: larkfield with
        power: {loads: {siren: (left out)}}
    """
    if not job.site.people:  # a readback says nothing of what hangs on the panel
        return
    loads = job.site.power.loads if job.site.power is not None else {}
    named = job.site.sirens or any(SIREN.search(name) for name in loads)
    sounding = [zone for zone in job.zones if job.sounds(zone, Mode.AWAY)]
    if sounding and not named:
        yield job.whole("sirens", f"{count_of(len(sounding), 'zone')} sound a siren when armed away, and none is named")


@rule("SUP-01", severity=Severity.PROBLEM, topic="supervision")
def nobody_watches_the_guard(job: Design) -> Iterator[Doubt]:
    """A radio device that gives alarms isn't watched for battery and range.

    Why: a flat cell or a lost link is then found by the burglar.
    Fix: set `supervise: yes`.
    Source: common practice, no source; EN 50131-5-3 asks periodic communication of every radio device, from memory.
    Example: larkfield with
        devices: {kitchen-window: {zone: {supervise: no}}}
    """
    for zone in job.zones:
        if zone.kind.link == "radio" and not zone.carried and zone.setup.can_alarm and not zone.setup.supervise:
            yield zone.doubt("supervise", "it gives alarms and is not supervised")


@rule("SUP-02", severity=Severity.ADVICE, topic="supervision")
def worn_and_watched(job: Design) -> Iterator[Doubt]:
    """A button that is carried about is watched for range.

    Why: each time its owner goes out the panel reports it missing; after a while nobody listens.
    Fix: set `supervise: no` and test it by hand each month; or write `fixed: yes` if it is screwed to a wall.
    Source: common practice, no source.
    Example: rowan with
        devices: {desk-button: {fixed: no, zone: {supervise: yes}}}
    """
    for zone in job.zones:
        if zone.carried and zone.setup.supervise:
            yield zone.doubt("supervise", "it leaves the house in a pocket and is supervised")


@rule("SUP-03", severity=Severity.ADVICE, topic="supervision")
def troubles_stay_at_home(job: Design) -> Iterator[Doubt]:
    """A watched device's troubles are shown here and told to nobody.

    Why: a line on a keypad is easily overlooked; the station, or you, would have called.
    Fix: set `report: everything`, or `report: troubles` for a zone that only announces.
    Source: common practice, no source.
    Example: larkfield with
        devices: {side-gate: {zone: {report: nothing}}}
    """
    for zone in job.zones:
        if job.setup.settings.told and zone.setup.supervise and not zone.setup.tells_trouble:
            fix = "set `report: troubles`" if zone.setup.behaviour.alarm is None else ""
            yield zone.doubt("tells-trouble", "flat battery and lost contact show on the keypad only", fix)


@rule("PPL-01", severity=Severity.PROBLEM, topic="people")
def nobody_owns_it(job: Design) -> Iterator[Doubt]:
    """No person on the panel is an owner.

    Why: nobody in the house may change a code or let an installer in.
    Fix: give one person the role owner.
    Source: common practice, no source.
    Example: larkfield with
        people: {Ida: {role: user}}
    """
    roles = [job.programme.fields("user", number).get("role") for number in job.programme.numbers("user")]
    if roles and "owner" not in roles:
        says = f"{len(roles)} people, none of them an owner" if len(roles) > 1 else "one person, who is no owner"
        yield Doubt("people", "people", says)


@rule("PPL-04", severity=Severity.ADVICE, topic="people")
def nobody_is_named(job: Design) -> Iterator[Doubt]:
    """The site names nobody who has a code.

    Why: with nobody on the panel nobody disarms it; and a person whom no paper names keeps their code for ever.
    Fix: name the people with their roles; their codes stay with them.
    Source: common practice, no source.
    Example: larkfield with
        people: (left out)
    """
    if job.setup.zones and "user" in job.profile.groups and not job.programme.numbers("user"):
        yield job.whole("people", "nobody is named, so nobody could disarm")


@rule("PPL-05", severity=Severity.PROBLEM, topic="people")
def duress_every_day(job: Design) -> Iterator[Doubt]:
    """An area can be disarmed by codes for duress alone.

    Why: every homecoming then calls for help, and soon nobody comes when it is meant.
    Fix: give each person a code of their own, and the one for duress to a slot that nobody uses from day to day.
    Source: common practice, no source; found on the panel model.
    Example: bakery with
        people:
          Pia: {may: [bakehouse]}
          Lena: {duress: yes}
          cleaner: {may: [bakehouse]}
    """
    if not job.site.people:  # a readback says which slots are taken, not whose they are
        return
    setup = with_acts(job.setup, job.resolved)
    for area in setup.areas:
        acts = setup.acts.of(area) if setup.acts is not None else None
        if acts is not None and acts.forced and not acts.coded and not acts.by_button:
            name = job.area_name(area)
            yield Doubt(name, f"area {name}", "only a code for duress disarms it")


@rule("PPL-07", severity=Severity.ADVICE, topic="people")
def owner_calls_for_help(job: Design) -> Iterator[Doubt]:
    """An owner's only code is one for duress.

    Why: owners use theirs from day to day, to let the installer in as well; each time people drive for nothing.
    Fix: take `duress: yes` away from the owner, and give it to a slot that nobody uses from day to day.
    Source: common practice, no source.
    Example: bakery with
        people: {Pia: {duress: yes}}
    """
    for name, person in job.site.people.items():
        if person.role is Role.OWNER and person.duress:
            yield Doubt(name, f"person {name}", "an owner's code calls for help", job.resolved.written["people", name])


@rule("PPL-06", severity=Severity.PROBLEM, topic="people")
def remote_opens_more(job: Design) -> Iterator[Doubt]:
    """A remote sets or disarms an area that the code of whoever carries it doesn't.

    Why: what was kept from that person with the code is theirs with one push, and no list of codes shows it.
    Fix: give the remote the areas that its carrier may, or let them into that area with `may:`.
    Source: common practice, no source.
    Example: rowan with
        people: {Tomas: {may: [house]}}
    """
    for name, remote in job.site.remotes.items():
        person = job.site.people.get(remote.carried_by)
        if person is None:
            continue
        sets = set(remote.area or job.resolved.areas)
        more = sorted(sets - set(person.may or job.resolved.areas))
        if more:
            says = f"{remote.carried_by} carries it, and may not set {' and '.join(more)}"
            yield Doubt(name, f"remote {name}", says, job.resolved.written["remotes", name])


@rule("PPL-02", severity=Severity.PROBLEM, topic="people")
def nobody_may_disarm(job: Design) -> Iterator[Doubt]:
    """An area that nobody may disarm.

    Why: once armed it stays armed, and its siren sounds to its end.
    Fix: let at least one person into it with `may:`.
    Source: common practice, no source.
    Example: larkfield with
        people: {Ida: {may: [house]}}
    """
    users = job.programme.numbers("user")
    for area in job.setup.areas if users else ():
        allowed = [number for number in users if area in areas_in(job.programme.get(item_of("user", number, "areas")))]
        if not allowed and any(area in zone.setup.areas for zone in job.zones):
            name = job.area_name(area)
            yield Doubt(name, f"area {name}", "nobody's code disarms it")


@rule("REP-04", severity=Severity.PROBLEM, topic="reporting")
def silent_and_told_to_nobody(job: Design) -> Iterator[Doubt]:
    """An alarm that nobody can hear is told to nobody.

    Why: a silent alarm has the station only; without it, it is a line on a display.
    Fix: set `report: everything` and give the site a station, or let it sound.
    Source: common practice, no source; found on the panel model.
    Example: larkfield with
        devices:
          kitchen-window:
            zone: {behaviour: 24-hour-silent, report: troubles}
    """
    for zone in job.zones:
        outcomes = [each for mode in Mode for _, each in job.opened(zone, mode)]
        sounds = any(isinstance(each, Siren | Chime | Spoken | Beeps) for each in outcomes)
        sends = any(isinstance(each, Message) for each in outcomes)
        if zone.setup.behaviour.alarm is not None and not sounds and not sends:
            silent = zone.setup.behaviour.siren is Pattern.NONE
            fix = "set `report: everything` and give the site a station; it is silent to protect whoever sets it off"
            says = "opened in every mode it sounds nothing and sends nothing"
            yield zone.doubt("tells-alarm", says, fix if silent else "")


@rule("REP-05", severity=Severity.ADVICE, topic="reporting")
def account_looks_invented(job: Design) -> Iterator[Doubt]:
    """The station's account is one digit over and over, or counts up.

    Why: it is usually a stand-in, and every message then arrives as somebody else's, or nobody's.
    Fix: write the account that the station gave.
    Source: common practice, no source.
    Example: larkfield with
        station: {account: "1234"}
    """
    station = job.site.station
    if station is None or not job.setup.settings.told:
        return
    digits = station.account
    if len(set(digits)) == 1 or digits in "0123456789":
        yield Doubt(
            "station", "station account", f"{digits} looks like a stand-in", job.resolved.written["station", "account"]
        )


@rule("SUP-04", severity=Severity.ADVICE, topic="supervision")
def missed_too_late(job: Design) -> Iterator[Doubt]:
    """A watched device may be silent for more than 24 hours before anybody is told.

    Why: a jammed or stolen sensor is found a day late.
    Fix: shorten the supervision window; 12 h is usual.
    Source: 12 h common practice; 13 h and 24 h are both quoted for UL 1023, from memory.
    Example: larkfield with
        settings: {supervision window: 36 h}
        panel: {answers: {watch: {choices: {"36": 36 hours}}}}
    """
    window = job.setup.settings.supervision_window
    if window > 24 * 3600 and any(zone.setup.supervise for zone in job.zones):
        yield job.setting("supervision window", f"{window // 3600} h")


@rule("SUP-05", severity=Severity.ADVICE, topic="supervision")
def one_device_watched_by_halves(job: Design) -> Iterator[Doubt]:
    """Two inputs of one device: one is watched, the other isn't.

    Why: battery and range belong to the device; which of the two settings counts depends on the panel.
    Fix: set `supervise` alike for all inputs of a device.
    Source: common practice, no source.
    Example: larkfield with
        devices: {workshop-door: {inputs: {wire: {supervise: no}}}}
    """
    for name in dict.fromkeys(zone.origin.device for zone in job.zones):
        zones = [zone for zone in job.zones if zone.origin.device == name]
        if len({zone.setup.supervise for zone in zones}) > 1:
            other = next(zone for zone in zones if not zone.setup.supervise)
            yield other.doubt("supervise", "the other input of this device is supervised, this one isn't")


@rule("PPL-03", severity=Severity.ADVICE, topic="people")
def one_person_only(job: Design) -> Iterator[Doubt]:
    """Only one person has a code.

    Why: codes get lent, and nobody knows who disarmed; when that person is ill, nobody can.
    Fix: give each person of the household a code of their own.
    Source: common practice, no source.
    Example: larkfield with
        people: {Bertil: (left out)}
    """
    users = job.programme.numbers("user")
    if len(users) == 1:
        yield Doubt("people", "people", "one code for everybody")

"""Rules about delays, windows and sums, and the habits that keep false alarms away."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.arming import SILENT_EXIT_MOST_S
from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt
from zonewright.findings import Severity
from zonewright.proof.promises.sums import limit_of, of_waiting, total_delay
from zonewright.words.telling import UNCOUNTED

TOPIC = "delays"


@rule("DEL-01", severity=Severity.PROBLEM, topic=TOPIC)
def entry_and_abort_too_long(job: Design) -> Iterator[Doubt]:
    """Entry time and abort window together pass the listing's limit.

    Why: the station hears of an intruder later than the panel's listing allows.
    Fix: shorten the abort window or the entry time.
    Source: ANSI/SIA CP-01 household set-up, 60 s, from memory; editions and listings differ, the profile states it. The
    proofs (`prove`) judge by the same sum.
    Example: larkfield with
        settings: {entry time: 35 s}
    """
    limit = limit_of(job.profile.listing)
    if limit is None or not job.setup.settings.told:
        return
    for zone in job.zones:
        total, entry = total_delay(job.setup, zone.setup), zone.setup.entry_s
        if zone.setup.tells_alarm and total > limit.seconds:
            waits = of_waiting(job.setup, zone.setup)
            wait = f" and {waits} are {total} s" if waits else ""
            held = not (zone.setup.message_waits and total - entry == job.setup.settings.abort_window)
            fix = "shorten or leave out entry hold, or the entry time" if held and waits else ""
            yield zone.doubt("delay", f"{entry} s to come in{wait}, of {limit.seconds}", fix)


@rule("DEL-02", severity=Severity.PROBLEM, topic=TOPIC)
def exit_time_out_of_range(job: Design) -> Iterator[Doubt]:
    """The exit time is outside what the listing allows.

    Why: too short and people leave into their own alarm; too long and the house stands open.
    Fix: set it within the limits; 60 s suits most homes.
    Source: ANSI/SIA CP-01 4.2.2.1, 45 to 255 s, seen second-hand.
    Example: larkfield with
        settings: {exit time: 40 s}
    """
    least, most, now = job.profile.listing.exit_least, job.profile.listing.exit_most, job.setup.settings.exit_time
    if least is not None and now < least:
        yield job.setting("exit time", f"{now} s is less than the {least} s of the listing")
    if most is not None and now > most:
        yield job.setting("exit time", f"{now} s is more than the {most} s of the listing")


@rule("DEL-03", severity=Severity.ADVICE, topic=TOPIC)
def longer_in_than_out(job: Design) -> Iterator[Doubt]:
    """Somebody gets more time to come in than to go out.

    Why: the way is the same both ways, and with shopping it is slower out; usually the two were exchanged.
    Fix: set the exit time to at least the longest entry time in use.
    Source: common practice, no source.
    Example: larkfield with
        settings: {exit time: 55 s}
    """
    used = [zone for zone in job.zones if zone.setup.entry_s > job.setup.settings.exit_time]
    if used:
        longest = max(used, key=lambda zone: zone.setup.entry_s)
        yield longest.doubt(
            "delay", f"{longest.setup.entry_s} s to come in, {job.setup.settings.exit_time} s to go out"
        )


@rule("DEL-04", severity=Severity.ADVICE, topic=TOPIC)
def no_abort_window(job: Design) -> Iterator[Doubt]:
    """Alarm messages can't be called off: there is no abort window.

    Why: most alarm calls are users' own slips at entry and exit (SIAC 2014, 77 %, seen second-hand); the window
    keeps them from the station.
    Fix: set 15 to 45 s; 30 s as shipped.
    Source: ANSI/SIA CP-01, 15 to 45 s, seen second-hand; may be switched off since 2010.
    Example: larkfield with
        settings: {abort window: 0 s}
    """
    waiting = [zone for zone in job.zones if zone.setup.message_waits]
    if job.setup.settings.told and job.setup.settings.abort_window == 0 and waiting:
        yield job.setting("abort window", f"it is off, though {len(waiting)} zones would wait for it")


@rule("DEL-05", severity=Severity.ADVICE, topic=TOPIC)
def message_goes_at_once(job: Design) -> Iterator[Doubt]:
    """A burglary zone's message doesn't wait for the abort window.

    Why: a slip of the household reaches the station, and perhaps the police, before anybody can disarm.
    Fix: set `message delay: abort window`, or accept it with the reason.
    Source: ANSI/SIA CP-01, per zone, from memory.
    Example: larkfield with
        devices: {kitchen-window: {zone: {message delay: none}}}
    """
    for zone in job.zones:
        could_wait = zone.setup.behaviour.abort and zone.setup.tells_alarm and job.setup.settings.abort_window
        if could_wait and not zone.setup.message_waits:
            yield zone.doubt("message-delay", "its alarm is sent at once")


@rule("DEL-06", severity=Severity.ADVICE, topic=TOPIC)
def siren_too_short(job: Design) -> Iterator[Doubt]:
    """The siren stops before four minutes.

    Why: neighbours need time to hear it, to be sure, and to look.
    Fix: set 4 min or more, and no more than the local ceiling.
    Source: household listing, 4 min, from memory; local ceilings common practice.
    Example: larkfield with
        settings: {siren time: 3 min}
    """
    if 0 < job.setup.settings.siren_time < 240:
        yield job.setting("siren time", f"{job.setup.settings.siren_time // 60} min")


@rule("ARM-01", severity=Severity.ADVICE, topic="arming")
def armed_with_a_window_open(job: Design) -> Iterator[Doubt]:
    """The panel arms although something is open.

    Why: the open zone is bypassed for the whole period; the house is armed with a hole in it.
    Fix: set `forced arming: no`, or teach the household what the bypass line on the keypad means.
    Source: common practice, no source.
    Example: larkfield with
        settings: {forced arming: yes}
    """
    if job.setup.settings.forced_arming:
        yield job.setting("forced arming", "open zones are bypassed instead of stopping arming")


@rule("ARM-02", severity=Severity.ADVICE, topic="arming")
def armed_away_with_people_inside(job: Design) -> Iterator[Doubt]:
    """Arming away with nobody leaving stays away.

    Why: who is still inside walks into the movement sensors.
    Fix: set `unvacated stay: yes`.
    Source: ANSI/SIA CP-01, unvacated premises, from memory.
    Example: larkfield with
        settings: {unvacated stay: no}
    """
    inside = any(zone.setup.behaviour.in_exit == "free" and not zone.setup.behaviour.exit_door for zone in job.zones)
    if inside and not job.setup.settings.asks_for_keypad:
        yield job.setting("unvacated stay", "it is off, and there are sensors inside")


@rule("ARM-03", severity=Severity.ADVICE, topic="arming")
def coming_back_for_the_keys(job: Design) -> Iterator[Doubt]:
    """Coming back once while the exit time runs doesn't give more time.

    Why: who forgot the keys is caught at the door.
    Fix: set `exit restart: yes`.
    Source: ANSI/SIA CP-01 4.2.2.3, seen second-hand.
    Example: larkfield with
        settings: {exit restart: no}
    """
    if any(job.setup.exit_doors(area) for area in job.setup.areas) and not job.setup.settings.exit_restart:
        yield job.setting("exit restart", "it is off")


@rule("ARM-04", severity=Severity.ADVICE, topic="arming")
def one_alarm_and_out(job: Design) -> Iterator[Doubt]:
    """A zone is shut down after its first alarm.

    Why: one false alarm at dusk, and that opening is unguarded until somebody disarms.
    Fix: set `swinger limit: 2`.
    Source: ANSI/SIA CP-01, default 2 and 1 to 6 from 2010, seen second-hand; 1 in the first edition.
    Example: larkfield with
        settings: {swinger limit: 1}
    """
    if job.setup.settings.swinger_limit == 1:
        yield job.setting("swinger limit", f"1: one alarm, then nothing until disarmed, or {UNCOUNTED}")


@rule("ARM-05", severity=Severity.PROBLEM, topic="arming")
def nothing_completes_setting(job: Design) -> Iterator[Doubt]:
    """Away is set by a last door or a push alone, and an area has neither.

    Why: at a keypad every setting away there fails when the exit time ends; people have gone, and nothing is set.
    Fix: give the door that people leave by the behaviour final-door, set `completing act: no`, or accept it where only
    remotes and switches set the area.
    Source: BS 8243 6.3, from memory, on what completes setting; found where nothing does.
    Example: bakery with
        settings: {completing act: yes}
    """
    settings = job.setup.settings
    if not settings.completing_act or not settings.exit_time:
        return
    for area in job.setup.areas:
        zones = [zone for zone in job.zones if area in zone.setup.areas]
        completes = any(zone.setup.behaviour.completes_exit for zone in zones)
        if not completes and any(zone.setup.can_alarm for zone in zones):
            yield job.setting(
                "completing act", f"it is on, and no zone of area {job.area_name(area)} completes setting"
            )


@rule("DEL-07", severity=Severity.ADVICE, topic=TOPIC)
def second_time_is_the_first(job: Design) -> Iterator[Doubt]:
    """A door takes the second entry time, and it is no longer than the first.

    Why: somebody meant it to be longer; now the slow way has no more time than the quick one.
    Fix: lengthen the second entry time, or give the door the first.
    Source: common practice, no source.
    Example: larkfield with
        settings: {second entry time: 30 s}
    """
    seconds = {str(zone.held.get("delay")): zone.setup.entry_s for zone in job.zones if zone.setup.entry_s}
    first, second = seconds.get("entry time"), seconds.get("second entry time")
    if first is not None and second is not None and second <= first:
        zone = next(zone for zone in job.zones if zone.held.get("delay") == "second entry time")
        yield zone.doubt("delay", f"{second} s, and the first is {first} s")


@rule("DEL-08", severity=Severity.ADVICE, topic=TOPIC)
def abort_window_out_of_range(job: Design) -> Iterator[Doubt]:
    """The abort window is on, and shorter or longer than 15 to 45 s.

    Why: too short nobody reaches the keypad in it; too long the station hears too late.
    Fix: set 15 to 45 s; 30 s as shipped.
    Source: ANSI/SIA CP-01, 15 to 45 s, seen second-hand.
    Example: larkfield with
        settings: {abort window: 10 s}
    """
    window = job.setup.settings.abort_window
    if window and not 15 <= window <= 45 and any(zone.setup.message_waits for zone in job.zones):
        yield job.setting("abort window", f"{window} s")


@rule("DEL-09", severity=Severity.ADVICE, topic=TOPIC)
def entry_time_out_of_range(job: Design) -> Iterator[Doubt]:
    """A door's entry time is shorter than 30 s or longer than 4 min.

    Why: too short the slowest of the household sets off the siren; too long an intruder has the time.
    Fix: walk the route at the slowest pace, add a third, and set 30 s at least.
    Source: ANSI/SIA CP-01, 30 s to 4 min, from memory; the 2010 edition has exceptions, seen second-hand.
    Example: larkfield with
        settings: {entry time: 25 s}
    """
    for zone in job.zones:
        if zone.setup.entry_s and not 30 <= zone.setup.entry_s <= 240:
            yield zone.doubt("delay", f"{zone.setup.entry_s} s to come in")


@rule("DEL-13", severity=Severity.PROBLEM, topic=TOPIC)
def shorter_than_the_walk(job: Design) -> Iterator[Doubt]:
    """The walk of a route takes as long as its door's entry time, or longer; or longer than the exit time.

    Why: who comes home at their usual pace sets off the siren, and soon the house is armed no more.
    Fix: lengthen the entry time (or the exit time), or move the keypad nearer to the door; where the walk was timed,
    write it at the route: `takes: 25 s`.
    Source: common practice, no source; the pace is a choice of ours (`site/walks.py`), the plan's lines are straight.
    Example: larkfield with
        routes: {coming home: {takes: 30 s}}
    """
    for name, route in job.site.routes.items():
        walk = job.resolved.walk_s(name)
        if walk is None:
            continue
        for door in job.zone_of(route.by)[:1]:
            entry, leaving = door.setup.entry_s, job.setup.settings.exit_time
            if entry and walk >= entry:
                yield Doubt(name, f"route {name}", f"{walk} s to walk, {entry} s to come in", door.place("delay"))
            elif leaving and walk > leaving:
                yield Doubt(name, f"route {name}", f"{walk} s to walk, {leaving} s to go out", door.place("delay"))


@rule("DEL-10", severity=Severity.ADVICE, topic=TOPIC)
def cancel_window_too_short(job: Design) -> Iterator[Doubt]:
    """An alarm that was sent can be called back for less than five minutes.

    Why: the household finds the cause after the call; then no cancel goes, and somebody drives for nothing.
    Fix: set the cancel window to 5 min or more.
    Source: ANSI/SIA CP-01, at least 5 min, from memory.
    Example: larkfield with
        settings: {cancel window: 4 min}
        panel: {answers: {cancel: {from: 1, step: 1}}}
    """
    window = job.setup.settings.cancel_window
    waits = any(zone.setup.behaviour.abort and zone.setup.tells_alarm for zone in job.zones)
    if job.setup.settings.told and waits and window < 300:
        yield job.setting("cancel window", f"{window} s" if window else "it is off")


@rule("DEL-11", severity=Severity.ADVICE, topic=TOPIC)
def siren_too_long(job: Design) -> Iterator[Doubt]:
    """The siren sounds for longer than fifteen minutes.

    Why: many places forbid it, and after some minutes nobody looks any more.
    Fix: set it to the local ceiling at most.
    Source: common practice, local ceilings 4 to 15 min; EN 50131-4, 15 min, seen second-hand.
    Example: larkfield with
        settings: {siren time: 16 min}
        panel: {answers: {siren: {to: 30}}}
    """
    if job.setup.settings.siren_time > 900:
        yield job.setting("siren time", f"{job.setup.settings.siren_time // 60} min")


@rule("DEL-12", severity=Severity.ADVICE, topic=TOPIC)
def silent_exit_is_cut(job: Design) -> Iterator[Doubt]:
    """A silent exit gets less than twice the exit time: it is cut at the panel's most.

    Why: who arms silently expects twice the time, and is still in the hall when it ends.
    Fix: set the exit time to 127 s or less, or tell the household how long a silent exit really is.
    Source: ANSI/SIA CP-01, twice the exit time and at most 255 s, seen second-hand.
    Example: larkfield with
        settings: {exit time: 130 s}
    """
    length = job.setup.settings.exit_time
    if 2 * length > SILENT_EXIT_MOST_S:
        says = f"a silent exit lasts {max(length, SILENT_EXIT_MOST_S)} s, not twice {length} s"
        yield job.setting("exit time", says)

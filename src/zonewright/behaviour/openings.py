"""A device speaks: something opens, closes, trips, or the device only shows that it is there.

Rules of this file:
1. The rules of `step.py` hold here. What follows from it (an alarm, an entry time, arming) is in the files it calls.

CHOICES (marks as in `step.py`).
 - A shared zone is live, or chimes, when the modes of all its areas call for it. It warns when the mode of any does,
   and is free while any of them is in its exit or entry time.
 - Entry time: the time that the first door started runs on. A second door that opens meanwhile gives its own alarm at
   the end of that time; in an area of the second door where no entry time runs, one begins. Leaving the route (an
   instant zone) is an alarm at once. A zone on the route is free in an entry time and gives no alarm at its end: only a
   trip after that counts.
 - No chime plays while the sounder plays; the chime switch mutes all chimes. A bypassed zone does nothing, but is still
   watched for troubles.
 - A zone that warns (day-night while off) sounds the trouble tone until a code is keyed or the siren is cut off, and is
   reported as a trouble. It is no alarm, isn't counted, and its message never waits.
 - What must last (water, heat, cold) is timed from its opening; if it closes before the wait ends, it was nothing. 30 s
   to 5 min are usual.
 - Fire verification, each detector by itself: its first trip switches its power off and lets it settle. If it is in
   alarm again at the end of that, or trips again in the window after it, that is the alarm. The keypad shows it
   meanwhile. After an alarm the next trip counts as a first one again. Where power isn't switched, a detector that is
   still in alarm when the window ends gives the alarm, too. Wired detectors only: a radio one can't be reset. Reset 10
   to 15 s, window 60 to 120 s.
 - Cross-zoning: a zone of a pair that trips alone is shown and reported as an unverified alarm, without siren. A trip
   of either within the window of the other, or a second trip of the same zone, is the alarm of the zone that trips
   then. Each trip restarts its zone's window, and disarming ends it. The alarm at the end of an entry time needs no
   second zone. Nor does a zone whose partners all can't trip now (open already, bypassed, shut out, missing, not live
   in this mode, not on the panel): its trip is the alarm, since one of a pair must not be able to silence both (common
   practice, no source). A partner that is free just then, since somebody leaves or comes in, counts as one that can
   trip: it will once the time is over (common practice, no source).
 - Arm switch: nobody knows who turns it, so the messages name the switch. One that stays on arms when it opens and
   disarms when it closes; one that is pushed disarms if any of its areas is armed, else it arms. Turned on while
   something is open, it is refused like a code, and must be turned again.
 - While the panel is deaf (power just back, installer mode) it notes what is open and does nothing else. When that
   ends, a zone that is live in every mode, is open and hasn't reported it counts as opening then. After a total loss of
   power one that had reported it sounds again, since its siren ended with the power and the smoke is still there.
 - A bypass ends when somebody takes it back or disarms. Here, too, a zone that is live in every mode, is open and
   hasn't reported it opens then, since the water is there (common practice, no source). Whatever else is open is
   guarded from its next opening on.
"""

from __future__ import annotations

from collections.abc import Iterable

from zonewright.behaviour.arming import exit_door_opens, final_door_shuts, others_are_left, when_armed
from zonewright.behaviour.disarming import entry_begins, when_disarmed
from zonewright.behaviour.effects import (
    SWINGER_QUIET_S,
    alarm,
    count_alarm,
    hears_of,
    over,
    sound,
    tell,
    wait_for_sign_of,
)
from zonewright.behaviour.events import (
    Arm,
    CheckIn,
    Chime,
    DisplayLine,
    Means,
    Message,
    OfDevice,
    PanelMessage,
    Shown,
    Spoken,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import NO_CHIME, SPOKEN, ZoneSetup
from zonewright.behaviour.state import NOBODY, Door, Draft, Phase
from zonewright.behaviour.troubles import trouble_begins, trouble_ends
from zonewright.panel.behaviours import ALWAYS, ARMED, Mode, Pattern, Timing
from zonewright.site.record import ZoneNumber


def when_device_is_heard(d: Draft, zone: ZoneSetup, event: OfDevice) -> None:
    """Any sign of a device restarts its supervision; then the panel acts on it. Jammed radio lets none through."""
    if not zone.behaviour.in_use:
        return
    if isinstance(event, TroubleBegins) and event.trouble is Trouble.MISSING:
        if d.runs(TimerKind.MISSING, zone.number):
            d.stop(TimerKind.MISSING, zone.number)
            trouble_begins(d, zone, Trouble.MISSING)
        return
    if d.jammed and zone.radio:
        return
    wait_for_sign_of(d, zone)
    trouble_ends(d, zone, Trouble.MISSING)
    match event:
        case ZoneOpens():
            if not d.is_open(zone):
                when_zone_opens(d, zone)
        case ZoneCloses():
            if d.is_open(zone):
                when_zone_closes(d, zone)
        case ZoneTrips():
            if not d.is_open(zone):
                when_zone_opens(d, zone)
                when_zone_closes(d, zone)
        case TroubleBegins():
            trouble_begins(d, zone, event.trouble)
        case TroubleEnds():
            trouble_ends(d, zone, event.trouble)
        case CheckIn():
            pass  # that it was heard is all it says


# It opens -------------------------------------------------------------------------------------------------------------


def when_zone_opens(d: Draft, zone: ZoneSetup) -> None:
    """A door, a window, a movement, a push, smoke."""
    d.open |= {zone.number}
    if d.is_deaf() or d.is_bypassed(zone):
        return
    if zone.behaviour.exit_door:
        for number in d.kept(zone.areas):
            exit_door_opens(d, d.areas[number])
        others_are_left(d, zone.areas)
    if zone.behaviour.arms is not None:
        turned_off = zone.behaviour.momentary and d.any_mode(zone, ARMED)
        when_switch_turns(d, zone, None if turned_off else zone.behaviour.arms)
    elif zone.can_alarm and d.every_mode(zone, zone.behaviour.live):
        if may_count(d, zone):
            when_live_zone_opens(d, zone)
    elif zone.behaviour.warns and d.any_mode(zone, zone.behaviour.warns):
        warn(d, zone)
    else:
        announce(d, zone)


def may_count(d: Draft, zone: ZoneSetup) -> bool:
    """Return whether a trip of a live zone can count: it isn't shut out, and isn't free while people leave or come."""
    if d.is_shut_out(zone):
        d.start(TimerKind.SWINGER_RESET, zone.home, SWINGER_QUIET_S)
        return False
    free_to_leave = zone.behaviour.in_exit == "free" and d.any_phase(zone, Phase.EXIT)
    free_to_enter = zone.behaviour.timing is Timing.ON_ROUTE and d.any_phase(zone, Phase.ENTRY)
    return not (free_to_leave or free_to_enter)


def when_live_zone_opens(d: Draft, zone: ZoneSetup) -> None:
    """Decide whether it counts now, must last, or must come twice."""
    settings = d.setup.settings
    if zone.behaviour.persists and settings.environment_wait > 0:
        d.start(TimerKind.PERSIST, zone.number, settings.environment_wait)
    elif zone.verifies and settings.fire_verify_window > 0:
        when_detector_trips(d, zone)
    else:
        when_trip_counts(d, zone)


def when_trip_counts(d: Draft, zone: ZoneSetup) -> None:
    """It starts or joins an entry time, is one trip of a pair, or is the alarm."""
    if zone.behaviour.timing is Timing.DELAYED and (d.any_phase(zone, Phase.ENTRY) or starts_entry(d, zone)):
        somebody_comes_in(d, zone)
    elif zone.crosses and d.setup.settings.cross_window > 0:
        when_paired_zone_trips(d, zone)
    else:
        alarm(d, zone)


def starts_entry(d: Draft, zone: ZoneSetup) -> bool:
    """Return whether a door starts an entry time: it has one, and all its areas are armed."""
    return zone.entry_s > 0 and d.is_armed(zone)


def somebody_comes_in(d: Draft, zone: ZoneSetup) -> None:
    """A door opens. Its areas' entry time begins; where one runs already, its end is this door's alarm, too."""
    waiting = d.in_phase(zone.areas, Phase.ENTRY)
    for number in d.kept(waiting):
        d.change(number, entry_by=d.areas[number].entry_by | {zone.number})
    others = zone.areas.difference(waiting)
    if others and starts_entry(d, zone):
        entry_begins(d, others, [zone], zone.entry_s)


def warn(d: Draft, zone: ZoneSetup) -> None:
    """No alarm in this mode, but somebody should look."""
    if d.is_shut_out(zone):
        return
    sound(d, zone, Pattern.TROUBLE)
    d.say(Shown(DisplayLine.WARNING, zone.number))
    name = zone.behaviour.warning
    if name is not None and hears_of(d, zone, name):
        d.standing |= {(zone.number, name)}
        d.say(Message(name, zone.home, zone.number))


def announce(d: Draft, zone: ZoneSetup) -> None:
    """A zone that gives no alarm now sounds its chime, if its areas are in a mode for it."""
    if zone.chime == NO_CHIME or not d.chime_on or d.sounds():
        return
    if d.every_mode(zone, zone.behaviour.chimes):
        d.say(Spoken(zone.number) if zone.chime == SPOKEN else Chime(zone.chime, zone.number))
        d.say(Shown(DisplayLine.OPENED, zone.number))


# It closes ------------------------------------------------------------------------------------------------------------


def when_zone_closes(d: Draft, zone: ZoneSetup) -> None:
    """Its alarm, if one was sent, is over; a final door lets the area be armed, a switch kept on is turned off."""
    d.open -= {zone.number}
    behaviour = zone.behaviour
    if behaviour.alarm is not None:
        over(d, zone, behaviour.alarm)
    if behaviour.warning is not None:
        over(d, zone, behaviour.warning)
    if behaviour.persists:
        d.stop(TimerKind.PERSIST, zone.number)
    if d.is_deaf() or d.is_bypassed(zone):
        return
    if behaviour.exit_door:
        for number in d.kept(zone.areas):
            if d.areas[number].phase is Phase.EXIT:
                d.change(number, door=Door.SHUT)
    if behaviour.completes_exit:
        for number in sorted(zone.areas):
            final_door_shuts(d, d.areas[number])
    if behaviour.arms is not None and not behaviour.momentary:
        when_switch_turns(d, zone, None)


def when_switch_turns(d: Draft, zone: ZoneSetup, mode: Mode | None) -> None:
    """A switch arms its areas, or (no mode) disarms them."""
    for number in sorted(zone.areas):
        if mode is None:
            when_disarmed(d, d.areas[number], NOBODY, by=zone)
        else:
            when_armed(d, d.areas[number], Arm(number, mode, NOBODY, Means.SWITCH), by=zone)


# It must last, or come twice ------------------------------------------------------------------------------------------


def when_trip_has_lasted(d: Draft, zone: ZoneSetup) -> None:
    """It was there for the whole wait."""
    if stands_live(d, zone) and may_count(d, zone):
        when_trip_counts(d, zone)


def when_detector_trips(d: Draft, zone: ZoneSetup) -> None:
    """The first trip is verified; the second is the alarm."""
    settings = d.setup.settings
    if d.runs(TimerKind.VERIFY, zone.number):
        d.stop(TimerKind.VERIFY, zone.number)
        alarm(d, zone)
    elif not d.runs(TimerKind.VERIFY_RESET, zone.number):
        d.say(Shown(DisplayLine.VERIFYING, zone.number))
        if settings.fire_reset > 0:
            d.start(TimerKind.VERIFY_RESET, zone.number, settings.fire_reset)
        else:
            d.start(TimerKind.VERIFY, zone.number, settings.fire_verify_window)


def when_detector_has_settled(d: Draft, zone: ZoneSetup) -> None:
    """Its power is back: either it is in alarm again, or its window begins."""
    if stands_live(d, zone):
        alarm(d, zone)
    else:
        d.start(TimerKind.VERIFY, zone.number, d.setup.settings.fire_verify_window)


def when_verifying_ends(d: Draft, zone: ZoneSetup) -> None:
    """It wasn't reset and is still in alarm, or it was nothing."""
    if stands_live(d, zone):
        alarm(d, zone)


def stands_live(d: Draft, zone: ZoneSetup) -> bool:
    """Return whether a zone is open and would give an alarm if it opened now."""
    return d.is_open(zone) and not d.is_bypassed(zone) and d.every_mode(zone, zone.behaviour.live)


def when_paired_zone_trips(d: Draft, zone: ZoneSetup) -> None:
    """Alone it is reported as unverified; with its pair, or twice, or if its pair can't trip, it is the alarm."""
    confirmed = d.runs(TimerKind.CROSS, zone.number) or d.any_runs(TimerKind.CROSS, sorted(zone.crosses))
    confirmed = confirmed or not any(can_confirm(d, pair) for pair in sorted(zone.crosses))
    d.start(TimerKind.CROSS, zone.number, d.setup.settings.cross_window)
    if confirmed:
        alarm(d, zone)
        return
    count_alarm(d, zone)
    if zone.behaviour.shown:
        d.say(Shown(DisplayLine.UNVERIFIED, zone.number))
    if hears_of(d, zone, PanelMessage.UNVERIFIED.value):
        tell(d, zone, PanelMessage.UNVERIFIED.value)


def can_confirm(d: Draft, number: ZoneNumber) -> bool:
    """Return whether a zone could trip now, and so confirm its pair."""
    zone = d.setup.zone(number)
    if zone is None or not zone.behaviour.in_use or not d.every_mode(zone, zone.behaviour.live):
        return False
    silent = d.is_open(zone) or d.is_bypassed(zone) or d.is_shut_out(zone) or d.has(zone, Trouble.MISSING)
    return not silent


# Deafness or a bypass ends --------------------------------------------------------------------------------------------


def look_again(d: Draft, zones: Iterable[ZoneSetup], *, dark: bool = False) -> None:
    """A zone that is live in every mode, and opened while the panel was deaf or it was bypassed, opens now.

    `dark`: all power was lost, which ended every siren. An alarm reported before that is still there sounds again; it
    isn't reported twice.
    """
    for zone in zones:
        if zone.can_alarm and zone.behaviour.live == ALWAYS and not d.is_deaf() and stands_live(d, zone):
            told = zone.behaviour.alarm is not None and d.stands(zone, zone.behaviour.alarm)
            if not told and may_count(d, zone):
                when_live_zone_opens(d, zone)
            elif told and dark and zone.behaviour.siren is not Pattern.NONE:
                sound(d, zone, zone.behaviour.siren)
                d.say(Shown(DisplayLine.ALARM, zone.number))

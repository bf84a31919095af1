"""What the panel does: the whole of it, and the only place where it is said.

Rules of this file:
1. `step` knows no clock. It asks whether a timer runs, never how much is left; what is "within", "after" or "for at
   most" in the trade is a timer here, and its end is an event like any other.
2. It answers every event in every state. What means nothing changes nothing, and nothing is ever raised.
3. Zones differ by the attributes of their behaviour and by their settings; no behaviour, device or zone is named.
4. About a zone it asks only `is_open`, `is_bypassed`, `is_shut_out` and `has`. No zone comes before another by number.
5. It is grouped by event, as one would look it up. What several events share stands in `effects.py`.

CHOICES. Where a line names no source it is common practice, no source. "CP-01" is ANSI/SIA CP-01, never read whole:
"seen" means second-hand, else from memory.
 - Exit time runs for stay, night and away, also when armed by a remote; a time of nought arms at once. A second opening
   of an exit door after one was opened and shut starts it anew, once (CP-01 4.2.2.3, seen; once only: from memory). Any
   exit doors of the area count together. A silent exit has twice the time, at most 255 s, never less than the exit time
   (seen), no beeps. Arming in another mode meanwhile starts it afresh; the same mode again does nothing.
 - Exit error: every exit door open at the end starts the entry time (the shortest of theirs) and sounds the siren here;
   disarmed in it, nothing is sent and the keypad says so; else the alarm, and "exit error" with it (from memory).
 - Unvacated premises: armed away at a keypad, no exit door opened, shut or open at the end: stay (from memory). An area
   without an exit door has no such test.
 - Other zones open at the end of the exit time: bypassed where the panel forces arming, else shown and guarded from
   their next opening on. At the key press they stop arming if live in the mode to come; an exit door doesn't where
   arming is forced.
 - Entry time: the first door's time runs on, a second door changes nothing. The alarm at its end is the first door's.
   Leaving the way (an instant zone) is an alarm at once. Arming is refused meanwhile: disarm first.
 - A shared zone is live when all its areas' modes say so, chimes when all do, is free when any of them is in its exit
   or entry time. Its messages, abort and cancel windows are those of its lowest area; a disarm of any of its areas
   silences it, calls its waiting messages off and ends its bypass.
 - Abort window: one for an area; a message that comes while it runs goes when it ends, never later than it would
   alone. Disarm in it: nothing sent, and the keypad says of which zone (from memory). Which zones wait is set by zone
   (fire never: seen).
 - Cancel window: from the last abortable message on. Disarm in it: "cancel" with the user, and said so (from memory).
 - Swinger: an alarm, also of the tamper, counts; at the limit the zone does nothing at all until disarm, or until no
   counted zone of its area tripped for 48 h (limits seen; the rest from memory).
 - Siren: one cut-off time for all patterns, started anew by each new cause. The first pattern of the precedence plays
   (fire first: NFPA 72-2007 ch. 11, seen; rest practice). A disarm silences the causes of its area's zones, life safety
   too; the next opening sounds again.
 - A chime gives way to any pattern; the chime switch mutes all chimes. A bypassed zone does nothing, but is watched for
   troubles; its tamper then is a trouble.
 - Opening and closing, where the station is told of them, go at the code.
 - Bypass by a user: only while its area is disarmed, for one armed period; told where the zone's alarms are told.
 - Restores: an alarm that was sent is over when its zone closes, a trouble when its device says so.
 - Low battery is told once until it is good again; while it stands the keypad says so once a day. A device is missing
   when nothing of it was heard for the supervision window; any sign of it ends that. Troubles don't stop arming: they
   are shown. A life-safety device's tamper is never an alarm. A tamper alarm sounds the zone's own pattern.
"""

from __future__ import annotations

from dataclasses import replace

from zonewright.behaviour.effects import (
    SWINGER_QUIET_S,
    alarm,
    bypass,
    call_off_waiting,
    forget_alarms,
    may_be_bypassed,
    over,
    send,
    show_troubles,
    silence,
    sound,
    start_with_last_ten,
    take_back,
    tell_trouble,
    wait_for_sign_of,
)
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    Chime,
    ChimeSwitch,
    DeviceEvent,
    Disarm,
    Event,
    Expires,
    Line,
    Means,
    Message,
    QuickExit,
    Shown,
    Siren,
    Sound,
    Spoken,
    Timer,
    TimerKind,
    Told,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import NO_CHIME, SPOKEN, AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.behaviour.state import AreaState, Control, Door, Draft, Phase, Step
from zonewright.panel.behaviours import Mode, Pattern, Timing
from zonewright.site.record import ZoneNumber

SILENT_EXIT_MOST_S = 255  # CP-01, seen second-hand
RECENT_CLOSING_S = 120  # CP-01, from memory
DAY_S = 24 * 3600

ARMED_IN = {Mode.STAY: Line.ARMED_STAY, Mode.NIGHT: Line.ARMED_NIGHT, Mode.AWAY: Line.ARMED_AWAY}


def power_up(setup: Setup) -> Step:
    """Return a panel that was just switched on: disarmed, all quiet, every supervised device waited for."""
    draft = Draft(setup, Control(tuple(AreaState(area) for area in setup.areas)))
    for zone in setup.zones:
        wait_for_sign_of(draft, zone)
    return draft.step()


def step(setup: Setup, control: Control, event: Event) -> Step:
    """Return what one event does to a panel that is set up so and is in this state."""
    draft = Draft(setup, control)
    decide(draft, event)
    return draft.step()


def decide(d: Draft, event: Event) -> None:
    """Let one event happen to the panel in `d`."""
    match event:
        case Expires():
            if d.expire(event.timer):
                when_timer_expires(d, event.timer)
        case DeviceEvent():
            zone = d.setup.zone(event.zone)
            if zone is not None:
                when_device_is_heard(d, zone, event)
        case Bypass() | Unbypass():
            zone = d.setup.zone(event.zone)
            if zone is not None:
                (when_bypassed if isinstance(event, Bypass) else when_taken_back)(d, zone, event.user)
        case Arm() if event.area in d.areas:
            when_armed(d, d.areas[event.area], event)
        case QuickExit() if event.area in d.areas:
            when_somebody_leaves(d, d.areas[event.area])
        case Disarm() if event.area in d.areas:
            when_disarmed(d, d.areas[event.area], event.user)
        case ChimeSwitch() if event.on != d.chime_on:
            d.chime_on = event.on
            d.say(Shown(Line.CHIME_ON if event.on else Line.CHIME_OFF))


def when_timer_expires(d: Draft, timer: Timer) -> None:
    """Find the paragraph of the timer that has run its time."""
    if timer.kind.of_zone:
        zone = d.setup.zone(ZoneNumber(timer.number))
        if zone is not None and timer.kind is TimerKind.MISSING:
            trouble_begins(d, zone, Trouble.MISSING)
        elif zone is not None:
            when_battery_day_ends(d, zone)
        return
    area = d.areas.get(AreaNumber(timer.number))
    match timer.kind:
        case TimerKind.SIREN:
            d.causes = frozenset()
            d.say(Siren(Pattern.NONE))
        case TimerKind.LAST_TEN if area is not None:
            d.say(Beeps(Sound.ENTRY_LAST_TEN if area.phase is Phase.ENTRY else Sound.EXIT_LAST_TEN))
        case TimerKind.EXIT if area is not None:
            when_exit_time_runs_out(d, area)
        case TimerKind.ENTRY if area is not None:
            when_entry_time_runs_out(d, area)
        case TimerKind.ABORT if area is not None:
            when_abort_window_ends(d, area.number)
        case TimerKind.SWINGER_RESET if area is not None:
            forget_alarms(d, area.number)
        case _:
            pass  # cancel and recent closing: that they no longer run is all they say


# A device speaks ------------------------------------------------------------------------------------------------------


def when_device_is_heard(d: Draft, zone: ZoneSetup, event: DeviceEvent) -> None:
    """Any sign of a device starts its supervision anew; then what it says."""
    if isinstance(event, TroubleBegins) and event.trouble is Trouble.MISSING:
        if d.runs(TimerKind.MISSING, zone.number):
            d.stop(TimerKind.MISSING, zone.number)
            trouble_begins(d, zone, Trouble.MISSING)
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


def when_zone_opens(d: Draft, zone: ZoneSetup) -> None:
    """A door, a window, a movement, a push, smoke."""
    d.open |= {zone.number}
    if d.is_bypassed(zone):
        return
    if zone.behaviour.exit_door:
        for number in zone.areas:
            exit_door_opens(d, d.areas[number])
    if zone.can_alarm and d.every_mode(zone, zone.behaviour.live):
        when_live_zone_opens(d, zone)
    else:
        announce(d, zone)


def when_live_zone_opens(d: Draft, zone: ZoneSetup) -> None:
    """Whether it is an alarm now, later or not at all."""
    timing = zone.behaviour.timing
    if d.is_shut_out(zone):
        d.start(TimerKind.SWINGER_RESET, zone.home, SWINGER_QUIET_S)
        return
    free_to_leave = zone.behaviour.in_exit == "free" and d.any_phase(zone, Phase.EXIT)
    free_to_enter = timing is not Timing.INSTANT and d.any_phase(zone, Phase.ENTRY)
    if free_to_leave or free_to_enter:
        return
    if timing is Timing.DELAYED and zone.entry_s > 0 and d.is_armed(zone):
        entry_begins(d, zone.areas, frozenset({zone.number}), zone.entry_s)
    else:
        alarm(d, zone)


def when_zone_closes(d: Draft, zone: ZoneSetup) -> None:
    """Its alarm, if one was sent, is over."""
    d.open -= {zone.number}
    if zone.behaviour.exit_door and not d.is_bypassed(zone):
        for number in zone.areas:
            if d.areas[number].phase is Phase.EXIT:
                d.put(replace(d.areas[number], door=Door.SHUT))
    if zone.behaviour.alarm is not None:
        over(d, zone, zone.behaviour.alarm)


def announce(d: Draft, zone: ZoneSetup) -> None:
    """A zone that gives no alarm now sounds its chime, if its areas are in a mode for it."""
    if zone.chime == NO_CHIME or not d.chime_on or d.siren() is not Pattern.NONE:
        return
    if d.every_mode(zone, zone.behaviour.chimes):
        d.say(Spoken(zone.number) if zone.chime == SPOKEN else Chime(zone.chime, zone.number))
        d.say(Shown(Line.OPENED, zone.number))


# Arming and leaving ---------------------------------------------------------------------------------------------------


def when_armed(d: Draft, area: AreaState, event: Arm) -> None:
    """A code, a remote or a switch asks for stay, night or away."""
    if event.mode in (Mode.DISARMED, area.mode) or area.phase is Phase.ENTRY:
        return
    in_the_way = left_open(d, area, event.mode, exit_doors=not d.setup.settings.forced_arming)
    if in_the_way and not (d.setup.settings.forced_arming and all(may_be_bypassed(zone) for zone in in_the_way)):
        d.say(Beeps(Sound.REFUSED), *(Shown(Line.CANT_ARM, zone.number) for zone in in_the_way))
        return
    for zone in in_the_way:
        bypass(d, zone, event.user)
    if event.means is Means.REMOTE:
        d.say(Beeps(Sound.CONFIRM))
    if d.setup.settings.told and d.setup.settings.openings:
        d.say(Message(Told.CLOSING.value, area.number, user=event.user))
    for zone in d.setup.zones_of(area.number):
        show_troubles(d, zone)
    memory = () if area.phase is Phase.REST else area.memory
    by_keypad = event.means is Means.KEYPAD
    leave(d, AreaState(area.number, event.mode, Phase.EXIT, event.user, silent=event.silent, by_keypad=by_keypad,
                       memory=memory))  # fmt: skip


def when_somebody_leaves(d: Draft, area: AreaState) -> None:
    """A quick exit: the doors are free for one exit time, and the area stays armed."""
    if area.phase is Phase.SET and area.mode in (Mode.STAY, Mode.NIGHT):
        leave(d, replace(area, phase=Phase.EXIT))


def leave(d: Draft, area: AreaState) -> None:
    """The exit time begins."""
    d.put(area)
    d.stop(TimerKind.RECENT, area.number)
    d.say(Shown(Line.ARMING, area=area.number))
    if d.setup.settings.exit_time > 0:
        start_exit_time(d, area)
    else:
        when_exit_time_runs_out(d, area)


def start_exit_time(d: Draft, area: AreaState) -> None:
    """Start the exit time, or start it anew."""
    length = d.setup.settings.exit_time
    if area.silent:
        d.start(TimerKind.EXIT, area.number, max(length, min(2 * length, SILENT_EXIT_MOST_S)))
    else:
        d.say(Beeps(Sound.EXIT))
        start_with_last_ten(d, TimerKind.EXIT, area.number, length)


def exit_door_opens(d: Draft, area: AreaState) -> None:
    """Somebody leaves, or comes back for something."""
    if area.phase is not Phase.EXIT:
        return
    again = area.door is Door.SHUT and d.setup.settings.exit_restart and not area.restarted
    d.put(replace(area, door=Door.OPENED, restarted=area.restarted or again))
    if again:
        start_exit_time(d, area)


def when_exit_time_runs_out(d: Draft, area: AreaState) -> None:
    """The area is armed; or nobody left; or the door stands open."""
    settings = d.setup.settings
    d.stop(TimerKind.LAST_TEN, area.number)
    doors = [
        zone
        for zone in left_open(d, area, area.mode, exit_doors=True)
        if zone.behaviour.exit_door and not d.is_shut_out(zone)
    ]
    used = area.door is not Door.UNUSED or bool(doors)
    nobody_left = settings.unvacated_stay and area.by_keypad and not used and bool(d.setup.exit_doors(area.number))
    mode = Mode.STAY if area.mode is Mode.AWAY and nobody_left else area.mode
    d.put(AreaState(area.number, mode, Phase.SET, area.user, memory=area.memory))
    d.say(Shown(Line.NOBODY_LEFT if mode is not area.mode else ARMED_IN[mode], area=area.number))
    if settings.recent_closing:
        d.start(TimerKind.RECENT, area.number, RECENT_CLOSING_S)
    doors_seen_to = settings.exit_error and bool(doors)
    for zone in left_open(d, area, mode, exit_doors=not doors_seen_to):
        if settings.forced_arming and may_be_bypassed(zone):
            bypass(d, zone, area.user)
        else:
            d.say(Shown(Line.LEFT_OPEN, zone.number))
    if doors_seen_to:
        exit_error(d, area.number, doors)


def exit_error(d: Draft, area: AreaNumber, doors: list[ZoneSetup]) -> None:
    """The way out was left open: a loud reminder here, and an entry time to put it right."""
    for zone in doors:
        d.say(Shown(Line.EXIT_ERROR, zone.number))
        sound(d, zone, zone.behaviour.siren)
    entry_begins(d, frozenset({area}), frozenset(zone.number for zone in doors), min(zone.entry_s for zone in doors))
    d.put(replace(d.areas[area], exit_error=True))
    if not d.runs(TimerKind.ENTRY, area):
        when_entry_time_runs_out(d, d.areas[area])


def left_open(d: Draft, area: AreaState, mode: Mode, *, exit_doors: bool) -> list[ZoneSetup]:
    """Return the zones that stand open, would be live with the area in `mode`, and matter for arming."""
    return [
        zone
        for zone in d.setup.zones_of(area.number)
        if (zone.behaviour.stops_arming and (exit_doors or not zone.behaviour.exit_door))
        and mode in zone.behaviour.live
        and all(d.areas[number].mode in zone.behaviour.live for number in zone.areas - {area.number})
        and d.is_open(zone)
        and not d.is_bypassed(zone)
    ]


# Coming in and disarming ----------------------------------------------------------------------------------------------


def entry_begins(d: Draft, areas: frozenset[AreaNumber], by: frozenset[ZoneNumber], seconds: int) -> None:
    """Somebody comes in by these doors and has so long to disarm."""
    for area in areas:
        d.put(replace(d.areas[area], phase=Phase.ENTRY, entry_by=by))
        start_with_last_ten(d, TimerKind.ENTRY, area, seconds)
    d.say(Beeps(Sound.ENTRY))


def when_entry_time_runs_out(d: Draft, area: AreaState) -> None:
    """Nobody disarmed: the door's alarm. A shared door's other areas end their entry time with it."""
    entry_ends(d, area)
    doors = [zone for number in sorted(area.entry_by) if (zone := d.setup.zone(number)) is not None]
    for zone in doors:
        for number in zone.areas:
            if zone.number in d.areas[number].entry_by:
                entry_ends(d, d.areas[number])
    for zone in doors:
        if d.every_mode(zone, zone.behaviour.live) and not d.is_shut_out(zone):
            alarm(d, zone, exit_error=area.exit_error)


def entry_ends(d: Draft, area: AreaState) -> None:
    """The area is armed as before."""
    d.stop(TimerKind.ENTRY, area.number)
    d.stop(TimerKind.LAST_TEN, area.number)
    d.put(replace(area, phase=Phase.SET, entry_by=frozenset(), exit_error=False))


def when_disarmed(d: Draft, area: AreaState, user: UserNumber) -> None:
    """A code: the area is disarmed, its sounds end, what waits is called off, what went is cancelled."""
    was_armed = area.phase is not Phase.REST
    for kind in (TimerKind.EXIT, TimerKind.ENTRY, TimerKind.LAST_TEN, TimerKind.RECENT):
        d.stop(kind, area.number)
    d.put(AreaState(area.number, memory=area.memory))
    d.say(Shown(Line.DISARMED, area=area.number))
    called_off = call_off_waiting(d, area.number)
    if area.exit_error and d.setup.settings.told:
        called_off |= area.entry_by
    if d.runs(TimerKind.CANCEL, area.number):
        d.stop(TimerKind.CANCEL, area.number)
        d.say(Message(Told.CANCEL.value, area.number, user=user), Shown(Line.CANCEL_SENT, area=area.number))
    else:
        d.say(*(Shown(Line.NOT_SENT, number) for number in sorted(called_off)))
    if was_armed and d.setup.settings.told and d.setup.settings.openings:
        d.say(Message(Told.OPENING.value, area.number, user=user))
    silence(d, area.number)
    forget_alarms(d, area.number)
    for number in area.memory:
        zone = d.setup.zone(number)
        if zone is not None:
            d.say(Shown(Line.STILL_OPEN if d.is_open(zone) else Line.MEMORY, number))
    if was_armed:
        for zone in d.setup.zones_of(area.number):
            take_back(d, zone, user)


# The station, late ----------------------------------------------------------------------------------------------------


def when_abort_window_ends(d: Draft, area: AreaNumber) -> None:
    """Nobody called them off: the messages leave."""
    waiting = [(zone, name) for number, name in d.waiting if (zone := d.setup.zone(number)) is not None]
    d.waiting = tuple((zone.number, name) for zone, name in waiting if zone.home != area)
    for zone, name in waiting:
        if zone.home == area:
            send(d, zone, name)


# Bypass ---------------------------------------------------------------------------------------------------------------


def when_bypassed(d: Draft, zone: ZoneSetup, user: UserNumber) -> None:
    """A user takes a zone out for the next armed period."""
    if d.is_bypassed(zone):
        return
    if not may_be_bypassed(zone) or d.is_armed(zone):
        d.say(Beeps(Sound.REFUSED), Shown(Line.CANT_BYPASS, zone.number))
    else:
        bypass(d, zone, user)


def when_taken_back(d: Draft, zone: ZoneSetup, user: UserNumber) -> None:
    """A user takes a bypass back."""
    if not d.is_armed(zone):
        take_back(d, zone, user)


# Troubles of a device -------------------------------------------------------------------------------------------------


def trouble_begins(d: Draft, zone: ZoneSetup, trouble: Trouble) -> None:
    """Its cover is off, its battery is low, or it hasn't been heard."""
    if d.has(zone, trouble):
        return
    d.troubles |= {(zone.number, trouble)}
    if trouble is Trouble.TAMPER and tamper_is_alarm(d, zone):
        if not d.is_shut_out(zone):
            alarm(d, zone, tamper=True)
    elif trouble is not Trouble.LOW_BATTERY:
        tell_trouble(d, zone, trouble)
    elif not d.runs(TimerKind.BATTERY, zone.number):
        if d.setup.settings.low_battery_wait > 0:
            d.start(TimerKind.BATTERY, zone.number, d.setup.settings.low_battery_wait)
        else:
            when_battery_day_ends(d, zone)


def tamper_is_alarm(d: Draft, zone: ZoneSetup) -> bool:
    """Return whether its tamper is an alarm in the modes of its areas; else it is a trouble."""
    modes = zone.behaviour.tamper_alarm
    return d.every_mode(zone, modes) and not zone.behaviour.life_safety and not d.is_bypassed(zone)


def when_battery_day_ends(d: Draft, zone: ZoneSetup) -> None:
    """Its battery is still low: the station hears it once, the keypad says it every day."""
    if not d.has(zone, Trouble.LOW_BATTERY):
        return
    d.start(TimerKind.BATTERY, zone.number, DAY_S)
    if (zone.number, Trouble.LOW_BATTERY.value) in d.standing:
        d.say(Beeps(Sound.TROUBLE))
        show_troubles(d, zone)
    else:
        tell_trouble(d, zone, Trouble.LOW_BATTERY)


def trouble_ends(d: Draft, zone: ZoneSetup, trouble: Trouble) -> None:
    """It is put right."""
    if d.has(zone, trouble):
        d.troubles -= {(zone.number, trouble)}
        over(d, zone, trouble.value)
        if trouble is Trouble.TAMPER:
            over(d, zone, Told.TAMPER_ALARM.value)

"""Arming, leaving, and what is bypassed before.

Rules of this file:
1. The rules of `step.py` hold here.

CHOICES (marks as in `step.py`).
 - Exit time runs for stay, night and away, also when armed by a remote or a switch; a time of zero arms at once. When
   an exit door opens a second time, after one was opened and shut, the exit time starts again, once (CP-01 4.2.2.3,
   seen; once only: from memory). Any exit doors of the area count together. A silent exit has twice the time, at most
   255 s, never less than the exit time (seen), no beeps. Arming in another mode meanwhile starts the time again; the
   same mode does nothing.
 - Final door: it is an entry door, and its closing, or a push, ends the exit time at once, unless another exit door is
   open that would be guarded then (a shared one isn't while its other area is off). Otherwise the time runs out and
   arms, as without a final door. A shared final door arms each of its areas that is in its exit time.
 - Completing act, where the panel asks for one: an exit time begun for away at a keypad arms only by a final door's
   closing or a push. One that runs out arms nothing, sounds and says so (fail to set, BS 8243 6.3, from memory): the
   area is off then, also where it was armed stay before. Whoever has a remote or a switch arms from outside: that is
   the act. Stay and night are armed by time, since nobody goes out. Bypasses and counts end, since the armed period
   never began; alarms of its exit time go on.
 - Exit error: every exit door open at the end starts the entry time (the shortest of theirs) in each of its areas and
   sounds the siren here. If somebody disarms in it, nothing is sent and the keypad says so; else the alarm goes, and
   "exit error" with it (from memory), also where the door has been open since its last alarm: somebody left once more.
   A door shared with an area whose exit time still runs is free until that ends, and is judged then, once.
 - Unvacated premises: armed away at a keypad, with no exit door opened, shut or open at the end: stay (from memory). A
   bypassed door doesn't count: whoever leaves by it arms stay. Nor does one that is shut out, where it is only open at
   the end (common practice, no source). An area without an exit door has no such test. Whoever has armed several areas
   with one code and opens a door of one of them while their exit times run has left them all (common practice, no
   source); an area armed by somebody else, or after the door opened, asks for a door of its own.
 - Other zones open at the end of the exit time: bypassed where the panel forces arming, else shown and guarded from
   their next opening on. At the key press they stop arming if they are live in the mode asked for; where arming is
   forced they are bypassed then, except an exit door. In installer mode nothing is armed.
 - A zone that is live in every mode and doesn't stop arming (smoke, gas, water) is named with a tone at arming while it
   is still in alarm, since its siren may have been silenced (common practice, no source). One whose alarm isn't shown
   isn't named.
 - Troubles are shown at arming, and stop it where the panel's settings say so: a cover off, a missing device, supply,
   siren wire, line, jamming, each by itself (that they do, and that the level of who may arm in spite of them goes by
   grade: EN 50131-1 8.3.5, from memory; its table of levels was not seen). Devices count in the area that is armed,
   bypassed or not; the panel's own troubles once they were reported. One that begins in the exit time stops nothing
   more. A device may have to be heard lately (60 min, 20 min, 60 s or 10 s by grade, EN 50131-1 and EN 50131-5-3:2005,
   from memory). One that wasn't stops arming as a missing one does, and is shown as "not heard lately", but it is no
   trouble yet, and still counts as able to confirm its pair. At power-up all count as just heard. Whoever has the right
   can arm at a keypad in spite of a trouble, by saying so; the keypad shows which, and the station hears it.
 - Recent closing: an alarm within 2 min after the end of the exit time (from memory), if it is one that may be called
   off, so that nobody takes a fire or a hold-up for a slip at the door.
 - Opening and closing, where the station hears of them, are sent when the code is keyed.
 - Bypass by a user: only while its area is disarmed (of a shared zone, one of them), for one armed period; reported
   where the zone's alarms are. While armed it is refused, and so is taking it back. Whoever may not arm all areas of a
   zone may do neither.
"""

from __future__ import annotations

from zonewright.behaviour.disarming import doors_of, entry_begins, other_entries_without, when_entry_time_runs_out
from zonewright.behaviour.effects import (
    ARMED_IN,
    bypass,
    forget_alarms,
    is_only_quiet,
    may_be_bypassed,
    show_fault,
    show_panel_troubles,
    show_troubles,
    sound,
    start_with_last_ten,
    take_back,
    tell_of_setting,
)
from zonewright.behaviour.events import Arm, Beeps, DisplayLine, Means, Message, PanelMessage, Shown, Sound, TimerKind
from zonewright.behaviour.setup import AreaNumber, UserNumber, ZoneSetup
from zonewright.behaviour.state import NOBODY, AreaState, Door, Draft, Phase
from zonewright.panel.behaviours import ALWAYS, Mode

SILENT_EXIT_MOST_S = 255  # CP-01, seen second-hand
RECENT_CLOSING_S = 120  # CP-01, from memory

# Arming and leaving ---------------------------------------------------------------------------------------------------


def when_armed(d: Draft, area: AreaState, event: Arm, by: ZoneSetup | None = None) -> None:
    """A code, a remote or a switch (its zone) asks for stay, night or away."""
    if d.any_in_phase({area.number}, Phase.ENTRY):
        d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.DISARM_FIRST, area=area.number))
        return
    if event.mode is Mode.DISARMED or d.all_in_mode({area.number}, frozenset({event.mode})):
        return
    if d.installer:
        d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.INSTALLER))
        return
    in_the_way = left_open(d, area, event.mode, exit_doors=not d.setup.settings.forced_arming, arming=True)
    if in_the_way and not (d.setup.settings.forced_arming and all(may_be_bypassed(zone) for zone in in_the_way)):
        d.say(Beeps(Sound.REFUSED), *(Shown(DisplayLine.CANT_ARM, zone.number) for zone in in_the_way))
        return
    over = event.over if event.means is Means.KEYPAD else None
    if d.bars_setting(area.number, over):
        refuse_for_faults(d, area.number)
        return
    for zone in in_the_way:
        bypass(d, zone, event.user)
    if event.means is Means.REMOTE:
        d.say(Beeps(Sound.CONFIRM))
    tell_of_setting(d, area.number, by, PanelMessage.CLOSING, PanelMessage.SWITCH_CLOSING, event.user)
    if over is not None:
        tell_of_faults_set_over(d, area.number, event.user)
    show_panel_troubles(d)
    for zone in d.setup.zones_of(area.number):
        show_troubles(d, zone)
        if is_watched_whatever_is_armed(zone) and d.is_open(zone) and not d.is_bypassed(zone):
            d.say(Beeps(Sound.TROUBLE), Shown(DisplayLine.STILL_IN_ALARM, zone.number))
    memory = () if d.any_in_phase({area.number}, Phase.REST) else area.memory
    by_keypad = event.means is Means.KEYPAD
    d.put(AreaState(area.number, event.mode, Phase.EXIT, event.user, silent=event.silent, by_keypad=by_keypad,
                    memory=memory, begun_by=area.begun_by))  # fmt: skip
    leave(d, d.areas[area.number])


def is_watched_whatever_is_armed(zone: ZoneSetup) -> bool:
    """Return whether a zone gives a shown alarm in every mode, and stops no arming while it does."""
    behaviour = zone.behaviour
    return zone.can_alarm and behaviour.shown and behaviour.live == ALWAYS and not behaviour.stops_arming


def refuse_for_faults(d: Draft, area: AreaNumber) -> None:
    """The keypad says that the area can't be armed, and which troubles stop it."""
    d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.FAULT, area=area))
    for fault, _, zone in d.faults(area):
        show_fault(d, fault, zone)


def tell_of_faults_set_over(d: Draft, area: AreaNumber, user: UserNumber) -> None:
    """Somebody with the right has armed the area in spite of troubles: the keypad and the station say so.

    The display names here only a device that wasn't heard lately, since arming names all real troubles anyway.
    """
    faults = d.faults(area)
    if faults:
        d.say(Shown(DisplayLine.OVER_FAULT, area=area))
    for fault, _, zone in faults:
        if zone is not None and is_only_quiet(d, fault, zone):
            show_fault(d, fault, zone)
    for _, _, zone in faults if d.setup.settings.told else ():
        d.say(Message(PanelMessage.OVER_FAULT.value, area, None if zone is None else zone.number, user))


def when_somebody_leaves(d: Draft, area: AreaState) -> None:
    """Quick exit: the doors are free for one exit time, and the area stays armed."""
    if area.phase is Phase.SET and area.mode in (Mode.STAY, Mode.NIGHT):
        d.change(area.number, phase=Phase.EXIT)
        leave(d, d.areas[area.number])


def leave(d: Draft, area: AreaState) -> None:
    """The exit time begins."""
    d.stop(TimerKind.RECENT, area.number)
    d.say(Shown(DisplayLine.ARMING, area=area.number))
    if d.setup.settings.exit_time > 0:
        start_exit_time(d, area)
    else:
        is_set(d, area)


def start_exit_time(d: Draft, area: AreaState) -> None:
    """Start the exit time, or start it again."""
    length = d.setup.settings.exit_time
    if area.silent:
        d.start(TimerKind.EXIT, area.number, max(length, min(2 * length, SILENT_EXIT_MOST_S)))
    else:
        d.say(Beeps(Sound.EXIT))
        start_with_last_ten(d, TimerKind.EXIT, area.number, length)


def final_door_shuts(d: Draft, area: AreaState) -> None:
    """The last one out has shut the door: the area is armed now, unless another way out stands open."""
    if area.phase is Phase.EXIT and not any(
        d.is_open(zone) and not d.is_bypassed(zone) and others_live(d, area, zone)
        for zone in d.setup.exit_doors(area.number)
    ):
        d.stop(TimerKind.EXIT, area.number)
        is_set(d, area)


def exit_door_opens(d: Draft, area: AreaState) -> None:
    """Somebody leaves, or comes back for something."""
    if area.phase is not Phase.EXIT:
        return
    again = area.door is Door.SHUT and d.setup.settings.exit_restart and not area.restarted
    d.change(area.number, door=Door.OPENED, restarted=area.restarted or again)
    if again:
        start_exit_time(d, area)


def others_are_left(d: Draft, areas: frozenset[AreaNumber]) -> None:
    """Somebody leaves by a door of these areas, and so leaves every other area that the same person has just armed."""
    others = d.kept(set(d.setup.areas) - areas)
    if not d.setup.settings.unvacated_stay or not others:
        return
    people = {d.areas[number].user for number in sorted(areas) if d.areas[number].phase is Phase.EXIT} - {NOBODY}
    for number in others if people else ():
        other = d.areas[number]
        if other.phase is Phase.EXIT and other.by_keypad and other.door is Door.UNUSED and other.user in people:
            d.change(number, door=Door.OPENED)


def when_exit_time_runs_out(d: Draft, area: AreaState) -> None:
    """The end of the exit time arms the area, unless somebody should have completed the exit."""
    if d.setup.settings.completing_act and area.mode is Mode.AWAY and area.by_keypad:
        fails_to_set(d, area)
    else:
        is_set(d, area)


def fails_to_set(d: Draft, area: AreaState) -> None:
    """Nobody closed the final door or pushed: the area is off again, and the panel sounds, shows and reports it."""
    d.stop(TimerKind.LAST_TEN, area.number)
    open_ = ways_left_open(d, area)
    d.put(AreaState(area.number, memory=area.memory, begun_by=area.begun_by))
    other_entries_without(d, area.number)
    d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.NOT_SET, area=area.number))
    d.say(*(Shown(DisplayLine.CANT_ARM, zone.number) for zone in open_))
    tell_of_setting(d, area.number, None, PanelMessage.NOT_SET, PanelMessage.NOT_SET, area.user)
    forget_alarms(d, area.number)
    for zone in d.setup.zones_of(area.number):
        take_back(d, zone, area.user)


def is_set(d: Draft, area: AreaState) -> None:
    """The exit time is over: the area is armed, or nobody left, or the door is open."""
    settings = d.setup.settings
    d.stop(TimerKind.LAST_TEN, area.number)
    open_ = ways_left_open(d, area)
    used = area.door is not Door.UNUSED or bool(open_)
    nobody_left = settings.unvacated_stay and area.by_keypad and not used and bool(d.setup.exit_doors(area.number))
    mode = Mode.STAY if area.mode is Mode.AWAY and nobody_left else area.mode
    d.put(AreaState(area.number, mode, Phase.SET, area.user, memory=area.memory, begun_by=area.begun_by))
    d.say(Shown(DisplayLine.NOBODY_LEFT if mode is not area.mode else ARMED_IN[mode], area=area.number))
    if settings.recent_closing:
        d.start(TimerKind.RECENT, area.number, RECENT_CLOSING_S)
    still_free = [zone for zone in open_ if d.any_phase(zone, Phase.EXIT)]  # somebody may still leave another area
    doors = [zone for zone in open_ if zone not in still_free]
    doors_seen_to = settings.exit_error and bool(doors)
    for zone in left_open(d, area, mode, exit_doors=not doors_seen_to):
        if zone in still_free:
            continue
        if settings.forced_arming and may_be_bypassed(zone):
            bypass(d, zone, area.user)
        else:
            d.say(Shown(DisplayLine.LEFT_OPEN, zone.number))
    if doors_seen_to:
        exit_error(d, area.number, doors)


def exit_error(d: Draft, area: AreaNumber, doors: list[ZoneSetup]) -> None:
    """An exit door was left open: the siren sounds, and an entry time to put it right begins in each of its areas."""
    for zone in doors:
        d.say(Shown(DisplayLine.EXIT_ERROR, zone.number))
        sound(d, zone, zone.behaviour.siren)
    seconds = min(zone.entry_s for zone in doors)
    if seconds > 0:
        others = frozenset[AreaNumber]().union(*(zone.areas for zone in doors)) - {area}
        waiting = d.in_phase(others, Phase.ENTRY)
        for number in d.kept(waiting):
            d.change(number, entry_by=d.areas[number].entry_by | doors_of(number, doors))
        begins = d.in_phase(others, Phase.SET) | {area}
        entry_begins(d, begins, doors, seconds)
        for number in d.kept(begins | waiting):
            d.change(number, left_open=d.areas[number].left_open | doors_of(number, doors))
    else:
        d.change(area, phase=Phase.ENTRY, entry_by=doors_of(area, doors), left_open=doors_of(area, doors))
        when_entry_time_runs_out(d, d.areas[area])


def ways_left_open(d: Draft, area: AreaState) -> list[ZoneSetup]:
    """Return the exit doors of an area that are open and would be live."""
    ways = left_open(d, area, area.mode, exit_doors=True)
    return [zone for zone in ways if zone.behaviour.exit_door and not d.is_shut_out(zone)]


def left_open(d: Draft, area: AreaState, mode: Mode, *, exit_doors: bool, arming: bool = False) -> list[ZoneSetup]:
    """Return the zones that are open, would be live with the area in `mode`, and matter for arming.

    `arming`: ask whether a zone is open before asking for the modes of its other areas.
    """

    def guards(zone: ZoneSetup) -> bool:
        return others_live(d, area, zone)

    def stands_open(zone: ZoneSetup) -> bool:
        return d.is_open(zone) and not d.is_bypassed(zone)

    first, then = (stands_open, guards) if arming else (guards, stands_open)
    return [
        zone
        for zone in d.setup.zones_of(area.number)
        if (zone.behaviour.stops_arming and (exit_doors or not zone.behaviour.exit_door))
        and mode in zone.behaviour.live
        and first(zone)
        and then(zone)
    ]


def others_live(d: Draft, area: AreaState, zone: ZoneSetup) -> bool:
    """Return whether a zone's other areas are all in modes in which it is live; if so, it is guarded with this one."""
    return d.all_in_mode(zone.areas - {area.number}, zone.behaviour.live)


# Out of use -----------------------------------------------------------------------------------------------------------


def when_bypassed(d: Draft, zone: ZoneSetup, user: UserNumber) -> None:
    """A user bypasses a zone for the next armed period."""
    if d.is_bypassed(zone):
        return
    if not may_be_bypassed(zone):
        d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.CANT_BYPASS, zone.number))
    elif not d.setup.may_set(user, zone.areas):
        d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.NO_RIGHT, zone.number))
    elif d.is_armed(zone):
        d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.CANT_BYPASS_NOW, zone.number))
    else:
        bypass(d, zone, user)


def when_taken_back(d: Draft, zone: ZoneSetup, user: UserNumber) -> None:
    """A user takes a bypass back."""
    if not d.is_bypassed(zone):
        return
    if not d.setup.may_set(user, zone.areas):
        d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.NO_RIGHT, zone.number))
    elif d.is_armed(zone):
        d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.CANT_TAKE_BACK_NOW, zone.number))
    else:
        take_back(d, zone, user)

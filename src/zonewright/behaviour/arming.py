"""Arming, leaving, and what is taken out of use before.

Rules of this file:
1. The rules of `step.py` hold here.

CHOICES (marks as in `step.py`).
 - Exit time runs for stay, night and away, also when armed by a remote or a switch; a time of zero arms at once. A
   second opening of an exit door after one was opened and shut starts it again, once (CP-01 4.2.2.3, seen; once only:
   from memory). Any exit doors of the area count together. A silent exit has twice the time, at most 255 s, never less
   than the exit time (seen), no beeps. Arming in another mode meanwhile starts it afresh; the same mode again does
   nothing.
 - Final door: it is an entry door, and its closing, or a push, ends the exit time at once, unless another exit door
   stands open that would be guarded then, which a shared one isn't while its other area is off; else the exit time arms
   at its end, as without one. For a shared one each of its areas that is in its exit time is armed.
 - Completing act, where the panel asks for one: an exit time begun for away at a keypad sets only by a final door's
   closing or a push; one that runs out sets nothing, sounds and says so (fail to set, BS 8243 6.3, from memory): the
   area is off then, also where it was armed stay before. Whoever has a remote or a switch sets from outside: that is
   the act. Stay and night are set by time, since nobody goes out. Bypasses and counts of the armed period that never
   was are over; alarms of its exit time go on.
 - Exit error: every exit door open at the end starts the entry time (the shortest of theirs) in each of its areas and
   sounds the siren here; disarmed in it, nothing is sent and the keypad says so; else the alarm, and "exit error" with
   it (from memory), also where the door stands open since its last alarm: somebody left once more. A door shared with
   an area whose exit time still runs is free until that ends, and is seen to then, once.
 - Unvacated premises: armed away at a keypad, no exit door opened, shut or open at the end: stay (from memory). One
   that is bypassed doesn't count: whoever leaves by it arms stay. Nor does one that is shut out, where it only stands
   open at the end (common practice, no source). An area without an exit door has no such test. Whoever has armed
   several areas with one code and opens a door of one of them while their exit times run has left them all (common
   practice, no source); an area armed by somebody else, or after the door opened, asks for a door of its own.
 - Other zones open at the end of the exit time: bypassed where the panel forces arming, else shown and guarded from
   their next opening on. At the key press they stop arming if live in the mode to come; where arming is forced they
   are bypassed then, but for an exit door. In installer mode nothing is armed.
 - What is watched in every mode and doesn't stop arming (smoke, gas, water) is named with a tone at arming while it is
   still in alarm, since its siren may have been silenced (common practice, no source). What shows nothing isn't named.
 - Faults: troubles are shown at arming, and stop it where the panel's settings say so: a cover off, a missing device,
   supply, siren wire, line, jamming, each by itself (that they do, and that the level of who may set all the same goes
   by grade: EN 50131-1 8.3.5, from memory; its table of levels was not seen). Devices count in the area that is set,
   bypassed or not; the panel's own faults once they were told. A fault that begins in the exit time stops nothing more.
   A device may have to be heard lately (60 min, 20 min, 60 s or 10 s by grade, EN 50131-1 and EN 50131-5-3:2005, from
   memory): one that wasn't bars as a missing one does, and is shown as "not heard lately", but it is no trouble yet,
   and still counts as able to confirm its pair. At power-up all count as just heard. Who has the right sets over a
   fault at a keypad, by saying so; the keypad shows which, and the station is told.
 - Recent closing: an alarm within 2 min after the end of the exit time (from memory), if it is one that may be called
   off: nobody shall take a fire or a hold-up for a slip at the door.
 - Opening and closing, where the station is told of them, go at the code.
 - Bypass by a user: only while its area is disarmed, of a shared zone one of them, for one armed period; told where the
   zone's alarms are told. While armed it is refused, and so is taking it back. Whoever may not set all areas of a zone
   may do neither.
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
    """The keypad says that it can't be set, and for which faults."""
    d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.FAULT, area=area))
    for fault, _, zone in d.faults(area):
        show_fault(d, fault, zone)


def tell_of_faults_set_over(d: Draft, area: AreaNumber, user: UserNumber) -> None:
    """Somebody who may has set the area although faults stand: the keypad and the station hear it.

    Of the faults only those are named here that are no trouble, since setting names all troubles.
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
    """A quick exit: the doors are free for one exit time, and the area stays armed."""
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
    """Time alone sets the area, unless somebody should have completed it."""
    if d.setup.settings.completing_act and area.mode is Mode.AWAY and area.by_keypad:
        fails_to_set(d, area)
    else:
        is_set(d, area)


def fails_to_set(d: Draft, area: AreaState) -> None:
    """Nobody closed the final door or pushed: the area is off again, and that is heard, shown and told."""
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
    """The area is armed; or nobody left; or the door stands open."""
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
    still_free = [zone for zone in open_ if d.any_phase(zone, Phase.EXIT)]  # for who leaves another of its areas
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
    """The way out was left open: a loud reminder here, and an entry time to put it right in each area of the doors."""
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
    """Return the ways out of an area that stand open and would be live."""
    ways = left_open(d, area, area.mode, exit_doors=True)
    return [zone for zone in ways if zone.behaviour.exit_door and not d.is_shut_out(zone)]


def left_open(d: Draft, area: AreaState, mode: Mode, *, exit_doors: bool, arming: bool = False) -> list[ZoneSetup]:
    """Return the zones that stand open, would be live with the area in `mode`, and matter for arming.

    `arming`: it is asked whether a zone stands open before it is asked what the other areas of the zone do.
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
    """Return whether all other areas of a zone are in modes that it is live in; if so, it is guarded with the area."""
    return d.all_in_mode(zone.areas - {area.number}, zone.behaviour.live)


# Out of use -----------------------------------------------------------------------------------------------------------


def when_bypassed(d: Draft, zone: ZoneSetup, user: UserNumber) -> None:
    """A user takes a zone out for the next armed period."""
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

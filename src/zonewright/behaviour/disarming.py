"""Coming in, disarming, and what the station hears late or not at all.

Rules of this file:
1. The rules of `step.py` hold here.

CHOICES (marks as in `step.py`).
 - Entry time: at its end every door that opened in it gives its alarm. Arming is refused meanwhile, and the keypad says
   to disarm first. A shared door then gives its alarm for all its areas: an entry time of its other areas goes on for
   their other doors, and ends in silence where there is none (common practice, no source).
 - A shared door gives its alarm only while all its areas are armed. When one of them is disarmed, the entry times of
   the others go on for their other doors; where no door is left, the entry time and its beeps end, the area is armed as
   before, and the keypad says so (common practice, no source).
 - Disarm in the abort window: nothing is sent, and the keypad says of which zone (from memory). In the cancel window:
   "cancel" is sent with the user, and the keypad says so (from memory).
 - A disarm silences whatever its area's zones sound, life safety too; the next opening sounds again.
 - A shared zone's messages name its lowest area and use that area's abort window. Its cancel window runs in each of
   its areas. A disarm of any of its areas silences it, calls its waiting messages off, cancels what was sent, and ends
   its bypass; its alarm then waits for no other to confirm it. A confirmation that was made remains (`effects.py`).
 - Duress: a slot may be one for somebody who is forced to disarm. It does all that any slot does, and nothing else can
   be seen or heard. The station hears it in the same moment, also where the area was disarmed already. It never waits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from zonewright.behaviour.effects import (
    ARMED_IN,
    alarm,
    call_off_waiting,
    forget_alarms,
    send,
    silence,
    start_with_last_ten,
    take_back,
    tell_of_setting,
    tell_trouble,
)
from zonewright.behaviour.events import Beeps, DisplayLine, Message, PanelMessage, Shown, Sound, TimerKind, Trouble
from zonewright.behaviour.setup import AreaNumber, UserNumber, ZoneSetup
from zonewright.behaviour.state import AreaState, Draft, Phase
from zonewright.panel.behaviours import Mode, Timing
from zonewright.site.record import ZoneNumber

# Coming in and disarming ----------------------------------------------------------------------------------------------


def entry_begins(d: Draft, areas: frozenset[AreaNumber], doors: Sequence[ZoneSetup], seconds: int) -> None:
    """Somebody comes into these areas by these doors, each area by its own ones, and has so many seconds to disarm."""
    for area in sorted(areas):
        d.stop(TimerKind.EXIT, area)
        d.change(area, phase=Phase.ENTRY, entry_by=doors_of(area, doors))
        d.stop(TimerKind.CONFIRM, area)
        start_with_last_ten(d, TimerKind.ENTRY, area, seconds)
    d.say(Beeps(Sound.ENTRY))


def doors_of(area: AreaNumber, doors: Iterable[ZoneSetup]) -> frozenset[ZoneNumber]:
    """Return those of the doors that are an area's own."""
    return frozenset(door.number for door in doors if area in door.areas)


def when_entry_time_runs_out(d: Draft, area: AreaState) -> None:
    """Nobody disarmed, so each door gives its alarm. Other areas of a shared door wait for their other doors only."""
    entry_ends(d, area)
    doors = [zone for number in sorted(area.entry_by) if (zone := d.setup.zone(number)) is not None]
    for zone in doors:
        for number in d.kept(zone.areas):
            other = d.areas[number]
            if other.entry_by == {zone.number}:
                entry_ends(d, other)
            elif zone.number in other.entry_by:  # the other area still waits for its other doors
                d.change(number, entry_by=other.entry_by - {zone.number})
    may_have_begun = [*doors, *shared_doors(d, area.number)]
    hold = d.setup.settings.hold_after_entry(min((zone.entry_s for zone in may_have_begun), default=0))
    owed = [zone for zone in doors if d.every_mode(zone, zone.behaviour.live) and not d.is_shut_out(zone)]
    opened = [zone for zone in owed if zone.number not in area.left_open]
    for zone in owed:
        held = hold if zone.behaviour.abort else 0
        alarm(d, zone, exit_error=zone not in opened, held=held, confirms=zone in opened[:1])


def entry_ends(d: Draft, area: AreaState) -> None:
    """The area is armed as before."""
    d.stop(TimerKind.ENTRY, area.number)
    d.stop(TimerKind.LAST_TEN, area.number)
    d.change(area.number, phase=Phase.SET, entry_by=frozenset(), left_open=frozenset())


def other_entries_without(d: Draft, area: AreaNumber) -> frozenset[ZoneNumber]:
    """End other areas' wait for doors shared with an area that is off; return those doors that an exit error left."""
    doors = {zone.number for zone in d.setup.zones_of(area) if is_free_when_off(zone)}
    others = {number for door in doors if (zone := d.setup.zone(door)) is not None for number in zone.areas - {area}}
    dropped: frozenset[ZoneNumber] = frozenset()
    for number in d.kept(others):
        other = d.areas[number]
        if other.phase is not Phase.ENTRY or other.entry_by.isdisjoint(doors):
            continue
        dropped |= other.entry_by & other.left_open & doors
        if other.entry_by - doors:
            d.change(number, entry_by=other.entry_by - doors)
        else:
            entry_ends(d, other)
            d.say(Shown(ARMED_IN[other.mode], area=number))
    return dropped


def forget_what_shared_zones_began(d: Draft, area: AreaNumber) -> None:
    """A shared zone's alarm was called off here: in its other areas it no longer waits for another to confirm it."""
    if d.setup.settings.confirm_window == 0:
        return
    here = d.setup.zones_of(area)
    mine = {zone.number for zone in here}
    for number in d.kept({each for zone in here for each in zone.areas} - {area}):
        if d.began_window(number, mine):
            d.stop(TimerKind.CONFIRM, number)


def shared_doors(d: Draft, area: AreaNumber) -> list[ZoneSetup]:
    """Return the doors of an area that may have begun its entry time although it no longer waits for them."""
    return [zone for zone in d.setup.zones_of(area) if zone.entry_s > 0 and is_free_when_off(zone)]


def is_free_when_off(zone: ZoneSetup) -> bool:
    """Return whether it is a shared door that gives no alarm while one of its areas is off."""
    behaviour = zone.behaviour
    return len(zone.areas) > 1 and behaviour.timing is Timing.DELAYED and Mode.DISARMED not in behaviour.live


def when_disarmed(d: Draft, area: AreaState, user: UserNumber, by: ZoneSetup | None = None) -> None:
    """A code or a switch disarms the area: its sounds end, waiting messages are called off, sent ones cancelled."""
    was_armed = not d.any_in_phase({area.number}, Phase.REST)
    for kind in (TimerKind.EXIT, TimerKind.ENTRY, TimerKind.LAST_TEN, TimerKind.RECENT, TimerKind.CONFIRM):
        d.stop(kind, area.number)
    d.put(AreaState(area.number, memory=area.memory))
    d.say(Shown(DisplayLine.DISARMED, area=area.number))
    called_off = call_off_waiting(d, area.number)
    unheard = other_entries_without(d, area.number) | (area.entry_by & area.left_open)
    if d.setup.settings.told:
        called_off |= unheard
    if d.runs(TimerKind.CANCEL, area.number):
        d.stop(TimerKind.CANCEL, area.number)
        d.say(
            Message(PanelMessage.CANCEL.value, area.number, user=user or None),
            Shown(DisplayLine.CANCEL_SENT, area=area.number),
        )
    else:
        d.say(*(Shown(DisplayLine.NOT_SENT, number) for number in sorted(called_off)))
    if was_armed:
        tell_of_setting(d, area.number, by, PanelMessage.OPENING, PanelMessage.SWITCH_OPENING, user)
    silence(d, area.number)
    forget_what_shared_zones_began(d, area.number)
    forget_alarms(d, area.number)
    for number in area.memory:
        zone = d.setup.zone(number)
        if zone is not None:
            d.say(Shown(DisplayLine.STILL_OPEN if d.is_open(zone) else DisplayLine.MEMORY, number))
            if d.has(zone, Trouble.TAMPER):
                show_cover_off(d, zone)
    for zone in d.setup.zones_of(area.number):
        if zone.number not in area.memory and d.has(zone, Trouble.TAMPER) and is_cover_told(d, zone):
            d.say(Shown(DisplayLine.TAMPER, zone.number))
        if zone.crosses:
            d.stop(TimerKind.CROSS, zone.number)
        if was_armed:
            take_back(d, zone, user)
    if user in d.setup.duress and d.setup.settings.told:
        d.say(Message(PanelMessage.DURESS.value, area.number, user=user))


def show_cover_off(d: Draft, zone: ZoneSetup) -> None:
    """A cover is still off after its alarm: the display names it. If the alarm was called off, it becomes a trouble."""
    if is_cover_told(d, zone):
        d.say(Shown(DisplayLine.TAMPER, zone.number))
    else:
        tell_trouble(d, zone, Trouble.TAMPER)


def is_cover_told(d: Draft, zone: ZoneSetup) -> bool:
    """Return whether the panel has reported that a cover is off, as an alarm or as a trouble."""
    return d.stands(zone, Trouble.TAMPER.value) or d.stands(zone, PanelMessage.TAMPER_ALARM.value)


# The station, late ----------------------------------------------------------------------------------------------------


def when_abort_window_ends(d: Draft, area: AreaNumber) -> None:
    """Nobody called them off: the messages leave."""
    waiting = [(zone, name) for number, name in d.waiting if (zone := d.setup.zone(number)) is not None]
    d.waiting = tuple((zone.number, name) for zone, name in waiting if zone.home != area)
    for zone, name in waiting:
        if zone.home == area:
            send(d, zone, name)

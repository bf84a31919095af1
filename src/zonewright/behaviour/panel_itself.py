"""The panel itself: its supply, its line, its siren's wire, its radio, and installer mode.

Rules of this file:
1. The rules of `step.py` hold here.

CHOICES (marks as in `step.py`).
 - A trouble of the panel is reported when it has lasted for its wait (mains 15 min to 6 h, so that storms aren't
   reported; line as long as it tries again). It is shown with a tone then, again once a day while it lasts, and at each
   arming. If it is put right before, it was nothing. A trouble whose wait the panel lacks isn't looked for. It never
   stops arming, never sounds the siren.
 - While radio is jammed no radio device is heard, whether or not the panel looks for jamming, nor is a remote, whatever
   its button does. A wired device is.
 - Power back after a total loss: same modes, same bypasses (CP-01, seen in a draft); nothing that opens counts for the
   warm-up (60 s at least from the return of mains, seen there). All timers have ended: an exit time leaves its area
   armed, the siren is silent, and a message that waited goes at once. Supervision, the waits of troubles and the quiet
   time after which counted alarms are forgotten start again; what was counted stays counted. An entry time starts
   again, too, since its doors have yet to give their alarm. After the warm-up the keypad shows what is open and live in
   the mode of its areas; it is guarded from its next opening on (common practice, no source). Installer mode goes on.
 - Installer mode: only with every area disarmed. It silences everything and calls off what waits. Nothing that opens
   counts, not even fire; no tamper is an alarm, and nothing is armed; other troubles are reported as ever. So the
   account is put on test before, and the keypad says that there are no alarms.
"""

from __future__ import annotations

from zonewright.behaviour.disarming import entry_begins, show_cover_off
from zonewright.behaviour.effects import (
    DAY_S,
    SWINGER_QUIET_S,
    call_off_waiting,
    send,
    silence,
    tell_of_panel,
    wait_for_sign_of,
)
from zonewright.behaviour.events import (
    Beeps,
    DisplayLine,
    PanelMessage,
    Shown,
    Siren,
    SiteTrouble,
    Sound,
    TimerKind,
    Trouble,
)
from zonewright.behaviour.openings import look_again, stands_live
from zonewright.behaviour.state import AreaState, Draft, Phase
from zonewright.panel.behaviours import ALWAYS, Mode, Pattern

_SECOND_LOOKS = frozenset(
    {TimerKind.PERSIST, TimerKind.CROSS, TimerKind.VERIFY_RESET, TimerKind.VERIFY, TimerKind.WARM_UP}
)

# Its troubles ---------------------------------------------------------------------------------------------------------


def site_trouble_begins(d: Draft, trouble: SiteTrouble) -> None:
    """Something is wrong with the panel itself; most such troubles pass by themselves."""
    d.jammed |= trouble is SiteTrouble.JAMMING
    wait = trouble.wait(d.setup.settings)
    if wait is None or trouble in d.site:
        return
    d.site |= {trouble}
    if wait > 0:
        d.start(*trouble.timer, wait)
    else:
        when_site_trouble_stands(d, trouble)


def when_site_trouble_stands(d: Draft, trouble: SiteTrouble) -> None:
    """It has lasted for its wait: the station hears it once, and the keypad says it every day."""
    d.say(Beeps(Sound.TROUBLE), Shown(trouble.line))
    if trouble not in d.site_told:
        d.site_told |= {trouble}
        tell_of_panel(d, trouble.value)
    d.start(*trouble.timer, DAY_S)


def site_trouble_ends(d: Draft, trouble: SiteTrouble) -> None:
    """It is as it should be again."""
    d.jammed &= trouble is not SiteTrouble.JAMMING
    d.site -= {trouble}
    d.stop(*trouble.timer)
    if trouble in d.site_told:
        d.site_told -= {trouble}
        tell_of_panel(d, trouble.value, restore=True)


# Its power ------------------------------------------------------------------------------------------------------------


def when_power_returns(d: Draft) -> None:
    """All power was lost until now: the panel remembers its state, and every timer has ended."""
    stop_all(d, frozenset(TimerKind))
    for area in tuple(d.areas.values()):
        if area.phase is Phase.ENTRY:
            doors = [door for number in sorted(area.entry_by) if (door := d.setup.zone(number)) is not None]
            seconds = min((door.entry_s for door in doors if door.entry_s), default=1)
            entry_begins(d, frozenset({area.number}), doors, seconds)
        elif area.phase is Phase.EXIT:
            d.put(AreaState(area.number, area.mode, Phase.SET, area.user, memory=area.memory, begun_by=area.begun_by))
    if d.calls_for_sounder():
        d.end_calls()
        d.say(Siren(Pattern.NONE))
    tell_of_panel(d, PanelMessage.RESTART.value)
    waiting, d.waiting = d.waiting, ()
    for number, name in waiting:
        zone = d.setup.zone(number)
        if zone is not None:
            send(d, zone, name)
    watch_again(d)
    if d.setup.settings.warm_up > 0:
        d.start(TimerKind.WARM_UP, 0, d.setup.settings.warm_up)
        d.say(Shown(DisplayLine.WARMING_UP))
    elif not d.installer:
        look_again(d, d.setup.zones, dark=True)
        show_left_open(d)


def show_left_open(d: Draft) -> None:
    """The display names each zone that opened while the panel couldn't notice, if that would be an alarm now."""
    for zone in d.setup.zones:
        if zone.can_alarm and zone.behaviour.live != ALWAYS and stands_live(d, zone):
            d.say(Shown(DisplayLine.LEFT_OPEN, zone.number))


def stop_all(d: Draft, kinds: frozenset[TimerKind]) -> None:
    """Stop whatever runs of these kinds, for the panel, its areas and its zones."""
    zones = [zone.number for zone in d.setup.zones]
    for kind in kinds:
        for number in zones if kind.of_zone else (0,) if kind.of_panel else d.setup.areas:
            d.stop(kind, number)


def watch_again(d: Draft) -> None:
    """Start again every timer that runs for days."""
    for zone in d.setup.zones:
        wait_for_sign_of(d, zone)
        if d.has(zone, Trouble.LOW_BATTERY):
            d.start(TimerKind.BATTERY, zone.number, DAY_S)
    for number, _ in d.alarms:
        counted = d.setup.zone(number)
        if counted is not None:
            d.start(TimerKind.SWINGER_RESET, counted.home, SWINGER_QUIET_S)
    for trouble in SiteTrouble:
        if trouble in d.site:
            wait = trouble.wait(d.setup.settings)
            d.start(*trouble.timer, DAY_S if trouble in d.site_told or not wait else wait)


def when_warmed_up(d: Draft) -> None:
    """The sensors have settled."""
    if not d.installer:
        d.say(Shown(DisplayLine.WATCHING))
        look_again(d, d.setup.zones, dark=True)
        show_left_open(d)


# Installer mode -------------------------------------------------------------------------------------------------------


def when_installer_comes(d: Draft) -> None:
    """Nobody is guarded any longer, and the keypad says so."""
    if d.installer:
        return
    if any(area.mode is not Mode.DISARMED for area in d.areas.values()):
        d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.INSTALLER_NOT_NOW))
        return
    for area in d.setup.areas:
        silence(d, area)
        called_off = sorted(call_off_waiting(d, area))
        d.say(*(Shown(DisplayLine.NOT_SENT, number) for number in called_off))
        for number in called_off:
            zone = d.setup.zone(number)
            if zone is not None and d.has(zone, Trouble.TAMPER):
                show_cover_off(d, zone)
    stop_all(d, _SECOND_LOOKS)
    d.installer = True
    d.say(Shown(DisplayLine.INSTALLER))
    tell_of_panel(d, PanelMessage.INSTALLER_IN.value)


def when_installer_goes(d: Draft) -> None:
    """The panel guards again."""
    if d.installer:
        d.installer = False
        d.say(Shown(DisplayLine.INSTALLER_ENDS))
        tell_of_panel(d, PanelMessage.INSTALLER_OUT.value)
        look_again(d, d.setup.zones)

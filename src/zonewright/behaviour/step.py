"""What the panel does: where to look up each event. This file and those it calls are the whole of it.

Rules of this file and of those it calls:
1. `step` knows no clock. It asks whether a timer runs, never how much is left. What is "within", "after" or "for at
   most" in the trade is a timer here, and its end is an event like any other.
2. It answers every event in every state. An event that means nothing changes nothing, and nothing is ever raised.
3. Zones differ by the attributes of their behaviour and by their settings; no behaviour, device or zone is named.
4. About a zone it asks only `is_open`, `is_bypassed`, `is_shut_out`, `has` and `stands`; about troubles at arming, only
   `bars_setting`. No zone takes precedence by its number.
5. A file for each group of events, as one would look it up: `openings.py` (a device speaks), `arming.py`,
   `disarming.py`, `troubles.py` (of a device), `panel_itself.py` (supply, line, installer mode). What several events
   share is in `effects.py`.

Each of them lists its CHOICES. Where a line names no source it is common practice, no source. "CP-01" is ANSI/SIA
CP-01, never read whole: "seen" means second-hand, else from memory.
"""

from __future__ import annotations

from zonewright.behaviour.arming import (
    when_armed,
    when_bypassed,
    when_exit_time_runs_out,
    when_somebody_leaves,
    when_taken_back,
)
from zonewright.behaviour.disarming import when_abort_window_ends, when_disarmed, when_entry_time_runs_out
from zonewright.behaviour.effects import forget_alarms, panic, wait_for_sign_of
from zonewright.behaviour.events import (
    TROUBLE_OF,
    Arm,
    Beeps,
    Bypass,
    CheckIn,
    ChimeSwitch,
    Disarm,
    DisplayLine,
    Event,
    Expires,
    InstallerMode,
    Means,
    Panic,
    PowerReturns,
    QuickExit,
    Shown,
    Siren,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Sound,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.openings import (
    look_again,
    when_detector_has_settled,
    when_device_is_heard,
    when_trip_has_lasted,
    when_verifying_ends,
)
from zonewright.behaviour.panel_itself import (
    site_trouble_begins,
    site_trouble_ends,
    when_installer_comes,
    when_installer_goes,
    when_power_returns,
    when_site_trouble_stands,
    when_warmed_up,
)
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import AreaState, Control, Draft, Phase, Response
from zonewright.behaviour.troubles import trouble_begins, when_battery_day_ends
from zonewright.panel.behaviours import Pattern
from zonewright.site.record import ZoneNumber


def power_up(setup: Setup) -> Response:
    """Return a panel that was just switched on: disarmed, all quiet, every supervised device waited for."""
    draft = Draft(setup, Control(tuple(AreaState(area) for area in setup.areas)))
    for zone in setup.zones:
        wait_for_sign_of(draft, zone)
    return draft.step()


def step(setup: Setup, control: Control, event: Event) -> Response:
    """Return what one event does to a panel with this setup in this state."""
    draft = Draft(setup, control)
    decide(draft, event)
    return draft.step()


def decide(d: Draft, event: Event) -> None:
    """Let one event happen to the panel in `d`, then look again at the zones whose bypass it ended."""
    happen(d, event)
    look_again(d, d.back_in_use)


def happen(d: Draft, event: Event) -> None:
    """Call the function for an event."""
    match event:
        case Expires():
            if d.expire(event.timer):
                when_timer_expires(d, event.timer)
        case ZoneOpens() | ZoneCloses() | ZoneTrips() | CheckIn() | TroubleBegins() | TroubleEnds():
            zone = d.setup.zone(event.zone)
            if zone is not None:
                when_device_is_heard(d, zone, event)
        case Bypass() | Unbypass():
            zone = d.setup.zone(event.zone)
            if zone is not None:
                (when_bypassed if isinstance(event, Bypass) else when_taken_back)(d, zone, event.user)
        case Arm() | QuickExit() | Disarm() | Panic():
            means = Means.KEYPAD if isinstance(event, QuickExit) else event.means
            if event.area in d.areas and not unheard(d, means):
                when_somebody_acts(d, d.areas[event.area], event)
        case ChimeSwitch():
            if event.on != d.chime_on:
                d.chime_on = event.on
                d.say(Shown(DisplayLine.CHIME_ON if event.on else DisplayLine.CHIME_OFF))
        case SiteTroubleBegins():
            site_trouble_begins(d, event.trouble)
        case SiteTroubleEnds():
            site_trouble_ends(d, event.trouble)
        case PowerReturns():
            when_power_returns(d)
        case InstallerMode():
            (when_installer_comes if event.on else when_installer_goes)(d)


def when_somebody_acts(d: Draft, area: AreaState, act: Arm | QuickExit | Disarm | Panic) -> None:
    """Call the function for what somebody does to an area."""
    match act:
        case Arm():
            when_armed(d, area, act)
        case QuickExit():
            when_somebody_leaves(d, area)
        case Disarm():
            when_disarmed(d, area, act.user)
        case Panic():
            if d.installer:
                d.say(Beeps(Sound.REFUSED), Shown(DisplayLine.INSTALLER))
            else:
                panic(d, act.area, act.user)


def unheard(d: Draft, means: Means) -> bool:
    """Return whether the panel doesn't hear what somebody does: with a remote, while radio is jammed."""
    return d.jammed and means is Means.REMOTE


def when_timer_expires(d: Draft, timer: Timer) -> None:
    """Call the function for a timer that has expired."""
    if timer.kind.of_zone:
        zone = d.setup.zone(ZoneNumber(timer.number))
        if zone is not None:
            when_timer_of_zone_expires(d, zone, timer.kind)
    elif timer.kind.of_panel:
        when_timer_of_panel_expires(d, timer.kind)
    elif timer.number in d.areas:
        when_timer_of_area_expires(d, d.areas[AreaNumber(timer.number)], timer.kind)


def when_timer_of_area_expires(d: Draft, area: AreaState, kind: TimerKind) -> None:
    """Call the function for an area's timer."""
    match kind:
        case TimerKind.LAST_TEN:
            d.say(Beeps(Sound.ENTRY_LAST_TEN if area.phase is Phase.ENTRY else Sound.EXIT_LAST_TEN))
        case TimerKind.EXIT:
            when_exit_time_runs_out(d, area)
        case TimerKind.ENTRY:
            when_entry_time_runs_out(d, area)
        case TimerKind.ABORT:
            when_abort_window_ends(d, area.number)
        case TimerKind.SWINGER_RESET:
            forget_alarms(d, area.number)
        case TimerKind.CANCEL | TimerKind.RECENT | TimerKind.CONFIRM:
            pass  # nothing happens: others only ask whether they run
        case _:
            raise AssertionError(f"{kind} is no timer of an area")


def when_timer_of_zone_expires(d: Draft, zone: ZoneSetup, kind: TimerKind) -> None:
    """Call the function for a zone's timer."""
    match kind:
        case TimerKind.MISSING:
            trouble_begins(d, zone, Trouble.MISSING)
        case TimerKind.BATTERY:
            when_battery_day_ends(d, zone)
        case TimerKind.PERSIST:
            when_trip_has_lasted(d, zone)
        case TimerKind.VERIFY_RESET:
            when_detector_has_settled(d, zone)
        case TimerKind.VERIFY:
            when_verifying_ends(d, zone)
        case TimerKind.HEARD | TimerKind.CROSS:
            pass  # as above
        case _:
            raise AssertionError(f"{kind} is no timer of a zone")


def when_timer_of_panel_expires(d: Draft, kind: TimerKind) -> None:
    """Call the function for a timer of the whole panel."""
    match kind:
        case TimerKind.SIREN:
            d.end_calls()
            d.say(Siren(Pattern.NONE))
        case TimerKind.WARM_UP:
            when_warmed_up(d)
        case _:
            when_site_trouble_stands(d, TROUBLE_OF[kind])

"""Troubles of a device: its cover, its battery, its silence.

Rules of this file:
1. The rules of `step.py` hold here.

CHOICES (marks as in `step.py`).
 - Low battery is reported once until it is good again, and once a day at most. If a battery is good and then low again
   within that day, the panel reports it when the day ends, if it is still low. While it is low the keypad says so once
   a day.
 - A device is missing when nothing of it was heard for the supervision window; any sign of it ends that. Life-safety
   devices may have a shorter window of their own.
 - A tamper is an alarm in the modes of its behaviour, in the others a trouble. A hold-up button's is reported and shown
   without a tone. A life-safety device's tamper is never an alarm, nor is that of a zone that is bypassed or shut out,
   nor any while the panel is deaf (power just back, installer mode): it is a trouble.
 - If a cover is still off when its alarm is called off, it is reported as a trouble then. The keypad names it at each
   disarm until the cover is on (common practice, no source).
 - No trouble sounds the siren.
"""

from __future__ import annotations

from zonewright.behaviour.effects import DAY_S, alarm, over, show_troubles, tell_trouble
from zonewright.behaviour.events import Beeps, PanelMessage, Sound, TimerKind, Trouble
from zonewright.behaviour.setup import ZoneSetup
from zonewright.behaviour.state import Draft


def trouble_begins(d: Draft, zone: ZoneSetup, trouble: Trouble) -> None:
    """Its cover is off, its battery is low, or it hasn't been heard."""
    if d.has(zone, trouble):
        return
    d.troubles |= {(zone.number, trouble)}
    if trouble is Trouble.TAMPER and tamper_is_alarm(d, zone):
        alarm(d, zone, tamper=True)
    elif trouble is not Trouble.LOW_BATTERY:
        tell_trouble(d, zone, trouble)
    elif not d.runs(TimerKind.BATTERY, zone.number):
        if d.setup.settings.low_battery_wait > 0:
            d.start(TimerKind.BATTERY, zone.number, d.setup.settings.low_battery_wait)
        else:
            when_battery_day_ends(d, zone)


def tamper_is_alarm(d: Draft, zone: ZoneSetup) -> bool:
    """Return whether its tamper is an alarm now; else it is a trouble."""
    modes = zone.behaviour.tamper_alarm
    if zone.behaviour.life_safety or d.is_bypassed(zone) or d.is_deaf():
        return False
    return d.every_mode(zone, modes) and not d.is_shut_out(zone)


def when_battery_day_ends(d: Draft, zone: ZoneSetup) -> None:
    """If its battery is still low, the station hears it once, and the keypad says it every day."""
    if not d.has(zone, Trouble.LOW_BATTERY):
        return
    d.start(TimerKind.BATTERY, zone.number, DAY_S)
    if d.stands(zone, Trouble.LOW_BATTERY.value):
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
            over(d, zone, PanelMessage.TAMPER_ALARM.value)

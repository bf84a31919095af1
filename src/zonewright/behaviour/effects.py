"""How the panel does what `step.py` decides: an alarm, a message, a bypass, a trouble at the keypad.

Rules of this file:
1. Nothing here decides that something happens; it says what a thing consists of, once, for every event that needs it.
2. The rules of `step.py` hold here too.

CHOICES (marks as in `step.py`).
 - Siren: one cut-off time for all patterns, started again by each new cause. The first pattern of the precedence plays
   (fire first: NFPA 72-2007 ch. 11, seen; rest practice). A trouble tone never keeps a siren on: one that begins while
   anything else plays starts no cut-off time, and ends with the others (common practice, no source).
 - Outside siren: where the panel keeps it silent while off, a burglary alarm whose areas are all off, or in their exit
   time, sounds inside only, and so do panics and tampers (EN 50131-1:2006 note 5 to table 7: the panel never drives it
   while unset, but for its own tamper, seen; that tamper is the siren's own affair). Fire and gas sound everywhere:
   they are no burglary. An alarm that began inside only goes on so when the area is armed; the next one sounds outside.
 - Abort window: one for an area. A message that comes while it runs goes when it ends, never later than the longest
   wait of the two. Which zones wait is a setting of each zone (fire never: seen).
 - Entry hold, where the panel has one: the siren warns at the end of an entry time, and the station hears it so much
   later, and not before a second time after the entry began (30 s and 2 min: EN 50131-1 8.3.8.2 and use in the UK, from
   memory). The shortest entry time is taken from the doors of the entry and the area's shared doors, since one of those
   may have begun it although it gives no alarm any more; so a message may wait longer than it need. A trip off the
   route meanwhile is held as long (30 s, from memory), a trip that waits for its pair isn't. All of it waits as in an
   abort window, so it goes sooner where something waits there already: with the alarm of a window, or of somebody who
   left the route. A zone whose behaviour lets no message wait (`abort`) is never held; a `message delay` of none takes
   a zone out of the abort window only, not out of the hold.
 - Cancel window: from the last abortable message on, in each area of its zone.
 - Swinger shutdown: each alarm counts, also one of the tamper. At the limit the zone gives no alarm until disarm, or
   until for 48 h no counted zone of its area tripped while guarding or shut out (limits seen; the rest from memory). A
   shared one counts in the lowest of its areas (common practice, no source). A trip that waits for its pair counts too,
   else a faulty sensor would report itself without end. A door that is shut out gives no entry time, so whoever comes
   home by it sets off at once what lies behind it (common practice, no source).
 - Confirmation: two zones of an area that alarm one after the other within the confirm window send "confirmed alarm",
   once (sequential confirmation, BS 8243, seen second-hand; 30 to 60 min). An entry door that opens ends the window,
   and no alarm confirms or is confirmed while an entry time runs in an area of its zone (one of the allowed ways, seen
   of DD 243). A tamper confirms nothing, nor do two doors of one entry confirm each other: it may be a family that is
   late (common practice, no source). A shared zone's alarm counts in each of its areas. An exit error confirms nothing,
   nor can it be confirmed: it is the slip of somebody who left (common practice, no source). A confirmation that was
   made remains, even if the first of the two alarms is called off afterwards. It was sent with the second alarm, so
   calling that one off calls off the confirmation, too (common practice, no source).
 - Panic at a keypad or a remote: as a panic zone does, of the area; at a keypad by whoever keyed it, by a remote under
   nobody's name (two keys, or a hold: from memory; which keys is the panel's business).
 - Restores: an alarm that was sent is over when its zone closes, a trouble when its device says so. Exit error, recent
   closing, an unverified and a confirmed alarm are never over: they only add to another message.
 - A tamper alarm sounds the zone's own pattern, that of a burglary where the zone has none, nothing where its tamper is
   silent.
 - A message is the panel's decision to send it; whether a line carries it now or later is not said here.
"""

from __future__ import annotations

from zonewright.behaviour.events import (
    WHOLE_PANEL,
    Beeps,
    DisplayLine,
    Message,
    PanelMessage,
    Shown,
    Siren,
    SiteTrouble,
    Sound,
    TimerKind,
    Trouble,
)
from zonewright.behaviour.faults import SettingFault
from zonewright.behaviour.setup import AreaNumber, UserNumber, ZoneSetup
from zonewright.behaviour.state import NOBODY, Draft, Phase, people_of
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber

LAST_TEN_S = 10  # the beeps are faster in the last ten seconds (CP-01, from memory)
SWINGER_QUIET_S = 48 * 3600  # CP-01, from memory
DAY_S = 24 * 3600
NEVER_OVER = frozenset(
    {
        PanelMessage.EXIT_ERROR.value,
        PanelMessage.RECENT_CLOSING.value,
        PanelMessage.UNVERIFIED.value,
        PanelMessage.CONFIRMED.value,
    }
)

ARMED_IN = {Mode.STAY: DisplayLine.ARMED_STAY, Mode.NIGHT: DisplayLine.ARMED_NIGHT, Mode.AWAY: DisplayLine.ARMED_AWAY}

_TROUBLE_NAMES = frozenset(trouble.value for trouble in Trouble)
_LINE_OF = {
    Trouble.TAMPER: DisplayLine.TAMPER,
    Trouble.LOW_BATTERY: DisplayLine.LOW_BATTERY,
    Trouble.MISSING: DisplayLine.MISSING,
}

_LINE_OF_FAULT = {SettingFault.TAMPER: DisplayLine.TAMPER, SettingFault.MISSING: DisplayLine.MISSING}

# An alarm: count it, sound it, show it, report it ---------------------------------------------------------------------


def alarm(
    d: Draft,
    zone: ZoneSetup,
    *,
    tamper: bool = False,
    exit_error: bool = False,
    held: int = 0,
    confirms: bool = True,
) -> None:
    """A zone that isn't shut out gives an alarm; `held` is how long its message waits in any case [s].

    `confirms`: it may confirm another zone's alarm, or be confirmed. It may not after an exit error, nor as a second
    door of one entry.
    """
    held = held_in_entry(d, zone) if held == 0 else held
    count_alarm(d, zone)
    sound(d, zone, _tamper_pattern(zone) if tamper else zone.behaviour.siren)
    if zone.behaviour.shown:
        for number in d.kept(zone.areas):
            area = d.areas[number]
            if zone.number not in area.memory:
                d.change(number, memory=(*area.memory, zone.number))
        d.say(Shown(DisplayLine.ALARM, zone.number))
    name = PanelMessage.TAMPER_ALARM.value if tamper else zone.behaviour.alarm
    if name is None or not hears_of(d, zone, name):
        if tamper and hears_of(d, zone, Trouble.TAMPER.value):
            d.standing |= {(zone.number, Trouble.TAMPER.value)}
            d.say(Message(Trouble.TAMPER.value, zone.home, zone.number))
        return
    tell(d, zone, name, held)
    if exit_error:
        tell(d, zone, PanelMessage.EXIT_ERROR.value, held)
    if zone.behaviour.abort and d.any_runs(TimerKind.RECENT, zone.areas):
        tell(d, zone, PanelMessage.RECENT_CLOSING.value, held)
    if zone.behaviour.abort and not tamper and confirms:
        confirm(d, zone)


def confirm(d: Draft, zone: ZoneSetup) -> None:
    """A second alarm of an area confirms the first one, if it comes from another zone than the first."""
    window = d.setup.settings.confirm_window
    if window == 0 or d.any_phase(zone, Phase.ENTRY):
        return
    confirmed = d.confirms(zone)
    for number in sorted(zone.areas):
        if confirmed:
            d.stop(TimerKind.CONFIRM, number)
        else:
            d.start(TimerKind.CONFIRM, number, window)
            d.change(number, begun_by=zone.number)
    if confirmed:
        tell(d, zone, PanelMessage.CONFIRMED.value)


def held_in_entry(d: Draft, zone: ZoneSetup) -> int:
    """Return how long the message of a zone that trips now is held because somebody is coming in [s]."""
    hold = d.setup.settings.entry_hold
    return hold if hold and zone.behaviour.abort and d.any_phase(zone, Phase.ENTRY) else 0


def _tamper_pattern(zone: ZoneSetup) -> Pattern:
    if zone.behaviour.tamper_silent:
        return Pattern.NONE
    return Pattern.BURGLARY if zone.behaviour.siren is Pattern.NONE else zone.behaviour.siren


def count_alarm(d: Draft, zone: ZoneSetup) -> None:
    """Count the alarm; at the limit the zone is shut out."""
    limit = d.setup.settings.swinger_limit
    if limit == 0 or not zone.behaviour.swinger:
        return
    before = next((count for number, count in d.alarms if number == zone.number), 0)
    d.alarms = (d.alarms - {(zone.number, before)}) | {(zone.number, before + 1)}
    d.start(TimerKind.SWINGER_RESET, zone.home, SWINGER_QUIET_S)


def forget_alarms(d: Draft, area: AreaNumber) -> None:
    """The armed period is over, or its zones were quiet: no zone of the area is shut out."""
    here = {zone.number for zone in d.setup.zones_of(area)}
    d.alarms = frozenset((number, count) for number, count in d.alarms if number not in here)
    homes = {zone.home for number, _ in d.alarms if (zone := d.setup.zone(number)) is not None}
    for number in d.setup.areas:
        if number not in homes:
            d.stop(TimerKind.SWINGER_RESET, number)


def sound(d: Draft, zone: ZoneSetup, pattern: Pattern) -> None:
    """The sounder plays the pattern until it is cut off, unless one of higher precedence plays."""
    if pattern is Pattern.NONE or d.setup.settings.siren_time == 0:
        return
    pattern = as_heard(d, zone.areas, pattern)
    call_for_sounder(d, pattern, zone.number)


def call_for_sounder(d: Draft, pattern: Pattern, number: ZoneNumber) -> None:
    """A zone, or people, call for a pattern, for one siren time from now on; a trouble tone prolongs no other."""
    heard = d.would_be_heard(pattern)
    d.call_sounder(pattern, number)
    if heard or pattern is not Pattern.TROUBLE:
        d.start(TimerKind.SIREN, 0, d.setup.settings.siren_time)
    if heard:
        d.say(Siren(pattern))


def as_heard(d: Draft, areas: frozenset[AreaNumber], pattern: Pattern) -> Pattern:
    """Return the pattern that sounds for an alarm of these areas: inside only, if the outside siren is silent now."""
    if pattern is not Pattern.BURGLARY or not d.setup.settings.inside_when_off:
        return pattern
    return pattern if d.any_in_phase(areas, Phase.SET, Phase.ENTRY) else Pattern.INSIDE


def panic(d: Draft, area: AreaNumber, user: UserNumber) -> None:
    """Somebody calls for help: the panel sounds, shows and sends it at once, in every mode; no window holds it."""
    if d.setup.settings.siren_time > 0:
        call_for_sounder(d, as_heard(d, frozenset({area}), Pattern.BURGLARY), people_of(area))
    d.say(Shown(DisplayLine.PANIC, area=area))
    if d.setup.settings.told:
        d.say(Message(PanelMessage.PANIC.value, area, user=user or None))


def silence(d: Draft, area: AreaNumber) -> None:
    """No zone of this area calls for the sounder any longer, nor do its people."""
    before = d.siren()
    d.end_calls(area)
    if not d.calls_for_sounder():
        d.stop(TimerKind.SIREN, 0)
    if d.siren() is not before:
        d.say(Siren(d.siren()))


def hears_of(d: Draft, zone: ZoneSetup, name: str) -> bool:
    """Return whether the station hears this about a zone."""
    of_trouble = name in _TROUBLE_NAMES or name == zone.behaviour.warning
    told = zone.tells_trouble if of_trouble else zone.tells_alarm
    return d.setup.settings.told and told


def tell(d: Draft, zone: ZoneSetup, name: str, held: int = 0) -> None:
    """Send a message about an alarm, or let it wait: in the zone's abort window, and as long as it is held [s]."""
    wait = max(held, d.setup.settings.abort_window if zone.message_waits else 0)
    if wait == 0:
        send(d, zone, name)
        return
    d.hold(zone.number, name)
    d.start_unless_running(TimerKind.ABORT, zone.home, wait)


def send(d: Draft, zone: ZoneSetup, name: str) -> None:
    """A message about an alarm leaves; if the cause is over already, so does its restore."""
    user = d.areas[zone.home].user if name == PanelMessage.RECENT_CLOSING.value else NOBODY
    d.say(Message(name, zone.home, zone.number, user or None))
    if zone.behaviour.abort:
        for number in sorted(zone.areas):
            d.start(TimerKind.CANCEL, number, d.setup.settings.cancel_window)
    if name in NEVER_OVER:
        return
    d.standing |= {(zone.number, name)}
    stands = d.has(zone, Trouble.TAMPER) if name == PanelMessage.TAMPER_ALARM.value else d.is_open(zone)
    if not stands:
        over(d, zone, name)


def over(d: Draft, zone: ZoneSetup, name: str) -> None:
    """What was reported is over; the station hears it, if restores are sent."""
    if d.stands(zone, name):
        d.standing -= {(zone.number, name)}
        if d.setup.settings.restores and hears_of(d, zone, name):
            d.say(Message(name, zone.home, zone.number, restore=True))


def start_with_last_ten(d: Draft, kind: TimerKind, area: AreaNumber, seconds: int) -> None:
    """Start an exit or entry time, and the timer whose end makes its beeps faster."""
    d.start(kind, area, seconds)
    d.stop(TimerKind.LAST_TEN, area)
    d.start(TimerKind.LAST_TEN, area, seconds - LAST_TEN_S)


def call_off_waiting(d: Draft, area: AreaNumber) -> frozenset[ZoneNumber]:
    """Drop the waiting messages of an area's zones, and return which zones had any."""
    here = {zone.number for zone in d.setup.zones_of(area)}
    kept = tuple((number, name) for number, name in d.waiting if number not in here)
    called_off = frozenset(number for number, _ in d.waiting if number in here)
    d.waiting = kept
    homes = {zone.home for number, _ in kept if (zone := d.setup.zone(number)) is not None}
    for number in d.setup.areas:
        if number not in homes:
            d.stop(TimerKind.ABORT, number)
    return called_off


# Bypasses and troubles ------------------------------------------------------------------------------------------------


def may_be_bypassed(zone: ZoneSetup) -> bool:
    """Return whether a user, or arming, may bypass the zone; never a life-safety one."""
    return zone.behaviour.user_bypass and not zone.behaviour.life_safety


def bypass(d: Draft, zone: ZoneSetup, user: UserNumber) -> None:
    """Bypass a zone; the station hears it if it hears the zone's alarms."""
    d.bypassed |= {zone.number}
    d.say(Shown(DisplayLine.BYPASSED, zone.number))
    if hears_of(d, zone, PanelMessage.BYPASS.value):
        d.say(Message(PanelMessage.BYPASS.value, zone.home, zone.number, user or None))


def take_back(d: Draft, zone: ZoneSetup, user: UserNumber) -> None:
    """End a zone's bypass, if it has one; `step.py` then looks at the zone again."""
    if d.is_bypassed(zone):
        d.bypassed -= {zone.number}
        d.back_in_use.append(zone)
        if hears_of(d, zone, PanelMessage.BYPASS.value) and d.setup.settings.restores:
            d.say(Message(PanelMessage.BYPASS.value, zone.home, zone.number, user or None, restore=True))


def tell_trouble(d: Draft, zone: ZoneSetup, trouble: Trouble) -> None:
    """Sound and show a trouble at the keypad; the station hears it if the zone's troubles are sent."""
    if trouble is not Trouble.TAMPER or not zone.behaviour.tamper_silent:
        d.say(Beeps(Sound.TROUBLE))
    show_troubles(d, zone)
    d.standing |= {(zone.number, trouble.value)}
    if hears_of(d, zone, trouble.value):
        d.say(Message(trouble.value, zone.home, zone.number))


def show_troubles(d: Draft, zone: ZoneSetup) -> None:
    """The display names every trouble that a device has now."""
    for trouble, line in _LINE_OF.items():
        if d.has(zone, trouble):
            d.say(Shown(line, zone.number))


def show_fault(d: Draft, fault: SettingFault, zone: ZoneSetup | None) -> None:
    """The display names one trouble that stops arming."""
    if zone is not None and is_only_quiet(d, fault, zone):
        d.say(Shown(DisplayLine.NOT_HEARD_LATELY, zone.number))
    elif zone is not None:
        d.say(Shown(_LINE_OF_FAULT[fault], zone.number))
    else:
        d.say(*(Shown(trouble.line) for trouble in SiteTrouble if trouble.fault is fault and trouble in d.site_told))


def is_only_quiet(d: Draft, fault: SettingFault, zone: ZoneSetup) -> bool:
    """Return whether a device only wasn't heard lately, which is no trouble yet."""
    return fault is SettingFault.MISSING and not d.has(zone, Trouble.MISSING)


def show_panel_troubles(d: Draft) -> None:
    """The display names every trouble of the panel itself that was reported and isn't over."""
    for trouble in SiteTrouble:
        if trouble in d.site_told:
            d.say(Shown(trouble.line))


def wait_for_sign_of(d: Draft, zone: ZoneSetup) -> None:
    """Start a device's supervision again."""
    if zone.supervise and zone.behaviour.in_use:
        d.start(TimerKind.MISSING, zone.number, d.setup.supervision_s(zone))
        d.start(TimerKind.HEARD, zone.number, d.setup.settings.heard_before_setting)


def tell_of_setting(
    d: Draft, area: AreaNumber, by: ZoneSetup | None, name: PanelMessage, name_by_switch: PanelMessage, user: UserNumber
) -> None:
    """The station hears of arming or disarming, if that is sent: by whom, or by which switch."""
    if not (d.setup.settings.told and d.setup.settings.openings):
        return
    if by is None:
        d.say(Message(name.value, area, user=user))
    else:
        d.say(Message(name_by_switch.value, area, by.number))


def tell_of_panel(d: Draft, name: str, *, restore: bool = False) -> None:
    """The station hears this about the panel itself, if that is sent."""
    settings = d.setup.settings
    if settings.told and settings.troubles and (settings.restores or not restore):
        d.say(Message(name, WHOLE_PANEL, restore=restore))

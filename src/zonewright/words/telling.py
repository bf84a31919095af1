"""Events and outputs in plain words.

Rules of this file:
1. It decides nothing and leaves nothing out: one text for each record.
2. Times under ten minutes stand in seconds, longer ones in hours and minutes.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from itertools import groupby

from zonewright.behaviour.effects import SWINGER_QUIET_S
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    CheckIn,
    Chime,
    ChimeSwitch,
    Disarm,
    Event,
    Expires,
    FallsSilent,
    InstallerMode,
    Message,
    Output,
    Panic,
    PowerReturns,
    QuickExit,
    Shown,
    Siren,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Spoken,
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
from zonewright.behaviour.faults import Right
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.panel.behaviours import ARMED, Mode, Pattern
from zonewright.site.record import ZoneNumber, span
from zonewright.words.panel_troubles import words_of

# Played by sirens; the rest by the keypad.
SIRENS = frozenset({Pattern.FIRE, Pattern.GAS, Pattern.BURGLARY, Pattern.INSIDE})

_SOUNDER = {
    Pattern.FIRE: "fire siren",
    Pattern.GAS: "gas siren",
    Pattern.BURGLARY: "siren",
    Pattern.INSIDE: "siren inside",
    Pattern.MEDICAL: "medical tone",
    Pattern.TROUBLE: "trouble tone",
    Pattern.NONE: "silence",
}

UNCOUNTED = f"for {span(SWINGER_QUIET_S)} no counted zone of its area trips while guarding or shut out"  # counts end

ENDS = {
    TimerKind.EXIT: "exit time ends",
    TimerKind.LAST_TEN: "last ten seconds begin",
    TimerKind.ENTRY: "entry time ends",
    TimerKind.ABORT: "abort window ends",
    TimerKind.CANCEL: "cancel window ends",
    TimerKind.RECENT: "no longer armed just now",
    TimerKind.SIREN: "siren time ends",
    TimerKind.SWINGER_RESET: "48 hours of quiet",
    TimerKind.MISSING: "not heard for the supervision window",
    TimerKind.HEARD: "not heard lately enough for setting",
    TimerKind.BATTERY: "time to tell a low battery",
    TimerKind.PERSIST: "it has lasted",
    TimerKind.CONFIRM: "no second zone confirmed it",
    TimerKind.CROSS: "no second trip came",
    TimerKind.VERIFY_RESET: "detector has settled",
    TimerKind.VERIFY: "verification window ends",
    TimerKind.WARM_UP: "sensors have settled",
    **{trouble.kind: words_of(trouble).stands for trouble in SiteTrouble},
}

TIMERS = {  # by the words of the setting that says how long each takes, where there is one
    TimerKind.EXIT: "exit time",
    TimerKind.LAST_TEN: "last ten seconds",
    TimerKind.ENTRY: "entry time",
    TimerKind.ABORT: "abort window",
    TimerKind.CANCEL: "cancel window",
    TimerKind.RECENT: "time just after setting",
    TimerKind.SIREN: "siren time",
    TimerKind.SWINGER_RESET: "48 hours of quiet",
    TimerKind.MISSING: "supervision window",
    TimerKind.HEARD: "heard before setting",
    TimerKind.BATTERY: "low battery wait",
    TimerKind.PERSIST: "environment wait",
    TimerKind.CONFIRM: "confirm window",
    TimerKind.CROSS: "cross window",
    TimerKind.VERIFY_RESET: "fire reset",
    TimerKind.VERIFY: "fire verify window",
    TimerKind.WARM_UP: "warm up",
    **{trouble.kind: f"{trouble.kind.value.replace('-', ' ')} wait" for trouble in SiteTrouble},
}

BEGINS = {
    Trouble.TAMPER: "cover off",
    Trouble.LOW_BATTERY: "battery low",
    Trouble.MISSING: "out of contact",
}

OVER = {
    Trouble.TAMPER: "cover on",
    Trouble.LOW_BATTERY: "battery good",
    Trouble.MISSING: "heard again",
}


_RIGHT = {Right.USER: "a user", Right.INSTALLER: "the installer", Right.NOBODY: "nobody"}


def is_meant(kind: str, message: str) -> bool:
    """Return whether a kind of message, as an owner says it, means this message: "trouble" means each of them."""
    return kind in message or (kind == "trouble" and message in {trouble.value for trouble in Trouble})


def count_of(number: int, thing: str) -> str:
    """Return so many of a thing whose plural takes an s: 1 test, 2 tests, 1,155 slips."""
    return f"{number:,} {thing}{'' if number == 1 else 's'}"


def listed(words: Sequence[str]) -> str:
    """Return `a`, `a and b`, `a, b and c`."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def each_of(things: Sequence[str]) -> str:
    """Return things of which something is said one by one: "each of hall and lounge"."""
    return things[0] if len(things) == 1 else f"each of {listed(things)}"


def ranges(numbers: Iterable[int]) -> str:
    """Return numbers in few words: 3–6, 17, 35–38."""
    parts = []
    for _, group in groupby(enumerate(sorted(numbers)), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        parts += [f"{run[0]}–{run[-1]}"] if len(run) > 2 else [str(number) for number in run]
    return ", ".join(parts)


def in_modes(modes: Collection[Mode]) -> str:
    """Return when, for a person: in every mode, when armed, when off, or armed stay or night."""
    chosen = frozenset(modes)
    if chosen == frozenset(Mode):
        return "in every mode"
    if chosen == ARMED:
        return "when armed"
    armed = "armed " + " or ".join(mode.value for mode in Mode if mode in chosen & ARMED)
    if Mode.DISARMED not in chosen:
        return f"when {armed}"
    return f"when off, or {armed}" if chosen & ARMED else "when off"


def nobody_can_have(area: str, modes: Collection[Mode]) -> str:
    """Return that nobody can set an area, called so, in any of these modes."""
    return f"nobody on this site can have {area} {in_modes(modes).removeprefix('when ')}"


def in_modes_of(zone: ZoneSetup, modes: Collection[Mode]) -> str:
    """Return in which modes a zone does something; a shared zone needs all its areas in them."""
    text = in_modes(modes)
    return text.replace("when armed", "when all its areas are armed") if len(zone.areas) > 1 else text


def while_they_are(areas: Collection[AreaNumber], modes: Collection[Mode]) -> str:
    """Return that some areas are set in one of these modes, as a clause that begins with while."""
    names = listed([f"area {area}" for area in sorted(areas)])
    return f"while {names} {'is' if len(areas) == 1 else 'are'} {in_modes(modes).removeprefix('when ')}"


def share_a_cover(setup: Setup, zones: Iterable[ZoneNumber]) -> str:
    """Return what becomes of the cover, the cell and the radio that several zones share, in a sentence."""
    names = listed([f"zone {number} {label(setup, number)}" for number in zones])
    return f"{names[:1].upper()}{names[1:]} share one cover, cell and radio: what each line says happens together."


def sounder(pattern: Pattern) -> str:
    """Return what plays a pattern."""
    return _SOUNDER[pattern]


def label(setup: Setup, number: ZoneNumber | None) -> str:
    """Return a zone's label, or its number where the panel has no such zone."""
    zone = setup.zone(number) if number is not None else None
    return zone.label if zone is not None else f"zone {number}"


def output_in_words(setup: Setup, output: Output) -> str:
    """Return what the panel does, as one clause."""
    match output:
        case Siren():
            return "it is silent" if output.pattern is Pattern.NONE else f"{sounder(output.pattern)} sounds"
        case Chime():
            return f"chime: {output.kind}"
        case Spoken():
            return f'panel says "{label(setup, output.zone)}"'
        case Beeps():
            return output.sound.value
        case Shown():
            about = f"{label(setup, output.zone)} " if output.zone is not None else ""
            if output.area is not None and len(setup.areas) > 1:
                about += f"area {output.area} "
            return f'display: "{about}{output.line.value}"'
        case Message():
            about = f", {label(setup, output.zone)}" if output.zone is not None else ""
            by = _by(output.user)
            return f'message "{output.name}"{" is over" if output.restore else ""}{about}{by}'


def timer_in_words(setup: Setup, timer: Timer) -> str:
    """Return a timer, and whose it is where it might be another's: "entry time of area 1"."""
    name = TIMERS[timer.kind]
    if timer.kind.of_panel:
        return name
    if timer.kind.of_zone:
        return f"{name} of {label(setup, ZoneNumber(timer.number))}"
    return f"{name} of area {timer.number}" if len(setup.areas) > 1 else name


def event_in_words(setup: Setup, event: Event) -> str:
    """Return what happens, as one clause."""
    match event:
        case ZoneOpens():
            return f"{label(setup, event.zone)} opens"
        case ZoneCloses():
            return f"{label(setup, event.zone)} closes"
        case FallsSilent():
            return f"{label(setup, event.zone)} falls silent"
        case CheckIn():
            return f"{label(setup, event.zone)} checks in"
        case TroubleBegins():
            return f"{label(setup, event.zone)}: {BEGINS[event.trouble]}"
        case TroubleEnds():
            return f"{label(setup, event.zone)}: {OVER[event.trouble]}"
        case Arm():
            silently = ", silent exit" if event.silent else ""
            over = f", over faults by right of {_RIGHT[event.over]}" if event.over is not None else ""
            by = _by(event.user)
            return f"area {event.area} armed {event.mode.value} by {event.means.value}{silently}{over}{by}"
        case QuickExit():
            return f"quick exit from area {event.area}, user {event.user}"
        case Disarm():
            return f"area {event.area} disarmed{_by(event.user)}"
        case Panic():
            return f"panic, area {event.area}{_by(event.user)}"
        case Bypass():
            return f"{label(setup, event.zone)} bypassed, user {event.user}"
        case Unbypass():
            return f"{label(setup, event.zone)} taken back into use, user {event.user}"
        case ChimeSwitch():
            return f"chime switched {'on' if event.on else 'off'}"
        case SiteTroubleBegins():
            return words_of(event.trouble).begins
        case SiteTroubleEnds():
            return words_of(event.trouble).ends
        case PowerReturns():
            return "power returns after a total loss"
        case InstallerMode():
            return f"installer mode {'begins' if event.on else 'ends'}"
        case Expires():
            return _whose(setup, event.timer) + ENDS[event.timer.kind]
        case ZoneTrips():
            return f"{label(setup, event.zone)} trips"


def _whose(setup: Setup, timer: Timer) -> str:
    """Return whose timer it is, where it might be another's."""
    if timer.kind.of_zone:
        return f"{label(setup, ZoneNumber(timer.number))}: "
    return f"area {timer.number}: " if len(setup.areas) > 1 and not timer.kind.of_panel else ""


def _by(user: UserNumber | None) -> str:
    return f", user {user}" if user else ""

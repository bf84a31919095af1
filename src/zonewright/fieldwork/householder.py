"""What a householder may key and try with a helper on the telephone, and how: found on the panel model.

Rules of this file:
1. A device that calls for help, or that people's lives depend on, is nothing for a layman: it says why.
2. A test is one that can fail: something must be heard. Where that isn't so while all is disarmed, it is armed, set
   off, and the siren must sound.
3. Short sentences for somebody who has never done it. Where nobody is told, no word is said of a station.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Chime,
    Disarm,
    DisplayLine,
    Output,
    Shown,
    Siren,
    Sound,
    Spoken,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import Setup, UserNumber, ZoneSetup
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.words.telling import SIRENS, label, listed, sounder
from zonewright.words.tracks import NUMBERS, Names, called

LEAVING_S = 5  # when somebody leaves by a door, after arming
SLACK_S = 5  # longer than the exit time, so that nobody counts too fast
QUIET = "Press your own code. It is quiet again."
TELL_ALL = ("Tell everybody in the house first.",)
ARM_WORDS = {Mode.STAY: "as when you stay at home", Mode.NIGHT: "as at night", Mode.AWAY: "as when you go out"}


@dataclass(frozen=True, slots=True)
class HomeTrial:
    """How a householder tries a device: what comes before the first key, the test, and what is done once it is well."""

    first: tuple[str, ...]
    test: tuple[str, ...]
    last: tuple[str, ...] = ()


def not_for_a_layman(zone: ZoneSetup) -> str:
    """Return why a householder shouldn't key or try a zone's device; empty if they may."""
    if zone.protects_life:
        return "people's lives depend on it: it is keyed and tried by licensed people, as local code says"
    if zone.behaviour.calls_at_once:
        return "set off once, at any time, it calls for help, and people would drive for nothing"
    return ""


def trial(setup: Setup, zone: ZoneSetup, set_off: str, notice: str, names: Names = NUMBERS) -> HomeTrial | None:
    """Return how a zone is tried; None where nothing can be heard of it in any mode.

    `set_off` says how its device is set off, `notice` what is heard and seen of it while all is disarmed. What warns
    alike then is not tried armed.
    """
    clockwork = Clockwork(setup)
    outputs = clockwork.give(ZoneOpens(zone.number)).outputs
    chimes, warned = any(map(_heard, outputs)), set(filter(_warns, outputs))
    off = (f"{set_off} You must notice this: {notice}.", *_made_quiet(clockwork, zone)) if chimes else ()
    warn = TELL_ALL if any(map(_loud, warned)) else ()
    for mode in (Mode.STAY, Mode.NIGHT, Mode.AWAY):
        outputs = tuple(_armed_then(setup, zone, mode))
        if {*filter(_warns, outputs)} - warned:  # also of what chimes: a chime doesn't show how it alarms
            armed = _armed(setup, zone, mode, set_off, outputs, names)
            return replace(armed, test=(*off, *armed.test))
    return HomeTrial((*_on_test(setup), *warn), off, _off_test(setup)) if chimes else None


def why_unheard(setup: Setup, zone: ZoneSetup) -> str:
    """Return why nothing can be heard of a zone by itself."""
    if zone.crosses:
        others = " or ".join(label(setup, number) for number in sorted(zone.crosses))
        return f"by itself it gives no alarm, only with {others}: that is too much for one who has never done it"
    return "nothing can be heard of it in any mode, so a householder couldn't tell whether it works"


def _made_quiet(clockwork: Clockwork, zone: ZoneSetup) -> tuple[str, ...]:
    """Return how it is made quiet again where a code does so."""
    done = [each for area in sorted(zone.areas) for each in clockwork.give(Disarm(area, UserNumber(1))).outputs]
    return (QUIET,) if Siren(Pattern.NONE) in done else ()


def _armed(
    setup: Setup, zone: ZoneSetup, mode: Mode, set_off: str, outputs: tuple[Output, ...], names: Names
) -> HomeTrial:
    sirens = [each for each in outputs if isinstance(each, Siren) and _warns(each)]
    if any(isinstance(each, Beeps) and each.sound is Sound.ENTRY for each in outputs):
        must = "You must hear the entry beeps."
    elif any(map(_loud, sirens)):
        must = "You must hear the siren. It is loud."
    else:
        must = f"You must hear the {sounder(sirens[0].pattern)}."
    if Shown(DisplayLine.ALARM, zone.number) in outputs:  # another one nearby may have been the first
        must += f' You must see "{zone.label} {DisplayLine.ALARM.value}".'
    doors = [door.label for door in _doors(setup, zone)]
    shut = f"Shut {'it' if len(doors) == 1 else 'them'} again. Stay inside."
    out = (f"Open the {' and the '.join(doors)}. {shut}",) if mode is Mode.AWAY and doors else ()
    areas = [called(f"area {area}", names) for area in sorted(zone.areas)]
    which = listed(areas) if len(setup.areas) > 1 else "it"
    return HomeTrial(
        (*_on_test(setup), *TELL_ALL),
        (
            f"Arm {which} {ARM_WORDS[mode]}.",
            *out,
            f"Wait {setup.settings.exit_time + SLACK_S} seconds. Nobody moves.",
            f"{set_off} {must}",
            QUIET,
        ),
        _off_test(setup),
    )


def _armed_then(setup: Setup, zone: ZoneSetup, mode: Mode) -> list[Output]:
    clockwork = Clockwork(setup)
    for area in sorted(zone.areas):
        clockwork.give(Arm(area, mode, UserNumber(1)))
    if mode is Mode.AWAY:
        clockwork.advance(LEAVING_S)
        for door in _doors(setup, zone):
            clockwork.give(ZoneTrips(door.number))
    clockwork.rest()
    return list(clockwork.give(ZoneOpens(zone.number)).outputs)


def _doors(setup: Setup, zone: ZoneSetup) -> list[ZoneSetup]:
    """Return a door out of each area of a zone."""
    first = (doors[0] for area in sorted(zone.areas) if (doors := setup.exit_doors(area)))
    return list({door.number: door for door in first}.values())


def _on_test(setup: Setup) -> tuple[str, ...]:
    """A wrong key may make a hold-up button of any zone, so the account is on test before the first one."""
    return ("I put the alarm company on test first.",) if setup.settings.told else ()


def _off_test(setup: Setup) -> tuple[str, ...]:
    return ("I take the alarm company off test.",) if setup.settings.told else ()


def _warns(output: Output) -> bool:
    """Return whether it is a siren, or beeps for somebody on the way in."""
    if isinstance(output, Siren):
        return output.pattern is not Pattern.NONE
    return isinstance(output, Beeps) and output.sound is Sound.ENTRY


def _loud(output: Output) -> bool:
    """Return whether the siren plays it."""
    return isinstance(output, Siren) and output.pattern in SIRENS


def _heard(output: Output) -> bool:
    """Return whether somebody at the keypad hears it."""
    if isinstance(output, Siren):
        return output.pattern is not Pattern.NONE
    return isinstance(output, Chime | Spoken) or (isinstance(output, Beeps) and output.sound is not Sound.REFUSED)

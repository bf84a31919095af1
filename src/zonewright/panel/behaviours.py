"""What a zone does when it trips, as a record of attributes.

Rules of this file:
1. The panel model reads the attributes, never the name. A profile may change any attribute for its own panel.
2. The names are plain trade words; the table is in the order of their messages' codes.
3. Source of the table: common practice, no source, except that fire is exempt from the abort window (ANSI/SIA CP-01,
   seen second-hand) and comes before every other signal (NFPA 72-2007 ch. 11, seen second-hand). Panels differ: a
   profile's own record wins.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import Literal

from zonewright.findings import nearest
from zonewright.site.must import ModeWord
from zonewright.site.record import Record, YesNo


class Mode(Enum):
    """How an area is armed."""

    __hash__ = object.__hash__  # each member is one object; the usual hash of its name is slow

    DISARMED = "off"
    STAY = "stay"
    NIGHT = "night"
    AWAY = "away"


class Timing(Enum):
    """When a trip becomes an alarm."""

    INSTANT = "instant"
    DELAYED = "delayed"  # starts the entry time
    ON_ROUTE = "on route"  # on the way in: free while an entry time runs, else instant


class Pattern(Enum):
    """What the sounder plays; a pattern gives way to any before it in this list (common practice, fire first)."""

    __hash__ = object.__hash__  # each member is one object; the usual hash of its name is slow

    FIRE = "fire"
    GAS = "carbon monoxide"
    BURGLARY = "burglary"
    INSIDE = "inside"  # as a burglary, only by the sounders inside
    MEDICAL = "medical"
    TROUBLE = "trouble"
    NONE = "none"


ARMED = frozenset({Mode.STAY, Mode.NIGHT, Mode.AWAY})
ALWAYS = frozenset(Mode)
AWAY_ONLY = frozenset({Mode.AWAY})


def modes_meant(word: ModeWord | None) -> frozenset[Mode]:
    """Return the modes that a statement of the site file means; without a word it means all of them."""
    if word is None:
        return ALWAYS
    return ARMED if word == "armed" else frozenset({Mode(word)})


RENAMED = {"interior-follower": "on-route"}  # as older files write a behaviour -> its name now


def likely_names(written: str, offered: Iterable[str]) -> tuple[str, ...]:
    """Return what was probably meant by a name that isn't among those offered: its new name, or else the nearest."""
    names = tuple(offered)
    now = RENAMED.get(written)
    return (now,) if now in names else nearest(written, names)


class Behaviour(Record):
    """One behaviour. A trip is an opening, a movement, a push, smoke: whatever the device senses."""

    live: frozenset[Mode]  # modes in which a trip is an alarm; all areas of a shared zone must be in one of them
    timing: Timing = Timing.INSTANT
    in_exit: Literal["free", "live"] = "live"  # what a trip does while the exit time runs
    exit_door: YesNo = False  # opening it counts as leaving and restarts the exit time; left open, it is an exit error
    completes_exit: YesNo = False  # its closing, or a push at it, ends the exit time: the area is armed
    siren: Pattern = Pattern.NONE
    shown: YesNo = True  # whether the keypad shows the alarm
    chimes: frozenset[Mode] = frozenset({Mode.DISARMED})  # modes in which a trip that is no alarm sounds its chime
    alarm: str | None = None  # name of the message a trip sends; None: a trip never sends
    warns: frozenset[Mode] = frozenset()  # modes in which a trip that is no alarm sounds the trouble tone
    warning: str | None = None  # name of the message of such a trip, if the zone's troubles are sent
    arms: Mode | None = None  # a switch: the mode that it arms its areas in
    momentary: YesNo = False  # a switch: each trip arms or disarms; else its opening arms and its closing disarms
    persists: YesNo = False  # whether a trip must last for the panel's wait to count
    abort: YesNo = False  # whether the abort window may hold its message
    user_bypass: YesNo = True
    stops_arming: YesNo = True  # whether it stops arming while it is open, unless the panel forces arming
    swinger: YesNo = False  # whether its alarms are counted and shut it out
    cross: YesNo = False  # whether it may be paired with another zone that must also trip
    verify: YesNo = False  # whether the panel's fire verification, if it has one, covers its wired detectors
    tamper_alarm: frozenset[Mode] = frozenset()  # modes in which its tamper is an alarm; a trouble in the others
    tamper_silent: YesNo = False  # whether its tamper is shown and sent without a sound
    life_safety: YesNo = False  # fire, carbon monoxide, gas: always live, never bypassed by a user, never shut out
    in_use: YesNo = True  # whether the panel listens to its device at all
    says: str = ""  # what it does, for a person

    @property
    def protects_life(self) -> bool:
        """Return whether it is life safety: it says so, or its siren pattern does."""
        return self.life_safety or self.siren in (Pattern.FIRE, Pattern.GAS)

    @property
    def calls_at_once(self) -> bool:
        """Return whether a single trip, at any time, sends people: nothing holds its message back."""
        alarms = self.live == ALWAYS and self.alarm is not None and self.siren is not Pattern.TROUBLE
        return alarms and not self.abort


SHIPPED: dict[str, Behaviour] = {
    "medical": Behaviour(
        live=ALWAYS, siren=Pattern.MEDICAL, alarm="medical alarm", user_bypass=False,
        stops_arming=False, says="calls for medical help in every mode",
    ),
    "fire": Behaviour(
        live=ALWAYS, siren=Pattern.FIRE, alarm="fire alarm", user_bypass=False,
        stops_arming=False, verify=True, life_safety=True, says="fire alarm at once in every mode",
    ),
    "fire-trouble": Behaviour(
        live=ALWAYS, siren=Pattern.TROUBLE, alarm="fire supervisory", user_bypass=False,
        stops_arming=False, life_safety=True,
        says="trouble tone and message in every mode: something of the fire system isn't as it should be",
    ),
    "panic-audible": Behaviour(
        live=ALWAYS, siren=Pattern.BURGLARY, alarm="panic alarm", user_bypass=False,
        stops_arming=False, says="siren and message at once in every mode",
    ),
    "holdup": Behaviour(
        live=ALWAYS, shown=False, alarm="hold-up alarm", user_bypass=False,
        stops_arming=False, tamper_silent=True, says="message at once in every mode; nothing seen or heard",
    ),
    "perimeter": Behaviour(
        live=ARMED, siren=Pattern.BURGLARY, alarm="perimeter alarm", abort=True, swinger=True, cross=True,
        tamper_alarm=ARMED, says="alarm at once when armed",
    ),
    "interior": Behaviour(
        live=AWAY_ONLY, in_exit="free", siren=Pattern.BURGLARY, alarm="interior alarm", abort=True, swinger=True,
        cross=True, tamper_alarm=ARMED, says="alarm at once when armed away",
    ),
    "on-route": Behaviour(
        live=AWAY_ONLY, timing=Timing.ON_ROUTE, in_exit="free", siren=Pattern.BURGLARY, alarm="interior alarm",
        abort=True, swinger=True, cross=True, tamper_alarm=ARMED,
        says="alarm at once when armed away, but free while an entry time runs",
    ),
    "24-hour-audible": Behaviour(
        live=ALWAYS, siren=Pattern.BURGLARY, alarm="24-hour alarm", abort=True, user_bypass=False, swinger=True,
        tamper_alarm=ALWAYS, says="alarm at once in every mode",
    ),
    "24-hour-silent": Behaviour(
        live=ALWAYS, alarm="24-hour alarm", user_bypass=False,
        tamper_silent=True, says="message at once in every mode; shown, no siren",
    ),
    "entry-door": Behaviour(
        live=ARMED, timing=Timing.DELAYED, in_exit="free", exit_door=True, siren=Pattern.BURGLARY,
        alarm="entry door alarm", abort=True, swinger=True, tamper_alarm=ARMED,
        says="starts the entry time when armed; alarm if nobody disarms in it",
    ),
    "final-door": Behaviour(
        live=ARMED, timing=Timing.DELAYED, in_exit="free", exit_door=True, completes_exit=True,
        siren=Pattern.BURGLARY, alarm="entry door alarm", abort=True, swinger=True, tamper_alarm=ARMED,
        says="an entry door whose closing, on the way out, completes setting",
    ),
    "day-night": Behaviour(
        live=ARMED, siren=Pattern.BURGLARY, alarm="day-night alarm", warns=frozenset({Mode.DISARMED}),
        warning="day-night trouble", abort=True, swinger=True, tamper_alarm=ARMED,
        says="alarm at once when armed; trouble tone when off",
    ),
    "gas": Behaviour(
        live=ALWAYS, siren=Pattern.GAS, alarm="gas alarm", user_bypass=False,
        stops_arming=False, life_safety=True, says="gas alarm at once in every mode",
    ),
    "environment": Behaviour(
        live=ALWAYS, siren=Pattern.TROUBLE, alarm="environment alarm", persists=True, swinger=True,
        stops_arming=False, says="trouble tone and message in every mode, never the siren",
    ),
    "carbon-monoxide": Behaviour(
        live=ALWAYS, siren=Pattern.GAS, alarm="carbon monoxide alarm", user_bypass=False,
        stops_arming=False, life_safety=True, says="carbon monoxide alarm at once in every mode",
    ),
    "notice": Behaviour(
        live=ALWAYS, shown=False, chimes=ALWAYS, alarm=None, stops_arming=False,
        says="announces here only: never the siren, never a message when it trips",
    ),
    "arm-switch": Behaviour(
        live=frozenset(), arms=Mode.AWAY, user_bypass=False, stops_arming=False, tamper_alarm=ARMED,
        says="turned on it arms its areas away, turned off it disarms them",
    ),
    "unused": Behaviour(
        live=frozenset(), shown=False, chimes=frozenset(), user_bypass=False, stops_arming=False, in_use=False,
        says="nothing at all: a trip of it is a mistake in the programming",
    ),
}  # fmt: skip

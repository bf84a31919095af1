"""`step` tried out: a specimen panel in many situations, and what each event does there.

Rules of this file:
1. The specimen has every behaviour once and every feature on; what it does is found by `step`, never said here.
2. A situation is a short script. The page and the chart of the specification are made of these trials and of nothing
   else; a test walks the specimen at random and finds nothing that they lack.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    CheckIn,
    ChimeSwitch,
    DeviceEvent,
    Disarm,
    Event,
    Expires,
    InstallerMode,
    Means,
    Panic,
    PowerReturns,
    QuickExit,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
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
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, UserNumber, ZoneSetup
from zonewright.behaviour.state import Control, Response
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import SHIPPED, Mode, Timing
from zonewright.site.record import ZoneNumber
from zonewright.words.panel_troubles import words_of
from zonewright.words.telling import BEGINS, ENDS, OVER

HOUSE = AreaNumber(1)
USER, MADE_TO = UserNumber(1), UserNumber(2)  # the second is a duress slot

SETTINGS = Settings(
    exit_time=60, exit_restart=True, exit_error=True, unvacated_stay=True, abort_window=30, cancel_window=300,
    swinger_limit=2, siren_time=240, supervision_window=43_200, life_safety_supervision_window=14_400,
    low_battery_wait=600, recent_closing=True, cross_window=60, fire_reset=12, fire_verify_window=90,
    environment_wait=60, confirm_window=1_800, entry_hold=30, entry_hold_least=120, warm_up=60, mains_wait=900,
    panel_battery_wait=60, siren_circuit_wait=60, auxiliary_wait=60, line_wait=120, jamming_wait=30,
    heard_before_setting=3_600,
    at_setting=frozenset(
        {(SettingFault.TAMPER, Right.USER), (SettingFault.MISSING, Right.INSTALLER), (SettingFault.LINE, Right.NOBODY)}
    ),
    told=True, restores=True, openings=True, troubles=True,
)  # fmt: skip

SUPERVISED = ("perimeter", "fire")  # more would only be more of the same
PAIRED, OTHER_PAIRED, WIRED_FIRE, PUSHED_SWITCH = "paired interior", "its pair", "wired fire", "pushed switch"


@cache
def specimen() -> Setup:
    """Return a panel with a zone of every shipped behaviour, then a pair, a wired detector and a pushed switch."""
    labels = {name: name for name in SHIPPED}
    labels |= {PAIRED: "interior", OTHER_PAIRED: "interior", WIRED_FIRE: "fire", PUSHED_SWITCH: "arm-switch"}
    zones = {label: _zone(ZoneNumber(n), label, labels[label]) for n, label in enumerate(labels, start=1)}
    one, other, switch = zones[PAIRED], zones[OTHER_PAIRED], zones[PUSHED_SWITCH]
    zones[PAIRED] = replace(one, crosses=frozenset({other.number}))
    zones[OTHER_PAIRED] = replace(other, crosses=frozenset({one.number}))
    zones[WIRED_FIRE] = replace(zones[WIRED_FIRE], verifies=True)
    zones[PUSHED_SWITCH] = replace(switch, behaviour=switch.behaviour.model_copy(update={"momentary": True}))
    return Setup(tuple(zones.values()), (HOUSE,), SETTINGS, frozenset({MADE_TO}))


def _zone(number: ZoneNumber, label: str, behaviour: str) -> ZoneSetup:
    record = SHIPPED[behaviour]
    return ZoneSetup(
        number=number, label=label, areas=frozenset({HOUSE}), behaviour=record,
        entry_s=30 if record.timing is Timing.DELAYED else 0, chime="two notes", tells_alarm=True, tells_trouble=True,
        supervise=label in SUPERVISED, message_waits=record.abort,
    )  # fmt: skip


def zone(label: str) -> ZoneNumber:
    """Return the number of the specimen's zone of this label; raises StopIteration if there is none."""
    return next(each.number for each in specimen().zones if each.label == label)


# Situations -----------------------------------------------------------------------------------------------------------

OFF, LEAVING, STAY, AWAY, COMING_IN = "off", "exit time", "armed stay", "armed away", "entry time"
COLUMNS = (OFF, LEAVING, STAY, AWAY, COMING_IN)

Script = tuple[Event | TimerKind, ...]  # a kind of timer: it is let run out


@cache
def situations() -> dict[str, Control]:
    """Return the specimen's states, those of `COLUMNS` first; each is reached by its script."""
    leave = Arm(HOUSE, Mode.AWAY, USER)
    stay: Script = (Arm(HOUSE, Mode.STAY, USER, Means.REMOTE), TimerKind.EXIT, TimerKind.RECENT)
    away: Script = (Arm(HOUSE, Mode.AWAY, USER, Means.REMOTE), TimerKind.EXIT, TimerKind.RECENT)
    door, window, smoke, wired = zone("entry-door"), zone("perimeter"), zone("fire"), zone(WIRED_FIRE)
    flat = TroubleBegins(window, Trouble.LOW_BATTERY)
    scripts: dict[str, Script] = {
        OFF: (),
        LEAVING: (leave,),
        STAY: stay,
        AWAY: away,
        COMING_IN: (*away, ZoneTrips(door)),
        "armed night": (Arm(HOUSE, Mode.NIGHT, USER, Means.REMOTE), TimerKind.EXIT, TimerKind.RECENT),
        "armed just now": (Arm(HOUSE, Mode.AWAY, USER, Means.REMOTE), TimerKind.EXIT),
        "door opened and shut in the exit time": (leave, ZoneTrips(door)),
        "door open in the exit time": (leave, ZoneOpens(door)),
        "inside open in the exit time": (leave, ZoneOpens(zone("interior"))),
        "exit error": (leave, ZoneOpens(door), TimerKind.EXIT),
        "final door open in the exit time": (leave, ZoneOpens(zone("final-door"))),
        "silent exit": (Arm(HOUSE, Mode.AWAY, USER, silent=True),),
        "last ten seconds of the exit": (leave, TimerKind.LAST_TEN),
        "alarm, message waits": (*away, ZoneOpens(window)),
        "alarm just after arming": (Arm(HOUSE, Mode.STAY, USER, Means.REMOTE), TimerKind.EXIT, ZoneOpens(window)),
        "alarm, message sent": (*away, ZoneOpens(window), TimerKind.ABORT),
        "shut out": (*away, ZoneTrips(window), ZoneTrips(window), TimerKind.SIREN),
        "tamper alarm, message waits": (*away, TroubleBegins(window, Trouble.TAMPER)),
        "tamper alarm, put right": (
            *away,
            TroubleBegins(window, Trouble.TAMPER),
            TroubleEnds(window, Trouble.TAMPER),
        ),
        "tamper alarm, message sent": (*away, TroubleBegins(window, Trouble.TAMPER), TimerKind.ABORT),
        "overstayed, message sent": (*away, ZoneOpens(door), TimerKind.ENTRY, TimerKind.ABORT),
        "cover off": (TroubleBegins(window, Trouble.TAMPER),),
        "battery low": (flat,),
        "battery low and good again": (flat, TroubleEnds(window, Trouble.LOW_BATTERY)),
        "battery low, told": (flat, TimerKind.BATTERY),
        "out of contact": (TroubleBegins(window, Trouble.MISSING),),
        "out of contact for long": (TimerKind.HEARD, TimerKind.MISSING),
        "not heard lately": (TimerKind.HEARD,),
        "fire": (ZoneOpens(smoke),),
        "fire, armed": (*away, ZoneOpens(smoke)),
        "24-hour zone, message waits": (ZoneOpens(zone("24-hour-audible")),),
        "warned": (ZoneOpens(zone("day-night")),),
        "water": (ZoneOpens(zone("environment")),),
        "water, told": (ZoneOpens(zone("environment")), TimerKind.PERSIST),
        "detector is reset": (ZoneTrips(wired),),
        "detector stands in alarm": (ZoneOpens(wired),),
        "detector has settled": (ZoneTrips(wired), TimerKind.VERIFY_RESET),
        "one of a pair": (*away, ZoneTrips(zone(PAIRED))),
        "panic": (Panic(HOUSE, USER),),
        "panic, armed": (*away, Panic(HOUSE, USER)),
        "alarm, may be confirmed": (*away, ZoneTrips(window), TimerKind.ABORT),
        "confirmed, message waits": (*away, ZoneTrips(window), TimerKind.ABORT, ZoneTrips(zone("interior"))),
        "bypassed": (Bypass(window, USER),),
        "bypassed, armed": (Bypass(window, USER), *away),
        "window open": (ZoneOpens(window),),
        "switch on": (ZoneOpens(zone("arm-switch")), TimerKind.EXIT, TimerKind.RECENT),
        "chime off": (ChimeSwitch(False),),
        "warm-up": (*stay, PowerReturns()),
        "installer mode": (InstallerMode(True),),
    }
    for each in specimen().zones:
        scripts[f"{each.label} open"] = (ZoneOpens(each.number),)
        scripts[f"{each.label} open, armed"] = (*away, ZoneOpens(each.number))
        scripts[f"{each.label} tripped"] = (ZoneTrips(each.number),)
        scripts[f"{each.label} tripped, armed"] = (*away, ZoneTrips(each.number))
        scripts[f"{each.label} open, warm-up"] = (PowerReturns(), ZoneOpens(each.number))
        scripts[f"{each.label} open, installer mode"] = (InstallerMode(True), ZoneOpens(each.number))
    for trouble in SiteTrouble:
        scripts[words_of(trouble).begins] = (SiteTroubleBegins(trouble),)
        scripts[f"{words_of(trouble).begins}, told"] = (SiteTroubleBegins(trouble), trouble.timer.kind)
    return {name: _after(script) for name, script in scripts.items()}


def _after(script: Script) -> Control:
    panel = Clockwork(specimen())
    for part in script:
        if isinstance(part, TimerKind):
            panel.advance(min(at for timer, at in panel.due.items() if timer.kind is part))
        else:
            panel.give(part)
    return panel.control


# Trials ---------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Trial:
    """One event in one situation."""

    situation: str
    before: Control
    event: Event
    done: Response


@cache
def trials() -> tuple[Trial, ...]:
    """Return what every event does in every situation, and what ends there do a step later.

    A switch is turned off in each of them, as if it had stood on. An exit time runs out also where an act is asked for.
    """
    switch = zone("arm-switch")
    found = []
    asks = replace(specimen(), settings=replace(SETTINGS, completing_act=True))
    leaving, end = situations()[LEAVING], Expires(Timer(TimerKind.EXIT, HOUSE))
    found.append(Trial("exit time, an act asked for", leaving, end, step(asks, leaving, end)))
    later: dict[Control, str] = {}
    for name, control in situations().items():
        on = replace(control, open=control.open | {switch})
        found += [_trial(name, control, event) for event in (*given_events(), *_ends(control))]
        found.append(_trial(name, on, ZoneCloses(switch)))
        later |= {_trial(name, control, end).done.control: f"{name}, later" for end in _ends(control)}
    for control, name in later.items():
        closing = [ZoneCloses(number) for number in sorted(control.open)]
        found += [_trial(name, control, event) for event in (*_ends(control), *closing, *_INTERRUPTIONS)]
    return tuple(found)


_INTERRUPTIONS = (Disarm(HOUSE, USER), Disarm(HOUSE, MADE_TO), PowerReturns(), InstallerMode(True))


def _trial(situation: str, control: Control, event: Event) -> Trial:
    return Trial(situation, control, event, step(specimen(), control, event))


def _ends(control: Control) -> list[Event]:
    return [Expires(timer) for timer in sorted(control.running, key=str)]


@cache
def given_events() -> tuple[Event, ...]:
    """Return what can happen to the specimen, expiries aside."""
    numbers = [each.number for each in specimen().zones]
    window, devices = zone("perimeter"), [zone(name) for name in ("perimeter", "fire", "holdup", "unused")]
    armed = [Mode.STAY, Mode.NIGHT, Mode.AWAY]
    return (
        *(Arm(HOUSE, mode, USER, means) for mode in armed for means in (Means.KEYPAD, Means.REMOTE)),
        Arm(HOUSE, Mode.AWAY, USER, silent=True),
        *(Arm(HOUSE, Mode.STAY, USER, over=right) for right in (Right.USER, Right.INSTALLER)),
        QuickExit(HOUSE, USER),
        Disarm(HOUSE, USER),
        Disarm(HOUSE, MADE_TO),
        *(ZoneOpens(number) for number in numbers),
        *(ZoneCloses(number) for number in numbers),
        *(TroubleBegins(number, trouble) for number in devices for trouble in Trouble),
        *(TroubleEnds(number, trouble) for number in devices for trouble in Trouble),
        CheckIn(window),
        Panic(HOUSE, USER),
        Bypass(window, USER),
        Unbypass(window, USER),
        ChimeSwitch(True),
        ChimeSwitch(False),
        *(SiteTroubleBegins(trouble) for trouble in SiteTrouble),
        *(SiteTroubleEnds(trouble) for trouble in SiteTrouble),
        PowerReturns(),
        InstallerMode(True),
        InstallerMode(False),
    )


# Causes in few words --------------------------------------------------------------------------------------------------

MOST_NAMED = 5


def causes(events: Iterable[Event]) -> tuple[str, ...]:
    """Return in few words what each kind of these events is: few zones by name, many as "a zone"."""
    found: dict[str, list[str]] = {}
    for event in events:
        verb, who = cause(event)
        names = found.setdefault(verb, [])
        if who not in names:
            names.append(who)
    order = ["", *(each.label for each in specimen().zones)]
    return tuple(_named(sorted(names, key=order.index), verb) for verb, names in found.items())


def _named(names: list[str], verb: str) -> str:
    if names == [""]:
        return verb
    several = names[0] if len(names) == 1 else ", ".join(names[:-1]) + " or " + names[-1]
    return f"{several if len(names) <= MOST_NAMED else 'a zone'} {verb}"


def cause(event: Event) -> tuple[str, str]:
    """Return what happens, and to which zone if that matters."""
    label = ""
    if isinstance(event, DeviceEvent):
        found = specimen().zone(event.zone)
        label = found.label if found is not None else ""
    match event:
        case ZoneOpens() | ZoneTrips():
            return "opens", label
        case ZoneCloses():
            return "closes", label
        case CheckIn():
            return "a device is heard", ""
        case TroubleBegins():
            return BEGINS[event.trouble], ""
        case TroubleEnds():
            return OVER[event.trouble], ""
        case Arm():
            return "arming", ""
        case QuickExit():
            return "quick exit", ""
        case Disarm():
            return "duress code" if event.user == MADE_TO else "disarming", ""
        case Panic():
            return "panic", ""
        case Bypass():
            return "bypass", ""
        case Unbypass():
            return "bypass taken back", ""
        case ChimeSwitch():
            return "chime switch", ""
        case SiteTroubleBegins():
            return words_of(event.trouble).begins, ""
        case SiteTroubleEnds():
            return words_of(event.trouble).ends, ""
        case PowerReturns():
            return "power returns", ""
        case InstallerMode():
            return f"installer mode {'begins' if event.on else 'ends'}", ""
        case Expires():
            return ENDS[event.timer.kind], ""

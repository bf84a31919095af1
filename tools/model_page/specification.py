"""The page that says what the panel model does, made from the behaviour records and from trying `step` out.

Rules of this file:
1. Nothing is said here that wasn't read from a record, found by a trial (`tabulated.py`) or quoted from the CHOICES of
   the files that decide. Only headlines and how to read them are written by hand.
2. Every attribute of a behaviour stands in exactly one of the two tables.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import Enum
from itertools import pairwise
from textwrap import dedent
from types import ModuleType

from model_page.patterns import CADENCES
from model_page.tabulated import (
    COLUMNS,
    HOUSE,
    MADE_TO,
    SETTINGS,
    USER,
    causes,
    situations,
    specimen,
    trials,
    zone,
)
from zonewright.behaviour import arming, disarming, effects, openings, panel_itself, troubles
from zonewright.behaviour.events import (
    TROUBLE_OF,
    Arm,
    Bypass,
    Disarm,
    Event,
    Expires,
    InstallerMode,
    Means,
    Message,
    Output,
    PowerReturns,
    QuickExit,
    Shown,
    SiteTrouble,
    SiteTroubleBegins,
    TimerKind,
    Trouble,
    TroubleBegins,
    ZoneCloses,
    ZoneOpens,
)
from zonewright.behaviour.state import Control, Phase
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import SHIPPED, Behaviour, Mode, Pattern
from zonewright.site.record import span
from zonewright.words.telling import TIMERS, in_modes, output_in_words, sounder

DECIDING: tuple[ModuleType, ...] = (openings, arming, disarming, troubles, panel_itself, effects)

WHEN_AND_HOW = {
    "live": "alarm",
    "timing": "timing",
    "in_exit": "in the exit time",
    "siren": "sounds",
    "alarm": "message",
    "shown": "shown",
    "chimes": "chime if no alarm",
    "warns": "trouble tone",
    "warning": "message of that",
    "exit_door": "exit door",
    "completes_exit": "completes setting",
    "arms": "arms",
    "momentary": "pushed",
}
WHAT_MAY_BE_DONE = {
    "abort": "abort window",
    "user_bypass": "user bypass",
    "stops_arming": "open stops arming",
    "swinger": "counted",
    "cross": "may be paired",
    "verify": "verified if wired",
    "persists": "must last",
    "tamper_alarm": "tamper is an alarm",
    "tamper_silent": "tamper silent",
    "life_safety": "life safety",
    "in_use": "listened to",
}
NO_TABLE = frozenset({"says"})  # it stands in the list above the tables

LENGTHS = {
    TimerKind.EXIT: "exit time",
    TimerKind.LAST_TEN: "exit or entry time less 10 s",
    TimerKind.ENTRY: "entry time of the zone",
    TimerKind.ABORT: "abort window, or entry hold",
    TimerKind.CANCEL: "cancel window",
    TimerKind.RECENT: "2 min",
    TimerKind.SIREN: "siren time",
    TimerKind.SWINGER_RESET: "48 h",
    TimerKind.MISSING: "supervision window",
    TimerKind.HEARD: "heard before setting",
    TimerKind.BATTERY: "low battery wait, then 1 day",
    TimerKind.PERSIST: "environment wait",
    TimerKind.CONFIRM: "confirm window",
    TimerKind.CROSS: "cross window",
    TimerKind.VERIFY_RESET: "fire reset",
    TimerKind.VERIFY: "fire verify window",
    TimerKind.WARM_UP: "warm-up",
    **{kind: f"{TIMERS[kind]}, then 1 day" for kind in TROUBLE_OF},
}


def page() -> str:
    """Return the whole page as Markdown."""
    parts = [
        _HEAD,
        "## Behaviours\n\n" + _list(),
        "### When and how\n\n" + attribute_table(WHEN_AND_HOW),
        "### What may be done to it\n\n" + attribute_table(WHAT_MAY_BE_DONE),
        "## What each event does\n\n" + _EVENTS + event_table(),
        "## Timers\n\n" + _TIMERS + timer_table(),
        "## Messages\n\n" + message_table(),
        "## Sounds\n\n" + pattern_table(),
        "## Choices\n\n" + _CHOICES + "\n\n".join(_choices(module) for module in DECIDING),
    ]
    return "\n\n".join(parts) + "\n"


_HEAD = """# What the panel does

This page is the specification of the panel model, made from its code: the tables by letting the model act, the choices
from the heads of its files. A panel of yours differs where its profile says so: a behaviour's attributes and all
settings are the profile's; a feature whose setting the panel lacks is absent.

![How an area is armed, entered and disarmed, and what becomes of a message](behaviour.svg)"""

_EVENTS = f"""A panel with a zone of every behaviour and every feature on (exit time {span(SETTINGS.exit_time)}, entry
time 30 s, abort window {span(SETTINGS.abort_window)}). Each row is tried in five states of its area; "–" is nothing,
"same" is as to its left, `→` is where the area is then. Armed night is as armed stay. What follows later, at
the end of a timer, stands with the timers.

"""

_TIMERS = """"Lapses" is a timer stopped before its end. Where many zones do it, it says "a zone": which ones do, the
tables of behaviours tell. Two devices of this panel are supervised. A time of zero, or a setting that the panel
lacks, starts nothing.

"""

_CHOICES = """Where panels differ, this is what the model does. A line without a source is common practice, no source.
"CP-01" is ANSI/SIA CP-01, never read whole: "seen" means second-hand, else from memory.

"""

# Behaviours -----------------------------------------------------------------------------------------------------------


def _list() -> str:
    return "\n".join(f"- **{name}**: {behaviour.says}" for name, behaviour in SHIPPED.items())


def attribute_table(columns: dict[str, str]) -> str:
    """Return the shipped behaviours' attributes as a table; a dash is "no", "none" or "never"."""
    head = ("behaviour", *columns.values())
    rows = [(name, *(_attribute(behaviour, field) for field in columns)) for name, behaviour in SHIPPED.items()]
    return _table(head, rows)


def _attribute(behaviour: Behaviour, field: str) -> str:
    value = getattr(behaviour, field)
    match value:
        case None | Pattern.NONE | "":
            return "–"
        case bool():
            return "yes" if value else "–"
        case frozenset():
            return in_modes(value) if value else "–"
        case Pattern():
            return sounder(value)
        case Mode() | Enum():
            return str(value.value)
        case _:
            return str(value)


# Events ---------------------------------------------------------------------------------------------------------------


def _rows() -> list[tuple[str, tuple[Event, ...]]]:
    door, switch, window = zone("final-door"), zone("arm-switch"), zone("perimeter")
    rows: list[tuple[str, tuple[Event, ...]]] = [
        (f"{each.label} opens", (ZoneOpens(each.number),)) for each in specimen().zones
    ]
    rows += [
        ("final-door opens and closes", (ZoneOpens(door), ZoneCloses(door))),
        ("arm-switch turned on and off", (ZoneOpens(switch), ZoneCloses(switch))),
        ("perimeter: cover off", (TroubleBegins(window, Trouble.TAMPER),)),
        ("holdup: cover off", (TroubleBegins(zone("holdup"), Trouble.TAMPER),)),
        ("perimeter: out of contact", (TroubleBegins(window, Trouble.MISSING),)),
        *((f"armed {mode.value} at a keypad", (Arm(HOUSE, mode, USER),)) for mode in Mode if mode is not Mode.DISARMED),
        ("armed away by a remote", (Arm(HOUSE, Mode.AWAY, USER, Means.REMOTE),)),
        ("quick exit", (QuickExit(HOUSE, USER),)),
        ("disarmed", (Disarm(HOUSE, USER),)),
        ("disarmed under duress", (Disarm(HOUSE, MADE_TO),)),
        ("perimeter bypassed", (Bypass(window, USER),)),
        ("mains lost", (SiteTroubleBegins(SiteTrouble.MAINS),)),
        ("power returns", (PowerReturns(),)),
        ("installer mode begins", (InstallerMode(True),)),
    ]
    return rows


def event_table() -> str:
    """Return what each event does in each state of `COLUMNS`."""
    rows = []
    for words, events in _rows():
        cells = [_does(situations()[name], events) for name in COLUMNS]
        same = [False, *(cell == left and cell != "–" for left, cell in pairwise(cells))]
        rows.append((words, *("same" if alike else cell for alike, cell in zip(same, cells, strict=True))))
    return _table(("event", *COLUMNS), rows)


def _does(control: Control, events: Iterable[Event]) -> str:
    phase = control.area(HOUSE).phase
    said: list[str] = []
    starts: list[str] = []
    for event in events:
        done = step(specimen(), control, event)
        control = done.control
        said += [_output(output) for output in done.outputs]
        starts += [timer.kind.value for timer, _ in done.starts if timer.kind is not TimerKind.MISSING]
    after = control.area(HOUSE)
    if after.phase is not phase:
        said.append("→ " + (f"armed {after.mode.value}" if after.phase is Phase.SET else _PHASES[after.phase]))
    if not said:
        said = [f"starts *{name}*" for name in starts]
    return ", ".join(said) or "–"


_PHASES = {Phase.REST: "off", Phase.EXIT: "exit time", Phase.SET: "armed", Phase.ENTRY: "entry time"}


def _output(output: Output) -> str:
    match output:
        case Shown():
            return f'"{output.line.value}"'
        case Message():
            return f"message *{output.name}*{' over' if output.restore else ''}"
        case _:
            return output_in_words(specimen(), output)


# Timers and messages --------------------------------------------------------------------------------------------------


def timer_table() -> str:
    """Return who starts and who stops each timer, as found by the trials, and what its end leads to."""
    starts: dict[TimerKind, list[Event]] = {kind: [] for kind in TimerKind}
    stops: dict[TimerKind, list[Event]] = {kind: [] for kind in TimerKind}
    ends: dict[TimerKind, dict[str, None]] = {kind: {} for kind in TimerKind}
    for trial in trials():
        for timer, _ in trial.done.starts:
            starts[timer.kind].append(trial.event)
        for timer in trial.done.stops:
            stops[timer.kind].append(trial.event)
        if isinstance(trial.event, Expires):
            ends[trial.event.timer.kind] |= dict.fromkeys(_output(output) for output in trial.done.outputs)
    rows = []
    for kind, length in LENGTHS.items():
        end = ", ".join(ends[kind]) or "nothing: that it ran is over"
        rows.append((kind.value, length, _several(starts[kind]), _several(stops[kind]), end))
    return _table(("timer", "runs for", "started by", "lapses by", "at its end"), rows)


def message_table() -> str:
    """Return when each message is sent, and when it is told to be over."""
    sent: dict[str, list[Event]] = {}
    over: dict[str, list[Event]] = {}
    for trial in trials():
        for output in trial.done.outputs:
            if isinstance(output, Message):
                (over if output.restore else sent).setdefault(output.name, []).append(trial.event)
    rows = [(f"*{name}*", _several(sent[name]), _several(over.get(name, []))) for name in sorted(sent)]
    return _table(("message", "sent at", "over at"), rows)


def pattern_table() -> str:
    """Return how each pattern sounds, the one that comes before all others first."""
    rows = [(sounder(each), cadence.name, cadence.words, cadence.source) for each, cadence in CADENCES.items()]
    return _table(("sound", "pattern", "timing", "source"), rows)


def _several(events: Iterable[Event]) -> str:
    return "; ".join(causes(events)) or "–"


# Choices --------------------------------------------------------------------------------------------------------------


def _choices(module: ModuleType) -> str:
    text = module.__doc__ or ""
    title, _, rest = text.partition("\n")
    lines = dedent(rest[rest.index("\n - ") + 1 :]).rstrip()
    return f"### {title.strip().removesuffix('.')}\n\n" + lines


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)

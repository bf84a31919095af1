"""A timeline in three lanes: what people and devices do, what the panel is in, what the station gets.

Rules of this file:
1. It adds nothing to a timeline: the panel's states between two entries come from running the same events again.
2. One thing is told once: messages stand with the station, everything that is heard or seen with the panel.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from zonewright.behaviour.clockwork import Timeline
from zonewright.behaviour.events import Beeps, Expires, Message, Output, Siren, Sound, TimerKind
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.state import Control, Phase
from zonewright.behaviour.step import power_up, step
from zonewright.panel.behaviours import Pattern
from zonewright.panel.resolve import Resolved
from zonewright.words.telling import event_in_words, output_in_words, sounder


class Lane(Enum):
    """Where something belongs in the picture."""

    HOUSE = "house"
    PANEL = "panel"
    STATION = "station"


@dataclass(frozen=True, slots=True)
class Point:
    """Something that happens at a moment [s]."""

    at: int
    lane: Lane
    text: str


@dataclass(frozen=True, slots=True)
class Span:
    """A state of the panel from one moment to another [s]; `until` None: it still lasts at the end."""

    start: int
    until: int | None
    text: str
    loud: bool = False  # whether the siren sounds


@dataclass(frozen=True, slots=True)
class Tracks:
    """A timeline, ready to be drawn or listed."""

    points: tuple[Point, ...]
    spans: tuple[Span, ...]


Names = Mapping[str, str]  # "area 1", "user 2" -> what the site calls them
NUMBERS: Names = {}  # nobody has a name
_NUMBERED = re.compile(r"\b(?:area|user) \d+\b")
_TIMERS = {
    TimerKind.EXIT: "exit time", TimerKind.ENTRY: "entry time", TimerKind.ABORT: "message waits",
    TimerKind.CANCEL: "may be called back", TimerKind.VERIFY: "detector is verified",
    TimerKind.CONFIRM: "may be confirmed", TimerKind.WARM_UP: "sensors settle", TimerKind.CROSS: "second trip confirms",
}  # fmt: skip
_NOT_DRAWN = frozenset({Sound.EXIT, Sound.EXIT_LAST_TEN, Sound.ENTRY, Sound.ENTRY_LAST_TEN})  # the bars tell them


def tracks(setup: Setup, timeline: Timeline, names: Names = NUMBERS) -> Tracks:
    """Return the lanes of a timeline that begins at power-up."""
    points: list[Point] = []
    open_spans: dict[str, tuple[int, bool]] = {}
    spans: list[Span] = []
    control = power_up(setup).control
    for entry in timeline:
        if not isinstance(entry.event, Expires):
            points.append(Point(entry.at, Lane.HOUSE, called(event_in_words(setup, entry.event), names)))
        points += [
            Point(entry.at, lane_of(each), called(output_in_words(setup, each), names))
            for each in entry.outputs
            if _drawn(each)
        ]
        control = step(setup, control, entry.event).control
        now = _states(setup, control, names)
        for text in [text for text in open_spans if text not in now]:
            start, loud = open_spans.pop(text)
            if start < entry.at:
                spans.append(Span(start, entry.at, text, loud))
        for text, loud in now.items():
            open_spans.setdefault(text, (entry.at, loud))
    spans += [Span(start, None, text, loud) for text, (start, loud) in open_spans.items()]
    return Tracks(tuple(points), tuple(sorted(spans, key=lambda span: (span.start, not span.loud))))


def lane_of(output: Output) -> Lane:
    """Return who gets an output."""
    return Lane.STATION if isinstance(output, Message) else Lane.PANEL


def names_of(resolved: Resolved) -> Names:
    """Return what a site calls its areas and people.

    Whoever shares a number with a label or a name ("area 1 door") keeps it, since texts hold labels as well.
    """
    areas = {f"area {number}": name for name, number in resolved.areas.items()}
    names = areas | {f"user {slot}": name for slot, name in resolved.users.items()}
    zones = [resolved.programme.fields("zone", number) for number in resolved.programme.numbers("zone")]
    labels = [" ".join((zone.get("place", ""), zone.get("label", ""))) for zone in zones]
    said = {found for text in (*labels, *names.values()) for found in _NUMBERED.findall(text)}
    return {number: name for number, name in names.items() if number not in said}


def called(text: str, names: Names) -> str:
    """Return a text with areas and people called by their names."""
    return _NUMBERED.sub(lambda found: names.get(found[0], found[0]), text)


def _drawn(output: Output) -> bool:
    if isinstance(output, Siren):
        return False  # its bar tells it
    return not (isinstance(output, Beeps) and output.sound in _NOT_DRAWN)


def _states(setup: Setup, control: Control, names: Names) -> dict[str, bool]:
    """Return what the panel is in, each with whether it is loud."""
    found: dict[str, bool] = {}
    if control.siren is not Pattern.NONE:
        found[sounder(control.siren)] = control.siren is not Pattern.TROUBLE
    for area in control.areas:
        where = called(f", area {area.number}", names) if len(setup.areas) > 1 else ""
        if area.phase in (Phase.SET, Phase.ENTRY):
            found[f"armed {area.mode.value}{where}"] = False
        for timer in control.running:
            if timer.number == area.number and timer.kind in _TIMERS and not timer.kind.of_zone:
                found[_TIMERS[timer.kind] + where] = False
    for timer in control.running:
        if timer.kind in _TIMERS and (timer.kind.of_zone or timer.kind.of_panel):
            zone = next((zone.label for zone in setup.zones if zone.number == timer.number), "")
            found[f"{_TIMERS[timer.kind]} {zone}".strip()] = False
    if control.installer:
        found["installer mode"] = False
    return found

"""What a zone does, step by step with times: in each mode, while people leave or come in, and again and again.

Rules of this file:
1. Every line is an entry of a run of the clockwork; nothing is said that didn't happen in it.
2. Modes in which the same happens share a paragraph.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from zonewright.behaviour.clockwork import Clockwork, TimelineEntry
from zonewright.behaviour.events import (
    Arm,
    Disarm,
    Event,
    Expires,
    Message,
    Shown,
    Siren,
    Timer,
    TimerKind,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.behaviour.state import Phase
from zonewright.behaviour.wires import Wire, noticed, seen
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber, span
from zonewright.words.matrix import SOMEBODY, at_rest, with_pairs_otherwise
from zonewright.words.telling import UNCOUNTED, event_in_words, in_modes_of, output_in_words, while_they_are

NOTHING = "nothing happens"
CLOSES = "It closes again, away"  # left out where nothing happens


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One situation and what happens in it, one line a moment."""

    situation: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """All that a zone does."""

    zone: ZoneNumber
    label: str
    paragraphs: tuple[Paragraph, ...]

    def text(self) -> str:
        """Return it as plain text: a situation a paragraph, its lines indented."""
        parts = [f"Zone {self.zone}, {self.label}"]
        parts += ["\n".join([f"{p.situation}:", *(f"  {line}" for line in p.lines)]) for p in self.paragraphs]
        return "\n\n".join(parts)


def explain(setup: Setup, number: ZoneNumber) -> Explanation:
    """Return what a zone does, situation by situation; raises KeyError for a zone the panel hasn't."""
    zone = setup.zone(number)
    if zone is None:
        raise KeyError(number)
    opens = ZoneOpens(number)
    by_lines: dict[tuple[str, ...], list[Mode]] = {}
    for mode in Mode:
        by_lines.setdefault(lines_of(setup, at_rest(setup, setup.set_with(zone), mode), (opens,)), []).append(mode)
    paragraphs = [
        Paragraph(f"It opens and stays open, {in_modes_of(zone, modes)}", lines) for lines, modes in by_lines.items()
    ]
    paragraphs += _while_its_pair_is_set_otherwise(setup, zone)
    paragraphs += _leaving(setup, zone)
    paragraphs += _coming_in(setup, zone)
    paragraphs += _disarmed_soon(setup, zone)
    paragraphs += _again_and_again(setup, zone)
    paragraphs += _gone_at_once(setup, zone)
    paragraphs += _looked_into(setup, zone)
    paragraphs += _with_its_pair(setup, zone)
    paragraphs += _turned_back(setup, zone)
    paragraphs += _its_wire(setup, zone)
    return Explanation(number, zone.label, tuple(paragraphs))


def _while_its_pair_is_set_otherwise(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """It opens while the areas of its pairs are in another mode than its own areas."""
    others = setup.set_with(zone) - zone.areas
    found = with_pairs_otherwise(setup, zone, lambda panel, _own: lines_of(setup, panel, (ZoneOpens(zone.number),)))
    return [
        Paragraph(f"It opens and stays open, {in_modes_of(zone, own)}, {while_they_are(others, there)}", lines)
        for own, there, lines in found
    ]


def _leaving(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """It opens and closes in the first second of the exit time."""
    panel = _arming_away(setup, zone)
    if panel.control.area(zone.home).phase is not Phase.EXIT:
        return []
    lines = lines_of(setup, panel, (ZoneOpens(zone.number), ZoneCloses(zone.number)), about=zone.number)
    return [Paragraph("It opens and closes while somebody leaves (exit time, away)", lines)]


def _coming_in(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """It opens after another zone started the entry time."""
    for door in setup.zones_of(zone.home):
        panel = at_rest(setup, setup.set_with(zone) | door.areas, Mode.AWAY)
        panel.give(ZoneOpens(door.number))
        if door.number != zone.number and panel.control.area(zone.home).phase is Phase.ENTRY:
            lines = lines_of(setup, panel, (ZoneOpens(zone.number),), about=zone.number)
            return [Paragraph(f"It opens while somebody comes in (entry time, by {door.label})", lines)]
    return []


def _disarmed_soon(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """It opens away; somebody disarms as soon as the siren sounds."""
    panel = at_rest(setup, setup.set_with(zone), Mode.AWAY)
    panel.give(ZoneOpens(zone.number))
    while not panel.control.causes and not panel.at_rest:
        panel.to_next()
    if not panel.control.causes:
        return []
    lines = lines_of(setup, panel, tuple(Disarm(area, SOMEBODY) for area in sorted(zone.areas)))
    return [Paragraph("Away, and somebody disarms as soon as it sounds", lines)]


def _again_and_again(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """It opens and closes away until nothing comes of it any more, if that ever happens."""
    panel = at_rest(setup, setup.set_with(zone), Mode.AWAY)
    noticed, sounded = [], False
    for _ in range(setup.settings.swinger_limit + 1):
        opening = [panel.give(ZoneOpens(zone.number)), *panel.rest()]
        noticed.append(any(entry.outputs for entry in opening))
        sounded = sounded or any(isinstance(output, Siren) for entry in opening for output in entry.outputs)
        panel.give(ZoneCloses(zone.number))
    times = sum(noticed)
    if times == 0 or noticed[-1]:
        return []
    what = "alarm" if sounded else "unverified alarm"
    text = f"it gives {times} {what}{'s' if times > 1 else ''}, then nothing until disarmed, or {UNCOUNTED}"
    return [Paragraph(f"It opens again and again, away{', each time from quiet' if zone.crosses else ''}", (text,))]


def _gone_at_once(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """It trips for a moment, where more is needed for an alarm."""
    panel = at_rest(setup, setup.set_with(zone), Mode.AWAY)
    panel.give(ZoneOpens(zone.number))
    needs_more = {Timer(kind, zone.number) for kind in (TimerKind.PERSIST, TimerKind.VERIFY_RESET, TimerKind.VERIFY)}
    if not needs_more & panel.control.running:
        return []
    lines = lines_of(setup, at_rest(setup, setup.set_with(zone), Mode.AWAY), (ZoneTrips(zone.number),))
    return [Paragraph("It trips for a moment, away", lines)]


def _looked_into(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """It trips a second time while its detector is being verified."""
    panel = at_rest(setup, setup.set_with(zone), Mode.AWAY)
    panel.give(ZoneTrips(zone.number))
    while Timer(TimerKind.VERIFY, zone.number) not in panel.control.running:
        if panel.at_rest:
            return []
        panel.to_next()
    lines = lines_of(setup, panel, (ZoneTrips(zone.number),))
    return [
        Paragraph(f"It trips a second time within {span(setup.settings.fire_verify_window)} of settling clear", lines)
    ]


def _with_its_pair(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """It trips after a zone that it is paired with, or a second time."""
    paragraphs = []
    for number in (*sorted(zone.crosses), *([zone.number] if zone.crosses else [])):
        pair = setup.zone(number)
        if pair is None:
            continue
        panel = at_rest(setup, setup.set_with(zone) | pair.areas, Mode.AWAY)
        panel.give(ZoneTrips(number))
        if Timer(TimerKind.CROSS, number) in panel.control.running:
            lines = lines_of(setup, panel, (ZoneTrips(zone.number),))
            within = span(setup.settings.cross_window)
            how = "a second time within" if pair is zone else "within"
            after = "" if pair is zone else f" after {pair.label}"
            paragraphs.append(Paragraph(f"It trips {how} {within}{after}, away", lines))
    return paragraphs


def _turned_back(setup: Setup, zone: ZoneSetup) -> list[Paragraph]:
    """A switch closes again while its areas are armed."""
    if zone.behaviour.arms is None:
        return []
    panel = at_rest(setup, setup.set_with(zone), Mode.AWAY)
    panel.give(ZoneOpens(zone.number))
    lines = lines_of(setup, panel, (ZoneCloses(zone.number),))
    return [Paragraph(CLOSES, lines)] if lines != (NOTHING,) else []


def _its_wire(setup: Setup, zone: ZoneSetup) -> Iterator[Paragraph]:
    """The wire of its loop is cut or shorted, in each mode."""
    for wire in Wire if zone.loop else ():
        event = noticed(zone, wire)
        what = f"Its wire is {wire.value}, which {seen(zone.loop, wire).value}"
        by_lines: dict[tuple[str, ...], list[Mode]] = {}
        for mode in Mode:
            panel = at_rest(setup, setup.set_with(zone), mode)
            by_lines.setdefault(lines_of(setup, panel, (event,) if event is not None else ()), []).append(mode)
        yield from (Paragraph(f"{what}, {in_modes_of(zone, modes)}", lines) for lines, modes in by_lines.items())


def _arming_away(setup: Setup, zone: ZoneSetup) -> Clockwork:
    panel = Clockwork(setup)
    for area in sorted(setup.set_with(zone)):
        panel.give(Arm(area, Mode.AWAY, SOMEBODY))
    return panel


def lines_of(
    setup: Setup, panel: Clockwork, events: Iterable[Event], *, about: ZoneNumber | None = None
) -> tuple[str, ...]:
    """Let events happen at once, then time pass; a line for each moment at which something is noticed.

    With `about`, later moments tell only what is about that zone, and the siren where that zone sounds it: the rest is
    about other zones.
    """
    start = panel.now
    entries: list[TimelineEntry] = [panel.give(event) for event in events]
    entries += panel.rest() if about is None else _rest_of(panel, about)
    lines = []
    for entry in entries:
        if entry.outputs:
            after = "at once" if entry.at == start else f"after {span(entry.at - start)}"
            because = f" ({event_in_words(setup, entry.event)})" if isinstance(entry.event, Expires) else ""
            lines.append(f"{after}{because}: " + ", ".join(output_in_words(setup, output) for output in entry.outputs))
    return tuple(lines) or (NOTHING,)


def _rest_of(panel: Clockwork, zone: ZoneNumber) -> Iterator[TimelineEntry]:
    """Let time pass until the panel is at rest, and give each entry with what is about a zone alone."""
    while not panel.at_rest:
        sounded = _sounds(panel, zone)
        entry = panel.to_next()
        begins_or_ends = sounded != _sounds(panel, zone)
        mine = [
            each
            for each in entry.outputs
            if (isinstance(each, Message | Shown) and each.zone == zone) or (isinstance(each, Siren) and begins_or_ends)
        ]
        yield replace(entry, outputs=tuple(dict.fromkeys(mine)))


def _sounds(panel: Clockwork, zone: ZoneNumber) -> bool:
    return any(number == zone for _, number in panel.control.causes)

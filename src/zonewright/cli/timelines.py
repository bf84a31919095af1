"""Timelines on the screen and as data: second by second, who gets what."""

from __future__ import annotations

from zonewright.behaviour.clockwork import Timeline, as_played
from zonewright.behaviour.events import Arm, Disarm, Expires, Output, Panic, QuickExit
from zonewright.behaviour.setup import Setup
from zonewright.cli.terminal import paragraph
from zonewright.desk.results.runs import what_happens
from zonewright.proof.promises.late import too_late
from zonewright.proof.prove import Verdict
from zonewright.site.record import span
from zonewright.words.delivery import delivery, delivery_in_words
from zonewright.words.telling import output_in_words
from zonewright.words.tracks import NUMBERS, Lane, Names, called, lane_of

WHO = 9  # columns for who gets something
SAME = "same moment"
ANOTHER_ORDER = "It rests on the order of what falls into one second, of which nobody knows; play takes another one."
CHANGES_NOTHING = "nothing: it isn't heard, or is so already"


def timeline_lines(setup: Setup, timeline: Timeline, width: int, names: Names = NUMBERS) -> list[str]:
    """Return a run moment by moment: what happens, and below it what the panel does and the station gets."""
    when_wide = _column(timeline)
    lines: list[str] = []
    last = None
    for entry in timeline:
        if isinstance(entry.event, Expires) and not entry.outputs:
            continue  # nobody notices it
        when = SAME if entry.at == last else span(entry.at)
        last = entry.at
        lines += _line(what_happens(setup, entry, names), when, when_wide, width)
        if isinstance(entry.event, Arm | Disarm | QuickExit | Panic) and not entry.outputs:
            lines += paragraph(CHANGES_NOTHING, width, " " * (when_wide + 2) + "panel".ljust(WHO))
        for output in entry.outputs:
            head = " " * (when_wide + 2) + lane_of(output).value.ljust(WHO)
            text = called(output_in_words(setup, output), names) + _carried(setup, timeline, entry.at, output)
            lines += paragraph(text, width, head, " " * (when_wide + 2 + WHO))
    return lines


def _column(timeline: Timeline) -> int:
    """Return how wide the times of a run are."""
    return max((len(SAME), *(len(span(entry.at)) for entry in timeline)))


def _line(text: str, when: str, when_wide: int, width: int) -> list[str]:
    return paragraph(text, width, f"{when:>{when_wide}}  ", " " * (when_wide + 2))


def broken_lines(setup: Setup, verdict: Verdict, width: int, names: Names = NUMBERS) -> list[str]:
    """Return the run that breaks a promise, to the second in which it breaks: that may be one in which nothing came."""
    lines = timeline_lines(setup, verdict.settled.timeline, width, names)
    late = too_late(verdict.promise, verdict.settled)
    if late is not None:
        lines += _line(called(late[1], names), span(late[0]), _column(verdict.settled.timeline), width)
    if not set(verdict.settled.timeline) <= set(as_played(setup, verdict.settled.timeline)):
        lines += paragraph(ANOTHER_ORDER, width, "  ", "  ")
    return lines


def _carried(setup: Setup, timeline: Timeline, at: int, output: Output) -> str:
    if lane_of(output) is not Lane.STATION:
        return ""
    return delivery_in_words(delivery(setup, timeline, at), at)

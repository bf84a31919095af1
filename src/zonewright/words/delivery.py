"""When a message reaches the station: at once, by the second path, when the line is back, or never.

Rules of this file:
1. `step` decides to tell; what carries it is said here, from the timeline alone. A proof about messages is about what
   the panel decides to tell.
2. A panel without a second path keeps what it has to tell, and tries again every `line retry`, from the loss of the
   line on (common practice, no source; without that setting: at once when the line is back).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from zonewright.behaviour.clockwork import Timeline
from zonewright.behaviour.events import SiteTrouble, SiteTroubleBegins, SiteTroubleEnds
from zonewright.behaviour.setup import Setup
from zonewright.site.record import span


class Carrier(Enum):
    """What carries a message."""

    LINE = "by the line"
    SECOND_PATH = "by the second path"
    LATE = "when the line is back"
    NEVER = "not as long as the line is lost"


@dataclass(frozen=True, slots=True)
class Delivery:
    """How a message that the panel tells at a moment reaches the station; `at` None: it doesn't in this run."""

    way: Carrier
    at: int | None


def delivery(setup: Setup, timeline: Timeline, told: int) -> Delivery:
    """Return how a message told at second `told` of a timeline gets through."""
    lost = next(
        ((start, end) for start, end in _losses(timeline) if start <= told and (end is None or told < end)), None
    )
    if lost is None:
        return Delivery(Carrier.LINE, told)
    if setup.settings.second_path:
        return Delivery(Carrier.SECOND_PATH, told)
    start, back = lost
    if back is None:
        return Delivery(Carrier.NEVER, None)
    retry = setup.settings.line_retry
    tries = -(-(back - start) // retry) if retry else 0
    return Delivery(Carrier.LATE, start + tries * retry if retry else back)


def delivery_in_words(found: Delivery, told: int) -> str:
    """Return what is to be said of a delivery; nothing where the line carries it at once."""
    match found.way:
        case Carrier.LINE:
            return ""
        case Carrier.LATE if found.at is not None:
            return f", gets through {span(found.at - told)} later, {found.way.value}"
        case _:
            return f", gets through {found.way.value}" if found.at is not None else ", does not get through: line lost"


def _losses(timeline: Timeline) -> Iterator[tuple[int, int | None]]:
    """Give from when to when the line is lost."""
    start: int | None = None
    for entry in timeline:
        if entry.event == SiteTroubleBegins(SiteTrouble.LINE) and start is None:
            start = entry.at
        elif entry.event == SiteTroubleEnds(SiteTrouble.LINE) and start is not None:
            yield start, entry.at
            start = None
    if start is not None:
        yield start, None

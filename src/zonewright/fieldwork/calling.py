"""What a test sets off besides what it is done for: a call for help, a danger pattern, the siren.

Rules of this file:
1. It is read from what the planned panel did when the test was run, never from a behaviour's or a device's name.
2. A call for help is a message that brings people to somebody in danger (the table of messages says which), and the
   alarm of whatever is live at any time and waits for nobody: a panel without a hold-up has it so.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

from zonewright.behaviour.clockwork import TimelineEntry
from zonewright.behaviour.events import Message, Siren
from zonewright.behaviour.setup import Setup
from zonewright.panel.behaviours import Pattern
from zonewright.reporting.table import TABLE
from zonewright.words.telling import SIRENS

DANGER = frozenset({Pattern.FIRE, Pattern.GAS})


class Call(Enum):
    """What is set off."""

    HELP = "a message that calls for help"
    DANGER = "the sound for fire or gas"
    SIREN = "the siren"


Calls = frozenset[Call]
NO_CALLS: Calls = frozenset()


def calls_in(setup: Setup, entries: Iterable[TimelineEntry]) -> Calls:
    """Return what a run set off."""
    found = set[Call]()
    for entry in entries:
        for output in entry.outputs:
            if isinstance(output, Message) and not output.restore:
                found |= {Call.HELP} if _calls_for_help(setup, output) else set()
            elif isinstance(output, Siren) and output.pattern in SIRENS:
                found.add(Call.SIREN)
                if output.pattern in DANGER:
                    found.add(Call.DANGER)
    return frozenset(found)


def _calls_for_help(setup: Setup, message: Message) -> bool:
    row, zone = TABLE.get(message.name), None if message.zone is None else setup.zone(message.zone)
    of_zone = zone is not None and zone.behaviour.calls_at_once and message.name == zone.behaviour.alarm
    return of_zone or (row is not None and row.help)

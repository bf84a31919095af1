"""Every message that a programmed panel can send, as the station gets it.

Rules of this file:
1. What can be sent is asked of the panel model (its matrix), never concluded from a behaviour's name.
2. The area is the group, the zone or the person's slot the last three digits, in decimal (ordinary use, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from zonewright.behaviour.events import Message
from zonewright.behaviour.matrix import Matrix
from zonewright.reporting.table import TABLE, qualifier
from zonewright.signals.dc03 import Dc03, Dc03Event
from zonewright.signals.dc03 import encode as encode_dc03
from zonewright.signals.dc05 import Dc05


@dataclass(frozen=True, slots=True)
class Expected:
    """One message of the panel with both of its encodings."""

    message: Message
    label: str  # of the zone, or the person's slot
    dc05: Dc05
    dc03: str


def encoded(message: Message, account: str, label: str) -> Expected:
    """Return a message as both formats tell it; raises KeyError for a name that the table lacks."""
    row = TABLE[message.name]
    number = (message.user if row.names == "user" else message.zone) or 0
    dc05 = Dc05(account, row.dc05, f"{message.area:02}", f"{number:03}", qualifier(row, restore=message.restore))
    code = row.over if message.restore else row.begins
    event = Dc03Event(code, f"{number:03}", modifiers=(("ri", str(message.area)),))
    return Expected(message, label, dc05, encode_dc03(Dc03(account, (event,))))


def expected(made: Matrix, account: str) -> tuple[Expected, ...]:
    """Return every message of every zone, its restore behind it, in order of zones; none where nobody is told."""
    labels = {zone.number: zone.label for zone in made.setup.zones}
    found: dict[Message, None] = {}
    for message in _messages(made):
        found[message] = None
        if made.setup.settings.restores and TABLE[message.name].over:
            found[Message(message.name, message.area, message.zone, message.user, restore=True)] = None
    return tuple(encoded(each, account, labels.get(each.zone, "") if each.zone is not None else "") for each in found)


def _messages(made: Matrix) -> Iterator[Message]:
    for cell in sorted(made.cells, key=lambda each: each.zone):
        yield from (output for _, output in cell.outcome if isinstance(output, Message) and not output.restore)

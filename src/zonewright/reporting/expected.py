"""Every message that a programmed panel can send, as the station gets it.

Rules of this file:
1. The panel model says what can be sent (`sendable.py`); it is never concluded from a behaviour's name.
2. The area is the group, the zone or the person's slot the last three digits, in decimal (ordinary use, from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from zonewright.behaviour.devices import covered, with_cells
from zonewright.behaviour.events import Message, PanelMessage
from zonewright.behaviour.setup import Setup, setup_of
from zonewright.panel.resolve import Resolved
from zonewright.reporting.people import hands_of
from zonewright.reporting.sendable import SentScenes
from zonewright.reporting.table import TABLE, qualifier
from zonewright.signals.dc03 import Dc03, Dc03Event
from zonewright.signals.dc03 import encode as encode_dc03
from zonewright.signals.dc05 import Dc05
from zonewright.site.record import ZoneNumber

FEW = 2


@dataclass(frozen=True, slots=True)
class ExpectedMessage:
    """One message of the panel with both of its encodings."""

    message: Message
    label: str  # of the zone, or the person's slot
    dc05: Dc05
    dc03: str


def encoded(message: Message, account: str, label: str) -> ExpectedMessage:
    """Return a message in both formats; raises KeyError for a name that the table lacks."""
    row = TABLE[message.name]
    number = (message.user if row.names == "user" else message.zone) or 0
    dc05 = Dc05(account, row.dc05, f"{message.area:02}", f"{number:03}", qualifier(row, restore=message.restore))
    code = row.over if message.restore else row.begins
    by_switch = message.name in (PanelMessage.SWITCH_OPENING.value, PanelMessage.SWITCH_CLOSING.value)
    address = (message.zone or 0) if by_switch else number  # DC-03 has room for the switch's zone, DC-05 hasn't
    event = Dc03Event(code, f"{address:03}", modifiers=(("ri", str(message.area)),))
    return ExpectedMessage(message, label, dc05, encode_dc03(Dc03(account, (event,))))


def expected(resolved: Resolved, account: str, setup: Setup | None = None) -> tuple[ExpectedMessage, ...]:
    """Return every message that the panel of a site can send, each followed by its restore; none without a station.

    First those of each zone, in order of zones; then those of people's acts, then those about the panel itself.
    """
    setup = setup_of(resolved.programme, resolved.profile) if setup is None else setup
    if not setup.settings.told:
        return ()
    labels = {zone.number: zone.label for zone in setup.zones}
    found = SentScenes(setup, hands_of(resolved), covered(resolved), with_cells(setup)).all()
    told = dict.fromkeys(replace(each, restore=False) for each in found)
    names = {name: n for n, name in enumerate(dict.fromkeys(each.name for each in found))}
    order = {each: (_about(each), each.zone or 0, n) for n, each in enumerate(told)}
    ordered = sorted(found, key=lambda each: (order[replace(each, restore=False)], each.restore, names[each.name]))
    sent = [encoded(each, account, _whose(each, labels, resolved.users)) for each in ordered]
    once: dict[tuple[Dc05, str], list[ExpectedMessage]] = {}  # a bypass doesn't say by whom
    for each in sent:
        once.setdefault((each.dc05, each.dc03), []).append(each)
    return tuple(replace(same[0], label=_any_of(dict.fromkeys(each.label for each in same))) for same in once.values())


def _any_of(labels: Iterable[str]) -> str:
    """Return who a message may be about, if the message doesn't say."""
    labels = tuple(labels)
    return " or ".join(labels) if len(labels) <= FEW else f"{', '.join(labels[:-1])} or {labels[-1]}"


def _about(message: Message) -> int:
    """Return 0 for a message about a zone, 1 for one about a person, 2 for one about the panel itself."""
    return 0 if message.zone is not None else 2 if message.user is None and message.area == 0 else 1


def _whose(message: Message, labels: Mapping[ZoneNumber, str], people: Mapping[int, str]) -> str:
    if message.zone is not None:
        return labels.get(message.zone, "")
    if message.user:
        return people.get(message.user, f"person {message.user}")
    return "nobody by name" if TABLE[message.name].names == "user" else "the panel"

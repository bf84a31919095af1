"""Every message that a programmed panel can send, as the station gets it.

Rules of this file:
1. What can be sent is asked of the panel model (its matrix), never concluded from a behaviour's name.
2. The area is the group, the zone or the person's slot the last three digits, in decimal (ordinary use, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import NamedTuple

from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    Disarm,
    Event,
    Means,
    Message,
    Panic,
    ZoneOpens,
)
from zonewright.behaviour.matrix import Matrix, site_troubles
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.panel.behaviours import Mode
from zonewright.panel.programme import Programme
from zonewright.reporting.table import TABLE, qualifier
from zonewright.signals.dc03 import Dc03, Dc03Event
from zonewright.signals.dc03 import encode as encode_dc03
from zonewright.signals.dc05 import Dc05
from zonewright.site.record import ZoneNumber


class Somebody(NamedTuple):
    """A person's slot: the name that a list shows, and the areas that their code disarms."""

    name: str
    areas: frozenset[int]
    may_panic: bool = False  # whether a button of some remote calls for help


NOBODY: Mapping[int, Somebody] = MappingProxyType({})


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


def expected(made: Matrix, account: str, people: Mapping[int, Somebody] = NOBODY) -> tuple[Expected, ...]:
    """Return every message that can leave the panel, its restore behind it; none where nobody is told.

    First those of each zone, in order of zones; then what people's acts send (`people`, by slot), then what the
    panel tells of itself.
    """
    labels = {zone.number: zone.label for zone in made.setup.zones}
    found: dict[Message, None] = {}
    for message in (*_of_zones(made), *_of_people(made.setup, people), *_of_the_panel(made.setup)):
        found[replace(message, restore=False)] = None
        if made.setup.settings.restores and TABLE[message.name].over:
            found[replace(message, restore=True)] = None
    sent = [encoded(each, account, _whose(each, labels, people)) for each in found]
    return tuple({(each.dc05, each.dc03): each for each in sent}.values())  # a bypass doesn't say by whom


def people_of(programme: Programme, names: Mapping[int, str]) -> dict[int, Somebody]:
    """Return the people that a Programme holds; `names` are those of the site file, by slot."""
    found = {}
    may_panic = any("panic" in programme.fields("remote", n).values() for n in programme.numbers("remote"))
    for slot in programme.numbers("user"):
        areas = programme.fields("user", slot).get("areas", "").split("+")
        known = frozenset(int(area) for area in areas if area.isdigit())
        found[slot] = Somebody(names.get(slot, f"person {slot}"), known, may_panic)
    return found


def _whose(message: Message, labels: Mapping[ZoneNumber, str], people: Mapping[int, Somebody]) -> str:
    if message.zone is not None:
        return labels.get(message.zone, "")
    if message.user is not None:
        return people[message.user].name if message.user in people else f"person {message.user}"
    return "the panel"


def _of_zones(made: Matrix) -> Iterator[Message]:
    for cell in sorted(made.cells, key=lambda each: each.zone):
        yield from (output for _, output in cell.outcome if isinstance(output, Message))


def _of_people(setup: Setup, people: Mapping[int, Somebody]) -> Iterator[Message]:
    """Let each person come home into an alarm, leave a door open, and bypass a zone; yield what that sends besides."""
    of_zones = {zone.behaviour.alarm for zone in setup.zones}
    for slot, somebody in people.items():
        user = UserNumber(slot)
        for area in (each for each in setup.areas if each in somebody.areas):
            scenes = [_alarm_and_back(setup, area, user), _door_left_open(setup, area, user)]
            scenes += [((0, Bypass(zone.number, user)),) for zone in setup.zones_of(area)]
            scenes += [((0, Panic(area, user)),)] if somebody.may_panic else []
            for scene in scenes:
                for entry in run(setup, scene):
                    said = (each for each in entry.outputs if isinstance(each, Message))
                    yield from (each for each in said if each.user is not None or each.name not in of_zones)


def _alarm_and_back(setup: Setup, area: AreaNumber, user: UserNumber) -> tuple[tuple[int, Event], ...]:
    zones = [zone for zone in setup.zones_of(area) if zone.behaviour.abort and Mode.AWAY in zone.behaviour.live]
    start = (0, Arm(area, Mode.AWAY, user, Means.REMOTE))
    if not zones:
        return (start, (1_000, Disarm(area, user)))
    late = 1_000 + zones[0].entry_s + setup.longest_wait(zones[0]) + 1
    return (start, (1_000, ZoneOpens(zones[0].number)), (late, Disarm(area, user)))


def _door_left_open(setup: Setup, area: AreaNumber, user: UserNumber) -> tuple[tuple[int, Event], ...]:
    doors = setup.exit_doors(area)
    opened = ((1, ZoneOpens(doors[0].number)),) if doors else ()
    return ((0, Arm(area, Mode.AWAY, user)), *opened, (2_000, Disarm(area, user)))


def _of_the_panel(setup: Setup) -> Iterator[Message]:
    """Let everything happen to the panel itself, and yield what it tells."""
    for row in site_troubles(setup):
        yield from (output for _, output in row.outcome if isinstance(output, Message))

"""Which devices wrong answers may affect: a bound found without running a panel.

Rules of this file:
1. It never leaves out a device that is affected. A test compares what it rules out with the clockwork.
2. The same wrong answers about one thing affect the same devices each time, so they are worked out once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from zonewright.behaviour.faults import SettingFault
from zonewright.behaviour.setup import AreaNumber, setup_of
from zonewright.entry.slips.keyed_on import Part, thing_of
from zonewright.fieldwork.acting import PanelInHouse, areas_of
from zonewright.panel.programme import Item, Programme, Thing
from zonewright.site.record import ZoneNumber

_OF_ALL = ("setting/", "station/", "panel/")  # items that belong to no single thing
_OF_HEARING = ("/number", "/supervise")  # fields that decide whether a device is heard, or counts as missing
_OF_OTHERS = ("/resistor", "/crosses", "/duress")  # fields that matter beyond their own thing


@dataclass(frozen=True, slots=True)
class _Zone:
    """What wrong answers about one zone affect."""

    number: ZoneNumber
    heard: tuple[ZoneNumber, ...]  # the zones whose devices it then hears
    at_large: bool  # whether it matters for all others
    moved: frozenset[AreaNumber] | None  # its areas then, if they differ from the plan


class Affecting:
    """What wrong answers affect, at one planned panel."""

    def __init__(self, right: PanelInHouse) -> None:
        self.right = right
        self._zones: dict[Part, _Zone] = {}

    def reach(self, parts: Iterable[Part]) -> tuple[frozenset[ZoneNumber], bool]:
        """Return the zones whose devices wrong answers may affect, and whether they may affect all others, too.

        Raises `UnknownValues` or `UnusableValues` if no panel can be made of them.
        """
        zones: list[_Zone] = []
        others: list[Part] = []
        for part in parts:
            if next(iter(part))[0].group == "zone":
                zones.append(self._zone(part))
            else:
                others.append(part)
        right = self.right
        if others:
            held = Programme(right.planned.panel, right.shared).changed(dict(each for part in others for each in part))
            setup_of(held, right.profile)
        at_large = any(zone.at_large for zone in zones) or any(map(_at_large, others))
        moved = {zone.number: zone.moved for zone in zones if zone.moved is not None}
        if moved and not at_large:
            stay = (zone.areas for zone in right.setup.zones if zone.number not in moved)
            at_large = frozenset().union(*moved.values(), *stay) != set(right.setup.areas)
        return frozenset(zone.number for zone in zones).union(*(zone.heard for zone in zones)), at_large

    def _zone(self, part: Part) -> _Zone:
        if part not in self._zones:
            self._zones[part] = self._settled(part)
        return self._zones[part]

    def _settled(self, part: Part) -> _Zone:
        right, mine = self.right, dict(part)
        number = ZoneNumber(thing_of(next(iter(mine)))[1])
        old, new = right.setup.zone(number), right.zone_with(number, mine)
        there = [zone for zone in (old, new) if zone is not None]
        leaves = any(zone.behaviour.exit_door or zone.behaviour.arms is not None for zone in there)
        differs = leaves and len({(zone.areas, zone.behaviour) for zone in there}) + (len(there) < 2) > 1
        sender = right.sender_with(number, mine) if new is not None else None
        missed = right.stops_setting(SettingFault.MISSING) and any(item.endswith(_OF_HEARING) for item in mine)
        return _Zone(
            number, right.hears.get(sender, ()) if sender is not None else (),
            differs or missed or number in right.pairs or _at_large(part),
            areas_of(new) if areas_of(new) != areas_of(old) else None,
        )  # fmt: skip

    def things(self, items: Iterable[Item]) -> frozenset[Thing]:
        """Return the things that wrong answers are about; a remote may have another's number, so one stands for all."""
        found = {item.thing for item in items}
        if any(thing.group == "remote" for thing in found):
            found |= {Thing.of("remote", number) for number in self.right.planned.numbers("remote")}
        return frozenset(found)


def _at_large(part: Part) -> bool:
    return any(item.startswith(_OF_ALL) or item.endswith(_OF_OTHERS) for item, _ in part)

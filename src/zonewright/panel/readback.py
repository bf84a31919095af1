"""A readback: what somebody read at a panel that somebody else programmed, item by item.

Rules of this file:
1. What was never asked isn't in it; what was asked and not answered is UNKNOWN. Only `no_more` says that every zone
   (person, remote) of the panel is in it.
2. As a Programme, everything that wasn't read is UNKNOWN, except that an item that can't exist, given the rest, holds
   its `otherwise`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from zonewright.panel.legal import beside, may_exist
from zonewright.panel.profile import Profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of

SAID_BY_A_SITE = ("zone", "user", "remote")  # the numbered things that a site file has words for


@dataclass(frozen=True, slots=True)
class Readback:
    """What was read so far; `panel` names the profile as in a site file: shipped, or a path relative to the file."""

    panel: str
    values: Mapping[Item, Value] = field(
        default_factory=dict
    )  # of every item asked, in the order of asking; UNKNOWN: not answered
    no_more: frozenset[str] = frozenset()  # groups of which every number in use was read

    def numbers(self, group: str) -> tuple[int, ...]:
        """Return the numbers of a group that were read, ascending."""
        return Programme(self.panel, self.values).numbers(group)

    def changed(self, changes: Mapping[Item, Value | None]) -> Readback:
        """Return a readback with these answers; None takes one out."""
        values = {**self.values, **changes}
        kept = {item: value for item, value in values.items() if value is not None}
        return Readback(self.panel, MappingProxyType(kept), self.no_more)


def programme_of(profile: Profile, readback: Readback) -> Programme:
    """Return what a panel holds as far as it was read: every item of every number read, UNKNOWN if it wasn't.

    An item that can't exist, given what is known, holds its `otherwise`.
    """
    values = {item: readback.values.get(item, UNKNOWN) for item in _all_items(profile, readback)}
    before: dict[Item, Value] = {}
    while values != before:  # that an item doesn't exist may decide whether others do
        before = dict(values)
        for item in values:
            rule = profile.items[item.pattern]
            if rule.otherwise is not None and not may_exist(rule, beside(item, values)):
                values[item] = Value(rule.otherwise)
    return Programme(profile.panel, values)


def before_and_after(profile: Profile, held: Programme, plan: Programme) -> tuple[Programme, Programme]:
    """Return what a panel holds before and after the keys that bring it to the plan of a site file.

    An item that can't be keyed is as the profile says, if it wasn't read; what a site file can't say stays as it is.
    """
    shown_only = [Item(item) for item, rule in profile.items.items() if rule.shown_only]
    read = held.changed({item: Value(profile.edition) for item in shown_only if held.get(item) == UNKNOWN})
    unsaid = [item for item in read if item.count("/") == 2 and item.group not in SAID_BY_A_SITE]
    return read, plan.changed({item: read[item] for item in unsaid})


def still_there(profile: Profile, readback: Readback) -> Readback:
    """Return a readback without answers about items that, given the others (one may have changed), can't exist."""
    held = programme_of(profile, readback).values
    gone = [item for item in readback.values if not may_exist(profile.items[item.pattern], beside(item, held))]
    return readback.changed(dict.fromkeys(gone)) if gone else readback


def or_unknown(item: Item, values: Mapping[Item, Value]) -> Callable[[str], str | None]:
    """Return a look-up of the fields of an item's thing; UNKNOWN if there is none."""
    start = item.thing
    return lambda name: values.get(Item(f"{start}/{name}"), UNKNOWN)


def _all_items(profile: Profile, readback: Readback) -> Iterator[Item]:
    for pattern in profile.items:
        if not pattern.is_of_many:
            yield pattern
            continue
        yield from (item_of(pattern.group, number, pattern.field) for number in readback.numbers(pattern.group))

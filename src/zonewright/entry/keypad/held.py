"""What a panel holds, written as a few differences from a plan: thousands are made in one job, each slightly different.

Rules of this file:
1. It is read like any other map. Two are equal if they have the same plan object and the same differences.
2. A difference never repeats the plan's own value.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from zonewright.panel.programme import Item, Value


class ChangedPlan(Mapping[Item, Value]):
    """What is planned, with a few items changed; None means that an item isn't there."""

    __slots__ = ("_hash", "_values", "differences", "planned")

    def __init__(
        self, planned: Mapping[Item, Value], differences: Mapping[Item, Value | None], values: set[Value] | None = None
    ) -> None:
        self.planned, self.differences = planned, differences
        self._values: set[Value] = set(planned.values()) if values is None else values
        self._hash: int | None = None

    def but(self, changes: Mapping[Item, Value | None]) -> ChangedPlan:
        """Return this with these values changed; None takes an item out."""
        differences = dict(self.differences)
        for item, value in changes.items():
            if self.planned.get(item) == value:
                differences.pop(item, None)
            else:
                differences[item] = value
        return ChangedPlan(self.planned, differences, self._values)

    def may_hold(self, value: Value) -> bool:
        """Return whether any item may hold a value, without looking at each."""
        return value in self._values or value in self.differences.values()

    def __getitem__(self, item: Item) -> Value:
        value = self.get(item)
        if value is None:
            raise KeyError(item)
        return value

    def get(self, item: Item, default: Value | None = None) -> Value | None:  # type: ignore[override]
        """Return what is held; None, or the default, if nothing is."""
        if item in self.differences:
            value = self.differences[item]
            return default if value is None else value
        return self.planned.get(item, default)

    def __contains__(self, item: object) -> bool:
        if item in self.differences:
            return self.differences[item] is not None  # type: ignore[index]
        return item in self.planned

    def __iter__(self) -> Iterator[Item]:
        yield from (item for item in self.planned if item not in self.differences)
        yield from (item for item, value in self.differences.items() if value is not None)

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, ChangedPlan):
            return NotImplemented
        return self.planned is other.planned and self.differences == other.differences

    def __hash__(self) -> int:
        if self._hash is None:
            self._hash = hash(frozenset(self.differences.items()))
        return self._hash


def changed(held: Mapping[Item, Value], changes: Mapping[Item, Value | None]) -> Mapping[Item, Value]:
    """Return what is held with these values changed; None takes an item out."""
    if isinstance(held, ChangedPlan):
        return held.but(changes)
    made = {**held, **{item: value for item, value in changes.items() if value is not None}}
    for item in (item for item, value in changes.items() if value is None):
        made.pop(item, None)
    return made

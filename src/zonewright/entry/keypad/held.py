"""What a panel holds, as what of a map it holds otherwise: of one job thousands are made, each otherwise in little.

Rules of this file:
1. It is read as any other map. Two are equal if they differ alike from the very same map.
2. What it says of an item is never what that map says of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from zonewright.panel.programme import Item, Value


class ChangedPlan(Mapping[Item, Value]):
    """What is planned, but for a few items; None stands for one that isn't there."""

    __slots__ = ("_hash", "_values", "otherwise", "planned")

    def __init__(
        self, planned: Mapping[Item, Value], otherwise: Mapping[Item, Value | None], values: set[Value] | None = None
    ) -> None:
        self.planned, self.otherwise = planned, otherwise
        self._values: set[Value] = set(planned.values()) if values is None else values
        self._hash: int | None = None

    def but(self, changes: Mapping[Item, Value | None]) -> ChangedPlan:
        """Return this with these values; None takes an item out."""
        otherwise = dict(self.otherwise)
        for item, value in changes.items():
            if self.planned.get(item) == value:
                otherwise.pop(item, None)
            else:
                otherwise[item] = value
        return ChangedPlan(self.planned, otherwise, self._values)

    def may_hold(self, value: Value) -> bool:
        """Return whether any item may hold a value; found without looking at each."""
        return value in self._values or value in self.otherwise.values()

    def __getitem__(self, item: Item) -> Value:
        value = self.get(item)
        if value is None:
            raise KeyError(item)
        return value

    def get(self, item: Item, default: Value | None = None) -> Value | None:  # type: ignore[override]
        """Return what is held; None, or the default, where nothing is."""
        if item in self.otherwise:
            value = self.otherwise[item]
            return default if value is None else value
        return self.planned.get(item, default)

    def __contains__(self, item: object) -> bool:
        if item in self.otherwise:
            return self.otherwise[item] is not None  # type: ignore[index]
        return item in self.planned

    def __iter__(self) -> Iterator[Item]:
        yield from (item for item in self.planned if item not in self.otherwise)
        yield from (item for item, value in self.otherwise.items() if value is not None)

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, ChangedPlan):
            return NotImplemented
        return self.planned is other.planned and self.otherwise == other.otherwise

    def __hash__(self) -> int:
        if self._hash is None:
            self._hash = hash(frozenset(self.otherwise.items()))
        return self._hash


def changed(held: Mapping[Item, Value], changes: Mapping[Item, Value | None]) -> Mapping[Item, Value]:
    """Return what is held with these values; None takes an item out."""
    if isinstance(held, ChangedPlan):
        return held.but(changes)
    made = {**held, **{item: value for item, value in changes.items() if value is not None}}
    for item in (item for item, value in changes.items() if value is None):
        made.pop(item, None)
    return made

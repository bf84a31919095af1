"""What a panel holds: a plain, immutable map from item to value.

Rules of this file:
1. An item is a path: `setting/exit-time`, `zone/14/behaviour`, `user/2/role`. A value is the text that the profile's
   answers know: `60`, `perimeter`, `yes`. The map holds all of them, also those that no engine reads, so that neither
   sheet nor delta can forget one.
2. A value may be UNKNOWN after a take-over. UNKNOWN equals nothing but itself, and whoever reads it must say so.
3. A zone or a slot exists when any item of it is in the map. An item that doesn't exist under its conditions holds its
   profile's `otherwise`, never nothing: so two Programmes are equal when the maps are.
"""

from __future__ import annotations

import copyreg
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, NewType

Item = NewType("Item", str)
Value = NewType("Value", str)
UNKNOWN = Value("?")


def _unchangeable(values: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(values)


# So that a Programme goes to another process: Python knows no way to hand such a map over.
copyreg.pickle(MappingProxyType, lambda held: (_unchangeable, (dict(held),)))


def item_of(group: str, number: int, field: str) -> Item:
    """Return the item of one numbered thing: `item_of("zone", 14, "delay")` is `zone/14/delay`."""
    return Item(f"{group}/{number}/{field}")


@dataclass(frozen=True, slots=True)
class Programme:
    """Everything one panel holds; `panel` is the profile's name."""

    panel: str
    values: Mapping[Item, Value]
    _numbered: dict[str, dict[int, dict[str, Value]]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        object.__setattr__(self, "values", MappingProxyType(dict(self.values)))

    def __getitem__(self, item: Item) -> Value:
        return self.values[item]

    def get(self, item: Item) -> Value | None:
        """Return the value held, or None where the panel holds no such item."""
        return self.values.get(item)

    def __contains__(self, item: object) -> bool:
        return item in self.values

    def __iter__(self) -> Iterator[Item]:
        return iter(self.values)

    def numbers(self, group: str) -> tuple[int, ...]:
        """Return the numbers in use of a group (`zone`, `user`), ascending."""
        return tuple(sorted(self._groups().get(group, ())))

    def fields(self, group: str, number: int) -> dict[str, Value]:
        """Return field -> value of one numbered thing, empty if it isn't in use."""
        return dict(self._groups().get(group, {}).get(number, {}))

    def _groups(self) -> dict[str, dict[int, dict[str, Value]]]:
        """Return group -> number -> field -> value; worked out when it is first asked for."""
        if not self._numbered:
            for item, value in self.values.items():
                parts = item.split("/")
                if len(parts) == 3:
                    self._numbered.setdefault(parts[0], {}).setdefault(int(parts[1]), {})[parts[2]] = value
        return self._numbered

    def changed(self, changes: Mapping[Item, Value | None]) -> Programme:
        """Return a Programme with these values; None takes an item out."""
        values = dict(self.values)
        for item, value in changes.items():
            if value is None:
                values.pop(item, None)
            else:
                values[item] = value
        return Programme(self.panel, values)

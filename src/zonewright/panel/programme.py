"""What a panel holds: a plain, immutable map from item to value.

Rules of this file:
1. An item is a field of a thing (`Item`); only its own properties split its text. A value is the text that the
   profile's answers know: `60`, `perimeter`, `yes`. The map holds all of them, also those that no engine reads, so that
   neither sheet nor delta can forget one.
2. A value may be UNKNOWN after a take-over. UNKNOWN equals nothing but itself, and code that reads it must say so.
3. A zone or a slot exists if any item of it is in the map. An item that doesn't exist under its conditions holds its
   profile's `otherwise`, never nothing, so two Programmes are equal if their maps are.
"""

from __future__ import annotations

import copyreg
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import Any, NewType

from pydantic_core import CoreSchema
from pydantic_core.core_schema import no_info_after_validator_function, str_schema

Value = NewType("Value", str)
UNKNOWN = Value("?")
KEPT = 1 << 16  # items whose parts are cached: a bound, so that a server with many sites doesn't grow without end


def _unchangeable(values: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(values)


# So that a Programme can go to another process: Python itself can't pickle such a map.
copyreg.pickle(MappingProxyType, lambda held: (_unchangeable, (dict(held),)))


class Thing(str):
    """What several items are about: `zone/14`, `user/2`, `setting`; in a pattern `zone/*`."""

    __slots__ = ()

    @classmethod
    def of(cls, group: str, number: int) -> Thing:
        """Return a numbered thing."""
        return cls(f"{group}/{number}")

    @property
    def group(self) -> str:
        """Return what kind of thing it is: `zone`, `setting`."""
        return self.partition("/")[0]

    @property
    def number(self) -> int | None:
        """Return its number; None for a thing that exists once, and in a pattern."""
        number = self.partition("/")[2]
        return int(number) if number.isascii() and number.isdigit() else None

    @property
    def words(self) -> str:
        """Return it in words: "zone 14", "setting"."""
        return self.replace("/", " ")


class Item(str):
    """One place of a panel's memory: a field of a thing, `setting/exit-time`, `zone/14/delay`.

    Its properties give its parts; nobody else splits it. Files have it as a text: a profile with a star in place of the
    number, for all things of a group (`zone/*/delay`).
    """

    __slots__ = ()

    @property
    def thing(self) -> Thing:
        """Return what it is about."""
        return _thing(self)

    @property
    def group(self) -> str:
        """Return what kind of thing it is about: `zone`, `setting`."""
        return self.partition("/")[0]

    @property
    def number(self) -> int | None:
        """Return the number of the thing; None for a thing that exists once, and in a pattern."""
        return _thing(self).number

    @property
    def field(self) -> str:
        """Return which field of the thing it is: `delay`."""
        return self.rpartition("/")[2]

    @property
    def words(self) -> str:
        """Return the field in words: "exit time"."""
        return self.rpartition("/")[2].replace("-", " ")

    @property
    def pattern(self) -> Item:
        """Return the item with a star in place of its number, as a profile writes it."""
        return _pattern(self)

    @property
    def is_of_many(self) -> bool:
        """Return whether it is a field of a numbered thing, or the pattern of one."""
        return self.count("/") == 2

    @classmethod
    def __get_pydantic_core_schema__(cls, _source: object, _handler: object) -> CoreSchema:
        """Read an item of a profile, where it is a text."""
        return no_info_after_validator_function(cls, str_schema())

    def beside(self, field: str) -> Item:
        """Return another field of the same thing."""
        return Item(f"{_thing(self)}/{field}")


@lru_cache(maxsize=KEPT)
def _thing(item: str) -> Thing:
    return Thing(item.rpartition("/")[0])


@lru_cache(maxsize=KEPT)
def _pattern(item: str) -> Item:
    group, *rest = item.split("/")
    return Item(f"{group}/*/{rest[1]}") if len(rest) == 2 else Item(item)


def setting_item(name: str) -> Item:
    """Return the item of a setting, by its name in a site file: "exit time"."""
    return Item(f"setting/{name.replace(' ', '-')}")


def areas_in(value: str | None) -> tuple[int, ...]:
    """Return the areas that a value names, ascending: `1`, or `1+2`; () if it names anything else."""
    parts = (value or "").split("+")
    return tuple(sorted(map(int, parts))) if all(map(_is_number, parts)) else ()


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 10


def areas_value(areas: Iterable[int]) -> Value:
    """Return the value that names these areas, as `areas_in` reads it."""
    return Value("+".join(map(str, sorted(areas))))


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
        """Return the value held; None if the panel holds no such item."""
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
        """Return group -> number -> field -> value; worked out on demand."""
        if not self._numbered:
            for item, value in self.values.items():
                number = item.number
                if number is not None:
                    self._numbered.setdefault(item.group, {}).setdefault(number, {})[item.field] = value
        return self._numbered

    def changed(self, changes: Mapping[Item, Value | None]) -> Programme:
        """Return a Programme with these values changed; None takes an item out."""
        values = dict(self.values)
        for item, value in changes.items():
            if value is None:
                values.pop(item, None)
            else:
                values[item] = value
        return Programme(self.panel, values)

"""The state of a keypad, and what can be read from it: present values, what a list or a ring offers, places.

Rules of this file:
1. Nothing here takes a key or changes a state.
2. A state is a value: pressing returns a new one, and a search may keep thousands.
3. What was answered waits; what was kept is held. What waits is read first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from zonewright.panel.profile import (
    Address,
    Answer,
    ListEntry,
    Profile,
    ScriptNode,
)
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of

PAIR = 2  # letters of a place
HEARD = "heard"  # the buffer of a trip node once its device was heard and all was kept


class KeypadState(NamedTuple):
    """The state of the keypad. `waiting` is keyed by item with `*` for a number that may not be bound yet.

    A named tuple, since searches make them by the hundred thousand.
    """

    node: str
    held: Mapping[Item, Value]
    waiting: Mapping[Item, Value]
    group: str | None = None  # the group whose number is bound
    number: int | None = None
    buffer: str = ""
    message: str = ""
    trail: tuple[str, ...] = ()  # the questions before this one, for `back: previous`

    @property
    def key(self) -> tuple[object, ...]:
        """Return a key that distinguishes states of one search, except by `held` and the message."""
        return (self.node, self.number, self.buffer, frozenset(self.waiting.items()), self.trail)

    def typed(self, buffer: str, message: str = "") -> KeypadState:
        """Return the state with this typed so far and this message; without `_replace`, since most keys come here."""
        return KeypadState(
            self.node, self.held, self.waiting, self.group, self.number, buffer, message, self.trail
        )  # fmt: skip


def at_rest(profile: Profile, programme: Programme) -> KeypadState:
    """Return a keypad at rest whose panel holds this Programme."""
    return KeypadState(profile.rest, programme.values, {})


def programme_of(profile: Profile, state: KeypadState) -> Programme:
    """Return what the panel holds now."""
    return Programme(profile.panel, state.held)


def present_value(profile: Profile, state: KeypadState, item: Item) -> Value | None:
    """Return what a question of the script shows as its present answer: what waits, else what is held.

    None if nothing was answered yet. An item that vanished at a keep, and holds its `otherwise`, was never answered. If
    nobody knows whether it exists, nobody knows what it shows.
    """
    waiting = state.waiting.get(item)
    if waiting is not None:
        return waiting
    held = held_value(state, item)
    rule = profile.items[item]
    default = Value(rule.default) if rule.default is not None else None
    if not rule.when:
        return default if held is None else held
    if held is None:
        return default
    beside = [held_value(state, item.beside(when.field)) for when in rule.when]
    if UNKNOWN in beside:
        return UNKNOWN if held == rule.otherwise else held
    return held if all(when.met_by(value) for when, value in zip(rule.when, beside, strict=True)) else default


def held_value(state: KeypadState, item: Item) -> Value | None:
    """Return what the panel holds for an item of the script; `*` means the bound number."""
    if not item.is_of_many:
        return state.held.get(item)
    if state.group != item.group or state.number is None:
        return None
    return state.held.get(item_of(item.group, state.number, item.field))


def value_of(profile: Profile, state: KeypadState, about: Item) -> Callable[[str], str | None]:
    """Return a look-up of the present values of the fields of an item's thing, as the keypad has them."""
    start = about.thing

    def look(field: str) -> str | None:
        item = Item(f"{start}/{field}")
        if item not in profile.items:
            return None
        return present_value(profile, state, item)

    return look


def answer_at(profile: Profile, node: ScriptNode) -> Answer | None:
    """Return how the question of a node is answered; None if it asks none."""
    if node.ask is not None:
        return profile.answers[profile.items[node.ask].how or ""]
    name = node.code or node.how
    if node.place is not None:
        return None
    return profile.answers[name] if name is not None else None


def free_number(profile: Profile, state: KeypadState, group: str) -> int | None:
    """Return the lowest number of a group that isn't in use; None when all are."""
    items = profile.numbered(group, profile.groups[group][0])
    return next((number for number, item in enumerate(items, 1) if item not in state.held), None)


def is_used(profile: Profile, held: Mapping[Item, Value], group: str, number: int) -> bool:
    """Return whether a number of a group is in use; if so, it holds every field of the group."""
    first = profile.groups[group][0]
    return item_of(group, number, first) in held


def ring(profile: Profile, state: KeypadState, node: ScriptNode) -> tuple[int, ...]:
    """Return the numbers that a ring offers, ascending."""
    group = node.which or ""
    if node.only == "any":
        return tuple(range(1, profile.limit(group) + 1))
    items = profile.numbered(group, profile.groups[group][0])
    wanted = node.only == "used"
    return tuple(number for number, item in enumerate(items, 1) if (item in state.held) == wanted)


def entries(profile: Profile, state: KeypadState, node: ScriptNode) -> tuple[ListEntry, ...]:
    """Return the entries of a list that are there now, in order."""
    return tuple(entry for entry in node.list_ or () if not entry.when or _is_there(profile, state, entry))


def _is_there(profile: Profile, state: KeypadState, entry: ListEntry) -> bool:
    look = value_of(profile, state, entry.echo or Item(f"{state.group}/*/?"))
    return all(when.met_by(look(when.field)) for when in entry.when)


def place_of(profile: Profile, node: ScriptNode, number: int) -> tuple[Address, int | None] | None:
    """Return the block and the thing's number that a typed group number opens; None if there is none."""
    for block in node.place or ():
        first = next(iter(block.fields))
        if not first.is_of_many:
            if number == block.first:
                return block, None
            continue
        if 0 <= number - block.first < profile.limit(first.group):
            return block, number - block.first + 1
    return None


def address(profile: Profile, node: ScriptNode, item: Item, number: int | None) -> tuple[str, ...] | None:
    """Return the keys that open the place of an item; None if the node has no such place."""
    for block in node.place or ():
        if item in block.fields:
            typed_number = block.first + (number - 1 if number is not None else 0)
            return (*str(typed_number).zfill(profile.place_width), *block.fields[item].partition(" ")[0])
    return None

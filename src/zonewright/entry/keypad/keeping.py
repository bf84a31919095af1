"""What a keypad holds after a keep, after an answer that resets others, or after a number is taken out.

Rules of this file:
1. Keeping merges what waits into what is held, then sets each item that no longer exists to its `otherwise`.
2. What depends on an unknown answer is unknown.
"""

from __future__ import annotations

from collections.abc import Mapping

from zonewright.entry.keypad.held import ChangedPlan, changed
from zonewright.entry.keypad.standing import KeypadState, held_value
from zonewright.panel.legal import exists
from zonewright.panel.profile import (
    ItemRule,
    Profile,
)
from zonewright.panel.programme import UNKNOWN, Item, Value, item_of


def all_held(state: KeypadState) -> bool:
    """Return whether a keep would change nothing."""
    return all(held_value(state, item) == value for item, value in state.waiting.items())


def reset_by(profile: Profile, item: Item, present: Value | None, value: Value) -> dict[Item, Value]:
    """Return the items that an answer resets, with their new values; unknown if nobody knows whether it changed.

    These are only what the profile states (`resets`), and after an unknown answer also whatever depends on it.
    """
    if present == value or present is None:
        return {}
    result: dict[Item, Value] = {}
    for field in profile.items[item].resets:
        rule = profile.items[item.beside(field)]
        fallen = UNKNOWN if present == UNKNOWN else rule.default
        if fallen is not None:
            result[item.beside(field)] = Value(fallen)
    if present == UNKNOWN:
        for other in profile.hanging_on(item):
            result.setdefault(Item(other), UNKNOWN)
    return result


def kept(profile: Profile, state: KeypadState) -> KeypadState:
    """Return the state after all that waits was kept; no number is bound then."""
    changes: dict[Item, Value | None] = {Item(item): value for item, value in state.waiting.items() if "*" not in item}
    for start in {item.thing for item in changes}:
        _settle_single(profile, changes, start, state)
    if state.group is not None and state.number is not None and any("*" in item for item in state.waiting):
        fields = merged(profile, state.held, state.waiting, state.group, state.number)
        changes.update({item_of(state.group, state.number, field): value for field, value in fields.items()})
    return KeypadState(state.node, changed(state.held, changes), {})


def _settle_single(profile: Profile, changes: dict[Item, Value | None], start: str, state: KeypadState) -> None:
    def now(field: str) -> Value | None:
        item = Item(f"{start}/{field}")
        return changes[item] if item in changes else state.held.get(item)

    for pattern, rule in profile.items.items():
        if pattern.thing != start or rule.otherwise is None:
            continue
        if not exists(rule, now):
            changes[Item(pattern)] = Value(rule.otherwise)
            continue
        comes = rule.default is not None and pattern not in state.waiting
        if comes and not exists(rule, lambda field: state.held.get(Item(f"{start}/{field}"))):
            changes[Item(pattern)] = Value(rule.default or "")


def merged(
    profile: Profile, held: Mapping[Item, Value], waiting: Mapping[Item, Value], group: str, number: int
) -> dict[str, Value]:
    """Return the fields of one number after a keep: waiting values replace held ones; what doesn't exist is reset."""
    fields: dict[str, Value] = {}
    start = f"{group}/{number}/"
    for field, pattern, rule in profile.fields_of(group):
        value = waiting.get(Item(pattern))
        if not value:
            before = held.get(Item(start + field))
            value = before if rule.default is None else _or_default(rule, before, held, start)
        if rule.when and not exists(rule, fields.get):
            value = UNKNOWN if _cannot_be_told(rule, fields) else Value(rule.otherwise or "")
        if value is not None:
            fields[field] = value
    return fields


def _or_default(rule: ItemRule, before: Value | None, held: Mapping[Item, Value], start: str) -> Value:
    """Return what an unanswered field holds: its earlier value, or its default if it wasn't there before."""
    if before is None or (rule.when and not exists(rule, lambda field: held.get(Item(start + field)))):
        return Value(rule.default or "")
    return before


def _cannot_be_told(rule: ItemRule, fields: Mapping[str, Value]) -> bool:
    return any(fields.get(when.field) == UNKNOWN for when in rule.when)


def missing_item(profile: Profile, state: KeypadState) -> str | None:
    """Return the first item that a keep would leave without a value; None if there is none."""
    if state.group is None or state.number is None:
        return None
    fields = merged(profile, state.held, state.waiting, state.group, state.number)
    for field in profile.groups[state.group]:
        if field not in fields:
            return f"{state.group}/*/{field}"
    return None


def forgotten(state: KeypadState, group: str) -> KeypadState:
    """Return the state after the bound number was taken out."""
    thing = f"{group}/{state.number}"
    gone = dict.fromkeys(item for item in state.held if item.thing == thing)
    return KeypadState(state.node, changed(state.held, gone), {})


def owner(
    profile: Profile, held: Mapping[Item, Value], group: str, number: int, fields: Mapping[str, Value]
) -> int | None:
    """Return the other number that has learnt the same device by the same input."""
    learnt, by = Value(fields["number"]), fields.get("input")
    if isinstance(held, ChangedPlan) and not held.may_hold(learnt):
        return None
    rule = profile.items.get(Item(f"{group}/*/input"))
    only = rule.otherwise if rule is not None else None
    for other, item in enumerate(profile.numbered(group, "number"), 1):
        if held.get(item) == learnt and other != number:
            theirs = held.get(item_of(group, other, "input"))
            if theirs == by or only in (theirs, by):
                return other
    return None

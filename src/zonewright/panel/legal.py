"""Programmes that a panel can hold: recognizing one, and drawing one at random.

Rules of this file:
1. Only this file decides from its conditions whether an item exists (`exists`).
2. Random ones are legal from the start, nothing is drawn and thrown away; tests, benchmarks and the proof that a
   profile round-trips all use these.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Mapping

from zonewright.panel.answers import any_value, refuses
from zonewright.panel.profile import ItemRule, Profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of


def exists(rule: ItemRule, value_of: Callable[[str], str | None]) -> bool:
    """Return whether an item exists, given the values of its thing's other fields."""
    for when in rule.when:  # noqa: SIM110 (called very often: twice as fast as `all` of a few)
        if not when.met_by(value_of(when.field)):
            return False
    return True


def may_exist(rule: ItemRule, value_of: Callable[[str], str | None]) -> bool:
    """Return whether an item may exist if some of its thing's other fields are UNKNOWN: no known one rules it out."""
    return all((value := value_of(when.field)) == UNKNOWN or when.met_by(value) for when in rule.when)


def beside(item: Item, values: Mapping[Item, Value]) -> Callable[[str], str | None]:
    """Return a look-up of the fields of an item's thing: the same zone's, the same slot's, the same group's."""
    start = item.thing
    return lambda field: values.get(Item(f"{start}/{field}"))


def single_items(profile: Profile) -> tuple[Item, ...]:
    """Return the items that exist once: settings and the like, in the profile's order."""
    return tuple(Item(pattern) for pattern in profile.items if "/*/" not in pattern)


def settled(profile: Profile, values: Mapping[Item, Value]) -> dict[Item, Value]:
    """Return the values with each item that doesn't exist set to its rule's `otherwise`.

    If nobody knows whether it exists, it stays as it is.
    """
    result = dict(values)
    for pattern, rule in profile.items.items():
        if not rule.when or rule.otherwise is None:
            continue
        for item in _matching(pattern, result):
            look = beside(item, result)
            if not exists(rule, look) and not any(look(when.field) == UNKNOWN for when in rule.when):
                result[item] = Value(rule.otherwise)
    return result


def as_shipped(profile: Profile) -> Programme:
    """Return what the panel holds out of the box: its defaults, no zone, no person."""
    values: dict[Item, Value] = {}
    for item in single_items(profile):
        rule = profile.items[item]
        if rule.shown_only:
            values[item] = Value(profile.edition)
        elif rule.default is not None:
            values[item] = Value(rule.default)
        elif rule.otherwise is not None:
            values[item] = Value(rule.otherwise)
    return Programme(profile.panel, settled(profile, values))


def why_illegal(profile: Profile, programme: Programme) -> list[str]:
    """Return, in words, everything in a Programme that the panel can't hold; empty if it can hold it."""
    reasons: list[str] = []
    for item, value in programme.values.items():
        rule = profile.rule_of(item)
        if rule is None:
            reasons.append(f"{item}: the panel holds no such item")
        elif not exists(rule, beside(item, programme.values)):
            if value != rule.otherwise:
                reasons.append(f"{item}: {value} although it doesn't exist here")
        elif rule.how is not None and (why := refuses(profile.answers[rule.how], value)):
            reasons.append(f"{item}: {value}: {why}")
    for group, fields in profile.groups.items():
        for number in programme.numbers(group):
            held = programme.fields(group, number)
            reasons += [f"{group}/{number}/{field}: missing" for field in fields if field not in held]
    reasons += [f"{item}: missing" for item in single_items(profile) if item not in programme]
    return reasons


def random_programme(profile: Profile, rng: random.Random, zones: int, users: int = 0, remotes: int = 0) -> Programme:
    """Return a legal Programme with this many zones, people and remotes, every value drawn by its own answer."""
    values = dict(as_shipped(profile).values)
    for item in single_items(profile):
        _draw(profile, rng, values, item)
    for group, count in (("zone", zones), ("user", users), ("remote", remotes)):
        if group not in profile.groups:
            continue
        for number in sorted(rng.sample(range(1, profile.limit(group) + 1), count)):
            for field in profile.groups.get(group, ()):
                _draw(profile, rng, values, item_of(group, number, field))
    return Programme(profile.panel, values)


def random_change(profile: Profile, rng: random.Random, old: Programme, changes: int) -> Programme:
    """Return a legal Programme near this one: some answers changed, perhaps a zone gone, perhaps another one new."""
    values = dict(old.values)
    changeable = [item for item in values if profile.answer_of(item) is not None]
    for item in rng.sample(changeable, min(changes, len(changeable))):
        _draw(profile, rng, values, item)
    zones = list(old.numbers("zone"))
    if zones and rng.random() < 0.3:
        gone = rng.choice(zones)
        values = {item: value for item, value in values.items() if item.thing != f"zone/{gone}"}
    free = [number for number in range(1, profile.limits.zones + 1) if number not in zones]
    if free and rng.random() < 0.3:
        for field in profile.groups["zone"]:
            _draw(profile, rng, values, item_of("zone", rng.choice(free[:1]), field))
    return Programme(profile.panel, settled(profile, _repaired(profile, rng, values)))


def completion(profile: Profile, rng: random.Random, known: Programme) -> Programme:
    """Return a Programme that a panel may hold as far as it is known: no known value is changed.

    There must be one, as there is for anything that was read at a panel.
    """
    while True:
        values = dict(known.values)
        for item in [item for item, value in known.values.items() if value == UNKNOWN]:
            answer = profile.answer_of(item)
            values[item] = Value(any_value(answer, rng)) if answer is not None else UNKNOWN
        made = Programme(profile.panel, settled(profile, values))
        kept = all(made[item] == value for item, value in known.values.items() if value != UNKNOWN)
        if kept and not why_illegal(profile, made):
            return made


def _draw(profile: Profile, rng: random.Random, values: dict[Item, Value], item: Item) -> None:
    rule = profile.items[item.pattern]
    if not exists(rule, beside(item, values)):
        values[item] = Value(rule.otherwise or "")
        return
    if rule.how is None:
        return
    answer = profile.answers[rule.how]
    value = any_value(answer, rng)
    if item.field == "crosses":  # with a zone that is there, or with none
        others = {str(other.number) for other in values if other.group == "zone"} - {str(item.number)}
        value = rng.choice(["0", *sorted(each for each in others if refuses(answer, each) is None)])
    while item.field == "number" and _learnt_already(values, item, value):
        value = any_value(answer, rng)
    values[item] = Value(value)


def _learnt_already(values: Mapping[Item, Value], item: Item, value: str) -> bool:
    return any(other != item and other.field == "number" and held == value for other, held in values.items())


def _repaired(profile: Profile, rng: random.Random, values: dict[Item, Value]) -> dict[Item, Value]:
    """Draw a value for each item that exists now but still holds its earlier `otherwise`."""
    for pattern, rule in profile.items.items():
        if not rule.when or rule.how is None:
            continue
        for item in _matching(pattern, values):
            if exists(rule, beside(item, values)) and refuses(profile.answers[rule.how], values[item]) is not None:
                _draw(profile, rng, values, item)
    return values


def _matching(pattern: str, values: Iterable[Item]) -> list[Item]:
    return [item for item in values if item.pattern == pattern]

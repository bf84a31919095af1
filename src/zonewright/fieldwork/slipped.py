"""Every single slip of a Programme: one answer given wrong, and what the panel then holds.

Rules of this file:
1. Wrong answers come from the profile's own script (`entry.misreading`): near choices, look-alike digits, other words.
   Besides, an answer may be left as it was: as shipped, or as the panel held it before the change; and of choices that
   are offered one by one each earlier one may be taken, by the key beside that for the next.
2. A slip in one answer takes with it what depends on it, as the panel does: a question that no longer exists holds its
   `otherwise`, one that comes to exist its default, or what it first offers.
3. A slip that gives back the plan itself is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from zonewright.entry.keypad.drive import drive
from zonewright.entry.slips.misreading import WEIGHTS, SlipKind, wrong_values
from zonewright.entry.slips.onto import keyed_onto
from zonewright.panel.answers import typed
from zonewright.panel.legal import beside, exists, settled
from zonewright.panel.profile import Answer, ItemRule, Profile, Style
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value


@dataclass(frozen=True, slots=True)
class Slipped:
    """One wrong answer: what was meant, what was given, how likely beside others, and what the panel then holds."""

    item: Item
    kind: SlipKind
    meant: Value
    given: Value
    weight: float
    planned: Programme = field(repr=False)
    changed: tuple[tuple[Item, Value | None, Value | None], ...]  # item, as planned, as held

    def __str__(self) -> str:
        return f"{self.item}: {self.given} in place of {self.meant} ({self.kind.value})"

    @property
    def changes(self) -> dict[Item, Value | None]:
        """Return what the panel holds otherwise than planned."""
        return {item: held for item, _, held in self.changed}

    @property
    def programme(self) -> Programme:
        """Return all that the panel then holds; not kept, since of thousands few are looked at."""
        return self.planned.changed(self.changes)


def slips_of(profile: Profile, planned: Programme, before: Programme | None = None) -> Iterator[Slipped]:
    """Give every single slip of a Programme; `before` is what the panel held, if it was only changed.

    With `before`, only answers that the sheet keys can be wrong. Raises `NoWay` where the keypad can't make the change.
    """
    before = keyed_onto(profile, before, drive(profile, before, planned)) if before is not None else None
    things: dict[str, dict[Item, Value]] = {}
    for item, value in planned.values.items():
        things.setdefault(item.thing, {})[item] = value
    for item, value in planned.values.items():
        beside_it = things[item.thing]
        answer = profile.answer_of(item)
        rule = profile.rule_of(item)
        keyed = before is None or before.get(item) != value
        if answer is None or rule is None or value == UNKNOWN or answer.style is Style.SECRET or not keyed:
            continue
        if not exists(rule, beside(item, beside_it)):
            continue
        given = {wrong: kind for kind, wrong in wrong_values(answer, value)}
        if answer.style is Style.OFFER and value in answer.choices:
            for choice in list(answer.choices)[: list(answer.choices).index(value)]:
                given.setdefault(choice, SlipKind.NEAR_KEY)
        left = _left(profile, item, rule, before)
        if left is not None and left not in (value, UNKNOWN):
            given.setdefault(left, SlipKind.LEFT)
        for wrong, kind in given.items():
            made = held_after(profile, beside_it, item, Value(wrong))
            changed = tuple(
                (each, beside_it.get(each), held) for each, held in made.items() if held != beside_it.get(each)
            )
            if changed:
                yield Slipped(item, kind, value, Value(wrong), WEIGHTS[kind], planned, changed)


def _left(profile: Profile, item: Item, rule: ItemRule, before: Programme | None) -> str | None:
    """Return what an answer holds that was never keyed: as the panel held it, else as shipped.

    What didn't exist before comes to exist with its default; a setting without one holds what its question first shows.
    """
    held = before.get(item) if before is not None else None
    if held is not None and before is not None and exists(rule, beside(item, before.values)):
        return held
    if rule.default is not None or rule.how is None or "/*/" in item.pattern:
        return rule.default
    return first_offered(profile.answers[rule.how])


def held_after(profile: Profile, planned: Mapping[Item, Value], item: Item, wrong: Value) -> Mapping[Item, Value]:
    """Return what the panel holds when one answer was given wrong and those beside it as planned.

    `planned` holds the items of the one thing that it is an answer about; those of other things never depend on it.
    """
    values = {**planned, item: wrong}
    if not profile.hanging_on(item.pattern):
        return values
    for pattern, rule in profile.items.items():
        if not rule.when or rule.how is None:
            continue
        other = Item(item.thing + "/" + pattern.field)
        if other in values and pattern.group == item.group:
            existed = exists(rule, beside(other, planned))
            if not existed and exists(rule, beside(other, values)):
                values[other] = Value(rule.default or first_offered(profile.answers[rule.how]))
    return settled(profile, values)


def first_offered(answer: Answer) -> str:
    """Return what a question holds when its answer is taken as it first stands."""
    if answer.style is Style.FLAG:
        return "no"
    return next(iter(answer.choices), None) or typed(answer, str(answer.least or 0))

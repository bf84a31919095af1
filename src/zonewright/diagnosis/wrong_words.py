"""What is keyed wrong, as a technician says it.

Rules of this file:
1. At most three fields of one thing are named, and three things of a sheet on which keying went on.
2. The same wrong answers about one thing are put into words once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from zonewright.diagnosis.faults import named
from zonewright.entry.slips.keyed_on import Part
from zonewright.fieldwork.acting import PanelInHouse
from zonewright.panel.programme import Item, Thing, Value
from zonewright.site.record import ZoneNumber

NAMED = 3  # wrong answers that are named


@dataclass(frozen=True, slots=True, order=True)
class ToldPart:
    """What is wrong with one thing; sorted by its items."""

    start: str  # how its items start
    items: tuple[tuple[Item, Value | None], ...] = field(compare=False)  # in order
    keys: tuple[Item, ...] = field(compare=False)  # all its items as planned, and those that are wrong, in order
    says: str = field(compare=False)

    @property
    def by_number(self) -> tuple[str, int, str]:
        """Return a key that sorts things by their numbers."""
        return Item(self.start).group, len(self.start), self.start


class WrongThings:
    """What may be wrong at one planned panel, each thing put into words once."""

    def __init__(self, right: PanelInHouse) -> None:
        self.right = right
        self._parts: dict[Part, ToldPart] = {}
        self._of_thing: dict[str, list[Item]] = {}
        for item in right.planned:
            self._of_thing.setdefault(item.thing, []).append(item)

    def part(self, part: Part) -> ToldPart:
        """Return what is wrong with one thing, in words."""
        if part not in self._parts:
            items = tuple(sorted(part, key=lambda each: each[0]))
            thing = items[0][0].thing
            keys = tuple(sorted({*self._of_thing.get(thing, ()), *(item for item, _ in items)}))
            self._parts[part] = ToldPart(f"{thing}/", items, keys, self._in_words(thing, items))
        return self._parts[part]

    def keyed_astray(self, parts: Sequence[ToldPart]) -> str:
        """Return what was left wrong by a job that one wrong key led astray."""
        if len(parts) == 1 and len(parts[0].items) == 1:
            return answer_in_words(self.right, *parts[0].items[0])
        return f"keyed astray by one wrong key: {'; '.join(_by_number(parts))}"

    def keyed_on(self, parts: Sequence[ToldPart]) -> str:
        """Return the first few things left wrong when keying went on past one wrong key."""
        told = _by_number(parts)
        more = [f"and {len(told) - NAMED} more things"] if len(told) > NAMED + 1 else told[NAMED:]
        return f"keyed on past one wrong key: {'; '.join([*told[:NAMED], *more])}"

    def _in_words(self, thing: Thing, items: Sequence[tuple[Item, Value | None]]) -> str:
        name = _thing_in_words(self.right, thing)
        fields = [item.words for item, _ in items]
        if all(value is None for _, value in items):
            return f"{name} isn't keyed"
        if all(item not in self.right.planned for item, _ in items):
            return f"{name} is keyed and shouldn't be"
        more = f" and {len(fields) - NAMED} more" if len(fields) > NAMED else ""
        return f"{name}: {', '.join(fields[:NAMED])}{more} {'are' if len(fields) > 1 else 'is'} wrong"


def answer_in_words(panel: PanelInHouse, item: Item, given: Value | None) -> str:
    """Return a wrong answer."""
    answer = panel.profile.answer_of(item)
    unit = f" {answer.unit}" if answer is not None and answer.unit else ""
    meant = panel.planned.get(item)
    start = f"{_thing_in_words(panel, item.thing)}: {item.words}"
    return f"{start} is {given or 'blank'}{unit} in place of {meant or 'blank'}{unit}"


def _by_number(parts: Sequence[ToldPart]) -> list[str]:
    return [each.says for each in sorted(parts, key=lambda part: part.by_number)]


def _thing_in_words(panel: PanelInHouse, thing: Thing) -> str:
    group, number = thing.group, thing.number
    zone = panel.setup.zone(ZoneNumber(number)) if group == "zone" and number is not None else None
    if zone is not None:
        return named(zone)
    return f"{'person' if group == 'user' else group} {number}" if number else group

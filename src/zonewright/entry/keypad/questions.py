"""The questions by which a panel's present values are read in: in the script's order, as far as they exist.

Rules of this file:
1. The order is the script's: a question comes after what leads to it, and branches come as they are written there.
2. Which questions exist follows from the items and the answers so far; if that isn't certain, the question is there.
3. Nothing here is typed or said.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from zonewright.panel.legal import beside, may_exist
from zonewright.panel.profile import FIELD_OF, NodeKind, Profile, ScriptNode
from zonewright.panel.programme import UNKNOWN, Item, Value, item_of
from zonewright.panel.readback import Readback, programme_of

Part = tuple[str, tuple[Item, ...]]  # a group, "" for what exists once, and its items in order
Spot = tuple[int, float, int]  # the part, the number, the item: questions compare by it


@dataclass(frozen=True, slots=True)
class KeypadQuestion:
    """One question: about an item, or if `item` is None, which number of a group comes next."""

    group: str  # "" for what exists once
    number: int | None = None
    item: Item | None = None


@dataclass(frozen=True)
class Order:
    """The order of one panel's questions."""

    profile: Profile

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """Return the parts of the script, each with its items."""
        found: dict[tuple[str, str], list[Item]] = {}
        for name in self._nodes:
            node = self.profile.script[name]
            item = node.ask or node.trip or node.show
            if item is not None:
                start = item.group
                items = found.setdefault((start if item.is_of_many else "", start), [])
                items += [item] if item not in items else []
        return tuple((group, tuple(items)) for (group, _), items in found.items())

    @cached_property
    def asked_at(self) -> Mapping[str, str]:
        """Return item -> the node that asks or shows it first."""
        found: dict[str, str] = {}
        for name in self._nodes:
            node = self.profile.script[name]
            item = node.ask or node.trip or node.show
            if item is not None:
                found.setdefault(item, name)
        return found

    @cached_property
    def _nodes(self) -> tuple[str, ...]:
        """Return the nodes, each after what leads to it: the reverse of the order in which a search leaves them."""
        script, left_last = self.profile.script, list[str]()
        seen = {self.profile.rest}
        stack = [(self.profile.rest, reversed([*_leads_to(script[self.profile.rest])]))]
        while stack:
            name, targets = stack[-1]
            target = next((each for each in targets if each not in seen), None)
            if target is None:
                left_last.append(name)
                stack.pop()
            else:
                seen.add(target)
                stack.append((target, reversed([*_leads_to(script[target])])))
        return tuple(reversed(left_last))

    @cached_property
    def _spots(self) -> Mapping[str, tuple[int, int]]:
        return {item: (n, at) for n, (_, items) in enumerate(self.parts) for at, item in enumerate(items)}

    def spot(self, question: KeypadQuestion) -> Spot:
        """Return the place of a question; the one for the next number comes after all numbers."""
        if question.item is not None:
            part, at = self._spots[question.item.pattern]
            return part, question.number or 0, at
        part = next(n for n, (group, _) in enumerate(self.parts) if group == question.group)
        return part, float("inf"), 0

    def held(self, readback: Readback, at: KeypadQuestion | None = None) -> Mapping[Item, Value]:
        """Return what is held as far as it was read; the present number is there, even if nothing of it was read."""
        if at is not None and at.number is not None and at.number not in readback.numbers(at.group):
            first = item_of(at.group, at.number, self.profile.groups[at.group][0])
            readback = readback.changed({first: UNKNOWN})
        return programme_of(self.profile, readback).values

    def questions(self, readback: Readback, at: KeypadQuestion | None = None) -> Iterator[KeypadQuestion]:
        """Return every question that may exist, in order, with those of the present number."""
        held = self.held(readback, at)
        for group, items in self.parts:
            if not group:
                yield from (KeypadQuestion("", None, Item(item)) for item in items if self._may_exist(Item(item), held))
                continue
            here = {at.number} if at is not None and at.group == group and at.number is not None else set[int]()
            for number in sorted({*readback.numbers(group), *here}):
                for pattern in items:
                    item = item_of(group, number, pattern.field)
                    if self._may_exist(item, held):
                        yield KeypadQuestion(group, number, item)
            yield KeypadQuestion(group)

    def open(self, readback: Readback, at: KeypadQuestion | None = None) -> Iterator[KeypadQuestion]:
        """Return every question that may exist and wasn't asked, in order."""
        return (each for each in self.questions(readback, at) if not _asked(readback, each))

    def following(self, readback: Readback, at: KeypadQuestion | None) -> KeypadQuestion | None:
        """Return the first question after another, or of all, that wasn't asked."""
        here = self.spot(at) if at is not None else (-1, 0.0, 0)
        return next((each for each in self.open(readback, at) if self.spot(each) > here), None)

    def before(self, readback: Readback, at: KeypadQuestion) -> KeypadQuestion | None:
        """Return the question before another, asked or not."""
        here, found = self.spot(at), None
        for each in self.questions(readback, at):
            if self.spot(each) >= here:
                break
            found = each
        return found

    def behind_all(self, readback: Readback, at: KeypadQuestion) -> KeypadQuestion | None:
        """Return the first open question after all those of this number; if there is none, after this part."""
        part, number, _ = self.spot(at)
        here = (part, number if at.number is not None else float("inf"))
        return next((each for each in self.open(readback, at) if self.spot(each)[:2] > here), None)

    def _may_exist(self, item: Item, held: Mapping[Item, Value]) -> bool:
        return may_exist(self.profile.items[item.pattern], beside(item, held))


def _asked(readback: Readback, question: KeypadQuestion) -> bool:
    if question.item is None:
        return question.group in readback.no_more
    return question.item in readback.values


def _leads_to(node: ScriptNode) -> Iterator[str]:
    for kind in (NodeKind.REST, NodeKind.CHOOSE):
        yield from (getattr(node, FIELD_OF[kind]) or {}).values()
    yield from (entry.go for entry in node.list_ or ())
    for block in node.place or ():
        yield from block.fields
        yield from block.leads.values()
    yield from (fork.go for fork in node.then)

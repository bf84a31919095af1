"""What may be done next in a job, and what is left of it; every key is really pressed, on a copy of the state.

Rules of this file:
1. It chooses nothing: it gives each whole answer that can be given here, with the state it leads to.
2. No waiting answer may be lost, and nothing is taken out except in a job that takes it out.
3. An unknown answer is never kept unseen: no way leads past a question whose answer nobody knows or sets.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from zonewright.entry.keypad.picking import shorter
from zonewright.entry.keypad.pressing import heard, press
from zonewright.entry.keypad.standing import (
    HEARD,
    KeypadState,
    address,
    answer_at,
    entries,
    free_number,
    is_used,
    present_value,
    ring,
    value_of,
)
from zonewright.entry.keypad.strokes import Act, KeyingJob, Stroke
from zonewright.entry.keypad.styles import STYLES, Keys
from zonewright.panel.answers import SECRET_SET, refuses, typed
from zonewright.panel.legal import beside, exists
from zonewright.panel.profile import NodeKind, Profile, Style
from zonewright.panel.programme import UNKNOWN, Item, Value, item_of


class Search:
    """The moves that a driver considers in one job."""

    def __init__(self, profile: Profile, job: KeyingJob, visited: frozenset[Item] = frozenset()) -> None:
        self.profile, self.job, self.visited = profile, job, visited
        self._left: dict[int, tuple[frozenset[Item], Mapping[Item, Value]]] = {}

    def key(self, state: KeypadState) -> tuple[object, ...]:
        """Return a key that distinguishes states of this search."""
        return (*state.key, self.left(state))

    def left(self, state: KeypadState) -> frozenset[Item]:
        """Return the items of this job that the panel doesn't hold as wanted; worked out once for each map held."""
        known = self._left.get(id(state.held))
        if known is None:
            if self.job.gone:
                thing = f"{self.job.group}/{self.job.number}"
                left = frozenset(item for item in state.held if item.thing == thing)
            else:
                left = frozenset(item for item, value in self.job.wanted.items() if state.held.get(item) != value)
            known = self._left[id(state.held)] = (left, state.held)  # the map is kept, so that its id stays its own
        return known[0]

    def open(self, state: KeypadState) -> frozenset[Item]:
        """Return the items of this job that exist as wanted and that neither wait nor are held as wanted."""
        return frozenset(item for item in self._existing if self._now(state, item) != self.job.wanted[item])

    def _now(self, state: KeypadState, item: Item) -> Value | None:
        """Return what an item will hold if all that waits is kept now."""
        pattern = item.pattern if self.job.group else item
        if state.group == self.job.group or not self.job.group:
            waiting = state.waiting.get(pattern)
            if waiting is not None:
                return waiting
        held, rule = state.held.get(item), self.profile.items[pattern]
        if any(beside(item, state.held)(when.field) == UNKNOWN for when in rule.when):
            return UNKNOWN
        gone = held is not None and not exists(rule, beside(item, state.held))
        if (gone or (held is None and state.waiting)) and rule.default is not None:
            return Value(rule.default)
        return held

    @cached_property
    def _existing(self) -> tuple[Item, ...]:
        wanted = self.job.wanted
        return tuple(
            item
            for item, value in wanted.items()
            if value != UNKNOWN
            and (rule := self.profile.rule_of(item)) is not None
            and rule.how is not None
            and exists(rule, beside(item, wanted))
        )

    def arrived(self, stroke: Stroke | None, state: KeypadState) -> bool:
        """Return whether the last stroke gave an answer that was wanted."""
        return stroke is not None and stroke.item is not None and stroke.act in (Act.CHANGE, Act.TRIP)

    def ended(self, stroke: Stroke | None, state: KeypadState) -> bool:
        """Return whether the job is done here."""
        return self.done(state)

    def price(self, stroke: Stroke) -> int:
        """Return the presses of a stroke; a trip is one act."""
        return len(stroke.keys) + (1 if stroke.trip is not None else 0)

    def done(self, state: KeypadState) -> bool:
        """Return whether the panel holds what this job wants, nothing waits, and no device's display is still shown."""
        if state.waiting or state.buffer == HEARD:
            return False
        return not self.left(state)

    def strokes(self, state: KeypadState) -> Iterator[Stroke]:
        """Return every stroke from here that may be on the way."""
        node = self.profile.script[state.node]
        match node.kind:
            case NodeKind.REST:
                for keys in node.ways_in or {}:
                    yield self._press(Act.WAY_IN, state, tuple(keys.split()))
            case NodeKind.CODE:
                answer = answer_at(self.profile, node)
                assert answer is not None
                yield self._press(Act.CODE, state, STYLES[answer.style].keys(answer, None, SECRET_SET))
            case NodeKind.LIST:
                yield from self._entries(state)
            case NodeKind.PLACE:
                yield from self._places(state)
            case NodeKind.CHOOSE:
                for key, target in (node.choose or {}).items():
                    if self.job.gone or not self._takes_out(target):
                        yield self._press(Act.CHOICE, state, (key,))
            case NodeKind.WHICH:
                yield from self._number(state)
            case NodeKind.ASK:
                yield from self._answer(state)
            case NodeKind.SHOW:
                yield self._press(Act.LOOK, state, (node.goes_on or "",))
            case NodeKind.TRIP:
                yield from self._trip(state)
            case _:
                pass
        leaves = node.back is not None and node.kind is not NodeKind.REST and state.buffer != HEARD
        if leaves and (self.profile.menu or not state.waiting):
            stroke = self._press(Act.LEAVE, state, (self.profile.back,))
            lost = state.waiting and not stroke.after.waiting
            if stroke.after.node != state.node and not lost:
                yield stroke

    def _press(
        self, act: Act, state: KeypadState, keys: Keys, item: Item | None = None, value: Value | None = None
    ) -> Stroke:
        after = state
        for key in keys:
            after = press(self.profile, after, key)
        return Stroke(act, state.node, keys, None, item, value, state, after)

    def _certain(self, state: KeypadState, pattern: Item) -> bool:
        """Return whether it is known if an item exists or not: what decides that is answered first."""
        rule, number = self.profile.items[pattern], self.job.number
        bound = state._replace(group=self.job.group or None, number=number)
        look = value_of(self.profile, bound, pattern)
        return all(look(when.field) != UNKNOWN for when in rule.when)

    def _takes_out(self, target: str) -> bool:
        return self.profile.script[target].forget is not None

    def _entries(self, state: KeypadState) -> Iterator[Stroke]:
        """Pick each entry, in the shorter direction; none that loses what waits."""
        keys = self.profile.scrolling
        assert keys is not None
        there = entries(self.profile, state, self.profile.script[state.node])
        open_ = self.open(state) | self.visited
        at = next(n for n, entry in enumerate(there) if entry.says == state.buffer)
        for n, entry in enumerate(there):
            if not self.job.gone and self._takes_out(entry.go):
                continue
            target = self.profile.script[entry.go]
            asks = target.ask or target.trip
            if asks is not None and (self._concrete(state, asks) not in open_ or not self._certain(state, asks)):
                continue
            if target.which is not None and target.which != self.job.group:
                continue
            steps = shorter(n - at, len(there))
            way = (keys.next if steps > 0 else keys.previous,) * abs(steps)
            # scrolling only changes the entry shown: it is set directly here, and the replay really presses the keys
            after = press(self.profile, state._replace(buffer=entry.says, message=""), keys.take)
            lost = state.waiting and not after.waiting and after.held is state.held
            if after.node != state.node and not lost:
                yield Stroke(Act.CHOICE, state.node, (*way, keys.take), None, None, None, state, after)

    def _places(self, state: KeypadState) -> Iterator[Stroke]:
        """Type the place of each answer that differs, or the place where a thing is taken out."""
        node = self.profile.script[state.node]
        if self.job.gone:
            for block in node.place or ():
                if next(iter(block.fields)).startswith(f"{self.job.group}/*/") and self.job.number is not None:
                    digits = str(block.first + self.job.number - 1).zfill(self.profile.place_width)
                    for pair in block.leads:
                        yield self._press(Act.PLACE, state, (*digits, *pair))
            return
        for item in sorted(self.open(state) | self.visited):
            if not self._certain(state, item.pattern):
                continue
            keys = address(self.profile, node, item.pattern if self.job.group else item, self.job.number)
            if keys is not None:
                stroke = self._press(Act.PLACE, state, keys)
                if stroke.after.node != state.node:
                    yield stroke

    def _ring(self, state: KeypadState) -> Iterator[Stroke]:
        """Go to the job's number the shorter way round, as one move."""
        keys, numbers = self.profile.scrolling, ring(self.profile, state, self.profile.script[state.node])
        assert keys is not None
        if self.job.number not in numbers:
            return
        steps = shorter(numbers.index(self.job.number) - numbers.index(int(state.buffer)), len(numbers))
        way = (keys.next if steps > 0 else keys.previous,) * abs(steps)
        yield self._press(Act.NUMBER, state, (*way, keys.take))

    def _number(self, state: KeypadState) -> Iterator[Stroke]:
        node = self.profile.script[state.node]
        if node.which != self.job.group or self.job.number is None:
            return
        used = is_used(self.profile, state.held, node.which, self.job.number)
        if (node.only == "used" and not used) or (node.only == "free" and used):
            return
        answer = answer_at(self.profile, node)
        assert answer is not None
        if answer.style is Style.SCROLL:
            yield from self._ring(state)
            return
        offered = (
            answer.take is not None
            and node.only == "free"
            and free_number(self.profile, state, node.which or "") == self.job.number
        )
        keys = (answer.take or "",) if offered else (*typed(answer, str(self.job.number)), *answer.closing)
        yield self._press(Act.NUMBER, state, keys)

    def _answer(self, state: KeypadState) -> Iterator[Stroke]:
        node = self.profile.script[state.node]
        assert node.ask is not None
        item = self._concrete(state, node.ask)
        answer = answer_at(self.profile, node)
        if item is None or answer is None:
            return
        present = present_value(self.profile, state, node.ask)
        wanted = self.job.wanted.get(item)
        rule = self.profile.items[node.ask]
        known = wanted is not None and wanted != UNKNOWN and refuses(answer, wanted) is None
        if wanted is None or not known or not exists(rule, value_of(self.profile, state, node.ask)):
            return
        act = Act.KEEP if present == wanted else Act.CHANGE
        keys = STYLES[answer.style].keys(answer, present, wanted)
        yield self._press(act, state, keys, item, wanted)

    def _trip(self, state: KeypadState) -> Iterator[Stroke]:
        node = self.profile.script[state.node]
        if state.buffer == HEARD:
            yield self._press(Act.LOOK, state, (node.goes_on or "",))
            return
        item = self._concrete(state, node.trip or Item(""))
        number = self.job.wanted.get(item) if item is not None else None
        if number is None or (self.profile.menu and item not in self.open(state)):
            return
        after = heard(self.profile, state, number)
        if after.buffer == HEARD:
            yield Stroke(Act.TRIP, state.node, (), number, item, number, state, after)

    def _concrete(self, state: KeypadState, pattern: Item) -> Item | None:
        """Return the item that a question of the script is about in this job; None if it isn't about this job."""
        if not pattern.is_of_many:
            return pattern if not self.job.group else None
        group = pattern.group
        if group != self.job.group or self.job.number is None or state.number not in (None, self.job.number):
            return None  # another group's, or the number of the job before is still bound
        return item_of(group, self.job.number, pattern.field)

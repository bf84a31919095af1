"""From what a panel holds to what it should hold, by driving the keypad; every key is really pressed.

Rules of this file:
1. The driver knows no panel rule: where a key leads is found by pressing it on a copy of the state.
2. A job is one zone, one person, or one run of settings. Within a job every answer is given once, in the order in which
   the panel asks. What differs is asked of the keypad after each answer, never of the two Programmes beforehand, since
   one answer may reset another.
3. Where questions follow one another, the way is the one with the fewest presses from here to having nothing left to
   answer and nothing waiting: an exact search over whole answers (keep, change, choose), not over single keys. Bounded.
4. Where questions are picked (lists, places), the nearest question that differs comes first, again and again, and then
   the nearest keep: an exact search would try every order. Where that fails, the exact one is tried; then the job is
   refused.
5. No way may lose an answer that waits, and none leads through taking something out but in such a job.
6. What is unknown is never kept unseen: a way past a question whose answer nobody knows and nobody sets is none.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from itertools import count
from typing import NamedTuple

from zonewright.entry.keypad import heard, press
from zonewright.entry.picking import shorter
from zonewright.entry.standing import (
    HEARD,
    State,
    address,
    answer_at,
    at_rest,
    entries,
    free_number,
    is_used,
    present_value,
    ring,
    value_of,
)
from zonewright.entry.styles import STYLES, Keys
from zonewright.panel.answers import SECRET_SET, refuses, typed
from zonewright.panel.legal import beside, exists
from zonewright.panel.profile import NodeKind, Profile, Style, pattern_of
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of

MOST_STATES = 20_000


class Act(Enum):
    """What one stroke does."""

    WAY_IN = "way in"
    CODE = "own code to be let in"
    CHOICE = "choice"
    NUMBER = "number"
    CHANGE = "change"  # an answer given that wasn't there
    KEEP = "keep"  # the present answer taken as it is
    LOOK = "look"
    TRIP = "trip"
    LEAVE = "leave"
    PLACE = "place"


class Stroke(NamedTuple):
    """One question met and dealt with: the keys pressed there, or the number of the device to be tripped."""

    act: Act
    node: str
    keys: Keys
    trip: str | None
    item: Item | None
    value: Value | None
    before: State
    after: State


@dataclass(frozen=True, slots=True)
class Job:
    """What one run of questions is for."""

    group: str  # "zone", "user", or "" for settings
    number: int | None
    gone: bool  # to be taken out
    wanted: Mapping[Item, Value]  # what its items should hold


@dataclass(frozen=True, slots=True)
class Driven:
    """One job done: its strokes, and the panel after it."""

    job: Job
    strokes: tuple[Stroke, ...]


class NoWay(Exception):
    """The keypad can't be brought to hold this; the text names the item."""


def drive(profile: Profile, old: Programme, new: Programme) -> tuple[Driven, ...]:
    """Bring a keypad at rest from one Programme to another, job by job.

    A job that the panel refuses as things stand (its device still belongs to another zone) is put off until others are
    done; where all that is left waits for one another, the first is taken out and keyed anew.

    Raises `NoWay` if some item differs and no way through the script changes it.
    """
    state = at_rest(profile, old)
    done: list[Driven] = []
    todo = list(jobs(profile, old, new))
    while todo:
        put_off: list[tuple[Job, NoWay]] = []
        for job in todo:
            try:
                strokes, state = _do(profile, state, job)
            except NoWay as none:
                put_off.append((job, none))
                continue
            done.append(Driven(job, strokes))
        if len(put_off) == len(todo):
            job, why = put_off[0]
            out = Job(job.group, job.number, True, {})
            if not job.group or not is_used(profile, state.held, job.group, job.number or 0):
                raise why
            strokes, state = _do(profile, state, out)
            done.append(Driven(out, strokes))
        todo = [job for job, _ in put_off]
    left = [item for item in {*new, *state.held} if new.get(item) != state.held.get(item)]
    if left:
        item = min(left)
        raise NoWay(
            f"{item}: the panel holds {state.held.get(item)}, wanted is {new.get(item)}, and no question sets it"
        )
    return tuple(done)


def jobs(profile: Profile, old: Programme, new: Programme) -> Iterator[Job]:
    """Return what is to be done, in the order on paper: taken out first, then zones, people, settings by their run."""
    for group in profile.groups:
        for number in sorted({*old.numbers(group)} - {*new.numbers(group)}):
            yield Job(group, number, True, {})
    for group in profile.groups:
        for number, wanted in _by_number(new, group):
            if any(old.get(item) != value for item, value in wanted.items()):
                yield Job(group, number, False, wanted)
    for run in setting_runs(profile):
        wanted = {item: value for item in run if (value := new.get(item)) is not None}
        if any(old.get(item) != value for item, value in wanted.items()):
            yield Job("", None, False, wanted)


def _by_number(programme: Programme, group: str) -> list[tuple[int, dict[Item, Value]]]:
    """Return the items of each number of a group, ascending."""
    found: dict[int, dict[Item, Value]] = {number: {} for number in programme.numbers(group)}
    for item, value in programme.values.items():
        start, _, rest = item.partition("/")
        if start == group:
            found[int(rest.partition("/")[0])][item] = value
    return list(found.items())


def setting_runs(profile: Profile) -> tuple[tuple[Item, ...], ...]:
    """Return the settings that are asked in one run of the script, up to the keep that stores them together."""
    runs: dict[str, list[Item]] = {}
    for name, node in profile.script.items():
        if node.ask is not None and "*" not in node.ask:
            run = node.ask.partition("/")[0] if profile.menu else _keep_after(profile, name)
            runs.setdefault(run, []).append(Item(node.ask))
    return tuple(tuple(run) for run in runs.values())


def _keep_after(profile: Profile, name: str) -> str:
    """Return the last node before the keep that stores what a node asks; runs that share it are one run."""
    seen: list[str] = []
    while name not in seen:
        seen.append(name)
        node = profile.script[name]
        if node.keep is not None:
            return seen[-2] if len(seen) > 1 else name
        if node.then:
            name = node.then[-1].go
        elif node.choose:
            name = next((target for target in node.choose.values() if profile.script[target].keep), name)
        else:
            break
    return seen[-1]


def _do(profile: Profile, start: State, job: Job) -> tuple[tuple[Stroke, ...], State]:
    """Find a short way through a job: the shortest of all where questions follow one another."""
    search = Search(profile, job)
    ways = (_nearest, _exact) if profile.menu else (_exact,)
    for way in ways:
        found = way(search, start)
        if found is not None:
            return found
    thing = f"{job.group} {job.number}" if job.group else "settings"
    unknown = [item for item, value in job.wanted.items() if value == UNKNOWN]
    if unknown:
        raise NoWay(f"{thing}: nobody knows what the panel holds for {', '.join(unknown)}; read it at the panel first")
    raise NoWay(f"{thing}: no way through the script sets {', '.join(sorted(search.left(start)))}")


def _nearest(search: Search, start: State) -> tuple[tuple[Stroke, ...], State] | None:
    """Answer the nearest question that differs, again and again; then go to the nearest end."""
    strokes: list[Stroke] = []
    state = start
    for _ in range(2 * len(search.job.wanted) + 2):
        if search.done(state):
            return tuple(strokes), state
        found = _shortest(search, state, search.arrived if search.open(state) else search.ended)
        if found is None:
            return None
        strokes += found[0]
        state = found[1]
    return None


def _exact(search: Search, start: State) -> tuple[tuple[Stroke, ...], State] | None:
    return _shortest(search, start, search.ended)


def _shortest(
    search: Search, start: State, arrived: Callable[[Stroke | None, State], bool]
) -> tuple[tuple[Stroke, ...], State] | None:
    """Return the strokes with the fewest presses up to a state that counts as arrived; None past the bound."""
    order = count()
    queue: list[tuple[int, int, State, _Trail | None]] = [(0, next(order), start, None)]
    best: dict[tuple[object, ...], int] = {search.key(start): 0}
    while queue:
        cost, _, state, trail = heapq.heappop(queue)
        if cost > best[search.key(state)]:
            continue
        if arrived(trail.stroke if trail is not None else None, state):
            return _unrolled(trail), state
        for stroke in search.strokes(state):
            key, price = search.key(stroke.after), cost + search.price(stroke)
            if price < best.get(key, price + 1):
                best[key] = price
                heapq.heappush(queue, (price, next(order), stroke.after, _Trail(stroke, trail)))
        if len(best) > MOST_STATES:
            break
    return None


class _Trail(NamedTuple):
    stroke: Stroke
    before: _Trail | None


def _unrolled(trail: _Trail | None) -> tuple[Stroke, ...]:
    strokes = []
    while trail is not None:
        strokes.append(trail.stroke)
        trail = trail.before
    return tuple(reversed(strokes))


class Search:
    """The moves that a driver considers in one job."""

    def __init__(self, profile: Profile, job: Job, visited: frozenset[Item] = frozenset()) -> None:
        self.profile, self.job, self.visited = profile, job, visited
        self._left: dict[int, tuple[frozenset[Item], Mapping[Item, Value]]] = {}

    def key(self, state: State) -> tuple[object, ...]:
        """Return what tells states of this search apart."""
        return (*state.key, self.left(state))

    def left(self, state: State) -> frozenset[Item]:
        """Return the items of this job that the panel doesn't hold as wanted; worked out once for each map held."""
        known = self._left.get(id(state.held))
        if known is None:
            if self.job.gone:
                start = f"{self.job.group}/{self.job.number}/"
                left = frozenset(item for item in state.held if item.startswith(start))
            else:
                left = frozenset(item for item, value in self.job.wanted.items() if state.held.get(item) != value)
            known = self._left[id(state.held)] = (left, state.held)  # the map is kept, so that its id stays its own
        return known[0]

    def open(self, state: State) -> frozenset[Item]:
        """Return the items of this job that exist as wanted and that neither wait nor are held as wanted."""
        return frozenset(item for item in self._existing if self._now(state, item) != self.job.wanted[item])

    def _now(self, state: State, item: Item) -> Value | None:
        """Return what an item will hold if all that waits is kept now."""
        pattern = pattern_of(item) if self.job.group else item
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

    def arrived(self, stroke: Stroke | None, state: State) -> bool:
        """Return whether the last stroke gave an answer that was wanted."""
        return stroke is not None and stroke.item is not None and stroke.act in (Act.CHANGE, Act.TRIP)

    def ended(self, stroke: Stroke | None, state: State) -> bool:
        """Return whether the job is done here."""
        return self.done(state)

    def price(self, stroke: Stroke) -> int:
        """Return the presses of a stroke; a trip is one act."""
        return len(stroke.keys) + (1 if stroke.trip is not None else 0)

    def done(self, state: State) -> bool:
        """Return whether the panel holds what this job wants, with nothing waiting and the last display left."""
        if state.waiting or state.buffer == HEARD:
            return False
        return not self.left(state)

    def strokes(self, state: State) -> Iterator[Stroke]:
        """Return every stroke from here that may lie on the way."""
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
        self, act: Act, state: State, keys: Keys, item: Item | None = None, value: Value | None = None
    ) -> Stroke:
        after = state
        for key in keys:
            after = press(self.profile, after, key)
        return Stroke(act, state.node, keys, None, item, value, state, after)

    def _certain(self, state: State, pattern: str) -> bool:
        """Return whether everybody knows that an item exists or doesn't: what decides it comes first."""
        rule, number = self.profile.items[pattern], self.job.number
        bound = state._replace(group=self.job.group or None, number=number)
        look = value_of(self.profile, bound, pattern)
        return all(look(when.field) != UNKNOWN for when in rule.when)

    def _takes_out(self, target: str) -> bool:
        return self.profile.script[target].forget is not None

    def _entries(self, state: State) -> Iterator[Stroke]:
        """Pick each entry, the shorter way round; none that loses what waits."""
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
            # scrolling only moves the entry shown: it is set here, and really pressed when the sheet is replayed
            after = press(self.profile, state._replace(buffer=entry.says, message=""), keys.take)
            lost = state.waiting and not after.waiting and after.held is state.held
            if after.node != state.node and not lost:
                yield Stroke(Act.CHOICE, state.node, (*way, keys.take), None, None, None, state, after)

    def _places(self, state: State) -> Iterator[Stroke]:
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
            if not self._certain(state, pattern_of(item)):
                continue
            keys = address(self.profile, node, pattern_of(item) if self.job.group else item, self.job.number)
            if keys is not None:
                stroke = self._press(Act.PLACE, state, keys)
                if stroke.after.node != state.node:
                    yield stroke

    def _ring(self, state: State) -> Iterator[Stroke]:
        """Go to the job's number the shorter way round, as one move."""
        keys, numbers = self.profile.scrolling, ring(self.profile, state, self.profile.script[state.node])
        assert keys is not None
        if self.job.number not in numbers:
            return
        steps = shorter(numbers.index(self.job.number) - numbers.index(int(state.buffer)), len(numbers))
        way = (keys.next if steps > 0 else keys.previous,) * abs(steps)
        yield self._press(Act.NUMBER, state, (*way, keys.take))

    def _number(self, state: State) -> Iterator[Stroke]:
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

    def _answer(self, state: State) -> Iterator[Stroke]:
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

    def _trip(self, state: State) -> Iterator[Stroke]:
        node = self.profile.script[state.node]
        if state.buffer == HEARD:
            yield self._press(Act.LOOK, state, (node.goes_on or "",))
            return
        item = self._concrete(state, node.trip or "")
        number = self.job.wanted.get(item) if item is not None else None
        if number is None or (self.profile.menu and item not in self.open(state)):
            return
        after = heard(self.profile, state, number)
        if after.buffer == HEARD:
            yield Stroke(Act.TRIP, state.node, (), number, item, number, state, after)

    def _concrete(self, state: State, pattern: str) -> Item | None:
        """Return the item that a question of the script is about in this job; None where it is about another."""
        if "*" not in pattern:
            return Item(pattern) if not self.job.group else None
        group, _, field = pattern.split("/")
        if group != self.job.group or self.job.number is None or state.number not in (None, self.job.number):
            return None  # another's, or one still stood at from the job before
        return item_of(group, self.job.number, field)

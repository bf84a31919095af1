"""The closing walk: reading back, at the end, every answer in which a slip could have stayed silent.

Rules of this file:
1. The walk leaves every answer as it is and saves nothing: it goes to the last marked answer of each job, no further,
   and back.
2. People get in once for all of it: each part starts and ends at the question after the code, its home.
"""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count

from zonewright.entry.keypad.picking import shorter
from zonewright.entry.keypad.pressing import press
from zonewright.entry.keypad.search import Search
from zonewright.entry.keypad.showing import Display, display
from zonewright.entry.keypad.standing import KeypadState, answer_at, at_rest, entries
from zonewright.entry.keypad.strokes import Act, Driven, KeyingJob, Stroke
from zonewright.entry.keypad.styles import STYLES, Keys
from zonewright.panel.legal import beside, exists
from zonewright.panel.profile import NodeKind, Profile, Style
from zonewright.panel.programme import Item, Programme, Value

LOOKS_ONLY = frozenset({Act.WAY_IN, Act.CODE, Act.CHOICE, Act.NUMBER, Act.PLACE, Act.KEEP})


@dataclass(frozen=True, slots=True)
class AnswerToRead:
    """One answer to read back: what its question must show when it comes."""

    item: Item
    shows: Display


@dataclass(frozen=True, slots=True)
class WalkPart:
    """The reading back of one job."""

    job: KeyingJob
    title: str
    strokes: tuple[Stroke, ...]
    readings: tuple[AnswerToRead, ...]
    leave: Keys  # back to the home of the walk

    @property
    def presses(self) -> int:
        """Return how many keys it takes, with those that lead back."""
        return sum(len(stroke.keys) for stroke in self.strokes) + len(self.leave)


@dataclass(frozen=True, slots=True)
class ClosingWalk:
    """All that is read back."""

    parts: tuple[WalkPart, ...]
    home: str  # what the display asks there

    @property
    def presses(self) -> int:
        """Return how many keys the walk takes, without the way out at the end."""
        return sum(part.presses for part in self.parts)


def closing_walk(
    profile: Profile, programme: Programme, marked: Sequence[tuple[Driven, frozenset[int], str]]
) -> ClosingWalk:
    """Return the walk over the marked steps of each job with its title; a job without any is skipped."""
    parts = []
    state, home = at_rest(profile, programme), _home(profile)
    for done, silent, title in marked:
        items = {item for n in silent if (item := _proof(profile, done, n)) is not None}
        if not items or done.job.gone:
            continue
        strokes = _to_the_last(profile, state, done.job, items)
        readings = [
            AnswerToRead(item, display(profile, met))
            for met in (*(stroke.before for stroke in strokes), strokes[-1].after)
            if (item := _asked(profile, met, done.job)) in items and item
        ]
        leave, state = _back_to(profile, strokes[-1].after, home, done.job)
        parts.append(WalkPart(done.job, title, strokes, tuple(readings), leave))
    return ClosingWalk(tuple(parts), profile.script[home].says)


def reading_back(profile: Profile, programme: Programme, job: KeyingJob, title: str) -> WalkPart:
    """Return the walk over every answer of one job that can be read; a number that is heard or secret can't."""
    state, planned = at_rest(profile, programme), programme.values
    items = {item for item in job.wanted if _is_read(profile, item, planned)}
    strokes = _to_the_last(profile, state, job, items)
    readings: dict[Item, AnswerToRead] = {}
    for met in (*(stroke.before for stroke in strokes), *(stroke.after for stroke in strokes[-1:])):
        item = _asked(profile, met, job)
        if item is not None and item in items:
            readings[item] = AnswerToRead(item, display(profile, met))
    leave: Keys = ()
    if strokes:
        leave, _ = _back_to(profile, strokes[-1].after, _home(profile), job)
    return WalkPart(job, title, strokes, tuple(readings.values()), leave)


def _is_read(profile: Profile, item: Item, planned: Mapping[Item, Value]) -> bool:
    answer, rule = profile.answer_of(item), profile.rule_of(item)
    hidden = answer is None or answer.style in (Style.TRIP, Style.SECRET)
    return not hidden and rule is not None and exists(rule, beside(item, planned))


def _home(profile: Profile) -> str:
    """Return the node after the way in and the code."""
    name = next(iter((profile.script[profile.rest].ways_in or {}).values()))
    node = profile.script[name]
    return node.then[-1].go if node.kind is NodeKind.CODE else name


def _back_to(profile: Profile, state: KeypadState, home: str, job: KeyingJob) -> tuple[Keys, KeypadState]:
    """Return the keys that lead home: `back`, or if that ends in a list, the shortest way out that saves nothing.

    The search is made with a wrong answer waiting: even after a slip of the finger nothing may be saved.
    """
    held, seen = state.held, {state.node}
    queue: deque[tuple[KeypadState, Keys]] = deque([(_with_a_slip(profile, state, job), ())])
    while queue:
        state, keys = queue.popleft()
        if state.node == home:
            return keys, state._replace(waiting={})
        for pressed in _ways_on(profile, state):
            after = state
            for key in pressed:
                after = press(profile, after, key)
            if after.node not in seen and (after.held is held or dict(after.held) == dict(held)):
                seen.add(after.node)
                queue.append((after, (*keys, *pressed)))
    raise AssertionError(f"no way that keeps nothing leads to {home}")


def _ways_on(profile: Profile, state: KeypadState) -> Iterator[Keys]:
    """Give the keys that may lead on from here: `back`, and each entry of a list that takes nothing out."""
    node, scrolling = profile.script[state.node], profile.scrolling
    yield (profile.back,)
    if node.kind is not NodeKind.LIST or scrolling is None:
        return
    there = entries(profile, state, node)
    at = next(n for n, entry in enumerate(there) if entry.says == state.buffer)
    for n, entry in enumerate(there):
        target = profile.script[entry.go]
        if target.forget is None and target.ask is None and target.trip is None:
            steps = shorter(n - at, len(there))
            yield (*(scrolling.next if steps > 0 else scrolling.previous,) * abs(steps), scrolling.take)


def _with_a_slip(profile: Profile, state: KeypadState, job: KeyingJob) -> KeypadState:
    """Return the state with a wrong value waiting for one of the job's answers that has choices."""
    for item in job.wanted:
        answer = profile.answer_of(item)
        other = next((value for value in answer.choices if value != state.held.get(item)), None) if answer else None
        if other is not None:
            return state._replace(waiting={**state.waiting, item.pattern: Value(other)})
    return state


def _proof(profile: Profile, done: Driven, step: int) -> Item | None:
    """Return the item whose reading proves a step: its own; for a number, the next that shows that it is in use.

    If the number was in use before, that is one that is changed there.
    """
    stroke = done.strokes[step]
    if stroke.act is not Act.NUMBER:
        return stroke.item
    told = [each for each in done.strokes[step:] if each.item and _tells_from_nothing(profile, each)]
    before = done.strokes[0].before.held
    changed = [each for each in told if each.item is not None and before.get(each.item) != each.value]
    return next((each.item for each in changed or told), None)


def _tells_from_nothing(profile: Profile, stroke: Stroke) -> bool:
    """Return whether the question shows this answer differently from none: the first choice offered looks the same."""
    answer = answer_at(profile, profile.script[stroke.node])
    if answer is None:
        return False
    style, value = STYLES[answer.style], stroke.value
    return style.show(answer, value, style.start(answer, value)) != style.show(answer, None, style.start(answer, None))


def _asked(profile: Profile, state: KeypadState, job: KeyingJob) -> Item | None:
    ask = profile.script[state.node].ask
    if ask is None:
        return None
    return Item(ask.replace("*", str(job.number))) if job.group else Item(ask)


def _to_the_last(profile: Profile, start: KeypadState, job: KeyingJob, items: set[Item]) -> tuple[Stroke, ...]:
    """Return the strokes that reach every marked question; if questions are picked, the nearest first."""
    if not profile.menu:
        return _meeting(profile, start, job, items)[0]
    strokes: tuple[Stroke, ...] = ()
    state, left = start, set(items)
    while left:
        ways = [_meeting(profile, state, job, {item}) for item in sorted(left)]
        nearest, state = min(ways, key=lambda way: sum(len(stroke.keys) for stroke in way[0]))
        left.discard(_asked(profile, state, job) or Item(""))
        strokes += nearest
    return strokes


def _meeting(
    profile: Profile, start: KeypadState, job: KeyingJob, items: set[Item]
) -> tuple[tuple[Stroke, ...], KeypadState]:
    """Return the shortest strokes that reach each of these questions, in any order."""
    search, order = Search(profile, job, frozenset(items)), count()
    looks = LOOKS_ONLY | {Act.LEAVE} if profile.menu else LOOKS_ONLY
    queue: list[tuple[int, int, KeypadState, tuple[Stroke, ...], frozenset[Item]]] = [
        (0, next(order), start, (), frozenset(items))
    ]
    best: dict[tuple[object, ...], int] = {}
    while queue:
        cost, _, state, strokes, left = heapq.heappop(queue)
        met = _asked(profile, state, job)
        left = left - {met} if met is not None else left
        if not left:
            return strokes, state
        key = (*search.key(state), left)
        if best.get(key, cost + 1) <= cost:
            continue
        best[key] = cost
        for stroke in search.strokes(state):
            if stroke.act in looks:
                price = cost + search.price(stroke)
                heapq.heappush(queue, (price, next(order), stroke.after, (*strokes, stroke), left))
    raise AssertionError(f"{', '.join(sorted(items))}: answered on the sheet, so there is a way to the question")

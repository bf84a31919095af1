"""The closing walk: reading back, at the end, every answer whose slip could have stayed silent.

Rules of this file:
1. The walk keeps every answer as it is; nothing is changed, and at its end the keypad is left to time out or by `back`.
2. It goes to the last marked answer of each job and no further.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count

from zonewright.entry.drive import Act, Driven, Job, Search, Stroke
from zonewright.entry.keypad import Display, State, at_rest, display
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme

LOOKS_ONLY = frozenset({Act.WAY_IN, Act.CODE, Act.CHOICE, Act.NUMBER, Act.PLACE, Act.KEEP})


@dataclass(frozen=True, slots=True)
class Reading:
    """One answer to read back: what its question must show when it is met."""

    item: Item
    shows: Display


@dataclass(frozen=True, slots=True)
class WalkPart:
    """The reading back of one job."""

    job: Job
    title: str
    strokes: tuple[Stroke, ...]
    readings: tuple[Reading, ...]

    @property
    def presses(self) -> int:
        """Return how many keys it takes."""
        return sum(len(stroke.keys) for stroke in self.strokes)


@dataclass(frozen=True, slots=True)
class ClosingWalk:
    """All that is read back."""

    parts: tuple[WalkPart, ...]

    @property
    def presses(self) -> int:
        """Return how many keys the walk takes."""
        return sum(part.presses for part in self.parts)


def closing_walk(
    profile: Profile, programme: Programme, marked: Sequence[tuple[Driven, frozenset[int], str]]
) -> ClosingWalk:
    """Return the walk over the marked steps of each job with its title; a job without any is passed over."""
    parts = []
    for done, silent, title in marked:
        items = {item for n in silent if (item := _proof(done, n)) is not None}
        if not items or done.job.gone:
            continue
        strokes = _to_the_last(profile, at_rest(profile, programme), done.job, items)
        met = [*(stroke.before for stroke in strokes), *((strokes[-1].after,) if strokes else ())]
        readings = [
            Reading(item, display(profile, state))
            for state in met
            if (item := _asked(profile, state, done.job)) in items and item
        ]
        parts.append(WalkPart(done.job, title, strokes, tuple(readings)))
    return ClosingWalk(tuple(parts))


def _proof(done: Driven, step: int) -> Item | None:
    """Return the item whose reading proves a step: its own; for a number keyed, the next one asked under it."""
    stroke = done.strokes[step]
    later = done.strokes[step:] if stroke.act is Act.NUMBER else (stroke,)
    return next((each.item for each in later if each.item is not None), None)


def _asked(profile: Profile, state: State, job: Job) -> Item | None:
    ask = profile.script[state.node].ask
    if ask is None:
        return None
    return Item(ask.replace("*", str(job.number))) if job.group else Item(ask)


def _to_the_last(profile: Profile, start: State, job: Job, items: set[Item]) -> tuple[Stroke, ...]:
    """Return the strokes that meet every marked question: the shortest way; where they are picked, nearest first."""
    search = Search(profile, job, frozenset(items))
    if not profile.menu:
        all_of_them = _shortest(search, start, frozenset(items))
        return all_of_them[0] if all_of_them is not None else ()
    strokes: tuple[Stroke, ...] = ()
    state, left = start, set(items)
    while left:
        ways = [way for item in sorted(left) if (way := _shortest(search, state, frozenset({item}))) is not None]
        if not ways:
            break
        nearest, state = min(ways, key=lambda way: sum(search.price(stroke) for stroke in way[0]))
        left.discard(_asked(profile, state, job) or Item(""))
        strokes += nearest
    return strokes


def _shortest(search: Search, start: State, items: frozenset[Item]) -> tuple[tuple[Stroke, ...], State] | None:
    order = count()
    queue: list[tuple[int, int, State, tuple[Stroke, ...], frozenset[Item]]] = [(0, next(order), start, (), items)]
    best: dict[tuple[object, ...], int] = {}
    looks = LOOKS_ONLY | {Act.LEAVE} if search.profile.menu else LOOKS_ONLY
    while queue:
        cost, _, state, strokes, left = heapq.heappop(queue)
        met = _asked(search.profile, state, search.job)
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
    return None

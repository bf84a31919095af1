"""Counting seconds: the plain way to explore a panel in time, for holding the clever one to it.

Every timer counts down in whole seconds. An expiry is an event of its own; no second passes while a timer is due;
inputs come before, between and after. Only for panels with short times.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from zonewright.behaviour.events import Expires, Timer
from zonewright.behaviour.observers import Observer
from zonewright.behaviour.slices import Act, Slice
from zonewright.behaviour.state import Control

MOST = 400_000


@dataclass(frozen=True, slots=True)
class Moment:
    """A state with all that is left of its timers."""

    control: Control
    left: frozenset[tuple[Timer, int]]
    state: str | None  # of the observer
    watch: int | None


def count(part: Slice, observer: Observer, *, begins_anywhere: bool) -> tuple[set[Control], bool]:
    """Return every control reached from power-up, and whether the observer ever saw anything bad."""
    first = Moment(part.first(), frozenset(), None if begins_anywhere else "on", None)
    seen = {first}
    todo = deque(seen)
    bad = False

    def arrive(moment: Moment) -> None:
        if moment not in seen:
            seen.add(moment)
            todo.append(moment)

    while todo:
        now = todo.popleft()
        assert len(seen) < MOST
        left = dict(now.left)
        if now.watch == 0 and now.state is not None:
            bad |= observer.too_late(now.state).bad
            arrive(Moment(now.control, now.left, None, None))
        if all(left.values()) and now.watch != 0:
            tick = frozenset((timer, rest - 1) for timer, rest in left.items())
            arrive(Moment(now.control, tick, now.state, None if now.watch is None else now.watch - 1))
        acts: list[Act] = [Expires(timer) for timer, rest in left.items() if rest == 0]
        for act in [*acts, *part.inputs()]:
            for outcome in part.outcomes(now.control, act):
                after = {timer: rest for timer, rest in left.items() if timer not in outcome.stops} | dict(
                    outcome.starts
                )
                if now.state is not None:
                    looks = [observer.goes_on(now.state, now.control, act, outcome)]
                else:
                    begun = observer.begins(now.control, act, outcome)
                    looks = [begun] if begun is not None else []
                    arrive(Moment(outcome.control, frozenset(after.items()), None, None))  # not watched yet
                for look in looks:
                    bad |= look.bad
                    watch = None if look.unwatch or look.state is None else look.watch or now.watch
                    arrive(Moment(outcome.control, frozenset(after.items()), look.state, watch))
    return {moment.control for moment in seen}, bad

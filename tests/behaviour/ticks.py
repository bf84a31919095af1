"""Counting seconds: the plain way to explore a panel in time, for holding the clever one to it.

Every timer counts down in whole seconds. An expiry is an event of its own; no second passes while a timer is due;
inputs come before, between and after. Only for panels with short times.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from zonewright.behaviour.events import Arm, Disarm, Expires, Means, Timer, ZoneCloses, ZoneOpens
from zonewright.behaviour.explore import Exploration, Watched, explore
from zonewright.behaviour.observers import Invariant, Observer, never
from zonewright.behaviour.outcome import PERSON, Outcome
from zonewright.behaviour.slices import Slice
from zonewright.behaviour.state import Control
from zonewright.behaviour.table import Act
from zonewright.panel.behaviours import Mode

MOST = 400_000


class Plain(Slice):
    """A whole panel with fewer things that may happen, so that its seconds can be counted."""

    def inputs(self) -> Iterator[Act]:
        for area in sorted(self.areas):
            yield Arm(area, Mode.AWAY, PERSON, Means.REMOTE)
            yield Arm(area, Mode.STAY, PERSON, Means.REMOTE)
            yield Disarm(area, PERSON)
        for one in self.zones:
            yield ZoneOpens(one.number)
            yield ZoneCloses(one.number)


def exactly(part: Slice, timers: Iterable[Timer]) -> Exploration:
    """Return what sets of times come to from power-up, with all these timers tracked."""
    unbroken = Watched(part, Invariant(never))
    return explore(unbroken, [part.first()], frozenset(timers), lambda seconds: (seconds, seconds))


@dataclass(slots=True)
class Moment:
    """A state with all that is left of its timers, and what may come next."""

    control: Control
    left: dict[Timer, int]
    events: list[tuple[Act, Outcome, Moment]] = field(default_factory=list)
    second: Moment | None = None  # what a second that passes leads to


class Seconds:
    """Every moment that a panel comes to from power-up."""

    def __init__(self, part: Slice) -> None:
        self.moments: list[Moment] = []
        self._known: dict[tuple[Control, frozenset[tuple[Timer, int]]], Moment] = {}
        self._at(part.first(), {})
        inputs = tuple(part.inputs())
        for moment in self.moments:  # grows while it is gone through
            assert len(self.moments) < MOST
            if all(moment.left.values()):
                moment.second = self._at(moment.control, {timer: rest - 1 for timer, rest in moment.left.items()})
            due: list[Act] = [Expires(timer) for timer, rest in moment.left.items() if rest == 0]
            for act in (*due, *inputs):
                for outcome in part.outcomes(moment.control, act):
                    left = {timer: rest for timer, rest in moment.left.items() if timer not in outcome.stops}
                    moment.events.append((act, outcome, self._at(outcome.control, left | dict(outcome.starts))))

    def _at(self, control: Control, left: dict[Timer, int]) -> Moment:
        key = control, frozenset(left.items())
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = Moment(control, left)
            self.moments.append(found)
        return found

    @property
    def controls(self) -> set[Control]:
        """Return every control reached."""
        return {moment.control for moment in self.moments}

    def breaks(self, observer: Observer, *, begins_anywhere: bool) -> bool:
        """Return whether the observer ever sees anything bad."""
        todo: list[tuple[Moment, str, int | None]] = []
        seen: set[tuple[int, str, int | None]] = set()

        def arrive(moment: Moment, state: str | None, watch: int | None) -> None:
            if state is not None and (id(moment), state, watch) not in seen:
                seen.add((id(moment), state, watch))
                todo.append((moment, state, watch))

        if begins_anywhere:
            for moment in self.moments:
                for act, outcome, after in moment.events:
                    begun = observer.begins(moment.control, act, outcome)
                    if begun is not None:
                        if begun.bad:
                            return True
                        arrive(after, begun.state, begun.watch)
        else:
            arrive(self.moments[0], "on", None)
        while todo:
            moment, state, watch = todo.pop()
            if watch == 0 and observer.too_late(state).bad:
                return True
            if moment.second is not None and watch != 0:
                arrive(moment.second, state, None if watch is None else watch - 1)
            for act, outcome, after in moment.events:
                look = observer.goes_on(state, moment.control, act, outcome)
                if look.bad:
                    return True
                arrive(after, look.state, None if look.unwatch else look.watch or watch)
        return False

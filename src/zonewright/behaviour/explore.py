"""Looking at everything that a slice can do: all controls at once, or every timed run until a promise breaks.

Rules of this file:
1. Breadth first: what is found first needs the fewest events.
2. A timer that isn't tracked is free: while it runs, any moment may be its end. That adds runs and loses none.
3. A set of clock readings inside one already seen at the same place is dropped. Nothing else is.
4. Bounds end an exploration by `OutOfBounds`, never by an answer.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass, field

from zonewright.behaviour.events import Expires
from zonewright.behaviour.observers import Observer, Seen
from zonewright.behaviour.slices import Act, Outcome, Slice
from zonewright.behaviour.state import Control
from zonewright.behaviour.timeset import TimeSet

WATCH = "watch"
MOST_CONTROLS = 20_000
MOST_SETS = 60_000


class OutOfBounds(Exception):
    """There is more to look at than the bound allows."""


@dataclass(frozen=True, slots=True)
class Move:
    """One event of a path; the observer's own watch running out has no act."""

    act: Act | None
    outcome: Outcome | None
    watch: int | None = None
    unwatch: bool = False


Path = tuple[Move, ...]


@dataclass(slots=True)
class Cover:
    """Every control of a slice when no timer is tracked, with a shortest way to each."""

    slice: Slice
    controls: list[Control] = field(default_factory=list)
    _came: dict[Control, tuple[Control, Act, Outcome] | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        first = self.slice.first()
        self._came[first] = None
        self.controls.append(first)
        loose = -1
        while loose != len(self.slice.loose):  # a timer not kept that was met late may end earlier, too
            loose = len(self.slice.loose)
            for control in self.controls:  # grows while it is gone through
                self._expand(control)
                if len(self.controls) > MOST_CONTROLS:
                    raise OutOfBounds(f"more than {MOST_CONTROLS} states")

    def _expand(self, control: Control) -> None:
        for act in self.slice.events(control):
            for outcome in self.slice.outcomes(control, act):
                if outcome.control not in self._came:
                    self._came[outcome.control] = (control, act, outcome)
                    self.controls.append(outcome.control)

    def moves(self) -> Iterator[tuple[Control, Act, Outcome]]:
        """Give everything that can happen in each control, the nearest controls first."""
        for control in self.controls:
            for act in self.slice.events(control):
                for outcome in self.slice.outcomes(control, act):
                    yield control, act, outcome

    def way_to(self, control: Control) -> Path:
        """Return a shortest path from power-up."""
        moves = []
        came = self._came[control]
        while came is not None:
            before, act, outcome = came
            moves.append(Move(act, outcome))
            came = self._came[before]
        return tuple(reversed(moves))


@dataclass(frozen=True, slots=True)
class _Node:
    control: Control
    state: str
    watching: bool
    times: TimeSet
    came: tuple[_Node | Control, Move]


@dataclass(slots=True)
class Exploration:
    """What one exploration found: the root and path of a broken promise, or none."""

    root: Control | None = None
    path: Path | None = None
    sets: int = 0
    reached: set[Control] = field(default_factory=set)


Step = tuple[Act, Outcome, Seen]


@dataclass(slots=True)
class Watched:
    """A slice with an observer beside it: what may happen next, each thing that differs to them once."""

    slice: Slice
    observer: Observer
    _found: dict[tuple[Control, str], tuple[Step, ...]] = field(default_factory=dict)

    def steps(self, control: Control, state: str) -> tuple[Step, ...]:
        """Return what may happen, leaving out what changes nothing."""
        found = self._found.get((control, state))
        if found is None:
            found = self._found[control, state] = tuple(self._steps(control, state))
        return found

    def _steps(self, control: Control, state: str) -> Iterator[Step]:
        same = set()
        for act in self.slice.events(control):
            ends = act.timer if isinstance(act, Expires) and act.timer in control.running else None
            for outcome in self.slice.outcomes(control, act):
                seen = self.observer.goes_on(state, control, act, outcome)
                if seen.state is None and not seen.bad:
                    continue
                still = outcome.control == control and not (outcome.starts or outcome.stops)
                if still and seen == Seen(state):
                    continue
                key = (outcome.control, outcome.starts, outcome.stops, ends, seen)
                if key not in same:
                    same.add(key)
                    yield act, outcome, seen


def explore(
    watched: Watched,
    roots: Iterable[Control],
    tracked: frozenset[Hashable],
    limits: Callable[[int], tuple[int, int]],
) -> Exploration:
    """Look for a run from one of the roots in which the observer sees something bad.

    `limits` gives the least and most seconds of a timer of so many.
    """
    part, observer = watched.slice, watched.observer
    kept: dict[Hashable, list[TimeSet]] = {}
    todo: deque[_Node] = deque()
    found = Exploration()

    def arrive(from_: _Node | Control, move: Move, seen: Seen, times: TimeSet, watching: bool) -> bool:
        """Keep a node unless it is known; True if the promise broke."""
        if seen.bad:
            found.root, found.path = _path(from_, move)
            return True
        if seen.state is None or move.outcome is None:
            return False
        if seen.unwatch or seen.watch is not None:
            times = times.drop(WATCH)
        if seen.watch is not None and WATCH in tracked:
            times = times.start(WATCH, seen.watch, seen.watch)
        times = times.elapse()
        on = (watching or seen.watch is not None) and not seen.unwatch
        control = move.outcome.control
        stored = kept.setdefault((control, seen.state, on, times.clocks, times.limits), [])
        if any(one.holds(times) for one in stored):
            return False
        stored.append(times)
        found.reached.add(control)
        todo.append(_Node(control, seen.state, on, times, (from_, move)))
        found.sets += 1
        if found.sets > MOST_SETS:
            raise OutOfBounds(f"more than {MOST_SETS} sets of times")
        return False

    for root in roots:
        for act in part.events(root):
            for outcome in part.outcomes(root, act):
                seen = observer.begins(root, act, outcome)
                if seen is not None:
                    times = after(TimeSet(), outcome, tracked, limits)
                    if arrive(root, Move(act, outcome, seen.watch, seen.unwatch), seen, times, False):
                        return found
    while todo:
        node = todo.popleft()
        if node.watching:
            due = node.times if WATCH not in tracked else node.times.at_expiry(WATCH)
            if due is not None and arrive(node, Move(None, None), observer.too_late(node.state), due, True):
                return found
        for act, outcome, seen in watched.steps(node.control, node.state):
            now = node.times
            if isinstance(act, Expires) and act.timer in now.clocks:
                due = now.at_expiry(act.timer)
                if due is None:
                    continue
                now = due.drop(act.timer)
            times = after(now, outcome, tracked, limits)
            if arrive(node, Move(act, outcome, seen.watch, seen.unwatch), seen, times, node.watching):
                return found
    return found


def after(
    times: TimeSet, outcome: Outcome, tracked: frozenset[Hashable], limits: Callable[[int], tuple[int, int]]
) -> TimeSet:
    """Return the readings right after an outcome: stopped clocks gone, started ones at nought."""
    for timer in outcome.stops:
        times = times.drop(timer)
    for timer, seconds in outcome.starts:
        if timer in tracked:
            times = times.start(timer, *limits(seconds))
    return times


def _path(from_: _Node | Control, move: Move) -> tuple[Control, Path]:
    moves = [move]
    while isinstance(from_, _Node):
        from_, move = from_.came
        moves.append(move)
    return from_, tuple(reversed(moves))

"""Looking at everything that a slice can do: all its controls at once, or every timed run until a promise breaks.

Rules of this file:
1. Breadth first: what is found first needs the fewest events.
2. A timer that isn't tracked is free: while it runs, it may end at any moment. That adds runs and loses none.
3. A set of clock readings inside one already seen at the same place is dropped. Nothing else is.
4. Bounds end an exploration by `OutOfBounds`, never by an answer.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import cast

from zonewright.behaviour.events import Disarm, Expires, OfDevice, Timer
from zonewright.behaviour.state import Control
from zonewright.proof.prover.observers import Observation, Observer
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.purse import OutOfBounds, Work
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import Act
from zonewright.proof.prover.timeset import TimeSet
from zonewright.site.record import ZoneNumber

WATCH = "watch"
MOST_CONTROLS = 20_000
MOST_SETS = 60_000


@dataclass(frozen=True, slots=True)
class Move:
    """One event of a path; it has no act if the observer's watch runs out."""

    act: Act | None
    outcome: EventOutcome | None
    watch: int | None = None
    unwatch: bool = False


Path = tuple[Move, ...]


Case = tuple[Control, Act, EventOutcome]  # where, what happens, and what it does


@dataclass(slots=True)
class Cover:
    """Every control of a slice when no timer is tracked, with a shortest way to each."""

    slice: Slice
    controls: list[Control] = field(default_factory=list)
    _came: dict[int, Case | None] = field(default_factory=dict)  # a slice keeps its controls, each as one object
    _changes: dict[Act, frozenset[int]] = field(default_factory=dict)
    _lengths: dict[Timer, tuple[int, int]] | None = None

    def __post_init__(self) -> None:
        first = self.slice.same(self.slice.first())
        self._came[id(first)] = None
        self.controls.append(first)
        loose = -1
        while loose != len(self.slice.loose):  # a timer not kept that was found late may also end in earlier controls
            loose = len(self.slice.loose)
            for control in self.controls:  # the list grows meanwhile
                self._expand(control)
                if len(self.controls) > MOST_CONTROLS:
                    raise OutOfBounds(f"more than {MOST_CONTROLS:,} states")

    def _expand(self, control: Control) -> None:
        for act, outcome in self.slice.row(control):
            if id(outcome.control) not in self._came:
                self._came[id(outcome.control)] = (control, act, outcome)
                self.controls.append(outcome.control)

    def moves(self) -> Iterator[Case]:
        """Give everything that can happen in each control, the nearest controls first."""
        for control in self.controls:
            for act, outcome in self.slice.row(control):
                yield control, act, outcome

    def lengths(self) -> dict[Timer, tuple[int, int]]:
        """Return the least and most seconds with which each kept timer is started."""
        if self._lengths is None:
            found: dict[Timer, set[int]] = {}
            for _, _, outcome in self.moves():
                for timer, seconds in outcome.starts:
                    found.setdefault(timer, set()).add(seconds)
            self._lengths = {timer: (min(some), max(some)) for timer, some in found.items()}
        return self._lengths

    def acts_that_differ(self, zones: Iterable[ZoneNumber]) -> frozenset[Act]:
        """Return the acts to look at for a promise about some zones: theirs, and others that no other act stands for.

        One act stands for another of its sort if it leads wherever the other does, with the same timers: of other
        zones' acts a promise needs only the state they lead to. A zone's twin acts as the zone does.
        """
        mine = set(zones)
        twins = self.slice.twins(mine)
        found: set[Act] = set()
        sorts: dict[Hashable, dict[frozenset[int], Act]] = {}
        for act, moves in self._moves_of().items():
            zone = getattr(act, "zone", None)
            if zone in mine:
                found.add(act)
                twin = twins.get(cast("ZoneNumber", zone))
                if twin is None:
                    continue
                sorts.setdefault("device", {}).setdefault(moves, replace(cast("OfDevice", act), zone=twin))
            elif isinstance(act, Disarm):
                found.add(act)
            elif moves and not (isinstance(act, Expires) and act.timer not in self.slice.loose):
                sorts.setdefault("device" if zone is not None else type(act).__name__, {}).setdefault(moves, act)
        for ways in sorts.values():
            found |= {act for moves, act in ways.items() if moves and not any(moves < others for others in ways)}
        return frozenset(found)

    def _moves_of(self) -> dict[Act, frozenset[int]]:
        """Return every change that each act makes, as numbers."""
        if not self._changes:
            numbers: dict[Hashable, int] = {}
            found: dict[int, tuple[Act, list[int]]] = {}  # by identity: a slice keeps its acts, each as one object
            for place, control in enumerate(self.controls):
                for act, outcome in self.slice.row(control):
                    changes = found.setdefault(id(act), (act, []))[1]
                    if outcome.control is not control or outcome.starts or outcome.stops:
                        change = place, id(outcome.control), outcome.starts, outcome.stops
                        changes.append(numbers.setdefault(change, len(numbers)))
            self._changes = {act: frozenset(changes) for act, changes in found.values()}
        return self._changes

    def way_to(self, control: Control) -> Path:
        """Return a shortest path from power-up."""
        moves = []
        came = self._came[id(self.slice.same(control))]
        while came is not None:
            before, act, outcome = came
            moves.append(Move(act, outcome))
            came = self._came[id(before)]
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
    reached: dict[int, Control] = field(default_factory=dict)  # by identity
    times: dict[tuple[int, str, bool], list[TimeSet]] = field(
        default_factory=dict
    )  # control, observer's state, watching


Step = tuple[Act, EventOutcome, Observation]


@dataclass(slots=True)
class Watched:
    """A slice and an observer: what may happen next, once for all events that make no difference to either."""

    slice: Slice
    observer: Observer
    _found: dict[tuple[int, str], tuple[Step, ...]] = field(default_factory=dict)

    def steps(self, control: Control, state: str) -> tuple[Step, ...]:
        """Return what may happen, leaving out what changes nothing."""
        found = self._found.get((id(control), state))
        if found is None:
            found = self._found[id(control), state] = tuple(self._steps(control, state))
        return found

    def _steps(self, control: Control, state: str) -> Iterator[Step]:
        same = set()
        goes_on, nothing = self.observer.goes_on, Observation(state)
        for act, outcome in self.slice.row(control):
            seen = goes_on(state, control, act, outcome)
            if seen.state is None and not seen.bad:
                continue
            after, effect, stops = outcome
            starts = effect.kept.starts
            if after is control and not (starts or stops) and seen == nothing:
                continue
            ends = act.timer if isinstance(act, Expires) and act.timer in control.running else None
            key = (id(after), starts, stops, ends, seen)
            if key not in same:
                same.add(key)
                yield act, outcome, seen


def explore(
    watched: Watched,
    roots: Iterable[Control],
    tracked: frozenset[Hashable],
    limits: Callable[[int], tuple[int, int]],
    lengths: Mapping[Timer, tuple[int, int]] | None = None,
) -> Exploration:
    """Look for a run from one of the roots in which the observer sees something bad.

    `limits` gives the least and most seconds that a timer set to some seconds takes. `lengths` gives the least and most
    to which a timer is set that may run already in a root, since an unknown time.
    """
    part, observer = watched.slice, watched.observer
    todo: deque[_Node] = deque()
    found = Exploration()
    kept = found.times
    clocks = _Clocks(tracked, limits, lengths or {})

    def arrive(from_: _Node | Control, move: Move, seen: Observation, times: TimeSet, watching: bool) -> bool:
        """Keep a node unless it is known; True if the promise broke."""
        if seen.bad:
            found.root, found.path = _path(from_, move)
            return True
        if seen.state is None or move.outcome is None:
            return False
        on = (watching or seen.watch is not None) and not seen.unwatch
        control = move.outcome.control
        stored = kept.setdefault((id(control), seen.state, on), [])
        if any(one.holds(times) for one in stored):
            return False
        stored.append(times)
        found.reached[id(control)] = control
        todo.append(_Node(control, seen.state, on, times, (from_, move)))
        found.sets += 1
        part.purse.pay(Work.SETS, 1)
        if found.sets > MOST_SETS:
            raise OutOfBounds(f"more than {MOST_SETS:,} sets of times")
        return False

    for root in map(part.same, roots):
        at_first = clocks.at_first(root)
        for act, outcome in part.row(root):
            seen = observer.begins(root, act, outcome)
            if seen is not None:
                ends = act.timer if isinstance(act, Expires) and act.timer in at_first.clocks else None
                times = clocks.after(at_first, ends, outcome, seen)
                move = Move(act, outcome, seen.watch, seen.unwatch)
                if times is not None and arrive(root, move, seen, times, False):
                    return found
    while todo:
        node = todo.popleft()
        if node.watching:
            due = node.times if WATCH not in tracked else node.times.at_expiry(WATCH)
            if due is not None and arrive(node, Move(None, None), observer.too_late(node.state), due, True):
                return found
        for act, outcome, seen in watched.steps(node.control, node.state):
            ends = act.timer if isinstance(act, Expires) and act.timer in node.times.clocks else None
            times = clocks.after(node.times, ends, outcome, seen)
            if times is not None:
                move = Move(act, outcome, seen.watch, seen.unwatch)
                if arrive(node, move, seen, times, node.watching):
                    return found
    return found


@dataclass(slots=True)
class _Clocks:
    """What events do to the readings of the clocks that are tracked; each thing is worked out once."""

    tracked: frozenset[Hashable]
    limits: Callable[[int], tuple[int, int]]
    lengths: Mapping[Timer, tuple[int, int]]
    _same: dict[TimeSet, TimeSet] = field(default_factory=dict)
    _found: dict[Hashable, TimeSet | None] = field(default_factory=dict)

    def at_first(self, root: Control) -> TimeSet:
        """Return the readings where an observation begins: of what runs already nothing is known but that it runs."""
        running = [timer for timer in root.running if timer in self.tracked and timer in self.lengths]
        found = TimeSet.of_any_age(
            (timer, self.limits(least)[0], self.limits(most)[1])
            for timer, (least, most) in ((timer, self.lengths[timer]) for timer in running)
        )
        return self._same.setdefault(found, found)

    def after(self, times: TimeSet, ends: Timer | None, outcome: EventOutcome, seen: Observation) -> TimeSet | None:
        """Return the readings from an outcome on, a clock of `ends` having expired; None if it can't expire now."""
        key = id(times), id(ends), outcome.stops, id(outcome.starts), seen.watch, seen.unwatch  # all of them kept
        if key not in self._found:
            found = self._after(times, ends, outcome, seen)
            self._found[key] = None if found is None else self._same.setdefault(found, found)
        return self._found[key]

    def _after(self, times: TimeSet, ends: Timer | None, outcome: EventOutcome, seen: Observation) -> TimeSet | None:
        if ends is not None:
            due = times.at_expiry(ends)
            if due is None:
                return None
            times = due.drop(ends)
        for timer in outcome.stops:
            times = times.drop(timer)
        for timer, seconds in outcome.starts:
            if timer in self.tracked:
                times = times.start(timer, *self.limits(seconds))
        if seen.unwatch or seen.watch is not None:
            times = times.drop(WATCH)
        if seen.watch is not None and WATCH in self.tracked:
            times = times.start(WATCH, seen.watch, seen.watch)
        return times.elapse()


def _path(from_: _Node | Control, move: Move) -> tuple[Control, Path]:
    moves = [move]
    while isinstance(from_, _Node):
        from_, move = from_.came
        moves.append(move)
    return from_, tuple(reversed(moves))

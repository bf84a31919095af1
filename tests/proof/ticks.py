"""Counting seconds: the plain way to explore a panel in time, for holding the clever one to it.

Every timer counts down in whole seconds. An expiry is an event of its own; no second passes while a timer is due;
inputs come before, between and after. Only for panels with short times.

For speed what `step` does in a state is looked up once, and a moment is one number: the place of its state in
`_controls`, and above it what is left of each timer, four bits a timer (0: it doesn't run, else its seconds and one).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from zonewright.behaviour.events import (
    Arm,
    Disarm,
    Expires,
    Means,
    Timer,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import Mode
from zonewright.proof.promises.promise import Promise
from zonewright.proof.prover.explore import Exploration, Watched, explore
from zonewright.proof.prover.facts import Fact
from zonewright.proof.prover.observers import Invariant, Observation, Observer, never
from zonewright.proof.prover.outcome import PERSON, EventOutcome, whole_effect
from zonewright.proof.prover.reading import ReadControl
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import Act, Answers, Chosen, Leaf

MOST = 400_000
OF_CONTROL, OF_TIMER = 20, 4  # bits
CONTROL, LEFT = (1 << OF_CONTROL) - 1, (1 << OF_TIMER) - 1
Moment = int


class Plain(Slice):
    """A whole panel with fewer things that may happen, so that its seconds can be counted."""

    def inputs(self) -> Iterator[Act]:
        settings = self.whole.settings
        means = [Means.REMOTE, Means.KEYPAD] if settings.completing_act else [Means.REMOTE]
        for area in sorted(self.areas):
            yield from (Arm(area, Mode.AWAY, PERSON, each) for each in means)
            yield Arm(area, Mode.STAY, PERSON, Means.REMOTE)
            yield Disarm(area, PERSON)
        for one in self.zones:
            yield ZoneOpens(one.number)
            yield ZoneCloses(one.number)
        if settings.at_setting:
            yield TroubleBegins(self.zones[-1].number, Trouble.TAMPER)
            yield TroubleEnds(self.zones[-1].number, Trouble.TAMPER)


@dataclass(frozen=True, slots=True)
class Known:
    """A state in which nothing that is asked is unknown."""

    state: ReadControl

    def __call__(self, fact: Fact, chosen: Chosen) -> Answers:
        """Return the one answer."""
        return (self.state[fact],)

    def as_in(self, run: Leaf, begin: int, end: int, chosen: Chosen, walked: list[Fact]) -> int:
        """Return the first of these places of a run's trail at which its answer is another one."""
        others = (n for n in range(begin, end) if self.state[run.trail[n]] != run.answers[n])
        return next(others, end)


class Tabled(Plain):
    """A plain panel, looked up; of three or more zones the others only trip, and somebody opens the first device.

    The order of alarms is forgotten: with no second zone to confirm, it is a matter of the display.
    """

    def inputs(self) -> Iterator[Act]:
        others = {one.number for one in self.zones[2:]}
        for act in super().inputs():
            if getattr(act, "zone", None) not in others:
                yield act
        yield from map(ZoneTrips, sorted(others))
        for one in self.zones[:1]:
            yield TroubleBegins(one.number, Trouble.TAMPER)

    def outcomes(self, control: Control, act: Act) -> tuple[EventOutcome, ...]:
        """Return what `step` does, run once for all states that answer its questions alike."""
        assert not self.whole.settings.confirm_window
        state = self.reading.state(control)
        (leaf,), _ = self.table.leaves(control, act, Known(state))
        effect = whole_effect(leaf)
        waits = () if "waiting" in leaf.change.parts else tuple(sorted(leaf.change.held))
        effect = replace(effect, kept=replace(effect.kept, waits=waits))
        stops = leaf.change.stops & control.running
        after = self.reading.after(control, effect.kept, stops)
        if any(area.memory for area in after.areas):
            after = self.same(replace(after, areas=tuple(replace(each, memory=()) for each in after.areas)))
        return (EventOutcome(after, effect, stops),)


def exactly(part: Slice, timers: Iterable[Timer]) -> Exploration:
    """Return what sets of times come to from power-up, with all these timers tracked."""
    unbroken = Watched(part, Invariant(never))
    return explore(unbroken, [part.first()], frozenset(timers), lambda seconds: (seconds, seconds))


@dataclass(slots=True, eq=False)
class Edge:
    """One thing that may happen in a state."""

    before: Control
    act: Act
    outcome: EventOutcome
    to: int  # place of the state that it leads to
    keeps: int  # bits of the timers that it leaves alone
    starts: int
    due: int  # where the bits of the timer begin that must be due; -1: it may happen at any moment
    happens: bool = False  # whether there is a moment in which it may

    def after(self, moment: Moment) -> Moment:
        """Return the moment that it leads to."""
        return (moment & self.keeps) | self.starts | self.to


@dataclass(slots=True)
class Row:
    """All that may happen in a state."""

    edges: list[Edge]
    running: list[int] = field(default_factory=list)  # where the bits of its timers begin
    second: int = 0  # what passes in a second


class Seconds:
    """Every moment that a panel comes to from power-up; if less than `MOST` is asked for, the nearest ones."""

    def __init__(self, part: Slice, most: int = MOST) -> None:
        self.part, self.inputs, self.most = part, tuple(part.inputs()), most
        self._controls: list[Control] = []  # some of them are never reached
        self.rows: list[Row | None] = []
        self.places: dict[Control, int] = {}
        self.timers: dict[Timer, int] = {}
        first = self._place(part.first())
        self.moments: set[Moment] = {first}
        todo = deque([first])
        while todo and len(self.moments) < most:
            for _, moment in self.next(todo.popleft()):
                if moment not in self.moments:
                    self.moments.add(moment)
                    todo.append(moment)
        assert not todo or most < MOST
        self._at: dict[int, list[Moment]] = {}
        for moment in self.moments:
            self._at.setdefault(moment & CONTROL, []).append(moment)

    @property
    def controls(self) -> set[Control]:
        """Return every state reached."""
        return {self._controls[place] for place in self._at}

    def next(self, moment: Moment) -> Iterator[tuple[Edge | None, Moment]]:
        """Give what may come next, each with the moment that it leads to; None: a second passes."""
        row = self.row(moment & CONTROL)
        if all((moment >> at) & LEFT != 1 for at in row.running):
            yield None, moment - row.second
        for edge in row.edges:
            if edge.due < 0 or (moment >> edge.due) & LEFT == 1:
                edge.happens = True
                yield edge, edge.after(moment)

    def row(self, place: int) -> Row:
        """Return all that may happen in a state, looked up once."""
        found = self.rows[place]
        if found is None:
            control = self._controls[place]
            row = Row([], [self._bits(timer) for timer in control.running])
            row.second = sum(1 << at for at in row.running)
            for act in (*(Expires(timer) for timer in sorted(control.running, key=str)), *self.inputs):
                row.edges += [self._edge(control, act, outcome) for outcome in self.part.outcomes(control, act)]
            found = self.rows[place] = row
        return found

    def _edge(self, control: Control, act: Act, outcome: EventOutcome) -> Edge:
        ends = self._bits(act.timer) if isinstance(act, Expires) else -1
        gone = CONTROL
        for timer in outcome.stops:
            gone |= LEFT << self._bits(timer)
        starts = 0
        for timer, seconds in outcome.starts:
            assert seconds < LEFT
            gone |= LEFT << self._bits(timer)
            starts |= (seconds + 1) << self._bits(timer)
        return Edge(control, act, outcome, self._place(outcome.control), ~gone, starts, ends)

    def _bits(self, timer: Timer) -> int:
        return OF_CONTROL + OF_TIMER * self.timers.setdefault(timer, len(self.timers))

    def _place(self, control: Control) -> int:
        place = self.places.get(control)
        if place is None:
            place = self.places[control] = len(self._controls)
            self._controls.append(control)
            self.rows.append(None)
        return place

    def edges(self) -> Iterator[Edge]:
        """Give everything that happens."""
        for place in self._at:
            yield from (edge for edge in self.row(place).edges if edge.happens)

    def comes_to(self, promise: Promise) -> bool:
        """Return whether anything happens that a promise is about, where it may begin."""
        return any(
            (not promise.timed or promise.root(edge.before)) and promise.premise(edge.before, edge.act, edge.outcome)
            for edge in self.edges()
        )

    def breaks(self, observer: Observer, *, begins_anywhere: bool) -> bool:
        """Return whether the observer sees anything bad; where not all was looked at, it may yet."""
        edges = list(self.edges())
        if not begins_anywhere:  # it judges each event for itself
            return any(observer.goes_on("on", edge.before, edge.act, edge.outcome).bad for edge in edges)
        watched = _Watched(observer)
        todo: deque[tuple[Moment, str, int]] = deque()  # with the seconds left of the watch; -1: it doesn't run
        known: set[tuple[Moment, str, int]] = set()

        def arrive(moment: Moment, state: str, watch: int) -> None:
            node = moment, state, watch
            if node not in known:
                known.add(node)
                todo.append(node)

        for edge in edges:
            begun = observer.begins(edge.before, edge.act, edge.outcome)
            if begun is not None and begun.bad:
                return True
            if begun is not None and begun.state is not None:
                for moment in self._at[self.places[edge.before]]:
                    if edge.due < 0 or (moment >> edge.due) & LEFT == 1:
                        arrive(edge.after(moment), begun.state, -1 if begun.watch is None else begun.watch)
        while todo and len(known) < self.most:
            moment, state, watch = todo.popleft()
            if watch == 0 and observer.too_late(state).bad:
                return True
            for happens, after in self.next(moment):
                if happens is None:
                    if watch != 0:
                        arrive(after, state, watch - 1 if watch > 0 else -1)
                    continue
                seen = watched.sees(state, happens)
                if seen.bad:
                    return True
                if seen.state is not None:
                    arrive(after, seen.state, -1 if seen.unwatch else watch if seen.watch is None else seen.watch)
        return False


class _Watched:
    """An observer, asked once for each thing that may happen in a state."""

    def __init__(self, observer: Observer) -> None:
        self.observer = observer
        self._seen: dict[tuple[str, int], Observation] = {}

    def sees(self, state: str, edge: Edge) -> Observation:
        """Return what it sees."""
        key = state, id(edge)
        seen = self._seen.get(key)
        if seen is None:
            seen = self._seen[key] = self.observer.goes_on(state, edge.before, edge.act, edge.outcome)
        return seen

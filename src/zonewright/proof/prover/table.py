"""What `step` does, worked out once for each set of answers that it asks for, and then looked up.

Rules of this file:
1. A table is a tree of questions for each event, in the order in which `step` asks them; a leaf is one run of `step`.
   The tree doesn't depend on who asks: slices that keep different facts of the same panel share it. A question that all
   runs answered alike is no fork: only the leaf has it.
2. A question that a slice can't answer has two answers, and both ways are taken.
3. Nothing here says what the panel does; all of that comes from `step`.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Any, Protocol

from zonewright.behaviour.events import Event, Output, Timer, TimerKind
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import Control
from zonewright.behaviour.step import decide
from zonewright.panel.behaviours import Pattern
from zonewright.proof.prover.facts import ASKED_WHOLE, OF_ALARMS, SETS_OF_FACTS, Fact, is_likely
from zonewright.proof.prover.purse import Purse
from zonewright.proof.prover.unknowns import View
from zonewright.site.record import ZoneNumber
from zonewright.words.telling import event_in_words

MOST_LEAVES = 4096  # ways of one event in one control; with more, a panel is too large for a slice


class TooLarge(Exception):
    """An event has more outcomes than can be explored."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A zone of another area calls for the sounder: if the siren time runs, it starts again."""

    pattern: Pattern


Act = Event | Elsewhere
Answers = tuple[Hashable, ...]  # all possible answers to a question, the likeliest first
Chosen = dict[Fact, Hashable]  # answers chosen where a question had several


class Asks(Protocol):
    """Answers the questions on the way through a table."""

    def __call__(self, fact: Fact, chosen: Chosen) -> Answers:
        """Return all possible answers to a question, given those that were chosen."""

    def as_in(self, run: Leaf, begin: int, end: int, chosen: Chosen, walked: list[Fact]) -> int:
        """Return the first of these places of a run's trail at which its answer isn't the only one; `end` if none is.

        The questions before it are added to `walked`, except those that have the same answer in every state.
        """


@dataclass(frozen=True, slots=True, eq=False)
class StateChange:
    """What changed in a run of `step`, by parts; a table has one object for equal changes."""

    areas: dict[AreaNumber, dict[str, Any]]
    parts: dict[str, Any]  # parts that are one question, as they are afterwards
    lost: dict[str, frozenset[Any]]  # of the sets of facts
    gained: dict[str, frozenset[Any]]
    starts: tuple[tuple[Timer, int], ...]
    stops: frozenset[Timer]  # if they ran
    called: frozenset[tuple[Pattern, ZoneNumber]]  # zones that began to call for the sounder
    ended: tuple[AreaNumber, ...] | None  # areas whose earlier calls are over; None: all are
    held: frozenset[tuple[ZoneNumber, str]]  # messages that began to wait


@dataclass(frozen=True, slots=True, eq=False)
class Leaf:
    """One run of `step`. Runs with equal changes, outputs or trails share one object for each."""

    change: StateChange
    outputs: tuple[Output, ...]
    trail: tuple[Fact, ...]  # every question, in order
    answers: tuple[Hashable, ...]
    asks: int  # how many of its answers are the less likely ones

    @property
    def facts(self) -> dict[Fact, Hashable]:
        """The facts that this run depends on, without those in `NOT_TOLD`."""
        pairs = zip(self.trail, self.answers, strict=True)
        return {fact: answer for fact, answer in pairs if fact[0] not in NOT_TOLD}


@dataclass(slots=True, eq=False)
class _Fork:
    """A question that runs answered differently."""

    fact: Fact
    ways: dict[Hashable, _Place] = field(default_factory=dict)


@dataclass(slots=True, eq=False)
class _Stretch:
    """Some questions of a run that all runs answered alike so far, and what comes after them."""

    run: Leaf
    begin: int
    end: int
    then: _Place

    def fork_at(self, place: int) -> _Fork:
        """Make a fork of one of the questions, and return it."""
        rest = self.then if place + 1 == self.end else _Stretch(self.run, place + 1, self.end, self.then)
        self.end, self.then = place, _Fork(self.run.trail[place], {self.run.answers[place]: rest})
        return self.then


_Place = _Fork | _Stretch | Leaf


@dataclass(slots=True)
class Table:
    """Every outcome of one panel that was ever needed."""

    setup: Setup
    elsewhere: tuple[Pattern, ...] = ()
    here: frozenset[AreaNumber] = frozenset()  # areas of which anything is kept
    steps: int = 0  # runs of `step`
    readings: dict[Hashable, object] = field(default_factory=dict)  # shared by slices that read alike (`reading.py`)
    purses: dict[bool, Purse] = field(default_factory=lambda: {heard: Purse() for heard in (False, True)})
    wider: dict[tuple[frozenset[AreaNumber], ...], Table] = field(default_factory=dict)  # by what `keeping` is given
    touched: dict[Act, set[Fact]] = field(default_factory=dict)  # by an event, in any run of it in any of these tables
    _acts: dict[Act, Act] = field(default_factory=dict)
    _roots: dict[Act, _Place] = field(default_factory=dict)
    once: dict[Hashable, Any] = field(default_factory=dict)  # the one object for equal parts of leaves

    def same(self, act: Act) -> Act:
        """Return the one object that stands for an event here."""
        return self._acts.setdefault(act, act)

    def keeping(self, here: frozenset[AreaNumber], moving: frozenset[AreaNumber], panel: Callable[[], Setup]) -> Table:
        """Return the table with the same purses that keeps something of `here`, and more than the mode of `moving`."""
        if not self.wider:
            self.wider[self.here, frozenset()] = self
        found = self.wider.get((here, moving))
        if found is None:
            found = self.wider[here, moving] = Table(panel(), self.elsewhere, here, purses=self.purses)
            found.wider, found._acts, found.touched = self.wider, self._acts, self.touched
        return found

    def forget_readings(self) -> None:
        """Forget all that was read here and in the wider tables, which hold one another until then."""
        for table in tuple(self.wider.values()):
            table.readings.clear()
        self.readings.clear()
        self.wider.clear()

    @property
    def runs(self) -> int:
        """Return how often `step` was run for this panel, in this and the wider tables."""
        return sum(table.steps for table in {id(each): each for each in (self, *self.wider.values())}.values())

    def leaves(self, control: Control, act: Act, answers: Asks) -> tuple[list[Leaf], list[Fact]]:
        """Return what an event may do in a control, given these answers, and the questions on the way.

        Two controls that answer alike are asked the same questions in the same order. Raises `TooLarge`.
        """
        root = self._roots.get(act)
        if root is None:
            root = self._roots[act] = self._grown(control, act, answers, {}, 0)
        found: list[Leaf] = []
        walked: list[Fact] = []
        todo: list[tuple[_Place, int, Chosen]] = [(root, 0, {})]
        while todo:
            place, depth, chosen = todo.pop()
            while not isinstance(place, Leaf):
                if isinstance(place, _Stretch):
                    until = answers.as_in(place.run, place.begin, place.end, chosen, walked)
                    depth += until - place.begin
                    place = place.then if until == place.end else place.fork_at(until)
                    continue
                fact = place.fact
                walked.append(fact)
                every = answers(fact, chosen)
                depth += 1
                if len(every) > 1:
                    for other in every[1:]:
                        taken = {**chosen, fact: other}
                        todo.append((self._way(place, other, control, act, answers, taken, depth), depth, taken))
                    chosen = {**chosen, fact: every[0]}
                place = self._way(place, every[0], control, act, answers, chosen, depth)
            found.append(place)
            if len(found) > MOST_LEAVES:
                raise TooLarge(f"{_in_words(self.setup, act)}: more than {MOST_LEAVES:,} ways")
        return found, walked

    def _way(
        self, fork: _Fork, answer: Hashable, control: Control, act: Act, answers: Asks, chosen: Chosen, depth: int
    ) -> _Place:
        """Return what comes after an answer; run `step` if nobody went that way before."""
        place = fork.ways.get(answer)
        if place is None:
            place = fork.ways[answer] = self._grown(control, act, answers, chosen, depth)
        return place

    def _grown(self, control: Control, act: Act, answers: Asks, chosen: Chosen, depth: int) -> _Place:
        """Run `step` with these answers and return the part of it below a depth."""
        given: dict[Fact, Hashable] = dict(chosen)

        def known(fact: Fact) -> Hashable:
            if fact not in given:
                given[fact] = answers(fact, given)[0]
            return given[fact]

        self.steps += 1
        view = View(self.setup, control, known, self.elsewhere, self.here)
        happen(view, act)
        self.touched.setdefault(act, set()).update(view.touched())
        leaf = leaf_of(view, control, self.once)
        return leaf if depth == len(leaf.trail) else _Stretch(leaf, depth, len(leaf.trail), leaf)


def _in_words(setup: Setup, act: Act) -> str:
    return "another area calls" if isinstance(act, Elsewhere) else event_in_words(setup, act)


NOT_TOLD = frozenset({*OF_ALARMS, "began", "by_keypad", "part"})  # slices know only part of these


def happen(view: View, act: Act) -> None:
    """Let an event happen."""
    if not isinstance(act, Elsewhere):
        decide(view, act)
    elif view.runs(TimerKind.SIREN, 0):
        view.start(TimerKind.SIREN, 0, view.setup.settings.siren_time)


def leaf_of(view: View, control: Control, once: dict[Hashable, Any]) -> Leaf:
    """Return what a step did, each part as the one object in `once` for equal parts; new ones are added there."""
    parts = {}
    for name in ASKED_WHOLE:
        value = view.loaded(name)
        if value is not None and (("part", name) not in view.trail or value != getattr(control, name)):
            parts[name] = value  # it was set without asking, so it doesn't depend on its earlier value
    lost, gained = {}, {}
    for name in SETS_OF_FACTS:
        before, after = view.assumed[name], getattr(view, name)
        if before is not after and before != after:
            lost[name], gained[name] = before - after, after - before
    called = frozenset(view.calls) - (control.causes if view.whole and view.ended == () else frozenset())
    held = frozenset(parts.get("waiting", ())) - frozenset(control.waiting) if view.whole else frozenset(view.holds)
    stops = frozenset(view.stops if view.expired is None else view.stops | {view.expired})
    trail = tuple(once.setdefault(("fact", fact), fact) for fact in view.trail)
    answers = tuple(view.answer(fact) for fact in trail)
    asks = sum(
        answer is not is_likely(fact)
        for fact, answer in zip(trail, answers, strict=True)
        if isinstance(answer, bool) and fact[0] not in NOT_TOLD
    )
    areas, starts, outputs = view.areas.written(), tuple(view.starts.items()), tuple(view.outputs)
    key = (
        tuple((number, *sorted(state.items())) for number, state in sorted(areas.items())), tuple(parts.items()),
        tuple(lost.items()), tuple(gained.items()), starts, stops, called, view.ended, held,
    )  # fmt: skip
    change = once.get(("change", key))
    if change is None:
        change = once["change", key] = StateChange(areas, parts, lost, gained, starts, stops, called, view.ended, held)
    outputs = once.setdefault(("outputs", outputs), outputs)
    return Leaf(change, outputs, once.setdefault(("trail", trail), trail), answers, asks)

"""A panel as a Promela model, for the model checker SPIN: written from the table of what each event does.

Rules of this file:
1. From the table comes what one event does in one control, from the observers what they make of one event. What is
   reached, at what time, and whether a promise breaks, SPIN alone finds out: nothing here explores in time.
2. Every timer counts down in ticks. A tick is the greatest common divisor of all times, those of the promises too. Each
   expiry is a transition of its own; no tick passes while a timer is due; inputs come before, between and after.
3. The table is searched with every running timer free to end: it holds all that can be reached, and more.
4. The promise that is watched is chosen when the verifier starts; with none, it only explores.
5. `panel.pml` says the rest: it is the model, but for what differs from panel to panel.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import reduce
from itertools import accumulate, chain
from math import gcd
from pathlib import Path
from string import Template
from typing import NamedTuple

from zonewright.behaviour.events import Expires
from zonewright.behaviour.state import Control
from zonewright.proof.promises.promise import Promise
from zonewright.proof.prover.observers import Observation
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import Act

MODEL = Path(__file__).parent / "panel.pml"

KEPT, STOPPED = -1, -2  # what becomes of a timer that isn't started
SAME = -1  # the observer stays in its state
Row = tuple[int, ...]
NOTHING: Row = (SAME, 0, KEPT)


class Case(NamedTuple):
    """One thing that an act may do in a control."""

    before: int  # number of a control
    act: Act
    outcome: EventOutcome
    after: int


class Table:
    """All controls of a part of a panel whose running timers may end at any moment, and all that happens in them."""

    def __init__(self, part: Slice) -> None:
        self.controls: list[Control] = [part.first()]
        self.cases: list[Case] = []
        assert not self.controls[0].running, "a timer that runs from power-up on has no start in the table"
        inputs = tuple(part.inputs())
        loose = -1
        while loose != len(part.loose):  # timers that the slice forgets may end at any moment, once ever started
            loose = len(part.loose)
            number = {self.controls[0]: 0}
            self.controls, self.cases = self.controls[:1], []
            for before, control in enumerate(self.controls):  # grows while it is gone through
                ends = [Expires(timer) for timer in (*sorted(control.running, key=str), *part.loose)]
                for act in (*ends, *inputs):
                    for outcome in part.outcomes(control, act):
                        after = number.setdefault(outcome.control, len(number))
                        if after == len(self.controls):
                            self.controls.append(outcome.control)
                        self.cases.append(Case(before, act, outcome, after))
        self.timers = sorted({timer for control in self.controls for timer in control.running}, key=str)

    def seconds(self) -> set[int]:
        """Return the lengths of all timers."""
        return {seconds for case in self.cases for _, seconds in case.outcome.starts}


class Watch:
    """What the observer of a promise makes of every case, in each of its states."""

    def __init__(self, table: Table, promise: Promise) -> None:
        observer = promise.observer
        seen = [(table.controls[case.before], case.act, case.outcome) for case in table.cases]
        self.from_power_up = not promise.timed  # else it begins with some event in one of the roots
        roots = [self.from_power_up or promise.root(control) for control in table.controls]
        self.premise = [roots[at] and promise.premise(*each) for (at, *_), each in zip(table.cases, seen, strict=True)]
        self.begins = [
            observer.begins(*each) if promise.timed and roots[at] else None
            for (at, *_), each in zip(table.cases, seen, strict=True)
        ]
        self.states = ["on"] if self.from_power_up else _states(self.begins)
        self.goes_on: list[list[Observation]] = []
        for state in self.states:  # grows while it is gone through
            self.goes_on.append([observer.goes_on(state, *each) for each in seen])
            self.states += [each for each in _states(self.goes_on[-1]) if each not in self.states]
        self.too_late = [observer.too_late(state) for state in self.states]

    def seconds(self) -> set[int]:
        """Return the lengths of its watch."""
        looks = [*filter(None, self.begins), *(look for state in self.goes_on for look in state)]
        return {look.watch for look in looks if look.watch is not None}


def _states(looks: Iterable[Observation | None]) -> list[str]:
    return sorted({look.state for look in looks if look is not None and look.state is not None})


class Model(NamedTuple):
    """A model of a panel: what stands in `panel.pml`, and in the `tables.h` that it includes."""

    text: str
    tables: str
    tick: int  # [s]


def model(table: Table, promises: Sequence[Promise], name: str = "a panel") -> Model:
    """Return the model of a panel with these promises, numbered as they come."""
    watches = [Watch(table, promise) for promise in promises]
    times = {*table.seconds(), *(seconds for watch in watches for seconds in watch.seconds())}
    writing = _Writing(table, watches, times)
    return Model(writing.text(name, promises), writing.tables(), writing.tick)


@dataclass(slots=True)
class Numbers:
    """Numbers for rows in the order in which they come, equal ones having one."""

    of: dict[Row, int] = field(default_factory=dict)

    def __call__(self, row: Row) -> int:
        return self.of.setdefault(row, len(self.of))


class _Writing:
    """The arrays of one model; what stands in them is said in `panel.pml`."""

    def __init__(self, table: Table, watches: Sequence[Watch], times: set[int]) -> None:
        self.table, self.watches = table, watches
        self.tick = reduce(gcd, times, 0) or 1
        self.off = max(times, default=0) // self.tick + 1
        self.over = max((len(watch.states) for watch in watches), default=0) + 1
        self.clocks = Numbers()
        self.looks = Numbers({NOTHING: 0})
        self.rows = Numbers()
        *self.column, self.columns = accumulate((2 + len(watch.goes_on) for watch in watches), initial=0)
        still = self.clocks((KEPT,) * len(table.timers)), self.rows((0,) * self.columns)
        self.moves: list[dict[Row, None]] = [{} for _ in table.controls]
        for place, case in enumerate(table.cases):
            ends = case.act.timer if isinstance(case.act, Expires) else None
            due = table.timers.index(ends) if ends in table.controls[case.before].running else -1
            move = case.after, due, self._clocks(case.outcome), self._row(place)
            if (case.before, *still) != (move[0], *move[2:]):  # else nothing happens, and nobody notices
                self.moves[case.before][move] = None

    def _clocks(self, outcome: EventOutcome) -> int:
        starts = {timer: seconds // self.tick for timer, seconds in outcome.starts}
        return self.clocks(
            tuple(starts.get(timer, STOPPED if timer in outcome.stops else KEPT) for timer in self.table.timers)
        )

    def _row(self, place: int) -> int:
        """Return what all observers make of a case."""
        row: list[int] = []
        for watch in self.watches:
            begun = watch.begins[place]
            row += [int(watch.premise[place]), 0 if begun is None else self._look(watch, begun)]
            row += [self._look(watch, looks[place], state) for state, looks in enumerate(watch.goes_on, 1)]
        return self.rows(tuple(row))

    def _look(self, watch: Watch, seen: Observation, state: int | None = None) -> int:
        """Return the number of what is seen in a state of the observer, the first being 1."""
        after = self.over if seen.state is None else watch.states.index(seen.state) + 1
        kept = STOPPED if seen.unwatch else KEPT
        ticks = kept if seen.watch is None else seen.watch // self.tick
        return self.looks((SAME if after == state else after, int(seen.bad), ticks))

    def text(self, name: str, promises: Sequence[Promise]) -> str:
        """Return the model in Promela."""
        timers = [f"left[{number}]" for number in range(len(self.table.timers))]
        return Template(MODEL.read_text("utf-8")).substitute(
            name=name,
            controls=len(self.table.controls),
            tick=self.tick,
            promises="\n".join(f"   {number}: {promise.name}" for number, promise in enumerate(promises)),
            timers="\n".join(f"   {number}: {timer}" for number, timer in enumerate(self.table.timers)),
            off=self.off,
            over=self.over,
            count="byte" if self.off < 256 else "short",
            many=max(1, len(timers)),
            options="\n".join(map(_option, range(max(map(len, self.moves))))),
            none_due=" && ".join(f"{timer} != 0" for timer in (*timers, "watch")),
            down="\n".join(f"\t\tif :: {each} != OFF -> {each}-- :: else fi;" for each in (*timers, "watch")),
        )

    def tables(self) -> str:
        """Return the tables in C."""
        late = [tuple(self._look(watch, seen) for seen in watch.too_late) for watch in self.watches]
        most = max(map(len, late), default=1)
        too_late = [(*looks, *[0] * (most - len(looks))) for looks in late]
        first = accumulate(map(len, self.moves), initial=0)
        return "\n".join(
            (
                f"enum {{ KEPT = {KEPT}, STOPPED = {STOPPED}, SAME = {SAME} }};",
                "/* the control afterwards, the timer that must be due (or -1), its rows of clocks and of looks */",
                _array("struct { int to, due, clocks, looks; } moves[]", chain.from_iterable(self.moves)),
                "/* the first move of each control, and one more */",
                _array("int first[]", ((each,) for each in first)),
                "/* what becomes of each timer */",
                _array(f"int clocks[][{max(1, len(self.table.timers))}]", self.clocks.of),
                "/* the observer's state afterwards, whether it is bad, what becomes of its watch; row 0: nothing */",
                _array("struct { int seen, bad, watch; } looks[]", self.looks.of),
                "/* of each promise: whether it is about the move, how its observer begins, how it goes on by state */",
                _array(f"int rows[][{max(1, self.columns)}]", self.rows.of),
                "/* of each promise: its first column there, and the state of its observer at power-up */",
                _array(
                    "struct { int column, seen; } promises[]",
                    ((at, int(watch.from_power_up)) for at, watch in zip(self.column, self.watches, strict=True)),
                ),
                "/* of each promise: what is seen when the watch runs out, by state */",
                _array(f"int too_late[][{most}]", too_late),
            )
        )


def _array(declared: str, rows: Iterable[Row]) -> str:
    inside = ",\n".join("{" + ",".join(map(str, row)) + "}" for row in rows) or "{0}"
    return f"static const {declared} = {{\n{inside}\n}};\n"


def _option(n: int) -> str:
    """Return the n-th thing that may happen: the observation goes on, or it begins.

    The inner brackets are for SPIN, which takes a bare call for an expression with side effects.
    """
    return (
        f"\t:: d_step {{ c_expr {{ (may({n})) }} -> c_code {{ happen({n}, 0); }}; assert(!broken) }}\n"
        f"\t:: d_step {{ c_expr {{ (may_begin({n})) }} -> c_code {{ happen({n}, 1); }}; assert(!broken) }}"
    )

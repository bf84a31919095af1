"""Sets of clock readings: every moment at which a panel may be in one state, explored at once.

Rules of this file:
1. A set is a matrix of bounds, `age of i - age of j <= bound[i][j]`, whole seconds, closed; row 0 stands for "now".
   It is always closed: each bound follows from no chain of others. It is never empty.
2. A clock is a running timer, by any name that can be sorted as text. It ends between `low` and `high` seconds after
   its start; the two are equal for an exact timer. Clocks that don't run are not in the set.
3. It knows nothing of panels.

Source: D. Dill's difference bounds, 1989 (from memory). Tests compare each operation, which closes in one pass, with
the all-pairs closure of Floyd and Warshall.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

Bounds = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class TimeSet:
    """Ages [s] of the running clocks; `clocks` are in the order of their rows, from row 1."""

    clocks: tuple[Hashable, ...] = ()
    limits: tuple[tuple[int, int], ...] = ()  # low and high of each
    bounds: Bounds = ((0,),)

    @classmethod
    def of_any_age(cls, clocks: Iterable[tuple[Hashable, int, int]]) -> TimeSet:
        """Return running clocks, each with its low and high limit, when nothing is known except that they run."""
        order = sorted(clocks, key=lambda clock: str(clock[0]))
        high = [limit for _, _, limit in order]
        rows = [tuple(0 if j == i else limit for j in range(len(high) + 1)) for i, limit in enumerate(high, 1)]
        names = tuple(name for name, _, _ in order)
        return cls(names, tuple((low, limit) for _, low, limit in order), ((0,) * (len(high) + 1), *rows))

    def start(self, clock: Hashable, low: int, high: int) -> TimeSet:
        """Start a clock, or start it again: its age is zero."""
        rest = self.drop(clock)
        place = sum(1 for other in rest.clocks if str(other) < str(clock)) + 1
        old = rest.bounds
        rows = [_inserted(row, place, row[0]) for row in old]
        rows.insert(place, _inserted(old[0], place, 0))
        at = place - 1
        return TimeSet(
            (*rest.clocks[:at], clock, *rest.clocks[at:]),
            (*rest.limits[:at], (low, high), *rest.limits[at:]),
            tuple(rows),
        )

    def drop(self, clock: Hashable) -> TimeSet:
        """Forget a clock that was stopped or expired; nothing if it doesn't run."""
        if clock not in self.clocks:
            return self
        at = self.clocks.index(clock)
        rows = tuple((*row[: at + 1], *row[at + 2 :]) for place, row in enumerate(self.bounds) if place != at + 1)
        return TimeSet((*self.clocks[:at], *self.clocks[at + 1 :]), (*self.limits[:at], *self.limits[at + 1 :]), rows)

    def elapse(self) -> TimeSet:
        """Let any time pass in which no clock runs past its high limit."""
        high = (0, *(limit[1] for limit in self.limits))
        size = range(len(self.bounds))
        latest = [min(row[j] + high[j] for j in size if j) if i else 0 for i, row in enumerate(self.bounds)]
        now = self.bounds[0]
        rows = tuple(
            tuple(latest[i] if k == 0 else min(row[k], latest[i] + now[k]) for k in size) if i else row
            for i, row in enumerate(self.bounds)
        )
        return TimeSet(self.clocks, self.limits, rows)

    def at_expiry(self, clock: Hashable) -> TimeSet | None:
        """Return the readings at which a clock may expire now, the clock still included; None if it can't."""
        i = self.clocks.index(clock) + 1
        low = self.limits[i - 1][0]
        if self.bounds[i][0] < low:
            return None
        due = self.bounds[i]
        now = tuple(min(bound, due[j] - low) if j else 0 for j, bound in enumerate(self.bounds[0]))
        rows = (
            now,
            *(
                tuple(min(bound, row[0] + now[j]) if j else bound for j, bound in enumerate(row))
                for row in self.bounds[1:]
            ),
        )
        return TimeSet(self.clocks, self.limits, rows)

    def holds(self, other: TimeSet) -> bool:
        """Return whether this includes every reading of `other`, with the same clocks and limits."""
        if self is other:
            return True
        return (self.clocks, self.limits) == (other.clocks, other.limits) and all(
            theirs <= ours
            for our_row, their_row in zip(self.bounds, other.bounds, strict=True)
            for ours, theirs in zip(our_row, their_row, strict=True)
        )


def _inserted(row: tuple[int, ...], place: int, value: int) -> tuple[int, ...]:
    return (*row[:place], value, *row[place:])

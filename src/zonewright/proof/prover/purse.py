"""How much may be looked at before a part of a panel is called too large: counted work, the same on every machine.

Rules of this file:
1. What is counted is what is held in memory: runs of `step`, ways of events read from them, moves of a slice, sets of
   times. Each has a price, roughly the bytes that it takes (measured on irregular sites, uncollected garbage included);
   the system is never asked for bytes.
2. One purse serves an area when the sounder is listened to, another one when messages are read. A single promise may
   take no more than its share of it. What was looked at for one promise and then forgotten is given back, but all work
   counts towards the toil of the area, which has a bound of its own.
3. An empty purse ends the work by `OutOfBounds`: the promise is undecided, never kept or broken, and so is each one
   that has yet to be looked at there. Other areas go on.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

AREA = 1_250_000_000  # for one area, in one of its two views: sounder or messages
PROMISE = 750_000_000  # at most for one promise, out of `AREA`
TOIL = 5 * AREA  # for one area, including what was forgotten
PROCESS = 2 * AREA  # about the most for one process, which looks at an area in both views


class OutOfBounds(Exception):
    """There is more to look at than the bound allows."""


class Work(Enum):
    """What is looked at; the value is the price of one."""

    RUNS = 2_250, "runs of single events"
    WAYS = 560, "ways of them"
    MOVES = 280, "moves"
    SETS = 1_125, "sets of times"

    @property
    def price(self) -> int:
        """Return what one of it costs."""
        return self.value[0]


@dataclass(slots=True)
class Purse:
    """What may still be looked at, and what was."""

    most: int = AREA
    share: int = PROMISE
    toil: int = TOIL
    spent: int = 0
    forgotten: int = 0
    counts: dict[Work, int] = field(default_factory=dict)
    _until: int | None = None  # what may be spent up to the end of this promise

    def begin(self) -> None:
        """Begin another promise, with its own share."""
        self._until = self.spent + self.share

    def pay(self, work: Work, count: int) -> None:
        """Pay for work that was done; raises `OutOfBounds` if there is nothing left to spend."""
        self.spent += work.price * count
        self.counts[work] = self.counts.get(work, 0) + count
        all_of_it = self.spent > (self.most if self._until is None else min(self.most, self._until))
        if all_of_it or self.spent + self.forgotten > self.toil:
            raise OutOfBounds(f"after {self.in_words()}")

    def give_back(self, amount: int) -> None:
        """Give back the price of what was forgotten."""
        self.spent -= amount
        self.forgotten += amount

    def in_words(self) -> str:
        """Return what was looked at: "33,419 ways of single events and 412,000 moves"."""
        told = [f"{self.counts[each]:,} {each.value[1]}" for each in Work if each in self.counts]
        return " and ".join((", ".join(told[:-1]), told[-1])) if len(told) > 1 else "".join(told)

"""How far it is from one device to the next, and the shortest round past several.

Rules of this file:
1. Choices of ours, no source: straight lines on one storey at 1 m/s, 15 s for each storey between, 10 s where the plan
   doesn't know one of the two. Walls and doors are left out: it orders a round, it is no survey.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, dist

from zonewright.site.plan import Plan

PACE_M_S = 1.0
STOREY_S = 15
UNKNOWN_S = 10
LEAST_S = 2  # from a place to itself: to turn to the next thing
EXACT = 8  # so many places are put into the best order; more by improving a good one


@dataclass(frozen=True)
class Ways:
    """Where things hang: name -> storey, counted from the lowest written, and point [m]."""

    places: Mapping[str, tuple[int, tuple[float, float]]] = field(default_factory=dict)

    def seconds(self, start: str, end: str) -> int:
        """Return how long the way takes [s]."""
        if start == end:
            return LEAST_S
        if start not in self.places or end not in self.places:
            return UNKNOWN_S
        (low, here), (high, there) = self.places[start], self.places[end]
        return max(LEAST_S, ceil(dist(here, there) / PACE_M_S) + STOREY_S * abs(low - high))

    def length(self, start: str, round_: Sequence[str]) -> int:
        """Return how long it takes to go from a place past all others in this order [s]."""
        return sum(self.seconds(a, b) for a, b in pairwise((start, *round_)))

    def order(self, start: str, names: Sequence[str]) -> list[int]:
        """Return the places of `names` in the order of a short way past all of them; of few, the shortest."""
        if len(names) <= EXACT:
            return self._exact(start, names)
        left, order, here = set(range(len(names))), list[int](), start
        while left:
            nearest = min(left, key=lambda n: (self.seconds(here, names[n]), n))
            left.discard(nearest)
            order.append(nearest)
            here = names[nearest]
        return self._turned(start, names, order)

    def _exact(self, start: str, names: Sequence[str]) -> list[int]:
        """Dynamic programming over what was passed and where one stands (Bellman, Held and Karp, 1962)."""
        best: dict[tuple[int, int], tuple[int, tuple[int, ...]]] = {
            (1 << n, n): (self.seconds(start, name), (n,)) for n, name in enumerate(names)
        }
        for _ in range(len(names) - 1):
            longer: dict[tuple[int, int], tuple[int, tuple[int, ...]]] = {}
            for (passed, here), (took, order) in best.items():
                for n, name in enumerate(names):
                    if not passed >> n & 1:
                        found = (took + self.seconds(names[here], name), (*order, n))
                        key = (passed | 1 << n, n)
                        if key not in longer or found < longer[key]:
                            longer[key] = found
            best = longer
        return list(min(best.values())[1]) if best else []

    def _turned(self, start: str, names: Sequence[str], order: list[int]) -> list[int]:
        """Turn a stretch of the round about while that makes it shorter."""
        stops = [start, *(names[n] for n in order)]
        better = True
        while better:
            better = False
            for i in range(1, len(stops) - 1):
                for j in range(i + 1, len(stops)):
                    old = self.seconds(stops[i - 1], stops[i])
                    new = self.seconds(stops[i - 1], stops[j])
                    if j + 1 < len(stops):
                        old += self.seconds(stops[j], stops[j + 1])
                        new += self.seconds(stops[i], stops[j + 1])
                    if new < old:
                        stops[i : j + 1] = reversed(stops[i : j + 1])
                        order[i - 1 : j] = reversed(order[i - 1 : j])
                        better = True
        return order


def ways_of(plan: Plan | None) -> Ways:
    """Return the ways of a plan; without one every way is unknown."""
    if plan is None:
        return Ways()
    return Ways(
        {
            name: (level, point)
            for level, each in enumerate(plan.storeys.values())
            for name, point in each.places.items()
        }
    )

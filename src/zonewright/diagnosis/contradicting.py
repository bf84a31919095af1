"""Which observations contradict each other, if no single cause shows all of them.

Rules of this file:
1. A set contradicts itself if no cause shows all of it, and no smaller part of it does: without any one of them, some
   cause shows the rest. All sets with the fewest observations are named.
2. An observation that somebody isn't sure of contradicts nothing. If more than three observations are needed, one set
   is found by leaving out what it doesn't need.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce
from itertools import combinations
from operator import and_
from typing import TypeVar

MOST_TOGETHER = 3  # observations of which all sets are tried
E = TypeVar("E")


def smallest_sets(shown_by: Sequence[tuple[E, int]]) -> tuple[tuple[E, ...], ...]:
    """Return the smallest sets of observations that no cause shows together; none if some cause shows all.

    Each observation comes with the causes that show it, one bit for each cause.
    """
    if not shown_by or _together(shown_by):
        return ()
    for size in range(1, min(MOST_TOGETHER, len(shown_by)) + 1):
        found = [some for some in combinations(shown_by, size) if not _together(some)]
        if found:
            return tuple(tuple(each for each, _ in some) for some in found)
    left = list(shown_by)
    for each in shown_by:
        rest = [other for other in left if other is not each]
        left = rest if not _together(rest) else left
    return (tuple(each for each, _ in left),)


def _together(some: Sequence[tuple[E, int]]) -> int:
    return reduce(and_, (causes for _, causes in some))

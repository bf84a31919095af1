"""Seconds for a chain of events: when each must happen, or which timers can't all be kept.

Rules of this file:
1. Constraints are differences of whole seconds: the order, and the length of each run of a timer. The earliest solution
   is the longest way through them (Bellman and Ford).
2. Between two acts of people, and from the end of a timer to an act, there are two seconds if possible: it reads
   better, and shows that nothing depends on one second (a choice).
3. If no times exist, the answer is a clash that can't be made smaller: without any one of its timers, times exist.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

APART_S = 2  # before an act of people


@dataclass(frozen=True, slots=True)
class ChainMoment:
    """What one event of the chain does to the timers; `starts` with low and high limit [s]."""

    starts: tuple[tuple[Hashable, int, int], ...] = ()
    stops: frozenset[Hashable] = frozenset()
    expires: Hashable | None = None
    by_people: bool = False


@dataclass(frozen=True, slots=True)
class Clash:
    """Timers that can't be kept together; never empty."""

    timers: frozenset[Hashable]


Edge = tuple[int, int, int]  # from, to, at least this many seconds later (negative: at most this many earlier)


def schedule(chain: Sequence[ChainMoment], *, known: Iterable[Hashable] = ()) -> tuple[int, ...] | Clash:
    """Return the earliest second of each event, the first at or after 0, or a smallest clash.

    Timers in `known` are left out of the clash last.
    """
    lengths = _lengths(chain)
    order: list[Edge] = [(k, k + 1, 0) for k in range(len(chain) - 1)]
    everything = [edge for edges in lengths.values() for edge in edges]
    if _earliest(len(chain), order + everything) is None:
        kept = set(lengths)
        last = set(known)
        for timer in sorted(lengths, key=lambda each: (each in last, str(each))):
            fewer = [edge for each in kept - {timer} for edge in lengths[each]]
            if _earliest(len(chain), order + fewer) is None:
                kept.discard(timer)
        return Clash(frozenset(kept))
    acts = [k for k, moment in enumerate(chain) if moment.by_people]
    times, must = None, order + everything
    for gap in range(APART_S, -1, -1):
        apart: list[Edge] = [(one, two, gap) for one, two in pairwise(acts)]
        times = _earliest(len(chain), must + apart)
        if times is not None:
            must += apart
            break
    assert times is not None  # without a gap these are the constraints that had a solution above
    for act in acts:
        if act and times[act] - times[act - 1] < APART_S:
            wish = (act - 1, act, APART_S)
            later = _earliest(len(chain), [*must, wish])
            if later is not None:
                must.append(wish)
                times = later
    return times


def _lengths(chain: Sequence[ChainMoment]) -> dict[Hashable, list[Edge]]:
    """Return the constraints of each timer's runs."""
    running: dict[Hashable, tuple[int, int, int]] = {}
    found: dict[Hashable, list[Edge]] = {}
    for k, moment in enumerate(chain):
        ended = [(timer, timer == moment.expires) for timer in running if timer == moment.expires]
        again = {timer for timer, _, _ in moment.starts}
        ended += [(timer, False) for timer in running if timer != moment.expires and timer in moment.stops | again]
        for timer, expired in ended:
            at, low, high = running.pop(timer)
            found.setdefault(timer, []).append((k, at, -high))
            if expired:
                found[timer].append((at, k, low))
        for timer, low, high in moment.starts:
            running[timer] = (k, low, high)
    for timer, (at, _, high) in running.items():
        found.setdefault(timer, []).append((len(chain) - 1, at, -high))
    return found


def _earliest(size: int, edges: Sequence[Edge]) -> tuple[int, ...] | None:
    times = [0] * size
    for _ in range(size + 1):
        changed = False
        for one, two, least in edges:
            if times[one] + least > times[two]:
                times[two] = times[one] + least
                changed = True
        if not changed:
            return tuple(times)
    return None

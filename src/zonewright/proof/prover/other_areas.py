"""Which answers can be true together about areas that a slice doesn't keep, if it asked about several areas at once.

Rules of this file:
1. Three facts say where areas are: ("mode", area), ("phase", area), and ("all in", (areas, mask)), which asks whether
   each of these areas is in one of these places.
2. Answers that contradict each other are left out, and nothing else is: what is possible for each area by itself is
   possible for all of them.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from functools import cache
from typing import cast

from zonewright.behaviour.setup import AreaNumber
from zonewright.proof.prover.facts import ABOUT_PLACES, ANYWHERE, PLACES, Fact, Mask

Answer = tuple[Fact, Hashable]


def told_of_areas(facts: Mapping[Fact, Hashable]) -> frozenset[Answer]:
    """Return those answers that say where areas are."""
    return frozenset(pair for pair in facts.items() if pair[0][0] in ABOUT_PLACES)


@cache
def can_be(told: frozenset[Answer]) -> bool:
    """Return whether these answers can all be true at once."""
    return next(_ways(told), None) is not None


@cache
def one_way(told: frozenset[Answer]) -> tuple[tuple[AreaNumber, Mask], ...]:
    """Return where each area in these answers may be; nothing if the answers contradict each other.

    Wherever each area is among its places, all answers are true.
    """
    return tuple(sorted(next(_ways(told), {}).items()))


def _ways(told: Iterable[Answer]) -> Iterator[dict[AreaNumber, Mask]]:
    """Give each way in which the answers can be true, as the places of each area in them."""
    where: dict[AreaNumber, Mask] = {}
    some_outside: list[tuple[tuple[AreaNumber, ...], Mask]] = []
    for (what, about), answer in sorted(told, key=str):
        if what == "all in":
            areas, mask = cast("tuple[tuple[AreaNumber, ...], Mask]", about)
            if answer is not True:
                some_outside.append((areas, mask))
                continue
        else:
            areas = (cast("AreaNumber", about),)
            mode, phase = (answer, None) if what == "mode" else (None, answer)
            mask = _place_of(mode, phase)
        for area in areas:
            where[area] = where.get(area, ANYWHERE) & mask
    if all(where.values()):
        yield from _outside(where, some_outside)


def _place_of(mode: Hashable, phase: Hashable) -> Mask:
    return sum(1 << n for n, (m, p) in enumerate(PLACES) if mode in (None, m) and phase in (None, p))


def _outside(
    where: dict[AreaNumber, Mask], clauses: list[tuple[tuple[AreaNumber, ...], Mask]]
) -> Iterator[dict[AreaNumber, Mask]]:
    """Give the ways in which, for each clause, one of its areas is outside its places."""
    if not clauses:
        yield where
        return
    (areas, mask), *others = clauses
    for area in areas:
        left = where.get(area, ANYWHERE) & ~mask
        if left:
            yield from _outside({**where, area: left}, others)

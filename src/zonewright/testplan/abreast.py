"""Two panels abreast, as records: a pair of controls, what is done to both, and what the clocks of both say of a way.

Rules of this file:
1. A clock is one if both panels started it in one move with one length, for as long as neither does otherwise.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from zonewright.behaviour.events import Event, Timer
from zonewright.behaviour.state import Control
from zonewright.fieldwork.acting import Act
from zonewright.fieldwork.fieldtests import Arming
from zonewright.proof.prover.schedule import ChainMoment
from zonewright.site.record import ZoneNumber

LONG_S = 86_400 * 3  # no two moves of a way are further apart


@dataclass(frozen=True, slots=True)
class Pair:
    """Both panels, what stands open or without its cover, and the timers that end in both at once."""

    controls: tuple[Control, Control]
    open: frozenset[ZoneNumber]
    off: frozenset[ZoneNumber]
    joint: frozenset[Timer]


@dataclass(frozen=True, slots=True)
class Ends:
    """A timer ends: in the right panel (0), the wrong one (1), or in both."""

    timer: Timer
    sides: tuple[int, ...]


Move = Act | Event | Ends


@dataclass(frozen=True, slots=True)
class Did:
    """What one panel did in a move."""

    starts: tuple[tuple[Timer, int], ...]
    stops: frozenset[Timer]


@dataclass(frozen=True)
class PairNode:
    """A pair, and the move by which it was come to."""

    pair: Pair
    move: Move | None
    did: tuple[Did, Did]
    before: PairNode | None
    arming: Arming


def chain_of(nodes: Sequence[PairNode], apart: int) -> tuple[list[ChainMoment], list[int]]:
    """Return what each move does to the clocks of both panels, and the place of each node's moment.

    Between an act and what only one panel lets end lie `apart` seconds at least, whichever comes first.
    """
    clocks: tuple[dict[Timer, int], dict[Timer, int]] = {}, {}
    chain: list[ChainMoment] = []
    places: list[int] = []
    made = 0
    last: bool | None = None  # whether the move before was an act; False: one panel's own ending; None: neither
    for node in nodes:
        alone = isinstance(node.move, Ends) and len(node.move.sides) == 1
        act = node.move is not None and not isinstance(node.move, Ends)
        if apart and last is not None and (alone or act) and last != act:
            gap = ("gap", len(chain))
            chain[-1] = replace(chain[-1], starts=(*chain[-1].starts, (gap, apart, LONG_S)))
            chain.append(ChainMoment(expires=gap))
        expires: Hashable | None = None
        if isinstance(node.move, Ends):
            expires = clocks[node.move.sides[0]].get(node.move.timer)
        ended: set[int] = set()
        for side, did in enumerate(node.did):
            ended |= {clocks[side].pop(timer) for timer in did.stops if timer in clocks[side]}
        starts: list[tuple[Hashable, int, int]] = []
        first, second = (dict(did.starts) for did in node.did)
        for timer, seconds in {**second, **first}.items():
            sides = [side for side, mine in enumerate((first, second)) if mine.get(timer) == seconds]
            others = [side for side in (0, 1) if side not in sides and timer in (first, second)[side]]
            for group, length in ((sides, seconds), *(([side], (first, second)[side][timer]) for side in others)):
                made += 1
                starts.append((made, length, length))
                for side in group:
                    if timer in clocks[side]:
                        ended.add(clocks[side][timer])
                    clocks[side][timer] = made
        left = {*clocks[0].values(), *clocks[1].values()}
        stops = frozenset[Hashable](ended - left - {expires})
        chain.append(ChainMoment(tuple(starts), stops, expires, act))
        places.append(len(chain) - 1)
        last = act if act or alone else last
    return chain, places

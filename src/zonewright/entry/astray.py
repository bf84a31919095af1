"""Where a sheet ends after one wrong key: the answers that follow go to other questions, to another zone, or nowhere.

Rules of this file:
1. Nothing is assumed: the altered keys are pressed at the virtual keypad, then all that follows of the job as printed.
2. What follows of later jobs is told both ways: somebody reads their displays and keys them right, or keys on as
   printed (`keyed_on.py`).
3. Only what the panel holds in the end counts; what a reader would have seen meanwhile is for `slips.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from zonewright.entry.keyed_on import KeyedOn, printed, standing
from zonewright.entry.misreading import WEIGHTS
from zonewright.entry.slips import altered
from zonewright.entry.standing import State
from zonewright.entry.strokes import Act, Driven, Stroke
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Value

Gives = frozenset[tuple[Item, Value | None]]  # what the panel holds that it shouldn't
Held = Mapping[Item, Value]


@dataclass(frozen=True, slots=True)
class Astray:
    """What one wrong key or answer at a step comes to."""

    step: tuple[int, int]  # which job of the sheet, which step of it, both from 0
    item: Item | None  # asked at that step
    gives: Gives  # if later jobs are keyed right
    keyed_on: Gives  # if they are keyed on as printed
    share: float  # how likely beside all that may go wrong at that step, 0..1


def astray(profile: Profile, driven: Sequence[Driven]) -> Iterator[Astray]:
    """Give every end to which something wrong at one step leads, each once a step."""
    later, sheet = _last_keyed(driven), KeyedOn(profile, driven)
    for place, done in enumerate(driven):
        known: dict[tuple[object, ...], State] = {}
        alive: list[Held] = []  # all that `known` and `wrong` know by identity
        wrong: dict[int, Gives] = {}
        ends: dict[tuple[object, ...], tuple[Gives, Gives]] = {}
        for step, stroke in enumerate(done.strokes):
            if stroke.act in (Act.WAY_IN, Act.CODE):
                continue
            found: dict[tuple[Gives, Gives], float] = {}
            total = 0.0
            for kind, act in altered(profile, stroke):
                total += WEIGHTS[kind]
                state, _ = act()
                if state == stroke.after:
                    continue
                end = _keyed(profile, done.strokes, step + 1, state, known, alive)
                if id(end.held) not in wrong:
                    alive.append(end.held)
                    wrong[id(end.held)] = differing(end.held, done.strokes[-1].after.held)
                gives = wrong[id(end.held)]
                key = (*standing(end), gives)
                if key not in ends:
                    right = frozenset(pair for pair in gives if not _keyed_later(later, pair[0], place))
                    ends[key] = right, sheet.end(place, end, dict(gives))
                if any(ends[key]):
                    found[ends[key]] = found.get(ends[key], 0.0) + WEIGHTS[kind]
            for (gives, on), weight in found.items():
                yield Astray((place, step), stroke.item, gives, on, weight / total)


def _last_keyed(driven: Sequence[Driven]) -> dict[str, int]:
    """Return for each numbered thing, and for each setting, the last job in which it is keyed."""
    found: dict[str, int] = {}
    for place, done in enumerate(driven):
        found |= dict.fromkeys((f"{done.job.group}/{done.job.number}",) if done.job.group else done.job.wanted, place)
    return found


def _keyed_later(later: Mapping[str, int], item: Item, place: int) -> bool:
    return later.get(item, later.get(item.rpartition("/")[0], place)) > place


def differing(held: Held, planned: Held) -> Gives:
    """Return what is held otherwise than planned."""
    if held is planned:
        return frozenset()
    return frozenset((item, held.get(item)) for item, _ in held.items() ^ planned.items())


def _keyed(
    profile: Profile, strokes: Sequence[Stroke], step: int, state: State,
    known: dict[tuple[object, ...], State], alive: list[Held],
) -> State:  # fmt: skip
    """Return the keypad after the steps from `step` on; keypads that stand alike end alike, so each is keyed once."""
    met = []
    for n, stroke in enumerate(strokes[step:], step):
        key = (n, *state.key, id(state.held))
        if key in known:
            state = known[key]
            break
        met.append(key)
        alive.append(state.held)
        *_, state = printed(profile, (stroke,), state)
    known.update(dict.fromkeys(met, state))
    return state

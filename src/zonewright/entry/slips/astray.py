"""How a sheet ends after one wrong key: the answers that follow go to other questions, to another zone, or nowhere.

Rules of this file:
1. Nothing is assumed: the altered keys are pressed at the virtual keypad, then the rest of the job as printed.
2. Later jobs are worked out in both ways: somebody reads their displays and keys them right, or keys on as printed
   (`keyed_on.py`).
3. Only what the panel holds in the end counts; what a reader would have seen meanwhile is in `invited.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from zonewright.entry.keypad.held import ChangedPlan
from zonewright.entry.keypad.standing import KeypadState
from zonewright.entry.keypad.strokes import Act, Driven, Stroke
from zonewright.entry.slips.invited import altered
from zonewright.entry.slips.keyed_on import Gives, KeyedOn, parts_of, printed, standing
from zonewright.entry.slips.misreading import WEIGHTS
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Value


@dataclass(frozen=True, slots=True)
class Astray:
    """What one wrong key or answer at a step leads to."""

    step: tuple[int, int]  # which job of the sheet, which step of it, both from 0
    item: Item | None  # asked at that step
    gives: Gives  # what the panel then holds that it shouldn't, if later jobs are keyed right
    keyed_on: Gives  # the same if they are keyed on as printed
    share: float  # its share in all that may go wrong at that step, 0..1


def astray(profile: Profile, driven: Sequence[Driven]) -> Iterator[Astray]:
    """Give every end to which something wrong at one step leads, each once for every step."""
    return SheetJobs(profile, driven).all_ends()


class SheetJobs:
    """The jobs of a sheet, each of which may be led astray; what was keyed on from one is reused for the others."""

    def __init__(self, profile: Profile, driven: Sequence[Driven]) -> None:
        self.profile, self.driven = profile, driven
        self._later, self._on = _last_keyed(driven), KeyedOn(profile, driven)

    def all_ends(self) -> Iterator[Astray]:
        """Give the ends of each job, one job after the other."""
        for place in range(len(self.driven)):
            yield from self.ends(place)

    def ends(self, place: int) -> Iterator[Astray]:
        """Give every end to which something wrong at one step of a job leads, each once for every step."""
        strokes = _beside(self.driven[place])
        known: dict[tuple[object, ...], KeypadState] = {}
        ends: dict[tuple[object, ...], tuple[Gives, Gives]] = {}
        for step, stroke in enumerate(strokes):
            if stroke.act in (Act.WAY_IN, Act.CODE):
                continue
            found: dict[tuple[Gives, Gives], float] = {}
            total = 0.0
            for kind, act in altered(self.profile, stroke):
                total += WEIGHTS[kind]
                state, _ = act()
                if state == stroke.after:
                    continue
                end = _keyed(self.profile, strokes, step + 1, state, known)
                key = (*standing(end), end.held)
                if key not in ends:
                    wrong = differing(end.held, strokes[-1].after.held)
                    right = parts_of(pair for pair in wrong if not _keyed_later(self._later, pair[0], place))
                    ends[key] = right, self._on.end(place, end, dict(wrong))
                if any(ends[key]):
                    found[ends[key]] = found.get(ends[key], 0.0) + WEIGHTS[kind]
            for (gives, on), weight in found.items():
                yield Astray((place, step), stroke.item, gives, on, weight / total)


def _beside(done: Driven) -> list[Stroke]:
    """Return the strokes of a job, with what is held before and after each written as changes to what is held last."""
    end = ChangedPlan(done.strokes[-1].after.held, {})
    told: dict[int, ChangedPlan] = {}  # by the identity of a map, which the strokes keep alive

    def one(state: KeypadState) -> KeypadState:
        held = state.held
        if id(held) not in told:
            told[id(held)] = end.but(dict(differing(held, end.planned)))
        return state._replace(held=told[id(held)])

    return [each._replace(before=one(each.before), after=one(each.after)) for each in done.strokes]


def _last_keyed(driven: Sequence[Driven]) -> dict[str, int]:
    """Return for each numbered thing, and for each setting, the last job in which it is keyed."""
    found: dict[str, int] = {}
    for place, done in enumerate(driven):
        found |= dict.fromkeys((f"{done.job.group}/{done.job.number}",) if done.job.group else done.job.wanted, place)
    return found


def _keyed_later(later: Mapping[str, int], item: Item, place: int) -> bool:
    return later.get(item, later.get(item.thing, place)) > place


def differing(held: Mapping[Item, Value], planned: Mapping[Item, Value]) -> frozenset[tuple[Item, Value | None]]:
    """Return what is held and differs from the plan."""
    if isinstance(held, ChangedPlan) and isinstance(planned, ChangedPlan) and held.planned is planned.planned:
        pairs = held.differences.items() ^ planned.differences.items()
    else:
        pairs = held.items() ^ planned.items()
    return frozenset((item, held.get(item)) for item, _ in pairs)


def _keyed(
    profile: Profile,
    strokes: Sequence[Stroke],
    step: int,
    state: KeypadState,
    known: dict[tuple[object, ...], KeypadState],
) -> KeypadState:
    """Return the keypad after the steps from `step` on; equal states end alike, so each is keyed once."""
    met = []
    for n, stroke in enumerate(strokes[step:], step):
        key = (n, *state.key, state.held)
        if key in known:
            state = known[key]
            break
        met.append(key)
        *_, state = printed(profile, (stroke,), state)
    known.update(dict.fromkeys(met, state))
    return state

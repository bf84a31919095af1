"""What is looked up for many events at once is what each does by itself; of hidden devices, where they lead."""

from __future__ import annotations

from collections.abc import Hashable, Iterator

import pytest

from tests.behaviour.house import house, zone
from tests.proof.test_judged import panels
from zonewright.behaviour.events import Timer, TimerKind, ZoneCloses, ZoneOpens
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import Control
from zonewright.proof.prover.explore import Cover
from zonewright.proof.prover.facts import Fact
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import Act
from zonewright.site.record import ZoneNumber

AREA = AreaNumber(1)
KEPT: tuple[frozenset[Fact], ...] = (
    frozenset(),
    frozenset({("by", (AREA, ZoneNumber(1)))}),
    frozenset({("entry_by", AREA)}),
    frozenset({("mode", AreaNumber(2)), ("phase", AreaNumber(2)), ("runs", Timer(TimerKind.ENTRY, AreaNumber(2)))}),
)


def doors_alike() -> Setup:
    """Three doors that differ in their chime alone, one that is slower, and one that two areas share."""
    chimes = ("none", "bell", "two notes")
    doors = [zone(n, "entry-door", entry_s=30, chime=chime) for n, chime in enumerate(chimes, 1)]
    others = [zone(4, "entry-door", entry_s=45), zone(5, "entry-door", entry_s=30, areas=(1, 2)), zone(6, "perimeter")]
    return house(*doors, *others)


def change(before: Control, outcome: EventOutcome) -> Hashable:
    """Where it leads, if anything changes."""
    if outcome.control is before and not (outcome.starts or outcome.stops):
        return None
    return id(outcome.control), outcome.starts, outcome.stops


def parts(setup: Setup) -> Iterator[Slice]:
    areas = frozenset(setup.areas)
    for kept in KEPT:
        about = {area for area in (1, 2) if any(str(area) in str(fact) for fact in kept)}
        if about <= areas:
            for heard in (False, True):
                rough = Slice(setup, frozenset({AREA}), named=frozenset({ZoneNumber(1)}), heard=heard, coarse=True)
                Cover(rough)
                yield rough.keeping(kept, judged=frozenset({ZoneNumber(1)}))


@pytest.mark.parametrize("setup", [doors_alike(), *panels()])
def test_a_row_is_what_each_event_does_by_itself(setup: Setup) -> None:
    compared = stood_for = 0
    for part in parts(setup):
        hidden = part.reading.hidden
        inputs = set(part.inputs())
        for control in Cover(part).controls:
            row = part.row(control)
            led = {change(control, outcome) for _, outcome in row} | {None}
            mine: dict[Act, list[EventOutcome]] = {}
            for act, outcome in row:
                mine.setdefault(act, []).append(outcome)
            for one in part.zones:
                for act in (ZoneOpens(one.number), ZoneCloses(one.number)):
                    outcomes = part.outcomes(control, act)
                    assert {change(control, each) for each in outcomes} <= led, (act, control)
                    stood_for += act not in inputs
            for act in inputs:
                if getattr(act, "zone", None) not in hidden and id(part.table.same(act)) not in part.reading.idle:
                    assert mine.get(act, []) == list(part.outcomes(control, act)), act
                    compared += 1
    assert compared > 100
    assert stood_for or setup != doors_alike()

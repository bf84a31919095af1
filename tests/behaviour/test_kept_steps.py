"""A kept step is the step itself, for whichever of several panels it was worked out first."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given

from tests.behaviour.house import COTTAGE, IDA, Given, zone
from tests.behaviour.test_step_properties import acts, some_house
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, ZoneCloses, ZoneOpens
from zonewright.behaviour.kept_steps import KeptSteps
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber


def run(setup: Setup, given: Given, stepping: KeptSteps | None) -> list[object]:
    panel = Clockwork(setup, stepping or step)
    seen: list[object] = []
    for wait, event in given:
        seen += [*panel.advance(panel.now + wait), panel.give(event), panel.control, dict(panel.due)]
    return [*seen, *panel.rest()]


@given(some_house(), some_house(), acts)
def test_a_kept_step_is_the_step_itself(one: Setup, other: Setup, given: Given) -> None:
    kept = KeptSteps(one)
    changed = [replace(one, zones=(each, *one.zones[1:])) for each in other.zones[:1]]
    for panel in (one, replace(one, settings=other.settings), replace(other, settings=one.settings), *changed, one):
        assert run(panel, given, kept) == run(panel, given, None)


def test_panels_share_what_is_alike_in_them() -> None:
    kept = KeptSteps(COTTAGE)
    first = COTTAGE.zones[0].number
    given: Given = [(0, ZoneOpens(first)), (3, ZoneCloses(first))]
    run(COTTAGE, given, kept)
    fresh = kept.fresh
    last = COTTAGE.zones[-1]
    otherwise = replace(COTTAGE, zones=(*COTTAGE.zones[:-1], replace(last, chime="bell", label="other words")))
    run(otherwise, given, kept)
    assert kept.fresh == fresh, "what nobody looked at makes no step of its own"
    run(replace(COTTAGE, zones=(replace(COTTAGE.zones[0], chime="bell"), *COTTAGE.zones[1:])), given, kept)
    assert kept.fresh > fresh


def test_a_step_that_looks_at_an_area_is_parted_by_any_of_its_zones() -> None:
    kept = KeptSteps(COTTAGE)
    more = replace(COTTAGE, zones=(*COTTAGE.zones, zone(ZoneNumber(99), "perimeter")))
    given: Given = [(0, ZoneOpens(ZoneNumber(99))), (1, Arm(AreaNumber(1), Mode.AWAY, IDA))]
    assert run(COTTAGE, given, kept) == run(COTTAGE, given, None)
    assert run(more, given, kept) == run(more, given, None)

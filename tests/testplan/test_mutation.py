"""Wrong keys, not from the slip model: the plan catches each that makes the panel behave otherwise, the diagnosis ends
with its cause.

Single keys of the real entry sheet are altered and the sheet is replayed on the virtual keypad; what the panel then
holds is judged on the whole clockwork, from power-up, in every candidate test and in every period of the plan.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from benchmarks.keyed_wrong import MOST_QUESTIONS, ended
from benchmarks.keyed_wrong import wrong_panels as wrong_panels_of
from tests.demos import plan
from zonewright.behaviour.setup import UnusableValues
from zonewright.entry.keypad.drive import drive
from zonewright.entry.slips.invited import KEY_SLIPS, slips
from zonewright.fieldwork.acting import PanelInHouse, panel_of, perform
from zonewright.fieldwork.fieldtests import begun, seen_in
from zonewright.fieldwork.observing import Observation, Unlike, observed, unlike
from zonewright.fieldwork.slipped import slips_of
from zonewright.panel.legal import as_shipped
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Programme
from zonewright.testplan.packing import Rehearsal
from zonewright.testplan.planner import TestPlan

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


def wrong_panels(plan: TestPlan) -> list[PanelInHouse]:
    """Return what the panel holds after each single wrong key that leaves it otherwise than any slip of the model."""
    profile, planned = plan.ground.resolved.profile, plan.ground.resolved.programme
    modelled = {frozenset(slip.changes.items()) for slip in slips_of(profile, planned)}
    made: dict[frozenset[object], Programme] = {}
    for slip in slips(profile, drive(profile, as_shipped(profile), planned)):
        changes = frozenset(slip.gives)
        if slip.kind in KEY_SLIPS and changes and changes not in modelled:
            made.setdefault(changes, planned.changed(dict(slip.gives)))
    panels = []
    for held in made.values():
        try:
            panels.append(panel_of(profile, planned, held))
        except UnusableValues:
            continue
    return panels


def in_period(rehearsal: Rehearsal, panel: PanelInHouse) -> Observation:
    period = rehearsal.period
    clockwork = begun(panel, period.arming)
    start = clockwork.now
    acts = [(stop.at + after, act) for stop in period.stops for after, act in stop.test.acts]
    entries = perform(clockwork, panel, sorted([*acts, *period.closing], key=lambda pair: pair[0]), period.until)
    return observed(panel.setup, entries, start, panel.account)


@pytest.mark.deep
@pytest.mark.parametrize(("name", "every"), [("larkfield", 4), ("bakery", 60)])
def test_every_wrong_key_that_shows_anywhere_shows_in_the_plan(name: str, every: int) -> None:
    made = plan(name)
    bench = made.bench
    right = [in_period(each, bench.planned) for each in made.periods]
    missed, caught = [], 0
    for panel in wrong_panels(made)[::every]:
        if any(
            unlike(in_period(each, panel), seen) is not Unlike.NOT
            for each, seen in zip(made.periods, right, strict=True)
        ):
            caught += 1
            continue
        for test, seen in zip(bench.tests, bench.seen, strict=True):
            if test.alarming:
                continue  # what only a call for help would show is read back
            if unlike(seen_in(panel, begun(panel, test.arming), test), seen) is not Unlike.NOT:
                missed.append((test.sort, test.about, dict(panel.changes)))
                break
    assert caught
    assert not missed


@pytest.mark.deep
@pytest.mark.parametrize(("name", "every"), [("larkfield", 50), ("rowan", 90), ("bakery", 230)])
def test_a_diagnosis_of_a_panel_left_by_a_wrong_key_ends_with_its_cause(name: str, every: int) -> None:
    site = open_site(FILES / f"{name}.yaml")
    _, wrong = wrong_panels_of(site, every)
    told = [each for each in ended(site, wrong, random.Random(5)) if each is not None and not each.wrong.led_on]
    assert len(told) > 10
    assert [(dict(each.wrong.changes), each.says) for each in told if not each.held] == []
    assert max(each.questions for each in told) < MOST_QUESTIONS

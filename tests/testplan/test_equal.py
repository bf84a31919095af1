"""A wrong panel that is said to be equal does the same in long random runs, whatever is done at it."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.generated import opened, site_texts
from tests.reporting.test_sendable import random_event
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.devices import covered
from zonewright.behaviour.events import DeviceEvent, ZoneCloses, ZoneOpens, ZoneTrips
from zonewright.behaviour.setup import UnusableValues
from zonewright.fieldwork.acting import Handle, PanelInHouse, What
from zonewright.fieldwork.candidates import ground_of
from zonewright.fieldwork.slipped import slips_of
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.reporting.people import hands_of
from zonewright.testplan.distinguishing import Comparison, SearchEnd
from zonewright.testplan.killing import NotShownBecause, variants
from zonewright.testplan.planner import Planner, TestPlan
from zonewright.testplan.sorting_out import about
from zonewright.testplan.unread import ASKED_FOR

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
ONE_DOOR = """site: One door
panel: {panel}
areas: {{house: {{}}}}
station: {{account: "6391", by: dc-09}}
settings: {{exit time: 60 s, entry time: 30 s, abort window: 15 s}}
devices:
  door:
    kind: contact
    number: {{printed: {number}}}
    zone: {{number: 1, area: house, behaviour: {behaviour}, called: {called}, place: hall}}
people:
  Ann: {{role: owner, may: [house]}}
"""
ALIKE = {NotShownBecause.EQUAL, NotShownBecause.UNREAD, NotShownBecause.NEVER_SET}
HANDLED: dict[type[object], What] = {ZoneOpens: What.OPEN, ZoneCloses: What.CLOSE, ZoneTrips: What.TRIP}


def one_door(panel: str, behaviour: str = "entry-door") -> Resolved:
    number, called = {"tern": ("51 9047 31 A", "front door"), "quill": ("410 5516", "front door"),
                      "marlow": ("60 31 18", "door")}[panel]  # fmt: skip
    text = ONE_DOOR.format(panel=panel, number=number, called=called, behaviour=behaviour)
    return opened(text.replace(", place: hall", "") if panel != "tern" else text)


@cache
def planned(text: str) -> TestPlan:
    return Planner(ground_of(opened(text))).run()


def told_apart(site: Resolved, right: PanelInHouse, wrong: PanelInHouse, seed: int, steps: int) -> str | None:
    """Play the same at both panels, at random; return how they differ, if they do."""
    hands, covers, rng = hands_of(site), covered(site), Random(seed)
    one, other = Clockwork(right.setup), Clockwork(wrong.setup)
    for _ in range(steps):
        wait = rng.choices((0, 1, 3, 20, 70, 400), (3, 6, 6, 4, 6, 1))[0]
        seen = [[entry.outputs for entry in panel.advance(panel.now + wait) if entry.outputs] for panel in (one, other)]
        for event in random_event(rng, right.setup, hands, covers, ()):
            for n, (panel, clockwork) in enumerate(((right, one), (wrong, other))):
                what = HANDLED.get(type(event))
                heard = (
                    list(panel.events(Handle(what, event.zone)))
                    if what is not None and isinstance(event, DeviceEvent) else [event]
                )  # fmt: skip
                seen[n] += [said for each in heard if (said := clockwork.give(each).outputs)]
        if seen[0] != seen[1]:
            return f"{one.now} s: {seen[0]} and {seen[1]}"
    return None


def lies(site: Resolved, plan: TestPlan, seed: int, steps: int) -> list[str]:
    found = []
    for variant, why in plan.unseen:
        for slip in variant.slips if why in ALIKE else ():
            wrong = plan.bench.planned.slipped(slip.changes)
            if wrong.setup != plan.bench.planned.setup or wrong.hears != plan.bench.planned.hears:
                apart = told_apart(site, plan.bench.planned, wrong, seed, steps)
                found += [f"{slip}, {why.name}: {apart}"] if apart is not None else []
    return found


@pytest.mark.parametrize(("panel", "item"), [
    ("tern", "forced-arming"), ("tern", "cancel-window"), ("tern", "siren-time"), ("quill", "forced-arming"),
    ("quill", "cancel-window"), ("quill", "siren-time"), ("marlow", "cancel-window"), ("marlow", "siren-time"),
])  # fmt: skip
def test_with_one_door_a_wrong_setting_of_the_panel_shows_and_is_never_proven_equal(panel: str, item: str) -> None:
    site = one_door(panel)
    ground = ground_of(site)
    plan = Planner(ground).run()
    whys = {slip.item: why for variant, why in plan.unseen for slip in variant.slips}
    shown = {slip.item for variant in plan.shown for slip in variant.slips}
    name = f"setting/{item}"
    assert name in shown
    assert whys.get(name) not in ALIKE  # type: ignore[call-overload]
    for variant in variants(ground.panel, slips_of(site.profile, site.programme)):
        if any(slip.item == name for slip in variant.slips):
            wrong = ground.panel.slipped(variant.changes)
            assert Comparison(ground, wrong, about(variant)).settled()[0] is not SearchEnd.EQUAL


def test_a_panic_at_the_keypad_shows_the_siren_time_where_no_zone_sounds() -> None:
    site = one_door("tern", "notice")
    plan = Planner(ground_of(site)).run()
    whys = {slip.item: why for variant, why in plan.unseen for slip in variant.slips}
    assert whys["setting/siren-time"] not in ALIKE  # type: ignore[index]


@pytest.mark.deep
@pytest.mark.parametrize(("name", "steps"), [("larkfield", 600), ("rowan", 500), ("bakery", 300)])
def test_what_a_plan_of_a_demo_calls_equal_does_the_same_at_random(name: str, steps: int) -> None:
    site = open_site(FILES / f"{name}.yaml")
    assert not lies(site, Planner(ground_of(site)).run(), 7, steps)


@pytest.mark.deep
@given(text=site_texts(), seed=st.integers(0, 10_000))
@settings(max_examples=3, deadline=None, derandomize=True)
def test_what_a_plan_of_a_small_site_calls_equal_does_the_same_at_random(text: str, seed: int) -> None:
    assert not lies(opened(text), planned(text), seed, 400)


@given(text=site_texts(), seed=st.integers(0, 10_000))
@settings(max_examples=15, deadline=None, derandomize=True)
def test_a_setting_that_no_zone_asks_for_changes_nothing(text: str, seed: int) -> None:
    site = opened(text)
    ground = ground_of(site)
    names = {f"setting/{name.replace('_', '-')}" for name in ASKED_FOR}
    for slip in slips_of(site.profile, site.programme):
        if slip.item not in names:
            continue
        try:
            wrong = ground.panel.slipped(slip.changes)
        except UnusableValues:
            continue
        (variant,) = variants(ground.panel, [slip])
        if variant.change.nothing:
            assert told_apart(site, ground.panel, wrong, seed, 400) is None, str(slip)

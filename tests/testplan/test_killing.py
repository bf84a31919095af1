"""Field tests are decent and made from the plan alone, and the kill matrix is what running everything would give."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import chain
from pathlib import Path

import pytest

from zonewright.behaviour.setup import UnusableValues
from zonewright.entry.keypad.drive import drive
from zonewright.entry.slips.astray import astray
from zonewright.fieldwork.acting import Handle, What, panel_of
from zonewright.fieldwork.candidates import candidates, ground_of
from zonewright.fieldwork.fieldtests import OFF, Sort
from zonewright.fieldwork.slipped import slips_of
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.panel.behaviours import ALWAYS, Mode
from zonewright.panel.legal import as_shipped
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Item, Value, item_of
from zonewright.testplan.killing import Bench, NotShownBecause, change_of, places_of, variants

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
SITES = ("larkfield", "rowan", "bakery")


@cache
def bench(name: str) -> tuple[SiteOnTest, Bench]:
    ground = ground_of(open_site(FILES / f"{name}.yaml"))
    return ground, Bench(ground.panel, candidates(ground))


@pytest.mark.parametrize("name", SITES)
def test_a_wrong_panel_made_from_one_answer_is_that_of_the_whole_programme(name: str) -> None:
    site = open_site(FILES / f"{name}.yaml")
    planned = panel_of(site.profile, site.programme)
    for slip in list(slips_of(site.profile, site.programme))[::7]:
        try:
            whole = panel_of(site.profile, site.programme, slip.programme)
        except UnusableValues:
            continue
        quick = planned.slipped(slip.changes)
        assert quick.setup == whole.setup, slip
        assert {each: heard for each, heard in quick.hears.items() if heard} == whole.hears, slip
        assert quick.wired == whole.wired
        assert quick.held.values == whole.held.values == slip.programme.values


@pytest.mark.parametrize("name", SITES)
def test_a_wrong_panel_made_from_a_sheet_led_astray_is_that_of_the_whole_programme(name: str) -> None:
    site = open_site(FILES / f"{name}.yaml")
    planned = panel_of(site.profile, site.programme)
    driven = drive(site.profile, as_shipped(site.profile), site.programme)
    found = (sorted(chain.from_iterable(each.gives), key=str) for each in astray(site.profile, driven))
    several = sorted({tuple(each) for each in found if len(each) > 1}, key=str)
    assert len(several) > 50
    for gives in several[::5]:
        whole = panel_of(site.profile, site.programme, site.programme.changed(dict(gives)))
        quick = planned.slipped(dict(gives))
        assert (quick.setup, quick.wired, quick.remotes) == (whole.setup, whole.wired, whole.remotes), gives
        assert {each: heard for each, heard in quick.hears.items() if heard} == whole.hears, gives
        assert quick.held.values == whole.held.values


@pytest.mark.parametrize(("name", "every"), [("larkfield", 5), ("bakery", 31), ("rowan", 31)])
def test_locality_and_symmetry_leave_the_matrix_as_it_is(name: str, every: int) -> None:
    ground, made = bench(name)
    found = variants(ground.panel, slips_of(ground.resolved.profile, ground.resolved.programme))[::every]
    rows = [made.row(variant) for variant in found]
    for variant, row in zip(found, rows, strict=True):
        assert row == made.full_row(variant), str(variant.slips[0])
    assert any(rows)
    assert not all(rows)


@pytest.mark.parametrize("name", SITES)
def test_what_warns_of_danger_is_tried_once_while_off_and_a_hold_up_with_the_station_s_word(name: str) -> None:
    ground, made = bench(name)
    for test in made.tests:
        setups = [zone for number in test.zones if (zone := ground.panel.setup.zone(number)) is not None]
        if any(zone.behaviour.live == ALWAYS and zone.can_alarm for zone in setups):
            assert test.arming == OFF
        if any(zone.behaviour.alarm == "hold-up alarm" for zone in setups) and test.sort is not Sort.COVER:
            assert test.with_word
            assert test.alarming


@pytest.mark.parametrize("name", SITES)
def test_every_test_leaves_the_devices_as_they_were_and_waits_for_all_that_comes(name: str) -> None:
    _, made = bench(name)
    for test, seen in zip(made.tests, made.seen, strict=True):
        handled = [act for _, act in test.acts if isinstance(act, Handle)]
        opened = {act.zone for act in handled if act.what is What.OPEN}
        assert opened == {act.zone for act in handled if act.what is What.CLOSE}, test
        assert all(0 <= each.at <= test.until for each in seen)
        assert max((after for after, _ in test.acts), default=0) <= test.until


def test_a_slip_shows_where_a_technician_would_look_for_it() -> None:
    ground, made = bench("larkfield")

    def shown(item: str, given: str) -> set[tuple[Sort, Mode]]:
        slips = slips_of(ground.resolved.profile, ground.resolved.programme)
        slip = [each for each in slips if each.item == item and each.given == given]
        (variant,) = variants(ground.panel, slip)
        return {(made.tests[place].sort, made.tests[place].arming.mode) for place in places_of(made.row(variant))}

    assert (Sort.TRIP, Mode.AWAY) in shown("zone/3/message-delay", "none")
    assert shown("zone/6/behaviour", "on-route") == {(Sort.STRAY_IN, Mode.AWAY)}
    assert {sort for sort, _ in shown("setting/exit-restart", "no")} == {Sort.COME_BACK}
    assert shown("zone/3/supervise", "no") == set()
    assert shown("user/2/areas", "1+2") == {(Sort.PERSON, Mode.DISARMED)}


def test_why_no_test_shows_a_slip() -> None:
    ground, made = bench("larkfield")
    found = variants(ground.panel, slips_of(ground.resolved.profile, ground.resolved.programme))
    why = {str(slip.item): made.why_unseen(each) for each in found if not made.row(each) for slip in each.slips}
    assert why["zone/3/light"] is NotShownBecause.UNREAD
    assert why["zone/3/supervise"] is NotShownBecause.DAYS
    assert why["setting/supervision-window"] is NotShownBecause.DAYS


def test_two_slots_that_call_for_help_by_mistake_are_two_slips() -> None:
    """One was taken for the other: a test of the one code was said to show what only the other's shows."""
    ground, _ = bench("bakery")
    changes = [{item_of("user", slot, "duress"): Value("yes")} for slot in (1, 2)]
    one, other = (change_of(ground.panel, ground.panel.slipped(each)) for each in changes)
    assert one != other


def test_a_device_that_is_watched_by_mistake_counts_as_heard_from_power_up_on() -> None:
    """A panel that wants to have heard it within the hour refuses to set only once the hour is over."""
    site = open_site(FILES / "bakery.yaml")
    number = next(zone.number for zone in panel_of(site.profile, site.programme).setup.zones if zone.supervise)
    watched = item_of("zone", number, "supervise")
    bars = {Item("setting/heard-before-setting"): Value("60"), Item("setting/missing-at-setting"): Value("user")}
    programme = site.programme.changed({watched: Value("no"), **bars})
    ground = SiteOnTest(replace(site, programme=programme), panel_of(site.profile, programme))
    made = Bench(ground.panel, candidates(ground))
    slip = [each for each in slips_of(site.profile, programme) if each.item == watched]
    (variant,) = variants(ground.panel, slip)
    assert not made.as_begun(variant.change)  # as planned nothing runs for it, so it would be refused at once
    assert made.row(variant) == made.full_row(variant)

"""The packed plan shows what it promises, is ordered well, and fits the time it was given."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import permutations
from pathlib import Path
from random import Random

import pytest

from zonewright.fieldwork.acting import Handle, PanelInHouse, What
from zonewright.fieldwork.candidates import candidates, ground_of
from zonewright.fieldwork.fieldtests import Sort, begun
from zonewright.fieldwork.observing import Observation, Unlike, observed, unlike
from zonewright.fieldwork.ways import Ways, ways_of
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Item
from zonewright.site.files import Folder
from zonewright.site.plan import read_plan
from zonewright.site.record import ZoneNumber
from zonewright.testplan.killing import NotShownBecause, Variant
from zonewright.testplan.packing import Rehearsal
from zonewright.testplan.planner import Planner, TestPlan, count
from zonewright.testplan.walking import act_in_words, by_hand
from zonewright.words.tracks import names_of

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


@cache
def planned(name: str, budget: int | None = None, since: str | None = None) -> TestPlan:
    site = open_site(FILES / f"{name}.yaml")
    ways = ways_of(read_plan(Folder(FILES), str(site.site.plan), site.site).usable())
    before = open_site(FILES / f"{since}.yaml") if since else None
    return Planner(ground_of(site), ways, before).run(budget)


def test_every_slip_that_a_test_shows_is_shown_and_the_rest_is_told_with_its_reason() -> None:
    plan = planned("larkfield")
    assert not plan.hidden
    assert count(plan.shown) + count(variant for variant, _ in plan.unseen) == plan.slips
    assert {why for _, why in plan.unseen} <= set(NotShownBecause)
    assert plan.usual.missed > 0


def test_what_a_packed_period_shows_is_what_all_of_it_run_from_power_up_shows() -> None:
    plan = planned("larkfield")
    for rehearsal in plan.periods:
        whole = _whole(rehearsal)
        for variant in (*plan.shown[::5], *(variant for variant, _ in plan.unseen[::9])):
            assert rehearsal.shows(variant) == whole(variant), str(variant.slips[0])


def _whole(rehearsal: Rehearsal) -> Callable[[Variant], bool]:
    """Return how to tell whether a wrong panel shows when all of the period is run, nothing shared or left out."""
    period, bench = rehearsal.period, rehearsal.bench

    def seen(panel: PanelInHouse) -> Observation:
        clockwork = begun(panel, period.arming)
        start = clockwork.now
        acts = [(stop.at + after, act) for stop in period.stops for after, act in stop.test.acts]
        entries = []
        for at, act in sorted([*acts, *period.closing], key=lambda pair: pair[0]):
            entries += clockwork.advance(start + at)
            entries += [clockwork.give(event) for event in panel.events(act)]
        entries += clockwork.advance(start + period.until)
        return observed(panel.setup, entries, start, panel.account)

    right = seen(bench.planned)
    looks = any(stop.test.sort is Sort.LOOK for stop in period.stops)

    def shows(variant: Variant) -> bool:
        by_look = looks and bool(variant.change.standing)
        return by_look or unlike(seen(variant.panel), right) is not Unlike.NOT

    return shows


@pytest.mark.parametrize("name", ["larkfield", "bakery"])
def test_what_comes_late_is_told_with_the_test_that_brought_it_however_soon_the_next_begins(name: str) -> None:
    later = 0
    for rehearsal in planned(name).periods:
        stops = rehearsal.period.stops
        told = [rehearsal.of_stop(n) for n in range(len(stops) + 1)]
        assert sum(map(len, told)) == len(rehearsal.seen)  # each once
        begins = [*(stop.at for stop in stops), rehearsal.period.until]
        for n, stop in enumerate(stops):
            sent = [(at, each) for at, each in told[n] if "alarm" in each.text and each.sense == "at the station"]
            later += sum(at is None or stop.at + at >= begins[n + 1] for at, _ in sent)
            done = frozenset[ZoneNumber]().union(*(each.test.zones for each in stops[: n + 1]))
            for at, each in sent:
                zones = done if at is None else stop.test.zones
                assert any(f"zone {zone}," in each.text for zone in zones), (n, at, each)
    assert later


def test_with_less_time_the_plan_fits_it_and_says_what_it_leaves_out() -> None:
    plan = planned("larkfield", 15 * 60)
    assert 0 < plan.seconds <= 15 * 60
    assert plan.hidden
    assert count(plan.shown) + count(plan.hidden) + count(v for v, _ in plan.unseen) == plan.slips
    assert planned("larkfield", 60).tests == 0


def test_of_a_change_only_what_had_to_be_keyed_is_tried() -> None:
    plan = planned("larkfield", since="larkfield-before")
    assert 0 < plan.tests < planned("larkfield").tests
    new = {slip.item.rpartition("/")[0] for each in plan.shown for slip in each.slips}
    assert new == {f"zone/{number}" for number in _added()}
    assert plan.slips < planned("larkfield").slips


def _added() -> set[int]:
    old, new = (set(open_site(FILES / f"{name}.yaml").zones) for name in ("larkfield-before", "larkfield"))
    return new - old


@pytest.mark.parametrize("seed", range(5))
def test_a_short_round_is_the_shortest_and_a_long_one_no_worse_than_as_written(seed: int) -> None:
    rng = Random(seed)
    places = {f"p{n}": (rng.randint(0, 1), (rng.uniform(0, 30), rng.uniform(0, 30))) for n in range(14)}
    ways = Ways(places)
    few = list(places)[:6]
    order = ways.order("p13", few)
    assert sorted(order) == list(range(6))
    best = min(ways.length("p13", each) for each in permutations(few))
    assert ways.length("p13", [few[n] for n in order]) == best
    many = list(places)[:12]
    round_ = [many[n] for n in ways.order("p13", many)]
    assert sorted(round_) == sorted(many)
    assert ways.length("p13", round_) <= ways.length("p13", many)


def test_ways_count_storeys_and_do_not_know_what_is_not_on_the_plan() -> None:
    ways = Ways({"a": (0, (0.0, 0.0)), "b": (1, (3.0, 4.0))})
    assert ways.seconds("a", "b") == 20
    assert ways.seconds("a", "elsewhere") == 10


def test_every_device_of_a_loop_is_named_where_any_may_be_tripped_and_where_each_must_be() -> None:
    ground = ground_of(open_site(FILES / "bakery.yaml"))
    (loops,) = by_hand(ground)
    assert {("shop front", "left-pane"), ("shop front", "right-pane")} <= set(loops.rows)
    told = act_in_words(ground, Handle(What.OPEN, ZoneNumber(2)), names_of(ground.resolved))
    assert "any of left-pane, right-pane" in told


def test_a_cover_that_two_zones_share_is_taken_off_once_and_by_hand() -> None:
    """Two tests of one cover expected two different things of it."""
    ground = ground_of(open_site(FILES / "rowan.yaml"))
    (boxes,) = by_hand(ground)
    assert ("garage-doors", "zone 3 garage door and zone 4 side door") in boxes.rows
    covers = {act.zone for test in candidates(ground) for _, act in test.acts
              if isinstance(act, Handle) and act.what is What.COVER_OFF}  # fmt: skip
    assert covers
    assert covers.isdisjoint({3, 4})


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_a_plan_trips_each_device_and_not_its_cover_alone(name: str) -> None:
    """A new movement detector was tested by its cover alone: one that senses nothing would have passed."""
    plan = Planner(ground_of(open_site(FILES / f"{name}.yaml"))).run()
    tests = [stop.test for each in (*plan.periods, *plan.trials) for stop in each.period.stops]
    acts = [act for test in tests for _, act in test.acts if isinstance(act, Handle)]
    tripped = {act.zone for act in acts if act.what in (What.OPEN, What.TRIP)}
    assert {zone.number for zone in plan.ground.panel.setup.zones if zone.behaviour.in_use} <= tripped


@pytest.mark.deep
def test_what_stops_setting_is_tried_with_a_cover_off_and_what_takes_hours_is_to_be_read_back(tmp_path: Path) -> None:
    text = (FILES / "bakery.yaml").read_text(encoding="utf-8")
    site = tmp_path / "bakery.yaml"
    site.write_text(text.replace("abort window: 15 s", "abort window: 15 s, tamper at setting: nobody"), "utf-8")
    (tmp_path / "bakery-plan.yaml").write_bytes((FILES / "bakery-plan.yaml").read_bytes())
    bench = Planner(ground_of(open_site(site)), Ways())
    plan = bench.run()
    tests = [stop.test for each in plan.periods for stop in each.period.stops]
    assert Sort.ARM_UNCOVERED in {test.sort for test in tests}
    unseen = {slip.item: why for variant, why in plan.unseen for slip in variant.slips}
    assert Item("setting/tamper-at-setting") not in unseen
    assert unseen[Item("setting/heard-before-setting")] is NotShownBecause.DAYS

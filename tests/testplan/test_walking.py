"""A walk as printed: its lines are the clockwork's, people can do it, and nothing in it is unsaid."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings

from tests.demos import demo, plan
from tests.generated import opened, site_texts
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, TimerKind, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, UserNumber
from zonewright.fieldwork.acting import Handle, Set, What, perform
from zonewright.fieldwork.candidates import ground_of
from zonewright.fieldwork.fieldtests import OFF, Arming, FieldTest, Sort, begun
from zonewright.fieldwork.observing import observed
from zonewright.fieldwork.ways import Ways
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.fieldwork.zone_tests import tests_of_zone as of_zone
from zonewright.panel.behaviours import Mode
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Item, Value, item_of
from zonewright.site.record import ZoneNumber, span
from zonewright.testplan.packing import Rehearsal, packed
from zonewright.testplan.planner import Planner, TestPlan
from zonewright.testplan.standing import CODE_S, in_words, stands
from zonewright.testplan.walking import IF_WRONG, LEANS, begins, by_hand, told, unseen, ways_out
from zonewright.words.tracks import names_of

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


@cache
def plan_of_text(text: str) -> TestPlan:
    return Planner(ground_of(opened(text))).run()


def said(made: TestPlan, rehearsal: Rehearsal) -> Counter[tuple[str, str]]:
    """Return all that a period's lines foretell; what somebody tries who may not is no act of the panel."""
    return Counter(
        (each.sense, each.text)
        for n in range(len(rehearsal.period.stops) + bool(rehearsal.period.closing))
        for _, each in rehearsal.of_stop(n)
    )


def happens(made: TestPlan, rehearsal: Rehearsal) -> Counter[tuple[str, str]]:
    """Return what the whole clockwork does in a period, from power-up."""
    panel, period = made.bench.planned, rehearsal.period
    clockwork = begun(panel, period.arming)
    start = clockwork.now
    acts = [(stop.at + after, act) for stop in period.stops for after, act in stop.test.acts]
    entries = perform(clockwork, panel, sorted([*acts, *period.closing], key=lambda each: each[0]), period.until)
    return Counter((each.sense, each.text) for each in observed(panel.setup, entries, start, panel.account))


def is_the_clockworks(made: TestPlan) -> None:
    for rehearsal in (*made.periods, *made.trials):
        if any(stop.test.sort is Sort.LOOK for stop in rehearsal.period.stops):
            continue
        assert said(made, rehearsal) == happens(made, rehearsal)


def disarms_after_its_messages(made: TestPlan) -> None:
    """Nothing waits to be sent when a period is ended, or when the next test needs silence."""
    panel = made.bench.planned
    for rehearsal in (*made.periods, *made.trials):
        period = rehearsal.period
        clockwork = begun(panel, period.arming)
        start = clockwork.now
        for n, stop in enumerate(period.stops):
            clockwork.advance(start + stop.at)
            if stop.first:
                assert not clockwork.control.waiting
            later = period.stops[n + 1].at if n + 1 < len(period.stops) else period.until
            if period.closing and n + 1 == len(period.stops):
                later = period.closing[0][0]
            perform(clockwork, panel, stop.test.acts, later - stop.at)
        assert not clockwork.control.waiting


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_the_lines_of_a_demo_s_walk_are_what_the_clockwork_does(name: str) -> None:
    is_the_clockworks(plan(name))


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_no_period_of_a_demo_s_walk_ends_before_its_messages_are_in(name: str) -> None:
    disarms_after_its_messages(plan(name))


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_whatever_armed_test_a_period_ends_with_nothing_is_taken_off_before_its_message_is_in(name: str) -> None:
    bench, site = plan(name).bench, plan(name).ground
    trips = [n for n, test in enumerate(bench.tests) if test.sort in (Sort.TRIP, Sort.COVER) and test.arming.armed]
    waited = 0
    for place in trips:
        arming = bench.tests[place].arming
        (period,) = packed(site, bench, site.ways, [(place, False)], {arming: 1}, 10, "keypad")
        clockwork = begun(bench.planned, arming)
        start = clockwork.now
        clockwork.advance(start + period.stops[0].at)
        perform(clockwork, bench.planned, period.stops[0].test.acts, 0)
        waited += bool(clockwork.control.waiting)
        clockwork.advance(start + period.closing[0][0])
        assert not clockwork.control.waiting, bench.tests[place]
        assert not any(timer.kind is TimerKind.ENTRY for timer in clockwork.control.running)
    assert waited


@given(text=site_texts())
@settings(max_examples=3, deadline=None, derandomize=True)
def test_the_walk_of_a_small_site_is_the_clockwork_s_and_waits_for_its_messages(text: str) -> None:
    is_the_clockworks(plan_of_text(text))
    disarms_after_its_messages(plan_of_text(text))


def ground() -> SiteOnTest:
    return ground_of(open_site(FILES / "larkfield.yaml"))


def opening_then_code(seconds: int) -> FieldTest:
    acts = ((0, Handle(What.OPEN, ZoneNumber(3))), (seconds, Set(ground().panel.setup.areas[0], Mode.STAY, 1)))  # type: ignore[arg-type]
    return FieldTest(Sort.ARM_OPEN, OFF, acts, 60, 60, "kitchen window", "kitchen-window")


def test_one_person_does_what_leaves_time_for_the_way_and_the_code_and_two_the_rest() -> None:
    site = ground()
    ways = Ways({"kitchen-window": (0, (0.0, 0.0)), "hall-keypad": (0, (6.0, 8.0))})
    one, two = opening_then_code(10 + CODE_S), opening_then_code(9 + CODE_S)
    assert stands(site, one, ways) == ("kitchen-window",)
    assert stands(site, two, ways) == ("kitchen-window", "hall-keypad")
    assert in_words(stands(site, two, ways)) == "It takes two people: one at kitchen-window; one at hall-keypad."
    assert in_words(("hall-keypad", "hall-keypad")) == "It takes two people: two at hall-keypad."
    assert in_words(stands(site, one, ways)) == ""


def test_areas_that_one_code_arms_take_one_person_and_the_walk_says_that_code() -> None:
    """Keyed with two codes the panel takes it that nobody left the second area, and its sensors inside are dead."""
    site = ground_of(open_site(FILES / "bakery.yaml"))
    owner, shop, bakehouse = UserNumber(1), AreaNumber(1), AreaNumber(2)
    (door,) = site.resolved.called("shop-door")
    acts = (
        (0, Set(shop, Mode.AWAY, owner)),
        (0, Set(bakehouse, Mode.AWAY, owner)),
        (600, Handle(What.OPEN, door)),
        (601, Set(shop, Mode.DISARMED, owner)),
        (601, Set(bakehouse, Mode.DISARMED, owner)),
    )
    test = FieldTest(Sort.ARM_OPEN, OFF, acts, 700, 700, "shop door", site.device(door))
    keypad, at_door = "shop-keypad", site.device(door)
    assert stands(site, test, Ways()) == (f"{keypad}, then {at_door}", keypad)
    names = names_of(site.resolved)
    armed = [begins(site, each, names) for each in plan("bakery").periods if len(each.period.arming.areas) > 1]
    assert armed
    assert all(" with one code (Pia): shop, bakehouse; " in each for each in armed)


def test_a_walk_past_several_devices_leaves_the_time_for_the_way_or_takes_two() -> None:
    site = ground_of(open_site(FILES / "rowan.yaml"))
    walked = 0
    for test in plan("rowan").bench.tests:
        if test.sort is Sort.STRAY_IN:
            handled = [
                (at, act.zone) for at, act in test.acts if isinstance(act, Handle) and act.what is not What.CLOSE
            ]
            alone = all(
                late - soon >= site.ways.seconds(site.device(one), site.device(other)) - 1
                for (soon, one), (late, other) in pairwise(handled)
            )
            walked += alone
            assert alone or len(stands(site, test, site.ways)) > 1
    assert walked


def test_what_somebody_tries_who_may_not_is_a_line_of_the_plan() -> None:
    made = plan("larkfield")
    names = names_of(made.ground.resolved)
    lines = [
        text
        for rehearsal in made.periods
        for n in range(len(rehearsal.period.stops))
        for _, _, text in told(made.ground, rehearsal, n, names).expect
    ]
    assert "workshop stays as it is, since Bertil may not set it" in lines


def test_a_test_whose_result_depends_on_those_before_says_so() -> None:
    made = plan("rowan")
    names = names_of(made.ground.resolved)
    for rehearsal in made.periods:
        for n, stop in enumerate(rehearsal.period.stops):
            alone = Counter((each.sense, each.text) for each in made.bench.seen[stop.place])
            here = Counter((each.sense, each.text) for _, each in rehearsal.of_stop(n))
            leans = told(made.ground, rehearsal, n, names).leans
            assert leans.startswith(LEANS) == bool(leans) == (alone != here)
            if leans:
                since = stop.at - rehearsal.period.stops[n - 1].at
                assert leans.endswith(f"Begin it about {span(since)} after the test before it was begun.")
        assert told(made.ground, rehearsal, 0, names).leans == ""


def test_what_is_done_and_what_is_noticed_come_in_the_order_of_time() -> None:
    made = plan("larkfield")
    names = names_of(made.ground.resolved)
    for rehearsal in made.periods:
        for n in range(len(rehearsal.period.stops)):
            each = told(made.ground, rehearsal, n, names)
            times = [at for at, _, _ in each.steps if at is not None]
            assert times == sorted(times)
            assert len(each.steps) == len(each.do) + len(each.expect)


IN_SIGHT = """site: Sight
panel: marlow
dated: 2026-11-30
station: {account: "6391", by: dc-09}
areas: {house: {}}
keypads: {kp: {area: house}}
devices:
  door: {kind: contact, number: {printed: "60 2001"}, at: {storey: ground, room: hall},
         zone: {number: 1, area: house, behaviour: entry-door, called: hall door}}
  eye: {kind: movement, number: {printed: "60 2017"}, at: {storey: ground, room: lounge},
        zone: {number: 2, area: house, behaviour: interior, called: lounge}}
  window: {kind: contact, number: {printed: "60 2038"}, at: {storey: ground, room: lounge},
           zone: {number: 3, area: house, behaviour: perimeter, called: lounge window}}
people: {Ann: {role: owner, may: [house]}}
"""


def test_whoever_opens_a_window_in_sight_of_an_armed_movement_detector_is_told_so() -> None:
    """From inside the lounge the detector there would give an alarm that the test doesn't expect."""
    ground = ground_of(opened(IN_SIGHT))
    window = next(zone for zone in ground.panel.setup.zones if zone.number == 3)
    tests = [test for test in of_zone(ground, window) if ZoneNumber(2) not in test.zones]
    warned = {(test.arming.mode, bool(list(unseen(ground, test)))) for test in tests}
    assert (Mode.AWAY, True) in warned
    assert warned.isdisjoint({(Mode.AWAY, False), (Mode.DISARMED, True), (Mode.STAY, True)})


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_whoever_begins_a_period_as_told_has_it_armed_as_the_tests_need(name: str) -> None:
    """Armed away at a keypad, and nobody left by a door: the panel armed stay, and each test in it then failed."""
    made = plan(name)
    ground, names = made.ground, names_of(made.ground.resolved)
    asked = False
    for rehearsal in made.periods:
        arming = rehearsal.period.arming
        if not arming.armed:
            continue
        doors = ways_out(ground, arming)
        told_so = begins(ground, rehearsal, names)
        assert all(door.label in told_so for door in doors)
        asked |= bool(doors)
        done = Clockwork(ground.panel.setup)
        for area in sorted(arming.areas):
            done.give(Arm(area, arming.mode, ground.holder(area)))
        done.advance(5)
        for door in doors:
            done.give(ZoneTrips(door.number))
        done.rest()
        modes = {area.number: area.mode for area in done.control.areas if area.mode is not Mode.DISARMED}
        assert modes == dict.fromkeys(arming.areas, arming.mode)
    assert asked == ground.panel.setup.settings.unvacated_stay


TO_COMPLETE = (
    IN_SIGHT.replace("areas:", "settings: {completing act: yes}\nareas:")
    .replace("zone: {number: 1,", "zone: {number: 4,")
    .replace("people:", """  side: {kind: contact, number: {printed: "60 2045"}, at: {storey: ground, room: hall},
         zone: {number: 1, area: house, behaviour: entry-door, called: side door}}
people:""")
    .replace("behaviour: entry-door, called: hall door", "behaviour: final-door, called: hall door")
)  # fmt: skip


def test_where_leaving_must_be_completed_the_walk_leaves_by_the_door_that_does_so() -> None:
    ground = ground_of(opened(TO_COMPLETE))
    away = Arming(Mode.AWAY, frozenset({AreaNumber(1)}))
    assert [door.label for door in ways_out(ground, away)] == ["hall door"]


def test_of_a_change_only_the_covers_that_it_touches_are_taken_off_by_hand() -> None:
    ground = ground_of(demo("rowan"))
    held = demo("rowan")
    (boxes,) = by_hand(ground)
    assert boxes.rows == (("garage-doors", "zone 3 garage door and zone 4 side door"),)
    assert by_hand(ground, held) == ()
    for number, due in ((4, (boxes,)), (1, ())):
        changed: dict[Item, Value | None] = {item_of("zone", number, "label"): Value("gate")}
        assert by_hand(ground, replace(held, programme=held.programme.changed(changed))) == due


ON_A_LOOP = """
site: Quarley
panel: marlow
station: {{account: "6391"}}
areas: {{shop: {{}}}}
people: {{Ann: {{role: owner}}}}
devices:
  door:
    kind: contact
    number: {{printed: 60 20 01}}
    zone: {{number: 1, area: shop, behaviour: entry-door, called: door}}
  push: {{kind: contact}}
loops:
  desk: {{zone: 2, area: shop, behaviour: {behaviour}, called: desk, resistor: double, devices: [push]}}
"""


@pytest.mark.parametrize(("behaviour", "cautioned"), [("holdup", True), ("fire", True), ("perimeter", False)])
def test_whoever_takes_a_cover_off_is_told_where_a_wrong_resistor_would_call_for_help(
    behaviour: str, cautioned: bool
) -> None:
    made = plan_of_text(ON_A_LOOP.format(behaviour=behaviour))
    names = names_of(made.ground.resolved)
    lines = [told(made.ground, each, n, names) for each in made.periods for n in range(len(each.period.stops))]
    covers = [each for each in lines if any(text == "take the cover of desk off" for _, text in each.do)]
    assert bool(covers) is cautioned
    assert [each for each in lines if IF_WRONG in each.caution] == covers

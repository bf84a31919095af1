"""Two areas that share doors: whatever happens in one, an opening that is owed an alarm in the other gets it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from tests.behaviour.house import (
    CP01,
    IDA,
    Given,
    arm,
    disarm,
    house,
    messages,
    outputs,
    sirens,
    when,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import Clockwork, Timeline, run
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Disarm,
    DisplayLine,
    Event,
    Expires,
    Means,
    QuickExit,
    Shown,
    Sound,
    Timer,
    TimerKind,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, UserNumber
from zonewright.behaviour.state import Phase
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber

SHOP, FLAT = AreaNumber(1), AreaNumber(2)
HALL, SHOP_DOOR, FLAT_DOOR, TILL, SHELVES, WINDOW = (ZoneNumber(number) for number in range(1, 7))

# A shop with a flat behind it; one hall door leads to both.
HOUSE = house(
    zone(HALL, "entry-door", "hall door", areas=(SHOP, FLAT)),
    zone(SHOP_DOOR, "entry-door", "shop door", areas=(SHOP,)),
    zone(FLAT_DOOR, "entry-door", "flat door", areas=(FLAT,), entry_s=45),
    zone(TILL, "on-route", "till", areas=(SHOP,)),
    zone(SHELVES, "interior", "shelves", areas=(SHOP,)),
    zone(WINDOW, "perimeter", "skylight", areas=(SHOP, FLAT)),
)
BOTH: Given = [(0, arm(area=SHOP)), (0, arm(area=FLAT))]
DAY = 1000  # long after both are armed


def about(timeline: Timeline, line: DisplayLine) -> list[tuple[int, ZoneNumber | None]]:
    return [(at, out.zone) for at, out in outputs(timeline) if isinstance(out, Shown) and out.line is line]


def later(*events: tuple[int, Event]) -> Timeline:
    return run(HOUSE, [*BOTH, *((DAY + at, event) for at, event in events)])


# An entry by a shared door -------------------------------------------------------------------------------------------


def test_a_door_that_opens_in_an_entry_gets_its_alarm_though_the_other_area_is_disarmed() -> None:
    timeline = later((0, ZoneTrips(HALL)), (3, ZoneTrips(SHOP_DOOR)), (10, disarm(FLAT)))
    assert about(timeline, DisplayLine.ALARM) == [(DAY + 30, SHOP_DOOR)]
    assert sirens(timeline)[0][0] == DAY + 30
    assert messages(timeline) == [(DAY + 60, "entry door alarm")]


def test_every_door_of_an_entry_gives_its_alarm_at_its_end() -> None:
    timeline = later((0, ZoneTrips(SHOP_DOOR)), (3, ZoneTrips(HALL)))
    assert about(timeline, DisplayLine.ALARM) == [(DAY + 30, HALL), (DAY + 30, SHOP_DOOR)]


def test_a_second_door_leaves_the_time_of_the_first_as_it_is() -> None:
    timeline = later((0, ZoneTrips(FLAT_DOOR)), (40, ZoneTrips(HALL)))
    assert about(timeline, DisplayLine.ALARM) == [(DAY + 45, HALL), (DAY + 45, FLAT_DOOR)]


def test_the_entry_time_ends_with_its_beeps_where_no_door_is_owed_an_alarm() -> None:
    panel = Clockwork(HOUSE)
    for event in (arm(area=SHOP), arm(area=FLAT)):
        panel.give(event)
    panel.advance(DAY)
    panel.give(ZoneTrips(HALL))
    panel.advance(DAY + 10)
    said = panel.give(disarm(FLAT)).outputs
    assert panel.control.area(SHOP).phase is Phase.SET
    assert not {timer.kind for timer in panel.due} & {TimerKind.ENTRY, TimerKind.LAST_TEN}
    assert Shown(DisplayLine.ARMED_AWAY, area=SHOP) in said
    entries = panel.advance(DAY + 100)
    assert Beeps(Sound.ENTRY_LAST_TEN) not in [out for entry in entries for out in entry.outputs]


def test_a_shared_door_is_not_left_in_the_other_areas_entry_time() -> None:
    timeline = later((0, ZoneTrips(HALL)), (10, disarm(FLAT)), (20, ZoneTrips(TILL)))
    assert about(timeline, DisplayLine.ALARM) == [
        (DAY + 20, TILL)
    ]  # the shop is guarded again, and nobody comes in there


def test_who_comes_in_by_a_shared_door_is_free_in_an_area_where_no_entry_runs() -> None:
    timeline = later((0, ZoneTrips(FLAT_DOOR)), (5, ZoneTrips(HALL)), (10, ZoneTrips(TILL)), (20, disarm(SHOP)))
    assert about(timeline, DisplayLine.ALARM) == [(DAY + 45, FLAT_DOOR)]


def test_the_alarm_of_a_shared_door_ends_the_entry_in_each_of_its_areas() -> None:
    timeline = later((0, ZoneTrips(HALL)))
    assert about(timeline, DisplayLine.ALARM) == [(DAY + 30, HALL)]
    panel = Clockwork(HOUSE)
    for event in (arm(area=SHOP), arm(area=FLAT)):
        panel.give(event)
    panel.advance(DAY)
    panel.give(ZoneTrips(HALL))
    panel.advance(DAY + 30)
    assert [area.phase for area in panel.control.areas] == [Phase.SET, Phase.SET]
    assert [area.entry_by for area in panel.control.areas] == [frozenset(), frozenset()]


def test_both_areas_disarmed_in_time_nothing_sounds() -> None:
    timeline = later((0, ZoneTrips(HALL)), (3, ZoneTrips(SHOP_DOOR)), (10, disarm(FLAT)), (20, disarm(SHOP)))
    assert not sirens(timeline)
    assert not messages(timeline)


def test_an_exit_error_of_a_shared_door_ends_when_the_other_area_is_disarmed() -> None:
    given: Given = [(0, arm(area=FLAT)), (100, arm(area=SHOP)), (110, ZoneOpens(HALL)), (170, disarm(FLAT))]
    timeline = run(HOUSE, given)
    assert about(timeline, DisplayLine.EXIT_ERROR) == [(160, HALL)]
    assert not about(timeline, DisplayLine.ALARM)
    assert not messages(timeline)
    assert about(timeline, DisplayLine.NOT_SENT) == [(170, HALL)]
    assert sirens(timeline)[-1][0] == 170


# After an alarm -------------------------------------------------------------------------------------------------------


def test_an_alarm_of_one_area_is_not_cancelled_in_the_other() -> None:
    timeline = later((0, ZoneTrips(SHELVES)), (60, disarm(FLAT)))
    assert messages(timeline) == [(DAY + 30, "interior alarm")]
    assert when(timeline, DisplayLine.CANCEL_SENT) == []


def test_a_shared_zone_confirms_an_alarm_of_each_of_its_areas() -> None:
    setup = with_settings(HOUSE, confirm_window=1800, abort_window=0)
    given: Given = [*BOTH, (DAY, ZoneTrips(WINDOW)), (DAY + 20, ZoneTrips(FLAT_DOOR))]
    alone = house(*(each for each in HOUSE.zones if each.number != FLAT_DOOR),
                  zone(FLAT_DOOR, "perimeter", areas=(FLAT,)), settings=setup.settings)  # fmt: skip
    assert (DAY + 20, "confirmed alarm") in messages(run(alone, given))


def test_a_zone_does_not_confirm_itself() -> None:
    setup = with_settings(HOUSE, confirm_window=1800, abort_window=0)
    twice: Given = [*BOTH, (DAY, ZoneTrips(WINDOW)), (DAY + 20, ZoneTrips(WINDOW))]
    assert "confirmed alarm" not in [name for _, name in messages(run(setup, twice))]


def test_a_zone_shut_out_counts_again_when_any_of_its_areas_was_disarmed() -> None:
    trips = [(k, ZoneTrips(WINDOW)) for k in (0, 10, 20)]
    timeline = later(*trips, (100, disarm(FLAT)), (110, arm(area=FLAT)), (300, ZoneTrips(WINDOW)))
    assert about(timeline, DisplayLine.ALARM) == [(DAY, WINDOW), (DAY + 10, WINDOW), (DAY + 300, WINDOW)]


# Whatever people do ---------------------------------------------------------------------------------------------------

ACTS = st.one_of(
    st.builds(ZoneTrips, st.sampled_from([HALL, SHOP_DOOR, FLAT_DOOR, TILL])),
    st.builds(ZoneOpens, st.sampled_from([HALL, SHOP_DOOR, FLAT_DOOR])),
    st.builds(ZoneCloses, st.sampled_from([HALL, SHOP_DOOR, FLAT_DOOR])),
    st.builds(Disarm, st.sampled_from([SHOP, FLAT]), st.just(IDA)),
    st.builds(arm, st.sampled_from([Mode.AWAY, Mode.STAY]), area=st.sampled_from([SHOP, FLAT])),
    st.builds(QuickExit, st.sampled_from([SHOP, FLAT]), st.just(IDA)),
)


@drawn(st.lists(st.tuples(st.integers(1, 20), ACTS), max_size=8))
def test_no_opening_of_an_armed_door_is_lost_whatever_people_do(acts: list[tuple[int, Event]]) -> None:
    """A door that opens while its areas are set alarms within its time, unless one of its own areas is disarmed."""
    panel = Clockwork(with_settings(HOUSE, swinger_limit=0, exit_error=False))
    for _, both in BOTH:
        panel.give(both)
    owed: dict[ZoneNumber, int] = {}
    now = DAY
    panel.advance(now)
    for wait, act in [*acts, (200, ZoneCloses(HALL))]:
        now += wait
        passed = panel.advance(now)
        number = getattr(act, "zone", None)
        setup = panel.setup.zone(number) if number is not None else None
        states = [panel.control.area(area) for area in setup.areas] if setup is not None else []
        guarded = all(area.phase in (Phase.SET, Phase.ENTRY) for area in states)
        shut = number not in panel.control.open
        entry = panel.give(act)
        for told in passed:
            for each in [each for each in owed if Shown(DisplayLine.ALARM, each) in told.outputs]:
                assert told.at <= owed.pop(each)
        if setup is not None and setup.entry_s and guarded and shut and isinstance(act, ZoneOpens | ZoneTrips):
            owed.setdefault(setup.number, entry.at + 45)
        if isinstance(act, Disarm):
            here = {each.number for each in panel.setup.zones_of(act.area)}
            owed = {each: at for each, at in owed.items() if each not in here}
        assert all(at >= now for at in owed.values())


WALKS = st.lists(st.tuples(st.sampled_from([1, 5, 20, 29, 31, 70]), ACTS), max_size=20)


@drawn(WALKS)
def test_a_shared_entry_door_is_waited_for_in_all_its_areas_or_in_none(acts: list[tuple[int, Event]]) -> None:
    panel = Clockwork(HOUSE)
    for wait, act in [*((0, each) for _, each in BOTH), *acts]:
        panel.advance(panel.now + wait)
        panel.give(act)
        assert len({HALL in area.entry_by for area in panel.control.areas}) == 1


@drawn(WALKS)
def test_an_alarm_of_an_entry_is_never_told_sooner_than_it_may(acts: list[tuple[int, Event]]) -> None:
    """The hold is counted from the beginning of the entry, by whichever door that was; no other window runs here."""
    least, slow = 150, replace(HOUSE.zones[1], entry_s=100)
    setup = house(HOUSE.zones[0], slow, *HOUSE.zones[2:])
    panel = Clockwork(with_settings(setup, entry_hold=30, entry_hold_least=least, abort_window=0))
    began: dict[int, int] = {}
    for wait, act in [*((0, each) for _, each in BOTH), *acts, (400, ZoneCloses(HALL))]:
        until = panel.now + wait
        while panel.due and min(panel.due.values()) <= until:
            waits = set(panel.due)
            ends = panel.next_timer
            panel.to_next()
            if ends is not None and ends.kind is TimerKind.ENTRY:
                sent = [at for timer, at in panel.due.items() if timer.kind is TimerKind.ABORT and timer not in waits]
                assert all(at >= began[ends.number] + least for at in sent)
            note(panel, began)
        panel.advance(until)
        panel.give(act)
        note(panel, began)


def note(panel: Clockwork, began: dict[int, int]) -> None:
    """Note since when somebody is on the way into which areas."""
    inside = {area.number for area in panel.control.areas if area.phase is Phase.ENTRY}
    for area in SHOP, FLAT:
        if area not in inside:
            began.pop(area, None)
        else:
            began.setdefault(area, panel.now)


# Leaving two areas at once --------------------------------------------------------------------------------------------

IDA_ARMS_BOTH: Given = [(0, arm(means=Means.KEYPAD, area=SHOP)), (2, arm(means=Means.KEYPAD, area=FLAT))]


def armed(timeline: Timeline) -> list[tuple[AreaNumber | None, DisplayLine]]:
    ends = (DisplayLine.ARMED_AWAY, DisplayLine.NOBODY_LEFT)
    return [(out.area, out.line) for _, out in outputs(timeline) if isinstance(out, Shown) and out.line in ends]


def test_who_arms_two_areas_and_leaves_by_a_door_of_one_has_left_both() -> None:
    timeline = run(HOUSE, [*IDA_ARMS_BOTH, (10, ZoneTrips(SHOP_DOOR))])
    assert armed(timeline) == [(SHOP, DisplayLine.ARMED_AWAY), (FLAT, DisplayLine.ARMED_AWAY)]


def test_an_area_armed_by_somebody_else_asks_for_a_door_of_its_own() -> None:
    other: Given = [(2, Arm(FLAT, Mode.AWAY, UserNumber(2)))]
    timeline = run(HOUSE, [IDA_ARMS_BOTH[0], *other, (10, ZoneTrips(SHOP_DOOR))])
    assert armed(timeline) == [(SHOP, DisplayLine.ARMED_AWAY), (FLAT, DisplayLine.NOBODY_LEFT)]


def test_an_area_armed_after_the_door_opened_asks_for_a_door_of_its_own() -> None:
    timeline = run(HOUSE, [IDA_ARMS_BOTH[0], (10, ZoneTrips(SHOP_DOOR)), (20, IDA_ARMS_BOTH[1][1])])
    assert armed(timeline) == [(SHOP, DisplayLine.ARMED_AWAY), (FLAT, DisplayLine.NOBODY_LEFT)]


def test_an_area_that_is_armed_alone_is_not_left_by_another_areas_door() -> None:
    timeline = run(HOUSE, [(0, arm(means=Means.KEYPAD, area=FLAT)), (10, ZoneTrips(SHOP_DOOR))])
    assert armed(timeline) == [(FLAT, DisplayLine.NOBODY_LEFT)]


def test_a_door_of_another_area_gives_no_second_exit_time() -> None:
    doors: Given = [(10, ZoneTrips(SHOP_DOOR)), (20, ZoneTrips(FLAT_DOOR))]
    timeline = run(HOUSE, [*IDA_ARMS_BOTH, *doors])
    ended = [entry.at for entry in timeline if entry.event == Expires(Timer(TimerKind.EXIT, FLAT))]
    assert ended == [62]


def test_a_shared_alarm_that_was_called_off_confirms_nothing_in_the_other_area() -> None:
    setup = with_settings(HOUSE, confirm_window=1800, abort_window=0)
    given: Given = [*BOTH, (DAY, ZoneTrips(WINDOW)), (DAY + 20, disarm(FLAT)), (DAY + 90, ZoneTrips(SHELVES))]
    assert "confirmed alarm" not in [name for _, name in messages(run(setup, given))]
    own: Given = [*BOTH, (DAY, ZoneTrips(SHELVES)), (DAY + 20, disarm(FLAT)), (DAY + 90, ZoneTrips(TILL))]
    assert (DAY + 90, "confirmed alarm") in messages(run(setup, own))


@pytest.mark.parametrize(("first", "second", "sent"), [
    (WINDOW, SHELVES, ["interior alarm", "confirmed alarm"]), (SHELVES, WINDOW, ["interior alarm"]),
])  # fmt: skip
def test_a_confirmation_stands_unless_the_alarm_that_it_is_told_with_is_called_off(
    first: ZoneNumber, second: ZoneNumber, sent: list[str]
) -> None:
    setup = with_settings(HOUSE, confirm_window=1800)
    given: Given = [*BOTH, (DAY, ZoneTrips(first)), (DAY + 5, ZoneTrips(second)), (DAY + 10, disarm(FLAT))]
    assert [name for _, name in messages(run(setup, given))] == sent


def test_a_shared_zone_confirms_what_only_one_of_its_areas_began() -> None:
    flat_window = zone(FLAT_DOOR, "perimeter", "flat window", areas=(FLAT,))
    setup = house(*(each for each in HOUSE.zones if each.number != FLAT_DOOR), flat_window,
                  settings=replace(CP01, confirm_window=1800, abort_window=0))  # fmt: skip
    given: Given = [*BOTH, (DAY, ZoneTrips(FLAT_DOOR)), (DAY + 20, ZoneTrips(WINDOW))]
    assert (DAY + 20, "confirmed alarm") in messages(run(setup, given))


def test_an_area_that_fails_to_set_ends_the_entry_time_of_the_other_for_their_door() -> None:
    """The hall door has no entry time of its own: it only joins the one of the yard gate, whose area is disarmed."""
    yard, gate = AreaNumber(3), ZoneNumber(7)
    setup = house(
        zone(HALL, "entry-door", "hall door", areas=(SHOP, FLAT), entry_s=0),
        zone(gate, "entry-door", "yard gate", areas=(SHOP, yard), entry_s=240),
    )
    slow = with_settings(setup, completing_act=True, unvacated_stay=False)
    armed: Given = [(0, Arm(area, Mode.STAY, IDA, Means.REMOTE)) for area in (SHOP, FLAT, yard)]
    enters: Given = [(70, ZoneTrips(gate)), (71, ZoneTrips(HALL)), (72, disarm(area=3))]
    timeline = run(slow, [*armed, *enters, (75, arm(means=Means.KEYPAD, area=FLAT))])
    assert when(timeline, DisplayLine.NOT_SET) == [135]
    assert (135, Shown(DisplayLine.ARMED_STAY, area=SHOP)) in outputs(timeline)
    assert when(timeline, DisplayLine.ALARM) == []


def test_a_shared_door_is_no_exit_error_while_somebody_leaves_its_other_area() -> None:
    """The end of the last exit time sees to it, once: one reminder, one alarm, one exit error."""
    given: Given = [(0, arm(area=SHOP)), (30, arm(area=FLAT)), (32, ZoneOpens(HALL))]
    timeline = run(HOUSE, given)
    assert about(timeline, DisplayLine.EXIT_ERROR) == [(90, HALL)]
    assert [name for _, name in messages(timeline)].count("exit error") == 1
    assert next(at for at, _ in sirens(timeline)) == 90
    shut_in_time = run(HOUSE, [*given, (80, ZoneCloses(HALL))])
    assert not sirens(shut_in_time)
    off_again = run(HOUSE, [*given, (80, disarm(FLAT))])
    assert not sirens(off_again)


def test_a_shared_door_is_not_bypassed_while_somebody_leaves_its_other_area() -> None:
    forced = with_settings(HOUSE, forced_arming=True, exit_error=False)
    given: Given = [(0, arm(area=SHOP)), (30, arm(area=FLAT)), (32, ZoneOpens(HALL))]
    shut_in_time = run(forced, [*given, (80, ZoneCloses(HALL)), (200, ZoneOpens(HALL))])
    assert about(shut_in_time, DisplayLine.ALARM) == [(230, HALL)]
    assert about(shut_in_time, DisplayLine.LEFT_OPEN) == []


def test_an_alarm_is_held_from_the_beginning_of_the_entry_also_when_the_door_that_began_it_is_dropped() -> None:
    setup = with_settings(HOUSE, entry_hold=30, entry_hold_least=120)
    setup = house(*(replace(each, entry_s=90) if each.number == SHOP_DOOR else each for each in setup.zones))
    setup = with_settings(setup, entry_hold=30, entry_hold_least=120)
    ways_in: Given = [(200, ZoneTrips(HALL)), (205, ZoneTrips(SHOP_DOOR)), (210, disarm(area=FLAT))]
    timeline = run(setup, [*BOTH, *ways_in])
    began, ends = 200, 230  # the hall door's entry time runs on in the shop
    assert when(timeline, DisplayLine.ALARM) == [ends]
    assert [at for at, name in messages(timeline) if name == "entry door alarm"] == [began + 120]


def test_no_message_of_an_entry_leaves_sooner_than_the_sums_say() -> None:
    setup = with_settings(HOUSE, entry_hold=30, entry_hold_least=120)
    for door in setup.zones[:3]:
        assert setup.longest_wait(door) == 120 - min(each.entry_s for each in setup.zones[:3])


@pytest.mark.parametrize("first", [SHOP, FLAT])
def test_whoever_left_a_shared_door_open_may_come_back_through_either_area(first: AreaNumber) -> None:
    second = FLAT if first == SHOP else SHOP
    leaving: Given = [(0, arm(area=first)), (70, arm(area=second)), (125, ZoneOpens(HALL))]
    back: Given = [(135, ZoneTrips(TILL)), (140, disarm(area=SHOP)), (141, disarm(area=FLAT))]
    timeline = run(HOUSE, [*leaving, *back])
    assert when(timeline, DisplayLine.EXIT_ERROR) == [130]
    assert when(timeline, DisplayLine.ALARM) == []
    assert messages(timeline) == []


def test_a_shared_door_left_open_gives_one_alarm_with_its_exit_error() -> None:
    leaving: Given = [(0, arm(area=SHOP)), (70, arm(area=FLAT)), (125, ZoneOpens(HALL))]
    timeline = run(HOUSE, leaving)
    assert when(timeline, DisplayLine.ALARM) == [160]
    assert [name for _, name in messages(timeline)] == ["entry door alarm", "exit error"]


def test_a_shared_door_left_open_joins_an_entry_that_runs_in_the_other_area() -> None:
    leaving: Given = [(0, arm(area=FLAT)), (70, arm(area=SHOP)), (120, ZoneTrips(FLAT_DOOR)), (125, ZoneOpens(HALL))]
    timeline = run(HOUSE, [*leaving, (140, disarm(area=FLAT)), (145, disarm(area=SHOP))])
    assert when(timeline, DisplayLine.ALARM) == []
    assert when(timeline, DisplayLine.NOT_SENT) != []

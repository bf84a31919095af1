"""The final door, and areas that share zones: each armed, entered and left by itself."""

from __future__ import annotations

import pytest

from tests.behaviour.house import (
    IDA,
    Given,
    arm,
    armed_then,
    disarm,
    house,
    messages,
    outputs,
    restores,
    sirens,
    when,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import Clockwork, run
from zonewright.behaviour.events import (
    Bypass,
    DisplayLine,
    Event,
    Means,
    Message,
    QuickExit,
    Shown,
    TroubleBegins,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.events import Trouble as DeviceTrouble
from zonewright.behaviour.setup import AreaNumber
from zonewright.behaviour.state import Phase
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber

FINAL, BACK, WINDOW, HALL = (ZoneNumber(number) for number in (1, 2, 3, 4))
SHOP = house(
    zone(FINAL, "final-door", "shop door"),
    zone(BACK, "entry-door", "back door"),
    zone(WINDOW, "perimeter", "window"),
    zone(HALL, "on-route", "hall movement"),
)
KEYPAD = arm(means=Means.KEYPAD)

# Final door -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("shuts", "armed"), [(20, 20), (59, 59), (60, 60), (61, 60)])
def test_its_closing_completes_setting(shuts: int, armed: int) -> None:
    timeline = run(SHOP, [(0, KEYPAD), (10, ZoneOpens(FINAL)), (shuts, ZoneCloses(FINAL))])
    assert when(timeline, DisplayLine.ARMED_AWAY) == [armed]
    assert bool(when(timeline, DisplayLine.EXIT_ERROR)) is (shuts >= 60)


def test_a_push_completes_setting_too() -> None:
    timeline = run(SHOP, [(0, KEYPAD), (15, ZoneTrips(FINAL)), (16, ZoneTrips(WINDOW))])
    assert when(timeline, DisplayLine.ARMED_AWAY) == [15]
    assert when(timeline, DisplayLine.ALARM) == [16]


def test_without_it_the_exit_time_arms_at_its_end() -> None:
    assert when(run(SHOP, [(0, KEYPAD), (10, ZoneTrips(BACK))]), DisplayLine.ARMED_AWAY) == [60]


def test_it_waits_for_another_door_that_stands_open() -> None:
    given: Given = [(0, KEYPAD), (10, ZoneOpens(BACK)), (20, ZoneTrips(FINAL)), (30, ZoneCloses(BACK))]
    assert when(run(SHOP, given), DisplayLine.ARMED_AWAY) == [60]
    assert when(run(SHOP, [*given, (40, ZoneTrips(FINAL))]), DisplayLine.ARMED_AWAY) == [40]
    out_of_use: Given = [(0, Bypass(BACK, IDA)), (1, ZoneOpens(BACK)), (2, KEYPAD), (20, ZoneTrips(FINAL))]
    assert when(run(SHOP, out_of_use), DisplayLine.ARMED_AWAY) == [20]


def test_a_bypassed_final_door_completes_nothing() -> None:
    given: Given = [(0, Bypass(FINAL, IDA)), (5, KEYPAD), (10, ZoneTrips(BACK)), (20, ZoneTrips(FINAL))]
    assert when(run(SHOP, given), DisplayLine.ARMED_AWAY) == [65]


def test_a_window_left_open_on_the_way_is_shown_when_it_shuts() -> None:
    given: Given = [(0, KEYPAD), (10, ZoneOpens(HALL)), (20, ZoneTrips(FINAL))]
    timeline = run(SHOP, given)
    assert when(timeline, DisplayLine.LEFT_OPEN) == [20]


def test_no_beeps_are_left_behind_and_no_second_end_comes() -> None:
    panel = Clockwork(SHOP)
    for event in (KEYPAD, ZoneTrips(FINAL)):
        panel.give(event)
    assert panel.control.areas[0].phase is Phase.SET
    assert panel.due == {}


def test_it_is_an_entry_door_on_the_way_in() -> None:
    timeline = armed_then(SHOP, Mode.AWAY, (0, ZoneTrips(FINAL)), (10, ZoneTrips(HALL)), (29, disarm()))
    assert sirens(timeline) == []
    assert sirens(armed_then(SHOP, Mode.AWAY, (0, ZoneTrips(FINAL))))[0] == (30, Pattern.BURGLARY)


def test_it_ends_a_quick_exit() -> None:
    timeline = armed_then(SHOP, Mode.STAY, (0, QuickExit(AreaNumber(1), IDA)), (10, ZoneTrips(FINAL)))
    assert when(timeline, DisplayLine.ARMED_STAY) == [0, 10]


def test_the_recent_closing_counts_from_its_closing() -> None:
    setup = with_settings(SHOP, recent_closing=True, abort_window=0)
    given: Given = [(0, KEYPAD), (20, ZoneTrips(FINAL))]
    assert "recent closing" in [name for _, name in messages(run(setup, [*given, (139, ZoneTrips(WINDOW))]))]
    assert "recent closing" not in [name for _, name in messages(run(setup, [*given, (140, ZoneTrips(WINDOW))]))]


# Several areas --------------------------------------------------------------------------------------------------------

# Area 1 bakery, area 2 flat; hall, street door and skylight belong to both.
STREET, SKYLIGHT, STORE, FLAT, PORCH_MOVE = (ZoneNumber(number) for number in (1, 2, 3, 4, 5))
BAKERY = house(
    zone(STREET, "final-door", areas=(1, 2)),
    zone(SKYLIGHT, "perimeter", areas=(1, 2)),
    zone(STORE, "perimeter"),
    zone(FLAT, "entry-door", areas=(2,), entry_s=45),
    zone(PORCH_MOVE, "on-route", areas=(1, 2)),
)


def phases(*events: tuple[int, Event]) -> list[Phase]:
    panel = Clockwork(BAKERY)
    for at, event in events:
        panel.advance(at)
        panel.give(event)
    return [area.phase for area in panel.control.areas]


def test_each_area_has_its_own_exit_time() -> None:
    timeline = run(BAKERY, [(0, arm()), (30, arm(area=2))])
    assert when(timeline, DisplayLine.ARMED_AWAY) == [60, 90]


def test_a_shared_final_door_completes_each_area_that_is_in_its_exit_time() -> None:
    assert phases((0, arm()), (5, arm(area=2)), (10, ZoneTrips(STREET))) == [Phase.SET, Phase.SET]
    assert phases((0, arm()), (10, ZoneTrips(STREET))) == [Phase.SET, Phase.REST]
    assert phases((0, arm()), (100, arm(area=2)), (110, ZoneTrips(STREET))) == [Phase.SET, Phase.SET]


def test_a_shared_door_keeps_a_final_door_from_setting_only_where_it_would_be_guarded() -> None:
    """The flat couldn't be set by its last door while the lobby stood open, though the shop was off all day."""
    lobby = house(zone(1, "entry-door", areas=(1, 2)), zone(2, "final-door"), zone(3, "final-door", areas=(2,)))
    flat = arm(means=Means.KEYPAD, area=2)
    leaves: Given = [(100, flat), (101, ZoneOpens(ZoneNumber(1))), (110, ZoneTrips(ZoneNumber(3)))]
    assert when(run(lobby, leaves), DisplayLine.ARMED_AWAY) == [110]
    assert when(run(lobby, [(90, arm()), *leaves]), DisplayLine.ARMED_AWAY) == [150, 160]


def test_a_door_of_one_area_starts_its_entry_time_alone() -> None:
    assert phases((0, arm()), (0, arm(area=2)), (100, ZoneTrips(FLAT))) == [Phase.SET, Phase.ENTRY]
    assert phases((0, arm()), (0, arm(area=2)), (100, ZoneTrips(STREET))) == [Phase.ENTRY, Phase.ENTRY]


def test_a_shared_zone_on_the_route_is_free_while_either_area_is_entered() -> None:
    given: Given = [(0, arm()), (0, arm(area=2)), (100, ZoneTrips(FLAT)), (144, ZoneTrips(PORCH_MOVE))]
    assert when(run(BAKERY, [*given, (144, disarm(2))]), DisplayLine.ALARM) == []
    alone: Given = [(0, arm()), (0, arm(area=2)), (100, ZoneTrips(PORCH_MOVE))]
    assert when(run(BAKERY, alone), DisplayLine.ALARM) == [100]


def test_a_shared_zone_is_free_again_as_soon_as_one_area_is_disarmed() -> None:
    given: Given = [(0, arm()), (0, arm(area=2)), (100, disarm(2)), (110, ZoneTrips(SKYLIGHT))]
    assert when(run(BAKERY, given), DisplayLine.ALARM) == []
    assert when(run(BAKERY, [*given, (120, ZoneTrips(STORE))]), DisplayLine.ALARM) == [120]


def test_shared_zones_left_open_stop_arming_the_last_area_only() -> None:
    given: Given = [(0, ZoneOpens(SKYLIGHT)), (5, arm()), (100, arm(area=2))]
    assert when(run(BAKERY, given), DisplayLine.CANT_ARM) == [100]


def test_the_messages_of_a_shared_zone_name_its_lowest_area_and_wait_there() -> None:
    given: Given = [(0, arm()), (0, arm(area=2)), (100, ZoneTrips(SKYLIGHT))]
    told = [(at, out.area) for at, out in outputs(run(BAKERY, given)) if isinstance(out, Message) and not out.restore]
    assert told == [(130, 1)]
    assert messages(run(BAKERY, [*given, (129, disarm(2))])) == []


@pytest.mark.parametrize("area", [1, 2])
def test_a_shared_zones_message_is_cancelled_in_either_area_and_the_keypad_says_so(area: int) -> None:
    given: Given = [(0, arm()), (0, arm(area=2)), (100, ZoneTrips(SKYLIGHT)), (140, disarm(area))]
    timeline = run(BAKERY, given)
    assert [(at, out.area, out.user) for at, out in outputs(timeline) if isinstance(out, Message)][-1] == (140, area, 1)
    assert messages(timeline)[-1] == (140, "cancel")
    assert when(timeline, DisplayLine.CANCEL_SENT) == [140]


def test_the_count_of_a_shared_zone_begins_again_with_either_disarming() -> None:
    given: Given = [(0, arm()), (0, arm(area=2)), (100, ZoneTrips(SKYLIGHT)), (110, ZoneTrips(SKYLIGHT))]
    again: Given = [(200, disarm(2)), (210, arm(area=2)), (400, ZoneTrips(SKYLIGHT))]
    assert when(run(BAKERY, [*given, (400, ZoneTrips(SKYLIGHT))]), DisplayLine.ALARM) == [100, 110]
    assert when(run(BAKERY, [*given, *again]), DisplayLine.ALARM) == [100, 110, 400]


def test_troubles_of_a_shared_device_are_shown_at_the_arming_of_each_area() -> None:
    given: Given = [(0, TroubleBegins(SKYLIGHT, DeviceTrouble.TAMPER)), (5, arm()), (6, arm(area=2))]
    timeline = run(BAKERY, given)
    assert when(timeline, DisplayLine.TAMPER) == [0, 5, 6]
    assert restores(timeline) == []
    assert all(
        out.zone == SKYLIGHT
        for _, out in outputs(timeline)
        if isinstance(out, Shown) and out.line is DisplayLine.TAMPER
    )


def test_exit_error_of_a_shared_door_is_of_the_area_whose_time_ended_last() -> None:
    given: Given = [(0, arm()), (0, arm(area=2)), (50, ZoneOpens(STREET))]
    timeline = run(BAKERY, given)
    assert when(timeline, DisplayLine.EXIT_ERROR) == [60]
    assert sorted(name for _, name in messages(timeline)) == ["entry door alarm", "exit error"]


def test_a_shared_door_left_open_joins_the_entry_time_that_runs() -> None:
    """Both areas are left open, and one by a door of its own, too: each door gives its alarm, once, at its end."""
    setup = house(zone(1, "entry-door", "hall door", areas=(1, 2)), zone(2, "entry-door", "shop door", areas=(2,)))
    given: Given = [(0, arm(area=2)), (5, arm()), (10, ZoneOpens(ZoneNumber(1))), (12, ZoneOpens(ZoneNumber(2)))]
    timeline = run(setup, given, until=300)
    told = [(at, out.name, out.zone) for at, out in outputs(timeline) if isinstance(out, Message) and not out.restore]
    assert told == [
        (120, "entry door alarm", 1),
        (120, "exit error", 1),
        (120, "entry door alarm", 2),
        (120, "exit error", 2),
    ]

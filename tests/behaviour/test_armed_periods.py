"""An armed period from its beginning to its end: leaving in silence or by quick exit, memory, what is over after it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    COTTAGE,
    CP01,
    DOOR,
    IDA,
    WINDOW,
    Given,
    arm,
    armed_then,
    disarm,
    house,
    messages,
    outputs,
    restores,
    when,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import Timeline, run
from zonewright.behaviour.events import (
    Bypass,
    Line,
    QuickExit,
    Shown,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber


def remembered(timeline: Timeline) -> list[ZoneNumber | None]:
    """The zones that the display says were in alarm."""
    return [out.zone for _, out in outputs(timeline) if isinstance(out, Shown) and out.line is Line.MEMORY]


@pytest.mark.parametrize(("mode", "armed"), [(Mode.STAY, Line.ARMED_STAY), (Mode.NIGHT, Line.ARMED_NIGHT)])
def test_quick_exit_frees_the_door_at_home_and_at_night(mode: Mode, armed: Line) -> None:
    given: Given = [(0, QuickExit(AreaNumber(1), IDA)), (10, ZoneTrips(DOOR)), (20, ZoneTrips(WINDOW))]
    timeline = armed_then(COTTAGE, mode, *given)
    assert when(timeline, Line.ALARM) == [20]  # the window's; whoever left by the door began no entry time
    assert when(timeline, armed) == [0, 60]


@pytest.mark.parametrize("later", [Mode.NIGHT, Mode.AWAY])
def test_arming_once_more_in_an_armed_period_forgets_no_alarm_of_it(later: Mode) -> None:
    """Somebody finds the house armed and quiet again, arms it in another mode, and the next one disarms it."""
    given: Given = [(0, ZoneTrips(WINDOW)), (400, arm(later)), (1000, disarm())]
    assert remembered(armed_then(COTTAGE, Mode.STAY, *given)) == [WINDOW]


def test_the_next_armed_period_begins_without_the_alarms_of_the_last() -> None:
    given: Given = [(0, ZoneTrips(WINDOW)), (9, disarm()), (100, arm()), (300, disarm())]
    assert remembered(armed_then(COTTAGE, Mode.AWAY, *given)) == [WINDOW]


@pytest.mark.parametrize(("plain", "silent"), [(30, 60), (60, 120), (127, 254), (128, 255), (200, 255), (300, 300)])
def test_a_silent_exit_has_twice_the_time_at_most_255_s_and_never_less_than_a_plain_one(
    plain: int, silent: int
) -> None:
    setup = with_settings(house(zone(1, "perimeter")), exit_time=plain)
    assert when(run(setup, [(0, arm())]), Line.ARMED_AWAY) == [plain]
    assert when(run(setup, [(0, arm(silent=True))]), Line.ARMED_AWAY) == [silent]


@pytest.mark.parametrize("behaviour", ["perimeter", "fire", "24-hour-audible"])
def test_no_restore_is_sent_where_the_panel_tells_of_none(behaviour: str) -> None:
    """Of an alarm, a trouble, a bypass, and of the panel itself."""
    number = ZoneNumber(1)
    given: Given = [(0, Bypass(number, IDA)), (1, Unbypass(number, IDA))]
    given += [(2, TroubleBegins(number, Trouble.LOW_BATTERY)), (3, TroubleEnds(number, Trouble.LOW_BATTERY))]
    given += [(5, SiteTroubleBegins(SiteTrouble.MAINS)), (9000, SiteTroubleEnds(SiteTrouble.MAINS))]
    given += [(9100, arm()), (9300, ZoneOpens(number)), (9400, ZoneCloses(number))]
    for told in (True, False):
        timeline = run(with_settings(house(zone(1, behaviour)), restores=told, troubles=True), given)
        assert bool(restores(timeline)) is told
        assert messages(timeline)


def test_a_zone_shut_out_is_guarded_again_after_any_of_its_areas_was_disarmed() -> None:
    """Also by the area that its messages don't name."""
    setup = house(zone(1, "perimeter", areas=(1, 2)), settings=replace(CP01, swinger_limit=1))
    given: Given = [(0, arm()), (0, arm(area=2)), (100, ZoneTrips(ZoneNumber(1))), (200, disarm(area=2))]
    given += [(300, arm(area=2)), (500, ZoneTrips(ZoneNumber(1)))]
    assert when(run(setup, given), Line.ALARM) == [100, 500]

"""The choices that the files of `step` list, each at work in a small house."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    BUTTON,
    COTTAGE,
    CP01,
    DOOR,
    GATE,
    HALL,
    IDA,
    LOUNGE,
    WINDOW,
    Given,
    arm,
    armed_then,
    disarm,
    house,
    lines,
    messages,
    outputs,
    restores,
    sirens,
    when,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import Timeline, run
from zonewright.behaviour.events import (
    Beeps,
    Bypass,
    CheckIn,
    Chime,
    ChimeSwitch,
    DisplayLine,
    Expires,
    Means,
    Message,
    QuickExit,
    Shown,
    Sound,
    Spoken,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber

HOUR = 3600
DAY = 24 * HOUR
HATCH, SHED_DOOR, PORCH = ZoneNumber(21), ZoneNumber(22), ZoneNumber(23)

# Area 1 house, area 2 workshop; the porch belongs to both.
TWO_AREAS = house(
    zone(DOOR, "entry-door"),
    zone(WINDOW, "perimeter"),
    zone(HATCH, "perimeter", areas=(2,)),
    zone(SHED_DOOR, "entry-door", areas=(2,), entry_s=45),
    zone(PORCH, "entry-door", areas=(1, 2), entry_s=30, chime="two notes"),
)


def announced(timeline: Timeline) -> list[int]:
    return [at for at, output in outputs(timeline) if isinstance(output, Chime | Spoken)]


def said_about(timeline: Timeline, line: DisplayLine) -> list[ZoneNumber | None]:
    return [out.zone for _, out in outputs(timeline) if isinstance(out, Shown) and out.line is line]


# Announcing -----------------------------------------------------------------------------------------------------------


def test_chime_is_heard_while_disarmed_only() -> None:
    given: Given = [(0, ZoneTrips(DOOR)), (10, arm()), (20, ZoneTrips(DOOR)), (100, ZoneTrips(DOOR)), (105, disarm())]
    assert announced(run(COTTAGE, [*given, (200, ZoneTrips(DOOR))])) == [0, 200]


@pytest.mark.parametrize("mode", [Mode.STAY, Mode.NIGHT, Mode.AWAY])
def test_a_notice_zone_is_announced_by_its_label_in_every_mode(mode: Mode) -> None:
    timeline = run(COTTAGE, [(0, ZoneTrips(GATE)), (10, arm(mode)), (20, ZoneTrips(GATE)), (100, ZoneTrips(GATE))])
    assert [(at, out) for at, out in outputs(timeline) if isinstance(out, Spoken)] == [
        (0, Spoken(GATE)),
        (20, Spoken(GATE)),
        (100, Spoken(GATE)),
    ]


def test_a_chime_gives_way_to_the_siren_and_to_the_chime_switch() -> None:
    given: Given = [
        (0, ChimeSwitch(False)),
        (1, ZoneTrips(GATE)),
        (2, ChimeSwitch(True)),
        (3, ZoneTrips(GATE)),
        (10, ZoneOpens(ZoneNumber(5))),  # the smoke
        (11, ZoneTrips(GATE)),
    ]
    timeline = run(COTTAGE, given)
    assert announced(timeline) == [3]
    assert lines(timeline)[:2] == [(0, DisplayLine.CHIME_OFF), (2, DisplayLine.CHIME_ON)]


def test_a_zone_without_a_chime_says_nothing() -> None:
    assert outputs(run(COTTAGE, [(0, ZoneOpens(WINDOW)), (9, ZoneCloses(WINDOW))])) == []


def test_an_opening_told_twice_is_one_opening() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneOpens(WINDOW)), (5, ZoneOpens(WINDOW)), (6, ZoneTrips(WINDOW)))
    assert when(timeline, DisplayLine.ALARM) == [0]


# Arming with something open -------------------------------------------------------------------------------------------


def test_an_open_window_stops_arming_and_is_named() -> None:
    timeline = run(COTTAGE, [(0, ZoneOpens(WINDOW)), (5, arm())])
    assert outputs(timeline)[0] == (5, Beeps(Sound.REFUSED))
    assert said_about(timeline, DisplayLine.CANT_ARM) == [WINDOW]
    assert not when(timeline, DisplayLine.ARMED_AWAY)


def test_forced_arming_bypasses_it_and_tells_until_disarmed() -> None:
    setup = with_settings(COTTAGE, forced_arming=True)
    timeline = run(setup, [(0, ZoneOpens(WINDOW)), (5, arm()), (100, ZoneTrips(WINDOW)), (200, disarm())])
    assert messages(timeline) == [(5, "zone bypass")]
    assert restores(timeline) == [(200, "zone bypass")]
    assert when(timeline, DisplayLine.BYPASSED) == [5]
    assert when(timeline, DisplayLine.ARMED_AWAY) == [65]
    assert sirens(timeline) == []


@pytest.mark.parametrize("mode", [Mode.AWAY, Mode.STAY])
def test_arming_is_refused_aloud_in_an_entry_time(mode: Mode) -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneTrips(DOOR)), (10, arm(mode)))
    assert when(timeline, DisplayLine.DISARM_FIRST) == [10]
    assert (10, Beeps(Sound.REFUSED)) in outputs(timeline)
    assert when(timeline, DisplayLine.ALARM) == [30]


def test_leaving_by_a_door_that_is_bypassed_arms_stay() -> None:
    given: Given = [(0, Bypass(DOOR, IDA)), (1, arm(means=Means.KEYPAD)), (10, ZoneTrips(DOOR))]
    assert when(run(COTTAGE, given), DisplayLine.NOBODY_LEFT) == [61]


def test_a_door_that_is_shut_out_gives_no_entry_time() -> None:
    setup = with_settings(COTTAGE, swinger_limit=1)
    given = [(0, ZoneTrips(DOOR)), (7200, ZoneTrips(DOOR)), (7205, ZoneTrips(HALL))]
    assert said_about(armed_then(setup, Mode.AWAY, *given), DisplayLine.ALARM) == [DOOR, HALL]


def test_forced_arming_is_refused_for_what_no_user_may_bypass() -> None:
    setup = with_settings(house(zone(DOOR, "entry-door"), zone(2, "24-hour-silent")), forced_arming=True)
    assert when(run(setup, [(0, ZoneOpens(ZoneNumber(2))), (5, arm())]), DisplayLine.CANT_ARM) == [5]


def test_what_is_not_live_in_the_mode_does_not_stop_arming() -> None:
    given: Given = [(0, ZoneOpens(LOUNGE)), (5, arm(Mode.STAY))]
    assert when(run(COTTAGE, given), DisplayLine.ARMED_STAY) == [65]
    assert when(run(COTTAGE, [(0, ZoneOpens(LOUNGE)), (5, arm(Mode.AWAY))]), DisplayLine.CANT_ARM) == [5]


def test_left_open_inside_is_shown_and_guarded_from_its_next_opening() -> None:
    given: Given = [(0, arm()), (30, ZoneOpens(LOUNGE)), (100, ZoneCloses(LOUNGE)), (110, ZoneOpens(LOUNGE))]
    timeline = run(COTTAGE, given)
    assert when(timeline, DisplayLine.LEFT_OPEN) == [60]
    assert when(timeline, DisplayLine.ALARM) == [110]
    forced = run(with_settings(COTTAGE, forced_arming=True), given)
    assert when(forced, DisplayLine.BYPASSED) == [60]
    assert when(forced, DisplayLine.ALARM) == []


def test_a_door_left_open_without_exit_error_is_shown() -> None:
    setup = with_settings(COTTAGE, exit_error=False)
    timeline = run(setup, [(0, arm(means=Means.KEYPAD)), (50, ZoneOpens(DOOR))])
    assert when(timeline, DisplayLine.LEFT_OPEN) == [60]
    assert when(timeline, DisplayLine.ARMED_AWAY) == [60]
    assert sirens(timeline) == []


def test_every_door_left_open_is_named_and_the_shortest_entry_time_counts() -> None:
    setup = house(zone(1, "entry-door", entry_s=45), zone(2, "entry-door", entry_s=30))
    timeline = run(setup, [(0, arm()), (10, ZoneOpens(ZoneNumber(1))), (11, ZoneOpens(ZoneNumber(2)))])
    assert when(timeline, DisplayLine.EXIT_ERROR) == [60, 60]
    assert said_about(timeline, DisplayLine.ALARM) == [1, 2]
    assert [at for at, _ in messages(timeline)] == [120] * 4


def test_a_door_open_since_before_arming_counts_as_used() -> None:
    setup = with_settings(COTTAGE, forced_arming=True)
    timeline = run(setup, [(0, ZoneOpens(DOOR)), (5, arm(means=Means.KEYPAD))])
    assert when(timeline, DisplayLine.ARMED_AWAY) == when(timeline, DisplayLine.EXIT_ERROR) == [65]


def test_a_door_out_of_use_is_no_way_out() -> None:
    timeline = run(COTTAGE, [(0, Bypass(DOOR, IDA)), (5, arm(means=Means.KEYPAD)), (10, ZoneTrips(DOOR))])
    assert when(timeline, DisplayLine.NOBODY_LEFT) == [65]


def test_an_area_without_an_exit_door_is_armed_away_as_asked() -> None:
    setup = house(zone(1, "perimeter"))
    assert when(run(setup, [(0, arm(means=Means.KEYPAD))]), DisplayLine.ARMED_AWAY) == [60]


def test_a_shut_out_door_left_open_is_no_exit_error() -> None:
    alarms: Given = [(0, ZoneTrips(DOOR)), (100, ZoneTrips(DOOR))]
    leave: Given = [(400, QuickExit(AreaNumber(1), IDA)), (410, ZoneOpens(DOOR))]
    timeline = armed_then(COTTAGE, Mode.STAY, *alarms, *leave)
    assert when(timeline, DisplayLine.ALARM) == [30, 130]
    assert when(timeline, DisplayLine.EXIT_ERROR) == []
    assert when(timeline, DisplayLine.LEFT_OPEN) == [460]


def test_troubles_are_shown_at_arming() -> None:
    timeline = run(COTTAGE, [(0, TroubleBegins(WINDOW, Trouble.LOW_BATTERY)), (100, arm())])
    assert when(timeline, DisplayLine.LOW_BATTERY) == [0, 100]
    assert when(timeline, DisplayLine.ARMED_AWAY) == [160]


# Changing one's mind --------------------------------------------------------------------------------------------------


def test_arming_again_in_the_same_mode_gives_no_second_exit_time() -> None:
    assert when(run(COTTAGE, [(0, arm()), (50, arm())]), DisplayLine.ARMED_AWAY) == [60]


def test_arming_in_another_mode_starts_its_own_exit_time() -> None:
    timeline = run(COTTAGE, [(0, arm()), (50, arm(Mode.STAY)), (300, arm())])
    assert when(timeline, DisplayLine.ARMED_STAY) == [110]
    assert when(timeline, DisplayLine.ARMED_AWAY) == [360]


def test_arming_is_no_way_out_of_the_entry_time() -> None:
    timeline = armed_then(COTTAGE, Mode.STAY, (0, ZoneTrips(DOOR)), (10, arm(Mode.AWAY)))
    assert when(timeline, DisplayLine.ALARM) == [30]


def test_quick_exit_frees_the_door_and_stays_armed() -> None:
    leave = QuickExit(AreaNumber(1), IDA)
    given: Given = [(0, leave), (10, ZoneTrips(DOOR)), (20, ZoneTrips(WINDOW))]
    timeline = armed_then(COTTAGE, Mode.STAY, *given)
    assert when(timeline, DisplayLine.ALARM) == [20]
    assert when(timeline, DisplayLine.ARMED_STAY) == [0, 60]
    assert not when(armed_then(COTTAGE, Mode.AWAY, (1, leave), (2, disarm())), DisplayLine.ARMING)


def test_no_exit_time_arms_at_once() -> None:
    assert when(run(with_settings(COTTAGE, exit_time=0), [(7, arm())]), DisplayLine.ARMED_AWAY) == [7]


def test_a_code_while_disarmed_silences_and_cancels() -> None:
    setup = house(zone(1, "24-hour-audible"))
    timeline = run(setup, [(0, ZoneOpens(ZoneNumber(1))), (40, disarm())])
    assert messages(timeline) == [(30, "24-hour alarm"), (40, "cancel")]
    assert sirens(timeline)[-1] == (40, Pattern.NONE)


def test_alarm_memory_names_the_first_alarm_first_until_the_next_arming() -> None:
    given: Given = [(0, ZoneTrips(WINDOW)), (5, ZoneOpens(LOUNGE)), (9, disarm()), (20, disarm())]
    timeline = armed_then(COTTAGE, Mode.AWAY, *given, (30, ZoneCloses(LOUNGE)), (40, arm()), (200, disarm()))
    assert said_about(timeline, DisplayLine.MEMORY) == [WINDOW, WINDOW]
    assert said_about(timeline, DisplayLine.STILL_OPEN) == [LOUNGE, LOUNGE]


def test_second_alarm_in_the_abort_window_goes_with_the_first() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneTrips(WINDOW)), (20, ZoneTrips(LOUNGE)))
    assert messages(timeline) == [(30, "perimeter alarm"), (30, "interior alarm")]


def test_a_zone_that_trips_twice_in_the_abort_window_sends_once() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneTrips(WINDOW)), (20, ZoneTrips(WINDOW)))
    assert messages(timeline) == [(30, "perimeter alarm")]
    assert restores(timeline) == [(30, "perimeter alarm")]


def test_only_what_was_not_sent_is_said_to_be_unsent() -> None:
    given: Given = [(0, ZoneOpens(ZoneNumber(5))), (5, ZoneTrips(WINDOW)), (10, disarm())]
    timeline = armed_then(COTTAGE, Mode.AWAY, *given)
    assert messages(timeline) == [(0, "fire alarm")]
    assert said_about(timeline, DisplayLine.NOT_SENT) == [WINDOW]


def test_nothing_is_shown_or_heard_of_a_hold_up() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (5, ZoneTrips(BUTTON)), (50, disarm()))
    noticed = [out for at, out in outputs(timeline) if 5 <= at < 50 and not isinstance(out, Message)]
    assert noticed == []
    assert said_about(timeline, DisplayLine.MEMORY) == []


def test_the_siren_is_prolonged_by_each_new_alarm() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneTrips(WINDOW)), (200, ZoneTrips(LOUNGE)))
    assert sirens(timeline) == [(0, Pattern.BURGLARY), (200, Pattern.BURGLARY), (440, Pattern.NONE)]


def test_a_zone_on_the_route_is_free_in_the_entry_time_and_no_longer() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneTrips(DOOR)), (29, ZoneTrips(HALL)), (30, ZoneTrips(HALL)))
    assert said_about(timeline, DisplayLine.ALARM) == [DOOR, HALL]
    assert said_about(armed_then(COTTAGE, Mode.AWAY, (0, ZoneTrips(HALL))), DisplayLine.ALARM) == [HALL]


# Telling the station --------------------------------------------------------------------------------------------------


def test_an_alarm_is_over_when_its_zone_closes() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneOpens(WINDOW)), (100, ZoneCloses(WINDOW)))
    assert restores(timeline) == [(100, "perimeter alarm")]
    early = armed_then(COTTAGE, Mode.AWAY, (0, ZoneOpens(WINDOW)), (10, ZoneCloses(WINDOW)))
    assert restores(early) == [(30, "perimeter alarm")]
    called_off = armed_then(COTTAGE, Mode.AWAY, (0, ZoneOpens(WINDOW)), (10, disarm()), (20, ZoneCloses(WINDOW)))
    assert restores(called_off) == []


@pytest.mark.parametrize("changes", [{"told": False}, {"restores": False}])
def test_the_station_hears_only_what_is_asked(changes: dict[str, bool]) -> None:
    given: Given = [(0, ZoneTrips(WINDOW)), (50, TroubleBegins(HALL, Trouble.TAMPER)), (60, disarm())]
    timeline = armed_then(with_settings(COTTAGE, **changes), Mode.AWAY, *given)
    assert restores(timeline) == []
    assert bool(messages(timeline)) is changes.get("told", True)
    assert when(timeline, DisplayLine.ALARM) == [0, 50]


def test_a_zone_that_tells_no_alarm_still_sounds() -> None:
    setup = house(zone(1, "perimeter", tells_alarm=False))
    timeline = armed_then(setup, Mode.AWAY, (0, ZoneOpens(ZoneNumber(1))), (10, disarm()))
    assert messages(timeline) == []
    assert sirens(timeline) == [(0, Pattern.BURGLARY), (10, Pattern.NONE)]
    assert when(timeline, DisplayLine.NOT_SENT) == []


def test_openings_and_closings_name_the_user() -> None:
    timeline = run(with_settings(COTTAGE, openings=True), [(0, arm()), (100, disarm()), (110, disarm())])
    told = [(at, out.name, out.user) for at, out in outputs(timeline) if isinstance(out, Message)]
    assert told == [(0, "closing", IDA), (100, "opening", IDA)]


# Bypass ---------------------------------------------------------------------------------------------------------------


def test_a_bypass_holds_for_one_armed_period() -> None:
    given: Given = [(0, Bypass(WINDOW, IDA)), (5, arm()), (70, ZoneTrips(WINDOW)), (80, disarm()), (90, arm())]
    timeline = run(COTTAGE, [*given, (200, ZoneTrips(WINDOW))])
    assert when(timeline, DisplayLine.ALARM) == [200]
    assert messages(timeline)[0] == (0, "zone bypass")
    assert restores(timeline)[0] == (80, "zone bypass")


def test_a_bypass_can_be_taken_back_before_arming() -> None:
    given: Given = [(0, Bypass(WINDOW, IDA)), (2, Bypass(WINDOW, IDA)), (3, Unbypass(WINDOW, IDA)), (5, arm())]
    timeline = run(COTTAGE, [*given, (70, ZoneTrips(WINDOW)), (75, disarm())])
    assert when(timeline, DisplayLine.ALARM) == [70]
    assert restores(timeline) == [(3, "zone bypass")]


def test_a_bypass_outlives_a_code_that_only_silences() -> None:
    given: Given = [(0, Bypass(WINDOW, IDA)), (2, disarm()), (5, arm()), (70, ZoneTrips(WINDOW))]
    timeline = run(COTTAGE, given)
    assert when(timeline, DisplayLine.ALARM) == []


def test_a_bypass_is_not_taken_back_while_armed() -> None:
    given: Given = [(0, Bypass(WINDOW, IDA)), (5, arm()), (70, Unbypass(WINDOW, IDA)), (75, ZoneTrips(WINDOW))]
    timeline = run(COTTAGE, given)
    assert when(timeline, DisplayLine.ALARM) == []
    assert lines(timeline)[-1] == (70, DisplayLine.CANT_TAKE_BACK_NOW)
    assert (70, Beeps(Sound.REFUSED)) in outputs(timeline)


def test_taking_back_what_is_in_use_says_nothing() -> None:
    assert outputs(run(COTTAGE, [(0, Unbypass(WINDOW, IDA))])) == []
    assert lines(armed_then(COTTAGE, Mode.AWAY, (5, Unbypass(WINDOW, IDA)))) == [(0, DisplayLine.ARMED_AWAY)]


def test_a_bypass_ends_untold_where_no_restores_are_told() -> None:
    given: Given = [(0, Bypass(WINDOW, IDA)), (5, arm()), (70, disarm())]
    timeline = run(with_settings(COTTAGE, restores=False), given)
    assert messages(timeline) == [(0, "zone bypass")]
    assert restores(timeline) == []


def test_nothing_is_bypassed_while_armed() -> None:
    timeline = armed_then(COTTAGE, Mode.STAY, (0, Bypass(WINDOW, IDA)), (5, ZoneTrips(WINDOW)), (6, disarm()))
    assert when(timeline, DisplayLine.CANT_BYPASS_NOW) == [0]
    assert when(timeline, DisplayLine.ALARM) == [5]


def test_the_station_hears_of_a_bypass_where_it_hears_the_alarm() -> None:
    timeline = run(COTTAGE, [(0, Bypass(GATE, IDA)), (5, ZoneTrips(GATE))])
    assert messages(timeline) == []
    assert announced(timeline) == []


def test_a_bypassed_zone_is_watched_for_troubles() -> None:
    given: Given = [(0, Bypass(WINDOW, IDA)), (1, arm()), (100, TroubleBegins(WINDOW, Trouble.TAMPER))]
    timeline = run(COTTAGE, given)
    assert messages(timeline)[-1] == (100, "tamper")
    assert sirens(timeline) == []


# Troubles -------------------------------------------------------------------------------------------------------------


def test_a_tamper_is_told_once_and_over_when_put_right() -> None:
    given: Given = [
        (0, TroubleBegins(WINDOW, Trouble.TAMPER)),
        (5, TroubleBegins(WINDOW, Trouble.TAMPER)),
        (9, TroubleEnds(WINDOW, Trouble.TAMPER)),
        (12, TroubleEnds(WINDOW, Trouble.TAMPER)),
    ]
    timeline = run(COTTAGE, given)
    assert messages(timeline) == [(0, "tamper")]
    assert restores(timeline) == [(9, "tamper")]
    assert sirens(timeline) == []


def test_a_tamper_alarm_can_be_aborted() -> None:
    given: Given = [
        (0, TroubleBegins(WINDOW, Trouble.TAMPER)),
        (29, disarm()),
        (99, TroubleEnds(WINDOW, Trouble.TAMPER)),
    ]
    timeline = armed_then(COTTAGE, Mode.STAY, *given)
    assert sirens(timeline)[0] == (0, Pattern.BURGLARY)
    assert messages(timeline) == [(29, "tamper")]  # no tamper alarm, but the cover is still off
    assert restores(timeline) == [(99, "tamper")]


def test_a_tamper_alarm_of_a_zone_that_tells_troubles_only_is_a_trouble_there() -> None:
    setup = house(zone(1, "perimeter", tells_alarm=False))
    tamper = TroubleBegins(ZoneNumber(1), Trouble.TAMPER)
    given: Given = [(0, tamper), (9, TroubleEnds(ZoneNumber(1), Trouble.TAMPER))]
    timeline = armed_then(setup, Mode.STAY, *given)
    assert messages(timeline) == [(0, "tamper")]
    assert restores(timeline) == [(9, "tamper")]


def test_the_tamper_of_a_life_safety_device_is_a_trouble_whatever_the_profile_says() -> None:
    smoke = zone(1, "fire")
    loud = smoke.behaviour.model_copy(update={"tamper_alarm": frozenset(Mode)})
    setup = house(replace(smoke, behaviour=loud))
    timeline = run(setup, [(0, TroubleBegins(ZoneNumber(1), Trouble.TAMPER))])
    assert messages(timeline) == [(0, "tamper")]
    assert sirens(timeline) == []


def test_low_battery_is_told_once_and_shown_daily_until_it_is_good() -> None:
    low, good = TroubleBegins(GATE, Trouble.LOW_BATTERY), TroubleEnds(GATE, Trouble.LOW_BATTERY)
    given: Given = [(0, low), (HOUR, low), (2 * DAY + HOUR, good)]
    timeline = run(COTTAGE, given, until=5 * DAY)
    assert messages(timeline) == [(0, "low battery")]
    assert restores(timeline) == [(2 * DAY + HOUR, "low battery")]
    assert when(timeline, DisplayLine.LOW_BATTERY) == [0, DAY, 2 * DAY]


def test_a_battery_that_comes_and_goes_is_told_once_a_day() -> None:
    low, good = TroubleBegins(GATE, Trouble.LOW_BATTERY), TroubleEnds(GATE, Trouble.LOW_BATTERY)
    given: Given = [(0, low), (10, good), (20, low), (30, good), (40, low)]
    timeline = run(COTTAGE, given, until=DAY)
    assert messages(timeline) == [(0, "low battery"), (DAY, "low battery")]


@pytest.mark.parametrize(("good_after", "told"), [(599, False), (600, True), (601, True)])
def test_low_battery_may_wait_before_it_is_told(good_after: int, told: bool) -> None:
    setup = with_settings(COTTAGE, low_battery_wait=600)
    low, good = TroubleBegins(GATE, Trouble.LOW_BATTERY), TroubleEnds(GATE, Trouble.LOW_BATTERY)
    assert messages(run(setup, [(0, low), (good_after, good)])) == ([(600, "low battery")] if told else [])


SUPERVISED = house(zone(1, "perimeter", supervise=True), zone(2, "perimeter", supervise=True), zone(3, "perimeter"))


@pytest.mark.parametrize(("heard", "missed"), [(12 * HOUR - 1, False), (12 * HOUR, True), (12 * HOUR + 1, True)])
def test_a_device_is_missing_after_the_supervision_window(heard: int, missed: bool) -> None:
    timeline = run(SUPERVISED, [(heard, CheckIn(ZoneNumber(1)))], until=12 * HOUR)
    assert said_about(timeline, DisplayLine.MISSING) == ([1, 2] if missed else [2])
    assert messages(timeline) == [(12 * HOUR, "missing")] * (2 if missed else 1)


@pytest.mark.parametrize(
    "sign",
    [
        CheckIn(ZoneNumber(1)),
        ZoneTrips(ZoneNumber(1)),
        TroubleBegins(ZoneNumber(1), Trouble.LOW_BATTERY),
        TroubleEnds(ZoneNumber(1), Trouble.MISSING),
    ],
)
def test_any_sign_of_it_ends_that(sign: CheckIn | ZoneTrips | TroubleBegins | TroubleEnds) -> None:
    timeline = run(SUPERVISED, [(13 * HOUR, sign)], until=25 * HOUR - 1)
    assert restores(timeline) == [(13 * HOUR, "missing")]
    assert [name for _, name in messages(timeline)].count("missing") == 2


def test_the_panel_misses_only_what_it_watches() -> None:
    silent = [(1, TroubleBegins(ZoneNumber(n), Trouble.MISSING)) for n in (1, 3)]
    timeline = run(SUPERVISED, silent)
    assert messages(timeline) == [(1, "missing")]


# Two areas ------------------------------------------------------------------------------------------------------------


def two_armed(*later: tuple[int, ZoneOpens | ZoneTrips], then: Given | None = None) -> Timeline:
    given: Given = [(0, arm()), (0, arm(area=2)), *((100 + at, event) for at, event in later), *(then or [])]
    return run(TWO_AREAS, given)


def test_a_shared_zone_is_armed_when_all_its_areas_are() -> None:
    assert not when(run(TWO_AREAS, [(0, arm()), (100, ZoneTrips(PORCH))]), DisplayLine.ALARM)
    assert when(two_armed((0, ZoneTrips(PORCH))), DisplayLine.ALARM) == [130]


def test_a_shared_zone_chimes_when_none_of_its_areas_is_armed() -> None:
    assert announced(run(TWO_AREAS, [(0, ZoneTrips(PORCH)), (5, arm()), (100, ZoneTrips(PORCH))])) == [0]


def test_a_shared_door_gives_one_alarm() -> None:
    timeline = two_armed((0, ZoneOpens(PORCH)))
    assert said_about(timeline, DisplayLine.ALARM) == [PORCH]
    assert messages(timeline) == [(160, "entry door alarm")]


def test_disarming_one_area_settles_the_shared_door() -> None:
    timeline = two_armed((0, ZoneOpens(PORCH)), then=[(120, disarm())])
    assert not when(timeline, DisplayLine.ALARM)
    assert not [entry.at for entry in timeline if entry.event == Expires(Timer(TimerKind.ENTRY, 2))]
    assert Shown(DisplayLine.ARMED_AWAY, area=AreaNumber(2)) in [out for at, out in outputs(timeline) if at == 120]


def test_areas_sound_and_are_silenced_by_themselves() -> None:
    timeline = two_armed((0, ZoneTrips(WINDOW)), (1, ZoneTrips(HATCH)), then=[(110, disarm()), (120, disarm(2))])
    assert sirens(timeline) == [(100, Pattern.BURGLARY), (101, Pattern.BURGLARY), (120, Pattern.NONE)]
    told = [(out.zone, out.area) for _, out in outputs(timeline) if isinstance(out, Message)]
    assert told == []
    assert said_about(timeline, DisplayLine.NOT_SENT) == [WINDOW, HATCH]


def test_a_shared_zone_was_armed_when_its_last_area_was() -> None:
    setup = with_settings(TWO_AREAS, recent_closing=True)
    given: Given = [(0, arm()), (1000, arm(area=2)), (1100, ZoneOpens(PORCH))]
    assert messages(run(setup, given)) == [(1160, "entry door alarm"), (1160, "recent closing")]
    assert messages(run(setup, [*given[:2], (1160, ZoneOpens(PORCH))])) == [(1220, "entry door alarm")]


def test_messages_name_the_zones_area() -> None:
    timeline = two_armed((0, ZoneTrips(WINDOW)), (1, ZoneTrips(HATCH)))
    told = [(at, out.zone, out.area) for at, out in outputs(timeline) if isinstance(out, Message) and not out.restore]
    assert told == [(130, WINDOW, 1), (131, HATCH, 2)]


def test_the_bypass_of_a_shared_zone_ends_with_either_area() -> None:
    given: Given = [(0, Bypass(PORCH, IDA)), (1, arm()), (1, arm(area=2)), (100, disarm(2))]
    assert restores(run(TWO_AREAS, given)) == [(100, "zone bypass")]


def test_a_delayed_zone_of_a_disarmed_area_acts_at_once() -> None:
    """No shipped behaviour does this; a profile may make one."""
    door = zone(1, "entry-door")
    always = door.behaviour.model_copy(update={"live": frozenset(Mode)})
    setup = house(replace(door, behaviour=always))
    assert sirens(run(setup, [(0, ZoneOpens(ZoneNumber(1)))]))[0] == (
        0,
        Pattern.BURGLARY,
    )


def test_a_zone_never_confirms_its_own_alarm_whoever_gave_one_before() -> None:
    """An alarm ten hours ago, and two trips of one sensor now, were told as confirmed: that sends the police."""
    setup = house(
        zone(1, "perimeter"), zone(2, "perimeter"),
        settings=replace(CP01, confirm_window=1800, abort_window=0, swinger_limit=6),
    )  # fmt: skip
    first, second = ZoneNumber(1), ZoneNumber(2)

    def confirmed(*trips: tuple[int, ZoneNumber]) -> list[int]:
        timeline = run(setup, [(0, arm()), *((at, ZoneTrips(number)) for at, number in trips)])
        return [at for at, name in messages(timeline) if name == "confirmed alarm"]

    assert confirmed((300, first), (36_000, second), (36_300, second)) == []
    assert confirmed((300, first), (36_000, second), (36_300, first)) == [36_300]
    assert confirmed((300, first), (600, first), (900, second)) == [900]


def test_two_doors_of_one_entry_do_not_confirm_each_other() -> None:
    """A family that is late by two doors isn't a confirmed intruder; a window behind them later is."""
    doors, window = (ZoneNumber(1), ZoneNumber(2)), ZoneNumber(3)
    setup = house(
        zone(1, "entry-door"), zone(2, "entry-door"), zone(3, "perimeter"),
        settings=replace(CP01, confirm_window=1800, abort_window=0),
    )  # fmt: skip
    late = [(300, ZoneOpens(doors[0])), (305, ZoneOpens(doors[1]))]
    assert [name for _, name in messages(armed_then(setup, Mode.AWAY, *late))] == ["entry door alarm"] * 2
    behind = armed_then(setup, Mode.AWAY, *late, (900, ZoneOpens(window)))
    assert (900, "confirmed alarm") in messages(behind)


def test_exit_error_is_told_of_no_door_that_opens_afterwards() -> None:
    """Whoever comes by another door meanwhile is no slip of who left; common practice, no source."""
    setup = house(zone(1, "entry-door"), zone(2, "entry-door"), settings=replace(CP01, abort_window=0))
    given: Given = [(0, arm()), (50, ZoneOpens(ZoneNumber(1))), (62, ZoneOpens(ZoneNumber(2)))]
    told = [(out.name, out.zone) for _, out in outputs(run(setup, given)) if isinstance(out, Message)]
    assert told == [("entry door alarm", 1), ("exit error", 1), ("entry door alarm", 2)]
    timeline = run(setup, [*given, (70, disarm())])
    assert [
        out.zone for _, out in outputs(timeline) if isinstance(out, Shown) and out.line is DisplayLine.NOT_SENT
    ] == [1]


def test_exit_errors_confirm_nothing() -> None:
    """Of two people who leave one after the other; what comes in earnest is confirmed as ever."""
    settings = replace(CP01, abort_window=0, confirm_window=1800)
    doors = [zone(1, "entry-door"), zone(2, "entry-door", areas=(1, 2)), zone(3, "perimeter", areas=(2,))]
    setup = house(*doors, zone(4, "perimeter", areas=(2,)), settings=settings)
    slips: Given = [(0, arm()), (50, ZoneOpens(ZoneNumber(1))), (300, arm(area=2)), (305, ZoneOpens(ZoneNumber(2)))]
    assert "confirmed alarm" not in [name for _, name in messages(run(setup, slips, until=600))]
    given: Given = [*slips, (700, ZoneOpens(ZoneNumber(3))), (720, ZoneOpens(ZoneNumber(4)))]
    assert (720, "confirmed alarm") in messages(run(setup, given, until=800))

"""What the keypad says and the station hears is so, and what stands is told until it is over."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    COTTAGE,
    DOOR,
    GATE,
    HALL,
    IDA,
    LOUNGE,
    SMOKE,
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
from zonewright.behaviour.clockwork import Clockwork, Timeline, run
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    DisplayLine,
    Expires,
    Means,
    QuickExit,
    Shown,
    Sound,
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
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber

COVER_OFF, COVER_ON = TroubleBegins(WINDOW, Trouble.TAMPER), TroubleEnds(WINDOW, Trouble.TAMPER)


def about(timeline: Timeline, line: DisplayLine) -> list[ZoneNumber | None]:
    return [out.zone for _, out in outputs(timeline) if isinstance(out, Shown) and out.line is line]


# A cover that is off --------------------------------------------------------------------------------------------------


def test_a_cover_still_off_when_its_alarm_is_called_off_is_told_until_it_is_on() -> None:
    timeline = armed_then(COTTAGE, Mode.STAY, (0, COVER_OFF), (10, disarm()), (50, disarm()), (99, COVER_ON))
    assert messages(timeline) == [(10, "tamper")]
    assert when(timeline, DisplayLine.TAMPER) == [10, 50]
    assert restores(timeline) == [(99, "tamper")]
    assert (
        when(armed_then(COTTAGE, Mode.STAY, (0, COVER_OFF), (10, COVER_ON), (20, disarm())), DisplayLine.TAMPER) == []
    )


def test_a_cover_that_is_off_is_named_at_each_disarm_also_after_another_setting() -> None:
    again = Arm(AreaNumber(1), Mode.STAY, UserNumber(1), Means.REMOTE)
    timeline = armed_then(COTTAGE, Mode.STAY, (0, COVER_OFF), (10, disarm()), (20, again), (200, disarm()))
    assert [at for at in when(timeline, DisplayLine.TAMPER) if at != 20] == [10, 200]
    told = armed_then(COTTAGE, Mode.STAY, (0, COVER_OFF), (10, disarm()), (15, COVER_ON), (20, again), (200, disarm()))
    assert when(told, DisplayLine.TAMPER) == [10]


def test_a_cover_whose_alarm_was_sent_is_shown_at_disarming_and_not_told_twice() -> None:
    timeline = armed_then(COTTAGE, Mode.STAY, (0, COVER_OFF), (40, disarm()), (99, COVER_ON))
    assert messages(timeline) == [(30, "tamper alarm"), (40, "cancel")]
    assert when(timeline, DisplayLine.TAMPER) == [40]


def test_a_tamper_alarm_is_over_when_the_cover_is_on_and_not_before() -> None:
    timeline = armed_then(COTTAGE, Mode.STAY, (0, COVER_OFF), (500, COVER_ON))
    assert messages(timeline) == [(30, "tamper alarm")]
    assert restores(timeline) == [(500, "tamper alarm")]


def test_a_cover_taken_off_after_the_last_alarm_is_told_as_a_trouble() -> None:
    trips: Given = [(1, ZoneTrips(WINDOW)), (2, ZoneTrips(WINDOW))]
    timeline = armed_then(COTTAGE, Mode.STAY, *trips, (1000, COVER_OFF))
    assert [at for at, _ in sirens(timeline) if at >= 1000] == []
    assert when(timeline, DisplayLine.TAMPER) == [1000]
    assert (1000, "tamper") in messages(timeline)


# Still in alarm -------------------------------------------------------------------------------------------------------


def test_smoke_still_there_at_arming_is_named_with_a_tone() -> None:
    timeline = run(COTTAGE, [(0, ZoneOpens(SMOKE)), (50, disarm()), (100, arm())])
    assert about(timeline, DisplayLine.STILL_IN_ALARM) == [SMOKE]
    assert (100, Beeps(Sound.TROUBLE)) in outputs(timeline)
    assert when(timeline, DisplayLine.ARMED_AWAY) == [160]


def test_what_is_over_or_shows_nothing_is_not_named_at_arming() -> None:
    setup = house(*COTTAGE.zones, zone(9, "holdup"), zone(10, "notice"))
    given: Given = [(0, ZoneOpens(SMOKE)), (9, ZoneCloses(SMOKE)), (10, ZoneOpens(ZoneNumber(9)))]
    timeline = run(setup, [*given, (11, ZoneOpens(ZoneNumber(10))), (50, disarm()), (100, arm())])
    assert about(timeline, DisplayLine.STILL_IN_ALARM) == []


# Bypasses -------------------------------------------------------------------------------------------------------------

SHARED, BACK = ZoneNumber(8), ZoneNumber(9)
TWO = house(*COTTAGE.zones, zone(SHARED, "perimeter", areas=(1, 2)), zone(BACK, "perimeter", areas=(2,)))
CLEANER, BERTIL = UserNumber(5), UserNumber(6)
RIGHTS: Setup = replace(
    TWO,
    may=frozenset(
        {(CLEANER, frozenset({AreaNumber(1)})), (BERTIL, frozenset({AreaNumber(1), AreaNumber(2)}))},
    ),
)


@pytest.mark.parametrize(
    ("number", "user", "line"),
    [
        (WINDOW, CLEANER, DisplayLine.BYPASSED),
        (BACK, CLEANER, DisplayLine.NO_RIGHT),
        (SHARED, CLEANER, DisplayLine.NO_RIGHT),
        (SHARED, BERTIL, DisplayLine.BYPASSED),
        (BACK, IDA, DisplayLine.BYPASSED),
        (SMOKE, CLEANER, DisplayLine.CANT_BYPASS),
    ],
)
def test_a_bypass_asks_for_the_right_to_every_area_of_the_zone(
    number: ZoneNumber, user: UserNumber, line: DisplayLine
) -> None:
    timeline = run(RIGHTS, [(0, Bypass(number, user))])
    assert lines(timeline) == [(0, line)]
    assert ((0, Beeps(Sound.REFUSED)) in outputs(timeline)) is (line is not DisplayLine.BYPASSED)


def test_a_bypass_is_taken_back_by_whoever_may_set_the_area() -> None:
    given: Given = [(0, Bypass(BACK, BERTIL)), (5, Unbypass(BACK, CLEANER)), (9, arm(area=2))]
    assert lines(run(RIGHTS, given))[1] == (5, DisplayLine.NO_RIGHT)
    assert when(run(RIGHTS, [*given, (100, ZoneTrips(BACK))]), DisplayLine.ALARM) == []
    back = run(RIGHTS, [(0, Bypass(BACK, BERTIL)), (5, Unbypass(BACK, BERTIL)), (9, arm(area=2))])
    assert when(back, DisplayLine.NO_RIGHT) == []


def test_what_can_never_be_bypassed_is_not_said_to_be_so_only_now() -> None:
    assert lines(run(COTTAGE, [(0, Bypass(SMOKE, IDA))])) == [(0, DisplayLine.CANT_BYPASS)]
    armed = armed_then(COTTAGE, Mode.STAY, (0, Bypass(WINDOW, IDA)))
    assert lines(armed) == [(0, DisplayLine.ARMED_STAY), (0, DisplayLine.CANT_BYPASS_NOW)]


# Leaving --------------------------------------------------------------------------------------------------------------


def test_a_door_left_open_is_told_what_helps_and_closing_it_does_not() -> None:
    given: Given = [(0, arm()), (10, ZoneOpens(DOOR))]
    assert "close" not in DisplayLine.EXIT_ERROR.value
    closed = run(COTTAGE, [*given, (65, ZoneCloses(DOOR))])
    assert when(closed, DisplayLine.EXIT_ERROR) == [60]
    assert when(closed, DisplayLine.ALARM) == [90]
    assert when(run(COTTAGE, [*given, (65, disarm())]), DisplayLine.ALARM) == []


@pytest.mark.parametrize("mode", [Mode.STAY, Mode.NIGHT])
def test_a_quick_exit_frees_the_door_in_stay_and_at_night(mode: Mode) -> None:
    timeline = armed_then(COTTAGE, mode, (100, QuickExit(AreaNumber(1), IDA)), (110, ZoneTrips(DOOR)))
    assert when(timeline, DisplayLine.ARMING) == [100]
    assert when(timeline, DisplayLine.ALARM) == []


@pytest.mark.parametrize(("plain", "silent"), [(45, 90), (200, 255), (300, 300)])
def test_a_silent_exit_is_never_shorter_than_the_plain_one(plain: int, silent: int) -> None:
    setup = with_settings(COTTAGE, exit_time=plain)
    assert when(run(setup, [(0, arm())]), DisplayLine.ARMED_AWAY) == [plain]
    assert when(run(setup, [(0, arm(silent=True))]), DisplayLine.ARMED_AWAY) == [silent]


# What the station hears -----------------------------------------------------------------------------------------------


def test_arming_is_a_closing_and_disarming_an_opening() -> None:
    setup = with_settings(COTTAGE, openings=True)
    assert messages(run(setup, [(0, arm()), (500, disarm())])) == [(0, "closing"), (500, "opening")]


def test_no_restore_goes_where_the_station_is_told_of_none() -> None:
    setup = with_settings(COTTAGE, restores=False, abort_window=0)
    given: Given = [(0, ZoneOpens(WINDOW)), (5, ZoneCloses(WINDOW)), (9, COVER_OFF), (20, COVER_ON)]
    timeline = armed_then(setup, Mode.AWAY, *given)
    assert [name for _, name in messages(timeline)] == ["perimeter alarm", "tamper alarm"]
    assert restores(timeline) == []
    assert len(restores(armed_then(with_settings(setup, restores=True), Mode.AWAY, *given))) == 2


def test_alarm_memory_outlives_arming_in_another_mode() -> None:
    given: Given = [(0, ZoneTrips(WINDOW)), (300, arm(Mode.AWAY)), (500, disarm())]
    assert about(armed_then(COTTAGE, Mode.STAY, *given), DisplayLine.MEMORY) == [WINDOW]


# Timers ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", TimerKind)
def test_a_timer_that_does_not_run_never_ends(kind: TimerKind) -> None:
    panel = Clockwork(COTTAGE)
    panel.give(ZoneOpens(LOUNGE))
    for number in (0, 1, HALL, GATE):
        done = step(COTTAGE, panel.control, Expires(Timer(kind, number)))
        assert (done.control, done.outputs, done.starts) == (panel.control, (), ())


def test_every_armed_mode_is_reached_by_keypad_and_by_remote() -> None:
    ends = {Mode.STAY: DisplayLine.ARMED_STAY, Mode.NIGHT: DisplayLine.ARMED_NIGHT, Mode.AWAY: DisplayLine.ARMED_AWAY}
    for mode, line in ends.items():
        for means in (Means.KEYPAD, Means.REMOTE):
            timeline = run(COTTAGE, [(0, arm(mode, means)), (5, ZoneTrips(DOOR))])
            assert when(timeline, line) == [60]

"""False-alarm reduction: what ANSI/SIA CP-01 asks of a panel, each at its limit, one second before and one after.

Source: ANSI/SIA CP-01 (2000 to 2019), never read whole. Each test names its mark: "seen" is a second-hand reading
(trade press, committee drafts and minutes), "from memory" is knowledge of the document without reading it. At the very
second an expiry comes first: that is this program's choice and no clause.
"""

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
    sirens,
    when,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import Timeline, run
from zonewright.behaviour.events import (
    Beeps,
    DisplayLine,
    Expires,
    Means,
    Message,
    PowerReturns,
    Sound,
    Timer,
    TimerKind,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber

KEYPAD = arm(means=Means.KEYPAD)
QUIET_48_H = 48 * 3600


def exit_ends(timeline: Timeline) -> list[int]:
    return [entry.at for entry in timeline if entry.event == Expires(Timer(TimerKind.EXIT, 1))]


# Exit time ------------------------------------------------------------------------------------------------------------


def test_exit_time_starts_again_once_when_the_door_opens_again() -> None:
    """Clause 4.2.2.3, seen; once only: from memory."""
    back: Given = [
        (0, KEYPAD),
        (40, ZoneOpens(DOOR)),
        (45, ZoneCloses(DOOR)),
        (50, ZoneOpens(DOOR)),
        (55, ZoneCloses(DOOR)),
    ]
    assert exit_ends(run(COTTAGE, back)) == [110]
    again = [*back, (100, ZoneOpens(DOOR)), (105, ZoneCloses(DOOR))]
    assert exit_ends(run(COTTAGE, again)) == [110]
    assert when(run(COTTAGE, again), DisplayLine.ALARM) == []


@pytest.mark.parametrize(("second_opening", "ends"), [(59, 119), (60, 60), (61, 60)])
def test_exit_time_starts_again_only_before_its_end(second_opening: int, ends: int) -> None:
    """Clause 4.2.2.3, seen."""
    given: Given = [(0, KEYPAD), (40, ZoneOpens(DOOR)), (45, ZoneCloses(DOOR)), (second_opening, ZoneTrips(DOOR))]
    assert exit_ends(run(COTTAGE, given))[-1] == ends


def test_one_opening_alone_does_not_start_exit_time_again() -> None:
    assert exit_ends(run(COTTAGE, [(0, KEYPAD), (50, ZoneOpens(DOOR)), (55, ZoneCloses(DOOR))])) == [60]


def test_exit_restart_can_be_switched_off() -> None:
    """An option about switching it came with the 2010 revision, seen."""
    setup = with_settings(COTTAGE, exit_restart=False)
    given: Given = [(0, KEYPAD), (40, ZoneTrips(DOOR)), (50, ZoneTrips(DOOR))]
    assert exit_ends(run(setup, given)) == [60]


@pytest.mark.parametrize(
    ("exit_time", "ends"), [(45, 90), (60, 120), (126, 252), (127, 254), (128, 255), (129, 255), (254, 255), (255, 255)]
)
def test_silent_exit_has_twice_the_time_and_never_over_255_seconds(exit_time: int, ends: int) -> None:
    """Committee minutes, seen."""
    setup = with_settings(COTTAGE, exit_time=exit_time)
    timeline = run(setup, [(0, arm(means=Means.KEYPAD, silent=True)), (10, ZoneTrips(DOOR))])
    assert exit_ends(timeline) == [ends]
    assert not [output for _, output in outputs(timeline) if isinstance(output, Beeps)]


def test_silent_exit_holds_for_that_exit_only() -> None:
    """Committee minutes, seen."""
    given: Given = [(0, arm(means=Means.KEYPAD, silent=True)), (10, ZoneTrips(DOOR)), (200, disarm()), (300, arm())]
    assert exit_ends(run(COTTAGE, given)) == [120, 360]


def test_exit_and_entry_beeps_are_faster_in_the_last_ten_seconds() -> None:
    """From memory."""
    timeline = run(COTTAGE, [(0, arm()), (100, ZoneOpens(DOOR))])
    beeps = [(at, output.sound) for at, output in outputs(timeline) if isinstance(output, Beeps)]
    assert beeps[1:] == [
        (0, Sound.EXIT),
        (50, Sound.EXIT_LAST_TEN),
        (100, Sound.ENTRY),
        (120, Sound.ENTRY_LAST_TEN),
    ]


# Exit error -----------------------------------------------------------------------------------------------------------

LEFT_OPEN: Given = [(0, KEYPAD), (50, ZoneOpens(DOOR))]


def test_exit_error_sounds_here_and_starts_the_entry_time() -> None:
    """From memory."""
    timeline = run(COTTAGE, LEFT_OPEN, until=89)
    assert sirens(timeline) == [(60, Pattern.BURGLARY)]
    assert (60, Beeps(Sound.ENTRY)) in outputs(timeline)
    assert messages(timeline) == []


@pytest.mark.parametrize(
    ("opens", "error"),
    [(59, True), (60, False), (61, False)],
)
def test_exit_error_asks_whether_the_door_is_open_when_exit_time_ends(opens: int, error: bool) -> None:
    """From memory."""
    timeline = run(COTTAGE, [(0, arm()), (opens, ZoneOpens(DOOR))])
    assert bool(when(timeline, DisplayLine.EXIT_ERROR)) is error


@pytest.mark.parametrize("disarmed", [75, 89, 90, 91, 119])
def test_exit_error_put_right_sends_nothing_and_says_so(disarmed: int) -> None:
    """Disarmed in the entry time, then in the abort window; from memory."""
    timeline = run(COTTAGE, [*LEFT_OPEN, (disarmed, disarm())])
    assert messages(timeline) == []
    assert when(timeline, DisplayLine.NOT_SENT) == [disarmed]
    assert when(timeline, DisplayLine.ALARM) == ([] if disarmed < 90 else [90])


@pytest.mark.parametrize("disarmed", [120, 121])
def test_exit_error_is_sent_with_the_alarm_when_the_abort_window_has_run_out(disarmed: int) -> None:
    """From memory; message with code 374."""
    timeline = run(COTTAGE, [*LEFT_OPEN, (disarmed, disarm())])
    assert messages(timeline) == [(120, "entry door alarm"), (120, "exit error"), (disarmed, "cancel")]


def test_exit_error_without_an_abort_window_is_sent_at_once() -> None:
    setup = with_settings(COTTAGE, abort_window=0)
    assert messages(run(setup, LEFT_OPEN)) == [(90, "entry door alarm"), (90, "exit error")]


# Unvacated premises ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("leaves", "mode"), [(None, Mode.STAY), (59, Mode.AWAY), (60, Mode.STAY), (61, Mode.STAY)])
def test_nobody_left_so_it_arms_stay(leaves: int | None, mode: Mode) -> None:
    """From memory."""
    given: Given = [(0, KEYPAD), *([(leaves, ZoneTrips(DOOR))] if leaves else [])]
    timeline = run(COTTAGE, given)
    assert when(timeline, DisplayLine.NOBODY_LEFT) == ([60] if mode is Mode.STAY else [])
    assert when(timeline, DisplayLine.ARMED_AWAY) == ([] if mode is Mode.STAY else [60])


def test_interior_zones_are_free_when_nobody_left() -> None:
    """From memory."""
    timeline = run(COTTAGE, [(0, KEYPAD), (61, ZoneTrips(HALL)), (62, ZoneTrips(LOUNGE))])
    assert sirens(timeline) == []


@pytest.mark.parametrize("means", [Means.REMOTE, Means.SWITCH])
def test_unvacated_premises_is_asked_at_a_keypad_only(means: Means) -> None:
    """From memory."""
    assert when(run(COTTAGE, [(0, arm(means=means))]), DisplayLine.ARMED_AWAY) == [60]


def test_arming_by_a_remote_is_confirmed() -> None:
    """From memory."""
    assert (0, Beeps(Sound.CONFIRM)) in outputs(run(COTTAGE, [(0, arm())]))
    assert (0, Beeps(Sound.CONFIRM)) not in outputs(run(COTTAGE, [(0, KEYPAD)]))


# Entry time -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("disarmed", "sounds"), [(29, False), (30, True), (31, True)])
def test_entry_time_runs_its_whole_length(disarmed: int, sounds: bool) -> None:
    """30 s to 4 min, from memory."""
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneOpens(DOOR)), (disarmed, disarm()))
    assert bool(sirens(timeline)) is sounds
    assert messages(timeline) == []


def test_entry_progress_is_audible() -> None:
    """Clause 4.2.3.2, seen."""
    timeline = armed_then(COTTAGE, Mode.AWAY, (5, ZoneOpens(DOOR)), (10, disarm()))
    assert (5, Beeps(Sound.ENTRY)) in outputs(timeline)


# Abort window ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("window", [15, 30, 45])
@pytest.mark.parametrize(("late", "sent"), [(-1, False), (0, True), (1, True)])
def test_disarmed_in_the_abort_window_sends_nothing(window: int, late: int, sent: bool) -> None:
    """15 to 45 s, seen; the keypad says that nothing went, from memory."""
    setup = with_settings(COTTAGE, abort_window=window)
    timeline = armed_then(setup, Mode.STAY, (0, ZoneOpens(WINDOW)), (window + late, disarm()))
    assert sirens(timeline)[0] == (0, Pattern.BURGLARY)
    expected = [(window, "perimeter alarm"), (window + late, "cancel")] if sent else []
    assert messages(timeline) == expected
    assert when(timeline, DisplayLine.NOT_SENT) == ([] if sent else [window + late])
    assert when(timeline, DisplayLine.CANCEL_SENT) == ([window + late] if sent else [])


def test_abort_window_may_be_switched_off() -> None:
    """2010 on, seen."""
    timeline = armed_then(with_settings(COTTAGE, abort_window=0), Mode.STAY, (7, ZoneOpens(WINDOW)))
    assert messages(timeline) == [(7, "perimeter alarm")]


def test_fire_never_waits() -> None:
    """Seen; carbon monoxide, medical and hold-up alike, from memory."""
    zones = [zone(n, name) for n, name in enumerate(("fire", "carbon-monoxide", "gas", "medical", "holdup"), start=1)]
    for one in zones:
        timeline = armed_then(house(*zones), Mode.AWAY, (3, ZoneOpens(one.number)), (4, disarm()))
        assert messages(timeline) == [(3, one.behaviour.alarm)]
        assert not when(timeline, DisplayLine.NOT_SENT)


def test_abort_window_is_set_by_zone() -> None:
    """From memory."""
    setup = house(zone(1, "entry-door"), zone(2, "perimeter", message_waits=False))
    assert messages(armed_then(setup, Mode.AWAY, (0, ZoneOpens(ZoneNumber(2)))))[0] == (0, "perimeter alarm")


# Cancel window --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("window", [300, 600])
@pytest.mark.parametrize(("late", "cancelled"), [(-1, True), (0, False), (1, False)])
def test_disarmed_in_the_cancel_window_cancels(window: int, late: int, cancelled: bool) -> None:
    """At least 5 min from the message, and told to the user; from memory."""
    setup = with_settings(COTTAGE, cancel_window=window, openings=True)
    at = 30 + window + late
    timeline = armed_then(setup, Mode.STAY, (0, ZoneOpens(WINDOW)), (at, disarm()))
    sent = messages(timeline)[-3:]
    assert ((at, "cancel") in sent) is cancelled
    assert (at, "opening") in sent
    assert when(timeline, DisplayLine.CANCEL_SENT) == ([at] if cancelled else [])


def test_cancel_names_who_disarmed() -> None:
    timeline = armed_then(COTTAGE, Mode.STAY, (0, ZoneOpens(WINDOW)), (40, disarm()))
    cancel = next(out for _, out in outputs(timeline) if isinstance(out, Message) and out.name == "cancel")
    assert cancel.user == IDA


def test_a_hold_up_can_not_be_cancelled() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneTrips(ZoneNumber(7))), (5, disarm()))
    assert messages(timeline) == [(0, "hold-up alarm")]


# Recent closing -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("at", "recent"), [(119, True), (120, False), (121, False)])
def test_an_alarm_within_two_minutes_of_arming_says_so(at: int, recent: bool) -> None:
    """From memory; message with code 459 and the user who armed."""
    timeline = armed_then(with_settings(COTTAGE, recent_closing=True), Mode.STAY, (at, ZoneOpens(WINDOW)))
    said = [out for _, out in outputs(timeline) if isinstance(out, Message) and out.name == "recent closing"]
    assert bool(said) is recent
    assert all(out.user == IDA for out in said)


@pytest.mark.parametrize("behaviour", ["fire", "carbon-monoxide", "medical", "holdup", "environment"])
def test_what_is_no_slip_at_the_door_does_not_say_so(behaviour: str) -> None:
    """A choice: nobody shall take a fire for a slip."""
    setup = with_settings(house(zone(1, behaviour), zone(2, "entry-door")), recent_closing=True)
    timeline = armed_then(setup, Mode.STAY, (5, ZoneOpens(ZoneNumber(1))))
    assert len(messages(timeline)) == 1


# Swinger shutdown -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("limit", [1, 2, 3, 6])
def test_a_zone_is_shut_out_after_its_limit_of_alarms(limit: int) -> None:
    """1 to 6, default 2, from 2010, seen."""
    setup = with_settings(COTTAGE, swinger_limit=limit)
    trips = [(1000 * n, ZoneTrips(WINDOW)) for n in range(1, limit + 2)]
    timeline = armed_then(setup, Mode.STAY, *trips)
    assert when(timeline, DisplayLine.ALARM) == [at for at, _ in trips[:limit]]
    assert [at for at, name in messages(timeline)] == [at + 30 for at, _ in trips[:limit]]
    assert [at for at, pattern in sirens(timeline) if pattern is Pattern.BURGLARY] == [at for at, _ in trips[:limit]]


def test_a_shut_out_zone_leaves_the_others_as_they_are() -> None:
    """From memory."""
    trips = [(n, ZoneTrips(WINDOW)) for n in (10, 20, 30)]
    timeline = armed_then(COTTAGE, Mode.AWAY, *trips, (400, ZoneTrips(LOUNGE)))
    assert when(timeline, DisplayLine.ALARM) == [10, 20, 400]


def test_a_shut_out_zone_is_restored_at_disarm() -> None:
    """From memory."""
    trips = [(n, ZoneTrips(WINDOW)) for n in (10, 20, 30)]
    then: Given = [(200, disarm()), (300, arm()), (400, ZoneTrips(WINDOW))]
    timeline = run(COTTAGE, [(0, arm()), *((60 + at, trip) for at, trip in trips), *then])
    assert when(timeline, DisplayLine.ALARM) == [70, 80, 400]


@pytest.mark.parametrize(("late", "alarms"), [(-1, 2), (0, 3), (1, 3)])
def test_a_shut_out_zone_is_restored_after_48_quiet_hours(late: int, alarms: int) -> None:
    """From memory."""
    trips = [(n, ZoneTrips(WINDOW)) for n in (10, 20, 20 + QUIET_48_H + late)]
    assert len(when(armed_then(COTTAGE, Mode.STAY, *trips), DisplayLine.ALARM)) == alarms


def test_a_trip_of_the_shut_out_zone_is_not_quiet() -> None:
    """From memory."""
    trips = [(n, ZoneTrips(WINDOW)) for n in (10, 20, 1000)]
    too_soon, quiet = (20 + QUIET_48_H, ZoneTrips(WINDOW)), (1000 + QUIET_48_H, ZoneTrips(WINDOW))
    assert when(armed_then(COTTAGE, Mode.STAY, *trips, too_soon), DisplayLine.ALARM) == [10, 20]
    assert when(armed_then(COTTAGE, Mode.STAY, *trips, quiet), DisplayLine.ALARM) == [10, 20, 1000 + QUIET_48_H]


@pytest.mark.parametrize("behaviour", ["fire", "carbon-monoxide", "gas", "medical", "holdup", "panic-audible"])
def test_life_safety_medical_and_hold_up_are_never_shut_out(behaviour: str) -> None:
    """From memory."""
    setup = with_settings(house(zone(1, behaviour)), swinger_limit=1)
    trips = [(n, ZoneTrips(ZoneNumber(1))) for n in (10, 20, 30)]
    assert [at for at, _ in messages(armed_then(setup, Mode.AWAY, *trips))] == [10, 20, 30]


# Siren, and the rest --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("minutes", [4, 15])
def test_siren_is_cut_off_in_its_time(minutes: int) -> None:
    """4 min or more in household listings, from memory."""
    timeline = armed_then(with_settings(COTTAGE, siren_time=60 * minutes), Mode.STAY, (0, ZoneOpens(WINDOW)))
    assert sirens(timeline) == [(0, Pattern.BURGLARY), (60 * minutes, Pattern.NONE)]


@pytest.mark.parametrize("at", [0, 239, 240, 241])
def test_fire_comes_before_a_burglary_even_if_that_came_first(at: int) -> None:
    """NFPA 72-2007 ch. 11 (now 29), seen second-hand."""
    given: Given = [(0, ZoneOpens(WINDOW)), (at, ZoneOpens(SMOKE)), (at + 5, ZoneOpens(LOUNGE))]
    timeline = armed_then(COTTAGE, Mode.AWAY, *given)
    assert (at, Pattern.FIRE) in sirens(timeline)
    assert [pattern for second, pattern in sirens(timeline) if second > at] == [Pattern.NONE]


def test_nothing_of_all_this_touches_a_notice_zone() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, *((n, ZoneTrips(GATE)) for n in range(0, 500, 100)))
    assert messages(timeline) == []
    assert sirens(timeline) == []
    assert len([line for line in lines(timeline) if line[1] is DisplayLine.OPENED]) == 5


# Power back after a total loss ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("at", "sounds"), [(30, False), (59, False), (60, True), (61, True)])
def test_power_back_while_armed(at: int, sounds: bool) -> None:
    """Clause 4.4.3 of a committee draft, seen: same arm state, same bypasses, sensors ignored for at least 60 s."""
    setup = with_settings(COTTAGE, warm_up=60)
    timeline = armed_then(setup, Mode.AWAY, (600, PowerReturns()), (600 + at, ZoneTrips(LOUNGE)))
    assert bool(sirens(timeline)) is sounds


# Cross-zoning ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("later", "alarms"), [(59, 1), (60, 0), (61, 0)])
def test_both_zones_of_a_pair_within_the_window(later: int, alarms: int) -> None:
    """The pair: from memory. 60 s is a choice; 30 s to 5 min common practice, no source."""
    hall, lounge = (replace(zone(n, "interior"), crosses=frozenset({ZoneNumber(3 - n)})) for n in (1, 2))
    setup = with_settings(house(hall, lounge), cross_window=60)
    timeline = armed_then(setup, Mode.AWAY, (0, ZoneTrips(hall.number)), (later, ZoneTrips(lounge.number)))
    assert len(when(timeline, DisplayLine.ALARM)) == alarms


# Duress ---------------------------------------------------------------------------------------------------------------


def test_duress_is_not_offered_by_default() -> None:
    """From memory."""
    assert COTTAGE.duress == frozenset()
    assert messages(run(COTTAGE, [(0, disarm())])) == []

"""An exit time that runs out sets nothing, where the panel asks for an act that completes setting.

Source: BS 8243 6.3, from memory: a system that may call the police is set by a final door, a push outside or a lock,
never by time alone; who fails to set is told by sound.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    COTTAGE,
    DOOR,
    HALL,
    IDA,
    WINDOW,
    Given,
    arm,
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
    DisplayLine,
    Means,
    Message,
    Sound,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.panel.behaviours import Mode, Pattern

LAST_DOOR = replace(COTTAGE, zones=(zone(DOOR, "final-door", "front door"), *COTTAGE.zones[1:]))
ASKED = with_settings(LAST_DOOR, completing_act=True, openings=True, unvacated_stay=True)
BY_KEYPAD = arm(means=Means.KEYPAD)


def left(setup: Setup, *later: tuple[int, ZoneOpens | ZoneCloses | ZoneTrips], means: Means = Means.KEYPAD) -> Timeline:
    """Armed away at 0, exit time 60 s."""
    return run(setup, [(0, arm(means=means)), *later], until=200)


def fails_at(timeline: Timeline) -> list[int]:
    """The seconds at which setting fails: heard, shown and told alike."""
    heard = [at for at, out in outputs(timeline) if out == Beeps(Sound.REFUSED)]
    told = [at for at, name in messages(timeline) if name == "failed to set"]
    assert heard == told == when(timeline, DisplayLine.NOT_SET)
    return heard


@pytest.mark.parametrize(("shut", "sets"), [(59, 59), (60, None), (61, None)])
def test_the_last_door_sets_it_up_to_the_end_of_the_exit_time(shut: int, sets: int | None) -> None:
    """At the very second expiries come first (a choice of the clockwork)."""
    timeline = left(ASKED, (20, ZoneOpens(DOOR)), (shut, ZoneCloses(DOOR)))
    assert when(timeline, DisplayLine.ARMED_AWAY) == ([] if sets is None else [sets])
    assert fails_at(timeline) == ([60] if sets is None else [])


def test_without_the_act_it_fails_and_is_off() -> None:
    timeline = left(ASKED, (150, ZoneTrips(WINDOW)))
    assert fails_at(timeline) == [60]
    assert sirens(timeline) == []
    assert (60, Message("failed to set", AreaNumber(1), user=IDA)) in outputs(timeline)
    assert DisplayLine.NOBODY_LEFT not in [line for _, line in lines(timeline)]


def test_a_door_left_open_is_no_exit_error_but_a_failure_to_set() -> None:
    timeline = left(ASKED, (20, ZoneOpens(DOOR)))
    assert fails_at(timeline) == [60]
    assert when(timeline, DisplayLine.EXIT_ERROR) == []
    assert sirens(timeline) == []


def test_a_push_completes_it_and_an_entry_door_does_not() -> None:
    assert when(left(ASKED, (30, ZoneTrips(DOOR))), DisplayLine.ARMED_AWAY) == [30]
    plain = with_settings(COTTAGE, completing_act=True, openings=True)
    assert fails_at(left(plain, (30, ZoneTrips(DOOR)))) == [60]


@pytest.mark.parametrize("means", [Means.REMOTE, Means.SWITCH])
def test_whoever_sets_from_outside_has_completed_it(means: Means) -> None:
    timeline = left(ASKED, means=means)
    assert fails_at(timeline) == []
    assert when(timeline, DisplayLine.ARMED_AWAY) == [60]


@pytest.mark.parametrize(("mode", "line"), [(Mode.STAY, DisplayLine.ARMED_STAY), (Mode.NIGHT, DisplayLine.ARMED_NIGHT)])
def test_who_stays_in_needs_no_door(mode: Mode, line: DisplayLine) -> None:
    timeline = run(ASKED, [(0, arm(mode, Means.KEYPAD))], until=200)
    assert fails_at(timeline) == []
    assert when(timeline, line) == [60]


def test_a_panel_that_does_not_ask_for_it_sets_by_time() -> None:
    timeline = left(with_settings(ASKED, completing_act=False, unvacated_stay=False))
    assert fails_at(timeline) == []
    assert when(timeline, DisplayLine.ARMED_AWAY) == [60]


def test_a_bypass_for_the_period_that_never_was_is_over() -> None:
    given: Given = [(0, Bypass(WINDOW, IDA)), (1, BY_KEYPAD), (80, arm()), (150, ZoneTrips(WINDOW))]
    timeline = run(ASKED, given, until=300)
    assert (61, "zone bypass") in restores(timeline)
    assert sirens(timeline)[0] == (150, Pattern.BURGLARY)


def test_an_alarm_of_the_exit_time_goes_on() -> None:
    timeline = left(ASKED, (58, ZoneTrips(WINDOW)))
    assert fails_at(timeline) == [60]
    assert sirens(timeline) == [(58, Pattern.BURGLARY)]
    assert (88, "perimeter alarm") in messages(timeline)


def test_of_two_areas_only_the_one_that_was_left_is_set() -> None:
    two = house(zone(DOOR, "final-door", "front door"), zone(HALL, "interior", areas=[2]), settings=ASKED.settings)
    given: Given = [(0, BY_KEYPAD), (0, arm(area=2, means=Means.KEYPAD)), (30, ZoneTrips(DOOR))]
    timeline = run(two, given, until=200)
    assert when(timeline, DisplayLine.ARMED_AWAY) == [30]
    assert fails_at(timeline) == [60]

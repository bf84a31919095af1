"""Duress: in nothing but its message different from a plain disarm."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from tests.behaviour.house import COTTAGE, DOOR, IDA, WINDOW, Given, arm, disarm, messages, outputs, with_settings
from tests.behaviour.test_step_properties import acts, areas, some_house, walk
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import Disarm, Message, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.behaviour.step import step

UNDER_DURESS = replace(COTTAGE, duress=frozenset({IDA}))
BERTIL = UserNumber(2)


def test_the_station_hears_of_it_in_the_same_second() -> None:
    timeline = run(UNDER_DURESS, [(0, arm()), (100, disarm())])
    assert messages(timeline) == [(100, "duress")]
    told = next(out for _, out in outputs(timeline) if isinstance(out, Message))
    assert (told.area, told.zone, told.user) == (1, None, IDA)


def test_another_slot_is_no_duress() -> None:
    assert messages(run(UNDER_DURESS, [(0, arm()), (100, Disarm(AreaNumber(1), BERTIL))])) == []


def test_it_is_told_where_the_area_was_disarmed_already() -> None:
    assert messages(run(UNDER_DURESS, [(5, disarm())])) == [(5, "duress")]


def test_it_does_not_wait_and_calls_off_what_a_code_calls_off() -> None:
    given: Given = [(0, arm()), (100, ZoneTrips(WINDOW)), (110, disarm())]
    assert messages(run(UNDER_DURESS, given)) == [(110, "duress")]


def test_it_cancels_what_a_code_cancels() -> None:
    given: Given = [(0, arm()), (100, ZoneTrips(DOOR)), (200, disarm())]
    assert [name for _, name in messages(run(UNDER_DURESS, given))] == ["entry door alarm", "cancel", "duress"]


def test_nobody_is_told_where_nobody_is_to_be_told() -> None:
    assert messages(run(with_settings(UNDER_DURESS, told=False), [(0, arm()), (100, disarm())])) == []


@given(some_house(), acts, areas, st.booleans())
def test_in_every_state_nothing_else_is_seen_heard_or_changed(
    setup: Setup, given: Given, area: AreaNumber, told: bool
) -> None:
    plain = replace(setup, duress=frozenset(), settings=replace(setup.settings, told=told))
    control = walk(plain, given)[-1].done.control
    free = step(plain, control, Disarm(area, IDA))
    forced = step(replace(plain, duress=frozenset({IDA})), control, Disarm(area, IDA))
    extra = (Message("duress", area, user=IDA),) if told else ()
    assert forced == replace(free, outputs=(*free.outputs, *extra))

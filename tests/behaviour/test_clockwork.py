"""Time: what comes first, what is due, and the books."""

from __future__ import annotations

from dataclasses import replace

from tests.behaviour.house import COTTAGE, DOOR, WINDOW, arm, disarm, house, zone
from zonewright.behaviour.clockwork import Clockwork, bookkeeping_faults, run
from zonewright.behaviour.events import Expires, Timer, TimerKind, ZoneOpens
from zonewright.behaviour.state import Control, Phase
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber


def test_expiries_come_before_what_is_given_at_the_same_second() -> None:
    events = [entry.event for entry in run(COTTAGE, [(0, arm()), (60, disarm())])]
    assert events[-2:] == [Expires(Timer(TimerKind.EXIT, 1)), disarm()]


def test_expiries_of_one_second_come_by_area_then_by_name() -> None:
    setup = house(
        zone(2, "perimeter", areas=(2,), supervise=True, message_waits=False),
        zone(9, "perimeter", areas=(1,), supervise=True),
        zone(1, "perimeter", areas=(2,), supervise=True),
    )
    setup = replace(setup, settings=replace(setup.settings, supervision_window=60))
    timeline = run(setup, [(0, arm(area=2)), (0, arm(area=1))], until=60)
    at_60 = [str(entry.event.timer) for entry in timeline if entry.at == 60 and isinstance(entry.event, Expires)]
    assert at_60 == ["exit:1", "missing:9", "exit:2", "missing:1", "missing:2"]


def test_given_events_of_one_second_keep_their_order() -> None:
    assert [entry.event for entry in run(COTTAGE, [(5, disarm()), (5, arm()), (0, arm(Mode.STAY))], until=5)] == [
        arm(Mode.STAY),
        disarm(),
        arm(),
    ]


def test_an_expiry_that_stops_another_of_the_same_second_wins() -> None:
    setup = house(zone(1, "entry-door", areas=(1, 2)))
    timeline = run(setup, [(0, arm()), (0, arm(area=2)), (100, ZoneOpens(ZoneNumber(1)))])
    expired = [str(entry.event.timer) for entry in timeline if entry.at == 130 and isinstance(entry.event, Expires)]
    assert expired == ["entry:1"]


def test_a_copy_goes_its_own_way() -> None:
    panel = Clockwork(COTTAGE)
    panel.give(arm())
    twin = panel.copy()
    panel.give(disarm())
    twin.rest()
    assert panel.now == 0
    assert panel.control.areas[0].phase is Phase.REST
    assert twin.now == 60
    assert twin.control.areas[0].phase is Phase.SET


def test_time_passes_without_anything_due() -> None:
    panel = Clockwork(COTTAGE)
    assert panel.advance(1000) == []
    assert panel.now == 1000
    assert panel.at_rest


def test_rest_does_not_wait_for_days() -> None:
    setup = house(zone(WINDOW, "perimeter", supervise=True), zone(DOOR, "entry-door"))
    panel = Clockwork(setup)
    panel.give(arm())
    panel.rest()
    panel.give(ZoneOpens(WINDOW))
    panel.rest()
    assert panel.now < 1000
    assert {timer.kind for timer in panel.due} == {TimerKind.MISSING, TimerKind.SWINGER_RESET}


def test_wrong_books_are_found() -> None:
    before = Clockwork(COTTAGE).control
    done = step(COTTAGE, before, arm())
    assert bookkeeping_faults(COTTAGE, before, arm(), done) == []
    lost = replace(done, starts=done.starts[1:])
    assert bookkeeping_faults(COTTAGE, before, arm(), lost) == [
        "the running timers don't follow from stops, expiries and starts"
    ]
    never_ran = replace(done, stops=frozenset({Timer(TimerKind.SIREN, 0)}))
    assert "a timer is stopped that didn't run" in bookkeeping_faults(COTTAGE, before, arm(), never_ran)
    zero = replace(done, starts=tuple((timer, 0) for timer, _ in done.starts))
    assert "a time isn't a positive whole number of seconds" in bookkeeping_faults(COTTAGE, before, arm(), zero)
    left_over = replace(done, control=replace(done.control, areas=before.areas))
    assert "area 1: exit timer and phase differ" in bookkeeping_faults(COTTAGE, before, arm(), left_over)


def test_a_time_that_ends_before_its_last_ten_seconds_leaves_no_beeps_behind() -> None:
    """It can't in the clockwork; a proof lets timers that it doesn't follow end at any moment."""
    for before, event in (
        (step(COTTAGE, Clockwork(COTTAGE).control, arm()).control, Expires(Timer(TimerKind.EXIT, 1))),
        (step(COTTAGE, _armed(), ZoneOpens(DOOR)).control, Expires(Timer(TimerKind.ENTRY, 1))),
    ):
        assert Timer(TimerKind.LAST_TEN, 1) in before.running
        done = step(COTTAGE, before, event)
        assert bookkeeping_faults(COTTAGE, before, event, done) == []


def _armed() -> Control:
    panel = Clockwork(COTTAGE)
    panel.give(arm())
    panel.rest()
    return panel.control

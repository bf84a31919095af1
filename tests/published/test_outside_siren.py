"""The outside siren is silent while nothing is set, where the panel keeps to that.

Source: EN 50131-1:2006 note 5 to table 7, seen: the panel never drives an external warning device while unset, except
by that device's own tamper. Fire and gas sound outside all the same: a choice, they are no burglary.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    COTTAGE,
    DOOR,
    IDA,
    SMOKE,
    WINDOW,
    Given,
    arm,
    disarm,
    house,
    messages,
    sirens,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import Event, Panic, Trouble, TroubleBegins, ZoneOpens, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber

STRIP, CASE = ZoneNumber(11), ZoneNumber(12)
WATCHED = zone(STRIP, "panic-audible", "strip"), zone(CASE, "24-hour-audible", "case")
KEEPS = with_settings(replace(COTTAGE, zones=(*COTTAGE.zones, *WATCHED)), inside_when_off=True)
OUTSIDE, INSIDE = Pattern.BURGLARY, Pattern.INSIDE
CALLS: list[Event] = [
    ZoneTrips(STRIP),
    ZoneTrips(CASE),
    TroubleBegins(CASE, Trouble.TAMPER),
    Panic(AreaNumber(1), IDA),
]


def first(setup: Setup, given: Given) -> Pattern | None:
    return next((pattern for _, pattern in sirens(run(setup, given, until=400))), None)


@pytest.mark.parametrize("event", CALLS, ids=lambda event: type(event).__name__)
def test_what_calls_while_off_sounds_inside_and_while_set_outside_too(event: Event) -> None:
    assert first(KEEPS, [(0, event)]) is INSIDE
    assert first(with_settings(KEEPS, inside_when_off=False), [(0, event)]) is OUTSIDE
    for mode in (Mode.STAY, Mode.NIGHT, Mode.AWAY):
        assert first(KEEPS, [(0, arm(mode)), (100, event)]) is OUTSIDE
        assert first(KEEPS, [(0, arm(mode)), (100, disarm()), (101, event)]) is INSIDE


@pytest.mark.parametrize(("at", "heard"), [(59, INSIDE), (60, OUTSIDE), (61, OUTSIDE)])
def test_it_is_set_from_the_end_of_the_exit_time_on(at: int, heard: Pattern) -> None:
    assert first(KEEPS, [(0, arm()), (at, ZoneTrips(STRIP))]) is heard


def test_the_entry_time_is_still_set() -> None:
    assert first(KEEPS, [(0, arm()), (100, ZoneTrips(DOOR)), (110, ZoneTrips(STRIP))]) is OUTSIDE
    assert sirens(run(KEEPS, [(0, arm()), (100, ZoneTrips(DOOR))], until=131)) == [(130, OUTSIDE)]


def test_a_way_out_left_open_is_warned_of_outside_since_it_is_set() -> None:
    assert first(KEEPS, [(0, arm()), (50, ZoneOpens(DOOR))]) is OUTSIDE


def test_what_began_inside_goes_on_so_and_the_next_alarm_sounds_outside() -> None:
    given: Given = [(0, ZoneTrips(STRIP)), (10, arm()), (80, ZoneTrips(WINDOW)), (90, disarm())]
    assert sirens(run(KEEPS, given, until=200)) == [(0, INSIDE), (80, OUTSIDE), (90, Pattern.NONE)]


def test_fire_sounds_outside_and_what_is_sent_is_the_same() -> None:
    assert first(KEEPS, [(0, ZoneTrips(SMOKE))]) is Pattern.FIRE
    loud = with_settings(KEEPS, inside_when_off=False)
    for event in CALLS:
        assert messages(run(KEEPS, [(0, event)])) == messages(run(loud, [(0, event)]))


def test_a_shared_zone_sounds_outside_once_any_of_its_areas_is_set() -> None:
    shared = house(zone(STRIP, "panic-audible", areas=[1, 2]), settings=KEEPS.settings)
    assert first(shared, [(0, ZoneTrips(STRIP))]) is INSIDE
    assert first(shared, [(0, arm(area=2)), (100, ZoneTrips(STRIP))]) is OUTSIDE

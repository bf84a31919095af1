"""Devices check in by themselves, unless something keeps them silent; what can't be heard isn't."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    COTTAGE,
    DOOR,
    LOUNGE,
    WINDOW,
    Given,
    arm,
    lines,
    messages,
    restores,
    when,
    with_settings,
)
from zonewright.behaviour.events import (
    Disarm,
    DisplayLine,
    Means,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.presence import lived
from zonewright.behaviour.setup import AreaNumber, UserNumber, setup_of
from zonewright.panel.legal import as_shipped
from zonewright.panel.profile_file import shipped
from zonewright.panel.programme import Item, Programme, Value

HOUR = 3600
DAY = 24 * HOUR
WATCHED = with_settings(
    replace(COTTAGE, zones=tuple(replace(each, supervise=True, radio=each.number != DOOR) for each in COTTAGE.zones)),
    supervision_window=4 * HOUR,
    jamming_wait=30,
)
JAM, AIR_IS_CLEAR = SiteTroubleBegins(SiteTrouble.JAMMING), SiteTroubleEnds(SiteTrouble.JAMMING)


def test_in_a_long_scene_no_device_goes_missing_by_itself() -> None:
    timeline = lived(WATCHED, [(0, arm()), (13 * DAY, ZoneTrips(WINDOW))])
    assert when(timeline, DisplayLine.MISSING) == []
    assert when(timeline, DisplayLine.ALARM) == [13 * DAY]
    assert len(timeline) < 40  # what only checks in isn't told


def test_a_device_that_is_said_to_be_missing_stays_silent_until_it_is_heard() -> None:
    given: Given = [(10, TroubleBegins(WINDOW, Trouble.MISSING)), (3 * DAY, ZoneTrips(WINDOW)), (6 * DAY, arm())]
    timeline = lived(WATCHED, given)
    assert when(timeline, DisplayLine.MISSING) == [10]
    assert messages(timeline)[0] == (10, "missing")


def test_a_device_is_heard_before_somebody_arms_unless_it_is_silent() -> None:
    asks = with_settings(WATCHED, heard_before_setting=60, at_setting=frozenset({(SettingFault.MISSING, Right.NOBODY)}))
    assert when(lived(asks, [(DAY, arm())]), DisplayLine.ARMED_AWAY) == [DAY + 60]
    silent: Given = [(10, TroubleBegins(WINDOW, Trouble.MISSING)), (DAY, arm())]
    assert when(lived(asks, silent), DisplayLine.FAULT) == [DAY]
    between = DAY + 2 * HOUR  # two hours after the last check-in of the day
    assert when(lived(asks, [(between, arm())]), DisplayLine.ARMED_AWAY) == [between + 60]
    heard_again: Given = [(10, TroubleBegins(WINDOW, Trouble.MISSING)), (HOUR, ZoneTrips(WINDOW)), (between, arm())]
    assert when(lived(asks, heard_again), DisplayLine.ARMED_AWAY) == [between + 60]


@pytest.mark.parametrize("looks", [30, None])
def test_a_radio_device_is_not_heard_through_jammed_air_and_a_wired_one_is(looks: int | None) -> None:
    setup = with_settings(WATCHED, jamming_wait=looks)
    given: Given = [(0, arm()), (100, JAM), (200, ZoneTrips(WINDOW)), (300, AIR_IS_CLEAR), (400, ZoneTrips(WINDOW))]
    assert when(lived(setup, given), DisplayLine.ALARM) == [400]
    wired: Given = [(0, arm()), (100, JAM), (200, ZoneOpens(DOOR))]
    assert when(lived(setup, wired), DisplayLine.ALARM) == [230]


def test_radio_devices_go_missing_in_air_that_stays_jammed_and_are_heard_when_it_is_clear() -> None:
    timeline = lived(WATCHED, [(100, JAM), (9 * HOUR, AIR_IS_CLEAR), (9 * DAY, ZoneTrips(WINDOW))])
    missing = when(timeline, DisplayLine.MISSING)
    assert len(missing) == len(WATCHED.zones) - 1
    assert all(HOUR < at <= 4 * HOUR for at in missing)
    assert [at for at, line in lines(timeline) if line is DisplayLine.MISSING and at > 9 * HOUR] == []
    heard = [at for at, name in restores(timeline) if name == "missing"]
    assert heard == [9 * HOUR] * len(missing)  # not hours later


def test_a_kind_of_device_says_whether_it_is_heard_by_radio() -> None:
    marlow = shipped("marlow")
    held = {"behaviour": "perimeter", "area": "1", "tells-alarm": "yes", "tells-trouble": "yes", "supervise": "no"}
    kinds = {1: "contact", 2: "wired loop"}
    values = dict(as_shipped(marlow).values)
    values |= {Item(f"zone/{n}/{field}"): Value(text) for n in kinds for field, text in held.items()}
    values |= {Item(f"zone/{n}/kind"): Value(kind) for n, kind in kinds.items()}
    setup = setup_of(Programme("marlow", values), marlow)
    assert [zone.radio for zone in setup.zones] == [True, False]


def test_what_changed_in_jammed_air_is_said_once_the_air_is_clear() -> None:
    """Smoke that began in it sounds then, and a window that stands open is known; what came and went is lost."""
    given: Given = [(0, JAM), (10, ZoneOpens(WINDOW)), (20, ZoneTrips(LOUNGE)), (100, AIR_IS_CLEAR)]
    opened = [entry.at for entry in lived(WATCHED, given) if entry.event == ZoneOpens(WINDOW)]
    assert opened == [10, 100]
    armed = lived(WATCHED, [(0, arm()), (200, JAM), (210, ZoneOpens(WINDOW)), (300, AIR_IS_CLEAR)])
    assert when(armed, DisplayLine.ALARM) == [300]
    silent: Given = [
        (0, JAM),
        (10, ZoneOpens(WINDOW)),
        (50, TroubleBegins(WINDOW, Trouble.MISSING)),
        (100, AIR_IS_CLEAR),
    ]
    assert [entry.at for entry in lived(WATCHED, silent) if entry.event == ZoneOpens(WINDOW)] == [10]


def test_no_remote_is_heard_through_jammed_air() -> None:
    by_remote: Given = [(0, arm()), (200, JAM), (210, Disarm(AreaNumber(1), UserNumber(1), Means.REMOTE))]
    assert when(lived(WATCHED, by_remote), DisplayLine.DISARMED) == []
    at_the_keypad = [*by_remote[:2], (210, Disarm(AreaNumber(1), UserNumber(1)))]
    assert when(lived(WATCHED, at_the_keypad), DisplayLine.DISARMED) == [210]
    late = [*by_remote[:2], (210, AIR_IS_CLEAR), (220, Disarm(AreaNumber(1), UserNumber(1), Means.REMOTE))]
    assert when(lived(WATCHED, late), DisplayLine.DISARMED) == [220]


def test_a_cover_that_came_off_in_jammed_air_is_said_once_the_air_is_clear() -> None:
    """One that was put back meanwhile is lost, and one that was off before isn't said again."""
    off: Given = [(0, JAM), (10, TroubleBegins(WINDOW, Trouble.TAMPER)), (100, AIR_IS_CLEAR)]
    assert "tamper" in [name for at, name in messages(lived(WATCHED, off)) if at >= 100]
    put_back = [*off[:2], (50, TroubleEnds(WINDOW, Trouble.TAMPER)), off[2]]
    assert not [name for _, name in messages(lived(WATCHED, put_back)) if name == "tamper"]
    before: Given = [(0, TroubleBegins(WINDOW, Trouble.TAMPER)), (100, JAM), (200, AIR_IS_CLEAR)]
    assert [name for _, name in messages(lived(WATCHED, before))].count("tamper") == 1

"""Sequential confirmation and calls for help.

Source of the confirmation: BS 8243 and DD 243, never read; second-hand: two independent detectors within 30 to 60 min,
a time set in the panel; opening the entry door switches confirmation off.
"""

from __future__ import annotations

import pytest

from tests.behaviour.house import (
    COTTAGE,
    DOOR,
    HALL,
    IDA,
    LOUNGE,
    WINDOW,
    arm,
    armed_then,
    disarm,
    messages,
    outputs,
    sirens,
    with_settings,
)
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import Event, InstallerMode, Message, Panic, Trouble, TroubleBegins, ZoneTrips
from zonewright.behaviour.setup import AreaNumber
from zonewright.panel.behaviours import Mode, Pattern

CONFIRMING = with_settings(COTTAGE, confirm_window=1_800, abort_window=0)
HOUSE = AreaNumber(1)
CALL = Panic(HOUSE, IDA)


def confirmed(*given: tuple[int, Event]) -> list[str]:
    """Return the zones of which a confirmed alarm is told, armed away."""
    timeline = armed_then(CONFIRMING, Mode.AWAY, *given)
    sent = (each for _, each in outputs(timeline) if isinstance(each, Message))
    return [f"{each.zone}" for each in sent if each.name == "confirmed alarm"]


@pytest.mark.parametrize(("later", "zones"), [(1_799, [f"{LOUNGE}"]), (1_800, []), (1_801, [])])
def test_another_zone_within_the_window_confirms(later: int, zones: list[str]) -> None:
    assert confirmed((0, ZoneTrips(WINDOW)), (later, ZoneTrips(LOUNGE))) == zones


def test_the_same_zone_a_tamper_and_an_entry_confirm_nothing() -> None:
    assert confirmed((0, ZoneTrips(WINDOW)), (60, ZoneTrips(WINDOW))) == []
    assert confirmed((0, ZoneTrips(WINDOW)), (60, TroubleBegins(LOUNGE, Trouble.TAMPER))) == []
    assert (
        confirmed((0, ZoneTrips(WINDOW)), (60, ZoneTrips(DOOR)), (70, ZoneTrips(HALL)), (80, ZoneTrips(LOUNGE))) == []
    )


def test_without_the_setting_nothing_is_ever_confirmed() -> None:
    timeline = armed_then(COTTAGE, Mode.AWAY, (0, ZoneTrips(WINDOW)), (60, ZoneTrips(LOUNGE)))
    assert "confirmed alarm" not in [name for _, name in messages(timeline)]


@pytest.mark.parametrize("mode", list(Mode))
def test_a_call_for_help_sounds_and_is_sent_at_once_in_every_mode(mode: Mode) -> None:
    given = [] if mode is Mode.DISARMED else [(0, arm(mode))]
    timeline = run(COTTAGE, [*given, (500, CALL), (520, disarm())])
    assert (500, Pattern.BURGLARY) in sirens(timeline)
    assert (500, Message("panic alarm", HOUSE, user=IDA)) in outputs(timeline)
    assert (520, Pattern.NONE) in sirens(timeline)


def test_fire_comes_before_a_call_for_help_and_the_installer_hears_none() -> None:
    smoke = next(zone.number for zone in COTTAGE.zones if zone.behaviour.siren is Pattern.FIRE)
    timeline = run(COTTAGE, [(0, ZoneTrips(smoke)), (5, CALL)])
    assert all(pattern in (Pattern.FIRE, Pattern.NONE) for _, pattern in sirens(timeline))
    assert messages(run(COTTAGE, [(0, InstallerMode(on=True)), (5, CALL)])) == []

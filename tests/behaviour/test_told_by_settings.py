"""What a panel tells whatever its other settings are, and that it tells of nothing that is over where it should not."""

from __future__ import annotations

import pytest

from tests.behaviour.house import (
    IDA,
    Given,
    arm,
    house,
    messages,
    restores,
    when,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import (
    Bypass,
    DisplayLine,
    PanelMessage,
    Panic,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
)
from zonewright.behaviour.setup import AreaNumber
from zonewright.site.record import ZoneNumber


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


def test_a_call_for_help_is_told_also_where_the_panel_has_no_siren_time() -> None:
    setup = with_settings(house(zone(1, "perimeter")), siren_time=0)
    assert messages(run(setup, [(5, Panic(AreaNumber(1), IDA))])) == [(5, PanelMessage.PANIC.value)]


@pytest.mark.parametrize("told", [True, False])
def test_the_panel_tells_that_its_mains_are_back_where_it_tells_of_restores(told: bool) -> None:
    given: Given = [(5, SiteTroubleBegins(SiteTrouble.MAINS)), (9000, SiteTroubleEnds(SiteTrouble.MAINS))]
    setup = with_settings(house(zone(1, "perimeter")), restores=told, troubles=True, mains_wait=60)
    timeline = run(setup, given)
    assert messages(timeline) == [(65, "mains lost")]
    assert restores(timeline) == ([(9000, "mains lost")] if told else [])


def test_the_exit_time_begins_once_more_for_who_comes_back_and_no_third_time() -> None:
    given: Given = [(0, arm())]
    for at in (10, 30, 50):
        given += [(at, ZoneOpens(ZoneNumber(1))), (at + 2, ZoneCloses(ZoneNumber(1)))]
    assert when(run(house(zone(1, "entry-door")), given), DisplayLine.ARMED_AWAY) == [
        90
    ]  # 60 s after the second opening

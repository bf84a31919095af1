"""A panel that tells of no restores sends none, of whatever is over."""

from __future__ import annotations

import pytest

from tests.behaviour.house import (
    IDA,
    Given,
    arm,
    house,
    messages,
    restores,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import (
    Bypass,
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

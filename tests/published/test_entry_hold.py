"""An entry that isn't disarmed in time: the siren warns first, the station hears it later.

Source: EN 50131-1 8.3.8.2 and use in the UK, from memory: told no sooner than 30 s after the entry time ran out and no
sooner than 2 min after the entry began; who leaves the way in it is heard at once, told 30 s later.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    COTTAGE,
    DOOR,
    HALL,
    LOUNGE,
    SMOKE,
    WINDOW,
    Given,
    arm,
    armed_then,
    disarm,
    lines,
    messages,
    sirens,
    with_settings,
)
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import DisplayLine, ZoneOpens, ZoneTrips
from zonewright.behaviour.setup import Setup
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.promises.own_messages import Sends
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind

HELD = with_settings(COTTAGE, entry_hold=30, entry_hold_least=120, abort_window=0)
CALLED_OFF = with_settings(HELD, abort_window=30)


def entered(setup: Setup, *later: tuple[int, ZoneTrips]) -> Given:
    """Armed away; at 100 the door opens, entry time 30 s."""
    return [(0, arm()), (100, ZoneTrips(DOOR)), *later]


@pytest.mark.parametrize(
    ("entry_s", "told_at"),
    [(30, 220), (45, 220), (89, 220), (90, 220), (91, 221), (120, 250)],  # 100 + the later of entry + 30 and 120
)
def test_the_siren_warns_at_the_end_of_the_entry_time_and_the_station_hears_it_later(
    entry_s: int, told_at: int
) -> None:
    slow = replace(HELD, zones=tuple(replace(each, entry_s=entry_s) if each.entry_s else each for each in HELD.zones))
    timeline = run(slow, entered(slow), until=1_000)
    assert sirens(timeline)[0] == (100 + entry_s, Pattern.BURGLARY)
    assert messages(timeline) == [(told_at, "entry door alarm")]


@pytest.mark.parametrize(("disarmed", "sent"), [(219, []), (221, ["entry door alarm", "cancel"])])
def test_disarmed_before_it_is_told_nothing_is(disarmed: int, sent: list[str]) -> None:
    timeline = run(HELD, [*entered(HELD), (disarmed, disarm())])
    assert [name for _, name in messages(timeline)] == sent
    assert (DisplayLine.NOT_SENT in [line for _, line in lines(timeline)]) is (sent == [])


def test_leaving_the_way_is_heard_at_once_and_told_30_s_later() -> None:
    timeline = run(HELD, entered(HELD, (110, ZoneTrips(LOUNGE))), until=1_000)
    assert sirens(timeline)[0] == (110, Pattern.BURGLARY)
    assert messages(timeline)[0] == (140, "interior alarm")


def test_a_zone_on_the_route_is_free_and_fire_waits_for_nobody() -> None:
    timeline = run(HELD, entered(HELD, (105, ZoneTrips(HALL)), (110, ZoneTrips(SMOKE))), until=125)
    assert messages(timeline) == [(110, "fire alarm")]


def test_an_alarm_that_nobody_enters_by_is_told_as_ever() -> None:
    assert messages(armed_then(HELD, Mode.AWAY, (0, ZoneTrips(WINDOW)))) == [(0, "perimeter alarm")]
    assert messages(armed_then(CALLED_OFF, Mode.AWAY, (0, ZoneTrips(WINDOW)))) == [(30, "perimeter alarm")]


def test_an_exit_error_is_held_as_an_entry() -> None:
    timeline = run(HELD, [(0, arm()), (59, ZoneOpens(DOOR))], until=1_000)
    assert messages(timeline) == [(180, "entry door alarm"), (180, "exit error")]


def test_what_waits_in_an_area_leaves_together_and_without_the_setting_nothing_is_held() -> None:
    later = run(CALLED_OFF, entered(CALLED_OFF, (150, ZoneTrips(WINDOW))), until=1_000)
    assert messages(later) == [(220, "entry door alarm"), (220, "perimeter alarm")]
    unheld = with_settings(COTTAGE, entry_hold_least=120, abort_window=0)
    assert messages(run(unheld, entered(unheld), until=1_000)) == [(130, "entry door alarm")]


def test_the_bounds_that_a_proof_gives_count_the_hold() -> None:
    """And one second less would be broken: the bound is the least."""
    for setup in (HELD, CALLED_OFF):
        asked = [each for each in promises(setup) if each.aspect == "opening sends"]
        assert asked
        assert {each.settled.result for each in prove(setup, asked)} == {VerdictKind.HOLDS}
    door = next(each for each in promises(HELD) if each.aspect == "opening sends" and each.zones == (DOOR,))
    assert "within 120 s" in door.says
    assert isinstance(door.observer, Sends)
    (sooner,) = prove(HELD, [replace(door, observer=replace(door.observer, within=119))])
    assert sooner.settled.result is VerdictKind.FAILS

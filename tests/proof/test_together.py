"""What is promised of zones and areas that depend on each other: pairs, and areas that share zones or an exit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import CP01, DOOR, house, zone
from zonewright.behaviour import openings
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.state import Draft
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.record import ZoneNumber

QUIET = replace(CP01, supervision_window=0)
SHOP, FLAT = 1, 2
HALL, LOUNGE = ZoneNumber(3), ZoneNumber(4)


def verdicts(setup: Setup, aspect: str) -> list[Verdict]:
    asked = [each for each in promises(setup) if each.aspect == aspect]
    assert asked, aspect
    return list(prove(setup, asked))


def results(setup: Setup, aspect: str) -> list[VerdictKind]:
    return [each.settled.result for each in verdicts(setup, aspect)]


# Pairs ----------------------------------------------------------------------------------------------------------------

PAIR = house(
    zone(DOOR, "entry-door"),
    zone(HALL, "interior", "hall", crosses=frozenset({LOUNGE})),
    zone(LOUNGE, "interior", "lounge", crosses=frozenset({HALL})),
    settings=replace(QUIET, cross_window=60),
)


def test_a_zone_of_a_pair_alarms_alone_where_the_other_cannot_trip() -> None:
    assert results(PAIR, "alone") == [VerdictKind.HOLDS, VerdictKind.HOLDS]


def test_a_pair_that_is_dumb_without_the_other_breaks_the_promise(monkeypatch: pytest.MonkeyPatch) -> None:
    def always(draft: Draft, number: ZoneNumber) -> bool:
        pair = draft.setup.zone(number)
        return pair is not None and (draft.is_bypassed(pair) or True)

    monkeypatch.setattr(openings, "can_confirm", always)
    assert VerdictKind.FAILS in results(PAIR, "alone")


# Areas that share zones -----------------------------------------------------------------------------------------------

SHARED = house(
    zone(DOOR, "entry-door", areas=(SHOP,)),
    zone(2, "entry-door", areas=(FLAT,)),
    zone(HALL, "perimeter", "hall", areas=(SHOP, FLAT)),
    settings=QUIET,
)


def test_a_cancel_goes_from_each_area_of_a_shared_zone() -> None:
    assert results(SHARED, "cancel") == [VerdictKind.HOLDS, VerdictKind.HOLDS]


def test_who_leaves_two_areas_by_one_door_has_left_both() -> None:
    assert results(SHARED, f"left too, area {FLAT}") == [VerdictKind.HOLDS]


def test_a_shared_way_out_that_is_left_open_is_warned_of_where_its_other_area_was_armed_before() -> None:
    """Where the other area is off the door gives no alarm, and leaving it open is nothing to be warned of."""
    doors = [zone(DOOR, "entry-door", areas=(SHOP,)), zone(2, "entry-door", areas=(FLAT,))]
    both = house(*doors, zone(HALL, "entry-door", "hall", areas=(SHOP, FLAT)), settings=replace(QUIET, exit_error=True))
    assert results(both, "left open") == [VerdictKind.HOLDS, VerdictKind.HOLDS]


def test_a_door_that_counts_for_its_own_area_alone_breaks_the_promise(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(openings, "others_are_left", lambda _draft, _areas: None)
    assert results(SHARED, f"left too, area {FLAT}") == [VerdictKind.FAILS]

"""Long random runs of irregular sites break nothing that is said to hold; and would show it if they did."""

from __future__ import annotations

import random

import pytest

from benchmarks.long_runs import hold, sizes
from tests.behaviour.house import CP01, house, with_settings, zone
from tests.proof.outside import run_of
from tests.proof.watching import watch
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Verdict
from zonewright.proof.prover import purse
from zonewright.proof.prover.refine import Settled, VerdictKind

A_PART = 20  # of the work that `prove` may do an area
A_DAY_S = 24 * 3600.0
SMALL = range(12, 17)  # zones


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(1, 4))
def test_no_long_run_of_an_irregular_site_breaks_what_is_said_to_hold(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fifty large ones are judged by `python -m benchmarks.long_runs`."""
    less = purse.AREA // A_PART, purse.PROMISE // A_PART, purse.TOIL // A_PART
    monkeypatch.setattr("zonewright.proof.prover.table.Purse", lambda: purse.Purse(*less))
    found = hold(next(sizes(seed, SMALL)), A_DAY_S, 6000)
    assert found.broken == []
    assert found.came > 20


def claims(result: VerdictKind, siren_s: int) -> list[Verdict]:
    """What a panel with another siren time promises of its siren, each with this result."""
    asked = [each for each in promises(with_settings(SHOP, siren_time=siren_s)) if each.kind == "siren"]
    return [Verdict(each, Settled(result)) for each in asked if each.outright is None]


SHOP = house(zone(1, "perimeter"), zone(2, "interior"), settings=CP01)


@pytest.mark.parametrize(
    ("claimed", "broken"),
    [
        (claims(VerdictKind.HOLDS, CP01.siren_time), False),
        (claims(VerdictKind.HOLDS, CP01.siren_time - 60), True),
        (claims(VerdictKind.EMPTY, CP01.siren_time), True),
    ],
    ids=["it holds", "it doesn't hold", "it comes"],
)
def test_a_run_speaks_against_what_is_not_so(claimed: list[Verdict], broken: bool) -> None:
    chance = random.Random(1)
    found = watch(SHOP, claimed, [run_of(SHOP, chance, 400) for _ in range(2)])
    assert [each.broken_at is not None for each in found] == [broken] * len(claimed)
    assert all(each.came for each in found)
    assert found

"""Small irregular panels, each proved and its seconds counted: what breaks there is never said to hold."""

from __future__ import annotations

import gc
import os
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import pytest

from tests.proof.irregular_panels import FEATURES, drawn, irregular
from tests.proof.outside import statements
from tests.proof.ticks import Seconds
from tests.proof.watching import can_be_watched
from zonewright.behaviour.setup import Setup
from zonewright.proof.promises.promise import Promise, WantedByOwner, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover import purse
from zonewright.proof.prover.refine import VerdictKind

PANELS = 500
OF_EACH = 6  # promises of the panel itself, and as many that another one would make
LOOKED_AT = 8_000  # moments
A_PART = 50  # of the work that `prove` may do an area, so that no panel takes long
BLOCK = 25
WANTED = os.environ.get("ZONEWRIGHT_ALL_TESTS", "")
BLOCKS = PANELS // BLOCK if WANTED == "every" else 3 if WANTED else 1


@dataclass(slots=True)
class Count:
    """What was found of some panels."""

    wrong: list[str] = field(default_factory=list)
    settled: int = 0
    broken: int = 0  # seen to break, where the seconds were counted


def asked(setup: Setup, chance: random.Random) -> Iterator[list[Promise]]:
    """Give some promises of a panel; then some of one with other times, and some wishes, of which many are broken."""
    routes = [ZoneRoute("in", one.number, (), 1) for one in setup.zones if one.behaviour.exit_door]
    settings = setup.settings
    other = replace(settings, siren_time=max(0, settings.siren_time - 1), cancel_window=4, abort_window=4)
    wanted = [WantedByOwner(statement, (zone.number,)) for zone, statement in statements(setup, chance, 8)]
    for made in (promises(setup, routes), promises(replace(setup, settings=other), routes, wanted)):
        possible = [each for each in made if not each.wants and each.outright is None]
        yield chance.sample(possible, min(OF_EACH, len(possible)))


def compare(seed: int, count: Count) -> None:
    """Prove some promises of a panel, and count its seconds."""
    setup, chance = irregular(seed), random.Random(f"asked of {seed}")
    groups = list(asked(setup, chance))
    counted = Seconds(drawn(setup, chance), LOOKED_AT)
    for group in groups:
        for verdict in prove(setup, group):
            says = f"{seed}: {verdict.promise.name} {verdict.settled.result.value}"
            count.settled += verdict.settled.result is not VerdictKind.UNDECIDED
            if can_be_watched(verdict):
                count.wrong += [f"{says}, but {why}" for why in against(counted, verdict)]
            elif verdict.settled.result is VerdictKind.FAILS:
                count.broken += breaks(counted, verdict.promise)
                count.wrong += [f"{says}, but nothing is shown"] if not verdict.settled.timeline else []


def against(counted: Seconds, verdict: Verdict) -> Iterator[str]:
    """Give what speaks against a verdict that something holds, or never comes."""
    if breaks(counted, verdict.promise):
        yield "it breaks"
    if verdict.settled.result is VerdictKind.EMPTY and counted.comes_to(verdict.promise):
        yield "it comes"


def breaks(counted: Seconds, promise: Promise) -> bool:
    return counted.breaks(promise.observer, begins_anywhere=promise.timed)


def test_of_five_hundred_irregular_panels_each_feature_has_its_share() -> None:
    found = Counter(name for seed in range(PANELS) for name, has in FEATURES.items() if has(irregular(seed)))
    assert {name for name in FEATURES if found[name] < PANELS // 10} == set(), found


@pytest.mark.deep
@pytest.mark.parametrize("block", range(BLOCKS))
def test_what_breaks_on_an_irregular_panel_is_never_said_to_hold(block: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor does anything come about that is said never to."""
    less = purse.AREA // A_PART, purse.PROMISE // A_PART, purse.TOIL // A_PART
    monkeypatch.setattr("zonewright.proof.prover.table.Purse", lambda: purse.Purse(*less))
    count = Count()
    gc.disable()  # nothing of a panel can go before it is done with
    try:
        for seed in range(BLOCK * block, BLOCK * (block + 1)):
            compare(seed, count)
            gc.collect()
    finally:
        gc.enable()
    assert count.wrong == []
    assert count.settled > 5 * BLOCK
    assert count.broken > BLOCK // 5

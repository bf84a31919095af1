"""Behaviours that no shipped panel has: promises follow from attributes, and none of them is false."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

import pytest

from tests.behaviour.house import zone
from tests.proof.test_promises import cottage
from tests.proof.test_prove_inside import small
from tests.proof.ticks import Seconds, Tabled
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.panel.behaviours import ALWAYS, ARMED, SHIPPED, Mode, Pattern, Timing
from zonewright.proof.promises.promise import ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind

MODES = (frozenset[Mode](), ARMED, ALWAYS, frozenset({Mode.AWAY}), frozenset({Mode.DISARMED}))
ODD: dict[str, Sequence[object]] = {
    "siren": list(Pattern), "alarm": [None, "odd alarm"], "live": MODES, "arms": [None, Mode.AWAY, Mode.STAY],
    "momentary": [False, True], "in_exit": ["free", "live"], "timing": list(Timing), "exit_door": [False, True],
    "completes_exit": [False, True], "warns": MODES, "chimes": MODES, "stops_arming": [False, True],
}  # fmt: skip


def odd(chance: random.Random, one: ZoneSetup) -> ZoneSetup:
    """The zone with one to three attributes of its behaviour otherwise."""
    some = {name: chance.choice(list(ODD[name])) for name in chance.sample(list(ODD), chance.randint(1, 3))}
    return replace(one, behaviour=one.behaviour.model_copy(update=some), tells_alarm=chance.random() < 0.8)


def with_odd_zones(seed: int) -> Setup:
    chance, setup = random.Random(seed), small(seed)
    zones = [odd(chance, each) if chance.random() < 0.7 else each for each in setup.zones]
    if chance.random() < 0.4:
        lock = {"momentary": chance.random() < 0.5, "arms": chance.choice([Mode.AWAY, Mode.STAY])}
        zones[0] = replace(zones[0], behaviour=SHIPPED["arm-switch"].model_copy(update=lock), entry_s=0)
    return replace(setup, zones=tuple(zones))


@pytest.mark.parametrize("block", range(4))
def test_no_promise_of_a_profile_of_its_own_is_false(block: int) -> None:
    settled = 0
    for seed in (seed for seed in range(1_000 + 12 * block, 1_012 + 12 * block) if seed % 25 != 12):
        setup = with_odd_zones(seed)
        routes = tuple(ZoneRoute("in", one.number, (), 1) for one in setup.zones if one.behaviour.exit_door)
        asked = [each for each in promises(setup, routes) if not each.wants and each.outright is None]
        counted = Seconds(Tabled(setup, frozenset(setup.areas), None))
        for verdict in prove(setup, asked):
            bad = counted.breaks(verdict.promise.observer, begins_anywhere=verdict.promise.timed)
            assert not (bad and verdict.settled.result in (VerdictKind.HOLDS, VerdictKind.EMPTY)), (
                seed,
                verdict.promise.name,
            )
            settled += 1
    assert settled > 40


def test_a_notice_with_a_siren_promises_what_its_attributes_say() -> None:
    loud: dict[str, object] = {"siren": Pattern.BURGLARY, "alarm": None, "live": frozenset()}
    never = replace(zone(6, "notice", "gate"), behaviour=SHIPPED["notice"].model_copy(update=loud))
    kinds = {each.kind for each in promises(cottage(never)) if each.zones == (6,)}
    assert "notice" not in kinds
    assert "silent" in kinds  # a siren that is live in no mode is silent in all
    always = replace(never, behaviour=never.behaviour.model_copy(update={"live": ALWAYS}))
    assert "answers" in {each.kind for each in promises(cottage(always)) if each.zones == (6,)}


def test_a_cancel_may_be_called_by_a_switch() -> None:
    """Turned off after its own tamper alarm it calls the message back, and a code afterwards has nothing to call."""
    both = {"arms": Mode.AWAY, "timing": Timing.ON_ROUTE}
    lock = replace(zone(6, "on-route", "lock"), behaviour=SHIPPED["on-route"].model_copy(update=both))
    asked = [each for each in promises(cottage(lock)) if each.kind == "cancel"]
    assert [each.settled.result for each in prove(cottage(lock), asked)] == [VerdictKind.HOLDS]

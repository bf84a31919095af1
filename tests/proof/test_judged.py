"""No judge looks at a zone that its promise doesn't name: of others only what they do to the panel may be looked at."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from tests.behaviour.house import house, zone
from tests.proof.test_prove_inside import SHARED, some_setup
from zonewright.behaviour.setup import Setup
from zonewright.proof.promises.promise import Promise, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import looked_at
from zonewright.proof.prover.explore import Case, Cover
from zonewright.proof.prover.observers import Observation, Observer
from zonewright.proof.prover.slices import Slice
from zonewright.site.record import ZoneNumber

MOST_CASES = 1_500


def panels() -> Iterator[Setup]:
    """Random ones with shared zones and doors; every other one has a pair."""
    for seed in range(8):
        setup = some_setup(random.Random(seed), 4, SHARED, least=4)
        if seed % 2:
            pair = [replace(zone(n, "perimeter"), crosses=frozenset({ZoneNumber(17 - n)})) for n in (8, 9)]
            setup = house(*setup.zones[:2], *pair, settings=replace(setup.settings, cross_window=30))
        yield setup


def asked(setup: Setup) -> Iterator[Promise]:
    """Give the promises of which not every zone is looked at."""
    routes = tuple(ZoneRoute("in", one.number, (), 1) for one in setup.zones if one.behaviour.exit_door)
    for each in promises(setup, routes):
        for promise in each.consists_of or (each,):
            if promise.judged is not None and promise.outright is None and promise.twin is None:
                yield promise


def seen_by(observer: Observer, case: Case, states: set[str]) -> list[Observation | None]:
    """What an observer makes of a case, as its beginning and in each state that it was ever in; new ones are added."""
    found = [observer.begins(*case), *(observer.goes_on(state, *case) for state in sorted(states))]
    states |= {each.state for each in found if each is not None and each.state is not None}
    return found


def test_no_judge_looks_at_a_zone_that_its_promise_does_not_name() -> None:
    compared = 0
    for setup in panels():
        parts: dict[object, tuple[Slice, list[Case]]] = {}
        for promise in asked(setup):
            areas = looked_at(setup, promise)
            if (areas, promise.heard) not in parts:
                named = frozenset(one.number for one in setup.zones)
                part = Slice(setup, areas, named=named, heard=promise.heard)
                cases = list(Cover(part).moves())
                chance = random.Random(len(cases))
                parts[areas, promise.heard] = part, chance.sample(cases, min(len(cases), MOST_CASES))
            part, cases = parts[areas, promise.heard]
            reading = part.keeping((), judged=promise.judged).reading
            states: set[str] = set()
            hidden_states: set[str] = set()
            for before, act, outcome in cases:
                report = reading.telling.report(act, outcome.effect.leaf)
                hidden = outcome._replace(effect=replace(outcome.effect, report=report))
                case, seen = (before, act, outcome), (before, act, hidden)
                assert promise.premise(*case) == promise.premise(*seen), (promise.name, act)
                assert seen_by(promise.observer, case, states) == seen_by(promise.observer, seen, hidden_states), (
                    promise.name,
                    act,
                )
                compared += report.facts != outcome.facts or report.outputs != outcome.outputs
    assert compared > 10_000

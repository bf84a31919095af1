"""Few sets of doors stand for all of them."""

from __future__ import annotations

import random
from collections.abc import Hashable
from itertools import chain, combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.behaviour.house import house, zone
from tests.proof.test_prove_inside import SHARED, some_setup
from zonewright.behaviour.setup import Setup
from zonewright.proof.promises.promise import Promise, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import prove
from zonewright.proof.prover import doors
from zonewright.proof.prover.doors import Doors, Like, few_of
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.record import ZoneNumber

KINDS = st.lists(st.sampled_from("abc"), max_size=6)


def every_set(numbers: list[ZoneNumber]) -> list[Doors]:
    sizes = range(len(numbers) + 1)
    return [frozenset(some) for some in chain.from_iterable(combinations(numbers, size) for size in sizes)]


@given(KINDS, st.booleans(), st.data())
def test_few_sets_have_for_each_set_and_each_door_one_like_it(
    kinds: list[str], in_order: bool, data: st.DataObject
) -> None:
    """Whatever kinds of doors give no alarm after all, and whichever door is looked at."""
    numbers = [ZoneNumber(n + 1) for n in range(len(kinds))]
    like = dict(zip(numbers, kinds, strict=True))
    dumb = data.draw(st.sets(st.sampled_from("abc")))

    def seen(some: Doors, door: ZoneNumber) -> Hashable:
        """All that may matter to what is promised of one door."""
        alarms = [each for each in some if like[each] not in dumb or each == door]
        first = door in some and door == min(alarms)
        return door in some, frozenset(like[each] for each in some), first if in_order else None

    few = few_of(numbers, frozenset(numbers), like.__getitem__, in_order=in_order)
    for door in numbers:
        assert {seen(some, door) for some in few} == {seen(some, door) for some in every_set(numbers)}


def test_a_dozen_doors_of_four_kinds_are_a_few_dozen_sets() -> None:
    numbers = [ZoneNumber(n) for n in range(1, 13)]
    assert len(few_of(numbers, frozenset(numbers), lambda number: number % 4, in_order=False)) < 100
    assert few_of(numbers, frozenset(numbers), lambda number: number % 4, in_order=True)[0] == frozenset()


def verdicts(setup: Setup) -> dict[str, VerdictKind]:
    routes = tuple(ZoneRoute("in", one.number, (), 1) for one in setup.zones if one.behaviour.exit_door)
    asked: list[Promise] = [each for each in promises(setup, routes) if each.outright is None]
    return {each.promise.name: each.settled.result for each in prove(setup, asked)}


@pytest.mark.deep
def test_what_is_said_of_doors_is_said_with_all_sets_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of random panels with several doors, some shared; only what was undecided may be settled."""

    def every(numbers: list[ZoneNumber], _seen: Doors, _like: Like, *, in_order: bool) -> list[Doors]:
        return every_set(numbers)

    compared = 0
    for seed in range(3):
        chance = random.Random(seed)
        more = [zone(n, "entry-door", areas=chance.choice(SHARED), entry_s=chance.choice((30, 45))) for n in (1, 2, 3)]
        setup = house(*more, settings=some_setup(chance).settings)
        few = verdicts(setup)
        with monkeypatch.context() as patched:
            patched.setattr(doors, "few_of", every)
            whole = verdicts(setup)
        for name, found in few.items():
            assert found is whole[name] or VerdictKind.UNDECIDED in (found, whole[name]), (seed, name)
            compared += found is not VerdictKind.UNDECIDED
    assert compared > 50

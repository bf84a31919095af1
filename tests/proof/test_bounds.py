"""However large a panel is, its proofs end: by counted work, with a reason, and never by a verdict."""

from __future__ import annotations

import gc
import random
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from tests.behaviour.house import CP01, house, zone
from tests.proof.test_prove_inside import SHARED, some_setup
from zonewright.behaviour.setup import AreaNumber, Setup, setup_of
from zonewright.panel.opening import open_site
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover import purse
from zonewright.proof.prover.explore import Cover
from zonewright.proof.prover.purse import OutOfBounds
from zonewright.proof.prover.reading import Reading
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import Table, TooLarge
from zonewright.proof.prover.unknowns import View

DEMOS = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
LOOKED_AT = (VerdictKind.HOLDS, VerdictKind.FAILS, VerdictKind.EMPTY)


def purses_of(monkeypatch: pytest.MonkeyPatch, most: int, share: int) -> list[purse.Purse]:
    """Give each area so much; return the purses as they are made."""
    made: list[purse.Purse] = []

    def one() -> purse.Purse:
        made.append(purse.Purse(most, share))
        return made[-1]

    monkeypatch.setattr("zonewright.proof.prover.table.Purse", one)
    return made


def results(verdicts: list[Verdict]) -> list[VerdictKind]:
    return [each.settled.result for each in verdicts if each.promise.outright is None]


def great_area() -> Setup:
    """An area of twelve ways out that shares twelve zones with three others, and one that is small."""
    doors = [zone(n, "entry-door", entry_s=20 + n) for n in range(1, 13)]
    kinds = ("perimeter", "interior", "on-route", "day-night", "24-hour-audible", "entry-door")
    shared = [zone(20 + n, kinds[n % 6], areas=(1, 2 + n % 3), chime=("none", "bell")[n // 6]) for n in range(12)]
    alone = [zone(40, "perimeter", areas=(5,)), zone(41, "notice", areas=(5,), chime="bell")]
    return house(*doors, *shared, *alone, settings=replace(CP01, supervision_window=0, confirm_window=600))


@pytest.mark.deep
def test_an_area_that_is_too_large_is_undecided_with_its_reason_and_the_others_go_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = purses_of(monkeypatch, purse.AREA // 50, purse.PROMISE // 50)
    setup = great_area()
    too_large: Counter[tuple[frozenset[AreaNumber], bool, object, object]] = Counter()

    def counted(part: Slice) -> Cover:
        try:
            return Cover(part)
        except (OutOfBounds, TooLarge):
            too_large.update([(part.areas, part.heard, part.kept, part.judged)])
            raise

    monkeypatch.setattr("zonewright.proof.prove.Cover", counted)
    verdicts = [each for each in prove(setup, promises(setup)) if each.promise.outright is None]
    here = [each for each in verdicts if 5 not in each.promise.areas]
    elsewhere = [each for each in verdicts if each.promise.areas == {5}]
    first = [each.settled for each in here if 1 in each.promise.areas]
    assert first
    assert all(each.result is VerdictKind.UNDECIDED for each in first)
    assert all("area 1 has 24 zones, 14 ways out, and shares 12 zones with 3 areas" in each.why for each in first)
    assert elsewhere
    assert all(each.settled.result in LOOKED_AT for each in elsewhere)
    assert set(too_large.values()) == {1}  # what was found too large isn't looked at again
    assert len({key for key in too_large if 1 in key[0]}) == 2  # nor is it tried with more kept
    dearest = max(work.price for work in purse.Work) * 4096
    assert all(each.spent <= each.most + dearest for each in made)


@pytest.mark.deep
@pytest.mark.parametrize("most", [1, 100_000, 1_000_000, 5_000_000])
def test_whatever_the_bound_nothing_is_said_otherwise(monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    """With less to spend a verdict is the same, or undecided; with nothing, all are."""
    setups = [some_setup(random.Random(seed), 4, SHARED) for seed in range(4)]
    plain = [results(list(prove(setup, promises(setup)))) for setup in setups]
    purses_of(monkeypatch, most, most)
    bounded = [results(list(prove(setup, promises(setup)))) for setup in setups]
    for full, less in zip(plain, bounded, strict=True):
        assert all(two in (one, VerdictKind.UNDECIDED) for one, two in zip(full, less, strict=True))
    if most == 1:
        assert {each for some in bounded for each in some} == {VerdictKind.UNDECIDED}


@pytest.mark.deep
@pytest.mark.parametrize("name", ["MOST_CONTROLS", "MOST_SETS"])
def test_each_bound_of_an_exploration_gives_undecided(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    setup = some_setup(random.Random(3), 4, SHARED)
    asked = [each for each in promises(setup) if each.timed or name == "MOST_CONTROLS"]
    plain = results(list(prove(setup, asked)))
    monkeypatch.setattr(f"zonewright.proof.prover.explore.{name}", 1)
    bounded = results(list(prove(setup, asked)))
    assert VerdictKind.UNDECIDED in bounded
    assert all(two in (one, VerdictKind.UNDECIDED) for one, two in zip(plain, bounded, strict=True))


@pytest.mark.deep
def test_an_event_of_too_many_ways_gives_undecided(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("zonewright.proof.prover.table.MOST_LEAVES", 1)
    setup = some_setup(random.Random(3), 4, SHARED)
    assert set(results(list(prove(setup, promises(setup))))) == {VerdictKind.UNDECIDED}


@pytest.mark.deep
def test_verdicts_of_the_demos_do_not_rest_on_the_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("larkfield", "rowan"):
        site = open_site(DEMOS / f"{name}.yaml")
        setup = setup_of(site.programme, site.profile)
        asked: tuple[Promise, ...] = asked_of(site, setup, Window())
        plain = [each.settled for each in prove(setup, asked)]
        for times in (0.5, 2):
            with monkeypatch.context() as patched:
                purses_of(patched, int(purse.AREA * times), int(purse.PROMISE * times))
                assert [each.settled for each in prove(setup, asked)] == plain


def living(kind: type) -> int:
    return sum(isinstance(each, kind) for each in gc.get_objects())


def test_what_was_looked_at_goes_without_a_collector_of_garbage(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("zonewright.proof.prove.TIGHT_FROM", 0.0)  # all that can be is forgotten after each promise
    setup = some_setup(random.Random(5), 4, SHARED, least=4)
    gc.collect()
    gc.disable()
    try:
        before, most = [living(kind) for kind in (Reading, Table, View)], 0
        for _ in prove(setup, promises(setup)):
            most = max(most, living(Reading) - before[0])
        assert 0 < most <= 3  # of the whole panel, and of an area for who listens and who looks at messages
        assert [living(kind) for kind in (Reading, Table, View)] == before
    finally:
        gc.enable()

"""Why promises hold: conditions are read off outcomes, and what is offered to mend one does mend it."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.behaviour.setup import setup_of
from zonewright.panel.opening import open_site
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import prove
from zonewright.proof.prover.facts import Fact
from zonewright.proof.prover.observers import Awaited
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.prover.replay import breaks_again
from zonewright.proof.prover.slices import whole_panel
from zonewright.proof.why import mending
from zonewright.proof.why.mending import Mend, mends
from zonewright.proof.why.reasons import Rests, parted, reason

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
OPEN: Fact
BYPASSED: Fact
RUNS: Fact
OPEN, BYPASSED, RUNS = ("open", 1), ("bypassed", 1), ("runs", 2)


def test_outcomes_are_parted_by_the_questions_that_decide_them() -> None:
    found: list[tuple[Rests, str]] = [
        ({OPEN: True, RUNS: True}, "nothing"),
        ({OPEN: True, RUNS: False}, "nothing"),
        ({OPEN: False, RUNS: True, BYPASSED: True}, "nothing"),
        ({OPEN: False, RUNS: False, BYPASSED: False}, "siren"),
        ({OPEN: False, RUNS: True, BYPASSED: False}, "siren"),
    ]
    assert list(parted(found)) == [
        (((OPEN, True),), ("nothing",)),
        (((OPEN, False), (BYPASSED, True)), ("nothing",)),
        (((OPEN, False), (BYPASSED, False)), ("siren",)),
    ]


def test_outcomes_that_nothing_parts_stand_together() -> None:
    assert list(parted([({OPEN: True}, "a"), ({OPEN: True}, "b"), ({OPEN: True}, "b")])) == [((), ("b", "a"))]


def test_the_reason_is_what_every_other_outcome_lacks() -> None:
    mine: list[Rests] = [{OPEN: False, RUNS: True}, {OPEN: True, RUNS: True}]
    assert reason(mine, [{OPEN: False, RUNS: False}]) == (RUNS, True)
    assert reason(mine, [{OPEN: False, RUNS: False}, {OPEN: False, RUNS: True}]) is None
    assert reason(mine, []) is None


def broken(kind: str) -> list[Promise]:
    site = open_site(FILES / "larkfield-wrong.yaml")
    setup = setup_of(site.programme, site.profile)
    return [
        each.promise
        for each in prove(setup, [each for each in asked_of(site, setup, Window()) if each.kind == kind])
        if each.settled.result is VerdictKind.FAILS
    ]


@pytest.mark.deep
@pytest.mark.parametrize(("kind", "count"), [("must", 2), ("route", 1)])
def test_what_breaks_a_promise_breaks_it_again(kind: str, count: int) -> None:
    site = open_site(FILES / "larkfield-wrong.yaml")
    setup = setup_of(site.programme, site.profile)
    found = broken(kind)
    assert len(found) == count
    for promise, verdict in zip(found, prove(setup, found), strict=True):
        observer = Awaited(promise.observer, promise.root) if promise.timed else promise.observer
        assert breaks_again(whole_panel(setup), verdict.settled.timeline, observer)
        right = open_site(FILES / "larkfield.yaml")
        mended = setup_of(right.programme, right.profile)
        assert not breaks_again(whole_panel(mended), verdict.settled.timeline, observer)


@pytest.mark.deep
def test_what_is_passed_over_without_a_proof_would_not_mend_it(monkeypatch: pytest.MonkeyPatch) -> None:
    site = open_site(FILES / "larkfield-wrong.yaml")
    setup = setup_of(site.programme, site.profile)
    promise = broken("must")[0]
    (verdict,) = prove(setup, [promise])

    def found() -> list[Mend]:
        return list(mends(site, setup, promise, verdict.settled.timeline, ["abort window"], Window()))

    quick = found()
    assert {each.value for each in quick} == {"24-hour-silent", "environment", "notice"}
    monkeypatch.setattr(mending, "breaks_again", lambda *_: False)
    assert found() == quick

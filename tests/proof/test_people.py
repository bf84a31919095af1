"""What is proved of people is held against what they do on random panels, by a judge from outside."""

from __future__ import annotations

import pytest

from tests.proof.people import contradictions
from zonewright.proof.prover.refine import VerdictKind


@pytest.mark.parametrize("seed", range(6))
def test_nothing_that_is_proved_of_people_is_contradicted_by_what_they_do(seed: int) -> None:
    found, count = contradictions(seed, statements=12, runs=3, length=600)
    assert found == []
    assert count[VerdictKind.HOLDS]
    assert count[VerdictKind.FAILS]


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(100, 140))
def test_nothing_that_is_proved_of_people_on_many_panels_is_contradicted(seed: int) -> None:
    found, _ = contradictions(seed, statements=40, runs=6, length=1500)
    assert found == []

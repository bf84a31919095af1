"""Verdicts held against what random panels really do, by a judge from outside that would notice a mistake."""

from __future__ import annotations

import pytest

from tests.proof.outside import PANELS, Tally, judge


@pytest.mark.parametrize("name", PANELS)
def test_no_verdict_on_a_random_panel_is_contradicted_by_what_it_does(name: str) -> None:
    """A thousand of each are judged by `python -m benchmarks.outside`."""
    tally = Tally()
    for seed in range(4):
        judge(name, seed, tally, most=12, runs=2, length=150)
    assert not tally.contradictions
    assert tally.statements >= 40
    assert tally.results["holds"] > 5 < tally.results["fails"]

"""Benchmarks that no other test uses measure what they say: a small run of each."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchmarks import growing, spin
from benchmarks.houses import house
from benchmarks.proving import prove_spread
from tests.behaviour.house import COTTAGE


@pytest.mark.parametrize("tick", spin.TICKS)
def test_the_promise_that_spin_is_given_can_be_told_with_each_tick_and_holds(tick: int) -> None:
    promise = spin.promise_at(tick)
    spin.from_nothing(promise)  # each asserts that it holds
    spin.again(promise)


@pytest.mark.deep
def test_unlike_areas_are_all_decided(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site = tmp_path / "house.yaml"
    site.write_text(house(24), encoding="utf-8")
    prove_spread(site, 3)
    found = capsys.readouterr().out
    assert "holds" in found
    assert "undecided" not in found


def test_growth_is_drawn_of_panels_that_grow() -> None:
    assert [len(growing.shops(count).areas) for count in (1, 2)] == [1, 2]
    assert growing.with_features(1).settings != growing.with_features(2).settings
    assert growing.slower(5).settings.abort_window == 5 * COTTAGE.settings.abort_window + 1
    panel = growing.Panel("prove", "zones", ((8, 0.1), (16, 0.3)))
    assert growing.drawing([panel]).count("<circle") == 2

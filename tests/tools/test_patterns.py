"""The sounds of the patterns, held to what is published of them."""

from __future__ import annotations

import pytest

from model_page.patterns import CADENCES
from zonewright.panel.behaviours import Pattern


def test_every_pattern_that_sounds_has_its_timing_in_the_order_of_precedence() -> None:
    assert list(CADENCES) == [pattern for pattern in Pattern if pattern is not Pattern.NONE]
    assert CADENCES[Pattern.INSIDE].words == CADENCES[Pattern.BURGLARY].words
    assert len({cadence.words for cadence in CADENCES.values()}) == len(CADENCES) - 1


@pytest.mark.parametrize(
    ("pattern", "name", "cycle_s"),
    [
        (Pattern.FIRE, "temporal-three", 4.0),  # ISO 8201, parts seen second-hand; sum computed
        (Pattern.GAS, "temporal-four", 5.7),  # NFPA 720, UL 2034, from memory; sum computed
        (Pattern.BURGLARY, "burglary", 0),
    ],
)
def test_a_round_has_its_published_length(pattern: Pattern, name: str, cycle_s: float) -> None:
    assert CADENCES[pattern].name == name
    assert CADENCES[pattern].cycle_s == pytest.approx(cycle_s)


def test_the_limits_of_temporal_three() -> None:
    """ISO 8201 as quoted in a building code's note, seen."""
    fire = CADENCES[Pattern.FIRE]
    assert fire.window_s(fire.on_s) == pytest.approx((0.45, 0.55))
    assert fire.window_s(fire.pause_s) == pytest.approx((1.35, 1.65))


def test_timing_in_words() -> None:
    assert CADENCES[Pattern.FIRE].words == "3 pulses of 0.5 s, 0.5 s apart, then 1.5 s of silence"
    assert CADENCES[Pattern.TROUBLE].words == "a pulse of 0.1 s, then 9.9 s of silence"
    assert CADENCES[Pattern.BURGLARY].words == "steady or sweeping"

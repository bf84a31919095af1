"""Standby batteries: the values of the trade's shelf, each with the source that it names.

`standby-*`, `peukert-*`, `recharge-*`, `float-*`: computed there from the formulas of section 4.2. `cold-factor-*`:
IEEE 485 table 1 as a sizing page gives it, seen. `en50131-*`: EN 50131-6 ed. 2 quoted on a trade page, seen.
`nfpa72-household`: NFPA 72-2007 11.6.2, seen second-hand.
"""

from __future__ import annotations

import pytest

from zonewright.physics.standby import (
    REQUIREMENTS,
    charge_current,
    cold_factor,
    float_life,
    hours_at,
    next_block,
    standby_capacity,
)

CAPACITY = [
    ("standby-24h-4min", 0.065, 0.45, 24, 4 / 60, 1.25, 1.9875),
    ("standby-12h-grade2", 0.18, 0.62, 11.75, 0.25, 1.25, 2.8375),
    ("standby-60h-grade3", 0.21, 0.9, 59.75, 0.25, 1.25, 15.9656),
    ("standby-30h-grade3-told", 0.21, 0.9, 29.75, 0.25, 1.25, 8.0906),
    ("standby-24h-5min-fire", 0.095, 0.8, 24, 5 / 60, 1.2, 2.816),
    ("standby-zero-alarm", 0.1, 1, 10, 0, 1.0, 1.0),
]


@pytest.mark.parametrize(("name", "quiet", "alarm", "hours", "alarm_h", "ageing", "wanted"), CAPACITY)
def test_capacity(
    name: str, quiet: float, alarm: float, hours: float, alarm_h: float, ageing: float, wanted: float
) -> None:
    assert standby_capacity(quiet, alarm, hours, alarm_h, ageing) == pytest.approx(wanted, abs=0.001), name


def test_the_requirements_are_those_of_the_published_tables() -> None:
    household = REQUIREMENTS["household fire"]
    assert [household.standby_h, round(household.alarm_h * 60)] == [24, 4]
    wanted = {"grade 1": 12, "grade 2": 12, "grade 3": 60, "grade 3 told": 30, "grade 4": 60}
    assert {name: REQUIREMENTS[name].standby_h for name in wanted} == wanted
    grade = REQUIREMENTS["grade 2"]
    assert standby_capacity(0.18, 0.62, grade.quiet_h, grade.alarm_h, grade.ageing) == pytest.approx(2.8375)


@pytest.mark.parametrize(
    ("celsius", "factor"), [(-20, 1.59), (-10, 1.35), (0, 1.19), (10, 1.11), (15, 1.07), (20, 1.04), (25, 1.0)]
)
def test_cold(celsius: float, factor: float) -> None:
    assert cold_factor(celsius) == factor


def test_cold_between_and_beyond_the_table() -> None:
    assert cold_factor(5) == pytest.approx(1.15)
    assert cold_factor(40) == 1
    assert 1.9875 * cold_factor(0) == pytest.approx(2.3651, abs=0.0005)


def test_below_the_table_nothing_is_made_up() -> None:
    with pytest.raises(ValueError, match="-20"):
        cold_factor(-21)


def test_high_rate_recharge_and_life() -> None:
    assert hours_at(1, 7) == pytest.approx(5.9801, abs=0.001)
    assert hours_at(0.35, 7) == pytest.approx(20)
    assert hours_at(1, 7, exponent=1) == pytest.approx(7)
    assert charge_current(7, 72) == pytest.approx(0.0915, abs=0.0001)
    assert charge_current(17, 24) == pytest.approx(0.6667, abs=0.0001)
    assert float_life(5, 33) == pytest.approx(2.0306, abs=0.001)


def test_the_next_common_block() -> None:
    assert next_block(1.9875) == 2.1
    assert next_block(7) == 7
    assert next_block(30) is None


@pytest.mark.parametrize("loads", [(-1, 0, 1, 0), (float("nan"), 0, 1, 0), (0, 0, float("inf"), 0)])
def test_what_is_no_load_is_refused(loads: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="numbers"):
        standby_capacity(*loads)

"""The small texts of a file become values, and nothing else does."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zonewright.site.record import day, metres, seconds, whole_number, yes_or_no


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("45 s", 45),
        ("45s", 45),
        (" 1 sec ", 1),
        ("2 seconds", 2),
        ("5 min", 300),
        ("1 minute", 60),
        ("12 h", 43_200),
        ("1 hour", 3600),
    ],
)
def test_a_time_has_its_unit(text: str, value: int) -> None:
    assert seconds(text) == value


@pytest.mark.parametrize(
    "text", ["45", "", "s", "4.5 s", "-1 s", "1e3 s", "٣ s", "5 m", "5 minuets", "1234567 s", None, True, ["1 s"]]
)
def test_anything_else_is_no_time(text: object) -> None:
    with pytest.raises(ValueError, match="write a time with its unit"):
        seconds(text)


@pytest.mark.parametrize("text", ["", "-1", "1.0", "1 0", "0x1", "1234567890", "²", "٣", "nan", True, None, 1.0])
def test_anything_but_digits_is_no_whole_number(text: object) -> None:
    with pytest.raises(ValueError, match="write a whole number"):
        whole_number(text)


@pytest.mark.parametrize("text", ["true", "Yes", "YES", "on", "1", "", "y", None, 1])
def test_only_yes_and_no_are_either(text: object) -> None:
    with pytest.raises(ValueError, match="write yes or no"):
        yes_or_no(text)


@pytest.mark.parametrize(
    "text", ["20261120", "2026-W47-5", "26-11-20", "2026-11-20 ", "1700000000", "2026-1-2", "٢٠٢٦-11-20", 5, None]
)
def test_a_day_has_one_form(text: object) -> None:
    with pytest.raises(ValueError, match="write a day as year-month-day"):
        day(text)


def test_a_day_must_exist() -> None:
    assert day("2028-02-29") == date(2028, 2, 29)
    with pytest.raises(ValueError, match="there is no such day"):
        day("2026-02-29")


@pytest.mark.parametrize("text", ["", "nan", "inf", "1e3", "1,5", "3 yards", "1.23456", "3 m 2", "٣", None, True])
def test_anything_else_is_no_length(text: object) -> None:
    with pytest.raises(ValueError, match="write a length"):
        metres(text)


@given(st.decimals(-999_999, 999_999, places=4))
def test_feet_and_metres_are_one_length(value: object) -> None:
    assert metres(f"{value} ft") == pytest.approx(0.3048 * float(str(value)), rel=1e-12, abs=1e-12)
    assert metres(f"{value}", "feet") == metres(f"{value} ft")
    assert metres(f"{value}") == metres(f"{value} m") == float(str(value))

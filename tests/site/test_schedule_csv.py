"""Schedules out of spreadsheets."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from zonewright.site.schedule_csv import read_schedule

TEXT = (
    "No;Zone name;Does;Device;Where\n1;front door;entry-door;contact;hall\n;side gate;notice;wide-gap contact;porch\n"
)
COLUMNS = {"zone": "No", "called": "Zone name", "behaviour": "Does", "kind": "Device", "room": "Where"}


def test_columns_are_found_by_the_names_they_are_mapped_to() -> None:
    made = read_schedule(TEXT, "z.csv", COLUMNS)
    assert made.findings == ()
    assert list(made.devices) == ["hall-front-door", "porch-side-gate"]
    assert made.devices["porch-side-gate"]["zone"] == {
        "number": "next free", "area": "house", "behaviour": "notice", "called": "side gate",
    }  # fmt: skip


def test_every_missing_column_is_told_at_once_with_the_columns_there_are() -> None:
    found = read_schedule(TEXT, "z.csv", {"zone": "Nr"}).findings
    assert len(found) == 4
    assert all("Zone name" in finding.fix for finding in found)


def test_an_empty_cell_that_is_needed_is_told_with_its_line() -> None:
    (finding,) = read_schedule(TEXT.replace("side gate", ""), "z.csv", COLUMNS).findings
    assert finding.place is not None
    assert finding.place.line == 3


def test_an_unknown_field_names_the_nearest() -> None:
    (finding, *_) = read_schedule(TEXT, "z.csv", {**COLUMNS, "behavior": "Does"}).findings
    assert finding.nearest == "behaviour"


def test_nothing_at_all_is_told() -> None:
    assert read_schedule("", "z.csv", {}).findings
    assert read_schedule("called,behaviour,kind\n", "z.csv", {}).findings[0].says == "it has no rows"


@given(st.text(max_size=400))
def test_any_text_is_answered(text: str) -> None:
    made = read_schedule(text, "z.csv", {})
    assert made.findings or made.devices

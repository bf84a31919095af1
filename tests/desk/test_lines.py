"""Lines come out of a stream one by one, however long it is, and a site's messages without a station, too."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from zonewright.desk.job import open_text
from zonewright.desk.lines import MOST_LINES, NO_ACCOUNT, expected_of, lines_of
from zonewright.desk.results.messages import MOST_SIGNS, line_of
from zonewright.findings import BadInput

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


def test_blank_lines_are_left_out_and_strange_bytes_are_told_as_such() -> None:
    assert list(lines_of(io.BytesIO(b" 1234181131010158\r\n\n  \n\xff#\n"))) == ["1234181131010158", "\\xff#"]


def test_of_a_line_without_end_no_more_is_read_than_shows_that_it_is_too_long() -> None:
    first = next(lines_of(io.BytesIO(b"1" * (40 * MOST_SIGNS))))
    assert MOST_SIGNS < len(first) <= 4 * MOST_SIGNS
    assert not line_of(first).valid


def test_more_lines_than_anybody_reads_are_refused_where_they_come() -> None:
    lines = lines_of(io.BytesIO(b"1\n" * (MOST_LINES + 1)))
    assert sum(1 for _, _ in zip(range(MOST_LINES), lines, strict=False)) == MOST_LINES
    with pytest.raises(BadInput, match="more than"):
        next(lines)


def test_without_a_station_nothing_is_expected() -> None:
    text = (FILES / "larkfield.yaml").read_text("utf-8")
    assert {each.dc05.account for each in expected_of(open_text({"site.yaml": text}, "site.yaml"))} == {"4021"}
    alone = "".join(line for line in text.splitlines(keepends=True) if not line.startswith("station:"))
    found = expected_of(open_text({"site.yaml": alone}, "site.yaml"))
    assert {each.dc05.account for each in found} <= {NO_ACCOUNT}

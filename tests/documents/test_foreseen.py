from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.documents.packs import made, opened, pack, squeezed, whole_text
from zonewright.documents.foreseen import foreseen
from zonewright.documents.pack import render
from zonewright.documents.records import StripBar
from zonewright.documents.schedule import in_threes, unbroken
from zonewright.words.matrix import Mark
from zonewright.words.telling import ranges


def test_bars_of_a_row_cover_every_mode() -> None:
    for table in pack().foreseen.tables:
        for area in table.areas:
            for row in area.rows:
                assert sum(bar.span for bar in row.bars) == len(pack().foreseen.modes)


def test_every_zone_stands_once_in_the_strips() -> None:
    (table, *_) = pack().foreseen.tables
    named = [int(zone.name) for area in table.areas for row in area.rows for zone in row.zones]
    assert sorted(named) == [zone.number for zone in made().setup.zones]


def test_every_mark_that_a_bar_can_have_is_drawn() -> None:
    table = pack().foreseen.tables[0]
    area = table.areas[0]
    rows = tuple(replace(area.rows[0], bars=(StripBar(4, mark.value, f"it is {mark.value}", "sent"),)) for mark in Mark)
    drawn = replace(table, areas=(replace(area, rows=rows),))
    text = whole_text(render(replace(pack(), foreseen=replace(pack().foreseen, tables=(drawn,)))))
    for mark in Mark:
        assert squeezed("nothing" if mark is Mark.NOTHING else f"it is {mark.value}sent") in text


def test_more_than_six_zones_alike_are_told_as_ranges(tmp_path: Path) -> None:
    devices = "".join(
        f"  d{n}: {{kind: contact, number: {{printed: 51 {n:06d} A}}, at: {{room: hall}},\n"
        f"    zone: {{number: {n}, area: house, behaviour: perimeter, called: window}}}}\n"
        for n in (1, 2, 3, 4, 5, 8, 9)
    )
    _, matrix = opened(f"site: Row\npanel: tern\nareas: {{house: {{}}}}\ndevices:\n{devices}", tmp_path)
    (row,) = foreseen(matrix, {1: "house"}, {}).tables[0].areas[0].rows
    assert row.zones == ()
    assert row.ranges == "1\N{EN DASH}5, 8, 9"


@pytest.mark.parametrize(
    ("numbers", "told"),
    [([], ""), ([4], "4"), ([1, 2], "1, 2"), ([3, 1, 2], "1\N{EN DASH}3"), ([1, 3, 4, 5, 9], "1, 3\N{EN DASH}5, 9")],
)
def test_ranges(numbers: list[int], told: str) -> None:
    assert ranges(numbers) == told


def test_device_number_is_split_in_threes() -> None:
    assert in_threes("904827").split() == ["904", "827"]
    assert in_threes("9048271").split() == ["904", "827", "1"]


def test_times_stay_on_one_line() -> None:
    assert unbroken("30 s later, 12 h, 2 alarms").split(" ") == [
        "30\N{NO-BREAK SPACE}s",
        "later,",
        "12\N{NO-BREAK SPACE}h,",
        "2",
        "alarms",
    ]

"""Cells, fused strips, and what is the same for nearly all."""

from __future__ import annotations

import time

import pytest

from tests.behaviour.house import COTTAGE, DOOR, GATE, HALL, LOUNGE, SMOKE, WINDOW, arm, disarm, house, zone
from zonewright.behaviour.events import DisplayLine, Event, ZoneOpens, ZoneTrips
from zonewright.behaviour.state import Phase
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import Cause, Mark, at_rest, matrix
from zonewright.words.strips import MatrixBar, bars, common, common_in_words, strips

D, S, N, A = Mode


def test_a_delayed_alarm_tells_its_seconds() -> None:
    cell = matrix(COTTAGE).cell(DOOR, A)
    assert (cell.siren_after, cell.pattern) == (30, Pattern.BURGLARY)
    assert (cell.message, cell.message_after) == ("entry door alarm", 60)
    assert (cell.mark, cell.words) == (Mark.SIREN_DELAYED, "siren after 30 s")
    assert cell.heard == ((0, "entry beeps"), (20, "fast entry beeps"), (30, "siren"))
    assert [(after, shown.line) for after, shown in cell.shown] == [(30, DisplayLine.ALARM)]


def test_each_way_of_being_noticed_has_its_mark_and_words() -> None:
    setup = house(
        zone(1, "fire"),
        zone(2, "environment"),
        zone(3, "notice", chime="two notes"),
        zone(4, "notice", chime="spoken"),
        zone(5, "holdup"),
        zone(6, "24-hour-silent"),
        zone(7, "24-hour-silent", tells_alarm=False),
        zone(8, "notice"),
        zone(9, "medical"),
    )
    made = matrix(setup, [Cause.OPENS])
    found = [(made.cell(one.number, A).mark, made.cell(one.number, A).words) for one in setup.zones]
    assert found == [
        (Mark.SIREN, "fire siren at once"),
        (Mark.TONE, "trouble tone"),
        (Mark.CHIME, "two notes"),
        (Mark.CHIME, "says its label"),
        (Mark.SILENT_SENT, "silent"),
        (Mark.SILENT_SENT, "silent, shown"),
        (Mark.SHOWN, "shown only"),
        (Mark.NOTHING, "nothing"),
        (Mark.TONE, "medical tone"),
    ]


def test_spoken_cells_say_so() -> None:
    assert matrix(COTTAGE).cell(GATE, A).spoken
    assert not matrix(COTTAGE).cell(DOOR, D).spoken


def test_a_shared_zone_is_tried_with_all_its_areas_armed() -> None:
    setup = house(zone(1, "perimeter", areas=(1, 2)), zone(2, "perimeter"))
    assert matrix(setup).cell(ZoneNumber(1), S).words == "siren at once"


@pytest.mark.parametrize("mode", list(Mode))
def test_a_panel_at_rest_is_in_its_mode(mode: Mode) -> None:
    panel = at_rest(COTTAGE, COTTAGE.areas, mode)
    assert panel.at_rest
    assert panel.control.areas[0].mode is mode
    assert panel.control.areas[0].phase is (Phase.REST if mode is D else Phase.SET)


def test_equal_neighbours_are_one_bar() -> None:
    made = matrix(COTTAGE)
    assert bars(made.row(WINDOW)) == (
        MatrixBar((D,), Mark.NOTHING, "nothing", None, None),
        MatrixBar((S, N, A), Mark.SIREN, "siren at once", "perimeter alarm", 30),
    )
    assert [bar.short for bar in bars(made.row(HALL))] == ["nothing", "siren"]


def test_zones_alike_share_a_row_and_shared_zones_stand_apart() -> None:
    setup = house(
        zone(1, "perimeter", areas=(2,)),
        zone(2, "perimeter"),
        zone(3, "fire"),
        zone(4, "perimeter"),
        zone(5, "perimeter", areas=(1, 2)),
    )
    drawn = [(sorted(part.areas), [row.zones for row in part.rows]) for part in strips(matrix(setup))]
    assert drawn == [([1], [(2, 4), (3,)]), ([2], [(1,)]), ([1, 2], [(5,)])]


def test_what_is_the_same_for_four_in_five_is_a_sentence_with_its_exceptions() -> None:
    windows = [zone(n, "perimeter", supervise=True) for n in range(1, 5)]
    made = matrix(house(*windows, zone(5, "perimeter", supervise=False)))
    found = common(made, Cause.MISSING)
    assert found is not None
    assert common_in_words(found) == (
        'All zones, out of contact: in every mode trouble tone after 12 h, message "missing" after 12 h.'
        " Not so: zone 5: in every mode nothing."
    )


def test_what_is_the_same_for_fewer_is_none() -> None:
    windows = [zone(n, "perimeter", supervise=n < 4) for n in range(1, 5)]
    assert common(matrix(house(*windows)), Cause.MISSING) is None


def test_the_matrix_of_a_large_site_is_whole() -> None:
    """Said besides (`pytest -s`), not judged: the seconds of the matrix and the microseconds of a `step`."""
    names = ["entry-door", "perimeter", "on-route", "interior", "fire", "notice", "holdup", "environment"]
    setup = house(*(zone(n, names[n % len(names)], areas=(1 + n % 4,), supervise=True) for n in range(1, 201)))
    start = time.perf_counter()
    made = matrix(setup)
    print(f"\nmatrix of 200 zones: {time.perf_counter() - start:.2f} s")
    assert len(made.cells) == 200 * len(Mode) * len(Cause)
    control = at_rest(setup, setup.areas, A).control
    given: list[Event] = [*(ZoneTrips(ZoneNumber(n)) for n in range(1, 201)), disarm(), arm()]
    start = time.perf_counter()
    for _ in range(20):
        for event in given:
            control = step(setup, control, event).control
    print(f"step: {(time.perf_counter() - start) / 20 / len(given) * 1e6:.1f} µs")
    assert control.areas[0].phase is Phase.EXIT


def test_runs_leave_the_rested_panel_as_it_was() -> None:
    panel = at_rest(COTTAGE, COTTAGE.areas, A)
    before = panel.control
    twin = panel.copy()
    twin.give(ZoneOpens(LOUNGE))
    twin.give(ZoneOpens(SMOKE))
    assert panel.control == before
    assert twin.control.siren is Pattern.FIRE

"""Battery, messages, test sheet and hand-over record: computed, complete, and without a code."""

from __future__ import annotations

from pathlib import Path

from zonewright.behaviour.setup import setup_of
from zonewright.documents.leaving import HANDED_OVER, listings, spaced
from zonewright.documents.records import Checklist
from zonewright.panel.opening import open_site
from zonewright.signals import dc05
from zonewright.words.matrix import matrix

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"


def made() -> dict[str, Checklist]:
    resolved = open_site(DEMO)
    return {each.title: each for each in listings(resolved, matrix(setup_of(resolved.programme, resolved.profile)))}


def test_the_battery_sum_can_be_checked_with_a_pencil() -> None:
    battery = made()["Standby battery"]
    assert [row[0] for row in battery.rows] == ["panel and communicator", "hall keypad", "siren", "together"]
    assert "= 1.21 Ah" in battery.ending  # (0.205 A x 4 h + 0.8 A x 4 min) x 1.25 x 1.11
    assert "from memory" in battery.ending


def test_every_zone_that_sends_stands_in_the_messages_with_a_right_check_digit() -> None:
    rows = made()["Messages to the station"].rows
    assert [row[0] for row in rows if row[0]] == ["1", "2", "3", "4", "5", "6", "7", "9", "10", "11"]
    for row in rows:
        if row[3]:
            assert isinstance(dc05.decode(row[3].replace("\N{NO-BREAK SPACE}", " ")), dc05.Dc05)
    assert next(row for row in rows if row[0] == "7")[2] == "none"


def test_the_test_sheet_asks_for_every_mode_silence_included() -> None:
    rows = made()["Test sheet"].rows
    gate = [row for row in rows if row[1] == "porch side gate"]
    assert [(row[2], row[3], row[4]) for row in gate] == [("in every mode", "two notes", "none")]
    assert any(row[3] == "nothing" for row in rows)


def test_the_test_sheet_says_that_a_shared_zone_needs_all_its_areas() -> None:
    resolved = open_site(DEMO.with_name("bakery.yaml"))
    found = listings(resolved, matrix(setup_of(resolved.programme, resolved.profile)))
    (rows,) = (each.rows for each in found if each.title == "Test sheet")
    (hall,) = (place for place, row in enumerate(rows) if row[1] == "hall")
    assert "all its areas are armed away" in {row[2] for row in rows[hall : hall + 2]}


def test_the_hand_over_is_signed_and_starts_empty() -> None:
    record = made()["Hand-over record"]
    assert record.signed
    assert len(record.rows) == len(HANDED_OVER)
    assert all(row[2] == row[3] == "" for row in record.rows)


def test_a_message_is_spaced_by_its_fields() -> None:
    assert spaced("4021181131010158").replace("\N{NO-BREAK SPACE}", " ") == "4021 18 1131 01 015 8"

"""The practice keypad: on the sheet, off it, and back."""

from __future__ import annotations

from tests.entry.house import after, before
from zonewright.entry.sheets.practise import Practice, along, differences, enter, free, next_step
from zonewright.entry.sheets.sheet import delta
from zonewright.panel.legal import as_shipped

SHEET = delta(after().profile, before().programme, after().programme)
ALL = ["no no 7", "1234", "yes yes", "no no yes", "4714 9211 yes", "04", "no yes", "no no no no no no no yes", "yes"]
ALL += ["yes", "yes", "6501 yes", "yes", "trip", "yes"]


def keyed(lines: list[str]) -> Practice:
    practice = along(SHEET)
    for line in lines:
        practice = enter(practice, line)
    return practice


def test_keyed_as_printed_the_panel_holds_the_plan() -> None:
    done = keyed(ALL)
    assert done.finished
    assert differences(done) == []


def test_a_silent_slip_is_told_at_once() -> None:
    off = keyed([*ALL[:8], "no"])
    assert off.said[0] == "off the sheet at step 10: no where it says yes"
    assert "silent" in off.said[1]
    assert next_step(off) is None


def test_back_leads_back_onto_the_sheet() -> None:
    back = keyed([*ALL[:8], "no", "back", "yes"])
    assert back.said == ("back on the sheet",)
    step = next_step(back)
    assert step is not None
    assert step.number == 11


def test_a_refusal_leaves_the_sheet_where_it_was() -> None:
    refused = keyed([*ALL[:4], "4715"])
    assert refused.said == ("refused: 5 where the sheet says 4",)
    step = next_step(refused)
    assert step is not None
    assert step.number == 6


def test_after_the_time_out_the_job_is_done_again() -> None:
    again = keyed([*ALL[:6], "wait", *ALL])
    assert again.finished
    assert differences(again) == []


def test_another_device_is_told_by_its_number() -> None:
    wrong = keyed([*ALL[:13], "trip 904872"])
    assert "904872" in wrong.said[1]


def test_a_device_without_a_whole_number_is_not_tripped() -> None:
    half = keyed([*ALL[:13], "trip 9048"])
    assert half.said == ("say which device: trip and the digits of its number",)
    assert half.shows == ("Trip it now", "waiting")


def test_keys_after_a_difference_are_not_pressed() -> None:
    assert keyed([*ALL[:6], "yes no yes"]).shows == ("Acts as", "outside opening?")


def test_without_a_sheet_anything_goes_and_nothing_is_planned() -> None:
    practice = enter(free(after().profile, as_shipped(after().profile)), "no no 7 1234")
    assert practice.shows == ("A device?", "")
    assert differences(practice) == []


def test_a_word_that_is_no_key_is_told() -> None:
    assert keyed(["hello"]).said[0].startswith('no key "hello"')

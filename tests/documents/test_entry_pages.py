from __future__ import annotations

from dataclasses import replace

from tests.documents.packs import pack, sheets, site
from zonewright.documents.entry_pages import BLANK, entry_pages
from zonewright.entry.keypad.pressing import press
from zonewright.entry.keypad.showing import display
from zonewright.entry.keypad.standing import at_rest
from zonewright.panel.programme import Item, Value


def test_whole_sheet_and_delta_are_told_apart() -> None:
    whole, delta = pack().sheets
    assert whole.title == "Entry sheet: everything"
    assert delta.title == "Entry sheet: what changes"
    assert whole.untouched == ""
    assert "front door" in delta.untouched


def test_first_frame_starts_with_the_station_and_ends_with_the_way_in() -> None:
    first = pack().sheets[0].first
    assert first[0].text.startswith("Put account 4021 on test")
    assert first[0].write
    assert first[-2].keys == (("no",), ("no",), ("7",))
    assert first[-1].keys == ((BLANK,) * 4,)


def test_last_frame_ends_with_the_station() -> None:
    last = pack().sheets[0].last
    assert last[0].keys == (("back",),)
    assert last[-1].text.startswith("Take account 4021 off test")
    assert last[-1].write


def test_site_without_a_station_rings_nobody() -> None:
    alone = site().site.model_copy(update={"station": None})
    mute = sheets()[0].new.changed({Item("station/told"): Value("no")})
    page = entry_pages(replace(sheets()[0], new=mute), replace(site(), site=alone))
    assert not any(step.write for step in (*page.first, *page.last))


def test_every_step_but_the_way_in_is_in_a_block_with_its_own_number() -> None:
    for page, sheet in zip(pack().sheets, sheets(), strict=True):
        for place, (block, job) in enumerate(zip(page.blocks, sheet.jobs, strict=True)):
            numbers = [step.number for step in job.steps]
            assert [step.number for step in block.steps] == (numbers[2:] if place == 0 else numbers)


def test_reading_back_as_printed_shows_what_it_must_and_changes_nothing() -> None:
    for page, sheet in zip(pack().sheets, sheets(), strict=True):
        assert page.read_back
        state = at_rest(sheet.profile, sheet.new)
        for part in page.read_back:
            for row in part.rows:
                for key in (key for group in row.keys for key in group):
                    state = press(sheet.profile, state, "0" if key == BLANK else key)
                presses = 0
                while row.until and display(sheet.profile, state) != row.shows:
                    state = press(sheet.profile, state, row.until)
                    presses += 1
                    assert presses < 30
                assert display(sheet.profile, state) == row.shows
            while display(sheet.profile, state)[0] != sheet.walk.home:
                state = press(sheet.profile, state, sheet.profile.back)
            assert dict(state.held) == dict(sheet.new.values)


def test_person_is_called_by_name() -> None:
    assert "Person 1 Ida" in [block.title for block in pack().sheets[0].blocks]

"""Sheets: replayed to equality for any legal Programme, and the shortest way for a change."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.entry.house import after, before
from zonewright import cli
from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.strokes import NoWay
from zonewright.entry.sheets.sheet import EntrySheet, delta, replay, whole
from zonewright.entry.sheets.text import sheet_lines, step_lines
from zonewright.panel.legal import as_shipped, random_change, random_programme, settled
from zonewright.panel.opening import open_site
from zonewright.panel.profile_file import shipped
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value

TERN = shipped("tern")


def drawn(seed: int) -> tuple[Programme, random.Random]:
    rng = random.Random(seed)
    return random_programme(TERN, rng, rng.randint(1, 4), rng.randint(0, 2)), rng


@settings(max_examples=1000)
@given(st.integers(min_value=0, max_value=2**40))
def test_the_keys_of_a_whole_sheet_give_back_any_legal_programme(seed: int) -> None:
    plan, _ = drawn(seed)
    strokes = [stroke for done in drive(TERN, as_shipped(TERN), plan) for stroke in done.strokes]
    assert dict(strokes[-1].after.held) == dict(plan.values)


@settings(max_examples=500)
@given(st.integers(min_value=0, max_value=2**40))
def test_the_keys_of_a_delta_sheet_give_any_new_programme_and_ask_nothing_twice(seed: int) -> None:
    old, rng = drawn(seed)
    new = random_change(TERN, rng, old, rng.randint(1, 5))
    done = drive(TERN, old, new)
    end = done[-1].strokes[-1].after.held if done else old.values
    assert dict(end) == dict(new.values)
    for job in done:
        answered = [stroke.item for stroke in job.strokes if stroke.item is not None]
        assert len(answered) == len(set(answered))


@pytest.mark.parametrize("seed", range(12))
def test_what_is_printed_is_replayed_to_equality(seed: int) -> None:
    old, rng = drawn(seed)
    new = random_change(TERN, rng, old, 3)
    assert replay(delta(TERN, old, new)).values == new.values
    assert replay(whole(TERN, new)).values == new.values


def gate() -> EntrySheet:
    return delta(after().profile, before().programme, after().programme)


def test_nothing_changed_needs_no_key() -> None:
    sheet = delta(TERN, after().programme, after().programme)
    assert sheet.jobs == ()
    assert sheet_lines(sheet) == ["Nothing to key: the panel holds it all already."]


def test_one_new_device_is_one_short_job() -> None:
    sheet = gate()
    (job,) = sheet.jobs
    assert job.new
    assert job.title == "zone 7 porch side gate"
    assert sheet.presses < 50
    assert sheet.untouched == (1, 2, 3, 4, 5, 6, 9, 10, 11)


def test_nothing_of_a_device_is_kept_before_it_is_tripped() -> None:
    (job,) = gate().jobs
    assert job.steps[job.saved_at[0] - 1].trip == "904827"


def test_a_dead_transmitter_is_swapped_in_its_own_zone() -> None:
    old = after().programme
    new = old.changed({Item("zone/3/number"): Value("904799")})
    (job,) = delta(TERN, old, new).jobs
    assert [(change.field, change.old, change.new) for change in job.changes] == [("number", "904766", "904799")]
    assert all(step.keys == () or step.item is None or step.value == old.get(step.item) for step in job.steps)


def test_a_zone_taken_out_leaves_nothing_behind() -> None:
    old = after().programme
    new = old.changed({item: None for item in old if item.startswith("zone/10/")})
    sheet = delta(TERN, old, new)
    assert [job.title for job in sheet.jobs] == ["zone 10 workshop window: take out"]
    assert not any(item.startswith("zone/10/") for item in replay(sheet))


def test_a_moved_transmitter_is_taken_out_before_it_is_learnt_elsewhere() -> None:
    old = after().programme
    moved = {Item(f"zone/20/{field}"): value for field, value in old.fields("zone", 3).items()}
    new = old.changed({**{item: None for item in old if item.startswith("zone/3/")}, **moved})
    assert [job.job.gone for job in delta(TERN, old, new).jobs] == [True, False]


def exchanged(*zones: int) -> Programme:
    """Return the demo house with the numbers of these zones passed on to the next, the last one's to the first."""
    old = after().programme
    numbers = [old[Item(f"zone/{zone}/number")] for zone in zones]
    return old.changed({Item(f"zone/{zone}/number"): numbers[n - 1] for n, zone in enumerate(zones)})


def test_a_zone_waits_until_another_has_given_its_device_up() -> None:
    old = after().programme
    freed = {Item("zone/3/number"): old[Item("zone/4/number")], Item("zone/4/number"): Value("111111")}
    assert [job.job.number for job in delta(TERN, old, old.changed(freed)).jobs] == [4, 3]


@pytest.mark.parametrize("zones", [(3, 4), (3, 4, 5)])
def test_exchanged_devices_take_one_zone_out_and_key_it_again(zones: tuple[int, ...]) -> None:
    old, new = after().programme, exchanged(*zones)
    made = delta(TERN, old, new)
    assert replay(made).values == new.values
    assert [job.job.number for job in made.jobs if job.job.gone] == [3]
    again = [job for job in made.jobs if job.job.number == 3 and not job.job.gone]
    assert [job.new for job in again] == [True]


def test_changing_the_kind_brings_the_input_back_into_the_sheet() -> None:
    old = after().programme
    new = old.changed({Item("zone/1/kind"): Value("contact with a second input"), Item("zone/1/input"): Value("wire")})
    (job,) = delta(TERN, old, new).jobs
    assert "zone/1/input" in [step.item for step in job.steps]


def test_what_is_only_shown_cannot_be_keyed() -> None:
    old = after().programme
    with pytest.raises(NoWay, match="panel/edition"):
        delta(TERN, old, old.changed({Item("panel/edition"): Value("T9.9")}))


def test_a_sheet_never_shows_a_code() -> None:
    sheet = whole(TERN, after().programme)
    asking = [step for job in sheet.jobs for step in job.steps if step.own_code]
    assert len(asking) == 1 + len(after().site.people)
    for step in asking:
        assert "own code, 4 digits" in "\n".join(step_lines(step))
        assert not any(sign.isdigit() for line in step_lines(step) for sign in line[8:].replace("4 digits", ""))


@pytest.mark.parametrize("sheet", [gate(), whole(TERN, after().programme)], ids=["delta", "whole"])
def test_a_sheet_fits_80_columns(sheet: EntrySheet) -> None:
    assert max(len(line) for line in sheet_lines(sheet)) <= 80


def test_steps_whose_slips_stay_silent_are_read_back() -> None:
    (job,) = gate().jobs
    assert [step.node for step in job.steps if step.read_back] == ["light", "watch", "troubles"]
    (part,) = gate().walk.parts
    assert [reading.shows for reading in part.readings] == [
        ("Its light", "04"),
        ("Watch it daily", "now yes"),
        ("Tell its troubles", "now yes"),
    ]


def test_what_calls_for_help_is_never_tripped_as_a_last_look() -> None:
    """The till button and the heat, smoke, carbon monoxide and gas detectors of the bakery are zones 9 to 13."""
    site = open_site(Path(cli.__file__).parent / "demo_files" / "bakery.yaml")
    told = {Item("station/told"): Value("no")}
    for changes, first in (({}, "get the station's word first"), (told, "warn all who hear it first")):
        sheet = whole(
            site.profile, Programme(site.profile.panel, settled(site.profile, {**site.programme.values, **changes}))
        )
        last = " ".join("\n".join(sheet_lines(sheet)).split("LAST")[1].split())
        assert "once more and watch: zones 1-8, 14-15." in last
        assert (
            f"Don't just trip zones 9-13: they are live at any time. Test them as the walk says, and {first}." in last
        )


def test_a_sheet_ends_with_taking_the_account_off_test_however_much_is_tried_before() -> None:
    """A door, a till button and somebody's code keyed in one change: six things are left to do, with letters a to f."""
    site = open_site(Path(cli.__file__).parent / "demo_files" / "bakery.yaml")
    keyed = [item for item in site.programme if item.startswith(("zone/1/", "zone/9/"))]
    old = site.programme.changed(dict.fromkeys(keyed)).changed({Item("user/2/code"): UNKNOWN})
    last = "\n".join(sheet_lines(delta(site.profile, old, site.programme))).split("LAST")[1]
    assert [line[2] for line in last.splitlines() if line[4:5] == " " and line[2:3].isalpha()] == list("abcdef")
    assert "  f  Take the account off test, and have it confirmed by name: ________________" in last

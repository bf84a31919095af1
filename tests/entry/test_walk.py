"""The closing walk: it finds every slip that stayed silent, and changes nothing."""

from __future__ import annotations

import random

import pytest

from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.pressing import press
from zonewright.entry.keypad.showing import Display, display
from zonewright.entry.keypad.standing import KeypadState, at_rest
from zonewright.entry.keypad.strokes import Act, KeyingJob
from zonewright.entry.sheets.sheet import EntrySheet, whole
from zonewright.entry.sheets.walk import reading_back
from zonewright.entry.slips.invited import Noticed, slips
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.profile_file import shipped
from zonewright.panel.programme import Programme

TERN = shipped("tern")


def sheet(seed: int) -> EntrySheet:
    return whole(TERN, random_programme(TERN, random.Random(seed), 3, 1))


def walked(made: EntrySheet, held: Programme) -> tuple[list[Display], KeypadState]:
    """Press the keys of the walk on a panel that holds this; return what each question showed, and the end."""
    state = at_rest(TERN, held)
    shown = []
    for part in made.walk.parts:
        for stroke in part.strokes:
            shown.append(display(TERN, state))
            for key in stroke.keys:
                state = press(TERN, state, key)
        shown.append(display(TERN, state))
        for key in part.leave:
            state = press(TERN, state, key)
    return shown, state


@pytest.mark.parametrize("seed", range(12))
def test_keyed_rightly_every_reading_shows_and_nothing_is_changed(seed: int) -> None:
    made = sheet(seed)
    shown, end = walked(made, made.new)
    assert [reading.shows for part in made.walk.parts for reading in part.readings if reading.shows not in shown] == []
    assert end.held == made.new.values
    assert display(TERN, end)[0] == made.walk.home


@pytest.mark.parametrize("seed", range(12))
def test_every_silent_slip_is_found_by_reading_back(seed: int) -> None:
    made = sheet(seed)
    right, _ = walked(made, made.new)
    silent = [slip for slip in slips(TERN, drive(TERN, as_shipped(TERN), made.new)) if slip.careful is Noticed.NEVER]
    assert silent
    for slip in silent:
        wrong, _ = walked(made, made.new.changed(dict(slip.gives)))
        assert wrong != right, slip


def test_the_code_is_keyed_once() -> None:
    made = sheet(1)
    asking = [stroke for part in made.walk.parts for stroke in part.strokes if stroke.act.value.startswith("own code")]
    assert len(made.walk.parts) > 2
    assert len(asking) == 1


@pytest.mark.parametrize("seed", range(3))
def test_a_slip_of_the_finger_while_reading_back_saves_nothing(seed: int) -> None:
    """The way out once led over `Keep all this`: a wrong key on the way was then saved."""
    quill = shipped("quill")
    plan = random_programme(quill, random.Random(seed), 3, 1)
    slips = 0
    for number in plan.numbers("zone"):
        wanted = {item: value for item, value in plan.values.items() if item.startswith(f"zone/{number}/")}
        part = reading_back(quill, plan, KeyingJob("zone", number, False, wanted), "")
        for slip in (n for n, stroke in enumerate(part.strokes) if stroke.act is Act.KEEP):
            state = at_rest(quill, plan)
            for n, stroke in enumerate(part.strokes):
                for key in (*(("down",) if n == slip else ()), *stroke.keys):
                    state = press(quill, state, key)
            slips += state.waiting != {}
            for key in part.leave:
                state = press(quill, state, key)
            assert dict(state.held) == plan.values, (number, part.strokes[slip].node)
    assert slips

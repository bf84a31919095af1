"""The ways back after a slip are what they say: each is keyed here to its end, on every shipped panel."""

from __future__ import annotations

import random

import pytest

from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.pressing import heard, idle, press
from zonewright.entry.keypad.standing import KeypadState, at_rest, programme_of
from zonewright.entry.keypad.strokes import Driven
from zonewright.entry.sheets.practise import WAIT, Practice, along, enter, next_step
from zonewright.entry.sheets.recovery import WrongDevice, _another, _dealt_with, wrong_device
from zonewright.entry.sheets.sheet import whole
from zonewright.entry.sheets.text import wrong_device_words
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.profile import Profile
from zonewright.panel.profile_file import shipped, shipped_names

TRIPPING = [name for name in shipped_names() if any(node.trip for node in shipped(name).script.values())]


def jobs_of(profile: Profile, seed: int) -> list[Driven]:
    plan = random_programme(profile, random.Random(seed), 3, 1)
    return list(drive(profile, as_shipped(profile), plan))


def after_wrong_device(profile: Profile, done: Driven, mend: WrongDevice) -> KeypadState:
    """Key a part with a wrong device at its trip, then mend it as told and finish it."""
    state = done.strokes[0].before
    place = mend.step - 1
    for stroke in done.strokes[:place]:
        for key in stroke.keys:
            state = press(profile, state, key)
    for key in done.strokes[place].keys:
        state = press(profile, state, key)
    state = heard(profile, state, _another(mend.number))
    if mend.strokes:
        state = left_as_told(profile, state, mend)
        for stroke in mend.strokes:
            for key in stroke.keys:
                state = press(profile, state, key)
            state = heard(profile, state, stroke.trip) if stroke.trip is not None else state
        return state
    for key in mend.keys:
        state = press(profile, state, key)
    for stroke in done.strokes[mend.again - 1 :]:
        state = _dealt_with(profile, state, stroke)
        state = heard(profile, state, stroke.trip) if stroke.trip is not None else state
    return state


def left_as_told(profile: Profile, state: KeypadState, mend: WrongDevice) -> KeypadState:
    """Press what is told, and `back` until the display is at rest; it must come to that."""
    if mend.waits:
        return idle(profile, state)
    for key in mend.keys:
        state = press(profile, state, key)
    for _ in range(20):
        if state.node == profile.rest:
            return state
        state = press(profile, state, profile.back)
    raise AssertionError("back never leads to rest")


@pytest.mark.parametrize("name", TRIPPING)
@pytest.mark.parametrize("seed", range(3))
def test_each_part_that_trips_a_device_names_its_own_step(name: str, seed: int) -> None:
    """One advice for the whole sheet was right for its first part only: others kept the wrong device."""
    sheet = whole(shipped(name), random_programme(shipped(name), random.Random(seed), 6, 1))
    for job in sheet.jobs:
        trips = [step.number for step in job.steps if step.trip is not None]
        words = wrong_device_words(sheet.profile, job)
        assert bool(words) == bool(trips)
        if trips:
            assert f"If step {trips[0]} shows another number" in words
            assert job.wrong_device is not None
            assert job.wrong_device.step == trips[0]


@pytest.mark.parametrize("name", TRIPPING)
@pytest.mark.parametrize("seed", range(3))
def test_a_wrong_device_is_mended_by_what_is_told_and_no_ghost_is_left(name: str, seed: int) -> None:
    profile = shipped(name)
    for done in jobs_of(profile, seed):
        if all(stroke.trip is None for stroke in done.strokes):
            continue
        mend = wrong_device(profile, done)
        assert mend is not None
        held = programme_of(profile, idle(profile, after_wrong_device(profile, done, mend)))
        wanted = done.strokes[0].before if mend.whole_again else done.strokes[-1].after
        assert held.values == programme_of(profile, wanted).values


@pytest.mark.parametrize("name", shipped_names())
@pytest.mark.parametrize("seed", range(2))
def test_before_the_step_that_saves_nothing_is_saved_and_at_it_something_is(name: str, seed: int) -> None:
    profile = shipped(name)
    sheet = whole(profile, random_programme(profile, random.Random(seed), 3, 1))
    state = at_rest(profile, sheet.old)
    for job in sheet.jobs:
        held = dict(state.held)
        for step in job.steps:
            before = dict(state.held)
            for key in (*(key for group in step.keys for key in group), *((step.accept,) if step.accept else ())):
                state = press(profile, state, key)
            state = heard(profile, state, step.trip) if step.trip is not None else state
            saves = dict(state.held) != before
            assert saves == (step.number in job.saved_at) or not job.saved_at
            if job.saved_at and step.number < min(job.saved_at):
                assert dict(idle(profile, state).held) == held, "leaving now loses all of it"


def strayed(profile: Profile, rng: random.Random) -> Practice:
    """Key along a sheet for a while, then press something that isn't printed."""
    practice = along(whole(profile, random_programme(profile, rng, 2, 1)))
    for _ in range(rng.randrange(5, 60)):
        step = next_step(practice)
        if step is None or practice.finished:
            break
        mark = practice.way[practice.at or 0]
        practice = enter(practice, f"trip {mark.next}" if mark.next == step.trip else mark.next)
    for _ in range(8):
        if practice.at is None:
            break
        practice = enter(practice, rng.choice(profile.keys.names))
    return practice


@pytest.mark.parametrize("name", shipped_names())
def test_the_advice_off_the_sheet_leads_back_when_it_is_followed(name: str) -> None:
    profile, rng = shipped(name), random.Random(7)
    followed = 0
    for _ in range(25):
        practice = strayed(profile, rng)
        if practice.at is not None or not practice.said:
            continue
        advice = practice.said[-1] if "key this to mend it" not in practice.said[-1] else practice.said[-2]
        if advice.startswith("press "):
            words = advice.split(":")[0].split()
            times = 1 if words[-1] == "once" else int(words[-2])
            for _ in range(times):
                practice = enter(practice, profile.back)
            assert practice.at is not None, advice
            followed += 1
        elif "nothing of this part is saved" in advice:
            title = practice.way[practice.off_since].title
            start = next(mark for mark in practice.way if mark.title == title)
            practice = enter(practice, WAIT)
            assert dict(practice.state.held) == dict(start.state.held)
            followed += 1
    assert followed

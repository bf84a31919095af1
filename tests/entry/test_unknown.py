"""A panel taken over without papers: what nobody knows is answered, or the sheet is refused."""

from __future__ import annotations

import random

import pytest

from tests.entry.house import after
from zonewright.entry.keypad.pressing import press
from zonewright.entry.keypad.showing import Display, display
from zonewright.entry.keypad.standing import KeypadState, answer_at, at_rest, present_value, programme_of
from zonewright.entry.keypad.strokes import NoWay
from zonewright.entry.keypad.styles import STYLES
from zonewright.entry.sheets.sheet import EntrySheet, SheetRow, delta, keyed
from zonewright.entry.sheets.text import sheet_lines
from zonewright.panel.legal import completion, random_change, random_programme
from zonewright.panel.profile import Profile, Style
from zonewright.panel.profile_file import shipped, shipped_names
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value

TERN = shipped("tern")


def half_known(profile: Profile, seed: int) -> tuple[Programme, Programme, Programme, random.Random]:
    """Return what a panel holds, what is known of it, and what it should hold."""
    rng = random.Random(seed)
    held = random_programme(profile, rng, 3, 1)
    answered = [item for item in held if profile.answer_of(item) is not None]
    known = held.changed(dict.fromkeys(rng.sample(answered, 4), UNKNOWN))
    return held, known, random_change(profile, rng, held, 3), rng


def done_by_a_person(sheet: EntrySheet, start: Programme) -> Programme:
    """Key a sheet by what is printed: where it says "until", until the display shows it, whatever the count."""
    state = at_rest(sheet.profile, start)
    for job in sheet.jobs:
        for step in job.steps:
            state = by_looking(sheet.profile, state, step) if step.until else keyed(sheet.profile, state, step)
    return programme_of(sheet.profile, state)


def by_looking(profile: Profile, state: KeypadState, step: SheetRow) -> KeypadState:
    """Scroll until the entry or the value stands there; the value beside an entry may be another than printed."""
    answer = answer_at(profile, profile.script[step.node])
    assert step.look is not None
    assert step.accept is not None
    if answer is not None and answer.style is Style.WHEEL:  # each digit until it stands there; the brackets may differ
        present = present_value(profile, state, profile.script[step.node].ask or Item(""))
        for key in STYLES[answer.style].keys(answer, present, step.value or "")[:-1]:
            state = press(profile, state, key)
        return press(profile, state, step.accept)
    presses = 0
    in_a_ring = profile.script[step.node].which is not None

    def seen(shown: Display) -> list[str]:
        return [line.split()[0] if in_a_ring and n == 1 else line for n, line in enumerate(shown[:2])]

    while seen(display(profile, state)) != seen(step.look):
        state = press(profile, state, step.keys[0][0])
        presses += 1
        assert presses < 200
    assert not step.counted or presses == len(step.keys)
    return press(profile, state, step.accept)


@pytest.mark.parametrize("block", range(10))
@pytest.mark.parametrize("name", shipped_names())
def test_whatever_stood_there_the_sheet_ends_in_the_plan(name: str, block: int) -> None:
    profile = shipped(name)
    for seed in range(block * 20, block * 20 + 20):
        held, known, plan, rng = half_known(profile, seed)
        sheet = delta(profile, known, plan)
        for start in (held, *(completion(profile, rng, known) for _ in range(3))):
            assert done_by_a_person(sheet, start).values == plan.values, seed


def test_presses_are_counted_only_from_a_known_start() -> None:
    plan = after().programme
    behaviour = Item("zone/7/behaviour")
    sheet = delta(TERN, plan.changed({behaviour: UNKNOWN}), plan)
    (step,) = [step for job in sheet.jobs for step in job.steps if step.item == behaviour]
    assert step.until
    assert not step.counted
    text = "\n".join(sheet_lines(sheet))
    assert "nobody knows what is there" in text
    assert "8 times" not in text


@pytest.mark.parametrize("field", ["behaviour", "label", "supervise", "chime"])
def test_an_answer_that_nobody_knows_is_never_passed_over(field: str) -> None:
    plan = random_programme(TERN, random.Random(5), 1)
    (number,) = plan.numbers("zone")
    unknown = {Item(f"zone/{number}/{field}"): UNKNOWN}
    known = plan.changed(unknown)
    new = known.changed({Item(f"zone/{number}/number"): Value("123456")})
    with pytest.raises(NoWay, match=f"nobody knows what the panel holds for zone/{number}/{field}"):
        delta(TERN, known, new)


def test_an_answer_that_nobody_knows_hinders_no_other_zone() -> None:
    plan = random_programme(TERN, random.Random(5), 2)
    first, second = plan.numbers("zone")
    known = plan.changed({Item(f"zone/{first}/label"): UNKNOWN})
    new = known.changed({Item(f"zone/{second}/label"): Value("back door")})
    (job,) = delta(TERN, known, new).jobs
    assert job.job.number == second

"""A panel taken over without papers: what nobody knows is answered, or the sheet is refused."""

from __future__ import annotations

import random

import pytest

from tests.entry.house import after
from zonewright.entry.drive import NoWay
from zonewright.entry.keypad import State, at_rest, display, press, programme_of
from zonewright.entry.sheet import EntrySheet, Step, delta, keyed
from zonewright.entry.text import sheet_lines
from zonewright.panel.answers import any_value
from zonewright.panel.legal import random_change, random_programme, settled, why_illegal
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value
from zonewright.panel.reading import shipped

TERN = shipped("tern")


def half_known(seed: int) -> tuple[Programme, Programme, Programme, random.Random]:
    """Return what a panel holds, what is known of it, and what it should hold."""
    rng = random.Random(seed)
    held = random_programme(TERN, rng, 3, 1)
    answered = [item for item in held if TERN.answer_of(item) is not None]
    known = held.changed(dict.fromkeys(rng.sample(answered, 4), UNKNOWN))
    return held, known, random_change(TERN, rng, held, 3), rng


def completed(known: Programme, rng: random.Random) -> Programme:
    """Return a Programme that the panel may hold, for all that is known: no known value is altered."""
    while True:
        values = dict(known.values)
        for item in [item for item, value in known.values.items() if value == UNKNOWN]:
            answer = TERN.answer_of(item)
            assert answer is not None
            values[item] = Value(any_value(answer, rng))
        settled_values = settled(TERN, values)
        kept = all(settled_values[item] == value for item, value in known.values.items() if value != UNKNOWN)
        made = Programme(TERN.panel, settled_values)
        if kept and why_illegal(TERN, made) == []:
            return made


def done_by_a_person(sheet: EntrySheet, start: Programme) -> Programme:
    """Key a sheet by what is printed: where it says "until", until the display shows it, whatever the count."""
    state = at_rest(TERN, start)
    for job in sheet.jobs:
        for step in job.steps:
            state = by_looking(state, step) if step.until else keyed(TERN, state, step)
    return programme_of(TERN, state)


def by_looking(state: State, step: Step) -> State:
    presses = 0
    while display(TERN, state) != step.look:
        state = press(TERN, state, step.keys[0][0])
        presses += 1
        assert presses < 20
    assert not step.counted or presses == len(step.keys)
    assert step.accept is not None
    return press(TERN, state, step.accept)


@pytest.mark.parametrize("block", range(10))
def test_whatever_stood_there_the_sheet_ends_in_the_plan(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        held, known, plan, rng = half_known(seed)
        sheet = delta(TERN, known, plan)
        for start in (held, *(completed(known, rng) for _ in range(3))):
            assert done_by_a_person(sheet, start).values == plan.values, seed


def test_presses_are_counted_only_from_a_known_start() -> None:
    plan = after().programme
    behaviour = Item("zone/7/behaviour")
    sheet = delta(TERN, plan.changed({behaviour: UNKNOWN}), plan)
    (step,) = [step for job in sheet.jobs for step in job.steps if step.item == behaviour]
    assert step.until
    assert not step.counted
    text = "\n".join(sheet_lines(sheet))
    assert "nobody knows what stands there" in text
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

"""The law of the answer styles: pressing the keys for a value gives that value at the last key, and never before."""

from __future__ import annotations

import random

import pytest

from zonewright.entry.keypad.styles import STYLES, Taken, Typing
from zonewright.panel.answers import any_value
from zonewright.panel.profile import Answer, Style
from zonewright.panel.profile_file import shipped
from zonewright.panel.programme import UNKNOWN

ANSWERS = {name: answer for name, answer in shipped("tern").answers.items() if answer.style is not Style.TRIP}


def values(answer: Answer, rng: random.Random) -> list[str]:
    if answer.choices:
        return list(answer.choices)
    if answer.style is Style.FLAG:
        return ["yes", "no"]
    return list({any_value(answer, rng) for _ in range(25)})


@pytest.mark.parametrize("name", ANSWERS)
def test_from_any_present_value_the_keys_give_the_wanted_one_at_the_last_key(name: str) -> None:
    answer, rng = ANSWERS[name], random.Random(name)
    style = STYLES[answer.style]
    wanted_values = values(answer, rng)
    for present in [None, *wanted_values]:
        for wanted in wanted_values:
            buffer = style.start(answer, present)
            keys = style.keys(answer, present, wanted)
            for place, key in enumerate(keys, 1):
                result = style.press(answer, present, buffer, key)
                if place == len(keys):
                    assert result == Taken(wanted), (present, wanted, keys)
                else:
                    assert isinstance(result, Typing), (present, wanted, keys)
                    assert result.message == "", (present, wanted, keys)
                    buffer = result.buffer


@pytest.mark.parametrize("name", ANSWERS)
def test_what_the_display_shows_first_is_read_back_as_the_present_value(name: str) -> None:
    answer, rng = ANSWERS[name], random.Random(name)
    style = STYLES[answer.style]
    for present in values(answer, rng):
        shown = style.show(answer, present, style.start(answer, present))
        assert style.parse(answer, shown) == present


@pytest.mark.parametrize("name", [name for name, answer in ANSWERS.items() if answer.style is not Style.SECRET])
def test_an_unknown_present_value_is_never_kept_unseen(name: str) -> None:
    answer, rng = ANSWERS[name], random.Random(name)
    style = STYLES[answer.style]
    for wanted in values(answer, rng):
        keys = style.keys(answer, UNKNOWN, wanted)
        buffer = style.start(answer, UNKNOWN)
        for key in keys[:-1]:
            result = style.press(answer, UNKNOWN, buffer, key)
            assert isinstance(result, Typing)
            buffer = result.buffer
        assert style.press(answer, UNKNOWN, buffer, keys[-1]) == Taken(wanted)

"""What is told of a half-known panel comes about whatever the panel holds."""

from __future__ import annotations

import random

import pytest

from zonewright.behaviour.setup import setup_of
from zonewright.panel.answers import any_value
from zonewright.panel.behaviours import Mode
from zonewright.panel.legal import completion, random_programme
from zonewright.panel.profile import Profile
from zonewright.panel.profile_file import shipped, shipped_names
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value
from zonewright.site.record import ZoneNumber
from zonewright.words.explain import explain
from zonewright.words.known_matrix import half_known, known_matrix
from zonewright.words.matrix import Cause, Mark, Matrix, matrix
from zonewright.words.sentence import sentence

TERN = shipped("tern")
NAMES = ("label", "place")


def drawn(profile: Profile, seed: int) -> tuple[Programme, random.Random]:
    rng = random.Random(seed)
    held = random_programme(profile, rng, 4, 1)
    answered = [item for item in held if profile.answer_of(item) is not None]
    return held.changed(dict.fromkeys(rng.sample(answered, rng.choice([1, 2, 4])), UNKNOWN)), rng


@pytest.mark.parametrize("name", shipped_names())
def test_every_cell_told_is_the_cell_of_each_panel_that_it_may_be(name: str) -> None:
    profile, told, zones = shipped(name), 0, 0
    for seed in range(16):
        known, rng = drawn(profile, seed)
        half = half_known(known, profile)
        made = known_matrix(half)
        panels = [matrix(setup_of(completion(profile, rng, known), profile)) for _ in range(3)]
        for number in known.numbers("zone"):
            zones += 1
            for cause in Cause:
                needed = made.needed.get(ZoneNumber(number), {}).get(cause)
                if needed is not None:
                    assert needed
                    assert all(known[item] == UNKNOWN for item in needed)
                    continue
                told += 1
                for mode in Mode:
                    cell = made.told[cause].cell(ZoneNumber(number), mode, cause)
                    assert all(cell == panel.cell(ZoneNumber(number), mode, cause) for panel in panels), (seed, cell)
    assert told > zones  # a good part can be told, or the test would hold nothing


@pytest.mark.parametrize("name", shipped_names())
def test_every_text_told_is_that_of_each_panel_that_it_may_be(name: str) -> None:
    profile, told = shipped(name), 0
    for seed in range(10):
        known, rng = drawn(profile, seed)
        unnamed = [item for item in known if known[item] == UNKNOWN and _names(item)]
        known = known.changed({item: _a_name(profile, item) for item in unnamed})
        half = half_known(known, profile)
        causes = (Cause.OPENS, Cause.LOW_BATTERY, Cause.MISSING)
        made = known_matrix(half, causes)
        joined = Matrix(half.setup, tuple(cell for each in made.told.values() for cell in each.cells))
        panel = setup_of(completion(profile, rng, known), profile)
        whole = matrix(panel, causes)
        for zone in half.setup.zones:
            if zone.number in made.needed:
                continue
            text, looked = half.needs(lambda number=zone.number, of=joined: sentence(of, number))  # type: ignore[misc]
            assert looked or text == sentence(whole, zone.number)
            more, looked = half.needs(lambda number=zone.number, of=half: explain(of.setup, number))  # type: ignore[misc]
            sure = not looked and not half.untold  # one more door may change what follows from leaving
            assert not sure or more == explain(panel, zone.number)
            told += sure
    assert told


def _names(item: Item) -> bool:
    return item.field in NAMES


def _a_name(profile: Profile, item: Item) -> Value:
    """Return a name that the panel can take there."""
    answer = profile.answer_of(item)
    assert answer is not None
    return Value(any_value(answer, random.Random(1)))


def test_a_wholly_known_panel_is_told_as_ever() -> None:
    held = random_programme(TERN, random.Random(2), 5, 1)
    made = known_matrix(half_known(held, TERN))
    assert made.needed == {}
    cells = {(cell.zone, cell.mode, cell.cause): cell for each in made.told.values() for cell in each.cells}
    assert cells == {(cell.zone, cell.mode, cell.cause): cell for cell in matrix(setup_of(held, TERN)).cells}


def test_a_notice_zone_needs_no_siren_time() -> None:
    held = random_programme(TERN, random.Random(2), 1)
    (number,) = held.numbers("zone")
    values = {
        "behaviour": "notice",
        "delay": "none",
        "tells-alarm": "no",
        "message-delay": "none",
        "chime": "two notes",
    }
    held = held.changed({Item(f"zone/{number}/{field}"): Value(value) for field, value in values.items()})
    known = held.changed({Item(f"setting/{name}"): UNKNOWN for name in ("siren-time", "entry-time", "abort-window")})
    made = known_matrix(half_known(known, TERN))
    assert made.needed == {}
    assert made.told[Cause.OPENS].cell(ZoneNumber(number), Mode.AWAY).mark is Mark.CHIME


@pytest.mark.parametrize("field", ["behaviour", "area"])
def test_a_zone_without_behaviour_or_area_is_never_run(field: str) -> None:
    held = random_programme(TERN, random.Random(2), 2)
    number = ZoneNumber(held.numbers("zone")[0])
    item = Item(f"zone/{number}/{field}")
    made = known_matrix(half_known(held.changed({item: UNKNOWN}), TERN))
    assert made.needed[number] == dict.fromkeys(Cause, (item,))

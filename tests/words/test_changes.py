"""A change of the programming is told as what follows now and didn't before, and nothing else is."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

from zonewright.behaviour.setup import Setup, setup_of
from zonewright.panel.legal import random_programme
from zonewright.panel.opening import open_site
from zonewright.panel.profile_file import shipped_profile
from zonewright.panel.programme import Item, Programme, Value
from zonewright.words.changes import changes
from zonewright.words.matrix import Cause, matrix

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
SITES = {name: open_site(FILES / f"{name}.yaml") for name in ("larkfield", "larkfield-before", "larkfield-wrong")}
HOUSE = SITES["larkfield"]
SETUP = setup_of(HOUSE.programme, HOUSE.profile)


def with_items(**values: str) -> Setup:
    """Return the house with some items otherwise: `zone__3__tells_alarm="no"`."""
    held = dict(HOUSE.programme.values)
    held |= {Item(name.replace("__", "/").replace("_", "-")): Value(value) for name, value in values.items()}
    return setup_of(Programme(HOUSE.programme.panel, held), HOUSE.profile)


def test_nothing_changed_is_told_as_nothing() -> None:
    assert changes(SETUP, SETUP) == ()


def test_a_new_zone_is_told_in_its_sentence_and_a_gone_one_too() -> None:
    before = setup_of(SITES["larkfield-before"].programme, SITES["larkfield-before"].profile)
    (gate,) = changes(before, SETUP)
    assert (gate.thing, gate.differences[0].situation) == ("zone 7 porch side gate", "it is new")
    assert "never the siren" in gate.differences[0].now
    (gone,) = changes(SETUP, before)
    assert gone.differences[0].situation == "it is gone"


def test_one_flipped_flag_shows_where_it_matters_and_nowhere_else() -> None:
    (window,) = changes(SETUP, with_items(zone__3__tells_alarm="no", zone__3__message_delay="none"))
    assert window.thing == "zone 3 kitchen small window"
    opened = next(each for each in window.differences if each.situation.startswith("opens"))
    assert 'message "perimeter alarm"' in opened.before
    assert "message" not in opened.now


def test_a_longer_exit_time_is_told_of_each_area() -> None:
    found = changes(SETUP, with_items(setting__exit_time="75"))
    assert [each.thing for each in found] == ["area 1", "area 2"]
    assert all("after 60 s" in each.differences[0].before and "after 75 s" in each.differences[0].now for each in found)


def test_the_wrong_house_s_mistakes_are_all_told() -> None:
    wrong = SITES["larkfield-wrong"]
    told = {each.thing.split()[1] for each in changes(SETUP, setup_of(wrong.programme, wrong.profile))}
    assert {"3", "5", "6", "7", "11"} <= told


@pytest.mark.parametrize("seed", range(25))
def test_what_differs_in_the_matrix_is_told_and_the_other_way_round(seed: int) -> None:
    rng = random.Random(seed)
    profile = shipped_profile("tern").usable()
    one = setup_of(random_programme(profile, rng, 4), profile)
    other = setup_of(random_programme(profile, rng, 4), profile)
    there, back = changes(one, other), changes(other, one)
    assert [each.thing.split()[:2] for each in there] == [each.thing.split()[:2] for each in back]
    labels = {zone.number: zone for zone in other.zones}
    alike = replace(
        one, zones=tuple(replace(zone, label=labels[zone.number].label) for zone in one.zones if zone.number in labels)
    )
    told = {each.thing.split()[1] for each in changes(alike, other)}
    old, new = matrix(alike), matrix(other)
    for zone in alike.zones:
        rows = [(old.row(zone.number, cause), new.row(zone.number, cause)) for cause in Cause]
        if any(a.outcome != b.outcome for before, now in rows for a, b in zip(before, now, strict=True)):
            assert str(zone.number) in told

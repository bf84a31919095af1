"""Marlow's manual and its profile say the same: its tables are typed twice, so that two slips must agree to pass."""

from __future__ import annotations

import pytest

from tests.panels.manual import COUNTED, Manual, conditions_written, rows
from zonewright.panel.profile import Address, Answer, Style, When
from zonewright.panel.programme import Item

MANUAL = Manual("marlow")
MARLOW = MANUAL.profile
UNITS = {"s": " s", "min": " minutes", None: ""}
ZONE = rows(MANUAL.section("A zone"))
THINGS = rows(MANUAL.section("A person and a remote"))
HABITS = rows(MANUAL.section("Times and habits, the station, the panel"))
LOOKS = rows(MANUAL.section("Second looks, and help without a sign"))
ASKED = rows(MANUAL.section("What setting asks"))
COUNTS = {"up to sixteen signs": 16, "four digits 0000 to 9999": 4, "six digits 000000 to 999999": 6, "six digits": 6}


def blocks() -> tuple[Address, ...]:
    """Return the blocks of places."""
    (found,) = [node.place for node in MARLOW.script.values() if node.place is not None]
    return found


def block_at(first: int) -> Address:
    """Return the block that begins with a number."""
    return next(block for block in blocks() if block.first == first)


def item_at(first: int, pair: str, shows: str) -> str:
    """Return the item behind a place of the manual."""
    return next(item for item, says in block_at(first).fields.items() if says == f"{pair} {shows}")


def choices_written(text: str) -> dict[str, str]:
    """Return code -> what the display shows, from `KM contact · KR contact and wire`."""
    pairs = [each.partition(" ") for each in text.partition(";")[0].split(" · ")]
    return {code: says for code, _, says in pairs}


def choices_of(answer: Answer) -> dict[str, str]:
    return {code: answer.choices[choice] for choice, code in answer.codes.items()}


def check_value(item: str, text: str) -> None:
    """Compare the manual's column of values with the way an item is answered."""
    answer = MANUAL.answer(item)
    match answer.style:
        case Style.LETTERS if text == "as area":
            assert answer == MANUAL.answer("zone/*/area")
        case Style.LETTERS if text == "the same":
            assert answer == MANUAL.answer("remote/*/first-button")
        case Style.LETTERS:
            assert choices_of(answer) == choices_written(text)
        case Style.DIGITS if answer.step == 1 and answer.width and answer.width >= 4:
            assert COUNTS[text.partition(";")[0]] == answer.width
            assert (answer.least, answer.most_value) == (0, 10**answer.width - 1)
        case Style.DIGITS:
            least, most = (str(limit).zfill(answer.width or 0) for limit in (answer.least, answer.most_value))
            by = f" by {answer.step}" if answer.step != 1 else ""
            assert text == f"{least} to {most}{UNITS[answer.unit]}{by}"
        case Style.TAP:
            assert COUNTS[text] == answer.most
        case Style.SECRET:
            assert text.startswith(f"{COUNTED[answer.width or 0]} digits")
        case _:
            raise AssertionError(f"the manual has no column for {answer.style}")


@pytest.mark.parametrize("row", ZONE[:-1], ids=lambda row: row[1])
def test_a_zones_places_values_conditions_and_first_values(row: list[str]) -> None:
    pair, shows, value, exists, first = row
    item = item_at(601, pair, shows)
    rule = MARLOW.items[Item(item)]
    check_value(item, value)
    assert MANUAL.as_shown(item, rule.default) == first
    assert MANUAL.told(rule) == conditions_written(exists, rule)


def test_a_zones_places_stand_in_the_order_in_which_set_opens_them() -> None:
    assert [f"{pair} {shows}" for pair, shows, *_ in ZONE[:-1]] == [*block_at(601).fields.values()]
    assert ZONE[-1][:2] == ["WR", MARLOW.script[block_at(601).leads["WR"]].says]


@pytest.mark.parametrize("row", THINGS, ids=lambda row: row[0])
def test_places_of_people_and_remotes(row: list[str]) -> None:
    place, shows, value, first = row
    number, pair = place.split()
    item = item_at(int(number), pair, shows)
    check_value(item, value)
    assert first == (MANUAL.as_shown(item, MARLOW.items[Item(item)].default) or "**first**")


def test_every_place_of_people_and_remotes_stands_in_the_table() -> None:
    written = [f"{place.split()[0]} {place.split()[1]} {shows}" for place, shows, *_ in THINGS]
    assert written == [f"{first} {says}" for first in (211, 281) for says in block_at(first).fields.values()]
    for first, says in ((211, "Take them out?"), (281, "Take it out?")):
        assert MARLOW.script[block_at(first).leads["WR"]].says == says
        assert f"`{says}`" in MANUAL.prose("A person and a remote")


@pytest.mark.parametrize("row", HABITS[:-1], ids=lambda row: row[0])
def test_limits_and_choices_of_habits_and_the_station_and_as_shipped(row: list[str]) -> None:
    place, shows, value, shipped = row
    number, pair = place.split()
    item = item_at(int(number), pair, shows)
    check_value(item, value)
    assert MANUAL.as_shown(item, MARLOW.items[Item(item)].default) == shipped
    asked = {When(field="told", values=frozenset({"yes"}))} if "exists if `send` is yes" in value else set()
    assert MANUAL.told(MARLOW.items[Item(item)]) == asked


def test_every_setting_stands_in_the_table_in_the_order_of_the_places() -> None:
    written = [f"{place} {shows}" for place, shows, *_ in HABITS]
    assert written == [f"{first} {says}" for first in (130, 120, 110) for says in block_at(first).fields.values()]
    assert f"`{MARLOW.edition}`" in HABITS[-1][2]


def test_the_groups_of_three_digits() -> None:
    written = [cell for row in rows(MANUAL.section("A place: three digits and two letters")) for cell in row]
    ranges = {what: digits for what, digits in zip(written[1::2], written[::2], strict=True) if what}
    limits = MARLOW.limits
    assert ranges == {
        "zones": f"601 to {600 + limits.zones}",
        "people": f"211 to {210 + limits.users}",
        "remotes": f"281 to {280 + limits.remotes}",
        "times and habits": "130",
        "the station": "120",
        "the panel": "110",
        "second looks": "140",
        "what setting asks": "150",
        "second looks of zones": f"301 to {300 + limits.zones}",
        "people under duress": f"261 to {260 + limits.users}",
    }
    assert [block.first for block in blocks()] == [601, 211, 281, 130, 140, 150, 120, 110, 301, 261]


@pytest.mark.parametrize("row", LOOKS, ids=lambda row: row[0])
def test_the_second_looks(row: list[str]) -> None:
    place, shows, value, exists, first = row
    number, pair = place.split()
    item = item_at(int(number), pair, shows)
    rule = MARLOW.items[Item(item)]
    check_value(item, value.partition(";")[0])
    assert MANUAL.as_shown(item, rule.default) == first
    assert MANUAL.told(rule) == conditions_written(exists, rule)


def test_every_second_look_stands_in_the_table() -> None:
    written = [f"{place} {shows}" for place, shows, *_ in LOOKS]
    assert written == [f"{first} {says}" for first in (301, 261, 140) for says in block_at(first).fields.values()]


@pytest.mark.parametrize("row", ASKED, ids=lambda row: row[0])
def test_what_setting_asks(row: list[str]) -> None:
    place, shows, value, first = row
    item = item_at(150, place.split()[1], shows)
    check_value(item, value)
    assert MANUAL.as_shown(item, MARLOW.items[Item(item)].default) == first
    assert MANUAL.told(MARLOW.items[Item(item)]) == set()


def test_everything_that_setting_asks_stands_in_the_table() -> None:
    written = [f"{place.split()[1]} {shows}" for place, shows, *_ in ASKED]
    assert written == [*block_at(150).fields.values()]


def test_what_resets_what() -> None:
    text = MANUAL.prose("A zone")
    said = {item.rpartition("/")[2]: says.partition(" ")[2] for item, says in block_at(601).fields.items()}
    first, middle, last = (f"`{said[field]}`" for field in MARLOW.items[Item("zone/*/behaviour")].resets)
    assert f"A changed `acts as` puts {first}, {middle} and {last} back" in text
    assert [said[field] for field in MARLOW.items[Item("zone/*/kind")].resets] == ["uses"]
    assert "A changed `kind` puts `uses` back." in text
    assert [item for item, rule in MARLOW.items.items() if rule.resets] == ["zone/*/kind", "zone/*/behaviour"]


def test_the_letters_on_the_keys() -> None:
    table = rows(MANUAL.section("How a value is typed"))[-2:]
    written = {row[at]: row[at + 1] for row in table for at in range(0, len(row), 2) if row[at]}
    assert {key: "_" if letters == "blank" else letters for key, letters in written.items()} == MANUAL.answer(
        "zone/*/label"
    ).taps


def test_keys_and_display_as_drawn() -> None:
    assert MANUAL.keys_drawn() == MANUAL.keys_of_profile()
    assert (MARLOW.display.lines, MARLOW.display.columns) == (2, 20)
    assert f"**{MARLOW.times_out.after:g} seconds without a key**" in MANUAL.prose("Keys and display")
    assert (MARLOW.back, MARLOW.wipe, MARLOW.goes_on) == ("where", "wipe", "set")


def test_the_way_in() -> None:
    ways = MARLOW.script[MARLOW.rest].ways_in
    assert ways is not None
    ((keys, to),) = ways.items()
    pressed = " ".join(f"`{key}`" for key in keys.split())
    prose = MANUAL.prose("Getting in and out")
    assert f"At `{MARLOW.script[MARLOW.rest].says}` press {pressed}" in prose
    answer = MARLOW.answers[MARLOW.script[to].code or ""]
    assert answer.takes_itself
    assert f"own {COUNTED[answer.width or 0]} digits at `{MARLOW.script[to].says}`" in prose


def test_what_is_taken_at_set() -> None:
    for sort, *_, taken in rows(MANUAL.section("How a value is typed"))[:5]:
        assert taken == "at `set`", sort
    assert {answer.take for answer in MARLOW.answers.values() if not answer.takes_itself} == {"set"}

"""Quill's manual and its profile say the same: its tables are typed twice, so that two slips must agree to pass."""

from __future__ import annotations

import re

import pytest

from tests.panels.manual import COUNTED, Manual, conditions_written, rows
from zonewright.panel.profile import Answer, ListEntry, Style, When
from zonewright.panel.programme import Item

MANUAL = Manual("quill")
QUILL = MANUAL.profile
LISTS = MANUAL.section("The lists")
ZONE = [row for row in rows(LISTS) if len(row) == 4]
HABITS = [row for row in rows(LISTS) if len(row) == 3]
PROSE = MANUAL.prose("The lists")


def entries(node: str) -> tuple[ListEntry, ...]:
    """Return the entries of a list."""
    found = QUILL.script[node].list_
    assert found is not None
    return found


def item_of(node: str, says: str) -> str:
    """Return the item that an entry of a list asks for."""
    (entry,) = [entry for entry in entries(node) if entry.says == says]
    target = QUILL.script[entry.go]
    item = target.ask or target.trip
    assert item is not None
    assert item == entry.echo, f"{says} shows another value than it asks for"
    return item


def as_written(answer: Answer) -> str:
    """Return what the manual writes for the values of an answer."""
    if answer.choices:
        return " · ".join(answer.choices.values())
    by = f" by {answer.step}" if answer.step != 1 else ""
    return f"{answer.least} to {answer.most_value} {answer.unit or ''}".rstrip() + by


@pytest.mark.parametrize("row", ZONE, ids=lambda row: row[0])
def test_a_zones_entries_choices_conditions_and_first_values(row: list[str]) -> None:
    says, choices, there, first = row
    item = item_of("zone", says)
    rule = QUILL.items[Item(item)]
    if MANUAL.answer(item).style is not Style.TRIP:
        assert choices == as_written(MANUAL.answer(item))
    assert first == MANUAL.as_shown(item, rule.default)
    assert MANUAL.told(rule) == conditions_written(there, rule)
    (entry,) = [entry for entry in entries("zone") if entry.says == says]
    assert entry.when == rule.when


@pytest.mark.parametrize(("node", "table"), [("zone", ZONE), ("habits", HABITS)])
def test_every_entry_stands_in_its_table_in_order(node: str, table: list[list[str]]) -> None:
    assert [says for says, *_ in table] == [entry.says for entry in entries(node)]


@pytest.mark.parametrize("row", HABITS, ids=lambda row: row[0])
def test_limits_and_choices_of_habits_and_as_shipped(row: list[str]) -> None:
    says, value, shipped = row
    item = item_of("habits", says)
    assert value == as_written(MANUAL.answer(item))
    assert shipped == MANUAL.as_shown(item, QUILL.items[Item(item)].default)


def test_the_list_quill() -> None:
    said = " · ".join(entry.says for entry in entries("top"))
    assert re.sub(r" \([^)]*\)", "", PROSE).startswith(f"`Quill`: {said}.")
    assert f"Edition (shows `{QUILL.edition}`" in PROSE


@pytest.mark.parametrize(
    ("title", "ring", "group", "node"),
    [
        ("**Zones** → `Which zone`", "a ring of 1 to 200 → `014 zone`", "zone", "zone"),
        ("**Remotes** → `Which remote`", "a ring of 1 to 6 → `003 remote`", "remote", "remote"),
        ("**People** → `Which person`", "a ring of 1 to 10 → `003 person`", "user", "person"),
    ],
)
def test_the_rings_and_how_many_numbers_they_have(title: str, ring: str, group: str, node: str) -> None:
    assert f"{title}, {ring}" in PROSE
    (met,) = [each for each in QUILL.script.values() if each.which == group and each.only == "any"]
    assert f"`{met.says}`" in title
    assert f"1 to {QUILL.limit(group)} " in ring
    assert QUILL.answers[met.how or ""].most_value == QUILL.limit(group)
    assert QUILL.script[node].says in ring


def test_entries_of_a_remote_and_of_a_person() -> None:
    buttons = as_written(MANUAL.answer(item_of("remote", "First button")))
    assert f"Press it (`{QUILL.script['remote number'].says}`, as a zone) · Part · First button ({buttons}; " in PROSE
    assert "at first arm away) · Second button (the same; at first disarm)" in PROSE
    assert [entry.says for entry in entries("remote")] == ["Press it", "Part", "First button", "Second button"]
    assert QUILL.items[Item("remote/*/first-button")].default == "arm away"
    assert QUILL.items[Item("remote/*/second-button")].default == "disarm"
    assert MANUAL.answer("remote/*/area") == MANUAL.answer("user/*/areas") == MANUAL.answer("zone/*/area")
    roles = as_written(MANUAL.answer(item_of("person", "Is")))
    assert f"Own arrows · Is ({roles}; at first user) · May set (as Part; at first A)" in PROSE
    assert [entry.says for entry in entries("person")] == ["Own arrows", "Is", "May set"]
    assert MANUAL.as_shown("user/*/role", QUILL.items[Item("user/*/role")].default) == "user"
    assert MANUAL.as_shown("user/*/areas", QUILL.items[Item("user/*/areas")].default) == "A"


def test_the_station() -> None:
    told, account, over = (QUILL.items[Item(item_of("station", entry.says))] for entry in entries("station"))
    flags = as_written(MANUAL.answer("station/told"))
    assert f"Send messages ({flags}; shipped {told.default})" in PROSE
    assert (
        f"Account ({COUNTED[MANUAL.answer('station/account').width or 0]} digits; at first {account.default})" in PROSE
    )
    assert f"Tell when over ({flags}; at first {over.default})" in PROSE
    assert account.when == over.when == (When(field="told", values=frozenset({"yes"})),)


def test_keeping_and_taking_out() -> None:
    keeping = MANUAL.prose("Keeping")
    for node in ("leave zone", "leave remote", "leave person", "leave habits", "leave station"):
        assert [entry.says for entry in entries(node)] == ["Keep all this", "Keep nothing"]
        assert f"{QUILL.script[node].says}`" in keeping
    outs = " · ".join(entry.says for entry in entries("outs"))
    assert f"**Take out**: {outs} → `{QUILL.script['out zone'].says}`" in PROSE
    assert f"`014 {QUILL.script['sure zone'].says}`: No · Yes." in PROSE


def test_keys_and_display_as_drawn() -> None:
    assert MANUAL.keys_drawn() == MANUAL.keys_of_profile()
    assert (QUILL.display.lines, QUILL.display.columns) == (3, 20)
    text = MANUAL.prose("Keys and display")
    assert "three lines of twenty characters" in text
    assert f"**{QUILL.times_out.after:g} seconds without a key**" in text


def test_which_arrow_does_what() -> None:
    table = {sort.partition(",")[0]: keys for sort, keys, _ in rows(MANUAL.section("Lists, rings and values"))}
    for answer in QUILL.answers.values():
        if answer.style is Style.SCROLL and answer.choices:
            assert (answer.next, answer.previous, answer.take) == ("down", "up", "ok")
    assert table["a choice"].startswith("`down` next, `up` the one before")
    for item in ("setting/exit-time", "setting/swinger-limit"):
        assert (MANUAL.answer(item).next, MANUAL.answer(item).previous) == ("up", "down")
    assert table["a time or count"].startswith("`up` a step more, `down` a step less")
    wheel = MANUAL.answer("station/account")
    assert (wheel.next, wheel.previous, wheel.along, wheel.take) == ("up", "down", "right", "ok")
    code = MANUAL.answer("user/*/code")
    assert (code.width, code.made_of, code.takes_itself) == (6, ("up", "right", "down"), True)
    assert table["own arrows"].startswith("six of `up`, `right`, `down`")


def test_the_way_in() -> None:
    ways = QUILL.script[QUILL.rest].ways_in
    assert ways is not None
    ((keys, to),) = ways.items()
    pressed = " ".join(f"`{key}`" for key in keys.split())
    assert f"At `{QUILL.script[QUILL.rest].says}` press {pressed}" in MANUAL.prose("Getting in and out")
    assert f"`{QUILL.script[to].says}`" in MANUAL.prose("Getting in and out")


def test_a_changed_kind_puts_by_back() -> None:
    assert {item: rule.resets for item, rule in QUILL.items.items() if rule.resets} == {"zone/*/kind": ("input",)}
    assert "A changed `It is` puts `By` back to the reed." in PROSE

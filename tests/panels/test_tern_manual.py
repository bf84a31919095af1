"""Tern's manual and its profile say the same: its tables are typed twice, so that two slips must agree to pass."""

from __future__ import annotations

import itertools
import re

import pytest

from tests.panels.manual import COUNTED, Manual, rows
from zonewright.panel.profile import Answer, ScriptNode, Style
from zonewright.panel.programme import Item

MANUAL = Manual("tern")
TERN = MANUAL.profile
section, prose = MANUAL.section, MANUAL.prose
UNITS = {"s": " s", "min": " minutes", None: ""}


def node_that_says(question: str) -> ScriptNode:
    """Return the one node of the script that shows a question."""
    (node,) = [node for node in TERN.script.values() if node.says == question]
    return node


def item_of(question: str) -> str:
    """Return the item that a question asks for."""
    item = node_that_says(question).ask
    assert item is not None, f"{question} asks for nothing"
    return item


def answer_to(question: str) -> Answer:
    """Return the profile's way of answering a question."""
    node = node_that_says(question)
    name = node.how or node.code or TERN.items[Item(item_of(question))].how
    assert name is not None
    return TERN.answers[name]


def as_written(answer: Answer) -> str:
    """Return what the manual writes for an answer of the profile."""
    match answer.style:
        case Style.DIGITS:
            least, most = (str(limit).zfill(answer.width or 0) for limit in (answer.least, answer.most_value))
            by = f" by {answer.step}" if answer.step != 1 else ""
            return f"{least} to {most}{UNITS[answer.unit]}{by}"
        case Style.OFFER:
            return " · ".join(answer.choices.values())
        case Style.FLAG:
            return "yes or no"
        case _:
            raise AssertionError(f"the manual has no table for {answer.style}")


def value_as_written(answer: Answer, value: str | None) -> str:
    """Return what the manual writes for a value that the panel holds."""
    assert value is not None
    if answer.style is Style.OFFER:
        return answer.choices[value]
    return value.zfill(answer.width or 0)


def words_under(title: str) -> list[tuple[str, str]]:
    """Return word and code from one of the two word tables, as they stand."""
    table = section("The words").split(f"\n**{title}**", 1)[1].split("\n**", 1)[0]
    return [(word, code) for row in rows(table) for word, code in [cell.split() for cell in row]]


DEVICE = rows(section("A device"))
HABITS = rows(section("Times and habits"))
PLACES = words_under("Places")
WORDS = words_under("Words")


@pytest.mark.parametrize(("table", "answer"), [(PLACES, "spot"), (WORDS, "words")], ids=["places", "words"])
def test_each_word_has_the_code_of_the_profile(table: list[tuple[str, str]], answer: str) -> None:
    assert dict(table) == TERN.answers[answer].codes
    assert [word for word, _ in table] == sorted(TERN.answers[answer].codes)


def test_codes_are_far_apart_as_the_manual_says() -> None:
    codes = [code for _, code in PLACES + WORDS]
    assert {len(code) for code in codes} == {4}
    for one, other in itertools.combinations(codes, 2):
        assert sum(a == b for a, b in zip(one, other, strict=True)) < 3, f"{one} and {other} are alike in three places"
        swapped = {one[:at] + one[at + 1] + one[at] + one[at + 2 :] for at in range(3)}
        assert other not in swapped, f"{one} and {other} are neighbours swapped"


def test_as_many_words_as_the_manual_says() -> None:
    answers = {question: text for question, text, _ in DEVICE}
    place, label = answer_to("In which place"), answer_to("Called")
    assert (place.style, label.style) == (Style.WORDS, Style.WORDS)
    assert answers["In which place"] == f"{COUNTED[place.most or 0]} word of the place list"
    assert answers["Called"] == f"one to {COUNTED[label.most or 0]} words of the word list"


CHOSEN = [row for row in DEVICE[:-2] if answer_to(row[0]).style is not Style.WORDS]


@pytest.mark.parametrize("row", CHOSEN, ids=lambda row: row[0])
def test_choices_about_a_device(row: list[str]) -> None:
    question, answers, _ = row
    assert answers == as_written(answer_to(question))


def test_every_question_about_a_device_stands_in_the_table_in_the_order_asked() -> None:
    assert [question for question, *_ in DEVICE] == questions_from(node_that_says("It is"))


def questions_from(node: ScriptNode) -> list[str]:
    """Return the questions that follow one another up to the trip or the keep, those under a condition included."""
    ways_on = [questions_from(TERN.script[fork.go]) for fork in node.then if node.trip is None]
    return [node.says, *max(ways_on, key=len, default=[])]


@pytest.mark.parametrize("row", DEVICE[:-2], ids=lambda row: row[0])
def test_when_a_question_about_a_device_is_asked(row: list[str]) -> None:
    question, _, asked = row
    acts, kinds = TERN.answers["acts"].choices, TERN.answers["kind"].choices
    shown = {field: TERN.answers[how].choices for field, how in {"behaviour": "acts", "kind": "kind"}.items()}
    told = {
        (when.field, when.negated, frozenset(shown.get(when.field, {}).get(value, value) for value in when.values))
        for when in TERN.items[Item(item_of(question))].when
    }
    assert told == conditions_written(asked, frozenset(acts.values()), frozenset(kinds.values()))


def conditions_written(text: str, acts: frozenset[str], kinds: frozenset[str]) -> set[tuple[str, bool, frozenset[str]]]:
    """Return the conditions that the manual's third column tells: field, whether negated, what the display says."""
    if text == "always":
        return set()
    if text in acts:
        return {("behaviour", False, frozenset({text}))}
    if text in kinds:
        return {("kind", False, frozenset({text}))}
    if text.startswith("all but "):
        return {("behaviour", True, frozenset({text.removeprefix("all but ")}))}
    told, _, listed = text.partition(", and it is ")
    assert told == "if its alarms are told"
    several = frozenset(re.sub(r"^an? ", "", each) for each in re.split(r", | or ", listed))
    return {("tells-alarm", False, frozenset({"yes"})), ("behaviour", False, several)}


def test_zone_and_person_numbers_have_the_limits_of_the_manual() -> None:
    zones, people = answer_to("Keep as zone"), answer_to("Which person")
    (row,) = [row for row in DEVICE if row[0] == "Keep as zone"]
    assert row[1].startswith(f"{COUNTED[zones.width or 0]} digits {as_written(zones)} of a free zone")
    assert f"{COUNTED[people.width or 0]} digit {as_written(people)} at `Which person`" in prose("A person")
    assert (zones.most_value, people.most_value) == (TERN.limits.zones, TERN.limits.users)
    assert answer_to("Change which zone") == answer_to("Take out which zone") == zones


def test_the_digits_of_a_label_that_count() -> None:
    assert {kind.digits for kind in TERN.kinds.values()} == {"3-8"}
    assert "the third to the eighth digit of the printed number" in prose("A device")
    assert node_that_says("Trip it now").trip == "zone/*/number"
    assert TERN.answers["trip"].width == 6
    assert "Compare the six digits" in prose("A device")


def test_as_many_lights_as_the_manual_says() -> None:
    assert answer_to("Its light").most_value == 12
    assert "twelve small lights stand in a row" in prose("A device")


@pytest.mark.parametrize("row", HABITS[:-2], ids=lambda row: row[0])
def test_limits_and_choices_of_times_and_habits_and_as_shipped(row: list[str]) -> None:
    question, answers, shipped = row
    answer = answer_to(question)
    assert answers == as_written(answer)
    assert shipped == value_as_written(answer, TERN.items[Item(item_of(question))].default)


def test_every_setting_stands_in_the_table_in_the_order_asked() -> None:
    assert {item_of(question) for question, *_ in HABITS[:-2]} == {
        item for item in TERN.items if item.startswith("setting/")
    }
    assert [question for question, *_ in HABITS] == questions_from(node_that_says("Time to go out"))


def test_the_edition_shown() -> None:
    assert HABITS[-2][:2] == ["Edition", f"shows `{TERN.edition}`; `yes` goes on"]
    assert node_that_says("Edition").goes_on == "yes"


def test_answers_about_a_person() -> None:
    text = prose("A person")
    assert f"`Is` ({as_written(answer_to('Is'))})" in text
    assert f"`May set` ({as_written(answer_to('May set'))})" in text
    assert answer_to("Own code").style is answer_to("Your code").style is Style.SECRET
    assert answer_to("Own code").width == answer_to("Your code").width == 4
    assert "own four digits at `Your code`" in prose("Getting in and out")
    assert "**at the fourth digit, by itself**" in prose("How each question is answered")


def test_answers_about_the_station() -> None:
    text, account = prose("The station"), answer_to("Account")
    shipped = value_as_written(answer_to("Send messages"), TERN.items[Item("station/told")].default)
    assert f"`Send messages` {as_written(answer_to('Send messages'))} (shipped: {shipped})" in text
    assert f"`Account` ({COUNTED[account.width or 0]} digits)" in text
    assert (account.least, account.most_value, account.step) == (0, 9999, 1)
    assert f"`Tell when over` {as_written(answer_to('Tell when over'))}" in text


def test_what_is_taken_by_itself() -> None:
    styles = {style: taken for style, _, _, taken in rows(section("How each question is answered"))}
    by_itself = {style: "by itself" in taken for style, taken in styles.items()}
    names = {Style.OFFER: "offered", Style.FLAG: "yes or no", Style.DIGITS: "a number", Style.WORDS: "words",
             Style.SECRET: "own code"}  # fmt: skip
    for name, answer in TERN.answers.items():
        if answer.style is not Style.TRIP:
            assert answer.takes_itself == by_itself[names[answer.style]], name


def test_keys_and_display_as_drawn() -> None:
    assert MANUAL.keys_drawn() == MANUAL.keys_of_profile()
    assert (TERN.display.lines, TERN.display.columns) == (2, 20)
    assert "two lines of twenty characters" in section("Keys and display")
    assert f"**{TERN.times_out.after:g} seconds without a key**" in prose("Keys and display")


def test_the_way_in() -> None:
    ways = TERN.script[TERN.rest].ways_in
    assert ways is not None
    (keys,) = ways
    pressed = " ".join(f"`{key}`" for key in keys.split())
    assert f"At `{TERN.script[TERN.rest].says}` press {pressed}" in prose("Getting in and out")

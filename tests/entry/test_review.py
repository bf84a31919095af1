"""Taking a panel over: what is typed from its display is what it holds, and nothing else is believed."""

from __future__ import annotations

import random

import pytest

from tests.entry.taking_over import answers, typed_in
from tests.entry.test_unknown import done_by_a_person
from zonewright.entry.keypad.meaning import meaning
from zonewright.entry.keypad.questions import KeypadQuestion
from zonewright.entry.keypad.review import Review, begin, enter
from zonewright.entry.sheets.sheet import delta
from zonewright.panel.legal import random_change, random_programme
from zonewright.panel.profile_file import shipped, shipped_names
from zonewright.panel.programme import UNKNOWN, Item, Value
from zonewright.panel.readback import Readback, before_and_after, programme_of

PANELS = shipped_names()
TERN, QUILL, MARLOW = (shipped(name) for name in ("tern", "quill", "marlow"))


@pytest.mark.parametrize("block", range(4))
@pytest.mark.parametrize("name", PANELS)
def test_what_is_typed_is_held_and_the_rest_is_unknown(name: str, block: int) -> None:
    profile = shipped(name)
    for seed in range(block, 60, 4):
        rng = random.Random(seed)
        held = random_programme(profile, rng, rng.randint(0, 4), rng.randint(0, 2), rng.randint(0, 2))
        lines, told = answers(profile, held, rng, rng.choice([0.0, 0.15, 0.6]))
        review = typed_in(profile, lines)
        read = programme_of(profile, review.readback)
        assert set(read) == set(held)
        assert all(read[item] == held[item] for item in told)
        assert all(read[item] in (UNKNOWN, held[item]) for item in held)
        assert all(value == UNKNOWN for item, value in review.readback.values.items() if item not in told)
        assert review.readback.no_more == set(profile.groups)


@pytest.mark.parametrize("name", PANELS)
def test_keyed_from_a_readback_the_panel_ends_in_the_plan(name: str) -> None:
    profile = shipped(name)
    for seed in range(10):
        rng = random.Random(seed)
        held = random_programme(profile, rng, 3, 1, 1)
        lines, _ = answers(profile, held, rng, 0.2)
        read = programme_of(profile, typed_in(profile, lines).readback)
        plan = random_change(profile, rng, held, 3)
        old, new = before_and_after(profile, read, plan)
        sheet = delta(profile, old, new)
        assert done_by_a_person(sheet, held).values == plan.values, seed


@pytest.mark.parametrize("name", PANELS)
def test_nothing_known_is_keyed_to_the_plan_too(name: str) -> None:
    profile = shipped(name)
    held = random_programme(profile, random.Random(3), 2, 1)
    lines, _ = answers(profile, held, random.Random(4), 1.0)
    old, new = before_and_after(profile, programme_of(profile, typed_in(profile, lines).readback), held)
    assert done_by_a_person(delta(profile, old, new), held).values == held.values


def at(review: Review) -> str:
    assert review.at is not None
    return str(review.at.item or f"{review.at.group}?")


def after(*lines: str, panel: str = "tern") -> Review:
    return typed_in(shipped(panel), list(lines))


def test_tern_is_asked_in_the_order_of_its_questions() -> None:
    asked, review = [], after("1")
    while review.at is not None and review.at.group == "zone" and review.at.item is not None:
        asked.append(review.shows)
        review = enter(review, "door to come in by" if review.shows == "Acts as" else "")
    assert asked == [
        "It is", "Using", "Called", "Its light", "Chime", "Acts as", "Time to come in", "Watch it daily",
        "Tell its alarms", "Its message", "Part of the house", "Tell its troubles", "In which place", "Trip it now",
    ]  # fmt: skip


def test_quill_is_asked_by_its_lists_and_marlow_by_its_places() -> None:
    assert [after(*[""] * n, panel="quill").shows for n in range(4)] == ["", "", "", "Time to leave"]
    assert after("014", panel="quill").shows == "Name"
    assert after("014", panel="marlow").shows == "614 KK kind"


def test_only_what_exists_is_asked() -> None:
    review = after("1", "contact", "front door", "00", "none", "only announces?", "yes")
    assert at(review) == "zone/1/area"
    assert at(after("1", "/next")) == "zone?"


def test_what_may_exist_is_asked_with_a_word_of_doubt() -> None:
    review = after("1", "contact", "front door", "00", "none", "")
    assert at(review) == "zone/1/delay"
    assert not review.certain
    assert after("1", "contact", "front door", "00", "none", "door to come in by").certain


def test_a_changed_answer_takes_with_it_what_hung_on_it() -> None:
    review = after("1", "contact", "front door", "00", "none", "door to come in by", "first time")
    assert Item("zone/1/delay") in review.readback.values
    review = enter(enter(review, "/back"), "/back")
    assert at(review) == "zone/1/behaviour"
    assert review.so_far == "door to come in by?"
    review = enter(review, "only announces")
    assert Item("zone/1/delay") not in review.readback.values
    assert at(review) == "zone/1/supervise"


def test_back_and_an_empty_line_change_nothing() -> None:
    review = after("1", "contact", "front door")
    again = enter(enter(review, "/back"), "")
    assert again.readback == review.readback
    assert again.at == review.at
    assert enter(enter(review, "/back"), "/unknown").readback.values[Item("zone/1/label")] == UNKNOWN


def test_one_can_go_back_to_the_very_first_question_and_no_further() -> None:
    review = after("1", "contact")
    for _ in range(3):
        review = enter(review, "/back")
    assert at(review) == "zone/1/kind"
    assert review.said == ("this is the first question",)


def test_what_was_passed_over_is_asked_when_one_goes_on_later() -> None:
    review = after("1", "contact", "/next", "2", "movement", "/stop")
    assert review.stopped
    assert review.left > 20
    assert at(begin(TERN, review.readback)) == "zone/1/label"


def test_a_code_is_neither_taken_nor_repeated() -> None:
    review = after("/none", "3", "owner", "both", "4711")
    assert at(review) == "user/3/code"
    assert "4711" not in str(review)
    assert at(enter(review, "set")) == "user?"


def test_a_person_without_a_code_is_nobody() -> None:
    review = after("/none", "3", "owner", "both", "----")
    assert review.readback.numbers("user") == ()
    assert at(review) == "user?"
    assert at(after("/none", "/none", "3", "-", panel="quill")) == "user?"


def test_a_number_read_already_is_met_from_its_end() -> None:
    done = ["1", "glass", "front door", "00", "none", "only announces", "yes", "first", "yes", "hall", "123456"]
    review = after(*done, "1")
    assert at(review) == "zone/1/number"
    assert "read already" in review.said[0]


@pytest.mark.parametrize("line", ["0", "241", "x", "-1", "1.5", "٣", "9" * 5000, "/zone 3"])
def test_what_is_no_number_is_refused(line: str) -> None:
    review = after(line)
    assert review.at == KeypadQuestion("zone")
    assert review.said


@pytest.mark.parametrize(
    ("panel", "item", "text", "value"),
    [
        ("tern", "zone/1/area", "SECOND?", "2"),
        ("tern", "zone/1/supervise", "now no", "no"),
        ("tern", "setting/exit-time", "060", "60"),
        ("tern", "setting/exit-time", "60 s", "60"),
        ("tern", "station/account", "0042", "0042"),
        ("tern", "setting/supervision-window", "12 hours", "12"),
        ("tern", "zone/1/label", "  Side   GATE ", "side gate"),
        ("tern", "panel/edition", "t2.6", "T2.6"),
        ("marlow", "zone/1/area", "1 2", "1+2"),
        ("marlow", "zone/1/label", "unknown", "unknown"),
        ("marlow", "zone/1/behaviour", "tell only", "notice"),
        ("quill", "setting/exit-time", "60", "60"),
        ("quill", "setting/exit-time", "060 s", "60"),
        ("quill", "station/account", "[0]042", "0042"),
        ("quill", "zone/1/behaviour", "just a note", "notice"),
    ],
)
def test_a_shown_text_means_its_value(panel: str, item: str, text: str, value: str) -> None:
    assert meaning(shipped(panel), Item(item), text).value == value


@pytest.mark.parametrize(
    ("item", "text", "told"),
    [
        ("zone/1/behaviour", "outside", "did you mean outside opening?"),
        ("zone/1/label", "side gaet", "did you mean gate?"),
        ("setting/exit-time", "63", "steps of 5"),
        ("setting/exit-time", "ten", "010 to 240"),
        ("station/account", "42", "4 digits"),
        ("zone/1/number", "90482", "6 digits"),
        ("panel/edition", "T3.0", "edition T2.6"),
    ],
)
def test_a_text_that_means_nothing_is_told_with_what_would(item: str, text: str, told: str) -> None:
    meant = meaning(TERN, Item(item), text)
    assert meant.value is None
    assert told in meant.says


def test_a_text_that_the_display_cuts_is_believed_only_where_nothing_else_looks_so() -> None:
    label = Item("zone/1/label")
    assert meaning(TERN, label, "movement greenhouse "[:20]).value is None  # a place, no word
    assert meaning(TERN, label, "movement cupboard sk").value == "movement cupboard skylight"
    twice = meaning(TERN, label, "cupboard left window")
    assert twice.value is None
    assert "cupboard left windows" in twice.says
    assert meaning(TERN, label, "cupboard left window", whole=True).value == "cupboard left window"
    assert at(after("1", "contact", "=cupboard left window")) == "zone/1/light"


def test_an_answer_is_never_lost_by_what_comes_after() -> None:
    rng = random.Random(1)
    for name in PANELS:
        profile = shipped(name)
        held = random_programme(profile, rng, 2, 1, 1)
        lines, _ = answers(profile, held, rng, 0.1)
        review = begin(profile, Readback(name))
        for line in lines:
            following = enter(review, line)
            assert set(review.readback.values) <= set(following.readback.values)
            review = following
            if review.at is None or review.at.number in (None, *review.readback.numbers(review.at.group)):
                assert begin(profile, review.readback).at == review.at
        assert all(isinstance(value, str) for value in review.readback.values.values())
        assert review.readback.values.get(Item("panel/edition")) in (Value(profile.edition), UNKNOWN)

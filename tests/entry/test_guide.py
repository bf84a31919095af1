"""The householder's guide: plain, short, without secrets, and with a way back."""

from __future__ import annotations

import re

import pytest

from tests.entry.house import after, before
from zonewright.entry.keypad.standing import at_rest
from zonewright.entry.sheets.guide import Guide, for_one_zone, guide
from zonewright.entry.sheets.sheet import delta, keyed, replay, whole


def page() -> Guide:
    sheet = delta(after().profile, before().programme, after().programme)
    test = ("Open it. You must notice this: two notes.",)
    return guide(sheet, 7, "It plays two notes when it opens.", test)


def sentences(made: Guide) -> list[str]:
    texts = [made.does, *made.first, *made.test, *made.differs, *made.code]
    texts += [part for action in made.actions for part in (action.do, action.see)]
    return [each for text in texts for each in re.split(r"(?<=[.?!:])\s+", text) if each]


def syllables(word: str) -> int:
    found = re.findall(r"[aeiouy]+", word.lower())
    silent_e = word.lower().endswith("e") and not word.lower().endswith("le") and len(found) > 1
    return max(1, len(found) - silent_e)


def test_sentences_have_fewer_than_twelve_words() -> None:
    assert [each for each in sentences(page()) if len(each.split()) >= 12] == []


def test_a_child_of_eleven_could_read_it() -> None:
    words = [word for each in sentences(page()) for word in re.findall(r"[A-Za-z']+", each)]
    grade = 0.39 * len(words) / len(sentences(page())) + 11.8 * sum(map(syllables, words)) / len(words) - 15.59
    assert grade <= 5  # Flesch and Kincaid 1975, from memory; syllables by our own count


def test_it_says_what_to_press_what_shows_how_to_test_and_what_if_not() -> None:
    made = page()
    assert "Press 4714 9211." in made.actions[5].do
    assert '"side gate"' in made.actions[5].do
    assert any("two notes" in line for line in made.test)
    assert any("back" in line for line in made.differs)
    assert any("90 seconds" in line for line in made.differs)
    assert any("own code" in line for line in made.code)
    assert any("Change it" in line for line in made.code)


def test_where_a_slip_is_silent_the_display_is_said_aloud_before_the_key() -> None:
    assert [action.number for action in page().actions if action.aloud] == [7, 10, 12]
    assert page().actions[9].do == "Tell me what it shows. Then press yes."


def test_a_zone_that_needs_no_key_has_no_guide() -> None:
    sheet = delta(after().profile, before().programme, after().programme)
    with pytest.raises(KeyError):
        guide(sheet, 1, "", ())


def test_it_begins_at_the_display_at_rest_whatever_else_the_sheet_changes() -> None:
    """On a whole sheet zone 7 comes after others, from wherever they end."""
    sheet = whole(after().profile, after().programme)
    assert next(job for job in sheet.jobs if job.job.number == 7).steps[0].shows[0] != "All quiet"
    alone = for_one_zone(sheet, 7)
    (job,) = alone.jobs
    assert job.steps[0].shows[0] == "All quiet"
    assert guide(alone, 7, "", ()).actions[0].do == "Press no no 7."
    assert replay(alone).fields("zone", 7) == after().programme.fields("zone", 7)


def test_it_says_the_keys_that_really_mend_a_wrong_device() -> None:
    made = page()
    text = " ".join(made.differs)
    assert "At step 15 you see another number than 904827? The wrong part is in." in text
    assert "You must see 904827." in text or "start again at step 1" in text


def test_nothing_is_saved_before_the_step_that_the_guide_names() -> None:
    sheet = for_one_zone(delta(after().profile, before().programme, after().programme), 7)
    (job,) = sheet.jobs
    (named,) = [int(found[1]) for line in page().differs if (found := re.search(r"saved before step (\d+)", line))]
    state = at_rest(sheet.profile, sheet.old)
    for step in job.steps:
        held = dict(state.held)
        state = keyed(sheet.profile, state, step)
        if dict(state.held) != held:
            assert step.number == named
            break

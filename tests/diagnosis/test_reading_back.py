"""A question that reads answers back comes with its keys: they meet every readable answer and change nothing."""

from __future__ import annotations

import pytest

from tests.diagnosis.sites import SITES, case
from zonewright.cli.diagnosis_text import next_lines
from zonewright.desk.results.diagnoses import diagnosis_of
from zonewright.diagnosis.case import Diagnosis
from zonewright.diagnosis.questions import ReadBack
from zonewright.diagnosis.reading_back import parts_to_read
from zonewright.entry.keypad.pressing import press
from zonewright.entry.keypad.showing import display
from zonewright.entry.keypad.standing import at_rest
from zonewright.panel.legal import beside, exists
from zonewright.panel.profile import Style


@pytest.mark.parametrize("site", SITES)
def test_the_keys_meet_every_answer_that_can_be_read_and_change_none(site: str) -> None:
    resolved = case(site).resolved
    profile, planned = resolved.profile, resolved.programme
    asked = [each for each in case(site).questions if isinstance(each, ReadBack)]
    assert len(asked) > len(resolved.zones)
    for (thing,) in (question.things for question in asked):
        parts = parts_to_read(resolved, thing)
        shown = set()
        for part in parts:
            state = at_rest(profile, planned)
            shown.add(display(profile, state))
            for stroke in part.strokes:
                for key in stroke.keys:
                    state = press(profile, state, key)
                    shown.add(display(profile, state))
            for key in part.leave:
                state = press(profile, state, key)
            assert dict(state.held) == dict(planned.values), thing
            assert {each.shows for each in part.readings} <= shown
        there = [item for item in planned if item.rpartition("/")[0] == thing and (rule := profile.rule_of(item))]
        readable = {
            item
            for item in there
            if (rule := profile.rule_of(item)) is not None and exists(rule, beside(item, planned.values))
            and (answer := profile.answer_of(item)) is not None and answer.style not in (Style.TRIP, Style.SECRET)
        }  # fmt: skip
        assert {each.item for part in parts for each in part.readings} == readable, thing


@pytest.mark.parametrize("site", SITES)
def test_the_keys_are_printed_with_the_question(site: str) -> None:
    (question,) = (each for each in case(site).questions if "read back" in each.name and each.things == {"station"})
    diagnosis = Diagnosis(case(site))
    asked = diagnosis.put(question)
    lines = [str(line) for line in next_lines(asked, 80, case(site).resolved)]
    (head,) = (n for n, line in enumerate(lines) if line == "  keys, from the display at rest:")
    assert any(line.startswith("  [ ] ") for line in lines[head:])
    found = diagnosis_of(diagnosis, asked).next
    assert found is not None
    assert found.keys


def test_no_other_question_has_keys() -> None:
    question = next(each for each in case().questions if not isinstance(each, ReadBack))
    lines = [str(line) for line in next_lines(Diagnosis(case()).put(question), 80, case().resolved)]
    assert not any("keys" in line for line in lines)

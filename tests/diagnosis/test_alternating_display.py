"""Whoever sees one line of a display that alternates has seen what the panel shows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.diagnosis.sites import case, seen
from zonewright.diagnosis.case import Diagnosis
from zonewright.diagnosis.evidence import Answered
from zonewright.diagnosis.questions import Look, seen_of

LINES = st.lists(st.text("abc", min_size=1), min_size=1, max_size=7, unique=True)


@given(LINES)
def test_what_may_be_seen_is_all_of_it_or_any_line_and_sums_to_one(lines: list[str]) -> None:
    found = seen_of(tuple(lines))
    assert sum(found.values()) == pytest.approx(1)
    assert set(lines) <= set(found)
    assert found["; ".join(lines)] >= 0.5 or len(lines) == 1


@pytest.mark.parametrize("site", ["larkfield", "rowan"])
def test_one_line_seen_excludes_no_cause_that_shows_it_among_others(site: str) -> None:
    (look,) = (each for each in case(site).questions if isinstance(each, Look))
    tried = 0
    for place, hypothesis in enumerate(case(site).hypotheses):
        shown = [answer.split("; ") for answer in case(site).answers(place, look)]
        lines = max(shown, key=len)
        if len(lines) > 1 and tried < 40:
            tried += 1
            for line in lines:
                after = Diagnosis(case(site)).given(Answered(look, line))
                assert after.weights[place] > 0, (str(hypothesis), line)
    assert tried


def test_one_line_told_as_noticed_is_enough() -> None:
    whole = seen('back door missing; side gate missing: display: "kitchen back door missing"')
    assert whole.weights[0] > 0

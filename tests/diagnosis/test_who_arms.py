"""Where not everybody may, it is said who arms: in a question, and of an observation that names nobody."""

from __future__ import annotations

from tests.diagnosis.sites import case, seen
from zonewright.cli.diagnosis_text import in_short
from zonewright.diagnosis.questions import Trial


def trial(name: str, site: str) -> Trial:
    (found,) = (each for each in case(site).questions if each.name == name and isinstance(each, Trial))
    return found


def test_a_question_says_whose_code_arms_where_rights_differ() -> None:
    armed = [each for each in case("bakery").questions if isinstance(each, Trial) and each.test.arming.armed]
    assert armed
    for each in armed:
        assert " as Pia" in each.do.partition(";")[0], each.do
        assert "user/1" in each.things


def test_a_right_that_was_keyed_wrong_shows_where_that_person_arms() -> None:
    asked = next(
        each for each in case("bakery").questions
        if isinstance(each, Trial) and each.test.arming.armed and "zone 2 shop front" in each.name
    )  # fmt: skip
    (wrong,) = (
        n for n, each in enumerate(case("bakery").hypotheses) if str(each) == "person 1: areas is 2 in place of 1+2"
    )
    planned, shown = (case("bakery").answers(place, asked) for place in (0, wrong))
    assert any("siren" in answer for answer in planned)
    assert not any("siren" in answer for answer in shown)


def test_an_observation_that_names_nobody_says_who_is_taken_to_have_armed() -> None:
    (observed,) = seen("arm away; leave by shop-door; +2 h shop-front opens: siren", site="bakery").evidence
    assert "armed by Pia" in in_short(observed)
    (named,) = seen("arm away by Pia; leave by shop-door; +2 h shop-front opens: siren", site="bakery").evidence
    assert in_short(named) == named.told

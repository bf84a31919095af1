"""The arithmetic of a diagnosis gives the numbers that were worked out by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zonewright.diagnosis.belief import entropy, gain, likelihood, most_gain, normalised, outcomes, score

CAUSES = ("battery", "number", "range", "chime")
SHARES = (0.4, 0.3, 0.2, 0.1)


def certain(*answers: str) -> list[dict[str, float]]:
    return [{answer: 1.0} for answer in answers]


BESIDE = certain("nothing", "nothing", "chime", "nothing")
COVER = certain("nothing", "nothing", "nothing", "tamper")
WAIT = certain("yes", "yes", "yes", "no")


def test_the_toy_worked_by_hand() -> None:
    assert entropy(SHARES) == pytest.approx(1.846, abs=1e-3)
    expected = ((BESIDE, 1, 0.722, 0.481), (COVER, 1, 0.469, 0.313), (WAIT, 1440, 0.469, 0.0003))
    for predicted, minutes, bits, worth in expected:
        assert gain(CAUSES, SHARES, predicted) == pytest.approx(bits, abs=1e-3)
        assert score(bits, minutes) == pytest.approx(worth, abs=1e-3)


def test_the_toy_when_it_stays_silent_beside_the_panel() -> None:
    left = normalised(share * answers.get("nothing", 0) for share, answers in zip(SHARES, BESIDE, strict=True))
    assert left == pytest.approx([0.5, 0.375, 0, 0.125])
    cover = gain(CAUSES, left, COVER)
    battery = gain(CAUSES, left, certain("chime", "nothing", "nothing", "nothing"))
    assert [cover, battery] == pytest.approx([0.544, 1.0], abs=1e-3)
    assert [score(cover, 1), score(battery, 3)] == pytest.approx([0.362, 0.286], abs=1e-3)


def test_who_is_not_sure_excludes_nothing() -> None:
    assert (likelihood(1, sure=True), likelihood(0, sure=True)) == (1, 0)
    assert [likelihood(1, sure=False), likelihood(0, sure=False)] == pytest.approx([0.9, 0.1])


def test_what_only_parts_hypotheses_of_one_cause_tells_nothing() -> None:
    assert gain(("same", "same"), (0.5, 0.5), certain("yes", "no")) == pytest.approx(0)


answers_ = st.dictionaries(st.sampled_from("abc"), st.floats(0.01, 1), min_size=1).map(
    lambda raw: dict(zip(raw, normalised(raw.values()), strict=True))
)


@given(st.lists(st.tuples(st.sampled_from("xyz"), st.floats(0.01, 1), answers_), min_size=1, max_size=8))
def test_gain_is_entropy_now_less_expected_entropy_after(rows: list[tuple[str, float, dict[str, float]]]) -> None:
    causes, raw, predicted = zip(*rows, strict=True)
    shares = normalised(raw)

    def of_causes(weights: list[float]) -> float:
        return entropy(sum(w for c, w in zip(causes, weights, strict=True) if c == cause) for cause in set(causes))

    after = sum(
        probability * of_causes(normalised(w * p.get(answer, 0) for w, p in zip(shares, predicted, strict=True)))
        for answer, probability in outcomes(shares, predicted).items()
    )
    assert gain(causes, shares, predicted) == pytest.approx(of_causes(shares) - after, abs=1e-9)


@given(
    st.lists(
        st.tuples(st.sampled_from(CAUSES), st.floats(0.01, 1), st.sampled_from("abc"), st.floats(0, 1)),
        min_size=1, max_size=6,
    ),
    st.floats(0, 4), st.floats(0.3, 1), st.floats(1, 2),
)  # fmt: skip
def test_no_question_tells_more_than_the_bound(
    others: list[tuple[str, float, str, float]], planned: float, less: float, more: float
) -> None:
    shares = normalised([planned, *(weight for _, weight, _, _ in others)])
    causes = ["planned", *(cause for cause, _, _, _ in others)]
    predicted = [{"as planned": 1.0}, *({answer: p, "as planned": 1 - p} for _, _, answer, p in others)]
    within = entropy(sum(s for c, s in zip(causes[1:], shares[1:], strict=True) if c == cause) for cause in CAUSES)
    touched = sum(shares[1:])
    assert gain(causes, shares, predicted) <= most_gain(less * touched, more * touched, within) + 1e-9

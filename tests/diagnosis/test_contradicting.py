"""The observations that contradict each other are named, as few of them as do."""

from __future__ import annotations

from functools import reduce
from operator import and_

from hypothesis import given
from hypothesis import strategies as st

from tests.diagnosis.sites import seen
from zonewright.cli.diagnosis_text import contradiction_lines
from zonewright.desk.results.diagnoses import diagnosis_of
from zonewright.diagnosis.contradicting import smallest_sets


@given(st.lists(st.integers(0, 255), max_size=6))
def test_a_set_contradicts_itself_and_nothing_less_of_it_does(shown: list[int]) -> None:
    found = smallest_sets(list(enumerate(shown)))
    assert bool(found) == (bool(shown) and not reduce(and_, shown))
    for together in found:
        assert reduce(and_, (shown[n] for n in together)) == 0
        for left_out in together:
            rest = [shown[n] for n in together if n != left_out]
            assert not rest or reduce(and_, rest)
    assert len({len(together) for together in found}) <= 1


def test_two_observations_that_exclude_each_other_are_told_and_a_third_is_not() -> None:
    chime, silence = "shop-door opens: chime", "shop-door opens: not chime, from the room"
    diagnosis = seen("delivery-gate opens: chime", chime, silence, site="bakery")
    assert diagnosis.contradictory
    assert [{each.told for each in some} for some in diagnosis.contradictions()] == [{chime, silence}]
    text = "\n".join(contradiction_lines(diagnosis, 80))
    assert f"No cause shows both of these:\n  - {chime}\n  - {silence}\n" in text
    assert "delivery-gate" not in text.split("What comes nearest")[0]
    assert diagnosis_of(diagnosis, None).contradict_each_other == ((chime, silence),)


def test_three_that_only_together_exclude_each_other_are_told() -> None:
    diagnosis = seen("back door opens: nothing", "front door opens: nothing", "side gate opens: chime")
    assert diagnosis.contradictory
    assert [len(some) for some in diagnosis.contradictions()] == [3]
    assert "No cause shows all of these:" in list(contradiction_lines(diagnosis, 80))


def test_each_observation_that_nothing_shows_alone_is_told_by_itself() -> None:
    never = "small window opens: siren", "small window opens: gas siren, from the room"
    diagnosis = seen(*never, "back door opens: chime")
    assert [each.told for (each,) in diagnosis.contradictions()] == list(never)

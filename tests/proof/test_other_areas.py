"""What may be so at once of areas that aren't kept: held against trying all that each of them may be."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from zonewright.behaviour.setup import AreaNumber
from zonewright.behaviour.state import Phase
from zonewright.panel.behaviours import Mode
from zonewright.proof.prover.facts import ANYWHERE, OFF, PLACES, Fact, places
from zonewright.proof.prover.other_areas import Answer, can_be, one_way

AREAS = [AreaNumber(n) for n in (1, 2, 3)]
MASKS = st.integers(0, ANYWHERE)
SOME = st.sets(st.sampled_from(AREAS), min_size=1).map(lambda areas: tuple(sorted(areas)))
TOLD = st.one_of(
    st.tuples(st.tuples(st.just("mode"), st.sampled_from(AREAS)), st.sampled_from(Mode)),
    st.tuples(st.tuples(st.just("phase"), st.sampled_from(AREAS)), st.sampled_from(Phase)),
    st.tuples(st.tuples(st.just("all in"), st.tuples(SOME, MASKS)), st.booleans()),
)


def is_so(where: dict[AreaNumber, int], fact: Fact, answer: object) -> bool:
    """Return whether an answer is right of areas that are each in one place."""
    what, about = fact
    if what == "all in":
        areas, mask = about  # type: ignore[misc]
        return all(mask >> where[area] & 1 for area in areas) is answer  # type: ignore[has-type]
    mode, phase = PLACES[where[about]]  # type: ignore[index]
    return answer is (mode if what == "mode" else phase)


@given(st.frozensets(TOLD, max_size=6))
def test_answers_can_be_together_where_some_places_of_all_areas_fit_them(told: frozenset[Answer]) -> None:
    every = (dict(zip(AREAS, some, strict=True)) for some in product(range(len(PLACES)), repeat=len(AREAS)))
    fits = any(all(is_so(where, *each) for each in told) for where in every)
    assert can_be(told) is fits
    if fits:
        way = dict(one_way(told))
        first = {area: next(n for n in range(len(PLACES)) if way.get(area, ANYWHERE) >> n & 1) for area in AREAS}
        assert all(is_so(first, *each) for each in told)


def test_an_area_is_off_exactly_where_it_is_at_rest() -> None:
    assert [place for place in PLACES if place[0] is Mode.DISARMED or place[1] is Phase.REST] == [OFF]
    assert places(frozenset({Mode.DISARMED}), None) == places(None, frozenset({Phase.REST})) == 1
    assert places(None, None) == ANYWHERE

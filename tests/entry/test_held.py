"""What is told beside another map reads as that map with its changes."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from zonewright.entry.keypad.held import ChangedPlan, changed
from zonewright.panel.programme import Item, Value

ITEMS = st.sampled_from([Item(f"zone/{n}/label") for n in range(1, 6)])
VALUES = st.sampled_from([Value(each) for each in ("door", "gate", "hall")])
CHANGES = st.dictionaries(ITEMS, VALUES | st.none())


@given(st.dictionaries(ITEMS, VALUES), st.lists(CHANGES, max_size=4))
def test_it_reads_as_the_map_that_it_stands_for(
    planned: dict[Item, Value], steps: list[dict[Item, Value | None]]
) -> None:
    beside, plain = changed(ChangedPlan(planned, {}), {}), changed(planned, {})
    for changes in steps:
        beside, plain = changed(beside, changes), changed(plain, changes)
    assert isinstance(beside, ChangedPlan)
    assert isinstance(plain, dict)
    assert dict(beside) == plain
    assert len(beside) == len(plain)
    for item in map(Item, (*planned, "zone/5/label", "zone/9/label")):
        assert (item in beside, beside.get(item)) == (item in plain, plain.get(item))
    assert all(beside.may_hold(value) for value in plain.values())
    assert beside.differences == {
        item: plain.get(item) for item in {**planned, **plain} if plain.get(item) != planned.get(item)
    }


@given(st.dictionaries(ITEMS, VALUES), CHANGES, CHANGES)
def test_two_are_equal_when_what_they_hold_is(
    planned: dict[Item, Value], one: dict[Item, Value | None], two: dict[Item, Value | None]
) -> None:
    first, second = ChangedPlan(planned, {}).but(one), ChangedPlan(planned, {}).but(two)
    assert (first == second) == (dict(first) == dict(second))
    assert first != second or hash(first) == hash(second)

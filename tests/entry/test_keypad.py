"""The virtual keypad by itself: total, and keeping only what is kept."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import pairwise

import pytest

from zonewright.entry.keypad import pressing, showing, standing
from zonewright.entry.keypad.drive import drive
from zonewright.panel.legal import as_shipped, random_programme, why_illegal
from zonewright.panel.profile import Profile
from zonewright.panel.profile_file import shipped, shipped_names
from zonewright.panel.programme import Programme, Value, item_of

TERN = shipped("tern")


def test_any_keys_in_any_order_are_answered() -> None:
    rng = random.Random(11)
    state = standing.at_rest(TERN, as_shipped(TERN))
    met, kept = {state.node}, 0
    acts = [*TERN.keys.names, "yes", "no", "yes", "no"]
    for _ in range(50_000):
        before = state
        draw = rng.random()
        if draw < 0.002:
            state = pressing.idle(TERN, state)
        elif draw < 0.05:
            state = pressing.heard(TERN, state, f"{rng.randrange(4):06}")
        elif draw < 0.07 and state.node == TERN.rest:
            state = pressing.press(TERN, pressing.press(TERN, pressing.press(TERN, state, "no"), "no"), "7")
        elif draw < 0.5 and (answer := standing.answer_at(TERN, TERN.script[state.node])) is not None and answer.codes:
            for digit in rng.choice(list(answer.codes.values())):
                state = pressing.press(TERN, state, digit)
        else:
            state = pressing.press(TERN, state, rng.choice(acts))
        shown = showing.display(TERN, state)
        assert len(shown) == TERN.display.lines
        assert all(len(line) <= TERN.display.columns for line in shown)
        met.add(state.node)
        if state.held is not before.held and state.held != before.held:
            kept += 1
            assert why_illegal(TERN, standing.programme_of(TERN, state)) == []
    stood_at = {name for name, node in TERN.script.items() if not node.keep and not node.forget}
    assert met >= stood_at - {"gone", "sure"}, stood_at - met
    assert kept > 0


def test_a_key_without_meaning_leaves_everything_as_it_was() -> None:
    state = standing.at_rest(TERN, as_shipped(TERN))
    after = pressing.press(TERN, state, "5")
    assert after._replace(message="") == state
    assert showing.display(TERN, after) == ("All quiet", "no")


def test_the_time_out_keeps_nothing() -> None:
    state = standing.at_rest(TERN, as_shipped(TERN))
    for key in ("no", "no", "7", "1", "2", "3", "4", "yes", "yes", "yes", *"9837", "yes"):
        state = pressing.press(TERN, state, key)
    after = pressing.idle(TERN, state)
    assert after.held is state.held
    assert showing.display(TERN, after) == ("All quiet", "nothing kept")


def like_new(profile: Profile, state: standing.KeypadState) -> bool:
    """Return whether the keypad is as one that holds the same and was never touched, its message aside."""
    fresh = standing.at_rest(profile, standing.programme_of(profile, state))
    return (state.node, state.waiting, state.buffer, state.group, state.number, state.trail, dict(state.held)) == (
        fresh.node, fresh.waiting, fresh.buffer, fresh.group, fresh.number, fresh.trail, dict(fresh.held)
    )  # fmt: skip


def states_of(profile: Profile, seed: int) -> Iterator[standing.KeypadState]:
    """Give each state in which a question waits on the way from shipped to some plan, to another, and back."""
    chance = random.Random(seed)
    plans = [as_shipped(profile), *(random_programme(profile, chance, 3, 1) for _ in range(2)), as_shipped(profile)]
    for old, new in pairwise(plans):
        for done in drive(profile, old, new):
            for stroke in done.strokes:
                state = stroke.before
                yield state
                for key in stroke.keys:
                    state = pressing.press(profile, state, key)
                    yield state


@pytest.mark.parametrize("name", shipped_names())
def test_after_the_time_out_or_back_at_rest_no_answer_waits_for_what_is_keyed_next(name: str) -> None:
    """Else the next device would get the label of one that was given up; sheet and keypad would agree on it."""
    profile, waited, came_back = shipped(name), 0, 0
    for state in states_of(profile, 5):
        waited += bool(state.waiting)
        assert like_new(profile, pressing.idle(profile, state))
        back = state
        for _ in range(20):
            if back.node == profile.rest:
                came_back += 1
                assert like_new(profile, back._replace(buffer=""))  # the first key of a way in may be pressed
                break
            back = pressing.press(profile, back, profile.back)
    assert waited or all(node.keeps for node in profile.script.values() if node.ask)
    assert came_back


@pytest.mark.parametrize("name", shipped_names())
def test_two_zones_taken_out_are_both_out_and_no_other_is(name: str) -> None:
    """Looked at on the keypad after each of the two; the numbers begin alike."""
    profile = shipped(name)
    numbers = [1, 2, 10, 11, 12]
    plan = random_programme(profile, random.Random(3), 1, 0)
    (only,) = plan.numbers("zone")
    fields = {**plan.fields("zone", only), "crosses": plan.fields("zone", only).get("crosses", "")}
    values = {item: value for item, value in plan.values.items() if not item.startswith("zone/")}
    values |= {
        item_of("zone", n, field): Value(f"{910_000 + n}" if field == "number" and value.isdigit() else value)
        for n in numbers
        for field, value in fields.items()
        if value or field != "crosses"
    }
    full = Programme(plan.panel, values)
    left = Programme(
        plan.panel, {item: value for item, value in values.items() if not item.startswith(("zone/1/", "zone/11/"))}
    )
    state, held = standing.at_rest(profile, full), []
    for done in drive(profile, full, left):
        for stroke in done.strokes:
            for key in stroke.keys:
                state = pressing.press(profile, state, key)
        assert not state.waiting
        held.append(list(standing.programme_of(profile, state).numbers("zone")))
    assert held == [[2, 10, 11, 12], [2, 10, 12]]

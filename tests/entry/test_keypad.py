"""The virtual keypad by itself: total, and keeping only what is kept."""

from __future__ import annotations

import random

from zonewright.entry import keypad, showing, standing
from zonewright.panel.legal import as_shipped, why_illegal
from zonewright.panel.reading import shipped

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
            state = keypad.idle(TERN, state)
        elif draw < 0.05:
            state = keypad.heard(TERN, state, f"{rng.randrange(4):06}")
        elif draw < 0.07 and state.node == TERN.rest:
            state = keypad.press(TERN, keypad.press(TERN, keypad.press(TERN, state, "no"), "no"), "7")
        elif draw < 0.5 and (answer := standing.answer_at(TERN, TERN.script[state.node])) is not None and answer.codes:
            for digit in rng.choice(list(answer.codes.values())):
                state = keypad.press(TERN, state, digit)
        else:
            state = keypad.press(TERN, state, rng.choice(acts))
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
    after = keypad.press(TERN, state, "5")
    assert after._replace(message="") == state
    assert showing.display(TERN, after) == ("All quiet", "no")


def test_the_time_out_keeps_nothing() -> None:
    state = standing.at_rest(TERN, as_shipped(TERN))
    for key in ("no", "no", "7", "1", "2", "3", "4", "yes", "yes", *"6501", "yes"):
        state = keypad.press(TERN, state, key)
    after = keypad.idle(TERN, state)
    assert after.held is state.held
    assert showing.display(TERN, after) == ("All quiet", "nothing kept")

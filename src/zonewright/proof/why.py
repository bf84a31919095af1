"""Why a promise holds or fails: what the panel does in every state in which it is about something, mode by mode.

Rules of this file:
1. It is told from the same states and outcomes by which the promise was judged; nothing is run besides.
2. A state of a slice may stand for several of the panel: what is told is all that may come of it there.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from zonewright.behaviour.setup import Setup
from zonewright.behaviour.state import Phase
from zonewright.behaviour.telling import label, output_in_words, sounder
from zonewright.proof.explore import Case
from zonewright.proof.promise import Promise
from zonewright.proof.prove import cases_about

NOTHING = "nothing"
_PHASE = {Phase.REST: "", Phase.EXIT: ", exit time", Phase.SET: "", Phase.ENTRY: ", entry time"}


@dataclass(frozen=True, slots=True)
class Situation:
    """Where the areas of a promise stand, in how many states of the panel, and what comes of the event there."""

    name: str
    states: int
    does: tuple[str, ...]  # each once, the commonest first


def why(setup: Setup, promise: Promise) -> tuple[Situation, ...]:
    """Return what the panel does in every state that a promise is about.

    Raises `OutOfBounds` or `TooLarge` where it can't all be looked at.
    """
    found: dict[str, Counter[str]] = {}
    states: dict[str, set[object]] = {}
    for case in cases_about(setup, promise):
        name = _situation(promise, case)
        found.setdefault(name, Counter())[_does(setup, promise, case)] += 1
        states.setdefault(name, set()).add(case[0])
    return tuple(
        Situation(name, len(states[name]), tuple(text for text, _ in does.most_common()))
        for name, does in sorted(found.items())
    )


def _situation(promise: Promise, case: Case) -> str:
    control = case[0]
    home = next((area for area in control.areas if area.number in promise.areas), control.areas[0])
    mode = "off" if home.phase is Phase.REST else f"armed {home.mode.value}"
    return mode + _PHASE[home.phase]


def _does(setup: Setup, promise: Promise, case: Case) -> str:
    _, _, outcome = case
    mine = set(promise.zones)
    called = {sounder(pattern) for pattern, number in outcome.called if not mine or number in mine}
    parts = [f"{each} is called for" for each in sorted(called)]
    parts += [f'message "{name}" waits, {label(setup, number)}' for number, name in outcome.held]
    parts += [
        output_in_words(setup, output)
        for output in outcome.outputs
        if not mine or getattr(output, "zone", None) in {None, *mine}
    ]
    return ", ".join(dict.fromkeys(parts)) or NOTHING

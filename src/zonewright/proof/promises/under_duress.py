"""What a panel promises whoever is made to disarm: the station is told at once, and nothing in the house tells of it.

Rules of this file:
1. Two steps of one state are compared: a duress code, and a plain one. Messages aside, they must be one and the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from zonewright.behaviour.acts import coded
from zonewright.behaviour.events import Disarm, Message, Output, PanelMessage
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.behaviour.state import Control
from zonewright.behaviour.step import step
from zonewright.proof.promises.promise import Condition, Outright, OutrightVerdict, Promise, about, where
from zonewright.proof.prover.observers import Invariant
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act, Leaf


def of_duress(setup: Setup, area: AreaNumber) -> Iterator[Promise]:
    """Give what is promised of duress codes, if any slot is one."""
    if not setup.duress:
        return
    says = f"a duress code tells the station at once, and does all else as a plain one{where(setup, frozenset({area}))}"
    here = setup.duress if setup.acts is None else frozenset(setup.acts.of(area).forced)
    if not here:
        nobody = Outright(OutrightVerdict.IDLE, "no duress code is good for it")
        yield Promise("duress", "duress", says, (), frozenset({area}), outright=nobody)
        return
    plain = coded(setup, area)
    if plain is None or plain in setup.duress:
        plain = UserNumber(next(n for n in range(1, len(setup.duress) + 2) if n not in setup.duress))
    made_to = Disarm(area, min(here))

    def told_apart(before: Control, act: Act, _outcome: EventOutcome) -> bool:
        if act != made_to:
            return False
        one, other = step(setup, before, made_to), step(setup, before, Disarm(area, plain))
        alike = (one.control, one.starts, one.stops) == (other.control, other.starts, other.stops)
        return not alike or betrays(one.outputs, other.outputs, made_to)

    given = Condition("the duress code is given", lambda _b, act, _o: act == made_to)
    yield Promise(
        "duress", "duress", says, (), frozenset({area}), Invariant(told_apart), about(given),
        twin=(made_to, Disarm(area, plain)),
    )  # fmt: skip


def tells_apart(one: Leaf, other: Leaf, made_to: Disarm) -> bool:
    """Return whether a duress code's run of `step` differs from a plain code's of the same table and answers."""
    return one.change is not other.change or betrays(one.outputs, other.outputs, made_to)


def betrays(one: tuple[Output, ...], other: tuple[Output, ...], made_to: Disarm) -> bool:
    """Return whether the station isn't told of duress, or anything else is otherwise but for who it was."""
    call = Message(PanelMessage.DURESS.value, made_to.area, user=made_to.user)
    return call not in one or _unnamed(each for each in one if each != call) != _unnamed(other)


def _unnamed(outputs: Iterator[Output] | tuple[Output, ...]) -> list[Output]:
    return [replace(each, user=None) if isinstance(each, Message) else each for each in outputs]

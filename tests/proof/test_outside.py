"""Verdicts held against what random panels really do, by a judge from outside that would notice a mistake."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from tests.behaviour.house import CP01, house, zone
from tests.proof.outside import PANELS, Asked, Happened, Tally, hold_against, judge, run_of, statements
from tests.proof.test_timelines import differences
from zonewright.behaviour.events import Arm, Disarm, ZoneOpens
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.panel.behaviours import SHIPPED, Mode, Pattern
from zonewright.proof.promises import judges, own_messages
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import prove
from zonewright.proof.prover import refine, replay
from zonewright.proof.prover.explore import Cover
from zonewright.proof.prover.observers import OVER
from zonewright.proof.prover.reading import Reading
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import Table
from zonewright.proof.prover.told import Telling
from zonewright.site.must import Statement


@pytest.mark.deep
@pytest.mark.parametrize("name", PANELS)
def test_no_verdict_on_a_random_panel_is_contradicted_by_what_it_does(name: str) -> None:
    """A thousand of each are judged by `python -m benchmarks.outside`."""
    tally = Tally()
    for seed in range(3):
        judge(name, seed, tally, most=12, runs=2, length=150)
    assert not tally.contradictions
    assert tally.statements >= 30
    assert tally.results["holds"] > 5 < tally.results["fails"]


LOUD_NOTICE = SHIPPED["notice"].model_copy(update={"siren": Pattern.BURGLARY, "chimes": frozenset({Mode.DISARMED})})
PUSH = SHIPPED["arm-switch"].model_copy(update={"momentary": True})
ODD = {
    "a switch that stays": zone(1, "arm-switch"),
    "a switch that is pushed": replace(zone(1, "arm-switch"), behaviour=PUSH),
    "a notice with a siren": replace(zone(1, "notice", chime="bell"), behaviour=LOUD_NOTICE),
}


@pytest.mark.parametrize("name", ODD)
def test_variants_of_a_profile_of_its_own_get_verdicts_that_nothing_contradicts(name: str) -> None:
    settings = replace(CP01, supervision_window=0, exit_time=40)
    setup = house(ODD[name], zone(2, "entry-door"), zone(3, "interior"), settings=settings)
    chance, tally = random.Random(name), Tally()
    asked = statements(setup, chance, 30)
    hold_against(name, setup, asked, [run_of(setup, chance, 300) for _ in range(4)], tally)
    assert not tally.contradictions
    kinds = ("notice", "cancel", "disarm")
    found = list(prove(setup, [each for each in promises(setup) if each.kind in kinds and each.outright is None]))
    assert {each.settled.result for each in found} == {VerdictKind.HOLDS}


# Mistakes planted in the prover ---------------------------------------------------------------------------------------

Plant = Callable[[pytest.MonkeyPatch], None]


@cache
def sites() -> tuple[tuple[str, Setup, Asked, list[list[Happened]]], ...]:
    """Small panels with shared zones, the statements about them, and long runs of them."""
    plain = replace(CP01, supervision_window=0, exit_time=40, swinger_limit=0)
    pairs = replace(plain, swinger_limit=1, cross_window=80)
    setups = {
        "two shops": house(zone(1, "entry-door", areas=(1, 2)), zone(2, "interior", areas=(1, 2)), settings=plain),
        "a hall": house(zone(1, "entry-door"), zone(2, "on-route", areas=(1, 2), message_waits=False), settings=plain),
        "a pair": house(
            zone(1, "on-route", crosses=frozenset({2})),
            zone(2, "perimeter", areas=(2,), crosses=frozenset({1})),
            settings=pairs,
        ),
    }
    found = []
    for name, setup in setups.items():
        chance = random.Random(name)
        asked = [(one, each) for one, each in statements(setup, chance) if is_asked(one, each)]
        found.append((name, setup, asked, [run_of(setup, chance, 400) for _ in range(6)]))
    return tuple(found)


def is_asked(one: ZoneSetup, statement: Statement) -> bool:
    """Choose some of all statements: what never sounds, and what always does of the first zone when armed away."""
    if statement.wanted == "never":
        return statement.effect.kind == "siren" or (statement.effect.kind == "message" and statement.while_ == "night")
    return one.number == 1 and statement.effect.kind in ("siren", "message") and statement.while_ == "away"


def contradictions() -> list[str]:
    tally = Tally()
    for name, setup, asked, runs in sites():
        hold_against(name, setup, asked, runs, tally)
    return tally.contradictions or impossible_timelines()


def impossible_timelines() -> list[str]:
    """Return what of the timelines shown for a shared zone the clockwork doesn't do.

    The promises are those of a panel with a longer cancel window, so that some fail by their seconds. An alarm waits in
    the abort window of area 1; who looks at area 2 alone may take it that nothing waits there yet.
    """
    settings = replace(CP01, supervision_window=0, swinger_limit=0, cancel_window=60)
    setup = house(zone(1, "interior", areas=(1, 2)), settings=settings)
    asks = replace(setup, settings=replace(setup.settings, cancel_window=90))
    found = list(prove(setup, [each for each in promises(asks) if each.kind == "cancel"]))
    assert {each.settled.result for each in found} == {VerdictKind.FAILS}
    return [f"{each.promise.name}: {wrong}" for each in found for wrong in differences(setup, each)]


def wrapped(owner: Any, name: str, change: Callable[[Any], Any]) -> Plant:
    """Plant a mistake: what a function of the prover returns is changed."""
    plain = getattr(owner, name)

    def plant(patched: pytest.MonkeyPatch) -> None:
        patched.setattr(owner, name, lambda *given, **named: change(plain(*given, **named)))

    return plant


def roots_of_the_first_slice(patched: pytest.MonkeyPatch) -> None:
    """What was wrong once: the roots of the first round are looked for in every round, and their number isn't."""
    first: dict[int, Any] = {}

    def roots(ground: Any, question: Any) -> list[Any]:
        known = first.setdefault(id(question.observer), ground.slice.first())
        is_root = question.is_root or (lambda control: control == known)
        return [each for each in ground.cover.controls if is_root(each)]

    patched.setattr(refine, "_roots", roots)
    patched.setattr(refine, "_cases_met", lambda *_: 1)
    for shortcut in ("opened_plainly", "witness"):  # else no second round is needed
        patched.setattr(f"zonewright.proof.prove.{shortcut}", lambda *_: None)


def too_late_at_once(seer: Any, _until: int) -> None:
    if seer.state is not None:
        seer.state, seer.bad = None, True


PLANTED: dict[str, Plant] = {
    "roots dropped": wrapped(refine, "_roots", lambda _roots: []),
    "roots of the first slice": roots_of_the_first_slice,
    "a case skipped": wrapped(Reading, "cases", lambda cases: cases[:1]),
    "a leaf forgotten": wrapped(Table, "leaves", lambda found: (found[0][:1], found[1])),
    "facts merged": wrapped(Telling, "_places_told", lambda _places: ()),
    "other areas always off": wrapped(Reading, "_of_place", lambda answers: answers[:1]),
    "other areas always in one": wrapped(Reading, "_of_place", lambda answers: answers[-1:]),
    "what other areas may be isn't told": lambda patched: patched.setattr(judges, "can_be", lambda _told: False),
    "no timer ends": wrapped(Slice, "_ends", lambda _ends: ()),
    "nobody arms night": wrapped(
        Slice, "inputs", lambda acts: (act for act in acts if not (isinstance(act, Arm) and act.mode is Mode.NIGHT))
    ),
    "nothing opens": wrapped(Slice, "inputs", lambda acts: (act for act in acts if not isinstance(act, ZoneOpens))),
    "only one's own acts": wrapped(
        Cover, "acts_that_differ", lambda acts: frozenset(act for act in acts if isinstance(act, Disarm))
    ),
    "it is never too late": lambda patched: patched.setattr(own_messages.Sends, "too_late", lambda _self, _state: OVER),
    "it is too late at once": lambda patched: patched.setattr(replay.Seer, "waits", too_late_at_once),
    "a timer may end when it isn't due": lambda patched: patched.setattr(
        replay.ReplayPanel, "may_end", lambda _self, _timer, _at: True
    ),
}


@pytest.mark.deep
def test_nothing_speaks_against_the_prover_as_it_is() -> None:
    assert contradictions() == []


@pytest.mark.deep
@pytest.mark.parametrize("name", PLANTED)
def test_a_mistake_planted_in_the_prover_is_noticed(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    sites()
    PLANTED[name](monkeypatch)
    assert contradictions()

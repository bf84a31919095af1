"""What holds was looked at, in every mode that is asked for, and nothing that a judge reads is taken as one."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations

import pytest

from tests.behaviour.house import CP01, house, zone
from tests.proof.outside import matrix_shows
from tests.proof.test_prove_inside import SHARED, given_events, some_setup
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Event, Expires, Timer, TimerKind
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import Mode, modes_meant
from zonewright.proof.likeness import Likeness
from zonewright.proof.promises.alarms import quiet_opening
from zonewright.proof.promises.judges import (
    counts,
    gives_alarm,
    has_effect,
    in_mode,
    left_open,
    may_be_in,
    opens,
    quiet_at,
    some_in,
)
from zonewright.proof.promises.promise import Premise, WantedByOwner
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover import refine
from zonewright.proof.prover.explore import Cover
from zonewright.proof.prover.observers import GoodWithin
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.refine import NOTHING_LOOKED_AT, NothingLookedAt, Settled, VerdictKind
from zonewright.proof.prover.slices import Slice, whole_panel
from zonewright.proof.prover.table import Act
from zonewright.site.must import ModeWord, Statement, WantedEffect
from zonewright.site.names import NamedCause as Named
from zonewright.words.matrix import Cause, matrix

QUIET = replace(CP01, supervision_window=0)
GUARDS = ("entry-door", "fire", "interior", "on-route", "perimeter", "day-night", "24-hour-audible")
WORDS: tuple[ModeWord | None, ...] = (None, "off", "stay", "night", "away", "armed")


def settled(setup: Setup, *wanted: WantedByOwner) -> list[Verdict]:
    """What becomes of an owner's statements."""
    return list(prove(setup, [each for each in promises(setup, wanted=wanted) if each.kind == "must"]))


def never_causes(one: ZoneSetup, effect: WantedEffect, word: ModeWord | None = None) -> WantedByOwner:
    return WantedByOwner(Statement("never", Named(device=str(one.number)), effect, word), (one.number,))


@pytest.mark.parametrize("areas", [(1, 2), (1, 2, 3)])
def test_the_siren_of_a_door_of_several_areas_is_never_proved_away(areas: tuple[int, ...]) -> None:
    """It takes a second round, in which the panel just switched on looks otherwise than in the first."""
    door = zone(1, "entry-door", areas=areas)
    both = house(door, zone(2, "perimeter"), settings=QUIET)
    (found,) = settled(both, never_causes(door, WantedEffect("siren")))
    assert found.settled.result is VerdictKind.FAILS


@pytest.mark.deep
@pytest.mark.parametrize("behaviour", GUARDS)
@pytest.mark.parametrize("areas", [(1, 2), (1, 2, 3)])
def test_what_a_shared_zone_never_does_in_one_mode_is_not_seen_in_the_matrix(
    behaviour: str, areas: tuple[int, ...]
) -> None:
    one = zone(1, behaviour, areas=areas)
    setup = house(one, settings=QUIET)
    table = matrix(setup, [Cause.OPENS])
    own = WantedEffect(
        "message", (one.behaviour.alarm or "").split()[0]
    )  # not its troubles, which aren't asked of the matrix
    asked = [(effect, word) for effect in (WantedEffect("siren"), own) for word in WORDS]
    found = settled(setup, *(never_causes(one, effect, word) for effect, word in asked))
    for (effect, word), verdict in zip(asked, found, strict=True):
        seen = any(matrix_shows(table.cell(one.number, mode), one, effect) for mode in modes_meant(word))
        assert (verdict.settled.result is VerdictKind.FAILS) is seen, (effect, word)


def test_where_no_run_can_begin_nothing_is_said_to_hold(monkeypatch: pytest.MonkeyPatch) -> None:
    door = zone(1, "entry-door", areas=(1, 2))
    setup = house(door, zone(2, "perimeter"), settings=QUIET)
    monkeypatch.setattr(refine, "_roots", lambda _ground, _question: no_roots())
    (found,) = settled(setup, never_causes(door, WantedEffect("siren")))
    assert (found.settled.result, found.settled.why) == (VerdictKind.UNDECIDED, NOTHING_LOOKED_AT)


def no_roots() -> list[Control]:
    raise NothingLookedAt


def test_a_promise_of_which_no_case_was_looked_at_does_not_hold() -> None:
    with pytest.raises(NothingLookedAt):
        refine.holds(0, Settled(VerdictKind.HOLDS))


def test_each_promise_that_holds_says_how_many_cases_were_looked_at() -> None:
    for seed in range(6):
        setup = some_setup(random.Random(seed), 4, SHARED)
        for verdict in prove(setup, promises(setup)):
            if verdict.settled.result is VerdictKind.HOLDS and verdict.promise.outright is None:
                assert verdict.settled.cases > 0, (seed, verdict.promise.name)
            assert verdict.settled.why != NOTHING_LOOKED_AT, (seed, verdict.promise.name)


# What judges see ------------------------------------------------------------------------------------------------------


SETS_OF_MODES = [frozenset(some) for size in (1, 2, 3, 4) for some in combinations(Mode, size)]


def judged(setup: Setup, one: ZoneSetup, before: Control, act: Act, outcome: EventOutcome) -> tuple[object, ...]:
    """Return what judges say of one outcome of a zone: what it does, whether it counts, which ways out stand open."""
    doors = [each for each in setup.zones if each.behaviour.exit_door and one.home in each.areas]
    ends = isinstance(act, Expires) and act.timer == Timer(TimerKind.EXIT, one.home)
    effects = [
        WantedEffect("siren"),
        WantedEffect("chime"),
        WantedEffect("any sound"),
    ]  # messages about bypasses are forgotten
    return (
        gives_alarm(outcome, one),
        tuple(has_effect(each, act, outcome, one, waiting=True) for each in effects),
        opens(act, one) and counts(outcome, one),
        tuple(door.number for door in left_open(outcome, doors)) if ends else (),
    )


def modes_judged(one: ZoneSetup, before: Control, act: Act, outcome: EventOutcome) -> frozenset[object]:
    """Return all that judges say of modes and quiet, which may be so; nothing of what doesn't concern the zone."""
    if not (opens(act, one) or gives_alarm(outcome, one)):
        return frozenset()
    judges = (in_mode, may_be_in, some_in)
    found = {(judge.__name__, some) for judge in judges for some in SETS_OF_MODES if judge(before, outcome, one, some)}
    quiet = {"quiet"} if opens(act, one) and quiet_at(before, outcome) else set()
    return frozenset[object](found) | quiet


@pytest.mark.deep
def test_whatever_a_judge_says_of_the_whole_panel_it_says_of_an_outcome_of_the_slice() -> None:
    """All judges that look at modes, at what counts and at what stands open, of all that happens on long walks."""
    looked_at = concerned = 0
    for seed in range(14):
        chance = random.Random(seed)
        setup = some_setup(chance, 4, (*SHARED, (1, 2, 3)) if seed % 2 else SHARED)
        whole = whole_panel(setup)
        one = chance.choice(setup.zones)
        part = Slice(setup, frozenset({one.home}), named=frozenset({one.number}), coarse=seed % 4 > 1)
        Cover(part)
        panel = Clockwork(setup)
        inputs = [each for each in given_events(setup) if each in set(part.inputs())]
        for _ in range(150):
            act: Event
            if chance.random() < 0.4 and panel.due:
                timer = min(panel.due, key=lambda each: (panel.due[each], str(each)))
                act, panel.now = Expires(timer), panel.due[timer]
            else:
                act = chance.choice(inputs)
            before = panel.control
            here = part.same(part.seen(before))
            (done,) = whole.outcomes(before, act)
            mine, modes = judged(setup, one, before, act, done), modes_judged(one, before, act, done)
            if not (isinstance(act, Expires) and before.waiting):  # whose messages wait is forgotten
                said = [each for each in part.outcomes(here, act) if judged(setup, one, here, act, each) == mine]
                assert any(modes <= modes_judged(one, here, act, each) for each in said), (seed, act)
                looked_at += 1
                concerned += bool(modes)
            panel.give(act)
    assert looked_at > 1000
    assert concerned > 100


# What is remembered of one promise for another ------------------------------------------------------------------------


def test_promises_that_differ_only_in_a_limit_or_a_mode_are_each_settled_for_themselves() -> None:
    """By hand, all else equal: the sort, the zone, the words."""
    door = zone(1, "entry-door")
    setup = house(door, settings=QUIET)
    (sounds,) = [each for each in promises(setup) if each.aspect == "opening sounds"]
    assert isinstance(sounds.observer, GoodWithin)
    sooner = replace(sounds, observer=replace(sounds.observer, within=sounds.observer.within - 1))
    off = replace(
        sounds, observer=replace(sounds.observer, start=quiet_opening(setup, door, frozenset({Mode.DISARMED})))
    )
    like = Likeness(setup, frozenset(setup.areas))
    assert len({like.of(each) for each in (sounds, sooner, off)}) == 3
    found = [each.settled.result for each in prove(setup, [sounds, sooner, replace(off, premise=Premise())])]
    assert found == [VerdictKind.HOLDS, VerdictKind.FAILS, VerdictKind.FAILS]


def test_zones_that_act_alike_are_still_settled_once() -> None:
    setup = house(zone(1, "perimeter"), zone(2, "perimeter"), zone(3, "interior", areas=(2,)), settings=QUIET)
    like = Likeness(setup, frozenset({AreaNumber(1)}))
    each_apart = [each for each in promises(setup, apart=True) if each.zones in ((1,), (2,)) and each.outright is None]
    assert len(each_apart) == 2 * len({like.of(each) for each in each_apart})

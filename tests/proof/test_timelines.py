"""Every failing timeline happens: its acts alone make the whole clockwork do the same, to the second that is told."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from tests.behaviour.house import CP01, DOOR, HALL, house, zone
from tests.proof.outside import played_again
from tests.proof.test_prove_inside import SHARED, some_setup
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, Expires, Means, Siren, Timer, TimerKind, ZoneOpens
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.cli.timelines import broken_lines
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.promises.late import too_late
from zonewright.proof.promises.promise import WantedByOwner, Window, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.explore import Cover
from zonewright.proof.prover.outcome import PERSON
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.prover.replay import ReplayPanel
from zonewright.proof.prover.slices import Slice, whole_panel
from zonewright.site.must import Statement, WantedEffect
from zonewright.site.names import NamedCause as Named


def differences(setup: Setup, verdict: Verdict) -> list[str]:
    """Return what of a shown timeline does not happen when its acts alone are given to the clockwork."""
    timeline = verdict.settled.timeline
    last = timeline[-1].at
    played = [(one.at, one.event, one.outputs) for one in played_again(setup, timeline, in_order=True)]
    shown = [(each.at, each.event, each.outputs) for each in timeline]
    wrong = [f"shown only: {each}" for each in shown if each not in played]
    return wrong + [f"played only: {each}" for each in played if each[0] < last and each not in shown]


@pytest.mark.deep
def test_a_failing_timeline_is_what_the_clockwork_does_with_its_acts_alone() -> None:
    looked_at = 0
    for seed in range(24):
        chance = random.Random(seed)
        setup = some_setup(chance, 3, SHARED if seed % 2 else ((1,),))
        doors = [one for one in setup.zones if one.behaviour.exit_door]
        asked = promises(setup, [ZoneRoute("in", one.number, ()) for one in doors])
        # as another panel promises them: whose times are longer, whose windows shorter
        longer = replace(setup.settings, siren_time=2, cancel_window=4, abort_window=4)
        others = promises(replace(setup, settings=longer), [ZoneRoute("in", one.number, ()) for one in doors])
        for verdict in prove(setup, [*asked, *others]):
            if verdict.settled.result is VerdictKind.FAILS and verdict.settled.timeline:
                assert not differences(setup, verdict), (seed, verdict.promise.name)
                late = verdict.settled.too_late
                assert late is None or late >= verdict.settled.timeline[-1].at, (seed, verdict.promise.name)
                looked_at += 1
    assert looked_at > 40


@pytest.mark.deep
def test_a_shared_entry_door_with_a_route_does_not_fail_by_a_timer_that_ends_late() -> None:
    """An entry time that the panel started with other seconds than a path assumes still ends when it is due."""
    setup = house(
        zone(DOOR, "entry-door", areas=(1, 2)),
        zone(HALL, "on-route", areas=(1, 2)),
        settings=replace(CP01, supervision_window=0),
    )
    asked = [each for each in promises(setup, [ZoneRoute("home", DOOR, (HALL,))]) if each.kind in ("route", "opening")]
    found = list(prove(setup, asked))
    shown = [each for each in found if each.settled.result is VerdictKind.FAILS and each.settled.timeline]
    assert not [wrong for each in shown for wrong in differences(setup, each)]
    overstay = [each for each in found if each.promise.aspect.endswith("too late")]
    assert [each.settled.result for each in overstay] == [VerdictKind.HOLDS]


def always(number: int, within: int | None, effect: str = "siren") -> WantedByOwner:
    statement = Statement("always", Named(device="door"), WantedEffect(effect), "away", within)  # type: ignore[arg-type]
    return WantedByOwner(statement, (number,))  # type: ignore[arg-type]


HUT = house(zone(DOOR, "entry-door", "door"), settings=replace(CP01, supervision_window=0, abort_window=0))


def of_owner(wanted: WantedByOwner) -> Verdict:
    (found,) = prove(HUT, [each for each in promises(HUT, wanted=[wanted]) if each.kind == "must"])
    return found


@pytest.mark.parametrize(
    ("within", "result"), [(29, VerdictKind.FAILS), (30, VerdictKind.HOLDS), (None, VerdictKind.HOLDS)]
)
def test_within_of_an_always_is_what_is_promised(within: int | None, result: VerdictKind) -> None:
    """The door has 30 s."""
    (found,) = [
        each for each in prove(HUT, promises(HUT, wanted=[always(DOOR, within)])) if each.promise.kind == "must"
    ]
    assert found.settled.result is result


def test_a_failure_by_the_clock_is_told_to_its_second() -> None:
    found = of_owner(always(DOOR, 9))
    opened = next(each.at for each in found.settled.timeline if isinstance(each.event, ZoneOpens))
    assert too_late(found.promise, found.settled) == (opened + 9, "no siren yet")
    assert broken_lines(HUT, found, 80)[-1].split(maxsplit=2)[-1].endswith("no siren yet")


def test_a_cancel_promise_is_for_all_of_the_window_but_its_last_second() -> None:
    """As a panel with another window promises it: a shorter one than this panel's holds, a longer one doesn't."""
    setup = replace(HUT, settings=replace(HUT.settings, cancel_window=20))
    for window, result in ((2, VerdictKind.HOLDS), (20, VerdictKind.HOLDS), (22, VerdictKind.FAILS)):
        asks = replace(setup, settings=replace(setup.settings, cancel_window=window))
        (asked,) = [each for each in promises(asks) if each.kind == "cancel"]
        assert f"within {window - 1} s" in asked.says
        (found,) = prove(setup, [asked])
        assert found.settled.result is result, window
    none = replace(setup, settings=replace(setup.settings, cancel_window=1))
    assert not [each for each in promises(none) if each.kind == "cancel"]


def test_a_timer_that_is_kept_ends_only_while_it_runs() -> None:
    for seed in range(8):
        setup = some_setup(random.Random(seed), 3, SHARED)
        for heard in (False, True):
            part = Slice(setup, frozenset({setup.areas[0]}), heard=heard)
            for control, act, _ in Cover(part).moves():
                if isinstance(act, Expires) and part.memory.tracks(act.timer):
                    assert act.timer in control.running, (seed, act)


def test_a_timer_of_the_whole_panel_ends_when_it_is_due_and_at_no_other_second() -> None:
    panel = ReplayPanel(whole_panel(HUT))
    entry, area = Timer(TimerKind.EXIT, 1), AreaNumber(1)
    assert not panel.may_end(entry, 0)  # it doesn't run
    panel.give(Arm(area, Mode.AWAY, PERSON, Means.REMOTE), 5)
    assert [at for at in range(200) if panel.may_end(entry, at)] == [65]
    assert panel.due_before(65, frozenset({entry})) == Timer(TimerKind.LAST_TEN, 1)
    panel.give(Expires(Timer(TimerKind.LAST_TEN, 1)), 55)
    assert panel.due_before(65, frozenset({entry})) is None
    assert panel.due_before(66, frozenset({entry})) == entry  # overdue, whatever was planned


def test_a_timer_that_is_not_exact_may_end_within_its_limits() -> None:
    panel = ReplayPanel(whole_panel(HUT), Window(10).limits)
    exit_ = Timer(TimerKind.EXIT, 1)
    panel.give(Arm(AreaNumber(1), Mode.AWAY, PERSON, Means.REMOTE), 0)
    assert [at for at in range(200) if panel.may_end(exit_, at)] == list(range(54, 67))


def test_the_clockwork_agrees_with_what_overdue_means() -> None:
    """The house as a technician would play it: armed, opened, nobody disarms, and it sounds after 30 s."""
    panel = Clockwork(HUT)
    panel.give(Arm(AreaNumber(1), Mode.AWAY, PERSON, Means.REMOTE))
    panel.advance(62)
    panel.give(ZoneOpens(DOOR))
    loud = [each.at for each in panel.advance(200) if Siren(Pattern.BURGLARY) in each.outputs]
    assert loud == [92]


def test_the_owners_own_statements_are_settled_first() -> None:
    """While there is most to spend on them, so that none stays open because others came before it."""
    kinds = [each.promise.kind for each in prove(HUT, promises(HUT, wanted=[always(DOOR, 30)])) if each.promise.timed]
    assert kinds[0] == "must"

"""What is said of a panel is so: failures are shown on the whole panel, and nothing that can happen is left out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    CP01,
    DOOR,
    GATE,
    SMOKE,
    WINDOW,
    house,
    zone,
)
from zonewright.behaviour.events import (
    Expires,
    Siren,
    Timer,
    TimerKind,
    ZoneOpens,
)
from zonewright.behaviour.setup import Setup
from zonewright.panel.behaviours import SHIPPED, Mode, Pattern
from zonewright.proof.promises.promise import Condition, Premise, WantedByOwner, Window, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.observers import Quiet
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.must import Statement, WantedEffect
from zonewright.site.names import NamedCause

# Small enough to settle in a moment.
HUT = house(
    zone(DOOR, "entry-door", "door"),
    zone(WINDOW, "perimeter", "window"),
    zone(SMOKE, "fire", "smoke"),
    zone(GATE, "notice", "gate", chime="spoken"),
    settings=replace(CP01, unvacated_stay=False, exit_error=False, supervision_window=0),
)


def verdicts(
    setup: Setup, kind: str, *, routes: tuple[ZoneRoute, ...] = (), wanted: tuple[WantedByOwner, ...] = ()
) -> list[Verdict]:
    asked = [each for each in promises(setup, routes, wanted) if each.kind == kind]
    return list(prove(setup, asked))


def results(found: list[Verdict]) -> list[VerdictKind]:
    return [each.settled.result for each in found]


@pytest.mark.parametrize("kind", ["notice", "noticed", "life safety", "opening", "abort", "siren", "disarm"])
def test_a_well_set_hut_keeps_what_it_promises(kind: str) -> None:
    found = verdicts(HUT, kind)
    assert found
    assert set(results(found)) == {VerdictKind.HOLDS}


def test_a_notice_zone_that_was_programmed_as_a_window_is_found() -> None:
    owner = WantedByOwner(Statement("never", NamedCause(device="gate"), WantedEffect("siren")), (GATE,))
    assert results(verdicts(HUT, "must", wanted=(owner,))) == [VerdictKind.HOLDS]
    wrong = replace(HUT, zones=(*HUT.zones[:3], zone(GATE, "perimeter", "gate")))
    (found,) = verdicts(wrong, "must", wanted=(owner,))
    assert found.settled.result is VerdictKind.FAILS
    loud = [entry for entry in found.settled.timeline if Siren(Pattern.BURGLARY) in entry.outputs]
    assert [entry.event for entry in loud] == [ZoneOpens(GATE)]


def test_a_zone_that_nobody_notices_is_found() -> None:
    mute = replace(HUT, zones=(*HUT.zones[:3], zone(GATE, "notice", "gate", chime="none")))
    found = [each for each in verdicts(mute, "noticed") if each.promise.zones == (GATE,)]
    assert results(found) == [VerdictKind.FAILS]
    assert all(not entry.outputs for entry in found[0].settled.timeline if isinstance(entry.event, ZoneOpens))


def test_the_abort_window_holds_to_the_second_before_and_breaks_at_its_end() -> None:
    """Inputs and expiries of one moment come in either order: 29 s holds, 30 s fails, "at the same moment"."""
    door = HUT.zones[0]
    within = [each for each in promises(HUT) if each.kind == "route"]
    assert within == []
    route = ZoneRoute("coming home", DOOR, (), walk_s=29)
    asked = [each for each in promises(HUT, (route,)) if each.kind == "route"]
    assert set(results(list(prove(HUT, asked)))) == {VerdictKind.HOLDS}
    safe = asked[0].observer
    assert isinstance(safe, Quiet)
    assert safe.within == 29
    for limit, expected in ((25, VerdictKind.HOLDS), (30, VerdictKind.FAILS), (35, VerdictKind.FAILS)):
        promise = replace(asked[0], observer=replace(safe, within=limit))
        (found,) = prove(HUT, [promise])
        assert found.settled.result is expected, limit
        if expected is VerdictKind.FAILS:
            loud = [entry for entry in found.settled.timeline if Siren(Pattern.BURGLARY) in entry.outputs]
            assert [entry.event for entry in loud] == [Expires(Timer(TimerKind.ENTRY, 1))]
    assert door.entry_s == 30


def test_overstaying_is_no_longer_proved_when_the_delay_is_longer() -> None:
    asked = [each for each in promises(HUT, (ZoneRoute("coming home", DOOR, (), walk_s=29),)) if each.kind == "route"]
    slow = replace(HUT, zones=(replace(HUT.zones[0], entry_s=45), *HUT.zones[1:]))
    found = list(prove(slow, [asked[1]]))
    assert results(found) == [VerdictKind.FAILS]


def test_a_promise_whose_case_never_comes_is_told_apart() -> None:
    """A zone live in stay only, in an area that is made to pass from stay to away at once, is never live."""
    never_stay = SHIPPED["perimeter"].model_copy(update={"live": frozenset({Mode.NIGHT})})
    odd = house(replace(zone(WINDOW, "perimeter"), behaviour=never_stay), settings=replace(CP01, supervision_window=0))
    asked = [each for each in promises(odd) if each.kind == "opening"]
    impossible = replace(asked[0], premise=Premise((*asked[0].premise.parts, Condition("at last", lambda *_: False))))
    assert results(list(prove(odd, asked))) == [VerdictKind.HOLDS] * len(asked)
    assert results(list(prove(odd, [impossible]))) == [VerdictKind.EMPTY]


def test_with_inexact_timers_the_same_is_promised_later() -> None:
    window = Window(10)
    assert window.limits(30) == (27, 33)
    found = list(prove(HUT, [each for each in promises(HUT, window=window) if each.kind == "siren"], window))
    assert set(results(found)) == {VerdictKind.HOLDS}
    exact = [each for each in promises(HUT) if each.aspect == "siren ends"]
    assert set(results(list(prove(HUT, exact, window)))) == {VerdictKind.FAILS}

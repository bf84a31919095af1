"""Claims that somebody who tried the panel found too bold: each is what one run shows, or says that it isn't proved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.behaviour.house import COTTAGE, CP01, arm, house, when, with_settings, zone
from tests.yard import YARD, yard
from zonewright.behaviour.acts import with_acts
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import DisplayLine, Event, Message, PanelMessage, ZoneTrips
from zonewright.behaviour.setup import Setup, setup_of
from zonewright.checks.check import check
from zonewright.panel.behaviours import SHIPPED, Mode
from zonewright.panel.programme import Item
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import RESTS, Verdict, prove, rested
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.why.arguments import why
from zonewright.site.record import ZoneNumber
from zonewright.words.scenario import played, read_scenario
from zonewright.words.telling import UNCOUNTED


def verdicts(resolved: Resolved, kind: str) -> list[Verdict]:
    setup = with_acts(setup_of(resolved.programme, resolved.profile), resolved)
    return list(prove(setup, [each for each in asked_of(resolved, setup, Window()) if each.kind == kind]))


def sent(resolved: Resolved, text: str, setup: Setup | None = None) -> list[tuple[int, Message]]:
    scenario, slips = read_scenario(text, "scenario", resolved)
    assert not slips
    entries = played(setup or setup_of(resolved.programme, resolved.profile), scenario)
    return [(entry.at, each) for entry in entries for each in entry.outputs if isinstance(each, Message)]


@pytest.mark.parametrize(("within", "holds"), [("5 s", False), ("4 h", True)])
def test_a_device_is_missing_from_when_it_falls_silent_for_every_verb(within: str, holds: bool) -> None:
    resolved = yard(f"always: smoke missing causes trouble message within {within}")
    (verdict,) = verdicts(resolved, "must")
    assert (verdict.settled.result is VerdictKind.HOLDS) == holds
    assert any(each.code == "MUST-01" for each in check(resolved).findings) == (not holds)
    told = [at for at, each in sent(resolved, "smoke falls silent; +5 h") if each.name == "missing"]
    assert told == [4 * 3600]


@pytest.mark.parametrize(("must", "act", "holds"), [
    ("never: Bea causes tamper message", "no", False), ("never: Bea causes failed to set message", "yes", False),
    ("never: Bea causes failed to set message", "no", True), ("never: Bea causes duress message", "no", True),
])  # fmt: skip
def test_what_comes_of_somebody_is_also_what_goes_later_in_their_name(must: str, act: str, holds: bool) -> None:
    """Her disarm told of a cover whose alarm it called off, and her setting failed a minute later: both held."""
    shipped = yard(must, act)
    told = {"fixed": {**shipped.profile.fixed, Item("station/openings"): "yes"}}  # of arming and disarming
    resolved = replace(shipped, profile=shipped.profile.model_copy(update=told))
    plain = with_acts(setup_of(resolved.programme, resolved.profile), resolved)
    setup = with_settings(plain, openings=True)
    (verdict,) = prove(setup, [each for each in asked_of(resolved, setup, Window()) if each.kind == "must"])
    assert (verdict.settled.result is VerdictKind.HOLDS) == holds
    if not holds:
        name = must.removeprefix("never: Bea causes ").removesuffix(" message")
        text = "arm away by Bea" if act == "yes" else "arm stay by Abe; +100 s window cover off; +10 s disarm by Bea"
        assert name in {each.name for _, each in sent(resolved, text, setup)}


def test_a_statement_without_a_time_allows_what_the_panel_waits_for() -> None:
    for cause, effect in (("loft", "siren"), ("loft", "fire message"), ("sink", "environment message")):
        resolved = yard(f"always: {cause} causes {effect}")
        (verdict,) = verdicts(resolved, "must")
        assert verdict.settled.result is VerdictKind.HOLDS, verdict.promise.says
        assert not [each for each in check(resolved).findings if each.code == "MUST-01"]


def test_a_verified_detector_promises_no_more_than_its_window() -> None:
    said = {each.promise.says for each in verdicts(yard("never: door causes chime"), "life safety")}
    assert any(
        "loft smoke" in each and "at a second trip less than 90 s after it has settled clear" in each for each in said
    )


def test_used_up_alarms_and_the_siren_s_sum_end_with_quiet_too() -> None:
    made = list(promises(COTTAGE))
    swinger = [each.says for each in made if each.kind == "swinger"]
    sums = [each.says for each in made if each.aspect == "siren in all"]
    assert swinger
    assert sums
    assert all(UNCOUNTED in each for each in (*swinger, *sums))


@pytest.mark.parametrize(("number", "mode", "again"), [
    (2, Mode.AWAY, False), (3, Mode.AWAY, False), (3, Mode.STAY, True), (1, Mode.STAY, False),
])  # fmt: skip
def test_a_zone_that_is_shut_out_alarms_again_after_two_days_in_which_no_counted_zone_tripped_while_guarding(
    number: int, mode: Mode, again: bool
) -> None:
    """Its own silent trip counts, and that of an interior zone, but not while that is free in stay."""
    setup = with_settings(house(zone(1, "perimeter"), zone(2, "perimeter"), zone(3, "interior")), swinger_limit=1)
    tripped = ZoneTrips(ZoneNumber(1))
    given: list[tuple[int, Event]] = [(0, arm(mode)), (100, tripped), (100 + 24 * 3600, ZoneTrips(ZoneNumber(number)))]
    timeline = run(setup, [*given, (101 + 48 * 3600, tripped)])
    assert (when(timeline, DisplayLine.ALARM)[-1] == 101 + 48 * 3600) == again


def said(setup: Setup, aspect: str) -> str:
    return next(each.says for each in promises(setup) if each.aspect == aspect)


def test_sentences_claim_no_more_than_was_proved() -> None:
    """Each was told to be too bold by a run that nobody could call a fault of the panel."""
    gate = zone(6, "notice", "gate", chime="spoken")
    assert said(house(gate), "notice").endswith("and changes no mode and no timer")
    watched = said(house(replace(gate, supervise=True)), "notice")
    assert watched.endswith("and changes no mode and no timer, but that its device was heard")
    assert said(COTTAGE, "silent") == "front door: its opening neither sounds nor sends when off"
    shared = house(zone(1, "interior", "hall", areas=(1, 2)), zone(2, "entry-door", areas=(1, 2)))
    assert said(shared, "silent").endswith("while any of its areas is off, or armed stay or night")
    nobody = said(COTTAGE, "nobody left")
    assert "no way out opened or shut in the exit time or open at its end" in nobody
    two = house(zone(1, "entry-door", areas=(1,)), zone(2, "entry-door", areas=(2,)))
    assert ", while both run, leaves by a door of area 1" in said(two, "left too, area 2")


def test_modes_in_which_a_shared_zone_is_silent_are_not_all_modes() -> None:
    """Armed away in all its areas it sounds, which another promise says."""
    shared = house(zone(1, "interior", "hall", areas=(1, 2)), zone(2, "entry-door", areas=(1, 2)))
    promise = next(each for each in promises(shared) if each.aspect == "silent")
    (situation,) = why(shared, promise, Window()).situations
    assert (
        situation.name == "area 1 in every mode, whatever runs; while any of its areas is off, or armed stay or night"
    )


def test_a_setting_that_fails_ends_the_counting_of_alarms_too() -> None:
    asks = replace(COTTAGE, settings=replace(COTTAGE.settings, completing_act=True))
    assert said(asks, "swinger").endswith(f"until it is disarmed, a setting fails, or {UNCOUNTED}")
    assert "a setting fails" not in said(COTTAGE, "swinger")


def test_a_sum_is_undecided_where_what_it_rests_on_is() -> None:
    asked = [each for each in promises(COTTAGE) if each.kind in ("swinger", "siren")]
    proved = list(prove(COTTAGE, asked))
    assert RESTS not in {each.settled.why for each in rested(proved)}
    open_ = [each for each in proved if each.promise.kind != "swinger"]
    swingers = [each for each in proved if each.promise.kind == "swinger"]
    open_ += [replace(each, settled=replace(each.settled, result=VerdictKind.UNDECIDED)) for each in swingers]
    (whole,) = [each for each in rested(open_) if each.promise.aspect == "siren in all"]
    assert (whole.settled.result, whole.settled.why) == (VerdictKind.UNDECIDED, RESTS)


def test_what_needs_a_code_that_nobody_has_holds_only_because_of_that() -> None:
    """Nobody has a code for the shed: what is promised of calling off and of cancelling there never comes about."""
    found = {each.promise.says: each.settled for kind in ("cancel", "abort", "once", "leaving")
             for each in verdicts(yard("never: door causes chime"), kind)}  # fmt: skip
    of_shed = [settled for says, settled in found.items() if "area 2" in says or "hatch" in says or "shed door" in says]
    assert len(of_shed) >= 5
    assert {each.result for each in of_shed} == {VerdictKind.EMPTY}


def water(settings: dict[str, object]) -> Setup:
    return with_settings(house(zone(1, "environment", "drain"), zone(2, "entry-door")), **settings)


@pytest.mark.parametrize(("must", "holds"), [
    ("never: Bea causes environment message", False), ("never: Bea causes any sound", False),
    ("never: Bea causes duress message", True),
])  # fmt: skip
def test_what_comes_of_a_bypass_that_ends_comes_of_whoever_ends_it(must: str, holds: bool) -> None:
    """Her disarm takes the water back into use, which is there still: it sounds and is told in that step."""
    resolved = yard(must)
    (verdict,) = verdicts(resolved, "must")
    assert (verdict.settled.result is VerdictKind.HOLDS) == holds
    run = "bypass sink by Bea; sink opens; +5 s arm stay house by Bea; +5 min disarm house by Bea"
    assert [(at, each.user) for at, each in sent(resolved, run) if each.name == "environment alarm"] == [(305, None)]


def test_that_a_code_silences_is_not_said_of_what_it_takes_back_into_use() -> None:
    says = [each.says for each in promises(water({})) if each.aspect == "always disarms"]
    assert says == ["a code always disarms and silences; drain may sound then, where it was bypassed and stands open"]
    slow = [each.says for each in promises(water({"environment_wait": 60})) if each.aspect == "always disarms"]
    assert slow == ["a code always disarms and silences"]


def test_how_long_the_siren_sounds_in_all_is_said_of_these_zones_alone() -> None:
    """One cut-off serves all areas: another area's alarms go on with the same siren."""
    (says,) = [each.says for each in promises(house(zone(1, "perimeter"))) if each.aspect == "siren in all"]
    assert says.startswith("left alone, counted zones by themselves keep the siren on for 480 s at most, until")


def test_what_the_panel_waits_for_is_noticed_when_the_wait_is_over() -> None:
    setup = water({"environment_wait": 60})
    (noticed,) = [each for each in promises(setup) if each.kind == "noticed" and "drain" in each.says]
    (verdict,) = prove(setup, [noticed])
    assert verdict.settled.result is VerdictKind.HOLDS


def test_a_trouble_of_a_day_night_zone_is_nothing_to_cancel() -> None:
    setup = house(zone(1, "day-night"), zone(2, "entry-door"), settings=replace(CP01, cancel_window=300))
    assert SHIPPED["day-night"].warning is not None
    (cancel,) = [each for each in promises(setup) if each.kind == "cancel"]
    (verdict,) = prove(setup, [cancel])
    assert verdict.settled.result is VerdictKind.HOLDS


def test_whom_nobody_heard_is_said_to_change_nothing(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    from zonewright.cli import main

    file = tmp_path / "yard.yaml"
    file.write_text(YARD.replace("MUST", "never: door causes chime").replace("ACT", "no"), encoding="utf-8")
    assert main(["play", str(file), "arm stay by Abe; +1 min arm stay by Abe"]) == 0
    assert "nothing: it isn't heard, or is so already" in capsys.readouterr().out
    assert main(["play", str(file), "loft battery low"]) == 2
    assert "neither a cell nor a radio" in capsys.readouterr().err
    assert PanelMessage.NOT_SET.value == "failed to set"


def test_the_end_of_the_siren_is_reckoned_from_the_last_cause_in_any_area() -> None:
    """One cut-off serves all areas: what another area calls for keeps the siren on."""
    two = house(zone(1, "perimeter"), zone(2, "perimeter", areas=(2,)))
    said = [each.says for each in promises(two) if each.aspect == "siren ends"]
    assert all("of the last cause in any area" in each for each in said), said
    (alone,) = [each.says for each in promises(house(zone(1, "perimeter"))) if each.aspect == "siren ends"]
    assert alone.endswith("of its last cause")


def test_a_shared_way_out_may_be_left_open_at_the_end_of_each_exit_time() -> None:
    """A door of its own at one end, the shared one at the other: the siren sounds twice before alarms count."""
    settings = replace(CP01, swinger_limit=1, siren_time=60)
    shared = house(zone(1, "entry-door"), zone(2, "entry-door", areas=(1, 2)), settings=settings)
    apart = house(zone(1, "entry-door"), zone(2, "entry-door"), settings=settings)
    whole = [[each.says for each in promises(one) if each.aspect == "siren in all"] for one in (shared, apart)]
    assert "for 240 s at most" in whole[0][0]
    assert "for 180 s at most" in whole[1][0]

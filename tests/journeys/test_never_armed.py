"""A mode that nobody on the site can bring about: every verb takes it for what it is."""

from __future__ import annotations

import pytest

from zonewright.behaviour.acts import can_be
from zonewright.behaviour.setup import AreaNumber
from zonewright.desk.job import Job, open_text
from zonewright.desk.results.matrices import matrix_data
from zonewright.desk.test_plans import planner_of
from zonewright.panel.behaviours import ARMED, Mode
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.testplan.plan_words import sums
from zonewright.testplan.walking import begins
from zonewright.words.strips import never_armed_in_words

HOUSE, SHED = AreaNumber(1), AreaNumber(2)
SITE = """
site: Weir Cottage
panel: marlow
station: {account: "4021", by: dc-09}
settings: {exit time: 60 s%s}
areas: {house: {}, shed: {}}
devices:
  door:
    kind: contact
    number: {printed: "100001"}
    zone: {number: 1, area: house, behaviour: entry-door, called: door}
  hatch:
    kind: movement
    number: {printed: "100002"}
    zone: {number: 2, area: shed, behaviour: interior, called: hatch}
people:
  Bo: {role: user, may: [house]}
%s
must:
  - never: hatch causes siren
  - never: Bo causes panic message while shed armed
"""
FOB = 'remotes: {fob: {number: {printed: "100007"}, area: [shed], first button: arm stay, second button: disarm}}'


def job(settings: str = "", more: str = "") -> Job:
    return open_text({"weir.yaml": SITE % (settings, more)}, "weir.yaml")


def test_an_area_in_nobodys_rights_is_never_armed() -> None:
    opened = job()
    assert opened.never_armed == {SHED: ARMED}
    assert [(each.area, each.modes) for each in matrix_data(opened).never_armed] == [(2, ("stay", "night", "away"))]
    assert never_armed_in_words(opened.never_armed) == [
        (
            "Nobody on this site can have area 2 armed once the exit time is over: "
            "what is shown for that can't come up then."
        )
    ]
    assert "MUST-01" not in {each.code for each in opened.judged.findings}


def result(opened: Job, statement: str) -> VerdictKind:
    asked = [each for each in asked_of(opened.resolved, opened.acting, Window()) if each.aspect == f"must {statement}"]
    return next(prove(opened.acting, asked)).settled.result


@pytest.mark.parametrize(
    "statement", ["always: hall causes siren while armed", "always: door causes siren while armed"]
)
def test_a_shared_zone_is_not_armed_where_one_of_its_areas_is_not(statement: str) -> None:
    hall = """devices:
  hall:
    kind: contact
    number: {printed: "100003"}
    zone: {number: 3, area: [house, shed], behaviour: perimeter, called: hall}
"""
    opened = open_text({"weir.yaml": (SITE % ("", "")).replace("devices:\n", hall) + f"  - {statement}\n"}, "weir.yaml")
    wanted = VerdictKind.EMPTY if "hall" in statement else VerdictKind.HOLDS
    assert result(opened, statement) is wanted


def test_where_the_site_names_nobody_no_verb_assumes_somebody() -> None:
    nobody = (
        (SITE % ("", ""))
        .replace("people:\n  Bo: {role: user, may: [house]}\n", "")
        .replace("  - never: Bo causes panic message while shed armed\n", "  - never: door causes siren while stay\n")
    )
    opened = open_text({"weir.yaml": nobody}, "weir.yaml")
    assert opened.never_armed == {HOUSE: ARMED, SHED: ARMED}
    assert result(opened, "never: door causes siren while stay") is VerdictKind.EMPTY
    assert "MUST-01" not in {each.code for each in opened.judged.findings}
    assert next(sums(planner_of(opened).run())).startswith("The site names nobody")


def test_a_statement_about_an_area_without_zones_is_left_open() -> None:
    text = (SITE % ("", "")).replace("shed: {}}", "shed: {}, annex: {}}")
    statement = "never: door causes siren while annex armed"
    opened = open_text({"weir.yaml": text + f"  - {statement}\n"}, "weir.yaml")
    assert result(opened, statement) is VerdictKind.UNDECIDED
    assert "MUST-01" not in {each.code for each in opened.judged.findings}


def test_a_walk_uses_no_code_for_duress_and_arms_nothing_for_good() -> None:
    text = SITE % (
        "",
        'remotes: {fob: {number: {printed: "100007"}, area: [shed], first button: arm stay, second button: nothing}}',
    )
    forced = text.replace("people:\n", "people:\n  Dot: {role: guest, duress: yes}\n")
    ground = planner_of(open_text({"weir.yaml": forced}, "weir.yaml")).run().ground
    assert ground.can_arm(Mode.STAY) == {HOUSE}
    assert ground.can_arm(Mode.STAY, by_code=True) == {HOUSE}
    alone = planner_of(open_text({"weir.yaml": text}, "weir.yaml")).run().ground
    assert alone.remote(SHED, "arm stay") is None


def test_away_that_no_door_completes_comes_about_by_a_remote_alone() -> None:
    completed = ", completing act: yes"
    assert job(completed).never_armed[HOUSE] == {Mode.AWAY}
    fob = 'remotes: {fob: {number: {printed: "100007"}, area: [house]}}'
    assert HOUSE not in job(completed, fob).never_armed
    assert can_be(job(completed, fob).acting, HOUSE) == frozenset(Mode)


@pytest.mark.parametrize("more", ["", FOB])
def test_a_walk_arms_what_somebody_can_arm_and_says_by_what(more: str) -> None:
    opened = job(more=more)
    plan = planner_of(opened).run()
    for rehearsal in plan.periods:
        arming = rehearsal.period.arming
        assert arming.areas <= plan.ground.can_arm(arming.mode)
    press = ", ".join(
        begins(plan.ground, each, opened.names) for each in plan.periods if SHED in each.period.arming.areas
    )
    assert press.count("press the first button of fob") == bool(more)

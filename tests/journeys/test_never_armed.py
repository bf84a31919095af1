"""A mode that nobody on the site can bring about: every verb takes it for what it is."""

from __future__ import annotations

import pytest

from zonewright.behaviour.acts import can_be
from zonewright.behaviour.setup import AreaNumber
from zonewright.desk.job import Job, open_text
from zonewright.desk.results.matrices import matrix_data
from zonewright.desk.test_plans import planner_of
from zonewright.panel.behaviours import ARMED, Mode
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
        "Nobody on this site can have area 2 armed: what is shown for that can't come up."
    ]
    assert "MUST-01" not in {each.code for each in opened.judged.findings}


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

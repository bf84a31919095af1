"""Plan files: read with every mistake at its place, in metres and in feet."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.panel.opening import open_site
from zonewright.site.model import Site
from zonewright.site.plan import Plan, read_plan_text, unplaced

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
TEXT = (FILES / "larkfield-plan.yaml").read_text("utf-8")


def site() -> Site:
    return open_site(FILES / "larkfield.yaml").site


def test_the_demo_plan_has_a_place_for_every_device() -> None:
    plan = read_plan_text(TEXT, "plan.yaml", site()).usable()
    assert unplaced(plan, site()) == ()
    assert plan.storeys["ground"].places["front-door"] == (6.2, 0.35)


def test_feet_are_read_as_feet() -> None:
    plan: Plan = read_plan_text(TEXT.replace("units: metres", "units: feet"), "plan.yaml", site()).usable()
    assert plan.storeys["ground"].places["front-door"][0] == pytest.approx(6.2 * 0.3048)


WRONG = [
    ("front-door: [6.2", "frontdoor: [6.2", "did you mean front-door"),
    ("{kind: door, at: [5.5, 0]", "{kind: door, at: [5.5, 2]", "it lies in no wall"),
    ("{from: [0, 0], to: [7, 0]", "{from: [7, 0], to: [7, 0]", "it has no length"),
    ("side-gate: [8.6, 0.5]", "side-gate: [8.6]", "write a point as two lengths"),
    ("side-gate: [8.6, 0.5]", "side-gate: [8.6, 9999]", "within 500 m"),
    ("side-gate: [8.6, 0.5]", "side-gate: [8.6, .nan]", "write a length"),
    ("wide: 0.95", "wide: 0", "wider than zero"),
    ("kind: door, at: [5.5", "kind: dor, at: [5.5", "door"),
    ("of: brick", "of: brik", "brick"),
    ("storeys:", "storys:", "storeys"),
]


@pytest.mark.parametrize(("before", "after", "says"), WRONG, ids=[row[1][:18] for row in WRONG])
def test_a_mistake_is_told_at_its_place(before: str, after: str, says: str) -> None:
    assert before in TEXT
    read = read_plan_text(TEXT.replace(before, after, 1), "plan.yaml", site())
    assert read.record is None
    told = [f"{finding.says} {finding.allowed or ''} {finding.nearest or ''}" for finding in read.findings]
    assert any(says in each for each in told), told
    assert all(
        finding.place is not None and finding.place.line > 1
        for finding in read.findings
        if "missing" not in finding.says
    )


def test_a_device_on_two_storeys_is_told() -> None:
    text = TEXT + "  upper:\n    places: {side-gate: [1, 1]}\n"
    (finding,) = read_plan_text(text, "plan.yaml", site()).findings
    assert finding.says == "it hangs on two storeys"

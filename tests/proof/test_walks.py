"""In time is what the walk takes: written, else from the plan, and never a time of the panel's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.proof.test_premises import setup_at, shed
from zonewright.checks.check import check
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.refine import VerdictKind

FILES = Path(__file__).resolve().parents[2] / "src/zonewright/cli/demo_files"
PLAN = """
plan: Shed
storeys:
  ground:
    walls: [{from: [0, 0], to: [9, 0]}]
    places: {door: [0, 0], keypad: [8, 0]}
"""


def in_time(site: Resolved) -> Verdict:
    setup = setup_at(site)
    asked = [each for each in asked_of(site, setup, Window()) if each.aspect.endswith("in time")]
    (found,) = prove(setup, asked)
    return found


def with_walk(folder: Path, takes: str) -> Resolved:
    shed(folder)
    file = folder / "shed.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("to: keypad}", f"to: keypad{takes}}}"), encoding="utf-8")
    return open_site(file)


@pytest.mark.parametrize(
    ("takes", "wanted"), [(25, VerdictKind.HOLDS), (29, VerdictKind.HOLDS), (30, VerdictKind.FAILS)]
)
def test_a_walk_that_is_written_is_what_in_time_means(takes: int, wanted: VerdictKind, tmp_path: Path) -> None:
    """The entry time is 30 s: who disarms in its last second may be too late, since both may come first."""
    site = with_walk(tmp_path, f", takes: {takes} s")
    found = in_time(site)
    assert found.settled.result is wanted
    assert f"disarmed within {takes} s, as the walk takes" in found.promise.sentence
    assert (wanted is VerdictKind.FAILS) == any(each.code == "DEL-13" for each in check(site).findings)


def test_a_plan_tells_how_long_it_takes(tmp_path: Path) -> None:
    """Eight metres at 0.8 m/s, the door shut and the code keyed: 10 + 5 + 10 s."""
    (tmp_path / "plan.yaml").write_text(PLAN, encoding="utf-8")
    site = shed(tmp_path)
    file = tmp_path / "shed.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("panel: marlow", "panel: marlow\nplan: plan.yaml"), encoding="utf-8")
    assert site.walk_s("coming in") is None
    assert open_site(file).walk_s("coming in") == 25


def test_a_walk_of_which_nobody_knows_how_long_it_takes_is_not_decided(tmp_path: Path) -> None:
    found = in_time(shed(tmp_path))
    assert found.settled.result is VerdictKind.UNDECIDED
    assert "write takes: 25 s at the route" in found.settled.why


def test_a_plan_outside_of_the_folder_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text(PLAN, encoding="utf-8")
    inner = tmp_path / "inner"
    inner.mkdir()
    shed(inner)
    file = inner / "shed.yaml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("panel: marlow", "panel: marlow\nplan: ../plan.yaml"), "utf-8"
    )
    assert open_site(file).plan is None


@pytest.mark.parametrize("name", ["larkfield.yaml", "bakery.yaml", "rowan.yaml"])
def test_each_route_of_a_demo_says_how_long_it_takes(name: str) -> None:
    site = open_site(FILES / name)
    assert all(site.walk_s(route) for route in site.site.routes)


def test_two_walks_by_one_door_are_settled_each_by_its_own_time(tmp_path: Path) -> None:
    """Nothing but their times tells them apart: neither may have the other's verdict."""
    shed(tmp_path)
    file = tmp_path / "shed.yaml"
    slow = "routes: {slow: {by: door, to: keypad, takes: 40 s}, quick: {by: door, to: keypad, takes: 20 s}}"
    text = file.read_text(encoding="utf-8").replace("routes: {coming in: {by: door, to: keypad}}", slow)
    file.write_text(text, encoding="utf-8")
    site = open_site(file)
    setup = setup_at(site)
    asked = [each for each in asked_of(site, setup, Window()) if each.aspect.endswith("in time")]
    found = {each.promise.aspect: each.settled.result for each in prove(setup, asked)}
    assert found == {"route slow in time": VerdictKind.FAILS, "route quick in time": VerdictKind.HOLDS}

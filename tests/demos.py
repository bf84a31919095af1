"""The demo sites and their test plans, each planned once for all tests of a run."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from zonewright.fieldwork.candidates import ground_of
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.testplan.planner import Planner, TestPlan

FILES = Path(__file__).parents[1] / "src/zonewright/cli/demo_files"


@cache
def demo(name: str) -> Resolved:
    """Return a demo site."""
    return open_site(FILES / f"{name}.yaml")


@cache
def plan(name: str) -> TestPlan:
    """Return the test plan of a demo site, without the ways of its plan."""
    return Planner(ground_of(demo(name))).run()

"""Rows and tests are known again in the sheet and the plan of a changed site."""

from __future__ import annotations

from pathlib import Path

from zonewright.desk.job import Job, open_text
from zonewright.desk.results.ids import told_apart
from zonewright.desk.results.keyed import sheet_part
from zonewright.desk.results.test_plan import plan_result
from zonewright.desk.sheets import keying
from zonewright.desk.test_plans import planner_of

LARKFIELD = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"
GATE = "side-gate"


def job(*edits: tuple[str, str]) -> Job:
    names = ("larkfield.yaml", "larkfield-plan.yaml")
    texts = {name: (LARKFIELD.parent / name).read_text("utf-8") for name in names if (LARKFIELD.parent / name).exists()}
    for before, after in edits:
        assert before in texts["larkfield.yaml"]
        texts["larkfield.yaml"] = texts["larkfield.yaml"].replace(before, after, 1)
    return open_text(texts, "larkfield.yaml")


def rows(of: Job) -> list[str]:
    return [row.id for part in sheet_part(keying(of).sheet).jobs for row in part.rows]


def planned(of: Job) -> list[str]:
    made = plan_result(planner_of(of).run(), of.names)
    return [test.id for period in made.periods for test in period.tests] + [test.id for test in made.trials]


def test_equal_names_are_told_apart() -> None:
    assert told_apart(["a", "b", "a", "a"]) == ["a", "b", "a#2", "a#3"]


def test_a_change_elsewhere_leaves_the_names_of_rows_and_tests() -> None:
    before, after = job(), job(("entry time: 30 s", "entry time: 40 s"), ("called: big window", "called: small window"))
    assert len(set(rows(before))) == len(rows(before))
    assert set(rows(before)) <= set(rows(after))  # a changed setting adds rows of its own
    assert len(set(planned(before))) == len(planned(before))
    kept = set(planned(before)) & set(planned(after))
    assert len(kept) > 0.8 * len(planned(before))

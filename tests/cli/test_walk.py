"""`walk` prints a checklist for a phone, keeps to its time, and refuses what makes no sense in a sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from zonewright.cli.main import main
from zonewright.entry.keypad.strokes import NoWay
from zonewright.testplan.killing import Bench, Variant
from zonewright.testplan.packing import Rehearsal
from zonewright.testplan.planner import Planner, TestPlan

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
HOUSE = str(FILES / "larkfield.yaml")


def exchanged(folder: Path) -> Path:
    """Return the house in which the front door's device and the back door's were exchanged."""
    front, back = '51 9047 31 A, learnt: "904731"', '51 9052 08 K, learnt: "905208"'
    text = Path(HOUSE).read_text(encoding="utf-8").replace("plan: larkfield-plan.yaml", "")
    file = folder / "exchanged.yaml"
    file.write_text(text.replace(front, "FRONT").replace(back, front).replace("FRONT", back), encoding="utf-8")
    return file


def test_a_change_is_told_as_a_checklist(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["walk", HOUSE, "--since", str(FILES / "larkfield-before.yaml")]) == 0
    text = capsys.readouterr().out
    assert all(len(line) <= 80 for line in text.splitlines())
    assert text.index("Put the account on test") < text.index("Period 1") < text.index("Take the account off test")
    assert "chime: two notes" in text
    assert "What this walk can't show" in text
    assert "\033" not in text


def test_as_data_it_says_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["walk", HOUSE, "--budget", "12 min", "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    assert plan["minutes"] <= 12
    assert plan["tests"] == sum(len(period["tests"]) for period in plan["periods"])
    assert plan["left_out"]
    assert plan["shown"] + len(plan["left_out"]) + len(plan["not_shown"]) == plan["slips"]
    assert all(test["do"] for period in plan["periods"] for test in period["tests"] if "look" not in test["title"])


def test_a_zone_that_is_keyed_again_is_tested_in_all_its_answers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two doors exchanged their transmitters: the sheet takes zone 1 out, and keys it again once zone 2 is keyed."""
    assert main(["walk", str(exchanged(tmp_path)), "--since", HOUSE, "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    assert any(test["title"].startswith("hall front door: ") and any("arm" in each["what"] for each in test["do"])
               for period in plan["periods"] for test in period["tests"])  # fmt: skip
    assert any(each["slip"].startswith("zone/1/supervise") for each in plan["not_shown"])
    assert main(["walk", str(exchanged(tmp_path)), "--since", HOUSE]) == 0
    assert "zone 1: supervise" in capsys.readouterr().out


@pytest.mark.parametrize("budget", ["soon", "0 min", "-5min", "20", "20 s", ""])
def test_a_budget_that_is_no_time_is_refused(budget: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["walk", HOUSE, "--budget", budget]) == 2
    assert "20min" in capsys.readouterr().err


def test_a_site_without_zones_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site = tmp_path / "empty.yaml"
    site.write_text("site: Empty\npanel: tern\nareas: {house: {}}\n", encoding="utf-8")
    assert main(["walk", str(site)]) == 2
    assert "no zone" in capsys.readouterr().err


def test_stopped_it_tells_the_best_plan_so_far(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    made = []
    begin = Rehearsal.__post_init__

    def interrupted(self: Rehearsal) -> None:
        made.append(self)
        begin(self)
        if len(made) > 6:
            raise KeyboardInterrupt

    monkeypatch.setattr(Rehearsal, "__post_init__", interrupted)
    assert main(["walk", HOUSE]) == 130
    out, err = capsys.readouterr()
    assert "Period 1" in out
    assert "best plan that was found so far" in err


def test_stopped_before_there_is_a_plan_it_tells_how_far_it_came(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    row, made = Bench.row, []

    def interrupted(self: Bench, variant: Variant, since: int = 0) -> int:
        made.append(variant)
        if len(made) == 8:
            raise KeyboardInterrupt
        return row(self, variant, since)

    monkeypatch.setattr(Bench, "row", interrupted)
    assert main(["walk", HOUSE]) == 130
    told = capsys.readouterr()
    assert not told.out
    assert "stopped while running wrong panels through field tests, 7 of " in told.err
    assert "there is no plan yet" in told.err


def test_a_readback_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    readback = tmp_path / "held.yaml"
    readback.write_text("readback: 1\npanel: tern\n", encoding="utf-8")
    assert main(["walk", str(readback)]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "it is a readback" in told
    assert "name the site file that was keyed" in told


def test_no_pack_is_made_of_a_plan_that_was_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(_planner: Planner, _budget: int | None = None) -> TestPlan:
        raise KeyboardInterrupt

    monkeypatch.setattr(Planner, "run", stopped)
    assert main(["pack", HOUSE, "--no-proofs", "--out", str(tmp_path / "pack.pdf")]) == 130
    assert list(tmp_path.iterdir()) == []


def test_a_time_in_which_no_test_fits_is_told_as_that(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["walk", HOUSE, "--since", str(FILES / "larkfield-before.yaml"), "--budget", "1 min"]) == 0
    told = capsys.readouterr().out
    assert "No test fits into 1 min" in told
    assert "0 tests" not in told


def test_what_the_keypad_cannot_be_brought_to_hold_is_told_and_not_planned_with(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refused(self: Planner, budget: int | None = None) -> None:
        raise NoWay("zone 3: no way through the script sets zone/3/watch")

    monkeypatch.setattr(Planner, "run", refused)
    assert main(["walk", HOUSE, "--since", HOUSE]) == 2
    assert "no way through the script" in capsys.readouterr().err

"""A sheet, a guide, a practice and a pack say first that something must be mended before anything is keyed."""

from __future__ import annotations

import io
import json
import sys
from dataclasses import asdict
from pathlib import Path

import pytest

from zonewright.checks.readiness import not_ready
from zonewright.cli import main
from zonewright.desk.job import open_job
from zonewright.desk.job_pack import job_pack
from zonewright.documents.html import render_html

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
WRONG, RIGHT = str(FILES / "larkfield-wrong.yaml"), str(FILES / "larkfield.yaml")


def test_a_sheet_of_a_wrong_design_says_so_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["enter", WRONG]) == 0
    said = capsys.readouterr().out
    assert said.startswith("NOT READY TO KEY. ")
    assert "SUP-01 zone 3" in said[: said.index("FIRST")]
    assert main(["enter", RIGHT]) == 0
    assert "NOT READY" not in capsys.readouterr().out


def test_a_guide_and_the_data_say_so_too(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["enter", WRONG, "--guide", "side-gate"]) == 0
    assert capsys.readouterr().out.startswith("NOT READY TO KEY. ")
    assert main(["enter", WRONG, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["not_ready"][0].startswith("Not ready to key.")
    assert main(["enter", RIGHT, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["not_ready"] == []


def test_practice_says_so_before_the_first_key(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("quit\n"))
    main(["practise", WRONG])
    assert capsys.readouterr().out.startswith("NOT READY TO KEY. ")


@pytest.mark.parametrize(("site", "ready"), [(WRONG, False), (RIGHT, True)])
def test_the_pages_of_a_pack_say_so_above_the_first_step(site: str, ready: bool) -> None:
    job = open_job(Path(site))
    data = job_pack(job, walk=False)
    (sheet,) = data.sheets
    assert sheet.not_ready == not_ready(job.judged)
    assert (sheet.not_ready == ()) is ready
    page = render_html(data)
    assert ("Not ready to key." in page) is not ready
    assert asdict(sheet)["not_ready"] == sheet.not_ready

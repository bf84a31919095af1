"""The verb `prove`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from zonewright.cli import main

DEMO = Path(__file__).resolve().parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"


def test_what_the_owner_wants_of_the_demo_house_holds(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--only", "must", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [each["verdict"] for each in found] == ["holds", "holds", "holds"]


def test_a_broken_statement_ends_with_its_timeline(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = DEMO.read_text(encoding="utf-8").replace(
        "never: side-gate causes siren", "never: lounge-window causes siren"
    )
    site = tmp_path / "wrong.yaml"
    site.write_text(wrong, encoding="utf-8")
    assert main(["prove", str(site), "--only", "lounge-window"]) == 1
    told = capsys.readouterr().out
    assert "Fails: never: lounge-window causes siren" in told
    assert "lounge big window opens" in told
    assert "siren sounds" in told


def test_a_word_that_is_nowhere_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--only", "unicorn"]) == 2
    assert "unicorn" in capsys.readouterr().err

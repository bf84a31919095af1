"""`explain --since` on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from zonewright.cli import main

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
NEW, OLD, OTHER = (str(FILES / f"{name}.yaml") for name in ("larkfield", "larkfield-before", "rowan"))


def test_the_gate_is_told_as_new(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", NEW, "--since", OLD]) == 0
    said = capsys.readouterr().out
    assert "Zone 7 porch side gate\n  it is new:" in said
    assert main(["explain", NEW, "--since", OLD, "--json"]) == 0
    (changed,) = json.loads(capsys.readouterr().out)["changed"]
    assert changed["thing"] == "zone 7 porch side gate"
    assert main(["explain", NEW, "--since", NEW]) == 0
    assert "Nothing that happens is different." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([NEW, "--since", OTHER], "it is for the panel Quill"),
        ([NEW, "--proofs"], "--proofs belongs to"),
        ([NEW, "side-gate", "--since", OLD], "give a ZONE, or"),
        ([NEW, "--since", "nowhere.yaml"], "nowhere.yaml"),
    ],
)
def test_wrong_use_is_told(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", *arguments]) == 2
    assert says in " ".join(capsys.readouterr().err.split())

"""Every verb that asks nothing runs to its end on a generated site of eight areas, no two of them apart.

What takes long, `prove`, `walk` and `pack`, the benchmark runs there, with 200 zones: `python -m benchmarks.journey`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from benchmarks import parade
from benchmarks.journey import verbs
from zonewright.cli import main

LONG = {"prove", "walk", "pack"}


def test_the_panel_of_eight_areas_is_a_sound_profile(tmp_path: Path) -> None:
    parade.write(tmp_path, 16)
    assert main(["profile", "check", str(tmp_path / "parade-panel.yaml")]) == 0


def test_each_ends_and_says_something(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = [each for each in verbs(parade.write(tmp_path, 16)) if each[0] not in LONG]
    assert len(ran) > 8
    for arguments in ran:
        assert main(arguments) in (0, 1), arguments
        assert capsys.readouterr().out.strip(), arguments

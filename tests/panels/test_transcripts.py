"""The keypad held to the transcripts that somebody wrote by hand from the manual alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.panels.cover import wanted
from tests.panels.cover_touched import touched
from zonewright.entry.sheets.transcript import run
from zonewright.panel.profile_file import shipped, shipped_names

HERE = Path(__file__).parent
WRITTEN = [name for name in shipped_names() if (HERE / name).is_dir()]  # panels whose transcripts are there already
FILES = [path for name in WRITTEN for path in sorted((HERE / name).glob("*.txt"))]


@pytest.mark.parametrize("path", FILES, ids=[f"{path.parent.name}-{path.stem}" for path in FILES])
def test_the_keypad_does_what_the_transcript_says(path: Path) -> None:
    faults, presses = run(shipped(path.parent.name), path)
    assert faults == ()
    assert presses


@pytest.mark.parametrize("name", WRITTEN)
def test_the_transcripts_touch_everything_on_the_cover_list(name: str) -> None:
    profile = shipped(name)
    presses = [press for path in FILES if path.parent.name == name for press in run(profile, path)[1]]
    assert sorted(wanted(profile) - touched(profile, presses)) == []

"""The worked example of `docs/describe-your-panel.md`: Sorrel, which isn't shipped, described along that page."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.cli import main
from zonewright.entry.sheets.sheet import replay, whole
from zonewright.entry.sheets.transcript import run
from zonewright.panel.opening import open_site
from zonewright.panel.profile_file import find_profile
from zonewright.site.files import Folder

HERE = Path(__file__).parent / "fourth"


def test_its_profile_is_sound(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["profile", "check", str(HERE / "sorrel.yaml")]) == 0, capsys.readouterr().err


@pytest.mark.parametrize("path", sorted(HERE.glob("*.txt")), ids=lambda path: path.stem)
def test_its_keypad_does_what_the_transcript_says(path: Path) -> None:
    assert run(find_profile("sorrel.yaml", Folder(HERE)).usable(), path).differences == ()


def test_its_first_sheet_gives_back_the_plan() -> None:
    resolved = open_site(HERE / "smithy.yaml")
    sheet = whole(resolved.profile, resolved.programme, resolved.users)
    assert replay(sheet).values == resolved.programme.values
    saved_at = {job.title.partition(" ")[0]: job.saved_at for job in sheet.jobs}
    assert saved_at["times"] == (), "each time is saved at once"
    assert saved_at["station"] == (len(sheet.jobs[-1].steps),), "the station is saved by its last step"


def test_a_panel_with_one_area_and_no_names_takes_a_site_that_says_both(tmp_path: Path) -> None:
    profile = (HERE / "sorrel.yaml").read_text(encoding="utf-8")
    without = profile.replace("  zone/*/label: {how: words}\n", "").replace("then: say,", "then: device,")
    without = "\n".join(line for line in without.splitlines() if not line.startswith("  say:"))
    (tmp_path / "sorrel.yaml").write_text(without, encoding="utf-8")
    (tmp_path / "smithy.yaml").write_text((HERE / "smithy.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    resolved = open_site(tmp_path / "smithy.yaml")
    assert replay(whole(resolved.profile, resolved.programme, resolved.users)).values == resolved.programme.values

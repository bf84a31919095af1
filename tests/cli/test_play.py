"""`play` on the command line."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from zonewright.cli import main

SITE = str(Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml")


def test_one_liners_files_and_scenes_are_played(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    events = "arm away house by Ida; +5 s front-door trips; +2 h small window opens"
    assert main(["play", SITE, events]) == 0
    typed = capsys.readouterr().out
    assert "siren sounds" in typed
    assert "station  message" in typed
    path = tmp_path / "night.txt"
    path.write_text(events.replace("; ", "\n"), encoding="utf-8")
    assert main(["play", SITE, str(path)]) == 0
    assert capsys.readouterr().out == typed
    assert main(["play", SITE, "--scenes"]) == 0
    assert "coming home with shopping: as wished" in capsys.readouterr().out
    assert main(["play", SITE, "--scene", "smoke"]) == 0
    assert "can't be played here" in capsys.readouterr().out


def test_times_of_hours_stay_in_their_column(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["play", SITE, "arm away by Ida; +5 s leave by front door; +2 h 11 min small window opens"]) == 0
    lines = capsys.readouterr().out.splitlines()
    at = {
        line.index(what) for line in lines for what in ("kitchen small window opens", "siren time ends") if what in line
    }
    assert len(at) == 1
    assert any("2 h 15 min 10 s  siren time ends" in line for line in lines)


def test_a_site_without_people_says_who_acts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = Path(SITE).read_text(encoding="utf-8")
    nobody = tmp_path / "nobody.yaml"
    nobody.write_text(text[: text.index("people:")], encoding="utf-8")
    assert main(["play", str(nobody), "small window opens"]) == 0
    assert "The site names no people" in capsys.readouterr().out
    assert main(["play", SITE, "small window opens"]) == 0
    assert "The site names no people" not in capsys.readouterr().out


def test_json_has_who_gets_what(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["play", SITE, "small window opens", "--json"]) == 0
    (entry,) = json.loads(capsys.readouterr().out)["timeline"]
    assert entry["event"] == "kitchen small window opens"
    assert main(["play", SITE, "--scenes", "--json"]) == 0
    assert {each["came"] for each in json.loads(capsys.readouterr().out)["scenes"]} == {
        "as wished",
        "can't be played here",
    }


def test_a_picture_is_drawn_and_never_over_another(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "a.svg"
    assert main(["play", SITE, "--scene", "umbrella", "--svg", str(path)]) == 0
    before = path.read_bytes()
    assert before.startswith(b"<svg")
    assert main(["play", SITE, "--scene", "umbrella", "--svg", str(path)]) == 2
    assert path.read_bytes() == before
    assert "--force" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["front dor opens"], "scenario:1:1"),
        (["arm away; +20 s front dor opens"], "scenario:1:11"),
        (["nowhere.txt"], "nowhere.txt"),
        (["front door opens", "--scenes"], "give a scenario"),
        (["--scene", "xyz"], "no scene has"),
        (["--scene", "burglar"], "2 scenes have"),
        (["--scenes", "--svg", "x.svg"], "one scene"),
    ],
)
def test_wrong_use_is_told(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["play", SITE, *arguments]) == 2
    assert says in capsys.readouterr().err


def test_a_huge_scenario_file_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "huge.txt"
    path.write_bytes(b"front door opens\n" * 1_000_000)
    assert main(["play", SITE, str(path)]) == 2
    assert "huge.txt" in "".join(capsys.readouterr().err.split())


def test_without_a_scenario_the_forms_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["play", SITE]) == 0
    out = capsys.readouterr().out
    assert "THING opens" in out
    assert "back for the umbrella" in out


def test_without_a_scenario_what_can_be_written_is_data_too(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["play", SITE, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert any("opens" in form for form in told["events"])
    assert {"scene", "wish"} == set(told["scenes"][0])


@pytest.mark.parametrize("scenario", ["", "  "])
def test_an_empty_scenario_is_wrong_use(scenario: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["play", SITE, scenario]) == 2
    assert "the scenario is empty" in capsys.readouterr().err


def test_a_scene_tells_its_moment_as_timelines_do(capsys: pytest.CaptureFixture[str]) -> None:
    wrong = str(Path(SITE).with_name("larkfield-wrong.yaml"))
    assert main(["play", wrong, "--scenes"]) == 1
    assert "the siren sounds at 2 h 3 min 7 s" in " ".join(capsys.readouterr().out.split())


def test_a_label_that_looks_like_an_area_is_printed_as_it_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site = shutil.copytree(Path(SITE).parent, tmp_path / "demo") / "bakery.yaml"
    written = site.read_text(encoding="utf-8")
    site.write_text(written.replace("called: shop floor", "called: area 2 floor"), encoding="utf-8")
    assert main(["play", str(site), "arm away shop by Pia; +5 min area 2 floor trips"]) == 0
    told = capsys.readouterr().out
    assert "area 2 floor trips" in told
    assert "bakehouse floor" not in told


def test_what_the_panel_refuses_is_told_as_tried(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is armed while somebody is on the way in, nor over a window that stands open."""
    home = "arm away house by Ida; leave by front-door; +2 h front-door opens; +5 s arm away house by Ida"
    assert main(["play", SITE, home]) == 0
    assert "tried: house armed away by keypad, Ida" in capsys.readouterr().out
    assert main(["play", SITE, "kitchen-window opens; +5 s arm away house by Ida"]) == 0
    assert "tried: house armed away by keypad, Ida" in capsys.readouterr().out

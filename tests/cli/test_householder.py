"""The householder's page: refused where a layman must not, with a test that can fail, and without a station no word."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from zonewright.behaviour.setup import setup_of
from zonewright.cli import main
from zonewright.cli.pack import pack_of
from zonewright.documents.html import render_html
from zonewright.fieldwork.householder import not_for_a_layman, trial
from zonewright.panel.opening import open_site
from zonewright.site.plan import read_plan

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
WORDS = re.compile(r"\bstation|\baccount\b|\bon test\b|\bdispatch|alarm company", re.IGNORECASE)


@pytest.mark.parametrize(
    ("site", "device"),
    [("rowan", "stairs-smoke"), ("rowan", "boiler-co"), ("rowan", "desk-button"), ("bakery", "till-button"),
     ("bakery", "bakehouse-heat"), ("bakery", "oven-gas")],
)  # fmt: skip
def test_life_safety_and_calls_for_help_are_nothing_for_a_layman(
    site: str, device: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["enter", str(FILES / f"{site}.yaml"), "--guide", device]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "a householder should not key it" in said.err


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_every_test_can_fail_something_must_be_heard(name: str) -> None:
    resolved = open_site(FILES / f"{name}.yaml")
    setup = setup_of(resolved.programme, resolved.profile)
    for zone in setup.zones:
        how = trial(setup, zone, "Set it off.", "two notes")
        if not_for_a_layman(zone) or how is None:
            continue
        assert any("You must hear" in line or "You must notice this" in line for line in how.test), zone.label
        assert not any("nothing" in line for line in how.test)


def test_a_zone_that_is_silent_by_day_is_armed_set_off_and_heard(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["enter", str(FILES / "larkfield.yaml"), "--guide", "lounge-window"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "I put the alarm company on test first." in said
    assert "Arm it as when you stay at home." in said
    assert "You must hear the siren." in said


def test_without_a_station_no_page_has_a_word_of_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (FILES / "larkfield.yaml").read_text("utf-8")
    text = re.sub(r"station: .*\n", "", text)
    text = re.sub(r",? report: (everything|troubles),?", ",", text)
    text = re.sub(r"accept:\n(  .*\n)*", "", text)
    (tmp_path / "site.yaml").write_text(text, "utf-8")
    (tmp_path / "larkfield-plan.yaml").write_text((FILES / "larkfield-plan.yaml").read_text("utf-8"), "utf-8")
    monkeypatch.chdir(tmp_path)
    for verb in (
        ["check"], ["matrix"], ["explain"], ["enter"], ["walk"], ["play", "--scenes"],
        ["enter", "--guide", "lounge-window"], ["diagnose", "--saw", "back door opens: nothing"],
    ):  # fmt: skip
        main([verb[0], "site.yaml", *verb[1:]])
        said = capsys.readouterr().out
        assert said
        assert not WORDS.findall(said), (verb, WORDS.findall(said))
    resolved = open_site(Path("site.yaml"))
    plan = read_plan(Path("larkfield-plan.yaml"), resolved.site).usable()
    page = re.sub(r"<[^>]*>", " ", render_html(pack_of(resolved, None, None, plan, proofs=False)))
    page = re.sub(r"monitoring station\s+none|mains or dispatch", "", page)  # that there is none; where law decides
    assert not WORDS.findall(page), [page[max(0, each.start() - 60) : each.end() + 40] for each in WORDS.finditer(page)]

"""The householder's page: refused where a layman must not, with a test that can fail, and without a station no word."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.behaviour.house import CP01, house, with_settings, zone
from zonewright.behaviour.setup import Setup, setup_of
from zonewright.cli import main
from zonewright.desk.job import open_job
from zonewright.desk.job_pack import job_pack
from zonewright.documents.html import render_html
from zonewright.fieldwork.householder import not_for_a_layman, trial
from zonewright.panel.opening import open_site
from zonewright.site.record import ZoneNumber

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
    why = "it calls for help" if device.endswith("button") else "people's lives depend on it"
    assert main(["enter", str(FILES / f"{site}.yaml"), "--guide", device]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "a householder should not key it" in said.err
    assert why in " ".join(said.err.split())


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_every_test_can_fail_something_must_be_heard(name: str) -> None:
    resolved = open_site(FILES / f"{name}.yaml")
    setup = setup_of(resolved.programme, resolved.profile)
    for each in setup.zones:
        how = trial(setup, each, "Set it off.", "two notes")
        if not_for_a_layman(each) or how is None:
            continue
        assert any("You must hear" in line or "You must notice this" in line for line in how.test), each.label
        assert not any("nothing" in line for line in how.test)


def test_a_zone_that_is_silent_by_day_is_armed_set_off_and_heard(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["enter", str(FILES / "larkfield.yaml"), "--guide", "lounge-window"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "I put the alarm company on test first." in said
    assert "Arm house as when you stay at home." in said
    assert "You must hear the siren." in said


@pytest.mark.deep
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
    page = re.sub(r"<[^>]*>", " ", render_html(job_pack(open_job(Path("site.yaml")))))
    page = re.sub(r"monitoring station\s+none|mains or dispatch", "", page)  # that there is none; where law decides
    assert not WORDS.findall(page), [page[max(0, each.start() - 60) : each.end() + 40] for each in WORDS.finditer(page)]


# What is tried, and how -----------------------------------------------------------------------------------------------

EXIT_S = CP01.exit_time


def test_a_door_with_an_entry_time_is_heard_by_its_beeps_and_a_window_by_the_siren() -> None:
    setup = house(zone(1, "entry-door"), zone(2, "perimeter"))
    for number, sound, other in ((1, "entry beeps", "siren"), (2, "siren", "entry beeps")):
        how = tried(setup, number)
        assert f"You must hear the {sound}." in how
        assert other not in how


def test_the_householder_sees_the_zone_itself_on_the_display_whichever_siren_is_heard() -> None:
    """Another detector nearby may have given the siren first, and this one may be dead."""
    assert 'You must see "interior 2 alarm".' in tried(house(zone(1, "entry-door"), zone(2, "interior")), 2)


def test_the_exit_time_is_over_before_the_device_is_set_off() -> None:
    waits = int(re.search(r"Wait (\d+) seconds", tried(house(zone(1, "perimeter")), 1))[1])  # type: ignore[index]
    assert EXIT_S < waits <= EXIT_S + 10


def test_for_away_somebody_opens_the_door_by_name_where_there_is_one_and_only_for_away() -> None:
    leave = "Open the entry-door 1. Shut it again. Stay inside."
    assert leave in tried(house(zone(1, "entry-door"), zone(2, "interior")), 2)
    assert leave not in tried(house(zone(2, "interior")), 2)
    assert leave not in tried(house(zone(1, "entry-door"), zone(2, "perimeter")), 2)


@pytest.mark.parametrize("told", [True, False])
@pytest.mark.parametrize("behaviour", ["24-hour-audible", "notice"])
def test_the_station_is_put_on_test_before_the_first_key_where_there_is_one(behaviour: str, told: bool) -> None:
    """Also for what only chimes: a wrong key may make a hold-up button of it."""
    setup = with_settings(house(zone(1, behaviour, chime="two notes")), told=told)
    how = trial(setup, setup.zones[0], "Open it.", "two notes")
    assert how is not None
    assert ("I put the alarm company on test first." in how.first) is told
    assert ("I take the alarm company off test." in how.last) is told


def test_a_door_that_chimes_is_tried_armed_too_since_a_chime_does_not_show_how_it_alarms() -> None:
    how = tried(house(zone(1, "entry-door", chime="two notes")), 1)
    assert "You must hear the entry beeps." in how
    assert how.startswith("I put the alarm company on test first. Tell everybody in the house first. Set it off.")


def tried(setup: Setup, number: int) -> str:
    one = setup.zone(ZoneNumber(number))
    assert one is not None
    how = trial(setup, one, "Set it off.", "")
    assert how is not None
    return " ".join((*how.first, *how.test))


def test_what_warns_alike_whether_armed_or_not_is_tried_by_day_and_promises_no_siren(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Water is told by the trouble tone in every mode; whoever waited for the siren would call it broken."""
    assert main(["enter", str(FILES / "larkfield.yaml"), "--guide", "sink-water"]) == 0
    test = " ".join(capsys.readouterr().out.split()).partition("Try it")[2]
    assert "You must notice this: trouble tone." in test
    assert "siren" not in test
    assert "Arm " not in test


BAKERY = (FILES / "bakery.yaml").read_text(encoding="utf-8").replace("plan: bakery-plan.yaml\n", "")


def test_a_shared_zone_is_armed_with_all_its_areas_and_a_detector_on_a_loop_is_walked_past(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "site.yaml").write_text(BAKERY, encoding="utf-8")
    assert "area: [shop, bakehouse], behaviour: interior" in BAKERY
    assert main(["enter", str(tmp_path / "site.yaml"), "--guide", "hall"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Arm shop and bakehouse as when you go out." in said
    assert "Walk past the sensor. You must hear the siren." in said


def test_a_zone_that_needs_its_pair_is_refused_with_that_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = BAKERY.replace("called: shop floor}", "called: shop floor, confirmed by: shop-front}")
    (tmp_path / "site.yaml").write_text(text, encoding="utf-8")
    assert main(["enter", str(tmp_path / "site.yaml"), "--guide", "shop-movement"]) == 2
    assert "by itself it gives no alarm, only with" in " ".join(capsys.readouterr().err.split())


def test_a_door_that_two_areas_share_is_opened_once() -> None:
    eye = zone(2, "interior", "landing", areas=(1, 2))
    asked = trial(house(zone(1, "entry-door", "street door", areas=(1, 2)), eye), eye, "Walk past it.", "a person")
    assert asked is not None
    assert any("Open the street door. Shut it again." in line for line in asked.test)

"""Site files begun as texts, and the numbers that a panel gave, without a disk to write on."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.entry.taking_over import answers, typed_in
from zonewright.desk.beginning import named_beside, new_site, site_from_readback, site_from_schedule
from zonewright.desk.job import open_job, open_text
from zonewright.desk.numbering import numbered
from zonewright.desk.profiles import profile_named
from zonewright.findings import BadInput
from zonewright.panel.readback_file import OpenedReadback
from zonewright.site.files import Texts

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
SCHEDULE = (
    "zone,called,behaviour,kind,room,number\n"
    "1,front door,entry-door,contact,hall,51 9047 31 A\n"
    ",door,perimeter,contact,kitchen,51 9048 27 A\n"
)


def test_a_new_site_opens_and_what_is_left_out_has_a_plain_name() -> None:
    text = new_site(profile_named("tern", Texts({})), "tern", "mill.yaml", " ", ["", " "], "")
    job = open_text({"mill.yaml": text}, "mill.yaml")
    assert job.resolved.site.site == "A new site"
    assert list(job.resolved.areas) == ["house"]
    assert job.resolved.site.station is None


def test_an_answer_that_no_site_file_can_say_is_told_with_its_place() -> None:
    with pytest.raises(BadInput, match="written twice") as wrong:
        new_site(profile_named("tern", Texts({})), "tern", "mill.yaml", "Mill", ["house", "house"], "")
    assert str(wrong.value.findings[0].place).startswith("mill.yaml:")


def test_a_site_begun_from_a_readback_counts_what_is_not_known() -> None:
    job = open_job(FILES / "larkfield.yaml")
    profile = job.resolved.profile
    whole, half = (
        site_from_readback(OpenedReadback(read.readback, profile, {}, "panel.yaml"), Path("site.yaml"), "Mill")
        for read in (
            typed_in(profile, answers(profile, job.resolved.programme, random.Random(1), share)[0])
            for share in (0.0, 0.4)
        )
    )
    assert half.unknown > whole.unknown == 0


@pytest.mark.parametrize(
    ("panel", "folder", "file", "named"),
    [
        ("tern", "jobs", "elsewhere/site.yaml", "tern"),
        ("./own.yaml", "jobs", "jobs/site.yaml", "own.yaml"),
        ("own.yaml", "jobs", "elsewhere/site.yaml", "../jobs/own.yaml"),
        ("../own.yaml", "jobs/mill", "jobs/site.yaml", "own.yaml"),
    ],
)
def test_a_profile_is_named_as_its_own_file_must(panel: str, folder: str, file: str, named: str) -> None:
    assert Path(named_beside(panel, Path(folder), Path(file))) == Path(named)


def test_a_schedule_becomes_a_site_and_its_mistakes_are_told_with_the_text() -> None:
    made = site_from_schedule(SCHEDULE, "zones.csv", "shop.yaml", {}, name="Shop: 3", panel="tern")
    assert (made.devices, made.findings) == (2, ())
    assert open_text({"shop.yaml": made.text}, "shop.yaml").resolved.site.site == "Shop: 3"
    wrong = SCHEDULE.replace("\n,door", "\n1,door")
    made = site_from_schedule(wrong, "zones.csv", "shop.yaml", {}, name="Shop", panel="tern")
    assert {each.place.file for each in made.findings if each.place is not None} == {"shop.yaml"}
    assert "front door" in made.text
    with pytest.raises(BadInput, match="behaviour"):
        site_from_schedule("called\n", "zones.csv", "shop.yaml", {}, name="Shop", panel="tern")


def test_numbering_tells_each_value_and_numbers_nothing_twice() -> None:
    made = site_from_schedule(SCHEDULE, "zones.csv", "shop.yaml", {}, name="Shop", panel="tern")
    first = numbered(open_text({"shop.yaml": made.text}, "shop.yaml"))
    assert list(first.values.values()) == ["2"]
    again = numbered(open_text({"shop.yaml": first.text}, "shop.yaml"))
    assert (again.values, again.text) == ({}, first.text)

"""The drawn plan: a round scale, every mark listed, and nothing of a site file as markup."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args
from xml.etree import ElementTree as ET

from zonewright.documents.plan_drawing import HIGH_MM, MARKS, WALLS, WIDE_MM, drawings
from zonewright.panel.opening import open_site
from zonewright.panel.profile_file import shipped
from zonewright.site.plan import Material, read_plan_text

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
TEXT = (FILES / "larkfield-plan.yaml").read_text("utf-8")
RESOLVED = open_site(FILES / "larkfield.yaml")


def drawn(text: str = TEXT) -> str:
    plan = read_plan_text(text, "plan.yaml", RESOLVED.site).usable()
    return drawings(plan, RESOLVED)[0].svg


def test_it_is_a_picture_at_a_round_scale_that_fits_the_page() -> None:
    root = ET.fromstring(drawn())
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    assert wide <= WIDE_MM
    assert high <= HIGH_MM + 12
    assert "1 : 100" in drawn()


def test_every_zone_on_the_plan_stands_in_the_list_beside_it() -> None:
    (drawing,) = drawings(read_plan_text(TEXT, "plan.yaml", RESOLVED.site).usable(), RESOLVED)
    shown = {number for fact in drawing.shown for number in fact.name.split() if number.isdigit()}
    assert shown == {str(number) for number in RESOLVED.zones}
    numbers = {n for text in re.findall(r">([\d, ]+)</text>", drawing.svg) for n in text.split(", ")}
    assert shown <= numbers


def test_a_larger_house_is_drawn_smaller() -> None:
    assert "1 : 250" in drawn(TEXT.replace("[14, 6]", "[34, 6]"))


def test_hostile_names_are_text() -> None:
    svg = drawn(TEXT.replace("      hall: {corner", '      "<script>&": {corner'))
    ET.fromstring(svg)
    assert "<script" not in svg


def test_every_kind_of_device_and_wall_has_a_drawing() -> None:
    senses = {kind.senses for kind in shipped("tern").kinds.values()}
    assert senses <= set(MARKS)
    assert set(WALLS) == set(get_args(Material))

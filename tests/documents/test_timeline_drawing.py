"""A timeline's picture: no two words overlap, nothing leaves the frame, and the list tells all of it."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from zonewright.behaviour.setup import setup_of
from zonewright.documents.timeline_drawing import listing, timeline_drawing
from zonewright.panel.opening import open_site
from zonewright.words.scenario import played, read_scenario
from zonewright.words.scenes import play_scenes
from zonewright.words.tracks import Lane, names_of, tracks

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
WIDE_LETTER_MM = 1.79  # a mean letter of DejaVu Sans at 3.2 mm, in the widest of these labels
SVG = "{http://www.w3.org/2000/svg}"
SITES = {name: open_site(FILES / f"{name}.yaml") for name in ("larkfield", "rowan", "bakery")}
CASES = [
    (name, each.name, tracks(setup_of(site.programme, site.profile), each.timeline, names_of(site)))
    for name, site in SITES.items()
    for each in play_scenes(site, setup_of(site.programme, site.profile))
    if each.timeline
]


@pytest.mark.parametrize(("site", "scene", "made"), CASES, ids=[f"{a} {b}" for a, b, _ in CASES])
def test_no_words_overlap_and_nothing_leaves_the_frame(site: str, scene: str, made: object) -> None:
    drawing = timeline_drawing(made, scene)  # type: ignore[arg-type]
    root = ET.fromstring(drawing.svg)
    wide, high = (float(part) for part in root.attrib["viewBox"].split()[2:])
    assert (root.attrib["width"], root.attrib["height"]) == (f"{wide}mm", f"{high}mm")
    boxes = []
    for text in root.iter(f"{SVG}text"):
        if "stroke" in text.attrib:
            continue  # the white edge of the one that follows
        long = len(text.text or "") * WIDE_LETTER_MM
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        left = {"start": x, "end": x - long, "middle": x - long / 2}[text.attrib.get("text-anchor", "start")]
        assert left >= -0.5, text.text
        assert left + long <= wide + 0.5, text.text
        assert y <= high
        boxes.append((left, left + long, y, text.text))
    for n, (a, b, y, words) in enumerate(boxes):
        for c, d, z, others in boxes[n + 1 :]:
            assert abs(y - z) > 3 or b <= c or d <= a, f"{words} lies on {others}"


def test_the_list_tells_every_state_and_event_with_its_lane() -> None:
    site = SITES["larkfield"]
    setup = setup_of(site.programme, site.profile)
    scenario, _ = read_scenario("arm away house by Ida; +5 s front-door trips; +2 h small window opens", "x", site)
    rows = listing(tracks(setup, played(setup, scenario), names_of(site)))
    assert (0, Lane.HOUSE.value, "house armed away by keypad, Ida") in rows
    assert (0, Lane.PANEL.value, "exit time, house, until 60 s") in rows
    assert any(lane == "station" and "perimeter alarm" in text for _, lane, text in rows)
    assert any(text.startswith("siren, until") for _, _, text in rows)

"""A loop has no cell and no radio in any text; the resistor at its end decides what is told of a cut or a short."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from zonewright.behaviour.setup import Setup, setup_of
from zonewright.cli import main
from zonewright.diagnosis.faults import faults_of, named
from zonewright.diagnosis.hypotheses import hypotheses
from zonewright.panel.behaviours import Mode
from zonewright.panel.opening import open_site
from zonewright.words.explain import explain
from zonewright.words.matrix import Cause, matrix
from zonewright.words.sentence import sentence

BAKERY = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/bakery.yaml"
OF_RADIO = re.compile(
    r"\bcells?\b|batter|radio|not heard|missing|lost contact|out of contact|out of range", re.IGNORECASE
)


def bakery(resistor: str = "double", folder: Path | None = None) -> Path:
    if folder is None:
        return BAKERY
    text = BAKERY.read_text(encoding="utf-8").replace("two notes, resistor: double", f"two notes, resistor: {resistor}")
    text = text.replace("plan: bakery-plan.yaml\n", "")
    (folder / "site.yaml").write_text(text, encoding="utf-8")
    return folder / "site.yaml"


def setup(path: Path) -> Setup:
    resolved = open_site(path)
    return setup_of(resolved.programme, resolved.profile)


def test_no_text_of_a_wired_zone_speaks_of_cell_or_radio() -> None:
    at = setup(BAKERY)
    made = matrix(at)
    wired = [zone for zone in at.zones if zone.loop]
    assert [zone.number for zone in wired] == [1, 2, 3, 4, 5, 6, 13]
    for zone in wired:
        assert not OF_RADIO.search(sentence(made, zone.number))
        assert not OF_RADIO.search(explain(at, zone.number).text())


def test_no_cause_of_a_wired_zone_is_a_cell_or_range() -> None:
    resolved = open_site(BAKERY)
    right = hypotheses(resolved.profile, resolved.programme)[0].right
    wired = {named(zone) for zone in right.setup.zones if zone.loop}
    radio = {named(zone) for zone in right.setup.zones if zone.radio}
    texts = [text for fault in faults_of(right) for text in (fault.says, fault.mend, fault.look)]
    assert not [text for text in texts if OF_RADIO.search(text) and any(f"{name}:" in f"{text}:" for name in wired)]
    assert sum(bool(OF_RADIO.search(text)) for text in texts) >= len(radio)


def test_the_matrix_names_no_wired_zone_under_battery_or_contact(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["matrix", str(BAKERY)]) == 0
    told = capsys.readouterr().out
    assert "All radio zones, battery low: " in told
    assert "Wired zones 1–6: a cut or a short of its wire is noticed as tamper." in told
    assert main(["matrix", "--json", str(BAKERY)]) == 0
    rows = json.loads(capsys.readouterr().out)["cells"]
    of_radio = {row["zone"] for row in rows if row["cause"] in (Cause.LOW_BATTERY.value, Cause.MISSING.value)}
    assert of_radio == {7, 8, 9, 10, 11, 12, 14, 15}


def test_the_guide_of_a_wired_zone_speaks_of_no_cell(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["enter", str(BAKERY), "--guide", "shop-front"]) == 0
    assert not OF_RADIO.search(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("resistor", "cut", "shorted"),
    [
        ("none", "looks like an opening", "is never noticed, and no opening is any more"),
        ("single", "looks like an opening", "is noticed as tamper"),
        ("double", "is noticed as tamper", "is noticed as tamper"),
        ("triple", "is noticed as tamper", "is noticed as tamper"),
    ],
)
def test_the_resistor_decides_what_a_cut_and_a_short_are(resistor: str, cut: str, shorted: str, tmp_path: Path) -> None:
    at = setup(bakery(resistor, tmp_path))
    said = {paragraph.situation: paragraph.lines for paragraph in explain(at, at.zones[0].number).paragraphs}
    of_cut = {words: lines for words, lines in said.items() if words.startswith(f"Its wire is cut, which {cut}")}
    of_short = {
        words: lines for words, lines in said.items() if words.startswith(f"Its wire is shorted, which {shorted}")
    }
    assert of_cut
    assert of_short
    openings = {lines for words, lines in said.items() if words.startswith("It opens and stays open")}
    assert (set(of_cut.values()) == openings) is (cut == "looks like an opening")
    assert (set(of_short.values()) == {("nothing happens",)}) is (resistor == "none")


@pytest.mark.parametrize("resistor", ["none", "single", "double", "triple"])
def test_a_cut_is_diagnosed_by_what_the_resistor_lets_the_panel_see(resistor: str, tmp_path: Path) -> None:
    resolved = open_site(bakery(resistor, tmp_path))
    right = hypotheses(resolved.profile, resolved.programme)[0].right
    faults = {fault.says: fault for fault in faults_of(right)}
    cut, short = (faults[f"zone 1 shop door: its wire is {what}"] for what in ("cut", "shorted"))
    ((_, of_cut),), ((_, of_short),) = cut.worlds, short.worlds
    told = [type(event).__name__ for around in (of_cut, of_short) for event in around.stands]
    assert told == {
        "none": ["ZoneOpens"],
        "single": ["ZoneOpens", "TroubleBegins"],
    }.get(resistor, ["TroubleBegins", "TroubleBegins"])


def test_a_panel_without_a_loop_says_nothing_of_wires() -> None:
    larkfield = setup(BAKERY.with_name("larkfield.yaml"))
    made = matrix(larkfield)
    assert not any("wire" in sentence(made, zone.number) for zone in larkfield.zones)
    assert all(made.row(zone.number, Cause.OPENS)[0].mode is Mode.DISARMED for zone in larkfield.zones)

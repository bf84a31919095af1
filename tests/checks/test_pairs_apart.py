"""A pair of which each zone is in an area of its own: what follows from one depends on whether the other can trip."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.cli import main

SITE = """site: Two Floors
panel: marlow
station: {account: "7311"}
areas: {ground: {}, upper: {}}
keypads: {pad: {at: {room: hall}}}
people: {Ada: {role: owner}}
loops:
  door: {zone: 1, resistor: double, devices: [door-reed], area: ground, behaviour: entry-door, called: hall door}
  stair: {zone: 2, resistor: double, devices: [stair-reed], area: upper, behaviour: entry-door, called: stair door}
  sash: {zone: 3, resistor: double, devices: [sash-reed], area: upper, behaviour: perimeter, called: sash,
         confirmed by: eye}
devices:
  door-reed: {kind: contact, at: {room: hall}}
  stair-reed: {kind: contact, at: {room: landing}}
  sash-reed: {kind: contact, at: {room: bedroom}}
  eye:
    kind: movement
    number: {printed: 60 31 18, learnt: "603118"}
    fitted: 2026-11-20
    at: {room: lounge}
    zone: {number: 4, area: ground, behaviour: interior, called: lounge}
must:
  - always: sash causes siren while upper armed within 5 s
"""


@pytest.fixture
def site(tmp_path: Path) -> str:
    path = tmp_path / "floors.yaml"
    path.write_text(SITE, encoding="utf-8")
    return str(path)


def said(capsys: pytest.CaptureFixture[str]) -> str:
    return " ".join(capsys.readouterr().out.split())


def test_a_wish_is_looked_at_with_the_area_of_the_pair_armed_too(site: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", site]) == 1
    told = said(capsys)
    assert "doesn't hold: zone 3 sash opens, away" in told
    assert told.count("CNF-01") == 2


def test_matrix_and_explanation_tell_both_ways(site: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["matrix", site]) == 0
    told = said(capsys)
    assert "3 sash - [siren at once .... sent] [sile… sent]" in told
    assert "Zone 3 sash, whose pair is in another area: silent, shown when armed stay or night" in told
    assert "siren at once when armed away while ground is off, or armed stay or night" in told
    assert main(["explain", site, "3"]) == 0
    told = said(capsys)
    alone = told.partition("when armed away, while ground is off, or armed stay or night:")[2]
    assert alone.startswith(" at once: siren sounds")
    assert 'armed away: at once: display: "sash tripped alone"' in told


def test_each_situation_is_told_with_both_areas_armed(site: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", site, "3"]) == 0
    told = said(capsys)
    leaving = told.partition("while somebody leaves (exit time, away):")[2]
    assert leaving.startswith(' at once: display: "sash tripped alone"')
    again = told.partition("It trips a second time within 60 s, away:")[2]
    assert again.startswith(" at once: siren sounds")
    assert 'message "unverified alarm", sash' in again


def test_what_they_tell_is_what_happens(site: str, capsys: pytest.CaptureFixture[str]) -> None:
    both = "arm away by Ada; leave by hall door; leave by stair door; +1 h sash opens"
    alone = "arm away upper by Ada; leave by stair door; +1 h sash opens"
    for scene, sounds in ((both, False), (alone, True)):
        assert main(["play", site, scene]) == 0
        assert ("siren sounds" in said(capsys)) is sounds


def test_of_each_mode_stands_what_comes_of_it_while_the_other_area_is_set_otherwise(
    site: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """People asleep above, the shop below shut: the window by itself sounds nothing."""
    assert main(["explain", site, "3"]) == 0
    silent = said(capsys).partition("when armed stay or night, while ground is armed away:")[2]
    assert silent.startswith(' at once: display: "sash tripped alone"')
    night = "arm stay upper by Ada; arm away ground by Ada; leave by hall door; +1 h sash opens"
    assert main(["play", site, night]) == 0
    assert "siren sounds" not in said(capsys)

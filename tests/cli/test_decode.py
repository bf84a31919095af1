"""`decode` says zone, area and meaning of both formats, and with a site file what things are called there."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from zonewright.behaviour.setup import setup_of
from zonewright.cli import main
from zonewright.documents.leaving import listings
from zonewright.panel.opening import open_site
from zonewright.words.matrix import matrix

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"


def decoded(capsys: pytest.CaptureFixture[str], *typed: str) -> dict[str, Any]:
    main(["decode", "--json", *typed])
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def test_a_payload_tells_area_zone_and_meaning(capsys: pytest.CaptureFixture[str]) -> None:
    told = decoded(capsys, "#4021|Nri1/BA003")
    (event,) = told["events"]
    assert (event["area"], event["names"], event["number"], event["meaning"]) == ("1", "zone", "003", "burglary: alarm")
    assert event["called"] is None


def test_with_a_site_file_both_formats_name_zone_person_and_area(capsys: pytest.CaptureFixture[str]) -> None:
    told = decoded(capsys, "--site", str(DEMO), "#4021|Nri1/BA003|Nid2/ri1/OP2|Nri1/BA099")
    first, second, third = told["events"]
    assert (first["called"], first["area_called"]) == ("kitchen small window", "house")
    assert (second["called"], second["meaning"]) == ("Bertil", "opening")
    assert third["called"] is None
    assert decoded(capsys, "--site", str(DEMO), "4021181131010039")["called"] == "kitchen small window"


def test_each_event_of_a_payload_has_a_row_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["decode", "#4021|Nri1/BA003|Nri1/BH003|Afree text"]) == 0
    said = capsys.readouterr().out
    assert "burglary: alarm over" in said
    assert "text: free text" in said


def test_the_page_of_messages_says_what_a_restore_changes_with_its_own_check_digit() -> None:
    resolved = open_site(DEMO)
    page = next(
        each
        for each in listings(resolved, matrix(setup_of(resolved.programme, resolved.profile)))
        if each.title == "Messages to the station"
    )
    row = next(row for row in page.rows if row[0] == "3")
    begun, over = row[3].replace("\N{NO-BREAK SPACE}", " "), row[4].replace("\N{NO-BREAK SPACE}", " ")
    assert begun == "4021 18 1131 01 003 9"
    assert over == "3131 … 7"
    assert "third group" in page.note


def test_the_messages_of_a_site_name_what_they_are_of(capsys: pytest.CaptureFixture[str]) -> None:
    main(["messages", str(DEMO), "--json"])
    found = json.loads(capsys.readouterr().out)["messages"]
    of_zones = [each["dc05"] for each in found if each["message"] == "entry door alarm"]
    assert all(each["called"] and each["area_called"] for each in of_zones)
    assert of_zones

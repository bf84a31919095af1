"""Every code of a finding is known to `rules CODE`, and none is known that no finding has."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import zonewright
from zonewright.checks.check import rules
from zonewright.cli import main
from zonewright.findings.catalogue import CODES

SOURCE = Path(zonewright.__file__).parent
CODE = re.compile(r"[A-Z]{3,6}-(\d\d|[A-Z]+)")
NO_CODES = {"ADM-CID", "SIA-DCS"}  # names of formats


def written() -> Iterator[str]:
    """Give every text in the source that has the form of a code, the catalogue of them aside."""
    for path in SOURCE.rglob("*.py"):
        if path.name == "catalogue.py" and path.parent.name == "findings":
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and CODE.fullmatch(node.value):
                yield node.value


def test_the_catalogue_knows_each_code_and_no_more() -> None:
    assert set(written()) - NO_CODES - set(rules()) == set(CODES)
    assert not set(CODES) & set(rules())


@pytest.mark.parametrize("code", ["READ-FIELD", "pan-13", "SUP-01"])
def test_a_code_is_told(code: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", code]) == 0
    told = capsys.readouterr().out
    assert told.startswith(code.upper())
    assert "  do  " in told


def test_a_rule_is_told_with_the_lines_of_its_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "BEH-02"]) == 0
    assert capsys.readouterr().out.endswith(
        "  example larkfield.yaml of zonewright demo, with\n"
        "          devices:\n"
        "            workshop-door:\n"
        "              inputs: {reed: {behaviour: perimeter, delay: (left out)}}\n"
    )
    assert main(["rules", "BEH-12"]) == 0
    assert "  example bakery.yaml of zonewright demo, as it is, without" in capsys.readouterr().out


def test_only_a_rule_has_an_example_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "DEL-02", "--json"]) == 0
    (told,) = json.loads(capsys.readouterr().out)["rules"]
    assert told["example"] == {"site_file": "larkfield.yaml", "lines": ["settings: {exit time: 40 s}"]}
    assert main(["rules", "READ-FIELD", "--json"]) == 0
    (told,) = json.loads(capsys.readouterr().out)["rules"]
    assert told["example"] is None


def test_an_unknown_code_is_told_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "READ-FEILD"]) == 2
    assert "READ-FIELD" in capsys.readouterr().err

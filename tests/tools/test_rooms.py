"""The contract "who may import whom"."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import ready
import rooms

ROOT = Path(ready.ROOT)
TABLE = rooms.allowed(["findings: -", "site: findings", "panel: site", "physics: -", "cli: *"])


def project_table() -> dict[str, frozenset[str]]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contract, *_ = project["tool"]["importlinter"]["contracts"]
    return rooms.allowed(contract["rows"])


def test_a_room_may_know_what_the_rooms_it_names_may_know() -> None:
    assert TABLE["panel"] == {"panel", "site", "findings"}
    assert TABLE["cli"] == set(TABLE)


@pytest.mark.parametrize("row", ["site findings", ": findings", "findings: site", "again: elsewhere"])
def test_a_wrong_row_is_refused(row: str) -> None:
    with pytest.raises(rooms.WrongTable):
        rooms.allowed(["findings: -", row])


@pytest.mark.parametrize(
    ("importer", "imported", "kept"),
    [
        ("zonewright.site.reading", "zonewright.findings.finding", True),
        ("zonewright.site.reading", "zonewright.site.model", True),
        ("zonewright.site.reading", "yaml", True),
        ("zonewright.site.reading", "zonewright", True),
        ("zonewright.site.reading", "zonewright.panel", False),
        ("zonewright.panel", "zonewright.physics.radio", False),
        ("zonewright.unknown.deep", "zonewright.findings", False),
    ],
)
def test_an_import_between_rooms_is_judged_by_the_table(importer: str, imported: str, kept: bool) -> None:
    found = rooms.breaches([(importer, imported)], "zonewright", TABLE)
    assert (found == []) is kept


def test_the_projects_table_keeps_apart_what_must_not_meet() -> None:
    table = project_table()
    assert table["findings"] == {"findings"}
    assert "panel" not in table["site"]
    assert "entry" not in table["behaviour"]
    assert "behaviour" not in table["entry"]
    assert table["station"] == {"station", "signals"}
    assert "behaviour" not in table["survey"]
    assert not {"web", "cli"} & table["documents"]

"""What the room loads, and what it doesn't."""

from __future__ import annotations

import subprocess
import sys


def loaded(statement: str) -> set[str]:
    code = f"import sys; {statement}; print(*sys.modules)"
    return set(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split())


def test_the_records_load_without_the_parser() -> None:
    assert "yaml" not in loaded("import zonewright.site.model")


def test_findings_load_without_the_validation_library() -> None:
    assert "pydantic" not in loaded("import zonewright.findings")


def test_reading_loads_no_other_room() -> None:
    rooms = {name.split(".")[1] for name in loaded("import zonewright.site.sitefile") if name.startswith("zonewright.")}
    assert rooms == {"site", "findings"}

"""What `zonewright` promises before any verb."""

from __future__ import annotations

import subprocess
import sys

import pytest

import zonewright
from zonewright.cli import main

HEAVY = ("pydantic", "rich", "yaml", "typst", "jsonschema", "importlib.metadata")


def test_version_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"zonewright {zonewright.__version__}\n"


def test_help_imports_nothing_heavy() -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", "from zonewright.cli import main; main(['--help'])"],
        capture_output=True,
        text=True,
        check=True,
    )
    imported = {line.rpartition("|")[2].strip() for line in done.stderr.splitlines()}
    assert "click" in imported
    assert not {name for name in imported for heavy in HEAVY if name == heavy or name.startswith(f"{heavy}.")}

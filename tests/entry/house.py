"""The demo house before and after its side gate, for tests of the entry room."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


@cache
def before() -> Resolved:
    return open_site(FILES / "larkfield-before.yaml")


@cache
def after() -> Resolved:
    return open_site(FILES / "larkfield.yaml")

"""How property tests run: on CI always the same examples, and never against a clock."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no proof be kept from one test to the next, nor where a user's are."""
    monkeypatch.setenv("ZONEWRIGHT_CACHE", "off")

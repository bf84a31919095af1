"""What nobody can set stands in each manual, and the profile says the same."""

from __future__ import annotations

import re

import pytest

from tests.behaviour.house import WAIT_OF
from tests.panels.manual import Manual
from zonewright.behaviour.setup import setup_of
from zonewright.panel.legal import as_shipped
from zonewright.site.record import seconds

WAITS = {
    "mains lost": "mains_wait", "its own battery low": "panel_battery_wait", "siren wire": "siren_circuit_wait",
    "auxiliary supply overloaded": "auxiliary_wait", "line lost": "line_wait", "radio jammed": "jamming_wait",
}  # fmt: skip


@pytest.mark.parametrize("panel", ["tern", "marlow", "quill"])
def test_the_waits_of_the_panel_itself_are_those_of_its_manual(panel: str) -> None:
    manual = Manual(panel)
    text = " ".join(manual.prose("What nobody can set").split())
    settings = setup_of(as_shipped(manual.profile), manual.profile).settings
    assert set(WAITS.values()) == set(WAIT_OF.values())
    for words, name in WAITS.items():
        found = re.search(rf"{words} (\d+ (?:s|minutes))", text)
        told = seconds(found[1].replace("minutes", "min")) if found is not None else None
        assert getattr(settings, name) == told, words
        assert found is not None or name in ("jamming_wait", "auxiliary_wait")
    assert f"nothing that opens counts for {settings.warm_up} s" in text
    assert settings.troubles
    assert settings.exit_error
    assert settings.low_battery_wait == 0

"""Every message that the panel model can name has one row, and its codes exist."""

from __future__ import annotations

from zonewright.behaviour.events import Told, Trouble
from zonewright.panel.behaviours import SHIPPED
from zonewright.reporting.table import TABLE
from zonewright.signals.codes import event_codes


def test_every_name_has_its_row_and_no_row_is_idle() -> None:
    named = {each.alarm for each in SHIPPED.values() if each.alarm is not None}
    named |= {each.value for each in Told} | {each.value for each in Trouble}
    assert set(TABLE) == named


def test_the_codes_name_what_the_message_names() -> None:
    for name, row in TABLE.items():
        assert event_codes()[row.dc05].names == row.names, name

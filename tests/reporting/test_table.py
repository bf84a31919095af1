"""Every message that the panel model can name has one row, and its codes exist."""

from __future__ import annotations

from zonewright.behaviour.events import PanelMessage, SiteTrouble, Trouble
from zonewright.panel.behaviours import SHIPPED
from zonewright.reporting.table import TABLE
from zonewright.signals.codes import event_codes


def test_every_name_has_its_row_and_no_row_is_idle() -> None:
    named = {each.alarm for each in SHIPPED.values() if each.alarm is not None}
    named |= {each.warning for each in SHIPPED.values() if each.warning is not None}
    named |= {each.value for kind in (PanelMessage, Trouble, SiteTrouble) for each in kind}
    assert set(TABLE) == named


def test_the_codes_name_what_the_message_names() -> None:
    for name, row in TABLE.items():
        assert event_codes()[row.dc05].names == row.names, name

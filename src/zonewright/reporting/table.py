"""The one table from the panel model's messages to event codes.

Rules of this file:
1. A message has one row; a name without a row is a mistake that a test finds.
2. A row has both the DC-05 code and the DC-03 pair: no table of the standards was seen that maps one to the other. The
   pairs follow `signals` section 2.3, as seen in one library or from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from zonewright.behaviour.events import PanelMessage, SiteTrouble, Trouble
from zonewright.signals.dc05 import Qualifier


@dataclass(frozen=True, slots=True)
class MessageRow:
    """How one message is sent: its DC-05 code, its DC-03 codes when it begins and is over, and what it names."""

    dc05: str
    begins: str  # DC-03
    over: str  # DC-03; empty: it is never over
    names: Literal["zone", "user"] = "zone"
    closing: bool = False  # DC-05 sends a closing (arming) as a restore
    help: bool = False  # whether it calls people to somebody in danger: fire, gas, illness, a threat


TABLE: dict[str, MessageRow] = {
    "medical alarm": MessageRow("100", "MA", "MH", help=True),
    "fire alarm": MessageRow("111", "FA", "FH", help=True),
    "fire supervisory": MessageRow("200", "FS", "FV"),
    "panic alarm": MessageRow("123", "PA", "PH", help=True),
    "hold-up alarm": MessageRow("122", "HA", "HH", help=True),
    "perimeter alarm": MessageRow("131", "BA", "BH"),
    "interior alarm": MessageRow("132", "BA", "BH"),
    "24-hour alarm": MessageRow("133", "BA", "BH"),
    "entry door alarm": MessageRow("134", "BA", "BH"),
    "day-night alarm": MessageRow("135", "BA", "BH"),
    "day-night trouble": MessageRow("156", "BT", "BJ"),
    "gas alarm": MessageRow("151", "GA", "GH", help=True),
    "environment alarm": MessageRow("154", "WA", "WH"),
    "carbon monoxide alarm": MessageRow("162", "GA", "GH", help=True),
    PanelMessage.TAMPER_ALARM.value: MessageRow("137", "TA", "TR"),
    PanelMessage.EXIT_ERROR.value: MessageRow("374", "EA", ""),
    PanelMessage.RECENT_CLOSING.value: MessageRow("459", "CR", "", names="user"),
    PanelMessage.CANCEL.value: MessageRow("406", "OC", "", names="user"),
    PanelMessage.BYPASS.value: MessageRow("570", "BB", "BU"),
    PanelMessage.OVER_FAULT.value: MessageRow("911", "BB", ""),
    PanelMessage.NOT_SET.value: MessageRow("454", "CI", "", names="user"),
    PanelMessage.OPENING.value: MessageRow("401", "OP", "", names="user"),
    PanelMessage.CLOSING.value: MessageRow("401", "CL", "", names="user", closing=True),
    PanelMessage.SWITCH_OPENING.value: MessageRow("409", "OS", "", names="user"),
    PanelMessage.SWITCH_CLOSING.value: MessageRow("409", "CS", "", names="user", closing=True),
    PanelMessage.DURESS.value: MessageRow("121", "HA", "", names="user", help=True),
    PanelMessage.UNVERIFIED.value: MessageRow("378", "BG", ""),
    PanelMessage.CONFIRMED.value: MessageRow("139", "BV", ""),
    PanelMessage.RESTART.value: MessageRow("305", "RR", ""),
    PanelMessage.INSTALLER_IN.value: MessageRow("627", "LB", ""),
    PanelMessage.INSTALLER_OUT.value: MessageRow("628", "LX", ""),
    SiteTrouble.MAINS.value: MessageRow("301", "AT", "AR"),
    SiteTrouble.PANEL_BATTERY.value: MessageRow("302", "YT", "YR"),
    SiteTrouble.SIREN_CIRCUIT.value: MessageRow("321", "YA", "YH"),
    SiteTrouble.AUXILIARY.value: MessageRow("312", "YI", "YJ"),
    SiteTrouble.LINE.value: MessageRow("351", "LT", "LR"),
    SiteTrouble.JAMMING.value: MessageRow("344", "XQ", "XH"),
    Trouble.TAMPER.value: MessageRow("383", "TT", "TJ"),
    Trouble.LOW_BATTERY.value: MessageRow("384", "XT", "XR"),
    Trouble.MISSING.value: MessageRow("381", "UY", "UJ"),
}


def qualifier(row: MessageRow, *, restore: bool) -> Qualifier:
    """Return the DC-05 qualifier of a message that begins or is over; arming is sent as a restore."""
    return Qualifier.RESTORE if restore or row.closing else Qualifier.NEW

"""The one table from the panel model's messages to event codes.

Rules of this file:
1. A message has one row; a name without a row is a mistake that a test finds.
2. DC-05 code and the DC-03 pair stand side by side: no table of the standards was seen that maps one to the other. The
   pairs follow `signals` section 2.3, as seen in one library or from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from zonewright.behaviour.events import SiteTrouble, Told, Trouble
from zonewright.signals.dc05 import Qualifier


@dataclass(frozen=True, slots=True)
class Row:
    """How one message is told: its DC-05 code, its DC-03 codes when it begins and is over, and what it names."""

    dc05: str
    begins: str  # DC-03
    over: str  # DC-03; empty: it is never over
    names: Literal["zone", "user"] = "zone"
    closing: bool = False  # DC-05 tells a closing (arming) as a restore
    help: bool = False  # whether it calls people to somebody in danger: fire, gas, illness, a threat


TABLE: dict[str, Row] = {
    "medical alarm": Row("100", "MA", "MH", help=True),
    "fire alarm": Row("111", "FA", "FH", help=True),
    "fire supervisory": Row("200", "FS", "FV"),
    "panic alarm": Row("123", "PA", "PH", help=True),
    "hold-up alarm": Row("122", "HA", "HH", help=True),
    "perimeter alarm": Row("131", "BA", "BH"),
    "interior alarm": Row("132", "BA", "BH"),
    "24-hour alarm": Row("133", "BA", "BH"),
    "entry door alarm": Row("134", "BA", "BH"),
    "day-night alarm": Row("135", "BA", "BH"),
    "day-night trouble": Row("156", "BT", "BJ"),
    "gas alarm": Row("151", "GA", "GH", help=True),
    "environment alarm": Row("154", "WA", "WH"),
    "carbon monoxide alarm": Row("162", "GA", "GH", help=True),
    Told.TAMPER_ALARM.value: Row("137", "TA", "TR"),
    Told.EXIT_ERROR.value: Row("374", "EA", ""),
    Told.RECENT_CLOSING.value: Row("459", "CR", "", names="user"),
    Told.CANCEL.value: Row("406", "OC", "", names="user"),
    Told.BYPASS.value: Row("570", "BB", "BU"),
    Told.OVER_FAULT.value: Row("911", "BB", ""),
    Told.NOT_SET.value: Row("454", "CI", "", names="user"),
    Told.OPENING.value: Row("401", "OP", "", names="user"),
    Told.CLOSING.value: Row("401", "CL", "", names="user", closing=True),
    Told.SWITCH_OPENING.value: Row("409", "OS", "", names="user"),
    Told.SWITCH_CLOSING.value: Row("409", "CS", "", names="user", closing=True),
    Told.DURESS.value: Row("121", "HA", "", names="user", help=True),
    Told.UNVERIFIED.value: Row("378", "BG", ""),
    Told.CONFIRMED.value: Row("139", "BV", ""),
    Told.RESTART.value: Row("305", "RR", ""),
    Told.INSTALLER_IN.value: Row("627", "LB", ""),
    Told.INSTALLER_OUT.value: Row("628", "LX", ""),
    SiteTrouble.MAINS.value: Row("301", "AT", "AR"),
    SiteTrouble.PANEL_BATTERY.value: Row("302", "YT", "YR"),
    SiteTrouble.SIREN_CIRCUIT.value: Row("321", "YA", "YH"),
    SiteTrouble.AUXILIARY.value: Row("312", "YI", "YJ"),
    SiteTrouble.LINE.value: Row("351", "LT", "LR"),
    SiteTrouble.JAMMING.value: Row("344", "XQ", "XH"),
    Trouble.TAMPER.value: Row("383", "TT", "TJ"),
    Trouble.LOW_BATTERY.value: Row("384", "XT", "XR"),
    Trouble.MISSING.value: Row("381", "UY", "UJ"),
}


def qualifier(row: Row, *, restore: bool) -> Qualifier:
    """Return the DC-05 qualifier of a message that begins or is over; arming is told as a restore."""
    return Qualifier.RESTORE if restore or row.closing else Qualifier.NEW

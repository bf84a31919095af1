"""What a panel notices when the wire of a loop is cut or shorted, depending on the resistor at its end.

Rules of this file:
1. It is for contacts in one loop that open to alarm. Where a contact closes to alarm, cut and short change places.
2. A wired device has no cell and no radio, so nothing here is about a battery or lost contact.

Source: end-of-line supervision of a closed loop, from memory; common practice, no source. Without a resistor the panel
only knows an open loop from a closed one. With one in series it knows a short from a closed loop, but not a cut from an
opening. With two or three it knows both from all that the contact and its cover do.
"""

from __future__ import annotations

from enum import Enum

from zonewright.behaviour.events import Event, Trouble, TroubleBegins, ZoneOpens
from zonewright.behaviour.setup import ZoneSetup


class Wire(Enum):
    """What happens to the wire of a loop."""

    CUT = "cut"
    SHORTED = "shorted"


class LoopReading(Enum):
    """What the panel takes a cut or a short for."""

    OPENING = "looks like an opening"
    TAMPER = "is noticed as tamper"
    UNSEEN = "is never noticed, and no opening is any more"


_SEEN = {
    "none": {Wire.CUT: LoopReading.OPENING, Wire.SHORTED: LoopReading.UNSEEN},
    "single": {Wire.CUT: LoopReading.OPENING, Wire.SHORTED: LoopReading.TAMPER},
    "double": {Wire.CUT: LoopReading.TAMPER, Wire.SHORTED: LoopReading.TAMPER},
    "triple": {Wire.CUT: LoopReading.TAMPER, Wire.SHORTED: LoopReading.TAMPER},
}


def seen(resistor: str, wire: Wire) -> LoopReading:
    """Return what a panel takes a cut or a short for; a resistor of an unknown name counts as "double"."""
    return _SEEN.get(resistor, _SEEN["double"])[wire]


def noticed(zone: ZoneSetup, wire: Wire) -> Event | None:
    """Return what the panel notices of a cut or a short; None where it notices nothing."""
    match seen(zone.loop, wire):
        case LoopReading.OPENING:
            return ZoneOpens(zone.number)
        case LoopReading.TAMPER:
            return TroubleBegins(zone.number, Trouble.TAMPER)
        case LoopReading.UNSEEN:
            return None


def wire_words(zone: ZoneSetup) -> list[str]:
    """Return what the panel takes a cut and a short for: one text if it is the same; none for a zone without a loop."""
    if not zone.loop:
        return []
    cut, short = (seen(zone.loop, wire) for wire in (Wire.CUT, Wire.SHORTED))
    if cut is short:
        return [f"a cut or a short of its wire {cut.value}"]
    return [f"a cut of its wire {cut.value}", f"a short {short.value}"]

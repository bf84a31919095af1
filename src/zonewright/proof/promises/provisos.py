"""What a promise takes for granted: in words, so that each verdict's sentence carries it.

Rules of this file:
1. A judge that passes over a case has a proviso that says so; what is passed over unsaid would be claimed too boldly.
2. A proviso is said only where it can be otherwise: a zone that nobody can bypass is never "not bypassed".
3. Who or what can make a proviso untrue is told in `undoing.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

from zonewright.behaviour.effects import may_be_bypassed
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.words.telling import listed

SCOPE = (
    "the power on, the line up, the radio clear, sensors settled, no installer at work, chimes on and no silent exit"
)


class Proviso(Enum):
    """One thing that must be so; the value is its words, after "if"."""

    HEARD = "the panel hears it"
    SHUT = "it was shut before"
    ON = "it was on before"
    IN_USE = "it isn't bypassed"
    ALARMS_LEFT = "it isn't shut out after its last alarm"
    QUIET = "all else is quiet"
    NOTHING_WAITS = "no message was waiting before"
    ALONE = "nothing else happens meanwhile"
    NOT_AGAIN = "it isn't opened again and nobody arms meanwhile"
    NOBODY_ARMS = "nobody arms or leaves meanwhile"
    NOT_TOLD = "it wasn't told before, and isn't over before that"
    NOT_DISARMED = "nobody disarms meanwhile"


Provisos = tuple[Proviso, ...]


def counted(setup: Setup, zone: ZoneSetup) -> bool:
    """Return whether a zone's alarms are counted, and shut it out in the end."""
    return zone.behaviour.swinger and setup.settings.swinger_limit > 0


def in_earnest(setup: Setup, zone: ZoneSetup, *others: Proviso) -> Provisos:
    """Return what must be so for an opening of a zone to count, and `others`, in the order in which they are said."""
    needed = {Proviso.HEARD, Proviso.SHUT, *others}
    if may_be_bypassed(zone):
        needed.add(Proviso.IN_USE)
    if counted(setup, zone):
        needed.add(Proviso.ALARMS_LEFT)
    return in_order(needed)


def in_order(provisos: Iterable[Proviso]) -> Provisos:
    """Return provisos, each once, in the order in which they are said."""
    some = set(provisos)
    return tuple(each for each in Proviso if each in some)


def with_provisos(says: str, provisos: Provisos) -> str:
    """Return what is promised with all that it takes for granted."""
    return f"{says}; if {listed([each.value for each in provisos])}" if provisos else says

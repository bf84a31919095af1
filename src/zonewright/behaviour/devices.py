"""What can be wrong with the devices of a site: which have a cover that is watched, which a cell of their own.

Rules of this file:
1. A wired loop has no cell, and shows an opened cover only where it ends in two or three resistors (common practice, no
   source). What is carried about has no cover; what is screwed to a wall (`fixed: yes`) has one.
"""

from __future__ import annotations

from zonewright.behaviour.setup import Setup
from zonewright.panel.resolve import Resolved
from zonewright.site.record import DeviceName, ZoneNumber

TELL_A_COVER = ("double", "triple")


def has_cover(resolved: Resolved, zone: ZoneNumber) -> bool:
    """Return whether a zone's cover, or its loop, is watched."""
    name = resolved.zones[zone].device
    loop = resolved.site.loops.get(name)
    if loop is not None:
        return loop.resistor in TELL_A_COVER
    device = resolved.site.devices[DeviceName(name)]
    kind = resolved.profile.kinds.get(device.kind)
    return kind is None or not kind.worn or device.fixed


def covered(resolved: Resolved) -> frozenset[ZoneNumber]:
    """Return the zones whose cover is watched."""
    return frozenset(ZoneNumber(zone) for zone in resolved.zones if has_cover(resolved, ZoneNumber(zone)))


def with_cells(setup: Setup) -> frozenset[ZoneNumber]:
    """Return the zones whose device has a cell that can run low."""
    return frozenset(zone.number for zone in setup.zones if zone.radio)

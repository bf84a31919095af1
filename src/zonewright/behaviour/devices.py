"""What can be wrong with the devices of a site: whose cover is watched, and which run on a cell of their own.

Rules of this file:
1. A wired loop has no cell, and shows an opened cover only if it ends in two or three resistors; with one, a short of
   its wire is still noticed as tamper (common practice, no source).
2. A device that is carried about has no watched cover; one that is screwed to a wall (`fixed: yes`) has.
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


def tells_tamper(resolved: Resolved, zone: ZoneNumber) -> bool:
    """Return whether the panel can notice any tamper of a zone: its cover, or the wire of its loop (`wires.py`)."""
    loop = resolved.site.loops.get(resolved.zones[zone].device)
    return has_cover(resolved, zone) if loop is None else loop.resistor != "none"


def covered(resolved: Resolved) -> frozenset[ZoneNumber]:
    """Return the zones of which the panel can notice a tamper."""
    return frozenset(ZoneNumber(zone) for zone in resolved.zones if tells_tamper(resolved, ZoneNumber(zone)))


def without_cover(resolved: Resolved) -> frozenset[ZoneNumber]:
    """Return the zones of which the panel can't notice any tamper."""
    return frozenset(map(ZoneNumber, resolved.zones)) - covered(resolved)


def is_wired(resolved: Resolved, zone: ZoneNumber) -> bool:
    """Return whether a zone is a loop: it has no cell and no radio."""
    return resolved.zones[zone].device in resolved.site.loops


def with_cells(setup: Setup) -> frozenset[ZoneNumber]:
    """Return the zones whose device has a cell that can run low."""
    return frozenset(zone.number for zone in setup.zones if zone.radio)

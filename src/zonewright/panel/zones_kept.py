"""Which zones of a site belong to the same devices and loops as zones of an older one, whatever they are called now."""

from __future__ import annotations

from collections.abc import Mapping

from zonewright.panel.resolve import Resolved
from zonewright.site.kept import devices_kept, loops_kept


def zones_kept(old: Resolved, new: Resolved) -> Mapping[int, int]:
    """Return, for each older zone that still exists, the zone of the same device and input, or of the same loop."""
    devices, loops = devices_kept(old.site, new.site), loops_kept(old.site, new.site)
    now = {str(name): str(other) for name, other in (*devices.items(), *loops.items())}
    zones = {(zone.device, zone.input): number for number, zone in new.zones.items()}
    return {
        number: zones[now[zone.device], zone.input]
        for number, zone in old.zones.items()
        if zone.device in now and (now[zone.device], zone.input) in zones
    }

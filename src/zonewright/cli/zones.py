"""Zones as people name them on the command line."""

from __future__ import annotations

from zonewright.findings import BadInput, Finding, Severity, nearest
from zonewright.panel.resolve import Resolved
from zonewright.site.record import ZoneNumber


def zones_meant(resolved: Resolved, word: str) -> list[ZoneNumber]:
    """Return the zones that a number, a device's name or a label means; raises `BadInput` if there is none."""
    if word.isascii() and word.isdigit() and int(word) in resolved.zones:
        return [ZoneNumber(int(word))]
    found = list(resolved.called(word))
    if found:
        return found
    names = [origin.device for origin in resolved.zones.values()]
    near = nearest(word, names)
    raise BadInput(
        [
            Finding(
                "USE-02",
                Severity.PROBLEM,
                f'zone "{word}"',
                "the site has no such zone, device or label",
                allowed=", ".join(dict.fromkeys(names)),
                nearest=near[0] if near else None,
                fix="write a zone's number or its device's name",
            )
        ]
    )

"""Zones as people name them."""

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
    raise BadInput(
        [
            Finding(
                "USE-02",
                Severity.PROBLEM,
                f'zone "{word}"',
                "the site has no such zone, device or label",
                allowed=", ".join(dict.fromkeys(names)),
                nearest=", ".join(_likely(resolved, word)) or None,
                fix="write a zone's number or its device's name",
            )
        ]
    )


def zone_meant(resolved: Resolved, word: str) -> ZoneNumber:
    """Return the one zone that is meant; raises `BadInput` if there is none, or more than one."""
    found = zones_meant(resolved, word)
    if len(found) > 1:
        says = f"it may mean the zones {', '.join(map(str, found))}, and a guide is for one"
        fix = "name the device with its input, or the zone's number"
        raise BadInput([Finding("USE-02", Severity.PROBLEM, f'zone "{word}"', says, fix=fix)])
    return found[0]


def _likely(resolved: Resolved, word: str) -> list[str]:
    """Return the device that was likeliest meant; else those with a word in their name that may have been."""
    names = {origin.device: origin.device for origin in resolved.zones.values()}
    labels = {
        str(resolved.programme.fields("zone", number)["label"]): origin.device
        for number, origin in resolved.zones.items()
        if "label" in resolved.programme.fields("zone", number)
    }
    whole = labels | names
    near = nearest(word, whole)
    if near:
        return [whole[near[0]]]
    parts = nearest(word, {part for name in names for part in name.split("-")})
    return [name for name in names if parts and parts[0] in name.split("-")]

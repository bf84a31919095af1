"""What is dangerous about a change, beyond what the panel does: numbers and codes handed on, hazards not watched."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.checks.devices import NEEDS
from zonewright.checks.passed_on import passed_on
from zonewright.panel.resolve import Resolved
from zonewright.panel.resolve_zones import ZoneOrigin
from zonewright.site.model import Loop
from zonewright.site.record import DeviceName

HAZARDS = tuple(sense for sense in NEEDS if sense not in ("hold-up", "medical"))  # what a detector watches by itself


def beware(old: Resolved, new: Resolved) -> tuple[str, ...]:
    """Return what somebody must know of a change before it is keyed, each as a sentence."""
    return (*passed_on(old, new), *_no_longer_watched(old, new), *_no_more_help(old, new))


def _no_longer_watched(old: Resolved, new: Resolved) -> Iterator[str]:
    before, now = _watched(old), _watched(new)
    for sense, room in sorted(before - now):
        left = sorted(room for each, room in now if each == sense)
        where = f" in the {room}" if room else ""
        rooms = ", ".join(filter(None, left))
        still = f"it is still watched in the {rooms}" if rooms else "it is watched nowhere else"
        yield f"Nothing watches for {sense}{where} any more; {still}."


def _no_more_help(old: Resolved, new: Resolved) -> Iterator[str]:
    for room in sorted(_calling(old) - _calling(new)):
        yield f"Nobody can call for help{f' in the {room}' if room else ''} any more."


def _calling(site: Resolved) -> set[str]:
    """Return the rooms where a push calls for help."""
    found: set[str] = set()
    for number, origin in site.zones.items():
        behaviour = site.profile.behaviours.get(site.programme.fields("zone", number).get("behaviour", ""))
        if behaviour is not None and behaviour.calls_at_once and not behaviour.protects_life:
            found |= {room for _, room in _hanging(site, origin)}
    return found


def _watched(site: Resolved) -> set[tuple[str, str]]:
    """Return each hazard that a detector watches, with the room where it hangs."""
    hanging = [each for origin in site.zones.values() for each in _hanging(site, origin)]
    return {(sense, room) for name, room in hanging if (sense := site.senses(name)) in HAZARDS}


def _hanging(site: Resolved, zone: ZoneOrigin) -> Iterator[tuple[DeviceName, str]]:
    """Give the devices of a zone, or of its loop, each with the room where it hangs, or nothing."""
    names = zone.fields.devices if isinstance(zone.fields, Loop) else (DeviceName(zone.device),)
    for name in names:
        device = site.site.devices.get(name)
        if device is not None:
            yield name, device.at.room if device.at is not None else ""

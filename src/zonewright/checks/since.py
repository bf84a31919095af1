"""What is dangerous about a change, beyond what the panel does: numbers and codes handed on, hazards not watched."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.telling import listed
from zonewright.checks.devices import NEEDS
from zonewright.panel.held_before import handed_on
from zonewright.panel.resolve import Resolved
from zonewright.site.model import Loop

HAZARDS = tuple(sense for sense in NEEDS if sense not in ("hold-up", "medical"))  # what a detector watches by itself


def beware(old: Resolved, new: Resolved) -> tuple[str, ...]:
    """Return what somebody must know of a change before it is keyed, each as a sentence."""
    return (*_used_again(old, new), *_handed_on(old, new), *_no_longer_watched(old, new))


def _used_again(old: Resolved, new: Resolved) -> Iterator[str]:
    for number in sorted(old.zones.keys() & new.zones.keys()):
        before, now = old.zones[number], new.zones[number]
        if before.device == now.device and before.input == now.input:
            continue
        yield (
            f"Zone {number} was {before.device} and is now {now.device}: the number is used again, and the sheet keys "
            "over it. Tell the station, whose list still has the old name, and take the old device down."
        )


def _handed_on(old: Resolved, new: Resolved) -> Iterator[str]:
    slots = handed_on(old, new)
    for slot in slots:
        yield (
            f"Person {slot} was {old.users[slot]} and is now {new.users[slot]}, who keys a code of their own: the old "
            "one then opens nothing. Tell the station, whose list still has the old name."
        )
    before = {name: slot for slot, name in old.users.items()}
    moved = [f"slot: {before[new.users[slot]]} for {new.users[slot]}" for slot in slots if new.users[slot] in before]
    if moved:
        yield (
            "People have changed places, so each of them keys a new code. "
            f"To let them keep theirs, write {listed(moved)}."
        )


def _no_longer_watched(old: Resolved, new: Resolved) -> Iterator[str]:
    before, now = _watched(old), _watched(new)
    for sense, room in sorted(before - now):
        left = sorted(room for each, room in now if each == sense)
        where = f" in the {room}" if room else ""
        rooms = ", ".join(filter(None, left))
        still = f"it is still watched in the {rooms}" if rooms else "it is watched nowhere else"
        yield f"Nothing watches for {sense}{where} any more; {still}."


def _watched(site: Resolved) -> set[tuple[str, str]]:
    """Return each hazard that a detector watches, with the room where it hangs."""
    found: set[tuple[str, str]] = set()
    for origin in site.zones.values():
        names = origin.fields.devices if isinstance(origin.fields, Loop) else (origin.device,)
        for name in names:
            sense, device = site.senses(name), site.site.devices.get(name)  # type: ignore[call-overload]
            if sense in HAZARDS and device is not None:
                found.add((sense, device.at.room if device.at is not None else ""))
    return found

"""What is still there from an older site file in a newer one, whatever it is called now.

Rules of this file:
1. A thing with a transmitter number is recognized by that number, never by its name.
2. A thing without one is recognized by its name; under a new name, by what it is, where it hangs and what it guards.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from zonewright.site.model import Device, Loop, Remote, Site, TransmitterNumber
from zonewright.site.record import DeviceName

Name = TypeVar("Name", bound=str)
Thing = TypeVar("Thing", Device, Remote)


def devices_kept(old: Site, new: Site) -> dict[DeviceName, DeviceName]:
    """Return each device that is still there, with its name now."""
    return _kept(old.devices, new.devices)


def remotes_kept(old: Site, new: Site) -> dict[str, str]:
    """Return each remote that is still there, with its name now."""
    return _kept(old.remotes, new.remotes)


def loops_kept(old: Site, new: Site) -> dict[str, str]:
    """Return each loop that is still there, with its name now; under a new name it is recognized by its devices."""
    devices = devices_kept(old, new)

    def now_of(name: str, loop: Loop) -> str | None:
        if name in new.loops:
            return name
        still = {devices.get(each) for each in loop.devices}
        return next((n for n, other in new.loops.items() if n not in old.loops and still & {*other.devices}), None)

    return {name: now for name, loop in old.loops.items() if (now := now_of(name, loop)) is not None}


@dataclass(frozen=True, slots=True)
class LoopChange:
    """A loop whose devices changed, by their names then and now."""

    loop: str  # its name now
    on: tuple[DeviceName, ...]
    off: tuple[DeviceName, ...]


def loop_changes(old: Site, new: Site) -> Iterator[LoopChange]:
    """Give each loop of both files on which devices were added, removed, or replaced by another kind."""
    kept = devices_kept(old, new)
    alike = {now for before, now in kept.items() if old.devices[before].kind == new.devices[now].kind}
    for before, name in loops_kept(old, new).items():
        was, now = old.loops[before].devices, new.loops[name].devices
        on = tuple(each for each in now if each not in alike & {kept.get(other) for other in was})
        off = tuple(each for each in was if kept.get(each) not in now)
        if on or off:
            yield LoopChange(name, on, off)


def _kept(old: Mapping[Name, Thing], new: Mapping[Name, Thing]) -> dict[Name, Name]:
    by_digits = {digits: name for name, thing in new.items() for digits in _digits(thing.number)}
    unknown = [name for name, thing in new.items() if thing.number is None and name not in old]
    found: dict[Name, Name] = {}
    for name, thing in old.items():
        numbers = [by_digits[digits] for digits in _digits(thing.number) if digits in by_digits]
        if numbers:
            found[name] = numbers[0]
        elif name in new and None in (thing.number, new[name].number):
            found[name] = name
        elif thing.number is None:
            alike = next((each for each in unknown if any(_looks(thing)) and _looks(new[each]) == _looks(thing)), None)
            if alike is not None:
                unknown.remove(alike)
                found[name] = alike
    return found


def _digits(number: TransmitterNumber | None) -> Iterator[str]:
    if number is not None:
        yield from (re.sub(r"\W", "", text) for text in (number.printed, number.learnt) if text is not None)


def _looks(thing: Device | Remote) -> tuple[object, ...]:
    """Return where a thing hangs, what it guards, and what it is."""
    return (thing.at, thing.guards, thing.kind) if isinstance(thing, Device) else (thing.carried_by, thing.area)

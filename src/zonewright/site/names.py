"""What can be named in a site file: zones by their device, loop, input or label.

Rules of this file:
1. A name may mean several zones (two with the same label); whoever needs one must say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal, get_args

from zonewright.findings import Path
from zonewright.site.model import DeviceZone, InputZone, Site

TroubleWord = Literal["cover off", "battery low", "missing"]


@dataclass(frozen=True, slots=True)
class NamedCause:
    """What trips: a device, one input of it, or a wired loop; exactly one of `device` and `loop` is given.

    In a must statement it may be a trouble of one of them, or a person and nothing else.
    """

    device: str | None = None
    input: str | None = None
    loop: str | None = None
    trouble: TroubleWord | None = None
    person: str | None = None

    def __str__(self) -> str:
        parts = (self.device, self.input, self.loop, self.person, self.trouble)
        return " ".join(part for part in parts if part is not None)

    def meets(self, other: NamedCause) -> bool:
        """Return whether both mean some same zone: a device without an input means all its inputs."""
        inputs = {self.input, other.input}
        same = (self.device, self.loop, self.person) == (other.device, other.loop, other.person)
        return same and self.trouble == other.trouble and (len(inputs) == 1 or None in inputs)


@dataclass(frozen=True, slots=True)
class WrittenZone:
    """One zone of the file with its owner and its place in the file."""

    cause: NamedCause
    path: Path
    zone: DeviceZone | InputZone

    @property
    def number_path(self) -> Path:
        """Return the path of its number, which a device's only zone calls `number` and any other `zone`."""
        return (*self.path, "number" if isinstance(self.zone, DeviceZone) else "zone")

    @property
    def thing(self) -> str:
        """Return its name in words: "zone side gate"."""
        return f"zone {self.zone.called}"


def written_zones(site: Site) -> Iterator[WrittenZone]:
    """Return every zone of the file: those of devices, then those of loops, each in file order."""
    for owner, device in site.devices.items():
        if device.zone is not None:
            yield WrittenZone(NamedCause(device=owner), ("devices", owner, "zone"), device.zone)
        for name, zone in device.inputs.items():
            yield WrittenZone(NamedCause(device=owner, input=name), ("devices", owner, "inputs", name), zone)
    for loop_name, loop in site.loops.items():
        yield WrittenZone(NamedCause(loop=loop_name), ("loops", loop_name), loop)


def causes(site: Site) -> Mapping[str, tuple[NamedCause, ...]]:
    """Return every name of something that trips, with all that it may mean.

    The names are those of devices and loops, `device input` if a device has several, and labels. A device on a loop
    means the loop, since nobody can know which of its devices it was.
    """
    named: dict[str, list[NamedCause]] = {}

    def name(word: str, cause: NamedCause) -> None:
        meanings = named.setdefault(word, [])
        if cause not in meanings:
            meanings.append(cause)

    looped = {device: loop_name for loop_name, loop in site.loops.items() for device in loop.devices}
    for device_name, device in site.devices.items():
        on_a_loop = device_name in looped and device.zone is None and not device.inputs
        name(device_name, NamedCause(loop=looped[device_name]) if on_a_loop else NamedCause(device=device_name))
    for written in written_zones(site):
        name(str(written.cause), written.cause)
        name(written.zone.called, written.cause)
    return {word: tuple(meanings) for word, meanings in named.items()}


def causes_of_musts(site: Site) -> Mapping[str, tuple[NamedCause, ...]]:
    """Return every name of a cause in a must statement: also a trouble of a device, and a person.

    Things that trip come first: a person with the same name as a device has no name here.
    """
    named = dict(causes(site))
    for word, meanings in causes(site).items():
        for trouble in get_args(TroubleWord):
            named.setdefault(f"{word} {trouble}", tuple(replace(each, trouble=trouble) for each in meanings))
    for person in site.people:
        named.setdefault(person, (NamedCause(person=person),))
    return named

"""What a person does at a device or a keypad, and what a panel makes of it as it is programmed.

A device is a thing in the house: a radio number and an input, or a pair of terminals. Which zones hear it is for the
Programme that the panel holds, and that may have slips; so an act names the zone that was planned for the device.

Rules of this file:
1. A radio device is heard by every zone that holds its number and input; a wired loop by the zone at whose terminals it
   ends, if that zone is programmed as wired. Otherwise nobody hears it.
2. A loop whose resistors are programmed otherwise than they are built stands in trouble from the start (common
   practice, no source: the panel reads another resistance than it expects).
3. A person arms and disarms only what the Programme lets their slot; the panel model itself knows no rights.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import Enum

from zonewright.behaviour.clockwork import Clockwork, Entry
from zonewright.behaviour.events import (
    Arm,
    Disarm,
    Event,
    Means,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, setup_of
from zonewright.panel.behaviours import Mode
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Programme, item_of
from zonewright.site.record import ZoneNumber

Transmitter = tuple[str, str]  # the number that it sends, and its input; "" for the first one


class What(Enum):
    """What is done to a device."""

    OPEN = "open"
    CLOSE = "close"
    TRIP = "trip"  # open and close at once
    COVER_OFF = "cover off"
    COVER_ON = "cover on"


@dataclass(frozen=True, slots=True)
class Handle:
    """Something done to the device that was planned as this zone."""

    what: What
    zone: ZoneNumber


@dataclass(frozen=True, slots=True)
class Set:
    """An area is set to a mode, DISARMED included, by somebody's slot."""

    area: AreaNumber
    mode: Mode
    user: UserNumber
    means: Means = Means.KEYPAD


Act = Handle | Set


@dataclass(frozen=True)
class Panel:
    """A panel that holds a Programme, in a house where the devices are those of the plan."""

    profile: Profile
    planned: Programme
    held: Programme
    setup: Setup = field(init=False)
    _hears: dict[Transmitter, tuple[ZoneNumber, ...]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "setup", setup_of(self.held, self.profile))
        hears: dict[Transmitter, list[ZoneNumber]] = {}
        for zone in self.setup.zones:
            sender = transmitter(self.profile, self.held, zone.number)
            if sender is not None:
                hears.setdefault(sender, []).append(zone.number)
        object.__setattr__(self, "_hears", {sender: tuple(zones) for sender, zones in hears.items()})

    def hearing(self, zone: ZoneNumber) -> tuple[ZoneNumber, ...]:
        """Return the zones that hear the device planned as `zone`."""
        sender = transmitter(self.profile, self.planned, zone)
        if sender is not None:
            return self._hears.get(sender, ())
        wired = self.setup.zone(zone) is not None and transmitter(self.profile, self.held, zone) is None
        return (zone,) if wired else ()

    def events(self, act: Act) -> Iterator[Event]:
        """Give what the panel notices of an act; nothing if nobody hears it or it isn't allowed."""
        if isinstance(act, Set):
            if self.allows(act):
                yield (
                    Disarm(act.area, act.user)
                    if act.mode is Mode.DISARMED
                    else Arm(act.area, act.mode, act.user, act.means)
                )
            return
        for number in self.hearing(act.zone):
            match act.what:
                case What.OPEN:
                    yield ZoneOpens(number)
                case What.CLOSE:
                    yield ZoneCloses(number)
                case What.TRIP:
                    yield ZoneTrips(number)
                case What.COVER_OFF:
                    yield TroubleBegins(number, Trouble.TAMPER)
                case What.COVER_ON:
                    yield TroubleEnds(number, Trouble.TAMPER)

    def allows(self, act: Set) -> bool:
        """Return whether the panel has the area, and the slot may set it (a panel without people asks nobody)."""
        if act.area not in self.setup.areas:
            return False
        if not any(item.startswith("user/") for item in self.planned):
            return True
        may = self.held.get(item_of("user", act.user, "areas"))
        return may is not None and str(act.area) in may.split("+")

    def standing(self) -> Iterator[Event]:
        """Give what stands from the start since a loop's resistors aren't those that the panel expects."""
        for zone in self.setup.zones:
            planned, held = (each.fields("zone", zone.number) for each in (self.planned, self.held))
            if planned.get("resistor") != held.get("resistor") and zone.number in self.hearing(zone.number):
                yield TroubleBegins(zone.number, Trouble.TAMPER)


def transmitter(profile: Profile, programme: Programme, zone: ZoneNumber) -> Transmitter | None:
    """Return the number and the input that a zone is programmed for; None for one at its own terminals."""
    held = programme.fields("zone", zone)
    kind = profile.kinds.get(held.get("kind", ""))
    number = held.get("number", "")
    if not number.isdigit() or (kind is not None and kind.link == "wired"):
        return None
    inputs = kind.inputs if kind is not None else ()
    name = held.get("input", "")
    return number, name if name in inputs[1:] else ""


def perform(clockwork: Clockwork, panel: Panel, acts: Iterable[tuple[int, Act]], until: int) -> list[Entry]:
    """Do these acts, each so many seconds after the clockwork's present moment, and let time pass up to `until` [s]."""
    start = clockwork.now
    entries: list[Entry] = []
    for after, act in acts:
        entries += clockwork.advance(start + after)
        entries += [clockwork.give(event) for event in panel.events(act)]
    return entries + clockwork.advance(start + until)

"""What a rule sees: a resolved site, the panel model's view of it, and the place of everything.

Rules of this file:
1. A rule tells a doubt about one thing, by the name that the site file gives it, so that the doubt can be accepted.
2. What the panel would do is asked of the model (`opened`, `armed_then`), never concluded from a behaviour's name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from zonewright.behaviour.events import Event, Output, Siren
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup, setup_of
from zonewright.findings import Place
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.panel.profile import Kind
from zonewright.panel.programme import Item, Value, item_of, setting_item
from zonewright.panel.resolve import Resolved
from zonewright.panel.resolve_zones import ZoneOrigin
from zonewright.site.model import Device, Loop
from zonewright.site.plan import Plan
from zonewright.site.record import DeviceName
from zonewright.words.matrix import Cause, Matrix, at_rest, at_rest_in, matrix, outcome_of


@dataclass(frozen=True, slots=True)
class Doubt:
    """One thing that a rule found; `subject` is the name that an acceptance refers to."""

    subject: str
    thing: str
    says: str
    place: Place | None = None
    fix: str = ""


@dataclass(frozen=True, slots=True)
class JobZone:
    """One zone as written, as held and as the model reads it."""

    setup: ZoneSetup
    held: Mapping[str, Value]
    origin: ZoneOrigin
    kind: Kind
    senses: frozenset[str]  # what its device senses, or any device on its loop; empty where that isn't known
    places: Mapping[Item, Place]
    devices: tuple[tuple[DeviceName, Device], ...]  # its device, or those on its loop

    @property
    def carried(self) -> bool:
        """Return whether its device is carried about, so that its range can't be watched."""
        return self.kind.worn and not any(device.fixed for _, device in self.devices)

    @property
    def thing(self) -> str:
        """Return what a finding calls it."""
        return f"zone {self.setup.number} {self.setup.label}"

    def place(self, field: str) -> Place | None:
        """Return where one of its fields comes from in the site file."""
        return self.places.get(item_of("zone", self.setup.number, field))

    def doubt(self, field: str, says: str, fix: str = "") -> Doubt:
        """Tell a doubt about one of its fields."""
        return Doubt(self.origin.device, self.thing, says, self.place(field), fix)


class Design:
    """One design, ready to be judged."""

    def __init__(self, resolved: Resolved, setup: Setup | None = None, plan: Plan | None = None) -> None:
        self.plan = plan  # of the site, where it names one
        self.resolved = resolved
        self.site = resolved.site
        self.profile = resolved.profile
        self.programme = resolved.programme
        self.setup = setup if setup is not None else setup_of(resolved.programme, resolved.profile)

    def doubt_of_device(self, zone: JobZone, name: str, field: str, says: str) -> Doubt:
        """Tell a doubt about what stands in the site file alone of a zone's device, such as the day it was fitted."""
        return Doubt(zone.origin.device, zone.thing, says, self.resolved.written["devices", name, field])

    @cached_property
    def zones(self) -> tuple[JobZone, ...]:
        """Return every zone, by number."""
        zones = []
        for zone in self.setup.zones:
            held = self.programme.fields("zone", zone.number)
            origin = self.resolved.zones[zone.number]
            kind = self._kind(held, origin)
            devices = self._devices(origin)
            on_loop = devices if isinstance(origin.fields, Loop) else ()
            senses = frozenset(self.resolved.senses(name) for name, _ in on_loop) or frozenset({kind.senses})
            zones.append(JobZone(zone, held, origin, kind, senses - {""}, self.resolved.places, devices))
        return tuple(zones)

    def _devices(self, origin: ZoneOrigin) -> tuple[tuple[DeviceName, Device], ...]:
        fields = origin.fields
        names = fields.devices if isinstance(fields, Loop) else (DeviceName(origin.device),)
        return tuple((name, self.site.devices[name]) for name in names if name in self.site.devices)

    def _kind(self, held: Mapping[str, Value], origin: ZoneOrigin) -> Kind:
        """Return what the panel says of a zone's kind; a wired loop senses what the devices on it sense."""
        kind = self.profile.kinds.get(held.get("kind", ""), Kind())
        if not isinstance(origin.fields, Loop) or not origin.fields.devices:
            return kind
        senses = {self.resolved.senses(device) for device in origin.fields.devices}
        return kind.model_copy(update={"senses": senses.pop() if len(senses) == 1 else ""})

    def zone_of(self, name: str) -> tuple[JobZone, ...]:
        """Return the zones that a route means by a device's name or a label."""
        called = self.resolved.called(name)
        return tuple(zone for zone in self.zones if zone.setup.number in called)

    def area_name(self, number: int) -> str:
        """Return what the site calls an area."""
        return next((name for name, each in self.resolved.areas.items() if each == number), str(number))

    def setting(self, name: str, says: str, fix: str = "") -> Doubt:
        """Tell a doubt about a setting, by the name that a site file uses."""
        places = self.resolved.places
        place = places.get(setting_item(name)) or places.get(Item(f"station/{name}"))
        return Doubt(name, f"setting {name}", says, place, fix)

    def whole(self, subject: str, says: str, fix: str = "") -> Doubt:
        """Tell a doubt about the site as a whole."""
        return Doubt(subject, subject, says, None, fix)

    def armed_then(self, mode: Mode, areas: frozenset[AreaNumber], *events: tuple[int, Event]) -> list[Output]:
        """Return what the panel does from `events` on, given seconds after these areas were set and all was quiet."""
        clockwork = at_rest(self.setup, areas, mode)
        start, outputs = clockwork.now, list[Output]()
        for at, event in events:
            outputs += [output for entry in clockwork.advance(start + at) for output in entry.outputs]
            outputs += clockwork.give(event).outputs
        return outputs + [output for entry in clockwork.rest() for output in entry.outputs]

    @cached_property
    def openings(self) -> Matrix:
        """Return what follows from each zone's opening in each mode."""
        return matrix(self.setup, (Cause.OPENS,))

    def opened(self, zone: JobZone, mode: Mode) -> tuple[tuple[int, Output], ...]:
        """Return what a zone's opening leads to with its areas in a mode: seconds after it, and what the panel does."""
        return self.openings.cell(zone.setup.number, mode, Cause.OPENS).outcome

    @cached_property
    def everything(self) -> Matrix:
        """Return what follows from each zone's opening and from each of its troubles, in each mode."""
        return matrix(self.setup, tuple(Cause))

    def comes_of(self, zone: JobZone, modes: Mapping[AreaNumber, Mode], cause: Cause) -> tuple[tuple[int, Output], ...]:
        """Return what follows from one thing that happens to a zone with its areas in these modes."""
        if len({*modes.values()}) > 1:
            return outcome_of(at_rest_in(self.setup, modes), zone.setup, cause)
        found = self.openings if cause is Cause.OPENS else self.everything
        return found.cell(zone.setup.number, next(iter(modes.values())), cause).outcome

    def sounds(self, zone: JobZone, mode: Mode) -> bool:
        """Return whether a zone's opening in a mode sounds the burglary siren, if only inside, at once or late."""
        burglary = (Pattern.BURGLARY, Pattern.INSIDE)
        return any(isinstance(each, Siren) and each.pattern in burglary for _, each in self.opened(zone, mode))

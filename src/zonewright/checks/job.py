"""What a rule sees: a resolved site, the panel model's view of it, and the place of everything.

Rules of this file:
1. A rule tells a doubt about one thing, by the name that the site file gives it, so that the doubt can be accepted.
2. What the panel would do is asked of the model (`tripped`, `armed_then`), never concluded from a behaviour's name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, Event, Output, Siren, ZoneCloses, ZoneOpens, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup, setup_of
from zonewright.findings import Place
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.panel.profile import Kind
from zonewright.panel.programme import Item, Value, item_of
from zonewright.panel.resolve import Resolved, ZoneOrigin


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
    places: Mapping[Item, Place]

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


class Job:
    """One design, ready to be judged."""

    def __init__(self, resolved: Resolved) -> None:
        self.resolved = resolved
        self.site = resolved.site
        self.profile = resolved.profile
        self.programme = resolved.programme
        self.setup: Setup = setup_of(resolved.programme, resolved.profile)
        self._armed: dict[tuple[Mode, frozenset[AreaNumber]], Clockwork] = {}
        self._tripped: dict[tuple[int, Mode], list[Output]] = {}

    @cached_property
    def zones(self) -> tuple[JobZone, ...]:
        """Return every zone, by number."""
        zones = []
        for zone in self.setup.zones:
            held = self.programme.fields("zone", zone.number)
            kind = self.profile.kinds.get(held.get("kind", ""), Kind())
            origin = self.resolved.zones[zone.number]
            zones.append(JobZone(zone, held, origin, kind, self.resolved.places))
        return tuple(zones)

    def zone_of(self, name: str) -> tuple[JobZone, ...]:
        """Return the zones that a route or a statement means by a device's name or a label."""
        return tuple(zone for zone in self.zones if name in (zone.origin.device, zone.held.get("label")))

    def area_name(self, number: int) -> str:
        """Return what the site calls an area."""
        return next((name for name, each in self.resolved.areas.items() if each == number), str(number))

    def setting(self, name: str, says: str, fix: str = "") -> Doubt:
        """Tell a doubt about a setting, by the name that a site file uses."""
        item = Item(f"setting/{name.replace(' ', '-')}")
        return Doubt(name, f"setting {name}", says, self.resolved.places.get(item), fix)

    def whole(self, subject: str, says: str, fix: str = "") -> Doubt:
        """Tell a doubt about the site as a whole."""
        return Doubt(subject, subject, says, None, fix)

    def armed_then(self, mode: Mode, areas: frozenset[AreaNumber], *events: tuple[int, Event]) -> list[Output]:
        """Return what the panel does from `events` on, given seconds after these areas were armed and all was quiet.

        Whoever arms opens and shuts an exit door on the way out, if the area has one.
        """
        clockwork = self._quiet(mode, areas).copy()
        start, outputs = clockwork.now, list[Output]()
        for at, event in events:
            outputs += [output for entry in clockwork.advance(start + at) for output in entry.outputs]
            outputs += clockwork.give(event).outputs
        return outputs + [output for entry in clockwork.rest() for output in entry.outputs]

    def tripped(self, zone: JobZone, mode: Mode) -> list[Output]:
        """Return what comes of tripping a zone with its areas in a mode."""
        key = (zone.setup.number, mode)
        if key not in self._tripped:
            self._tripped[key] = self.armed_then(mode, zone.setup.areas, (0, ZoneTrips(zone.setup.number)))
        return self._tripped[key]

    def sounds(self, zone: JobZone, mode: Mode) -> bool:
        """Return whether tripping a zone in a mode sounds the burglary siren, at once or after its delay."""
        return any(isinstance(each, Siren) and each.pattern is Pattern.BURGLARY for each in self.tripped(zone, mode))

    def _quiet(self, mode: Mode, areas: frozenset[AreaNumber]) -> Clockwork:
        """Return a panel with these areas set, at rest."""
        key = (mode, areas)
        if key not in self._armed:
            clockwork = Clockwork(self.setup)
            for area in sorted(areas) if mode is not Mode.DISARMED else ():
                clockwork.give(Arm(area, mode, UserNumber(1)))
                for door in self.setup.exit_doors(area)[:1]:
                    clockwork.give(ZoneOpens(door.number))
                    clockwork.give(ZoneCloses(door.number))
            clockwork.rest()
            self._armed[key] = clockwork
        return self._armed[key]

"""Site + profile -> Programme: what this panel will hold if the site file is keyed into it.

Rules of this file:
1. What the panel can't do is refused, with the lines of the site and the profile, never silently left out (`held.py`).
2. A default is applied in these files and nowhere else, and only if the site said nothing.
3. Zones, people and remotes have files of their own; areas, settings and the station are here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from zonewright.findings import Finding, Path, Place, nearest
from zonewright.panel.held import ValuesSoFar, WantedField
from zonewright.panel.legal import settled
from zonewright.panel.profile import Answer, Profile
from zonewright.panel.programme import Item, Programme, Value
from zonewright.panel.resolve_people import remotes, users
from zonewright.panel.resolve_zones import ZoneOrigin, known_inputs_once, zone, zone_numbers
from zonewright.site.model import Loop, Site
from zonewright.site.names import causes
from zonewright.site.nodes import Places
from zonewright.site.plan import Plan
from zonewright.site.record import DeviceName, ZoneNumber, seconds
from zonewright.site.walks import walk_s

SECONDS_IN = {"s": 1, "min": 60, "h": 3600}


@dataclass(frozen=True, slots=True)
class Resolved:
    """A site as its panel will hold it; `findings` are all refusals, and then `programme` isn't to be used."""

    site: Site
    profile: Profile
    programme: Programme
    zones: Mapping[int, ZoneOrigin]
    users: Mapping[int, str]
    remotes: Mapping[int, str]
    areas: Mapping[str, int]
    places: Mapping[Item, Place]
    written: Places  # of everything in the site file
    findings: tuple[Finding, ...]
    plan: Plan | None = None  # the site's plan, if it can be used

    def walk_s(self, route: str) -> int | None:
        """Return how long the walk of a route takes [s]; None if it isn't known."""
        return walk_s(self.site, self.site.routes[route], self.plan)

    def called(self, name: str) -> tuple[ZoneNumber, ...]:
        """Return the zones that a name means: a device's, one input's, a loop's, or a label as written or as held."""
        meant = causes(self.site).get(name, ())
        return tuple(
            ZoneNumber(number)
            for number, origin in self.zones.items()
            if any(map(origin.is_meant_by, meant)) or name == self.programme.fields("zone", number).get("label")
        )

    def of_same_device(self, zone: ZoneNumber) -> tuple[ZoneNumber, ...]:
        """Return a zone and all others of its device: they share its cover, its cell and its radio."""
        device = self.zones[zone].device
        return tuple(ZoneNumber(number) for number, origin in self.zones.items() if origin.device == device)

    def on_one_device(self) -> tuple[tuple[ZoneNumber, ...], ...]:
        """Return the zones of each device that has several."""
        every = dict.fromkeys(self.of_same_device(ZoneNumber(number)) for number in self.zones)
        return tuple(zones for zones in every if len(zones) > 1)

    def users_of(self, area: str) -> tuple[int, ...]:
        """Return the slots of the people whose code arms and disarms an area, by number."""
        return tuple(slot for slot, name in self.users.items() if area in (self.site.people[name].may or self.areas))

    def senses(self, device: str) -> str:
        """Return what a device senses: as the panel says of its kind, or on a loop, the kind's own name."""
        kind = self.site.devices[DeviceName(device)].kind
        return self.profile.kinds[kind].senses if kind in self.profile.kinds else kind

    def zone_senses(self, zone: int) -> str:
        """Return what a zone's device senses; for a loop, what all its devices sense if that is the same, else ""."""
        origin = self.zones[zone]
        if isinstance(origin.fields, Loop) and origin.fields.devices:
            alike = {self.senses(device) for device in origin.fields.devices}
            return alike.pop() if len(alike) == 1 else ""
        kind = self.profile.kinds.get(self.programme.fields("zone", zone).get("kind", ""))
        return kind.senses if kind is not None else ""


def resolve(site: Site, places: Places, profile: Profile, profile_places: Places) -> Resolved:
    """Work out what a panel will hold; everything it can't do is a finding, all at once."""
    held = ValuesSoFar(site, places, profile, profile_places)
    areas = _area_numbers(held)
    _station(held)
    _settings(held)
    zones = zone_numbers(held)
    for origin in zones.values():
        zone(held, origin, areas, zones)
    people = users(held, areas)
    handsets = remotes(held, areas)
    known_inputs_once(held, zones)
    return Resolved(
        site,
        profile,
        Programme(profile.panel, settled(profile, held.values)),
        zones,
        people,
        handsets,
        areas,
        {item: places[path] for item, path in held.origins.items()},
        places,
        tuple(held.findings),
    )


def _area_numbers(held: ValuesSoFar) -> dict[str, int]:
    taken = {area.number for area in held.site.areas.values() if area.number is not None}
    numbers: dict[str, int] = {}
    for name, area in held.site.areas.items():
        free = (n for n in range(1, len(held.site.areas) + len(taken) + 1) if n not in taken)
        number = area.number if area.number is not None else next(free)
        taken.add(number)
        numbers[name] = number
        if not 1 <= number <= held.profile.limits.areas:
            held.refuse(
                "PAN-01",
                f"area {name}",
                f"it would be area {number}, and this panel has {held.profile.limits.areas}",
                ("areas", name),
                ("limits", "areas"),
                fix="put its zones into another area, or choose a panel with more",
            )
    return numbers


def _settings(held: ValuesSoFar) -> None:
    known = {
        item.words: Item(item)
        for item in held.profile.items
        if item.group in ("setting", "station") and item not in ("station/told", "station/account")
    }
    fixed = {item.words: value for item, value in held.profile.fixed.items()}
    for name, text in held.site.settings.items():
        path = ("settings", name)
        if name in known:
            answer = held.profile.answer_of(known[name])
            if answer is not None:
                _setting(held, known[name], name, text, answer, path)
        elif name in fixed:
            if text != fixed[name]:
                held.refuse(
                    "PAN-02",
                    f"setting {name}",
                    f"this panel has it fixed at {fixed[name]}",
                    path,
                    ("fixed", f"setting/{name.replace(' ', '-')}"),
                    wrote=text,
                    fix=f"leave it out, or write {fixed[name]}",
                )
        else:
            held.refuse(
                "PAN-03",
                f"setting {name}",
                "this panel has no such setting",
                path,
                ("items",),
                key=True,
                wrote=name,
                allowed=sorted(known),
                near=nearest(name, known),
                fix="take it out, or name one that the panel has",
            )


def _setting(held: ValuesSoFar, item: Item, name: str, text: str, answer: Answer, path: Path) -> None:
    value = text
    if answer.unit is not None:
        try:
            total = seconds(text)
        except ValueError as wrong:
            held.refuse("PAN-04", f"setting {name}", str(wrong), path, ("answers",), wrote=text)
            return
        whole, rest = divmod(total, SECONDS_IN[answer.unit])
        if rest:
            says = f"this panel counts it in whole {answer.unit}"
            held.refuse("PAN-04", f"setting {name}", says, path, ("items", item), wrote=text, fix="round it")
            return
        value = str(whole)
    held.put(item, f"setting {name}", WantedField(value, path, asked=True))


def _station(held: ValuesSoFar) -> None:
    told = held.site.station is not None
    lacking = held.lacks(Item("station/told"), "station", WantedField("yes", ("station",), asked=told))
    if told and not lacking and held.site.station is not None:
        account = WantedField(held.site.station.account, ("station", "account"), asked=True)
        held.lacks(Item("station/account"), "station account", account)
    if "station/told" not in held.profile.items:
        return
    held.put(Item("station/told"), "station", WantedField("yes" if told else "no", ("station",), asked=told))
    if held.site.station is not None:
        wanted = WantedField(held.site.station.account, ("station", "account"), asked=True)
        held.put(Item("station/account"), "station account", wanted)
        if "station/restores" in held.profile.items and "restores" not in held.site.settings:
            held.values[Item("station/restores")] = Value("yes")
    elif "restores" in held.site.settings and held.site.settings["restores"] != "no":
        says = "there is no station that could hear it"
        held.refuse("PAN-05", "setting restores", says, ("settings", "restores"), ("items", "station/restores"))

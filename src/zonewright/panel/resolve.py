"""Site + profile -> Programme: what this panel will hold if the site file is keyed into it.

Rules of this file:
1. What the panel can't do is refused here, with the site's line and the profile's: never silently left out.
2. A default is applied here and nowhere else, and only where the site said nothing.
3. Every item remembers the line of the site file it comes from, so that a finding can point there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from zonewright.findings import Finding, Place, Severity, nearest
from zonewright.panel.answers import nearest_words, refuses
from zonewright.panel.legal import as_shipped, beside, exists, settled
from zonewright.panel.numbers import UnreadableNumber, counted_digits
from zonewright.panel.profile import Answer, Kind, Profile, Style
from zonewright.panel.programme import Item, Programme, Value, item_of
from zonewright.site.model import Device, DeviceZone, InputZone, Loop, Report, Site, ZoneFields
from zonewright.site.names import Cause, written_zones
from zonewright.site.nodes import Path, Places
from zonewright.site.record import DeviceName, ZoneNumber, seconds

WIRED_LOOP = "wired loop"
SECONDS_IN = {"s": 1, "min": 60, "h": 3600}


@dataclass(frozen=True, slots=True)
class ZoneOrigin:
    """Where one zone of the Programme comes from in the site file."""

    number: ZoneNumber
    cause: Cause  # the device, with its input if it has several, or the loop
    path: Path  # of the zone's fields in the site file
    fields: DeviceZone | InputZone

    @property
    def device(self) -> str:
        """Return the device's or the loop's name."""
        return self.cause.device or self.cause.loop or ""

    @property
    def input(self) -> str | None:
        """Return the input of a device that has several."""
        return self.cause.input

    @property
    def given(self) -> bool:
        """Return whether the number was written, not "next free"."""
        return self.fields.number is not None

    def is_meant_by(self, cause: Cause) -> bool:
        """Return whether a statement about this cause is about the zone; a device alone means all of its inputs."""
        return self.device in (cause.device, cause.loop) and cause.input in (None, self.input)


@dataclass(frozen=True, slots=True)
class Resolved:
    """A site as its panel will hold it; `findings` are all refusals, and then `programme` isn't to be used."""

    site: Site
    profile: Profile
    programme: Programme
    zones: Mapping[int, ZoneOrigin]
    users: Mapping[int, str]
    areas: Mapping[str, int]
    places: Mapping[Item, Place]
    written: Places  # of everything in the site file
    findings: tuple[Finding, ...]

    def called(self, name: str) -> tuple[ZoneNumber, ...]:
        """Return the zones that a route means by a device's name or a label."""
        return tuple(
            ZoneNumber(number)
            for number, origin in self.zones.items()
            if name in (origin.device, self.programme.fields("zone", number).get("label"))
        )


class _Wanted(NamedTuple):
    """One field as the site wants it; `asked` tells whether the site said so itself."""

    value: str
    path: Path
    asked: bool


def resolve(site: Site, places: Places, profile: Profile, profile_places: Places) -> Resolved:
    """Work out what a panel will hold; everything it can't do is a finding, all at once."""
    return _Resolver(site, places, profile, profile_places).run()


class _Resolver:
    def __init__(self, site: Site, places: Places, profile: Profile, profile_places: Places) -> None:
        self.site, self.places, self.profile, self.profile_places = site, places, profile, profile_places
        self.values: dict[Item, Value] = dict(as_shipped(profile).values)
        self.origins: dict[Item, Path] = {}
        self.findings: list[Finding] = []

    def run(self) -> Resolved:
        areas = self.area_numbers()
        self.station()
        self.settings()
        zones = self.zone_numbers()
        for origin in zones.values():
            self.zone(origin, areas)
        users = self.users(areas)
        self.known_inputs_once(zones)
        places = {item: self.places[path] for item, path in self.origins.items()}
        return Resolved(
            self.site,
            self.profile,
            Programme(self.profile.panel, settled(self.profile, self.values)),
            zones,
            users,
            areas,
            places,
            self.places,
            tuple(self.findings),
        )

    # areas, settings, station

    def area_numbers(self) -> dict[str, int]:
        taken = {area.number for area in self.site.areas.values() if area.number is not None}
        numbers: dict[str, int] = {}
        for name, area in self.site.areas.items():
            free = (n for n in range(1, len(self.site.areas) + len(taken) + 1) if n not in taken)
            number = area.number if area.number is not None else next(free)
            taken.add(number)
            numbers[name] = number
            if not 1 <= number <= self.profile.limits.areas:
                self.refuse(
                    "PAN-01",
                    f"area {name}",
                    f"it would be area {number}, and this panel has {self.profile.limits.areas}",
                    ("areas", name),
                    ("limits", "areas"),
                    fix="put its zones into another area, or choose a panel with more",
                )
        return numbers

    def settings(self) -> None:
        known = {
            item.rpartition("/")[2].replace("-", " "): Item(item)
            for item in self.profile.items
            if item.startswith(("setting/", "station/")) and item not in ("station/told", "station/account")
        }
        fixed = {item.rpartition("/")[2].replace("-", " "): value for item, value in self.profile.fixed.items()}
        for name, text in self.site.settings.items():
            path = ("settings", name)
            if name in known:
                answer = self.profile.answer_of(known[name])
                if answer is not None:
                    self.setting(known[name], name, text, answer, path)
            elif name in fixed:
                if text != fixed[name]:
                    self.refuse(
                        "PAN-02",
                        f"setting {name}",
                        f"this panel has it fixed at {fixed[name]}",
                        path,
                        ("fixed", f"setting/{name.replace(' ', '-')}"),
                        wrote=text,
                        fix=f"leave it out, or write {fixed[name]}",
                    )
            else:
                self.refuse(
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

    def setting(self, item: Item, name: str, text: str, answer: Answer, path: Path) -> None:
        value = text
        if answer.unit is not None:
            try:
                total = seconds(text)
            except ValueError as wrong:
                self.refuse("PAN-04", f"setting {name}", str(wrong), path, ("answers",), wrote=text)
                return
            whole, rest = divmod(total, SECONDS_IN[answer.unit])
            if rest:
                says = f"this panel counts it in whole {answer.unit}"
                self.refuse("PAN-04", f"setting {name}", says, path, ("items", item), wrote=text, fix="round it")
                return
            value = str(whole)
        self.put(item, f"setting {name}", _Wanted(value, path, asked=True))

    def station(self) -> None:
        if "station/told" not in self.profile.items:
            return
        told = self.site.station is not None
        self.put(Item("station/told"), "station", _Wanted("yes" if told else "no", ("station",), asked=told))
        if self.site.station is not None:
            wanted = _Wanted(self.site.station.account, ("station", "account"), asked=True)
            self.put(Item("station/account"), "station account", wanted)
            if "station/restores" in self.profile.items and "restores" not in self.site.settings:
                self.values[Item("station/restores")] = Value("yes")
        elif "restores" in self.site.settings and self.site.settings["restores"] != "no":
            says = "there is no station that could be told"
            self.refuse("PAN-05", "setting restores", says, ("settings", "restores"), ("items", "station/restores"))

    # zones

    def zone_numbers(self) -> dict[int, ZoneOrigin]:
        """Give each zone its number: the written one, else the lowest that nobody has, in the order of the file."""
        written = list(written_zones(self.site))
        taken = {each.zone.number for each in written}
        free = (n for n in range(1, 1_000_000) if n not in taken)
        zones: dict[int, ZoneOrigin] = {}
        for each in written:
            number = each.zone.number if each.zone.number is not None else ZoneNumber(next(free))
            zones[number] = ZoneOrigin(number, each.cause, each.path, each.zone)
            if number > self.profile.limits.zones:
                self.refuse(
                    "PAN-06",
                    each.thing,
                    f"it would be zone {number}, and this panel has zones 1 to {self.profile.limits.zones}",
                    each.number_path,
                    ("limits", "zones"),
                    fix="take a lower number, or choose a panel with more zones",
                )
        return dict(sorted(zones.items()))

    def zone(self, origin: ZoneOrigin, areas: Mapping[str, int]) -> None:
        fields = origin.fields
        device = fields if isinstance(fields, Loop) else self.site.devices[DeviceName(origin.device)]
        thing = f"zone {origin.number} {fields.called}"
        kind = self.kind(origin, device, thing)
        if kind is None:
            return
        wanted = self.wanted(origin, device, fields, kind, areas)
        held = self.profile.groups.get("zone", ())
        for field in held:
            item = item_of("zone", origin.number, field)
            self.origins[item] = wanted[field].path if field in wanted else origin.path
            if field in wanted:
                self.put(item, thing, wanted[field])
            elif not exists(rule := self.profile.items[f"zone/*/{field}"], beside(item, self.values)):
                self.values[item] = Value(rule.otherwise or "")
            elif field == "number":
                self.values[item] = Value("")
            else:
                says = f'this panel asks for "{field}", and a site file has no such field'
                self.refuse("PAN-07", thing, says, origin.path, ("items", f"zone/*/{field}"))
        for field, want in wanted.items():
            if field not in held and want.asked and want.value not in ("none", "no"):
                says = f"this panel has no {field.replace('-', ' ')}"
                self.refuse(
                    "PAN-08", thing, says, want.path, ("items",), wrote=want.value, fix="take it out of the site file"
                )

    def kind(self, origin: ZoneOrigin, device: Device | Loop, thing: str) -> Kind | None:
        if isinstance(device, Loop):
            name, path = WIRED_LOOP, origin.path
        else:
            name, path = device.kind, ("devices", origin.device, "kind")
        kind = self.profile.kinds.get(name)
        if kind is None:
            self.refuse(
                "PAN-09",
                thing,
                f'this panel knows no kind of device "{name}"',
                path,
                ("kinds",),
                wrote=name,
                allowed=list(self.profile.kinds),
                near=nearest(name, self.profile.kinds),
                fix="write a kind that the panel knows, or leave the device out",
            )
            return None
        if origin.input is not None and origin.input not in kind.inputs:
            self.refuse(
                "PAN-10",
                thing,
                f'a {name} has no input "{origin.input}"',
                origin.path,
                ("kinds", name),
                key=True,
                wrote=origin.input,
                allowed=list(kind.inputs),
                near=nearest(origin.input, kind.inputs),
                fix="name one of its inputs",
            )
            return None
        return kind

    def wanted(
        self, origin: ZoneOrigin, device: Device | Loop, fields: ZoneFields, kind: Kind, areas: Mapping[str, int]
    ) -> dict[str, _Wanted]:
        """Return field -> what the site wants, defaults filled in."""
        path = origin.path

        def said(field: str, written: str | None, default: str) -> _Wanted:
            return _Wanted(default if written is None else written, (*path, field), written is not None)

        behaviour = self.profile.behaviours.get(fields.behaviour)
        tells = behaviour is not None and behaviour.alarm is not None
        report = fields.report or (Report.EVERYTHING if tells else Report.TROUBLES)
        alarms = report in (Report.EVERYTHING, Report.ALARMS)
        troubles = report in (Report.EVERYTHING, Report.TROUBLES)
        watched = fields.supervise if fields.supervise is not None else not kind.worn
        numbers = "+".join(str(number) for number in sorted(areas[name] for name in fields.area if name in areas))
        wanted = {
            "label": said("called", fields.called, ""),
            "area": said("area", numbers, ""),
            "behaviour": said("behaviour", fields.behaviour, ""),
            "delay": said("delay", fields.delay, "entry time"),
            "chime": said("chime", fields.chime, "none"),
            "tells-alarm": _Wanted(_flag(alarms), (*path, "report"), fields.report is not None),
            "tells-trouble": _Wanted(_flag(troubles), (*path, "report"), fields.report is not None),
            "message-delay": said("message delay", fields.message_delay, "abort window"),
            "supervise": _Wanted(_flag(watched), (*path, "supervise"), fields.supervise is not None),
        }
        spot = None if isinstance(device, Loop) else device.at
        if fields.place is not None:
            wanted["place"] = said("place", fields.place, "")
        elif spot is not None:
            wanted["place"] = _Wanted(spot.room, ("devices", origin.device, "at", "room"), asked=False)
        else:
            wanted["place"] = _Wanted("", path, asked=False)
        if isinstance(device, Loop):
            wanted["kind"] = _Wanted(WIRED_LOOP, path, asked=False)
            wanted["resistor"] = said("resistor", device.resistor, "none")
            return wanted
        top = ("devices", origin.device)
        wanted["kind"] = _Wanted(device.kind, (*top, "kind"), asked=True)
        wanted["input"] = _Wanted(origin.input or (kind.inputs[0] if kind.inputs else ""), path, asked=False)
        new = device.history is None or device.history.new
        wanted["history"] = _Wanted("new" if new else "already owned", (*top, "history"), asked=False)
        number = self.number(origin, device, kind)
        if number is not None:
            wanted["number"] = number
        return wanted

    def number(self, origin: ZoneOrigin, device: Device, kind: Kind) -> _Wanted | None:
        """Return the number that the panel learns: the learnt one if known, else what the printed digits give."""
        path, thing = ("devices", origin.device, "number"), f"device {origin.device}"
        if device.number is None:
            if kind.link == "radio":
                says = "it has no transmitter number"
                fix = "copy it from the label: number: {printed: ...}"
                self.refuse("PAN-11", thing, says, ("devices", origin.device), ("kinds", device.kind), fix=fix)
            return None
        try:
            counted = counted_digits(kind, device.number.printed)
        except UnreadableNumber as wrong:
            self.refuse(
                "PAN-12",
                thing,
                f"its printed number can't be right: {wrong}",
                (*path, "printed"),
                ("kinds", device.kind),
                wrote=device.number.printed,
                fix="read the label again",
            )
            return None
        learnt = device.number.learnt
        return (
            _Wanted(counted, (*path, "printed"), True) if learnt is None else _Wanted(learnt, (*path, "learnt"), True)
        )

    def known_inputs_once(self, zones: Mapping[int, ZoneOrigin]) -> None:
        """Refuse a transmitter that two zones learn by the same input: the panel would refuse it at the second."""
        rule = self.profile.items.get("zone/*/input")
        only = rule.otherwise if rule is not None else None
        numbered = self.profile.items.get("zone/*/number")
        nothing = numbered.otherwise if numbered is not None else None
        learnt_by: dict[str, dict[str | None, ZoneOrigin]] = {}
        for number, origin in zones.items():
            learnt = self.values.get(item_of("zone", number, "number"))
            if not learnt or learnt == nothing:
                continue
            by = self.values.get(item_of("zone", number, "input"))
            others = learnt_by.setdefault(learnt, {})
            other = next((zone for each, zone in others.items() if each == by or only in (each, by)), None)
            if other is not None:
                self.refuse(
                    "PAN-13",
                    f"device {origin.device}",
                    f"its number {learnt} is that of {other.device} (zone {other.number})",
                    self.origins[item_of("zone", number, "number")],
                    ("script",),
                    wrote=learnt,
                    fix="read both labels again; a copied line is the usual reason",
                )
            others.setdefault(by, origin)

    # people

    def users(self, areas: Mapping[str, int]) -> dict[int, str]:
        taken = {person.slot for person in self.site.people.values() if person.slot is not None}
        free = (n for n in range(1, 1_000_000) if n not in taken)
        users: dict[int, str] = {}
        for name, person in self.site.people.items():
            slot = person.slot if person.slot is not None else next(free)
            users[slot] = name
            path = ("people", name)
            if not 1 <= slot <= self.profile.limits.users:
                says = f"it would be slot {slot}, and this panel has {self.profile.limits.users}"
                self.refuse("PAN-14", f"person {name}", says, path, ("limits", "users"), fix="take somebody out")
                continue
            may: tuple[str, ...] = person.may or tuple(areas)
            numbers = "+".join(str(number) for number in sorted(areas[area] for area in may if area in areas))
            wanted = {
                "role": _Wanted(person.role.value, (*path, "role"), asked=True),
                "areas": _Wanted(numbers, (*path, "may"), asked=True),
                "code": _Wanted("set", path, asked=False),
                "duress": _Wanted("no", path, asked=False),  # never by default; a site file can't ask for it
            }
            for field in self.profile.groups.get("user", ()):
                self.put(item_of("user", slot, field), f"person {name}", wanted[field])
        return dict(sorted(users.items()))

    # one item

    def put(self, item: Item, thing: str, wanted: _Wanted) -> None:
        """Hold a value, or say why the panel can't."""
        rule = self.profile.rule_of(item)
        field = item.rpartition("/")[2]
        if rule is None or rule.how is None:
            return
        answer = self.profile.answers[rule.how]
        self.origins[item] = wanted.path
        pattern = "/".join("*" if part.isdigit() else part for part in item.split("/"))
        if not exists(rule, beside(item, self.values)):
            self.values[item] = Value(rule.otherwise or "")
            decided = all(beside(item, self.values)(when.field) is not None for when in rule.when)
            if decided and wanted.asked and wanted.value not in (rule.otherwise, "no", "none"):
                told = " and ".join(_condition(when.field, when.values, when.negated) for when in rule.when)
                says = f"{_name_of(field)} has no meaning here: this panel asks for it only when {told}"
                fix = "write report: troubles, or report: nothing" if wanted.path[-1] == "report" else "take it out"
                self.refuse("PAN-15", thing, says, wanted.path, ("items", pattern), wrote=wanted.value, fix=fix)
            return
        why = refuses(answer, wanted.value)
        if why is None:
            self.values[item] = Value(wanted.value)
            return
        allowed = list(answer.choices) or None
        near: tuple[str, ...] = nearest(wanted.value, answer.choices)
        if answer.style is Style.WORDS:
            near, allowed = nearest_words(answer, wanted.value), None
        self.refuse(
            "PAN-16",
            thing,
            f"{_name_of(field)} can't be {wanted.value or 'empty'}: {why}"
            if answer.style is not Style.OFFER
            else f'{_name_of(field)} "{wanted.value}" is not one this panel offers',
            wanted.path,
            ("answers", rule.how),
            wrote=wanted.value,
            allowed=allowed,
            near=near,
            fix="" if near or allowed or answer.style is Style.DIGITS else "write a value that this panel takes",
        )

    def refuse(
        self,
        code: str,
        thing: str,
        says: str,
        path: Path,
        profile_path: Path,
        *,
        key: bool = False,
        wrote: str | None = None,
        allowed: list[str] | None = None,
        near: tuple[str, ...] = (),
        fix: str = "",
    ) -> None:
        place = self.places.key(path) if key else self.places[path]
        line = self.profile_places[profile_path]
        where = f"(profile {line.file}:{line.line})"
        self.findings.append(
            Finding(
                code,
                Severity.PROBLEM,
                thing,
                says if allowed else f"{says} {where}",
                place=place,
                wrote=f"{path[-1]}: {wrote}" if wrote is not None and not key else wrote,
                allowed=f"{', '.join(allowed)} {where}" if allowed else None,
                nearest=", ".join(near) or None,
                fix=fix,
            )
        )


def _flag(value: bool) -> str:
    return "yes" if value else "no"


def _name_of(field: str) -> str:
    return {
        "label": "the label",
        "place": "the place",
        "number": "the number",
        "tells-alarm": "telling its alarms",
    }.get(field, field.replace("-", " "))


def _condition(field: str, values: frozenset[str], negated: bool) -> str:
    return f"{field.replace('-', ' ')} is {'not ' if negated else ''}{' or '.join(sorted(values))}"

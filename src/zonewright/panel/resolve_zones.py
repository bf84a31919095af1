"""The zones of a site as its panel will hold them.

Rules of this file:
1. A zone has the number that was written, or else the lowest free one, in the order of the file.
2. A default is applied in `_wanted` and nowhere else, and only if the site said nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from zonewright.findings import Path, nearest
from zonewright.panel.held import ValuesSoFar, WantedField, flag, numbers_of
from zonewright.panel.legal import beside, exists
from zonewright.panel.numbers import UnreadableNumber, counted_digits
from zonewright.panel.profile import Kind, Profile, Style
from zonewright.panel.programme import Item, Value, item_of
from zonewright.site.model import Device, DeviceZone, InputZone, Loop, Report, TransmitterNumber
from zonewright.site.names import NamedCause, causes, written_zones
from zonewright.site.record import DeviceName, ZoneNumber

WIRED_LOOP = "wired loop"


@dataclass(frozen=True, slots=True)
class ZoneOrigin:
    """Where one zone of the Programme comes from in the site file."""

    number: ZoneNumber
    cause: NamedCause  # the device, with its input if it has several, or the loop
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

    def is_meant_by(self, cause: NamedCause) -> bool:
        """Return whether a statement about this cause is about the zone; without an input a device means all of its.

        So do its cover, its cell and its radio, which all inputs share, whichever one is named.
        """
        meant = cause.trouble is not None or cause.input in (None, self.input)
        return self.device in (cause.device, cause.loop) and meant


def zone_numbers(held: ValuesSoFar) -> dict[int, ZoneOrigin]:
    """Give each zone its number: the written one, or else the lowest free one, in the order of the file."""
    written = list(written_zones(held.site))
    taken = {each.zone.number for each in written}
    free = (n for n in range(1, 1_000_000) if n not in taken)
    zones: dict[int, ZoneOrigin] = {}
    for each in written:
        number = each.zone.number if each.zone.number is not None else ZoneNumber(next(free))
        zones[number] = ZoneOrigin(number, each.cause, each.path, each.zone)
        if number > held.profile.limits.zones:
            held.refuse(
                "PAN-06",
                each.thing,
                f"it would be zone {number}, and this panel has zones 1 to {held.profile.limits.zones}",
                each.number_path,
                ("limits", "zones"),
                fix="take a lower number, or choose a panel with more zones",
            )
    return dict(sorted(zones.items()))


def zone(held: ValuesSoFar, origin: ZoneOrigin, areas: Mapping[str, int], zones: Mapping[int, ZoneOrigin]) -> None:
    """Hold all that the panel asks about one zone."""
    fields = origin.fields
    device = fields if isinstance(fields, Loop) else held.site.devices[DeviceName(origin.device)]
    thing = f"zone {origin.number} {fields.called}"
    kind = _kind(held, origin, device, thing)
    if kind is None:
        return
    wanted = _wanted(held, origin, device, kind, areas) | _confirming(held, origin, zones)
    asked = held.profile.groups.get("zone", ())
    for field in asked:
        item = item_of("zone", origin.number, field)
        held.origins[item] = wanted[field].path if field in wanted else origin.path
        if field in wanted:
            held.put(item, thing, wanted[field])
        elif not exists(rule := held.profile.items[Item(f"zone/*/{field}")], beside(item, held.values)):
            held.values[item] = Value(rule.otherwise or "")
        elif field == "number":
            held.values[item] = Value("")
        else:
            says = f'this panel asks for "{field}", and a site file has no such field'
            held.refuse("PAN-07", thing, says, origin.path, ("items", f"zone/*/{field}"))
    for field, want in wanted.items():
        if not _needs_no_item(held.profile, field):
            held.lacks(item_of("zone", origin.number, field), thing, want)


def _needs_no_item(profile: Profile, field: str) -> bool:
    """Return whether a zone may say this although the panel doesn't ask for it.

    It may say its name, since people need one even if the panel has none, and the only area of a panel.
    """
    return field == "label" or (field == "area" and profile.limits.areas == 1)


def _kind(held: ValuesSoFar, origin: ZoneOrigin, device: Device | Loop, thing: str) -> Kind | None:
    if isinstance(device, Loop):
        name, path = WIRED_LOOP, origin.path
    else:
        name, path = device.kind, ("devices", origin.device, "kind")
    kind = held.profile.kinds.get(name)
    if kind is None:
        held.refuse(
            "PAN-09",
            thing,
            f'this panel knows no kind of device "{name}"',
            path,
            ("kinds",),
            wrote=name,
            allowed=list(held.profile.kinds),
            near=nearest(name, held.profile.kinds),
            fix="write a kind that the panel knows, or leave the device out",
        )
        return None
    if origin.input is not None and origin.input not in kind.inputs:
        held.refuse(
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


def _wanted(
    held: ValuesSoFar, origin: ZoneOrigin, device: Device | Loop, kind: Kind, areas: Mapping[str, int]
) -> dict[str, WantedField]:
    """Return field -> what the site wants, with defaults."""
    fields, path = origin.fields, origin.path

    def said(field: str, written: str | None, default: str) -> WantedField:
        return WantedField(default if written is None else written, (*path, field), written is not None)

    behaviour = held.profile.behaviours.get(fields.behaviour)
    tells = behaviour is not None and behaviour.alarm is not None
    report = fields.report or (Report.EVERYTHING if tells else Report.TROUBLES)
    alarms = report in (Report.EVERYTHING, Report.ALARMS)
    troubles = report in (Report.EVERYTHING, Report.TROUBLES)
    watched = fields.supervise if fields.supervise is not None else not kind.worn or _is_fixed(device)
    wanted = {
        "label": said("called", fields.called, ""),
        "area": said("area", numbers_of(fields.area, areas), ""),
        "behaviour": said("behaviour", fields.behaviour, ""),
        "delay": said("delay", fields.delay, "entry time"),
        "chime": said("chime", fields.chime, "none"),
        "tells-alarm": WantedField(flag(alarms), (*path, "report"), fields.report is not None),
        "tells-trouble": WantedField(flag(troubles), (*path, "report"), fields.report is not None),
        "message-delay": said("message delay", fields.message_delay, "abort window"),
        "light": WantedField(
            str(fields.light) if fields.light else _none_at(held, origin, "light"), (*path, "light"), bool(fields.light)
        ),
        "supervise": WantedField(flag(watched), (*path, "supervise"), fields.supervise is not None),
    }
    spot = None if isinstance(device, Loop) else device.at
    if fields.place is not None:
        wanted["place"] = said("place", fields.place, "")
    elif spot is not None:
        wanted["place"] = WantedField(spot.room, ("devices", origin.device, "at", "room"), asked=False)
    else:
        wanted["place"] = WantedField("", path, asked=False)
    if isinstance(device, Loop):
        wanted["kind"] = WantedField(WIRED_LOOP, path, asked=False)
        wanted["resistor"] = said("resistor", device.resistor, "none")
        return wanted
    top = ("devices", origin.device)
    wanted["kind"] = WantedField(device.kind, (*top, "kind"), asked=True)
    wanted["input"] = WantedField(origin.input or (kind.inputs[0] if kind.inputs else ""), path, asked=False)
    wanted["used-before"] = WantedField(flag(device.used_before), (*top, "used before"), asked=False)
    found = _number(held, origin, device, kind)
    if found is not None:
        wanted["number"] = found
    return wanted


def _is_fixed(device: Device | Loop) -> bool:
    return isinstance(device, Device) and device.fixed


def _number(held: ValuesSoFar, origin: ZoneOrigin, device: Device, kind: Kind) -> WantedField | None:
    path, thing = ("devices", origin.device, "number"), f"device {origin.device}"
    if device.number is None:
        if kind.link == "radio":
            says = "it has no transmitter number"
            fix = "copy it from the label: number: {printed: ...}"
            held.refuse("PAN-11", thing, says, ("devices", origin.device), ("kinds", device.kind), fix=fix)
        return None
    return learnt_number(held, thing, device.number, kind, path, ("kinds", device.kind))


def learnt_number(
    held: ValuesSoFar, thing: str, number: TransmitterNumber, kind: Kind, path: Path, told_at: Path
) -> WantedField | None:
    """Return the number that the panel learns: the learnt one if known, or else the one from the printed digits."""
    try:
        counted = counted_digits(kind, number.printed)
    except UnreadableNumber as wrong:
        says = f"its printed number can't be right: {wrong}"
        fix = "read the label again"
        held.refuse("PAN-12", thing, says, (*path, "printed"), told_at, wrote=number.printed, fix=fix)
        return None
    if number.learnt is None:
        return WantedField(counted, (*path, "printed"), asked=True)
    return WantedField(number.learnt, (*path, "learnt"), asked=True)


def _confirming(held: ValuesSoFar, origin: ZoneOrigin, zones: Mapping[int, ZoneOrigin]) -> dict[str, WantedField]:
    """Return the zone that confirms this one, and whether its detector is verified."""
    fields, path = origin.fields, origin.path
    meant = causes(held.site).get(fields.confirmed_by, ()) if fields.confirmed_by is not None else ()
    other = next((number for number, each in zones.items() if each.cause in meant), None) if meant else None
    _not_by_itself(held, origin, other)
    verified = fields.verify if fields.verify is not None else True
    return {
        "crosses": WantedField(
            _none_at(held, origin, "crosses") if other is None else str(other),
            (*path, "confirmed by"),
            asked=fields.confirmed_by is not None,
        ),
        "verify": WantedField(flag(verified), (*path, "verify"), asked=fields.verify is not None),
    }


def _none_at(held: ValuesSoFar, origin: ZoneOrigin, field: str) -> str:
    """Return how the panel holds that a zone has none of something: as 0 if a number is typed, else as a choice."""
    answer = held.profile.answer_of(item_of("zone", origin.number, field))
    return "0" if answer is not None and answer.style is Style.DIGITS else "none"


def _not_by_itself(held: ValuesSoFar, origin: ZoneOrigin, other: int | None) -> None:
    """Refuse a zone that is to confirm itself."""
    if other == origin.number:
        fix = "name another zone that sees the same room, or take it out"
        path, wrote = (*origin.path, "confirmed by"), origin.fields.confirmed_by
        thing = f"zone {origin.number} {origin.fields.called}"
        held.refuse("PAN-18", thing, "a zone can't confirm itself", path, ("behaviours",), wrote=wrote, fix=fix)


def known_inputs_once(held: ValuesSoFar, zones: Mapping[int, ZoneOrigin]) -> None:
    """Refuse a transmitter that two zones learn by the same input: the panel would refuse it at the second zone."""
    rule = held.profile.items.get(Item("zone/*/input"))
    only = rule.otherwise if rule is not None else None
    numbered = held.profile.items.get(Item("zone/*/number"))
    nothing = numbered.otherwise if numbered is not None else None
    learnt_by: dict[str, dict[str | None, ZoneOrigin]] = {}
    for number, origin in zones.items():
        learnt = held.values.get(item_of("zone", number, "number"))
        if not learnt or learnt == nothing:
            continue
        by = held.values.get(item_of("zone", number, "input"))
        others = learnt_by.setdefault(learnt, {})
        other = next((zone for each, zone in others.items() if each == by or only in (each, by)), None)
        if other is not None:
            held.refuse(
                "PAN-13",
                f"device {origin.device}",
                f"its number {learnt} is that of {other.device} (zone {other.number})",
                held.origins[item_of("zone", number, "number")],
                ("script",),
                wrote=learnt,
                fix="read both labels again; a copied line is the usual reason",
            )
        others.setdefault(by, origin)

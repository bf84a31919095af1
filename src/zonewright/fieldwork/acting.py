"""What a person does at a device or a keypad, and what a panel makes of it as it is programmed.

A device is a thing in the house: a radio number and an input, or a pair of terminals. Which zones hear it is for the
Programme that the panel holds, and that may have slips; so an act names the zone that was planned for the device.

Rules of this file:
1. A radio device is heard by every zone that holds its number and input; a wired loop by the zone at whose terminals it
   ends, if that zone is programmed as wired. Otherwise nobody hears it.
2. A loop whose resistors are programmed otherwise than they are built stands in trouble from the start (common
   practice, no source: the panel reads another resistance than it expects).
3. A person arms and disarms only what the Programme lets their slot; the panel model itself knows no rights. A remote
   does what its buttons are programmed for, in its areas, under nobody's name, since the Programme doesn't hold who
   carries it. A panic button calls for help in the first of its areas.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum
from functools import cached_property

from zonewright.behaviour.clockwork import Clockwork, TimelineEntry
from zonewright.behaviour.events import (
    Arm,
    Disarm,
    Event,
    Means,
    Panic,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.faults import SettingFault
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup, setup_of, zones_read
from zonewright.behaviour.state import NOBODY
from zonewright.panel.behaviours import Mode
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, Value, areas_in, item_of
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


@dataclass(frozen=True, slots=True)
class PressButton:
    """A button of the remote that was planned under this number: `first-button` or `second-button`."""

    remote: int
    button: str


Act = Handle | Set | PressButton

ARMS = {"arm away": Mode.AWAY, "arm stay": Mode.STAY, "arm night": Mode.NIGHT, "disarm": Mode.DISARMED}
BUTTONS = ("first-button", "second-button")  # the fields of a remote that say what they do
PANIC = "panic"
NO_ZONES: tuple[ZoneNumber, ...] = ()
NO_OTHERS: frozenset[ZoneNumber] = frozenset()


@dataclass(frozen=True)
class PanelInHouse:
    """A panel that holds a Programme, in a house where the devices are those of the plan.

    Made by `panel_of`, and for few wrong answers more cheaply by `slipped`.
    """

    profile: Profile
    planned: Programme
    changes: Mapping[Item, Value | None]  # what it holds otherwise than planned
    setup: Setup
    right: Setup = field(repr=False)  # as planned; the station names zones by it
    sends: Mapping[ZoneNumber, Transmitter] = field(repr=False)  # each radio zone's device, as planned
    hears: Mapping[Transmitter, tuple[ZoneNumber, ...]] = field(repr=False)  # as held
    wired: frozenset[ZoneNumber] = field(repr=False)  # zones that are at their own terminals, as held
    shared: Mapping[Item, Value] = field(repr=False)  # what is planned of no single thing
    pairs: Mapping[ZoneNumber, frozenset[ZoneNumber]] = field(repr=False)  # as planned, known at both their ends
    people: tuple[int, ...]  # slots in use
    remotes: tuple[int, ...]
    _zones: dict[object, ZoneSetup | None] = field(default_factory=dict, repr=False, compare=False)  # those once read

    def holds(self, item: Item) -> Value | None:
        """Return what the panel holds of an item."""
        return self.changes[item] if item in self.changes else self.planned.get(item)

    @property
    def held(self) -> Programme:
        """Return all that the panel holds."""
        return self.planned.changed(self.changes)

    @cached_property
    def likeness(self) -> object:
        """Return what it does otherwise than the planned panel; panels alike in it do the same, whatever is done.

        Who hears a number that no planned device sends doesn't matter, nor do fields that decide nothing.
        """
        numbers = dict.fromkeys(zone.number for zone in (*self.right.zones, *self.setup.zones))
        both = ((number, self.right.zone(number), self.setup.zone(number)) for number in numbers)
        zones = frozenset((number, now) for number, planned, now in both if now is not planned and now != planned)
        heard = tuple(self.hearing(zone) for zone in numbers | dict.fromkeys(self.sends))
        others = frozenset(each for each in self.changes.items() if each[0].group != "zone")
        setup = self.setup.areas, self.setup.settings, self.setup.duress
        return zones, setup, heard, self.wired, others, self.remotes, tuple(self.standing())

    @property
    def account(self) -> str:
        """Return the account under which its messages go."""
        return self.holds(Item("station/account")) or ""

    def slipped(self, changes: Mapping[Item, Value | None]) -> PanelInHouse:
        """Return this panel, which holds what is planned, with these items otherwise.

        Raises `UnknownValues` or `UnusableValues` as `setup_of` does.
        """
        groups = {item.group for item in changes}
        if groups == {"remote"}:
            return replace(self, changes=changes, remotes=_and_new(self.remotes, "remote", changes))
        if groups != {"zone"}:
            if "zone" in groups or "remote" in groups:
                return panel_of(self.profile, self.planned, self.planned.changed(changes))
            return replace(self, changes=changes, setup=setup_of(self.planned.changed(changes), self.profile))
        by_zone: dict[ZoneNumber, dict[Item, Value | None]] = {}
        for item, value in changes.items():
            by_zone.setdefault(ZoneNumber(int(item.number or 0)), {})[item] = value
        setup = self._with_zones(by_zone)
        hears, wired = self.hears, self.wired
        for zone, mine in by_zone.items():
            old = self.sends.get(zone)
            new = self.sender_with(zone, mine)
            there = setup.zone(zone) is not None
            if old == new and there == (self.setup.zone(zone) is not None):
                continue
            if old is not None:
                hears = {**hears, old: tuple(other for other in hears[old] if other != zone)}
            if there and new is not None:
                hears = {**hears, new: tuple(sorted((*hears.get(new, ()), zone)))}
            wired = wired | {zone} if there and new is None else wired - {zone}
        return replace(self, changes=changes, setup=setup, hears=hears, wired=wired)

    def _three(self, zone: ZoneNumber) -> dict[Item, Value | None]:
        return {item_of("zone", zone, name): self.planned.get(item_of("zone", zone, name)) for name in SENDS}

    def _with_zones(self, by_zone: Mapping[ZoneNumber, Mapping[Item, Value | None]]) -> Setup:
        """Return the setup with these zones as they then are: only their items and the settings are read again."""
        read = {zone: changes for zone, changes in by_zone.items() if any(map(_is_read, changes))}
        if not read:
            return self.setup
        changed = {item: value for changes in read.values() for item, value in changes.items()}
        together = self.paired(read, changed)
        if together == read.keys() and not any(map(_of_pair, changed)):
            return self._with({zone: self.zone_with(zone, changes) for zone, changes in read.items()})
        fields = (item_of("zone", number, name) for number in together for name in self.profile.groups.get("zone", ()))
        mine = {item: self.planned[item] for item in fields if item in self.planned}
        alone = zones_read(Programme(self.planned.panel, {**self.shared, **mine}).changed(changed), self.profile)
        now = {zone.number: zone for zone in alone}
        return self._with({number: now.get(number) for number in together})

    def _with(self, now: Mapping[ZoneNumber, ZoneSetup | None]) -> Setup:
        """Return the setup with these zones; None is one that isn't there."""
        old = {number: self.setup.zone(number) for number in now}
        made = {number: zone for number, zone in now.items() if zone != old[number]}
        there = [zone for each in self.setup.zones if (zone := made.get(each.number, each)) is not None]
        new = [zone for number, zone in made.items() if zone is not None and old[number] is None]
        zones = tuple(sorted(there + new, key=lambda zone: zone.number)) if new else tuple(there)
        areas = self.setup.areas
        if any(areas_of(zone) != areas_of(old[number]) for number, zone in made.items()):
            areas = tuple(sorted({area for zone in zones for area in zone.areas})) or (AreaNumber(1),)
        return replace(self.setup, zones=zones, areas=areas)

    def zone_with(self, number: ZoneNumber, changes: Mapping[Item, Value | None]) -> ZoneSetup | None:
        """Return how a zone would be with these items of it otherwise, paired with no other; None if it isn't there.

        Zones alike are read once. Raises as `setup_of` does.
        """
        if (there := self.setup.zone(number)) is not None and not there.crosses and not any(map(_is_read, changes)):
            return there
        fields: dict[str, Value | None] = {**self.planned.fields("zone", number)}
        fields |= {item.field: value for item, value in changes.items()}
        decide = frozenset(each for each in fields.items() if each[0] not in UNREAD and each[1] is not None)
        unnamed = not (fields.get("place") or fields.get("label")) or bool(_named(fields.get("crosses")))
        key = decide, number if unnamed else None
        if key not in self._zones:
            items = {item_of("zone", number, name): value for name, value in fields.items()}
            alone = zones_read(Programme(self.planned.panel, self.shared).changed(items), self.profile)
            self._zones[key] = next(iter(alone), None)
        zone = self._zones[key]
        return zone if zone is None or zone.number == number else replace(zone, number=number)

    def sender_with(self, zone: ZoneNumber, changes: Mapping[Item, Value | None]) -> Transmitter | None:
        """Return what a zone would listen to with these items otherwise; None for one at its own terminals."""
        return _sender(self.profile, {**self._three(zone), **changes}, zone)

    def calls_if_loop_is_wrong(self, number: ZoneNumber) -> bool:
        """Return whether a cover of a zone's loop has the station send help where its resistor is keyed wrong."""
        zone = self.setup.zone(number)
        if zone is None or not zone.loop or not (self.setup.settings.told and zone.tells_alarm):
            return False
        return zone.behaviour.calls_at_once or zone.behaviour.protects_life

    def stops_setting(self, fault: SettingFault) -> bool:
        """Return whether a fault may stop an area from being set, whichever device has it."""
        return any(each is fault for each, _ in self.setup.settings.at_setting)

    def paired(self, zones: Iterable[ZoneNumber], changes: Mapping[Item, Value | None]) -> set[ZoneNumber]:
        """Return these zones and all that hang together with them by pairs, as planned or as changed."""
        written = {ZoneNumber(int(item.number or 0)): value for item, value in changes.items() if _of_pair(item)}
        found = set(zones)
        todo = list(found)
        while todo:
            number = todo.pop()
            new = (self.pairs.get(number, NO_OTHERS) | _named(written.get(number))) - found
            found |= new
            todo += new
        return found

    def hearing(self, zone: ZoneNumber) -> tuple[ZoneNumber, ...]:
        """Return the zones that hear the device planned as `zone`."""
        sender = self.sends.get(zone)
        if sender is not None:
            return self.hears.get(sender, NO_ZONES)
        return (zone,) if zone in self.wired else NO_ZONES

    def events(self, act: Act) -> Iterator[Event]:
        """Give what the panel notices of an act; nothing if nobody hears it or it isn't allowed."""
        match act:
            case Set():
                if self.allows(act):
                    yield _setting(act.area, act.mode, act.user, act.means)
            case PressButton():
                yield from self._pressed(act)
            case Handle():
                yield from (_handled(act.what, number) for number in self.hearing(act.zone))

    def allows(self, act: Set) -> bool:
        """Return whether the panel has the area, and the slot may set it (a panel without people asks nobody)."""
        if act.area not in self.setup.areas:
            return False
        if not self.people:
            return True
        return act.area in areas_in(self.holds(item_of("user", act.user, "areas")))

    def _pressed(self, act: PressButton) -> Iterator[Event]:
        """Give what a remote's button does: every remote that is programmed with its number does its own."""
        number = self.planned.get(item_of("remote", act.remote, "number"))
        for remote in self.remotes:
            if self.holds(item_of("remote", remote, "number")) != number:
                continue
            does = self.holds(item_of("remote", remote, act.button))
            held = areas_in(self.holds(item_of("remote", remote, "area")))
            areas = [each for each in self.setup.areas if each in held]
            if does in ARMS:
                yield from (_setting(area, ARMS[does], NOBODY, Means.REMOTE) for area in areas)
            elif does == PANIC:
                yield from (Panic(area, NOBODY, Means.REMOTE) for area in areas[:1])

    def standing(self) -> Iterator[Event]:
        """Give what stands from the start since a loop's resistors aren't those that the panel expects."""
        for item, value in self.changes.items():
            if item.field == "resistor" and value != self.planned.get(item):
                zone = ZoneNumber(int(item.number or 0))
                if zone in self.hearing(zone):
                    yield TroubleBegins(zone, Trouble.TAMPER)


# Fields of a zone that say what is heard, or what a light shows; nothing else that the panel does depends on them.
UNREAD = frozenset({"number", "input", "used-before", "light"})
SHARED = ("setting/", "station/")
SENDS = ("kind", "number", "input")  # fields of a zone that say what it listens to


def panel_of(profile: Profile, planned: Programme, held: Programme | None = None) -> PanelInHouse:
    """Return a panel that holds `held`, or what is planned."""
    held = planned if held is None else held
    setup = setup_of(held, profile)
    right = setup if held is planned else setup_of(planned, profile)
    sends = {zone: sender for zone in _zones(planned) if (sender := _sender(profile, planned.values, zone)) is not None}
    hears: dict[Transmitter, list[ZoneNumber]] = {}
    wired = set()
    for each in setup.zones:
        sender = _sender(profile, held.values, each.number)
        if sender is None:
            wired.add(each.number)
        else:
            hears.setdefault(sender, []).append(each.number)
    changes = {
        item: held.get(item) for item in {**planned.values, **held.values} if held.get(item) != planned.get(item)
    }
    return PanelInHouse(
        profile, planned, changes, setup, right, sends, {sender: tuple(zones) for sender, zones in hears.items()},
        frozenset(wired), {item: value for item, value in planned.values.items() if item.startswith(SHARED)},
        _pairs(planned), planned.numbers("user"), _and_new(planned.numbers("remote"), "remote", changes),
    )  # fmt: skip


def _pairs(programme: Programme) -> dict[ZoneNumber, frozenset[ZoneNumber]]:
    """Return each zone's pairs as written, known at both their ends; whether both may be paired isn't asked."""
    pairs: dict[ZoneNumber, frozenset[ZoneNumber]] = {}
    for zone in _zones(programme):
        for other in _named(programme.get(item_of("zone", zone, "crosses"))):
            pairs[zone] = pairs.get(zone, NO_OTHERS) | {other}
            pairs[other] = pairs.get(other, NO_OTHERS) | {zone}
    return pairs


def _is_read(item: Item) -> bool:
    return item.field not in UNREAD


def _of_pair(item: Item) -> bool:
    return item.field == "crosses"


def _named(text: str | None) -> frozenset[ZoneNumber]:
    """Return the zone that a value names, if it does; 0 names none."""
    return frozenset({ZoneNumber(int(text))}) if text is not None and text.isdigit() and int(text) else NO_OTHERS


def _and_new(numbers: tuple[int, ...], group: str, changes: Mapping[Item, Value | None]) -> tuple[int, ...]:
    """Return these numbers of a group and those that changes bring."""
    changed = (item for item, value in changes.items() if value is not None and item.group == group)
    return tuple(sorted({*numbers, *(item.number for item in changed if item.number is not None)}))


def areas_of(zone: ZoneSetup | None) -> frozenset[AreaNumber]:
    """Return a zone's areas; none for a zone that isn't there."""
    return zone.areas if zone is not None else frozenset()


def transmitter(profile: Profile, fields: Mapping[str, str]) -> Transmitter | None:
    """Return the number and the input that a zone with these fields listens to; None for one at its own terminals."""
    kind = profile.kinds.get(fields.get("kind", ""))
    number = fields.get("number", "")
    if not number.isdigit() or (kind is not None and kind.link == "wired"):
        return None
    inputs = kind.inputs if kind is not None else ()
    name = fields.get("input", "")
    return number, name if name in inputs[1:] else ""


def _sender(profile: Profile, held: Mapping[Item, Value | None], zone: ZoneNumber) -> Transmitter | None:
    named = ((name, held.get(item_of("zone", zone, name))) for name in SENDS)
    return transmitter(profile, {name: value for name, value in named if value is not None})


def _zones(programme: Programme) -> Iterator[ZoneNumber]:
    return (ZoneNumber(number) for number in programme.numbers("zone"))


def _setting(area: AreaNumber, mode: Mode, user: UserNumber, means: Means) -> Event:
    return Disarm(area, user, means) if mode is Mode.DISARMED else Arm(area, mode, user, means)


def _handled(what: What, zone: ZoneNumber) -> Event:
    match what:
        case What.OPEN:
            return ZoneOpens(zone)
        case What.CLOSE:
            return ZoneCloses(zone)
        case What.TRIP:
            return ZoneTrips(zone)
        case What.COVER_OFF:
            return TroubleBegins(zone, Trouble.TAMPER)
        case What.COVER_ON:
            return TroubleEnds(zone, Trouble.TAMPER)


def perform(
    clockwork: Clockwork, panel: PanelInHouse, acts: Iterable[tuple[int, Act]], until: int
) -> list[TimelineEntry]:
    """Do these acts, each so many seconds after the clockwork's present moment, and let time pass up to `until` [s]."""
    start = clockwork.now
    entries: list[TimelineEntry] = []
    for after, act in acts:
        entries += clockwork.advance(start + after)
        entries += [clockwork.give(event) for event in panel.events(act)]
    return entries + clockwork.advance(start + until)

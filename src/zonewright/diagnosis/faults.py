"""Every single fault of a house: a flat battery, a dead sounder, a line that is down, and what mends it.

Rules of this file:
1. A fault changes the surroundings, or what the panel holds if a wrong device was learnt.
2. Odds are relative to those of an answer keyed wrong (0.003, `hypotheses.py`). They are choices of ours: no table of
   rates for such faults was seen. Batteries come first, then range, then the rest: common practice, no source.
3. A look must distinguish one cause from all others: a lamp that stays dark may be a flat battery too, so the question
   is asked with a new one.
4. A fault that shows in several ways (a device at the edge of range is sometimes heard) has several worlds with their
   shares.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import combinations

from zonewright.behaviour.devices import TELL_A_COVER
from zonewright.behaviour.events import (
    Bypass,
    ChimeSwitch,
    SiteTrouble,
    SiteTroubleBegins,
    Trouble,
    TroubleBegins,
    ZoneOpens,
)
from zonewright.behaviour.faults import SettingFault as AtSetting
from zonewright.behaviour.setup import UserNumber, ZoneSetup
from zonewright.behaviour.wires import Wire, noticed
from zonewright.fieldwork.acting import BUTTONS, PanelInHouse, What
from zonewright.fieldwork.conditions import ALL_WELL, Channel, SilentBecause, Surroundings
from zonewright.panel.programme import Item, Thing, Value, item_of
from zonewright.site.record import ZoneNumber

HEARD_AT_THE_EDGE = 0.3  # how often a device out of range is heard anyway: a choice
_BLIND = {  # by what it senses: what is wrong, what mends it, what to look for
    "opening": (
        "its contact stays shut, whatever the door does",
        "replace the contact of",
        "is its contact shut by the meter even with the magnet away",
    ),
    "movement": ("its view is masked", "clear the view of", "is its view masked, or is it turned away"),
}
_BLIND_OTHERWISE = ("it senses nothing", "replace the sensor of", "is it covered, painted over or past its years")

World = tuple[float, Surroundings]


@dataclass(frozen=True)
class Defect:
    """One thing that isn't as it should be: what it is, what mends it, how to see it by looking, and its odds."""

    says: str
    mend: str
    look: str  # what to look at, measure or ask
    minutes: float  # how long that takes
    odds: float
    worlds: tuple[World, ...] = ((1.0, ALL_WELL),)
    changes: Mapping[Item, Value | None] = field(default_factory=dict)
    zones: frozenset[ZoneNumber] = frozenset()  # the zones whose devices it may affect
    everywhere: bool = False  # whether it may affect all others, too
    things: frozenset[Thing] = frozenset()  # "remote/1": what else it is about


def faults_of(panel: PanelInHouse) -> Iterator[Defect]:
    """Give every single fault of a house whose panel holds what is planned."""
    by_device: dict[str, list[ZoneSetup]] = {}
    for zone in panel.setup.zones:
        if not zone.behaviour.in_use:
            continue
        sender = panel.sends.get(zone.number)
        yield from _of_zone(panel, zone)
        if sender is not None:
            by_device.setdefault(sender[0], []).append(zone)
        else:
            yield from _of_wire(zone)
            if zone.loop in TELL_A_COVER:
                yield _of_cover(panel, [zone])
    for zones in by_device.values():
        yield from _of_radio(zones)
        if not any(_is_worn(panel, zone.number) for zone in zones):
            yield _of_cover(panel, zones)
    yield from _learnt_wrong([zones for zones in by_device.values() if len(zones) == 1], panel)
    for remote in panel.remotes:
        yield from _of_remote(panel, remote)
    yield from _remotes_exchanged(panel)
    yield from (replace(fault, everywhere=True) for fault in _of_site(panel))


def _of_radio(zones: list[ZoneSetup]) -> Iterator[Defect]:
    """Give the faults of one transmitter, with all its inputs."""
    name = " and ".join(named(zone) for zone in zones)
    numbers = frozenset(zone.number for zone in zones)

    def silent(why: SilentBecause) -> Surroundings:
        return Surroundings(silent=frozenset((number, why) for number in numbers))

    low = Surroundings(stands=tuple(TroubleBegins(number, Trouble.LOW_BATTERY) for number in sorted(numbers)))
    edge = ((1 - HEARD_AT_THE_EDGE, silent(SilentBecause.RANGE)), (HEARD_AT_THE_EDGE, ALL_WELL))
    yield Defect(
        f"{name}: the device's battery is flat", f"put a new battery into the device of {name}",
        f"measure the battery of the device of {name} under load: is it low or flat?",
        5, 0.004, ((1.0, silent(SilentBecause.BATTERY)),), zones=numbers,
    )  # fmt: skip
    yield Defect(
        f"{name}: the device's battery is low", f"put a new battery into the device of {name}",
        f"measure the battery of the device of {name} under load: is it low or flat?",
        5, 0.003, ((1.0, low),), zones=numbers,
    )  # fmt: skip
    yield Defect(
        f"{name}: out of range where it hangs", f"move the device of {name}, or bring the panel's receiver nearer",
        f"look at what the panel tells of the signal of {name}, at its place, doors shut: too weak?",
        4, 0.002, edge, zones=numbers,
    )  # fmt: skip
    yield Defect(
        f"{name}: the device is dead, new battery or not", f"replace the device of {name} and key its number",
        f"put a new battery into the device of {name} and press its tamper switch: does its own lamp stay dark?",
        10, 0.001, ((1.0, silent(SilentBecause.BROKEN)),), zones=numbers,
    )  # fmt: skip


def _of_cover(panel: PanelInHouse, zones: list[ZoneSetup]) -> Defect:
    """Return the fault that the cover of one device, or one on a loop, was left off; its contacts are still heard."""
    name = " and ".join(named(zone) for zone in zones)
    numbers = frozenset(zone.number for zone in zones)
    off = Surroundings(stands=tuple(TroubleBegins(number, Trouble.TAMPER) for number in sorted(numbers)))
    return Defect(
        f"{name}: a cover is off", f"put the cover on at {name}; where nobody had it off, see who has been there",
        f"look at {name}: is a cover off, or not wholly on?",
        2, 0.002, ((1.0, off),), zones=numbers, everywhere=panel.stops_setting(AtSetting.TAMPER),
    )  # fmt: skip


def _is_worn(panel: PanelInHouse, number: ZoneNumber) -> bool:
    """Return whether a zone's device is carried about, and so has no cover that is watched."""
    kind = panel.profile.kinds.get(panel.planned.get(item_of("zone", number, "kind")) or "")
    return kind is not None and kind.worn


def _of_wire(zone: ZoneSetup) -> Iterator[Defect]:
    """Give a cut and a short of a loop; the resistor at its end decides what the panel takes each for."""
    name = named(zone)
    for wire in Wire:
        event = noticed(zone, wire)
        around = Surroundings(
            unseen=frozenset({(zone.number, what) for what in What}), stands=(event,) if event is not None else ()
        )
        yield Defect(
            f"{name}: its wire is {wire.value}", f"mend the wire of {name}",
            f"measure the loop of {name} at the panel: another resistance than on the sheet?",
            5, 0.0015, ((1.0, around),), zones=frozenset({zone.number}), everywhere=event is not None,
        )  # fmt: skip


def _of_zone(panel: PanelInHouse, zone: ZoneSetup) -> Iterator[Defect]:
    """Give what one input of a device may do wrong, and a zone that is shut out or bypassed."""
    name, number = named(zone), zone.number
    only = frozenset({number})
    senses = senses_of(panel, number)
    shut = Surroundings(unseen=frozenset({(number, What.OPEN), (number, What.CLOSE)}))
    blind, clear, look = _BLIND.get(senses, _BLIND_OTHERWISE)
    yield Defect(
        f"{name}: {blind}", f"{clear} {name}", f"look at {name}: {look}?", 2, 0.001, ((1.0, shut),), zones=only
    )
    if senses == "opening":
        stuck = Surroundings(unseen=shut.unseen, stands=(ZoneOpens(number),))
        yield Defect(
            f"{name}: its contact stays open, whatever the door does", f"replace the contact of {name}",
            f"measure the contact of {name} with a magnet at it: is it open all the same?", 3, 0.001, ((1.0, stuck),),
            zones=only, everywhere=True,
        )  # fmt: skip
        gap = Surroundings(unseen=frozenset({(number, What.CLOSE)}))
        yield Defect(
            f"{name}: its closing isn't seen, the magnet is too far off", f"set the magnet of {name} nearer",
            f"measure the gap at the magnet of {name}: wider than its maker allows?",
            2, 0.001, ((1.0, gap),), zones=only,
        )  # fmt: skip
    limit = panel.setup.settings.swinger_limit
    if zone.behaviour.swinger and zone.can_alarm and limit > 0:
        often = f"{limit} alarms" if limit > 1 else "an alarm"
        yield Defect(
            f"{name}: shut out after {often} in this armed period", f"disarm, and find why {name} trips by itself",
            f"disarm, and read the alarm memory or ask the station: did {name} give {often} since it was armed?",
            2, 0.001, ((1.0, Surroundings(shut_out=only)),), zones=only,
        )  # fmt: skip
    if zone.behaviour.user_bypass and zone.can_alarm:
        out = Surroundings(stands=(Bypass(number, UserNumber(1)),))
        yield Defect(
            f"{name}: somebody bypassed it", f"take {name} back into use",
            f"look at the list of bypassed zones: is {name} in it?", 1, 0.002, ((1.0, out),), zones=only,
        )  # fmt: skip


def _learnt_wrong(devices: list[list[ZoneSetup]], panel: PanelInHouse) -> Iterator[Defect]:
    """Give pairs of devices of one kind, with neighbouring zone numbers, that hang in each other's place."""
    zones = sorted((zone for (zone,) in devices), key=lambda zone: zone.number)
    last: dict[str, ZoneSetup] = {}
    for zone in zones:
        kind = panel.planned.get(item_of("zone", zone.number, "kind")) or senses_of(panel, zone.number)
        if (before := last.get(kind)) is not None:
            fields = (item_of("zone", before.number, "number"), item_of("zone", zone.number, "number"))
            one, two = (panel.planned[item] for item in fields)
            yield Defect(
                f"{named(before)} and {named(zone)}: each was learnt as the other",
                f"key the numbers of zones {before.number} and {zone.number} the other way round",
                f"compare the labels of the two devices with the sheet: are {named(before)} and {named(zone)} "
                "in each other's place?",
                4, 0.001, changes={fields[0]: two, fields[1]: one},
                zones=frozenset({before.number, zone.number}),
            )  # fmt: skip
        last[kind] = zone


def _of_remote(panel: PanelInHouse, remote: int) -> Iterator[Defect]:
    """Give what may be wrong with a remote: a flat cell, and two buttons that each do what the other should."""
    name, mine = f"remote {remote}", frozenset({Thing.of("remote", remote)})
    yield Defect(
        f"{name}: its cell is flat", f"put a new cell into {name}",
        f"press a button of {name} in front of you: does its own lamp stay dark, and light with a new cell?",
        2, 0.004, ((1.0, Surroundings(dead_remotes=frozenset({remote}))),), things=mine,
    )  # fmt: skip
    first, second = (item_of("remote", remote, button) for button in BUTTONS)
    does = panel.planned.get(first), panel.planned.get(second)
    if None not in does and does[0] != does[1]:
        yield Defect(
            f"{name}: its two buttons are exchanged", f"key the two buttons of {name} the right way round",
            f"press each button of {name}, account on test: does each do what the other should?",
            2, 0.001, changes={first: does[1], second: does[0]}, things=mine,
        )  # fmt: skip


def _remotes_exchanged(panel: PanelInHouse) -> Iterator[Defect]:
    """Give every two remotes that were each learnt as the other, if that makes a difference."""
    for one, two in combinations(panel.remotes, 2):
        numbers = [item_of("remote", remote, "number") for remote in (one, two)]
        held = [{**panel.planned.fields("remote", remote), "number": ""} for remote in (one, two)]
        if held[0] != held[1]:
            yield Defect(
                f"remote {one} and remote {two}: each was learnt as the other",
                f"key the numbers of remotes {one} and {two} the other way round",
                f"compare the numbers on remotes {one} and {two} with the sheet: is each in the other's hand?",
                2, 0.001, changes=dict(zip(numbers, map(panel.planned.get, reversed(numbers)), strict=True)),
                things=frozenset({Thing.of("remote", one), Thing.of("remote", two)}),
            )  # fmt: skip


def _of_site(panel: PanelInHouse) -> Iterator[Defect]:
    """Give the faults of the panel, its sounder, its line, its keypad and its supply."""
    setup = panel.setup
    loud = setup.settings.siren_time > 0
    if loud:
        yield Defect(
            "the siren is dead, or its wire is broken", "mend or replace the siren or its wire",
            "by the panel's own siren test, ears protected and neighbours told: does the siren stay silent?",
            3, 0.002, ((1.0, Surroundings(dead=frozenset({Channel.SIREN}))),),
        )  # fmt: skip
    yield Defect(
        "the keypad makes no sound", "turn the keypad's sounds up, or replace the keypad",
        "press keys at the keypad: is it mute though its display is lit?", 1, 0.002,
        ((1.0, Surroundings(dead=frozenset({Channel.SOUNDS}))),),
    )  # fmt: skip
    yield Defect(
        "the keypad is dead", "mend the keypad's supply and wires, or replace it",
        "look at the keypad: is its display dark?", 0.5, 0.001,
        ((1.0, Surroundings(dead=frozenset({Channel.SOUNDS, Channel.DISPLAY}), keys_dead=True)),),
    )  # fmt: skip
    if any(zone.chime != "none" for zone in setup.zones):
        yield Defect(
            "the chime is switched off", "switch the chime on",
            "look at the keypad: is the chime switched off?", 0.5, 0.001,
            ((1.0, Surroundings(stands=(ChimeSwitch(on=False),))),),
        )  # fmt: skip
    if setup.settings.told:
        deaf = frozenset[Channel]() if setup.settings.second_path else frozenset({Channel.STATION})
        down = Surroundings(stands=(SiteTroubleBegins(SiteTrouble.LINE),), dead=deaf)
        yield Defect(
            "the line to the monitoring station is down", "mend the line",
            "try the line with a telephone or the router's lamps: is it down?", 2, 0.004, ((1.0, down),),
        )  # fmt: skip
        yield Defect(
            "the station expects another account number", "have the station put the account right",
            "read the account aloud to the station: is theirs another?", 2, 0.001,
            ((1.0, Surroundings(dead=frozenset({Channel.STATION}))),),
        )  # fmt: skip
    yield Defect(
        "the mains is out, the panel runs on its battery", "bring the mains back",
        "look at the supply's lamp: is the mains out?", 1, 0.002,
        ((1.0, Surroundings(stands=(SiteTroubleBegins(SiteTrouble.MAINS),))),),
    )  # fmt: skip


def named(zone: ZoneSetup) -> str:
    """Return what a zone is called in a sentence."""
    return f"zone {zone.number} {zone.label}" if zone.label != f"zone {zone.number}" else zone.label


def senses_of(panel: PanelInHouse, zone: ZoneNumber) -> str:
    """Return what a zone's device senses, as its kind says; a loop at its own terminals senses openings."""
    kind = panel.profile.kinds.get(panel.planned.get(item_of("zone", zone, "kind")) or "")
    return kind.senses if kind is not None else "opening"

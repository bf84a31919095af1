"""Rules about what the panel would do, each found by letting the panel model do it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from zonewright.behaviour.events import Chime, Disarm, Event, Siren, Spoken, ZoneCloses, ZoneOpens, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, UserNumber
from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt, JobZone
from zonewright.findings import Severity
from zonewright.panel.behaviours import Mode, Pattern, Timing
from zonewright.words.telling import listed

TOPIC = "behaviour"


@rule("BEH-01", severity=Severity.PROBLEM, topic=TOPIC)
def never_noticed(job: Design) -> Iterator[Doubt]:
    """A zone does nothing that anybody could notice, in any mode.

    Why: it can't be tested, and nobody will miss it when it fails; usually a chime or a behaviour was forgotten.
    Fix: give it a chime or another behaviour, or take it out.
    Source: common practice, no source; found by opening it in every mode on the panel model.
    Example: larkfield with
        devices: {side-gate: {zone: {chime: (left out)}}}
    """
    for zone in job.zones:
        if not any(job.opened(zone, mode) for mode in Mode):
            silent = zone.setup.behaviour.calls_at_once
            fix = "let it report, `report: everything`, with a station that answers" if silent else ""
            yield zone.doubt("behaviour", "opened in every mode it gives no sound, no message and no display", fix)


@rule("BEH-02", severity=Severity.PROBLEM, topic=TOPIC)
def no_way_in(job: Design) -> Iterator[Doubt]:
    """An area has no door to come in by.

    Why: whoever comes home sets off the siren before reaching the keypad.
    Fix: give the door people use the behaviour entry-door, or say how they disarm from outside and accept this.
    Source: common practice, no source; found on the panel model.
    Example: larkfield with
        devices:
          workshop-door:
            inputs: {reed: {behaviour: perimeter, delay: (left out)}}
    """
    for area in job.setup.areas:
        zones = [zone for zone in job.zones if area in zone.setup.areas]
        alarming = [zone for zone in zones if job.sounds(zone, Mode.AWAY)]
        doors = [zone for zone in zones if zone.setup.entry_s]
        name = job.area_name(area)
        if alarming and not doors:
            says = f"armed away, every opening of area {name} is an alarm at once; none starts an entry time"
            yield Doubt(name, f"area {name}", says)
        elif any(len(zone.setup.areas) == 1 for zone in alarming) and all(len(zone.setup.areas) > 1 for zone in doors):
            others = listed([job.area_name(each) for each in sorted(doors[0].setup.areas - {area})])
            at_once = f"whatever guards {name} alone gives an alarm at once when it trips"
            shared = f"its door, {doors[0].thing}, starts an entry time only while {others}"
            says = f"{shared} {_is(doors[0].setup.areas - {area})} armed, too; else {at_once}"
            yield Doubt(name, f"area {name}", says)


@rule("BEH-03", severity=Severity.PROBLEM, topic=TOPIC)
def walking_home_is_an_alarm(job: Design) -> Iterator[Doubt]:
    """Coming home by a route sounds the siren, however quick people are.

    Why: a sensor on the way doesn't wait for the entry time; every return is a false alarm.
    Fix: make the sensor on the way an on-route zone, or lead the route round it.
    Source: common practice, no source; found by walking the route on the panel model, each door in its turn, disarming
    in the last second.
    Example: larkfield with
        devices: {hall-movement: {zone: {behaviour: interior}}}
    """
    for name, route in job.site.routes.items():
        for door in job.zone_of(route.by)[:1]:
            if not door.setup.entry_s:
                says = f"its door, zone {door.setup.number}, starts no entry time"
                yield Doubt(name, f"route {name}", says, door.place("behaviour"))
                continue
            yield from _walk(job, name, door, [zone for step in route.through for zone in job.zone_of(step)])


def _walk(job: Design, name: str, door: JobZone, way: list[JobZone]) -> Iterator[Doubt]:
    for n, zone in enumerate(way):
        doors = [door, *(before for before in way[:n] if before.setup.entry_s)]
        says = f"tripping {zone.thing} on the way in by {door.thing} sounds the siren at once"
        every = zone.setup.areas.union(*(each.setup.areas for each in doors))
        if _sounds_on_the_way(job, doors, zone, every):
            apart = [job.area_name(area) for area in sorted(zone.setup.areas - door.setup.areas)]
            fix = ""
            if zone.setup.behaviour.timing is Timing.ON_ROUTE and apart:
                others = listed(apart)
                fix = f"have {others} disarmed first and accept this, or lead the route round it"
            yield Doubt(name, f"route {name}", says, zone.place("behaviour"), fix)
            continue
        some = next((areas for areas in _some_of(every) if _sounds_on_the_way(job, doors, zone, areas)), None)
        if some is not None:
            armed, off = (listed([job.area_name(area) for area in sorted(each)]) for each in (some, every - some))
            says += f" while {armed} {_is(some)} armed away and {off} {_is(every - some)} off, when the door is free"
            fix = f"give {armed} a door of its own on this way, or have it disarmed first and accept this"
            yield Doubt(name, f"route {name}", says, zone.place("behaviour"), fix)


def _sounds_on_the_way(job: Design, doors: list[JobZone], zone: JobZone, areas: frozenset[AreaNumber]) -> bool:
    """Return whether a zone sounds the siren for somebody who comes in by these doors, one after another, in time."""
    first, *others = (door.setup.number for door in doors)
    events: list[tuple[int, Event]] = [
        (0, ZoneOpens(first)),
        (1, ZoneCloses(first)),
        *((2, ZoneTrips(number)) for number in (*others, zone.setup.number)),
        *((min(door.setup.entry_s for door in doors) - 1, Disarm(area, UserNumber(1))) for area in sorted(areas)),
    ]
    outputs = job.armed_then(Mode.AWAY, areas, *events)
    return any(isinstance(output, Siren) and output.pattern is not Pattern.NONE for output in outputs)


def _some_of(areas: frozenset[AreaNumber]) -> Iterator[frozenset[AreaNumber]]:
    """Give each choice of some of these areas but not all, the largest first."""
    for size in range(len(areas) - 1, 0, -1):
        yield from map(frozenset, combinations(sorted(areas), size))


def _is(areas: frozenset[AreaNumber]) -> str:
    return "is" if len(areas) == 1 else "are"


@rule("BEH-12", severity=Severity.ADVICE, topic=TOPIC)
def shared_zone_sleeps(job: Design) -> Iterator[Doubt]:
    """A zone of several areas guards nothing while one of them is off.

    Why: somebody at home in one area leaves the shared door unguarded for the other; nobody is told.
    Fix: give each area a device of its own where it must be guarded alone; or accept this, and say who arms what.
    Source: common practice, no source; found on the panel model.
    Example: bakery as it is
    """
    for zone in job.zones:
        areas = sorted(zone.setup.areas)
        if len(areas) < 2 or not zone.setup.can_alarm or Mode.DISARMED in zone.setup.behaviour.live:
            continue
        names = listed([job.area_name(area) for area in areas])
        yield zone.doubt("area", f"it belongs to {names}, and gives an alarm only while all of them are armed")


@rule("BEH-04", severity=Severity.ADVICE, topic=TOPIC)
def waits_for_no_door(job: Design) -> Iterator[Doubt]:
    """A sensor waits for a door's entry time, and its area has no such door.

    Why: it never waits; it is an alarm at once, which its behaviour doesn't say.
    Fix: make it interior, or give the area's door an entry time.
    Source: common practice, no source.
    Example: larkfield with
        devices:
          hall-movement: {zone: {area: workshop}}
          workshop-door:
            inputs: {reed: {behaviour: perimeter, delay: (left out)}}
    """
    for zone in job.zones:
        doors = [other for other in job.setup.zones if other.entry_s and other.areas & zone.setup.areas]
        if zone.setup.behaviour.timing is not Timing.ON_ROUTE:
            continue
        if not doors:
            yield zone.doubt("behaviour", "no door of its area starts an entry time")
        elif not any(other.areas <= zone.setup.areas for other in doors):
            says = f"{doors[0].label} starts an entry time only while other areas are armed, too"
            yield zone.doubt("behaviour", says)


@rule("BEH-05", severity=Severity.PROBLEM, topic=TOPIC)
def people_inside_are_an_alarm(job: Design) -> Iterator[Doubt]:
    """Moving about inside sounds the siren when armed stay.

    Why: armed stay is for people at home; the first one to fetch water wakes the street.
    Fix: make the movement sensor interior or on-route.
    Source: common practice, no source; found on the panel model.
    Example: larkfield with
        devices: {lounge-movement: {zone: {behaviour: perimeter}}}
    """
    for zone in job.zones:
        if "movement" in zone.senses and job.sounds(zone, Mode.STAY):
            yield zone.doubt("behaviour", "armed stay, a movement sounds the siren")


@rule("BEH-06", severity=Severity.ADVICE, topic=TOPIC)
def stay_guards_nothing(job: Design) -> Iterator[Doubt]:
    """Armed stay guards nothing in an area.

    Why: the household arms at night and believes that doors and windows are watched.
    Fix: give at least the outside openings a behaviour that is live in stay.
    Source: common practice, no source; found on the panel model.
    Example: larkfield with
        devices:
          workshop-door:
            inputs:
              reed: {behaviour: interior, delay: (left out)}
              wire: {behaviour: interior}
    """
    for area in job.setup.areas:
        zones = [zone for zone in job.zones if area in zone.setup.areas]
        guarding = [zone for zone in zones if job.sounds(zone, Mode.STAY)]
        if any(job.sounds(zone, Mode.AWAY) for zone in zones) and not guarding:
            name = job.area_name(area)
            yield Doubt(name, f"area {name}", "armed stay, no opening of it sounds the siren")


@rule("BEH-08", severity=Severity.ADVICE, topic=TOPIC)
def opening_unguarded_at_night(job: Design) -> Iterator[Doubt]:
    """An opening is guarded when armed away, and not when armed stay.

    Why: people asleep upstairs believe that all doors and windows are watched.
    Fix: make it perimeter or entry-door; or accept it where it is a door between rooms.
    Source: common practice, no source; found on the panel model.
    Example: larkfield with
        devices: {kitchen-window: {zone: {behaviour: interior}}}
    """
    for zone in job.zones:
        if "opening" in zone.senses and job.sounds(zone, Mode.AWAY) and not job.sounds(zone, Mode.STAY):
            yield zone.doubt("behaviour", "armed stay, its opening is silent")


@rule("BEH-09", severity=Severity.ADVICE, topic=TOPIC)
def movement_counts_as_leaving(job: Design) -> Iterator[Doubt]:
    """A movement sensor counts as a door by which people leave.

    Why: whoever walks past it while the exit time runs has "left", and the panel arms away with people inside.
    Fix: make it on-route, and give the door itself the behaviour entry-door.
    Source: ANSI/SIA CP-01 on unvacated premises, from memory.
    Example: larkfield with
        devices: {lounge-movement: {zone: {behaviour: entry-door}}}
    """
    for zone in job.zones:
        if "movement" in zone.senses and zone.setup.behaviour.exit_door:
            yield zone.doubt("behaviour", "a movement there ends the test whether anybody left")


@rule("BEH-10", severity=Severity.ADVICE, topic=TOPIC)
def siren_in_daily_use(job: Design) -> Iterator[Doubt]:
    """An opening sounds the siren also when everything is off.

    Why: the household opens it by day; one thoughtless moment wakes the street and calls the station.
    Fix: give it a behaviour that is live only when armed, or accept it for a safe or a hatch that stays shut.
    Source: common practice, no source; found on the panel model.
    Example: larkfield with
        devices: {kitchen-window: {zone: {behaviour: 24-hour-audible}}}
    """
    for zone in job.zones:
        if "opening" in zone.senses and job.sounds(zone, Mode.DISARMED):
            yield zone.doubt("behaviour", "off, its opening sounds the siren")


@rule("BEH-11", severity=Severity.PROBLEM, topic=TOPIC)
def button_dead_by_day(job: Design) -> Iterator[Doubt]:
    """A push at a button does nothing when everything is off.

    Why: a button is for people who are there; most of the time they have disarmed.
    Fix: give it a behaviour that is live in every mode, or a chime.
    Source: common practice, no source; found on the panel model.
    Example: rowan with
        devices: {desk-button: {zone: {behaviour: perimeter}}}
    """
    for zone in job.zones:
        armed_only = any(job.opened(zone, mode) for mode in Mode) and not job.opened(zone, Mode.DISARMED)
        if "a push" in zone.senses and armed_only:
            yield zone.doubt("behaviour", "off, a push gives no sound, no message and no display")


@rule("CHI-01", severity=Severity.ADVICE, topic="chime")
def chime_all_day(job: Design) -> Iterator[Doubt]:
    """A movement sensor inside chimes whenever somebody passes.

    Why: after a day the household switches all chimes off, and those of the doors with them.
    Fix: set `chime: none`, or accept it where nobody walks by day.
    Source: common practice, no source; found on the panel model.
    Example: larkfield with
        devices: {hall-movement: {zone: {chime: spoken}}}
    """
    for zone in job.zones:
        heard = any(isinstance(each, Chime | Spoken) for _, each in job.opened(zone, Mode.DISARMED))
        if "movement" in zone.senses and heard:
            yield zone.doubt("chime", "off, every movement chimes")


@rule("ARE-01", severity=Severity.ADVICE, topic=TOPIC)
def area_without_zones(job: Design) -> Iterator[Doubt]:
    """An area has no zone that could give an alarm.

    Why: the household arms it and guards nothing.
    Fix: take the area out, or put zones into it.
    Source: common practice, no source; found on the panel model.
    Example: rowan with
        areas: {shed: {}}
    """
    for name, number in job.resolved.areas.items() if job.zones else ():
        zones = [zone for zone in job.zones if number in zone.setup.areas]
        if not any(zone.setup.can_alarm for zone in zones):
            yield Doubt(name, f"area {name}", "armed, none of its zones ever gives an alarm")

"""Rules about rooms: what a route crosses, where devices hang, and which openings nothing guards.

Rules of this file:
1. Rooms come from the plan where the site names one, else from each device's `at`.
2. Distances are choices of ours: a plan shows where a thing is, not to the centimetre.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import dist

from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt, JobZone
from zonewright.findings import Severity, nearest
from zonewright.panel.behaviours import Mode
from zonewright.site.model import Device, Route
from zonewright.site.plan import distance_to
from zonewright.site.record import DeviceName
from zonewright.survey.layout import outer_openings, placed, rooms_crossed

TOPIC = "layout"
GUARDS_WITHIN_M = 3.0  # an opening is guarded by a contact no further off in the same room
HANGS_BY_A_WALL_M = 2.0
AT_OPENINGS = ("opening", "breaking glass")
Spot = tuple[str, str]  # storey ("" where nobody says it) and room


@rule("ROUTE-01", severity=Severity.PROBLEM, topic="routes")
def movement_on_the_way_left_out(job: Design) -> Iterator[Doubt]:
    """A route crosses a room with a movement detector that the route doesn't name.

    Why: whoever comes home walks past it; what is checked and proved of the route leaves it out.
    Fix: add the detector to `through`, in the order in which one passes it.
    Source: common practice, no source; rooms by straight lines on the plan, or by each device's `at`.
    Example: bakery with
        routes: {opening the shop: {through: []}}
    """
    for name, route in job.site.routes.items():
        named = {zone.setup.number for step in (route.by, *route.through) for zone in job.zone_of(step)}
        crossed = _rooms_of(job, route)
        for zone in job.zones:
            live = Mode.AWAY in zone.setup.behaviour.live and zone.setup.can_alarm
            if "movement" not in zone.senses or not live or zone.setup.number in named:
                continue
            eyes = [device for device in zone.devices if job.resolved.senses(device[0]) == "movement"]
            rooms = [room for device in eyes for room in [_room_of(job, *device)] if room and room in crossed]
            if rooms:
                says = f"it crosses the {rooms[0][1]}, where {zone.thing} sees whoever comes in"
                yield Doubt(name, f"route {name}", says, job.resolved.written["routes", name])


def _rooms_of(job: Design, route: Route) -> frozenset[Spot]:
    """Return the rooms that a route crosses."""
    zones = [zone for step in (route.by, *route.through) for zone in job.zone_of(step)[:1]]
    devices = [name for zone in zones for name, _ in zone.devices[:1]]
    names = [*devices, route.to]
    if job.plan is not None:
        stops = [placed(job.plan, name) for name in names]
        found = [stop for stop in stops if stop is not None]
        if len(found) == len(stops):
            return rooms_crossed(job.plan, found)
    spots = [job.site.devices[name].at for name in devices]
    keypad = job.site.keypads.get(route.to)
    spots += [keypad.at] if keypad is not None else []
    return frozenset((spot.storey or "", spot.room) for spot in spots if spot is not None)


def _room_of(job: Design, name: DeviceName, device: Device) -> Spot | None:
    spot = placed(job.plan, name) if job.plan is not None else None
    if spot is not None and spot.rooms:
        return spot.storey, spot.rooms[0]
    return None if device.at is None else (device.at.storey or "", device.at.room)


@rule("PLAN-02", severity=Severity.ADVICE, topic=TOPIC)
def room_not_on_the_plan(job: Design) -> Iterator[Doubt]:
    """A device hangs in a room that the plan doesn't show.

    Why: the name is misspelt, or the room was never drawn; whoever looks for the device finds no such room.
    Fix: write the room as the plan does, or draw it.
    Source: the site's own plan.
    Example: bakery with
        devices: {oven-co: {at: {room: bakehuose}}}
    """
    for name, device in job.site.devices.items() if job.plan is not None else ():
        if device.at is None or job.plan is None:
            continue
        known = {
            room: None
            for storey, each in job.plan.storeys.items()
            for room in each.rooms
            if device.at.storey in (None, storey)
        }
        if device.at.room not in known:
            near = nearest(device.at.room, known)
            floor = f" on the storey {device.at.storey}" if device.at.storey is not None else ""
            hint = f"; did you mean {near[0]}" if near else ""
            place = job.resolved.written["devices", name, "at"]
            says = f"the plan has no room {device.at.room}{floor}{hint}"
            yield Doubt(name, f"device {name}", says, place)


@rule("PLAN-03", severity=Severity.PROBLEM, topic=TOPIC)
def drawn_in_another_room(job: Design) -> Iterator[Doubt]:
    """A device is drawn in another room than the site file says, or in none.

    Why: the walk, the pack and whoever changes its cell go to the wrong room.
    Fix: move its place on the plan, or mend `at`.
    Source: the site's own plan.
    Example: bakery with
        devices: {oven-co: {at: {room: hall}}}
    """
    for name, device in job.site.devices.items() if job.plan is not None else ():
        spot = placed(job.plan, name) if job.plan is not None else None
        if spot is None or device.at is None or job.plan is None:
            continue
        storey = device.at.storey or spot.storey
        if storey not in job.plan.storeys or device.at.room not in job.plan.storeys[storey].rooms:
            continue  # that is told by PLAN-02
        if storey != spot.storey or device.at.room not in spot.rooms:
            there = f"in the {spot.rooms[0]}" if spot.rooms else "in no room"
            floor = f" of the storey {spot.storey}" if storey != spot.storey else ""
            says = f"it is drawn {there}{floor}, and the site file says {device.at.room}"
            yield Doubt(name, f"device {name}", says, job.resolved.written["devices", name, "at"])


@rule("PLAN-04", severity=Severity.ADVICE, topic=TOPIC)
def contact_far_from_any_wall(job: Design) -> Iterator[Doubt]:
    """A contact is drawn far from every wall.

    Why: doors and windows are in walls; its place was mistyped, or it hangs somewhere else.
    Fix: move its place beside the door or window that it guards; accept it for a roof light or a safe.
    Source: the site's own plan; 2 m are a choice of ours.
    Example: bakery with
        plan: {storeys: {ground: {places: {roof-light-reed: [12, 36]}}}}
    """
    for zone, name, storey, point in _drawn(job):
        if "opening" not in zone.senses:
            continue
        walls = job.plan.storeys[storey].walls if job.plan is not None else ()
        off = min((distance_to(wall, point) for wall in walls), default=0.0)
        if off > HANGS_BY_A_WALL_M:
            says = f"the nearest wall is {off:.1f} m away"
            yield Doubt(name, f"device {name}", says, job.resolved.written["devices", name])


@rule("PLAN-05", severity=Severity.ADVICE, topic=TOPIC)
def opening_that_nothing_guards(job: Design) -> Iterator[Doubt]:
    """A door or window to the outside has nothing that guards it.

    Why: it is the way in that a thief would choose.
    Fix: add a contact, a glass-break detector or a movement detector in that room, or tell the customer and accept it.
    Source: the site's own plan; 3 m are a choice of ours.
    Example: bakery with
        plan: {storeys: {ground: {places: {delivery-gate: [26, 44]}}}}
    """
    drawn = list(_drawn(job))
    for floor, storey in job.plan.storeys.items() if job.plan is not None else ():
        for opening, room in outer_openings(storey):
            guards = [
                zone
                for zone, name, level, point in drawn
                if level == floor
                and (_room_of(job, name, job.site.devices[name]) or ("", ""))[1] == room
                and (
                    "movement" in zone.senses
                    or (not zone.senses.isdisjoint(AT_OPENINGS) and dist(point, opening.at) <= GUARDS_WITHIN_M)
                )
            ]
            if not guards:
                x, y = opening.at
                thing = f"{opening.kind} of the {room}"
                says = f"the {opening.kind} at {x:.1f} m, {y:.1f} m has no sensor within {GUARDS_WITHIN_M:g} m"
                yield Doubt("plan", thing, f"{says}, and no movement is watched there", job.resolved.written["plan",])


def _drawn(job: Design) -> Iterator[tuple[JobZone, DeviceName, str, tuple[float, float]]]:
    """Give each device of a zone that the plan shows, with its storey and its place."""
    for zone in job.zones if job.plan is not None else ():
        for name, _ in zone.devices:
            spot = placed(job.plan, name) if job.plan is not None else None
            if spot is not None:
                yield zone, name, spot.storey, spot.point

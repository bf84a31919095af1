"""Rules about zones and areas that depend on each other, each found by letting the panel model do it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, DisplayLine, Shown, Siren, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, UserNumber
from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt, JobZone
from zonewright.findings import Severity
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.panel.programme import item_of
from zonewright.words.matrix import at_rest


@rule("CNF-01", severity=Severity.ADVICE, topic="confirmation")
def alone_without_its_pair(job: Design) -> Iterator[Doubt]:
    """A zone that another one must confirm gives the alarm alone when that one can't.

    Why: with its pair bypassed, missing, standing open, after its last alarm or in an area that is off, one false trip
    sounds the siren.
    Fix: mend or take back the pair soon; accept this where the place must stay guarded all the same.
    Source: common practice, no source; found on the panel model, with the pair taken off the panel.
    Example: bakery with
        devices: {shop-movement: {zone: {confirmed by: hall}}}
    """
    for zone in job.zones:
        pairs = [each for each in job.zones if each.setup.number in zone.setup.crosses]
        if pairs and _sounds_without(job, zone, pairs):
            names = " and ".join(each.setup.label for each in pairs)
            yield zone.doubt("crosses", f"while {names} can't trip, one trip here sounds the siren")


@rule("CNF-02", severity=Severity.PROBLEM, topic="confirmation")
def confirmed_by_what_never_confirms(job: Design) -> Iterator[Doubt]:
    """A zone is to be confirmed by one that never confirms another.

    Why: the panel takes the number and pairs nothing, so each trip alone is the alarm that somebody wanted confirmed.
    Fix: name a zone whose behaviour can be paired, perimeter or an interior one; or take it out.
    Source: common practice, no source.
    Example: bakery with
        devices: {shop-movement: {zone: {confirmed by: delivery-gate}}}
    """
    numbers = {str(zone.setup.number): zone for zone in job.zones}
    for zone in job.zones:
        fixed = job.profile.fixed.get(item_of("zone", zone.setup.number, "crosses"), "none")
        other = numbers.get(str(zone.held.get("crosses", fixed)))
        if other is not None and job.setup.settings.cross_window and other.setup.number not in zone.setup.crosses:
            says = f"zone {other.setup.number} {other.setup.label} never confirms it"
            yield zone.doubt("crosses", says)


def _sounds_without(job: Design, zone: JobZone, pairs: list[JobZone]) -> bool:
    """Return whether a first trip sounds the siren with the pairs off the panel, and doesn't with them on it."""
    gone = {each.setup.number for each in pairs}
    alone = replace(job.setup, zones=tuple(each for each in job.setup.zones if each.number not in gone))
    heard = []
    for setup in (job.setup, alone):
        panel = at_rest(setup, job.setup.set_with(zone.setup).intersection(setup.areas), Mode.AWAY)
        outputs = panel.give(ZoneTrips(zone.setup.number)).outputs
        heard.append(any(isinstance(each, Siren) and each.pattern is not Pattern.NONE for each in outputs))
    return heard == [False, True]


@rule("ARM-06", severity=Severity.ADVICE, topic="arming")
def armed_from_another_area(job: Design) -> Iterator[Doubt]:
    """An area is armed at a keypad of another area, and stays armed stay if people leave by that area's door.

    Why: the panel takes it that nobody left this area, so its sensors inside are dead though somebody armed away.
    Fix: arm both areas with one code at once, before the door opens, or arm this one by a remote; or accept it and tell
    people.
    Source: ANSI/SIA CP-01, unvacated premises, from memory; found on the panel model.
    Example: larkfield with
        devices: {workshop-door: {inputs: {wire: {behaviour: interior}}}}
    """
    keypads = job.site.keypads.values()
    places = {name for keypad in keypads for name in keypad.area or job.resolved.areas}
    for name, number in job.resolved.areas.items():
        if not places or name in places:
            continue
        area = AreaNumber(number)
        inside = [
            zone.setup.label
            for zone in job.zones
            if area in zone.setup.areas and job.sounds(zone, Mode.AWAY) and not job.sounds(zone, Mode.STAY)
        ]
        doors = [job.resolved.areas[each] for each in places if each in job.resolved.areas]
        if inside and any(_stays(job, area, AreaNumber(other)) for other in sorted(doors)):
            says = f"no keypad is there; left by another area's door it is armed stay, and {inside[0]} is dead"
            yield Doubt(name, f"area {name}", says, job.resolved.written.key(("areas", name)))


def _stays(job: Design, area: AreaNumber, left_by: AreaNumber) -> bool:
    """Return whether an area that is armed away at a keypad is armed stay if people leave by a door of another."""
    panel = Clockwork(job.setup)
    door = next((zone for zone in job.setup.exit_doors(left_by) if area not in zone.areas), None)
    outputs = list(panel.give(Arm(area, Mode.AWAY, UserNumber(1))).outputs)
    if door is not None:
        outputs += panel.give(ZoneTrips(door.number)).outputs
    outputs += [output for entry in panel.rest() for output in entry.outputs]
    return door is not None and Shown(DisplayLine.NOBODY_LEFT, area=area) in outputs

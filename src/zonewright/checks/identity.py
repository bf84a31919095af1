"""Rules about which transmitter is which, and what a zone is called."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt, JobZone
from zonewright.findings import Severity
from zonewright.panel.numbers import counted_digits, differences
from zonewright.site.record import DeviceName

TOPIC = "identity"


@rule("NUM-01", severity=Severity.PROBLEM, topic=TOPIC)
def learnt_is_not_printed(job: Design) -> Iterator[Doubt]:
    """What the panel learnt isn't what the label shows.

    Why: the panel listens to another transmitter, or to none; the zone looks fine until it is needed.
    Fix: read the label aloud against the panel's ending, trip the device again, and mend the wrong one of the two.
    Source: common practice, no source; look-alike digits as in `panel.numbers`.
    Example: larkfield with
        devices: {front-door: {number: {learnt: "904781"}}}
    """
    for zone in job.zones:
        device = job.site.devices.get(DeviceName(zone.origin.device))
        if device is None or device.number is None or device.number.learnt is None:
            continue
        printed = counted_digits(zone.kind, device.number.printed)
        found = differences(printed, device.number.learnt)
        if found:
            told = "; ".join(
                f"place {each.place}: printed {each.printed}, learnt {each.learnt} ({each.likely})" for each in found
            )
            yield zone.doubt("number", f"printed {printed}, learnt {device.number.learnt}: {told}")


@rule("NUM-02", severity=Severity.ADVICE, topic=TOPIC)
def numbers_easily_confused(job: Design) -> Iterator[Doubt]:
    """Two devices' numbers differ by one misread or one swap.

    Why: a slip at the keypad then doesn't fail: it learns the wrong device, and both zones go wrong at once.
    Fix: at the end trip each of the two alone and watch which zone the panel names; where a trip calls for help, get
    the station's word first.
    Source: classes of digit errors by Verhoeff 1969, seen second-hand; look-alikes as in `panel.numbers`.
    Example: larkfield with
        devices: {side-gate: {number: {printed: 51 9047 68 C}}}
    """
    numbers = {zone.held["number"]: zone for zone in job.zones if zone.held.get("number")}
    for (one, first), (other, second) in combinations(numbers.items(), 2):
        found = differences(one, other)
        if len(found) == 1 and found[0].place and found[0].likely != "another digit":
            says = f"{other} and the {one} of zone {first.setup.number} differ only in place {found[0].place}"
            yield second.doubt("number", says)


@rule("NUM-03", severity=Severity.ADVICE, topic=TOPIC)
def number_not_written_down(job: Design) -> Iterator[Doubt]:
    """A zone's number is still "next free".

    Why: once it is on the panel its number is a fact; a line added above it would silently give it another.
    Fix: after keying, write the number that the panel showed into the site file.
    Source: common practice, no source.
    Example: larkfield as it is
    """
    for zone in job.zones:
        if not zone.origin.given:
            n = zone.setup.number
            yield zone.doubt("label", f"it is zone {n} today, as the next free one", f"write number: {n} once keyed")


@rule("NUM-06", severity=Severity.ADVICE, topic=TOPIC)
def slot_not_written_down(job: Design) -> Iterator[Doubt]:
    """The slot of one of several people isn't written down: it is the next free one.

    Why: once a code is keyed its slot is a fact; a person added, left out or moved above would silently get the code
    of another one, with other rights.
    Fix: after keying, write the slots into the site file; `zonewright number` does it.
    Source: common practice, no source.
    Example: larkfield with
        people: {Bertil: {slot: (left out)}}
    """
    people = job.site.people
    for slot, name in job.resolved.users.items() if len(people) > 1 else ():
        if people[name].slot is None:
            says = f"the code stands in slot {slot} today, as the next free one"
            place = job.resolved.written["people", name]
            yield Doubt(name, f"person {name}", says, place, f"write slot: {slot} once keyed")


@rule("NUM-04", severity=Severity.ADVICE, topic=TOPIC)
def owned_before_without_a_date(job: Design) -> Iterator[Doubt]:
    """A device that was owned before, and nobody wrote when it was fitted.

    Why: the age of its cell is unknown, and it may still be learnt by its old panel.
    Fix: put in a new cell, take it off the old panel, and write the day it was fitted.
    Source: common practice, no source.
    Example: larkfield with
        devices: {lounge-window: {fitted: (left out)}}
    """
    for zone in job.zones:
        device = job.site.devices.get(DeviceName(zone.origin.device))
        if device is not None and device.used_before and device.fitted is None:
            says = "used before, the age of its cell unknown"
            yield job.doubt_of_device(zone, zone.origin.device, "used before", says)


@rule("LAB-01", severity=Severity.PROBLEM, topic="labels")
def two_zones_sound_alike(job: Design) -> Iterator[Doubt]:
    """Two zones are called the same in the same place.

    Why: when the panel says it, or the station reads it, nobody knows which of the two it is.
    Fix: give one of them another word: left, upper, second.
    Source: common practice, no source.
    Example: larkfield with
        devices:
          lounge-window: {zone: {place: kitchen, called: small window}}
    """
    seen: dict[str, int] = {}
    for zone in job.zones:
        label = zone.setup.label
        if label in seen:
            yield zone.doubt("label", f'the panel calls it "{label}", as it does zone {seen[label]}')
        seen.setdefault(label, zone.setup.number)


@rule("LAB-02", severity=Severity.ADVICE, topic="labels")
def label_is_cut(job: Design) -> Iterator[Doubt]:
    """Place and label are wider than the display.

    Why: at the ending, and in an alarm, the display shows the beginning only; a slip in the last word stays unseen.
    Fix: use fewer or shorter words.
    Source: the profile's display.
    Example: larkfield with
        devices: {side-gate: {zone: {called: outer side gate}}}
    """
    columns = job.profile.display.columns
    for zone in job.zones:
        if len(zone.setup.label) > columns:
            shown = zone.setup.label[:columns]
            yield zone.doubt("label", f'"{zone.setup.label}" shows as "{shown}"')


@rule("LAB-03", severity=Severity.ADVICE, topic="labels")
def label_names_another_thing(job: Design) -> Iterator[Doubt]:
    """A zone is called by something that its device can't sense.

    Why: the station sends somebody to a window, and it was the cat in the hall; often the lines of two devices were
    exchanged.
    Fix: compare label, kind and number with the device in your hand.
    Source: common practice, no source; the words are those of `THINGS`.
    Example: larkfield with
        devices: {lounge-window: {zone: {called: big movement}}}
    """
    for zone in job.zones:
        words = zone.held.get("label", "").split()
        for sense, names in THINGS.items():
            named = [word for word in words if word in names]
            if named and zone.kind.senses and zone.kind.senses != sense and not _fits(zone.kind.senses, words):
                yield zone.doubt(
                    "label", f'"{named[0]}" is what a sensor of {sense} guards; this one senses {zone.kind.senses}'
                )


THINGS = {
    "opening": frozenset(
        {"door", "doors", "window", "windows", "gate", "hatch", "skylight", "shutter", "drawer", "cupboard"}
    ),
    "movement": frozenset({"movement"}),
    "water": frozenset({"water"}),
    "a push": frozenset({"button", "bell"}),
}


def _fits(sense: str, words: list[str]) -> bool:
    """Return whether some word names what the device does sense; glass breaks in doors and windows too."""
    return any(word in THINGS.get(sense, ()) for word in words) or sense == "breaking glass"


@rule("LAB-04", severity=Severity.ADVICE, topic="labels")
def place_is_another_room(job: Design) -> Iterator[Doubt]:
    """The panel says another place than the room where the device hangs.

    Why: who looks for it looks in the wrong room.
    Fix: take `place` out, or accept it where the spoken place is what people call it.
    Source: common practice, no source.
    Example: larkfield with
        devices: {side-gate: {zone: {place: lane}}}
    """
    for zone in job.zones:
        device = job.site.devices.get(DeviceName(zone.origin.device))
        said = zone.origin.fields.place
        if device is not None and device.at is not None and said is not None and said != device.at.room:
            yield zone.doubt("place", f'said "{said}", and it hangs in the {device.at.room}')


@rule("LAB-05", severity=Severity.ADVICE, topic="labels")
def one_light_for_zones_of_several_areas(job: Design) -> Iterator[Doubt]:
    """Two zones of different areas have the same light at the keypad.

    Why: the light burns, and whoever arms one area looks for an open window in the other.
    Fix: give each area lights of its own, or one of the zones none.
    Source: common practice, no source.
    Example: larkfield with
        devices: {workshop-door: {inputs: {reed: {light: 1}}}}
    """
    first: dict[str, JobZone] = {}
    for zone in job.zones:
        light = zone.held.get("light", "0")
        other = first.setdefault(light, zone)
        if light.isdigit() and int(light) and not other.setup.areas & zone.setup.areas:
            yield zone.doubt("light", f"light {light} is that of {other.thing} too, in another area")


@rule("NUM-05", severity=Severity.ADVICE, topic=TOPIC)
def cell_is_old(job: Design) -> Iterator[Doubt]:
    """A radio device was fitted more than five years ago.

    Why: its cell is near its end; a flat cell shows first at the worst moment.
    Fix: put in a new cell on this visit, and write the day.
    Source: lithium sensor cells last up to ten years by data sheet, five in use: common practice, no source.
    Example: larkfield with
        devices: {lounge-window: {fitted: 2021-06-02}}
    """
    today = job.site.dated
    for zone in job.zones:
        device = job.site.devices.get(DeviceName(zone.origin.device))
        fitted = device.fitted if device is not None else None
        if today is not None and fitted is not None and zone.kind.link == "radio":
            years = (today - fitted).days / 365.25
            if years > 5:
                says = f"fitted {fitted}, {years:.0f} years ago"
                yield job.doubt_of_device(zone, zone.origin.device, "fitted", says)

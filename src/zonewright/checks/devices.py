"""Rules about what a device is for, against what it was given to do: kinds, their age, buttons, loops and pairs."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations

from zonewright.behaviour.events import Message, Shown, Siren
from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt, JobZone
from zonewright.findings import Severity
from zonewright.panel.behaviours import ALWAYS, SHIPPED, Behaviour, Mode, Pattern
from zonewright.panel.programme import UNKNOWN, Value
from zonewright.site.model import Loop

TOPIC = "devices"
DAYS_A_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Need:
    """What a kind of sensor asks of a behaviour, and the shipped behaviour that does it."""

    behaviour: str
    fits: Callable[[Behaviour], bool]


def _plays(pattern: Pattern) -> Callable[[Behaviour], bool]:
    return lambda behaviour: behaviour.live == ALWAYS and behaviour.siren is pattern and behaviour.alarm is not None


def _silent(behaviour: Behaviour) -> bool:
    unseen = behaviour.siren is Pattern.NONE and not behaviour.shown
    return behaviour.live == ALWAYS and unseen and behaviour.alarm is not None


NEEDS: dict[str, Need] = {
    "smoke": Need("fire", _plays(Pattern.FIRE)),
    "heat": Need("fire", _plays(Pattern.FIRE)),
    "carbon monoxide": Need("carbon-monoxide", _plays(Pattern.GAS)),
    "gas": Need("gas", _plays(Pattern.GAS)),
    "water": Need("environment", _plays(Pattern.TROUBLE)),
    "hold-up": Need("holdup", _silent),
    "medical": Need("medical", _plays(Pattern.MEDICAL)),
}
NO_DANGER = frozenset({"opening", "movement", "breaking glass"})  # what tells of no fire and no gas
# A button senses a push only; what it is for stands in its name, its label or what it guards.
CALLS = {
    "hold-up": re.compile(r"\b(hold[- ]?up|raid)\b", re.IGNORECASE),
    "medical": re.compile(r"\bmedical\b", re.IGNORECASE),
}
PRESSED = frozenset({"a push", *CALLS})
# Years after which the sensing part is to be replaced, whatever cell is in it.
OWN_AGE = {"smoke": 10.0, "carbon monoxide": 7.0}


def senses(zone: JobZone) -> str:
    """Return what a zone is there to notice; a button is told by its words."""
    if zone.kind.senses not in ("", "a push"):
        return zone.kind.senses
    words = " ".join([zone.origin.device, zone.setup.label, *(device.guards for _, device in zone.devices)])
    return next((call for call, named in CALLS.items() if named.search(words.replace("-", " "))), zone.kind.senses)


@rule("KIND-01", severity=Severity.PROBLEM, topic=TOPIC)
def kind_behaves_as_another(job: Design) -> Iterator[Doubt]:
    """A detector of fire, gas or water, a hold-up or a medical button behaves as something else.

    Why: it then sounds the wrong siren, perhaps only when armed, and calls the wrong people; or nobody hears it.
    Fix: give it the behaviour that belongs to its kind; where the panel has none, choose a panel that has.
    Source: common practice, no source; life safety belongs to local code and licensed people.
    Example: larkfield with
        devices: {sink-water: {zone: {behaviour: 24-hour-audible}}}
    """
    for zone in job.zones:
        held = zone.held.get("behaviour", "")
        loop = zone.devices if zone.setup.loop else ()
        on_loop: dict[str, str] = {job.resolved.senses(name): name for name, _ in loop}
        for sense, name in (on_loop or {senses(zone): ""}).items():
            need = NEEDS.get(sense)
            if need is None or need.fits(zone.setup.behaviour) or zone.setup.behaviour == SHIPPED[need.behaviour]:
                continue
            offered = [word for word, behaviour in job.profile.behaviours.items() if need.fits(behaviour)]
            fix = (
                f"write behaviour: {' or '.join(offered)}"
                if offered
                else f"this panel has no {need.behaviour} behaviour"
            )
            what = f"{name} on its loop" if name else "it"
            yield zone.doubt("behaviour", f"{what} senses {sense} and behaves as {held}", fix)


@rule("KIND-03", severity=Severity.PROBLEM, topic=TOPIC)
def danger_told_by_other_devices(job: Design) -> Iterator[Doubt]:
    """A zone for fire, gas or carbon monoxide has a device that senses something else.

    Why: a window that opens, or somebody who walks by, then warns of fire and calls the fire service.
    Fix: give it a behaviour of its kind; on a loop, put it on one of its own, since what is on one loop is one zone.
    Source: common practice, no source; life safety belongs to local code and licensed people.
    Example: bakery with
        loops:
          bakehouse-openings: {devices: [roof-light-reed]}
          oven-gas: {devices: [oven-gas-head, yard-window-reed]}
    """
    for zone in job.zones:
        if not zone.setup.protects_life:
            continue
        terminal = zone.origin.input not in (None, *zone.kind.inputs[:1])  # what hangs on a second input isn't known
        if not zone.setup.loop and zone.senses & NO_DANGER and not terminal:
            yield zone.doubt("behaviour", f"it senses {zone.kind.senses} and warns of fire, gas or carbon monoxide")
        for name, _ in zone.devices if zone.setup.loop else ():
            sense = job.resolved.senses(name)
            need = NEEDS.get(sense)
            if sense and (need is None or not need.fits(zone.setup.behaviour)):
                yield zone.doubt("behaviour", f"{name} on its loop senses {sense}")


@rule("KIND-04", severity=Severity.PROBLEM, topic=TOPIC)
def passers_by_call_for_help(job: Design) -> Iterator[Doubt]:
    """A door, a movement or a detector sends a hold-up or a medical alarm.

    Why: the first one who walks by calls the police or an ambulance, and nothing here tells them so.
    Fix: give it a behaviour of its kind, and let a button that somebody presses on purpose call for help; accept it
    for a device that only a robbery sets off.
    Source: common practice, no source; see your local police policy.
    Example: bakery with
        devices: {till-button: {kind: contact}}
    """
    for zone in job.zones:
        calls = [name for name in CALLS if zone.setup.behaviour.alarm == SHIPPED[NEEDS[name].behaviour].alarm]
        for sense in sorted(zone.senses - PRESSED) if calls else ():
            yield zone.doubt("behaviour", f"it senses {sense} and sends a {calls[0]} alarm at once, in every mode")


@rule("KIND-02", severity=Severity.PROBLEM, topic=TOPIC)
def notice_that_alarms(job: Design) -> Iterator[Doubt]:
    """A zone is called a notice, and this panel's notice sounds the siren or calls the station.

    Why: whoever reads the schedule believes that it only announces; a parcel at the gate then calls the police.
    Fix: rename the behaviour in the profile, or take its siren and its alarm away.
    Source: this tool's own word, docs/site-file.md: a notice only announces here.
    Example: larkfield with
        panel: {behaviours: {notice: {siren: burglary}}}
    """
    for zone in job.zones:
        name = zone.held.get("behaviour", "")
        if "notice" not in name:
            continue
        outcomes = [each for mode in Mode for _, each in job.opened(zone, mode)]
        sounds = any(isinstance(each, Siren) and each.pattern is not Pattern.NONE for each in outcomes)
        sends = any(isinstance(each, Message) for each in outcomes)
        if sounds or sends:
            does = " and ".join([*(["sounds the siren"] if sounds else []), *(["sends a message"] if sends else [])])
            yield zone.doubt("behaviour", f"it is called {name} and {does}")


@rule("AGE-01", severity=Severity.PROBLEM, topic=TOPIC)
def detector_past_its_age(job: Design) -> Iterator[Doubt]:
    """A smoke or carbon monoxide alarm is older than its sensing part lasts.

    Why: the sensing part ages whatever cell is in it; it may stay silent in the fire it was bought for.
    Fix: replace the detector, not only its cell; the day on its own label comes before this sum.
    Source: smoke 10 years after manufacture, NFPA 72, from memory; carbon monoxide 5 to 10 years by the maker's label,
    7 taken here, common practice, no source.
    Example: rowan with
        devices: {stairs-smoke: {fitted: 2016-11-01}}
    """
    today = job.site.dated
    for zone in job.zones:
        for name, device in zone.devices:
            sense = job.resolved.senses(name)
            years = OWN_AGE.get(sense)
            if years is None or device.fitted is None or today is None:
                continue
            age = (today - device.fitted).days / DAYS_A_YEAR
            if age >= years:
                says = f"{name}: fitted {device.fitted}, {age:.0f} years ago; it lasts {years:g}"
                yield job.doubt_of_device(zone, name, "fitted", says)


@rule("AGE-02", severity=Severity.ADVICE, topic=TOPIC)
def detector_of_unknown_age(job: Design) -> Iterator[Doubt]:
    """A smoke or carbon monoxide alarm was owned before it was fitted here.

    Why: the day of fitting says nothing of its age; its sensing part may be worn out.
    Fix: read the day on its label; replace it where that is older than the label allows.
    Source: common practice, no source.
    Example: rowan with
        devices: {boiler-co: {used before: yes}}
    """
    for zone in job.zones:
        for name, device in zone.devices:
            if job.resolved.senses(name) in OWN_AGE and device.used_before:
                says = f"{name} was owned before: the day it was made isn't known"
                yield job.doubt_of_device(zone, name, "used before", says)


@rule("BTN-01", severity=Severity.ADVICE, topic=TOPIC)
def one_push_calls_the_police(job: Design) -> Iterator[Doubt]:
    """One push at a single button calls for help.

    Why: a child, a cleaner or a cupboard door pushes it, and people drive for nothing.
    Fix: use a device with two buttons pressed together, or one that must be held; or accept it and show who is there.
    Source: two actions for a hold-up: common practice, no source; see your local police policy.
    Example: bakery as it is
    """
    for zone in job.zones:
        if "a push" not in zone.senses:
            continue
        outputs = [each for _, each in job.opened(zone, Mode.DISARMED)]
        alarm = zone.setup.behaviour.alarm if zone.setup.behaviour.calls_at_once else None
        if any(isinstance(each, Message) and each.name == alarm for each in outputs):
            shown = any(isinstance(each, Shown) and each.zone == zone.setup.number for each in outputs)
            seen = ", and the keypad shows it to whoever stands there" if shown else ""
            yield zone.doubt("behaviour", f'one push sends "{alarm}"{seen}')
    for name, remote in job.site.remotes.items():
        if "panic" in (remote.first_button, remote.second_button):
            place = job.resolved.written["remotes", name]
            yield Doubt(name, f"remote {name}", "one of its buttons calls for help at a single push", place)


@rule("BTN-02", severity=Severity.PROBLEM, topic=TOPIC)
def remote_has_anothers_number(job: Design) -> Iterator[Doubt]:
    """A remote has the number of another remote or of a device.

    Why: the panel takes the second one for the first; one of the two does nothing, or a door that opens disarms.
    Fix: read both labels again, and write each its own number.
    Source: common practice, no source.
    Example: rowan with
        remotes: {Tomas's key ring: {number: {printed: 418 0245}}}
    """
    programme = job.programme
    held = [("zone", f"zone {number}", number) for number in programme.numbers("zone")]
    held += [("remote", f"remote {job.resolved.remotes[number]}", number) for number in job.resolved.remotes]
    first: dict[Value, str] = {}
    for group, thing, number in held:
        value = programme.fields(group, number).get("number")
        if value in (None, "", UNKNOWN):
            continue
        other = first.setdefault(value, thing)
        if group == "remote" and other != thing:
            name = job.resolved.remotes[number]
            yield Doubt(name, thing, f"it has the number of {other}", job.resolved.written["remotes", name])


@rule("LOOP-01", severity=Severity.ADVICE, topic=TOPIC)
def loop_without_a_resistor(job: Design) -> Iterator[Doubt]:
    """A wired loop has no resistor at its end.

    Why: the panel can't tell a fault of the wire from the contact; a short or a cut stays unseen until it matters.
    Fix: put the panel's resistor at the far end of the loop, in the last device, and write `resistor: single`.
    Source: end-of-line supervision, common practice, no source.
    Example: bakery with
        loops: {oven-gas: {resistor: none}}
    """
    for zone in job.zones:
        if isinstance(zone.origin.fields, Loop) and zone.origin.fields.resistor == "none":
            yield zone.doubt("resistor", "it has none, so a fault of the wire isn't seen as one")


@rule("PAIR-01", severity=Severity.ADVICE, topic=TOPIC)
def pair_sees_one_room_alike(job: Design) -> Iterator[Doubt]:
    """Two detectors of one kind in one room confirm each other.

    Why: what fools one of them, warm air, a spider, a balloon, fools the other in the same minute.
    Fix: pair sensors of different kinds, or of different rooms on the way in.
    Source: confirmation by differing technologies, common practice, no source.
    Example: bakery with
        devices:
          shop-movement: {zone: {confirmed by: hall}}
          hall-eye: {at: {room: shop}}
    """
    for one, other in combinations(job.zones, 2):
        alike = sorted(one.senses & other.senses - {"opening"})
        if other.setup.number not in one.setup.crosses or not alike:
            continue
        rooms = [{device.at.room for _, device in zone.devices if device.at is not None} for zone in (one, other)]
        if rooms[0] & rooms[1]:
            room = min(rooms[0] & rooms[1])
            says = f"it and zone {one.setup.number} both sense {alike[0]} in the {room}"
            yield other.doubt("crosses", says)

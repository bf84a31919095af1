"""What is wrong with a site file as a whole, whatever the panel: names that nothing has, numbers given twice.

Rules of this file:
1. One function for each promise; each takes what was salvaged and gives its findings. The missing name may be in a part
   that was left out; a name that may be there is no mistake.
2. No panel: which numbers, kinds and behaviours are possible is checked in `panel`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator
from itertools import islice

from zonewright.findings import Finding, Path, Severity, nearest
from zonewright.site.filetext import MOST_FINDINGS, mistake
from zonewright.site.mistakes import shown
from zonewright.site.model import Site, TransmitterNumber
from zonewright.site.must import Statement, parse
from zonewright.site.names import causes, causes_of_musts, written_zones
from zonewright.site.nodes import TextNode
from zonewright.site.record import Record
from zonewright.site.salvage import Salvaged

Whole = Salvaged[Site]
MOST_LETTERS = 60
OF_SITE = ("battery", "people", "plan", "sirens", "station")  # things without a name that a finding may be about
OF_MUSTS = ("MUST-01", "MUST-02")  # rules with findings about statements; an acceptance names the statement's text


def across(whole: Whole) -> Iterator[Finding]:
    """Return what only the whole file shows, at most `MOST_FINDINGS`."""
    yield from islice((finding for check in _CHECKS for finding in check(whole)), MOST_FINDINGS)


def _unknown(
    whole: Whole, path: Path, thing: str, kind: str, name: str, known: Collection[str], code: str
) -> Iterator[Finding]:
    """Return a finding if a name is none of the known ones."""
    if name in known or whole.may_exist(name):
        return
    near = next(iter(nearest(name, known)), None)
    allowed = ", ".join(list(known)[:12]) + (", ..." if len(known) > 12 else "")
    yield mistake(
        code, whole.places[path], thing, f'no {kind} is called "{shown(name)}"',
        wrote=shown(name), allowed=allowed or None, near=near, subject=str(path[1]) if len(path) > 1 else "",
        mending=whole.places.mending(path, near) if near is not None else None,
    )  # fmt: skip


def _areas(whole: Whole) -> Iterator[Finding]:
    site = whole.record
    named: list[tuple[Path, str, tuple[str, ...]]] = [
        ((*z.path, "area"), z.thing, z.zone.area) for z in written_zones(site)
    ]
    for written in written_zones(site):
        if not written.zone.area:
            place = whole.places.value((*written.path, "area"))
            yield mistake("SITE-AREA", place, written.thing, "it is in no area", fix="name at least one area")
    for path, thing, record, field in _with_areas(site):
        if field in record.model_fields_set and not getattr(record, field):
            fix = "name at least one area; left out, it is all of them"
            yield mistake("SITE-AREA", whole.places.value((*path, field)), thing, "no area is named", fix=fix)
    named += [((*path, field), thing, getattr(record, field)) for path, thing, record, field in _with_areas(site)]
    for path, thing, areas in named:
        for i, area in enumerate(areas):
            yield from _unknown(whole, (*path, i), thing, "area", area, site.areas, "SITE-AREA")


def _with_areas(site: Site) -> Iterator[tuple[Path, str, Record, str]]:
    """Give each keypad, person and remote, with the field that names its areas."""
    yield from ((("keypads", name), f"keypad {name}", each, "area") for name, each in site.keypads.items())
    yield from ((("people", name), f"person {name}", each, "may") for name, each in site.people.items())
    yield from ((("remotes", name), f"remote {name}", each, "area") for name, each in site.remotes.items())


def _devices(whole: Whole) -> Iterator[Finding]:
    site = whole.record
    on_loops = {device for loop in site.loops.values() for device in loop.devices}
    for name, device in site.devices.items():
        path: Path = ("devices", name)
        if device.zone is not None and device.inputs:
            yield mistake(
                "SITE-DEVICE", whole.places[(*path, "inputs")], f"device {name}", "it has both a zone and inputs",
                fix="give each input its zone under inputs, and take zone out", subject=name,
            )  # fmt: skip
        nowhere = device.zone is None and not device.inputs and name not in on_loops
        if nowhere and not whole.touched(path) and not whole.may_exist(name):
            yield mistake(
                "SITE-DEVICE", whole.places[path], f"device {name}", "it has no zone",
                fix="write its zone, a zone for each of its inputs, or name it in a loop", subject=name,
            )  # fmt: skip
    wired: dict[str, str] = {}
    for loop_name, loop in site.loops.items():
        for i, device_name in enumerate(loop.devices):
            way = ("loops", loop_name, "devices", i)
            other = wired.setdefault(device_name, loop_name)
            if other != loop_name or loop.devices.index(device_name) != i:
                where = f"on the loop {other}" if other != loop_name else "named before"
                yield mistake(
                    "SITE-DEVICE", whole.places[way], f"loop {loop_name}", f"{shown(device_name)} is already {where}",
                    fix="name each device once; give another one a name of its own", subject=loop_name,
                )  # fmt: skip
            yield from _unknown(whole, way, f"loop {loop_name}", "device", device_name, site.devices, "SITE-DEVICE")
        if loop_name in site.devices:
            says = "a device has the same name"
            place = whole.places[("loops", loop_name)]
            yield mistake("SITE-NAME", place, f"loop {loop_name}", says, fix="rename one of them", subject=loop_name)


def _numbers(whole: Whole) -> Iterator[Finding]:
    site = whole.record
    zones = [(z.zone.number, z.number_path, z.thing) for z in written_zones(site) if z.zone.number is not None]
    slots = [(p.slot, ("people", n, "slot"), f"person {n}") for n, p in site.people.items() if p.slot is not None]
    areas = [(a.number, ("areas", n, "number"), f"area {n}") for n, a in site.areas.items() if a.number is not None]
    remotes = [(r.slot, ("remotes", n, "slot"), f"remote {n}") for n, r in site.remotes.items() if r.slot is not None]
    for kind, written in (("zone number", zones), ("slot", slots), ("area number", areas), ("slot", remotes)):
        first: dict[int, tuple[Path, str]] = {}
        for number, path, thing in written:
            place = whole.places[path]
            if number == 0:
                yield mistake("SITE-NUMBER", place, thing, f"{kind}s count from 1", wrote=f"{path[-1]}: 0")
            elif number in first:
                there, other = whole.places[first[number][0]], first[number][1]
                says = f"{kind} {number} is given twice; {other} has it in line {there.line}, column {there.column}"
                yield mistake("SITE-NUMBER", place, thing, says, fix=f"give one of them another {kind}")
            else:
                first[number] = (path, thing)


def _transmitters(whole: Whole) -> Iterator[Finding]:
    """Two devices of one learnt number and one input are one transmitter, or one number was read wrong."""
    first: dict[tuple[str, str | None], tuple[str, Path]] = {}
    site = whole.record
    owners: list[tuple[str, str, str, TransmitterNumber | None, tuple[str, ...]]] = [
        ("device", "devices", name, each.number, tuple(each.inputs)) for name, each in site.devices.items()
    ]
    owners += [("remote", "remotes", name, each.number, ()) for name, each in site.remotes.items()]
    for kind, group, name, number, inputs in owners:
        if number is None or number.learnt is None:
            continue
        path: Path = (group, name, "number", "learnt")
        learnt = number.learnt.replace(" ", "")
        thing = f"{kind} {name}: number"
        if not re.fullmatch(r"\d{1,20}", learnt, re.ASCII):
            yield mistake(
                "SITE-DEVICE", whole.places[path], thing, "what the panel learnt has digits only",
                wrote=f"learnt: {shown(number.learnt)}", allowed="digits; blanks between them don't count",
                subject=name,
            )  # fmt: skip
            continue
        for one in inputs or (None,):
            other, before = first.setdefault((learnt, one), (f"{kind} {name}", path))
            if before != path:
                there = whole.places[before]
                by = f" with input {one}" if one else ""
                says = f"{other} has the same number{by} in line {there.line}, column {there.column}"
                yield mistake(
                    "SITE-DEVICE", whole.places[path], thing, says, fix="read both labels again", subject=name
                )
                break


def _pairs(whole: Whole) -> Iterator[Finding]:
    """A zone is confirmed by one other zone."""
    named = causes(whole.record)
    for written in written_zones(whole.record):
        other = written.zone.confirmed_by
        if other is None:
            continue
        path: Path = (*written.path, "confirmed by")
        meant = named.get(other, ())
        yield from _unknown(whole, path, written.thing, "device, input or loop", other, named, "SITE-PAIR")
        if len(meant) > 1:
            says = f'"{shown(other)}" means several zones: {", ".join(map(str, meant))}'
            yield mistake("SITE-PAIR", whole.places[path], written.thing, says, fix="name one of them")
        elif meant == (written.cause,):
            says = "it can't confirm itself"
            yield mistake("SITE-PAIR", whole.places[path], written.thing, says, fix="name another zone's device")


def _remotes(whole: Whole) -> Iterator[Finding]:
    site = whole.record
    for name, remote in site.remotes.items():
        if remote.carried_by:
            path: Path = ("remotes", name, "carried by")
            yield from _unknown(whole, path, f"remote {name}", "person", remote.carried_by, site.people, "SITE-REMOTE")


def _routes(whole: Whole) -> Iterator[Finding]:
    site = whole.record
    named = causes(site)
    for name, route in site.routes.items():
        path: Path = ("routes", name)
        stops = [((*path, "by"), route.by), *(((*path, "through", i), stop) for i, stop in enumerate(route.through))]
        for way, stop in stops:
            yield from _unknown(whole, way, f"route {name}", "device or zone", stop, named, "SITE-ROUTE")
        yield from _two_doors(whole, (*path, "by"), f"route {name}", route.by)
        yield from _unknown(whole, (*path, "to"), f"route {name}", "keypad", route.to, site.keypads, "SITE-ROUTE")


def _two_doors(whole: Whole, path: Path, thing: str, by: str) -> Iterator[Finding]:
    """Return a finding if a route's door may mean several zones: a device with more inputs, or a label used twice."""
    meant = causes(whole.record).get(by, ())
    found = [each.cause for each in written_zones(whole.record) if any(each.cause.meets(one) for one in meant)]
    if len(found) > 1:
        names = ", ".join(map(str, found))
        says = f'"{shown(by)}" may mean {len(found)} zones, and a route comes in by one door'
        yield mistake("SITE-ROUTE", whole.places[path], thing, says, wrote=shown(by), allowed=names)


def _acceptances(whole: Whole) -> Iterator[Finding]:
    site = whole.record
    known = dict.fromkeys((
        *site.devices, *site.loops, *causes(site), *site.areas, *site.keypads, *site.sirens, *site.remotes,
        *site.people, *site.routes, *site.settings, *OF_SITE,
    ))  # fmt: skip
    wanted = dict.fromkeys(map(str, site.must))
    for i, acceptance in enumerate(site.accept):
        thing = f"acceptance of {shown(acceptance.rule)}"
        what, some = ("must statement", wanted) if acceptance.rule in OF_MUSTS else ("thing", known)
        yield from _unknown(whole, ("accept", i, "for"), thing, what, acceptance.for_, some, "SITE-ACCEPT")


def _days(whole: Whole) -> Iterator[Finding]:
    site = whole.record
    for name, device in site.devices.items():
        if device.fitted is not None and site.dated is not None and device.fitted > site.dated:
            says = f"it was fitted on {device.fitted}, after the day of this file, {site.dated}"
            yield Finding(
                "SITE-DAY", Severity.ADVICE, f"device {name}", says, whole.places[("devices", name, "fitted")],
                fix="set dated to the day of the last change", subject=name,
            )  # fmt: skip


def _names(whole: Whole) -> Iterator[Finding]:
    site = whole.record
    groups: dict[str, Iterable[str]] = {
        "areas": site.areas, "keypads": site.keypads, "sirens": site.sirens, "devices": site.devices,
        "loops": site.loops, "remotes": site.remotes, "people": site.people, "routes": site.routes,
    }  # fmt: skip
    named: list[tuple[Path, str]] = [((group, name), name) for group, names in groups.items() for name in names]
    named += [(("devices", d, "inputs", i), i) for d, device in site.devices.items() for i in device.inputs]
    for path, name in named:
        kind = Site.things[str(path[-2])]
        if len(name) > MOST_LETTERS:
            says = f"a name of {len(name)} letters; at most {MOST_LETTERS} can be shown"
        elif not name.isprintable() or name != " ".join(name.split()):
            says = "a name has letters, digits, signs and single blanks only"
        else:
            continue
        yield mistake("SITE-NAME", whole.places.key(path), f"{kind} {shown(_legible(name))}", says, fix="rename it")


def _musts(whole: Whole) -> Iterator[Finding]:
    named = causes_of_musts(whole.record)
    for i, must in enumerate(whole.record.must):
        path: Path = ("must", i, "never" if must.never is not None else "always")
        parsed = parse(must, named, whole.record.areas)
        node = whole.places.node(path)
        for slip in () if isinstance(parsed, Statement) else parsed:
            if slip.offset == 0 and whole.may_exist(slip.wrote):
                continue
            place = node.place_of(slip.offset) if isinstance(node, TextNode) else whole.places[path]
            yield mistake(
                "SITE-MUST", place, "must statement", slip.says,
                wrote=shown(slip.wrote), allowed=slip.allowed or None, near=slip.nearest,
            )  # fmt: skip


def _contradictions(whole: Whole) -> Iterator[Finding]:
    """Two statements that no panel can keep together; each is reported with the first one that it excludes."""
    named = causes_of_musts(whole.record)
    before: list[tuple[Path, Statement]] = []
    for i, must in enumerate(whole.record.must):
        path: Path = ("must", i, "never" if must.never is not None else "always")
        parsed = parse(must, named, whole.record.areas)
        if not isinstance(parsed, Statement):
            continue
        for other_path, other in before:
            if parsed.excludes(other):
                there = whole.places[other_path]
                says = f'"{parsed}" and "{other}" exclude each other; the second is in line {there.line}'
                yield mistake(
                    "SITE-MUST", whole.places[path], "must statement", f"{says}, column {there.column}",
                    fix="take one of them out, or say in which mode each is meant: while MODE",
                )  # fmt: skip
                break
        before.append((path, parsed))


def _legible(name: str) -> str:
    """Return a name with a question mark for every character that can't be printed."""
    return "".join(letter if letter.isprintable() else "?" for letter in name)


_CHECKS: tuple[Callable[[Whole], Iterator[Finding]], ...] = (
    _names, _areas, _devices, _numbers, _transmitters, _pairs, _remotes, _routes, _acceptances, _days, _musts,
    _contradictions,
)  # fmt: skip

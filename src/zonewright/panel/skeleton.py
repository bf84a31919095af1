"""A site file begun from what a panel holds: zones, devices, people and settings as they were read.

Rules of this file:
1. What isn't known is a comment where it belongs, never a value: the technician sees what to find out.
2. Names that no panel knows are plainly made up: the zone's place and label, its number, `person 2`, `area 1`.
3. From a whole readback, the file resolves to what the panel holds; what a site file can't say is a comment.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from zonewright.panel.profile import Kind, Profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, areas_in
from zonewright.panel.readback import SAID_BY_A_SITE
from zonewright.panel.resolve_zones import WIRED_LOOP
from zonewright.site.writing import EDITOR, scalar

HEAD = """# {name}, begun from what its {panel} held.
# It shows how to get in: keep it locked. No code belongs in it.
# "not known" marks what is to be found out; `zonewright check {file}` tells what is still missing or doubtful.
"""
REPORTS = {("yes", "yes"): "everything", ("yes", "no"): "alarms", ("no", "yes"): "troubles", ("no", "no"): "nothing"}
FIELDS = {  # of a site file's zone -> of the panel's
    "area": "area", "behaviour": "behaviour", "called": "label", "place": "place", "delay": "delay", "chime": "chime",
    "light": "light", "message delay": "message-delay", "supervise": "supervise",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Device:
    """One device or wired loop with its zones: input (None if it has only one) -> zone."""

    name: str
    zones: Mapping[str | None, int]


def skeleton(profile: Profile, held: Programme, panel: str, name: str, file: str) -> str:
    """Return the text of a site file; `panel` names the profile as the file must, `file` is what it will be called."""
    return (
        f"{EDITOR}\n"
        + HEAD.format(name=name, panel=profile.panel, file=file)
        + "\n".join(_lines(profile, held, panel, name))
        + "\n"
    )


def _lines(profile: Profile, held: Programme, panel: str, name: str) -> Iterator[str]:
    yield f"site: {scalar(name)}"
    yield "revision: 1"
    yield f"panel: {scalar(panel)}"
    yield from _station(held)
    yield from _settings(profile, held)
    yield from _areas(held)
    devices = [*_devices(profile, held)]
    radio = [each for each in devices if _kind(held, each) != WIRED_LOOP]
    loops = [each for each in devices if _kind(held, each) == WIRED_LOOP]
    yield "" if radio else "devices: {}"
    if radio:
        yield "devices:"
    for each in radio:
        yield from _device(profile, held, each)
    if loops:
        yield from ("", "loops:")
    for each in loops:
        ((_, number),) = each.zones.items()
        yield f"  {scalar(each.name)}:"
        yield from _zone(profile, held, number, "    ", "zone")
        yield from _field(held, f"zone/{number}/resistor", "resistor", "    ")
    yield ""
    yield from _people(held)
    yield from _remotes(profile, held)
    for group in profile.groups:
        for number in held.numbers(group) if group not in SAID_BY_A_SITE else ():
            told = ", ".join(f"{field} {_or_not(value)}" for field, value in held.fields(group, number).items())
            yield f"# {group} {number}, for which a site file has no words: {told}"


def _station(held: Programme) -> Iterator[str]:
    told, account = held.get(Item("station/told")), held.get(Item("station/account"))
    if told == UNKNOWN:
        yield '# station: {account: "0000"}  # not known: whether a station is told, and the account'
    elif told == "yes":
        remark = "# " if account == UNKNOWN else ""
        yield f"{remark}station: {{account: {scalar(account or '')}}}{'  # not known' if remark else ''}"


def _settings(profile: Profile, held: Programme) -> Iterator[str]:
    lines = []
    for item, rule in profile.items.items():
        value = held.get(Item(item))
        answer = profile.answer_of(Item(item))
        if item.group not in ("setting", "station") or item in ("station/told", "station/account"):
            continue
        if answer is None or (item.group == "station" and held.get(Item("station/told")) != "yes"):
            continue
        word, unit = item.words, f" {answer.unit}" if answer.unit else ""
        if value == UNKNOWN:
            shipped = f"; left out it means {rule.default}{unit}, as shipped" if rule.default else ""
            lines.append(f"  # {word}:  # not known{shipped}")
        else:
            lines.append(f"  {word}: {scalar(f'{value}{unit}')}")
    said = any(not line.startswith("  #") for line in lines)
    yield "settings:" if said else "settings: {}  # take the braces away with the first line below that you fill in"
    yield from lines


def _areas(held: Programme) -> Iterator[str]:
    names = [f"area {number}" for number in _area_numbers(held)]
    yield f"areas: {{{', '.join(f'{each}: {{number: {each[5:]}}}' for each in names)}}}  # made-up names"


def _area_numbers(held: Programme) -> list[int]:
    written = [
        value
        for group, field in (("zone", "area"), ("user", "areas"), ("remote", "area"))
        for number in held.numbers(group)
        if (value := held.fields(group, number).get(field)) is not None and value != UNKNOWN
    ]
    return sorted({area for value in written for area in areas_in(value)}) or [1]


def _names_of(value: str) -> str:
    names = [f"area {area}" for area in areas_in(value)]
    return f"[{', '.join(names)}]" if len(names) > 1 else names[0]


def _kind(held: Programme, device: _Device) -> Value | None:
    return held.fields("zone", next(iter(device.zones.values()))).get("kind")


def _devices(profile: Profile, held: Programme) -> Iterator[_Device]:
    """Return the devices: zones that learnt the same number by different inputs are one."""
    by_number: dict[tuple[str, str], dict[str | None, int]] = {}
    taken: set[str] = set()
    for number in held.numbers("zone"):
        fields = held.fields("zone", number)
        kind = profile.kinds.get(fields.get("kind", ""), Kind())
        learnt, by = fields.get("number"), fields.get("input")
        several = len(kind.inputs) > 1 and by in kind.inputs
        others = by_number.get((learnt or "", fields.get("kind", "")))
        if several and learnt not in (None, UNKNOWN) and others is not None and None not in others and by not in others:
            others[by] = number
        else:
            by_number[
                (learnt or "", fields.get("kind", "")) if several and others is None else (f"zone {number}", "")
            ] = {by if several else None: number}
    for zones in by_number.values():
        name = _made_up(held, min(zones.values()), taken)
        taken.add(name)
        yield _Device(name, zones)


def _made_up(held: Programme, number: int, taken: set[str]) -> str:
    fields = held.fields("zone", number)
    known = [value for field in ("place", "label") if (value := fields.get(field)) and value != UNKNOWN]
    name = re.sub(r"[^a-z0-9]+", "-", " ".join(known).lower()).strip("-")
    if not re.match(r"[a-z]", name):
        name = f"zone-{number}"
    return name if name not in taken else f"{name}-{number}"


def _device(profile: Profile, held: Programme, device: _Device) -> Iterator[str]:
    first = next(iter(device.zones.values()))
    fields = held.fields("zone", first)
    yield f"  {scalar(device.name)}:"
    yield from _field(held, f"zone/{first}/kind", "kind", "    ")
    yield from _number(profile, fields)
    yield from _field(held, f"zone/{first}/used-before", "used before", "    ")
    if None in device.zones:
        if fields.get("input") == UNKNOWN:
            yield "    # by which input it is learnt is not known"
        yield "    zone:"
        yield from _zone(profile, held, first, "      ", "number")
        return
    yield "    inputs:"
    for each, number in device.zones.items():
        yield f"      {scalar(each or '')}:"
        yield from _zone(profile, held, number, "        ", "zone")


def _number(profile: Profile, fields: Mapping[str, Value]) -> Iterator[str]:
    learnt, kind = fields.get("number"), profile.kinds.get(fields.get("kind", ""))
    if learnt is not None:
        yield from _learnt(learnt, kind)


def _learnt(learnt: str, kind: Kind | None) -> Iterator[str]:
    """Write a transmitter number: only those printed digits are known that the panel learnt."""
    if learnt == UNKNOWN or kind is None:
        known = f"; learnt: {learnt}" if learnt != UNKNOWN else ""
        yield f"    # number: {{printed: 00 0000 00 A}}  # not known{known}: copy it from the label"
        return
    first = int(kind.digits.partition("-")[0]) - 1 if kind.digits else 0
    printed = (kind.printed or len(learnt)) * "0"
    printed = printed[:first] + learnt + printed[first + len(learnt) :]
    whole = len(printed) == len(learnt)
    remark = "" if whole else "  # printed: only the learnt digits are known; copy the label"
    yield f"    number: {{printed: {scalar(printed)}, learnt: {scalar(learnt)}}}{remark}"


def _zone(profile: Profile, held: Programme, number: int, indent: str, word: str) -> Iterator[str]:
    fields = held.fields("zone", number)
    yield f"{indent}{word}: {number}"
    for name, field in FIELDS.items():
        if field not in fields:
            if name == "area":
                yield f"{indent}area: area 1"
            continue
        if name == "light" and fields[field] in ("0", "none"):
            continue
        rule = profile.items[Item(f"zone/*/{field}")]
        if rule.when and fields[field] == rule.otherwise and name in ("delay", "message delay", "supervise"):
            if all(when.met_by(fields.get(when.field)) for when in rule.when):
                yield from _field(held, f"zone/{number}/{field}", name, indent)
            continue
        yield from _field(held, f"zone/{number}/{field}", name, indent)
    yield from _confirming(profile, held, number, indent)
    alarm, trouble = fields.get("tells-alarm"), fields.get("tells-trouble")
    if alarm in (None, UNKNOWN) or trouble in (None, UNKNOWN):
        yield f"{indent}# report:  # not known: alarms {_or_not(alarm)}, troubles {_or_not(trouble)}"
    else:
        yield f"{indent}report: {REPORTS[alarm or '', trouble or '']}"


def _confirming(profile: Profile, held: Programme, number: int, indent: str) -> Iterator[str]:
    """Give the zone that confirms this one, and whether a detector isn't verified."""
    other, verify = (held.get(Item(f"zone/{number}/{field}")) for field in ("crosses", "verify"))
    if UNKNOWN in (other, verify):
        yield f"{indent}# confirmed by:, verify:  # not known"
    elif other is not None and other.isdigit() and int(other) in held.numbers("zone"):
        yield f"{indent}confirmed by: {scalar(_causes(profile, held)[int(other)])}"
    elif other is not None and other.isdigit() and int(other):
        yield f"{indent}# confirmed by:  # zone {other}, which isn't there: its own trip alone is the alarm"
    if verify == "no" and held.get(Item(f"zone/{number}/kind")) == WIRED_LOOP:
        yield f"{indent}verify: no"


def _causes(profile: Profile, held: Programme) -> dict[int, str]:
    """Return zone -> what a site file calls its device, with the input if there are several."""
    return {
        number: each.name if by is None else f"{each.name} {by}"
        for each in _devices(profile, held)
        for by, number in each.zones.items()
    }


def _field(held: Programme, item: str, name: str, indent: str) -> Iterator[str]:
    value = held.get(Item(item))
    if value is None:
        return
    if value == UNKNOWN:
        yield f"{indent}# {name}:  # not known"
    elif name == "area":
        yield f"{indent}area: {_names_of(value)}"
    else:
        yield f"{indent}{name}: {_said(name, value)}"


def _said(name: str, value: str) -> str:
    return value if name in ("supervise", "duress", "used before") else scalar(value)


def _people(held: Programme) -> Iterator[str]:
    yield "people:" if held.numbers("user") else "people: {}"
    for number in held.numbers("user"):
        fields = held.fields("user", number)
        yield f"  person {number}:  # a made-up name"
        yield f"    slot: {number}"
        yield from _field(held, f"user/{number}/role", "role", "    ")
        if "duress" in fields:
            yield from _field(held, f"user/{number}/duress", "duress", "    ")
        areas = fields.get("areas", UNKNOWN)
        if areas == UNKNOWN:
            yield "    # may:  # not known; left out it means every area"
        else:
            yield f"    may: [{', '.join(f'area {area}' for area in areas_in(areas))}]"


def _remotes(profile: Profile, held: Programme) -> Iterator[str]:
    numbers = held.numbers("remote")
    if numbers:
        yield "remotes:"
    for number in numbers:
        start = f"remote/{number}"
        yield f"  remote {number}:  # a made-up name"
        yield f"    slot: {number}"
        learnt = held.get(Item(f"{start}/number"))
        yield from _learnt(learnt, profile.remote) if learnt is not None else ()
        for field in ("area", "first-button", "second-button"):
            yield from _field(held, f"{start}/{field}", field.replace("-", " "), "    ")


def _or_not(value: str | None) -> str:
    return "not known" if value == UNKNOWN else value or "not known"

"""What a change does to numbers and names that others know: zones, remotes, people and areas passed on or taken out.

Rules of this file:
1. "Take down" and "ask back" are said of what is nowhere in the new file, known by its transmitter number (`kept.py`).
   What only has another name or another number stays where it is.
2. Where no station is told, no word is said of one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from zonewright.panel.held_before import handed_on, other_meaning
from zonewright.panel.resolve import Resolved
from zonewright.panel.resolve_zones import ZoneOrigin
from zonewright.panel.zones_kept import zones_kept
from zonewright.site.kept import devices_kept, loop_changes, remotes_kept
from zonewright.site.model import Loop
from zonewright.site.record import DeviceName
from zonewright.words.telling import listed

AGAIN = "the number is used again, and the sheet keys over it."
DANGER = "Only by its maker's test button or a listed aerosol, with the station's word."
UNWATCHED = "It warns nobody until that is keyed: tell all who are in the building."
BOTH_UNWATCHED = "Fire and gas there warn nobody until both are keyed: tell all who are in the building."
OLD_NAME = "Tell the station, whose list still has the old name."


def passed_on(old: Resolved, new: Resolved) -> Iterator[str]:
    """Give a sentence for all of which somebody must know more than its new answers."""
    yield from _zones(old, new)
    yield from _loops(old, new)
    yield from _remotes(old, new)
    yield from _people(old, new)
    yield from _areas(old, new)
    yield from _station(old, new)


# zones


def _zones(old: Resolved, new: Resolved) -> Iterator[str]:
    kept = zones_kept(old, new)
    for number, before in old.zones.items():
        now, stays = new.zones.get(number), kept.get(number)
        thing = f"Zone {number} {before.cause}"
        if now is not None and stays == number:
            if now.device != before.device:
                renamed = _label(old, number) != _label(new, number)
                says = f"{thing} is now called {now.cause}: the same {_sort(now)}, which stays."
                yield _told(new, says, "Tell the station its new name." if renamed else "")
            continue
        left = _left(old, new, before, stays)
        if now is None:
            what = "is taken out" if stays is None else "has another number"
            yield _told(new, f"{thing} {what}. {left}", OLD_NAME)
        elif (now.device, now.input) != (before.device, before.input):
            yield _told(new, f"Zone {number} was {before.cause} and is now {now.cause}: {AGAIN} {left}", OLD_NAME)
        elif stays is None:
            says = f"{thing} has another transmitter number than before:"
            yield f"{says} where the device is another, take the old one down."
        elif kept.get(stays) != number:
            yield f"{thing} has another transmitter number than before: the one that it had is in zone {stays} now."
        elif number < stays:
            other = f"zone {stays} {new.zones[stays].cause}"
            care = f" {BOTH_UNWATCHED}" if any(_protects_life(old, each) for each in (number, stays)) else ""
            yield f"{thing} and {other} have exchanged their transmitters: both stay in use, take neither down.{care}"


def _left(old: Resolved, new: Resolved, zone: ZoneOrigin, stays: int | None) -> str:
    """Return what becomes of the devices of a zone that no longer have its number."""
    is_loop = isinstance(zone.fields, Loop)
    if stays is not None:
        leave = "Leave its devices up and see to its wires" if is_loop else f"Leave {zone.device} up"
        it = f"its {zone.input}" if zone.input is not None else "it"
        unwatched = UNWATCHED if _protects_life(old, zone.number) else ""
        return f"{leave}: {it} is now zone {stays}. {unwatched}".strip()
    kept = devices_kept(old.site, new.site)
    mine = zone.fields.devices if isinstance(zone.fields, Loop) else (DeviceName(zone.device),)
    parts = (("Take {} down.", [each for each in mine if each not in kept]),
             ("Leave {} up.", [each for each in mine if each in kept]))  # fmt: skip
    return " ".join(says.format(listed(names)) for says, names in parts if names)


def _protects_life(site: Resolved, number: int) -> bool:
    behaviour = site.profile.behaviours.get(site.programme.fields("zone", number).get("behaviour", ""))
    return behaviour is not None and behaviour.protects_life


def _label(site: Resolved, number: int) -> list[str]:
    held = site.programme.fields("zone", number)
    return [held[field] for field in ("place", "label") if held.get(field)]


def _sort(zone: ZoneOrigin) -> str:
    return "loop" if isinstance(zone.fields, Loop) else "device"


def _loops(old: Resolved, new: Resolved) -> Iterator[str]:
    """Give what is wired otherwise: nothing of it is keyed, so no sheet and no display tells it."""
    zones = {zone.device: number for number, zone in new.zones.items()}
    kept = devices_kept(old.site, new.site)
    for each in loop_changes(old.site, new.site):
        thing = f"the loop of zone {zones[each.loop]} {each.loop}"
        if each.on:
            care = f" {DANGER}" if _protects_life(new, zones[each.loop]) else ""
            says = f"{listed(each.on)} {_is(each.on)} new on {thing}, and nothing of it is keyed:"
            yield f"{says} trip each device of this loop, since one that isn't on its loop guards nothing.{care}"
        if each.off:
            gone = [name for name in each.off if name not in kept]
            take = f"Take {listed(gone)} down." if gone else ""
            yield f"{listed(each.off)} {_is(each.off)} no longer on {thing}, which hears nothing of it. {take}".strip()


def _is(things: Sequence[str]) -> str:
    return "is" if len(things) == 1 else "are"


# remotes


def _remotes(old: Resolved, new: Resolved) -> Iterator[str]:
    kept = remotes_kept(old.site, new.site)
    slots = {name: slot for slot, name in new.remotes.items()}
    for slot, name in old.remotes.items():
        now, here, carrier = kept.get(name), new.remotes.get(slot), old.site.remotes[name].carried_by
        if now is not None:
            told = []
            if now != name:
                told.append(f"is now called {now}: the same remote, which stays in use")
            if slots[now] != slot:
                told.append(f"is now remote {slots[now]}: the same one, which stays in use")
            if told:
                yield f"Remote {slot} {name} {' and '.join(told)}."
            continue
        back = f"Ask {carrier} to give {name} back." if carrier else f"Have {name} given back."
        if here is None:
            yield f"Remote {slot} {name} is taken out: it then does nothing. {back}"
        elif here == name:
            yield f"Remote {slot} {name} is another one than before: the old one then does nothing. {back}"
        else:
            yield f"Remote {slot} was {name} and is now {here}: {AGAIN} {back}"


# people and areas


def _people(old: Resolved, new: Resolved) -> Iterator[str]:
    slots = handed_on(old, new)
    for slot in slots:
        yield _told(
            new,
            f"Person {slot} was {old.users[slot]} and is now {new.users[slot]}, who keys a code of their own: the old "
            "one then opens nothing.",
            OLD_NAME,
        )
    before, now = ({name: slot for slot, name in site.users.items()} for site in (old, new))
    moved = [f"slot: {before[new.users[slot]]} for {new.users[slot]}" for slot in slots if new.users[slot] in before]
    if moved:
        yield (
            "People have changed places, so each of them keys a new code. "
            f"To let them keep theirs, write {listed(moved)}."
        )
    for slot in sorted(old.users.keys() - new.users.keys()):
        name = old.users[slot]
        if name in now:
            says = f"Person {slot} {name} is now person {now[name]}, who keys a new code:"
            yield f"{says} the old one then opens nothing."
        else:
            yield _told(new, f"Person {slot} {name} is taken out: their code then opens nothing.", OLD_NAME)
    for slot in other_meaning(old, new):
        yield _of_duress(new, slot)


def _of_duress(new: Resolved, slot: int) -> str:
    name = new.users[slot]
    if new.site.people[name].duress:
        return (
            f"The code of person {slot} {name} calls for help from now on. So they key a new one: whoever has the old "
            "one would call for help each time they come in, and needs a code of their own."
        )
    return (
        f"The code of person {slot} {name} called for help and does so no more. So they key a new one, and whoever "
        "has the old one must know that it calls nobody."
    )


def _areas(old: Resolved, new: Resolved) -> Iterator[str]:
    before, now = ({number: name for name, number in site.areas.items()} for site in (old, new))
    for number in sorted(before.keys() & now.keys()):
        if before[number] != now[number]:
            says = f"Area {number} was {before[number]} and is now {now[number]}: tell everybody who arms it."
            moved = new.areas.get(before[number])
            if moved is not None and moved not in before:
                says = f"{says} {before[number].capitalize()} is area {moved} now."
            yield _told(new, says, OLD_NAME)
    for number in sorted(before.keys() - now.keys()):
        moved = new.areas.get(before[number])
        where = f"is area {moved} now" if moved is not None else "is no area any more"
        yield _told(new, f"Area {number} {before[number]} {where}.", OLD_NAME)


def _station(old: Resolved, new: Resolved) -> Iterator[str]:
    before, now = (site.site.station and site.site.station.account for site in (old, new))
    if before == now:
        return
    if not now:
        yield "No station is told of anything any more: tell it, and have its account closed once all is keyed."
    elif not before:
        yield f"A station is told from now on, as account {now}: have that opened, and on test, before you key it."
    else:
        yield (
            f"The station's account was {before} and is {now} now: have the new one opened first, put both on test, "
            "and have the old one closed once all is tried. Until it is opened, no message reaches anybody."
        )


def _told(new: Resolved, says: str, to_station: str) -> str:
    return f"{says.strip()} {to_station}".strip() if new.site.station is not None else says.strip()

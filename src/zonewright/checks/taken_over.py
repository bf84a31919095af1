"""What somebody must know before a panel that was read is keyed: whose codes stay or go, and which zones go.

Rules of this file:
1. A readback knows nothing of people and devices: only what the panel holds. What it can't tell is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from zonewright.panel.programme import UNKNOWN, Programme
from zonewright.panel.resolve import Resolved
from zonewright.words.telling import listed


def beware_of_panel(held: Programme, new: Resolved) -> tuple[str, ...]:
    """Return what somebody must know before a panel that holds this is keyed as the site file says, as sentences."""
    return (*_codes_that_stay(held, new), *_people_who_go(held, new), *_zones_that_go(held, new))


def _codes_that_stay(held: Programme, new: Resolved) -> Iterator[str]:
    """Give the people whose codes aren't keyed, since no display tells whose code a slot holds."""
    codes = ((slot, held.fields("user", slot).get("code")) for slot in sorted(new.users))
    stay = [slot for slot, code in codes if code not in (None, UNKNOWN)]
    if not stay:
        return
    pressed = [slot for slot in stay if new.site.people[new.users[slot]].duress]
    care = f" Not {_people(new, pressed)}: that calls for help, so only with the station's word." if pressed else ""
    yield (
        f"Codes that stay as they are: {_people(new, stay)}. No display tells whose they are, so have each person try "
        f"their own.{care} Where it opens nothing, or somebody else has had the slot, have a new code keyed: write "
        f"`user/{stay[0]}/code: unknown` into the readback, with the number of that slot."
    )


def _people_who_go(held: Programme, new: Resolved) -> Iterator[str]:
    gone = sorted(set(held.numbers("user")) - new.users.keys())
    if gone:
        slots = listed([f"slot {slot}" for slot in gone])
        yield (
            f"The codes in {slots} are taken out, and open nothing from then on. No display tells whose they are: ask "
            "who comes in by them, so that nobody is locked out."
        )


def _people(new: Resolved, slots: Iterable[int]) -> str:
    return listed([f"{new.users[slot]} (slot {slot})" for slot in slots])


def _zones_that_go(held: Programme, new: Resolved) -> Iterator[str]:
    behaviours = new.profile.behaviours
    for number in sorted(set(held.numbers("zone")) - set(new.programme.numbers("zone"))):
        fields = held.fields("zone", number)
        label = " ".join(fields[name] for name in ("place", "label") if fields.get(name) not in (None, "", UNKNOWN))
        named = fields.get("behaviour", UNKNOWN)
        behaviour = behaviours.get(named)
        says = f"Zone {number}{f' {label}' if label else ''} is taken out: take its device down."
        if behaviour is None:
            says += " What it is for was not read: see that it guards nothing that is needed."
        elif behaviour.protects_life:
            says += f" It is {named}: see that something else warns of that there before you take it out."
        elif behaviour.calls_at_once:
            says += f" It is {named}: nobody can call for help by it any more."
        if new.site.station is not None:
            says += " Tell the station, whose list still has it."
        yield says

"""The people and the remotes of a site as its panel will hold them."""

from __future__ import annotations

from collections.abc import Mapping

from zonewright.panel.held import ValuesSoFar, WantedField, flag, numbers_of
from zonewright.panel.programme import item_of
from zonewright.panel.resolve_zones import learnt_number
from zonewright.site.model import Role

SHIPPED_BUTTONS = {"first-button": "arm away", "second-button": "disarm"}  # if a profile has no default of its own


def users(held: ValuesSoFar, areas: Mapping[str, int]) -> dict[int, str]:
    """Return slot number -> person, and hold what the panel asks about each."""
    taken = {person.slot for person in held.site.people.values() if person.slot is not None}
    free = (n for n in range(1, 1_000_000) if n not in taken)
    users: dict[int, str] = {}
    for name, person in held.site.people.items():
        slot = person.slot if person.slot is not None else next(free)
        users[slot] = name
        path = ("people", name)
        if not 1 <= slot <= held.profile.limits.users:
            says = f"it would be slot {slot}, and this panel has {held.profile.limits.users}"
            held.refuse("PAN-14", f"person {name}", says, path, ("limits", "users"), fix="take somebody out")
            continue
        may: tuple[str, ...] = person.may or tuple(areas)
        wanted = {
            "role": WantedField(person.role.value, (*path, "role"), asked=True),
            "areas": WantedField(numbers_of(may, areas), (*path, "may"), asked=True),
            "code": WantedField("set", path, asked=False),
            "duress": WantedField(flag(person.duress), (*path, "duress"), asked=person.duress),  # never by default
        }
        for field in held.profile.groups.get("user", ()):
            held.put(item_of("user", slot, field), f"person {name}", wanted[field])
        restricted = bool(person.may) and not set(areas) <= set(person.may)
        wanted["areas"] = wanted["areas"]._replace(asked=restricted)
        wanted["role"] = wanted["role"]._replace(asked=person.role is Role.GUEST)
        for field, want in wanted.items():
            held.lacks(item_of("user", slot, field), f"person {name}", want)
    return dict(sorted(users.items()))


def remotes(held: ValuesSoFar, areas: Mapping[str, int]) -> dict[int, str]:
    """Return slot number -> remote, and hold what the panel asks about each."""
    taken = {remote.slot for remote in held.site.remotes.values() if remote.slot is not None}
    free = (n for n in range(1, 1_000_000) if n not in taken)
    slots: dict[int, str] = {}
    for name, remote in held.site.remotes.items():
        slot = remote.slot if remote.slot is not None else next(free)
        slots[slot] = name
        path, thing = ("remotes", name), f"remote {name}"
        if not 1 <= slot <= held.profile.limits.remotes:
            says = f"it would be remote {slot}, and this panel has {held.profile.limits.remotes or 'none'}"
            held.refuse("PAN-17", thing, says, path, ("limits",), fix="take it out, or choose a panel with more")
            continue
        mine: tuple[str, ...] = remote.area or tuple(areas)
        wanted = {
            "area": WantedField(numbers_of(mine, areas), (*path, "area"), asked=bool(remote.area)),
            "first-button": _button(remote.first_button, "first", path),
            "second-button": _button(remote.second_button, "second", path),
        }
        if remote.number is None:
            says = "it has no transmitter number"
            fix = "copy it from the label: number: {printed: ...}"
            held.refuse("PAN-11", thing, says, path, ("remote",), fix=fix)
        elif number := learnt_number(held, thing, remote.number, held.profile.remote, (*path, "number"), ("remote",)):
            wanted["number"] = number
        for field in held.profile.groups.get("remote", ()):
            if field in wanted:
                held.put(item_of("remote", slot, field), thing, wanted[field])
        wanted["area"] = wanted["area"]._replace(asked=bool(remote.area) and not set(areas) <= set(remote.area))
        for field, want in wanted.items():
            held.lacks(item_of("remote", slot, field), thing, want)
    return dict(sorted(slots.items()))


def _button(said: str | None, which: str, path: tuple[str, str]) -> WantedField:
    default = SHIPPED_BUTTONS[f"{which}-button"]
    return WantedField(said if said is not None else default, (*path, f"{which} button"), asked=said is not None)

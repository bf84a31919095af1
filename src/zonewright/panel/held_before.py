"""What a panel holds before a change, if one of its codes now belongs to somebody else or means something else.

Rules of this file:
1. A code belongs to a person. If a slot has another person than before, its code counts as unknown. So the sheet asks
   for a new one, and the old code no longer opens anything.
2. A code has one meaning. If a slot becomes one for duress, or no longer is one, its code counts as unknown, too: else
   somebody would call for help with the code they use every day.
"""

from __future__ import annotations

from dataclasses import replace

from zonewright.panel.programme import UNKNOWN, item_of
from zonewright.panel.resolve import Resolved


def handed_on(old: Resolved, new: Resolved) -> tuple[int, ...]:
    """Return the slots that belonged to one person and now belong to another."""
    return tuple(slot for slot in sorted(old.users.keys() & new.users.keys()) if old.users[slot] != new.users[slot])


def other_meaning(old: Resolved, new: Resolved) -> tuple[int, ...]:
    """Return the slots of the same person whose code becomes one for duress, or no longer is one."""
    same = (slot for slot, name in sorted(new.users.items()) if old.users.get(slot) == name)
    return tuple(s for s in same if old.site.people[old.users[s]].duress != new.site.people[new.users[s]].duress)


def as_held(old: Resolved, new: Resolved) -> Resolved:
    """Return the older site as its panel holds it, with codes unknown that must be changed."""
    codes = (item_of("user", slot, "code") for slot in (*handed_on(old, new), *other_meaning(old, new)))
    unknown = {item: UNKNOWN for item in codes if item in old.programme and item in new.programme}
    return replace(old, programme=old.programme.changed(unknown)) if unknown else old

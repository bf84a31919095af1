"""What a panel holds before a change, where a place of it now belongs to somebody else.

Rules of this file:
1. A code belongs to a person. Where a slot has another person than before, its code counts as unknown. So the sheet
   asks for a new one, and the old code opens nothing any more.
"""

from __future__ import annotations

from dataclasses import replace

from zonewright.panel.programme import UNKNOWN, item_of
from zonewright.panel.resolve import Resolved


def handed_on(old: Resolved, new: Resolved) -> tuple[int, ...]:
    """Return the slots that belonged to one person and now belong to another."""
    return tuple(slot for slot in sorted(old.users.keys() & new.users.keys()) if old.users[slot] != new.users[slot])


def as_held(old: Resolved, new: Resolved) -> Resolved:
    """Return the older site as its panel holds it, the codes of slots that are handed on being unknown."""
    codes = (item_of("user", slot, "code") for slot in handed_on(old, new))
    unknown = {item: UNKNOWN for item in codes if item in old.programme and item in new.programme}
    return replace(old, programme=old.programme.changed(unknown)) if unknown else old

"""What each answer of a sheet replaces: what was there when it is keyed.

Rules of this file:
1. It is read from the strokes of the sheet, never from the two Programmes: what is taken out and keyed again, or was
   reset by another answer, is keyed although both Programmes hold the same.
"""

from __future__ import annotations

from collections.abc import Iterable

from zonewright.entry.keypad.standing import present_value
from zonewright.entry.keypad.strokes import Act, Driven
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, Value


def keyed_onto(profile: Profile, old: Programme, driven: Iterable[Driven]) -> Programme:
    """Return what each answer replaces when a sheet keys it; without answers that replace nothing."""
    changes: dict[Item, Value | None] = {}
    for done in driven:
        if done.job.gone:
            gone = f"{done.job.group}/{done.job.number}"
            changes.update(dict.fromkeys(item for item in old if item.thing == gone))
        for stroke in done.strokes:
            item = stroke.item if stroke.act is Act.CHANGE else None
            if item is not None and item in old and item not in changes:
                changes[item] = present_value(profile, stroke.before, item.pattern)
    return old.changed(changes)

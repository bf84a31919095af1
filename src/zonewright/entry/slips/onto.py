"""What each answer of a sheet is keyed onto: what stood there by then.

Rules of this file:
1. It is read off the strokes of the sheet, never off the two Programmes: what is taken out and keyed again, or fell
   back because another answer changed, is keyed though both of them hold the same.
"""

from __future__ import annotations

from collections.abc import Iterable

from zonewright.entry.keypad.standing import present_value
from zonewright.entry.keypad.strokes import Act, Driven
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, Value


def keyed_onto(profile: Profile, old: Programme, driven: Iterable[Driven]) -> Programme:
    """Return what stood at each answer when a sheet keyed it; without what is keyed from nothing."""
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

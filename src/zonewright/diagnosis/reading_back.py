"""The keys that read back all answers about one thing: a zone, a person, a remote, or a group of settings.

Rules of this file:
1. Keys are those of the closing walk (`entry/sheets/walk.py`): nothing is changed, nothing is saved.
2. They start from the idle display of a panel that holds the plan. The aim is to find a question that shows something
   else, or doesn't come at all.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.entry.keypad.drive import setting_runs
from zonewright.entry.keypad.strokes import KeyingJob
from zonewright.entry.sheets.walk import WalkPart, reading_back
from zonewright.panel.programme import Thing
from zonewright.panel.resolve import Resolved


def parts_to_read(resolved: Resolved, thing: Thing) -> tuple[WalkPart, ...]:
    """Return the walk over each run of questions about a thing: "zone/3", "station"."""
    parts = (reading_back(resolved.profile, resolved.programme, job, thing) for job in _jobs(resolved, thing))
    return tuple(part for part in parts if part.readings)


def _jobs(resolved: Resolved, thing: Thing) -> Iterator[KeyingJob]:
    mine = {item: value for item, value in resolved.programme.values.items() if item.thing == thing}
    if thing.number is not None:
        yield KeyingJob(thing.group, thing.number, False, mine)
        return
    for run in setting_runs(resolved.profile):
        wanted = {item: mine[item] for item in run if item in mine}
        if wanted:
            yield KeyingJob("", None, False, wanted)

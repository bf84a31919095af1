"""The numbers that a panel gave, written into the site file that left them to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from zonewright.desk.job import Job
from zonewright.findings import BadInput, Path
from zonewright.panel.resolve import Resolved
from zonewright.site.edits import edited


@dataclass(frozen=True, slots=True)
class Numbered:
    """Which values were written, by where they stand, and the whole text with them."""

    values: Mapping[Path, str]
    text: str


def numbered(job: Job) -> Numbered:
    """Return the site file with the numbers of zones, people and remotes that were "next free".

    Nothing else of it changes; where every number stands already, nothing at all does. Raises `BadInput` where the file
    can't be read again, and `CannotEdit` as `edited` does.
    """
    values = _next_free(job.resolved)
    text, unreadable = job.source.text(job.name)
    if unreadable:
        raise BadInput(unreadable)
    return Numbered(values, edited(text, job.file, values) if values else text)


def _next_free(resolved: Resolved) -> dict[Path, str]:
    values: dict[Path, str] = {}
    for given, origin in resolved.zones.items():
        if not origin.given:
            values[(*origin.path, "number" if origin.path[-1] == "zone" else "zone")] = str(given)
    people, remotes = resolved.site.people, resolved.site.remotes
    values |= {("people", name, "slot"): str(n) for n, name in resolved.users.items() if people[name].slot is None}
    values |= {("remotes", name, "slot"): str(n) for n, name in resolved.remotes.items() if remotes[name].slot is None}
    return values

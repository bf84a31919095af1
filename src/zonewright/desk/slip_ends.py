"""Where a sheet ends after one wrong key, found by as many processes as the machine has cores.

Rules of this file:
1. It decides nothing: the ends of each job are found by `Sheet.ends`, here or in another process, and come in the same
   order.
2. Another process is a copy of this one, where the system has that; else all is done here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from zonewright.desk import cores
from zonewright.entry.keypad.strokes import Driven
from zonewright.entry.slips.astray import Astray, SheetJobs
from zonewright.panel.profile import Profile

WORTH_SHARING = 12  # jobs; fewer are keyed sooner than processes are begun
TOGETHER = 4  # jobs that follow one another and share what was keyed

_sheet: SheetJobs | None = None  # in a copy of this process alone: what it works on


def ends_of(profile: Profile, driven: Sequence[Driven]) -> Iterator[Astray]:
    """Give every end to which something wrong at one step leads, each once a step; the same as `astray`."""
    sheet, processes = SheetJobs(profile, driven), cores.available()
    if processes < 2 or len(driven) < WORTH_SHARING:
        yield from sheet.all_ends()
        return
    with cores.copies(processes, initializer=_works_on, arguments=(sheet,)) as pool:
        starts = range(0, len(driven), TOGETHER)
        for found in pool.imap(_ends, [range(n, min(n + TOGETHER, len(driven))) for n in starts]):
            yield from found


def _works_on(sheet: SheetJobs) -> None:
    global _sheet  # noqa: PLW0603 - of a copy, which does this one job and no other
    _sheet = sheet


def _ends(places: Sequence[int]) -> list[Astray]:
    assert _sheet is not None  # a copy is told at birth
    return [each for place in places for each in _sheet.ends(place)]

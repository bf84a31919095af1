"""What the panel will do, for the pages: fused strips, what is the same for all, and a sentence for each zone.

Rules of this file:
1. Nothing is computed here: bars, rows and sentences are `behaviour`'s; only their print is chosen.
2. A row of more than `NAMED` zones prints ranges of numbers; the names are in the schedule.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from zonewright.documents.records import Fact, Foreseen, StripArea, StripBar, StripRow, StripTable
from zonewright.documents.schedule import unbroken
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber, span
from zonewright.words.matrix import Cause, Matrix, site_troubles
from zonewright.words.sentence import sentence
from zonewright.words.strips import (
    MatrixBar,
    MatrixRow,
    common,
    common_in_words,
    never_armed_in_words,
    site_trouble_in_words,
    strips,
)
from zonewright.words.telling import ranges, share_a_cover
from zonewright.words.tracks import Names, called

NAMED = 6
ROOM_FOR_A_NAME = 3  # modes that a bar must span to tell which message is sent


def foreseen(
    made: Matrix, areas: Mapping[int, str], names: Names, on_one_device: Iterable[Sequence[ZoneNumber]] = ()
) -> Foreseen:
    """Return the pages of what happens.

    `areas` gives each area's name by its number, `names` what texts call them; `on_one_device` the zones of each
    device that has several.
    """
    tables, same = [_table("A zone opens and stays open", made, Cause.OPENS, areas)], []
    for cause in (Cause.TAMPER, Cause.LOW_BATTERY, Cause.MISSING):
        found = common(made, cause)
        if found is not None:
            same.append(unbroken(common_in_words(found)))
        elif strips(made, cause):
            tables.append(_table(cause.value.capitalize(), made, cause, areas))
    same += [unbroken(share_a_cover(made.setup, zones)) for zones in on_one_device]
    same += [unbroken(called(text, names)) for text in never_armed_in_words(made.never)]
    same += [unbroken(site_trouble_in_words(row)) for row in site_troubles(made.setup)]
    zones = []
    for zone in made.setup.zones:
        text = unbroken(called(sentence(made, zone.number), names))[len(zone.label) + 2 :]
        zones.append((int(zone.number), zone.label, text[:1].upper() + text[1:]))
    return Foreseen(tuple(mode.value for mode in Mode), tuple(tables), tuple(same), tuple(zones))


def _table(title: str, made: Matrix, cause: Cause, areas: Mapping[int, str]) -> StripTable:
    labels = {zone.number: zone.label for zone in made.setup.zones}
    return StripTable(
        title,
        tuple(
            StripArea(_names(each.areas, areas), tuple(_row(row, labels) for row in each.rows))
            for each in strips(made, cause)
        ),
    )


def _names(numbers: Iterable[int], areas: Mapping[int, str]) -> str:
    text = " and ".join(areas.get(number, f"area {number}") for number in sorted(numbers))
    return text[:1].upper() + text[1:]


def _row(row: MatrixRow, labels: Mapping[ZoneNumber, str]) -> StripRow:
    many = len(row.zones) > NAMED
    named = () if many else tuple(Fact(str(number), labels[number]) for number in row.zones)
    return StripRow(named, ranges(row.zones) if many else "", tuple(_bar(bar) for bar in row.bars))


def _bar(bar: MatrixBar) -> StripBar:
    sent = ""
    if bar.message is not None:
        late = f" after {span(bar.message_after)}" if bar.message_after else ""
        sent = f"{bar.message}{late}" if len(bar.modes) >= ROOM_FOR_A_NAME else f"sent{late}"
    return StripBar(len(bar.modes), bar.mark.value, unbroken(bar.short), unbroken(sent))

"""The matrix as text: bars of what follows from each zone's opening, troubles in sentences; and its cells as data."""

from __future__ import annotations

from collections.abc import Mapping

from zonewright.behaviour.setup import Setup
from zonewright.behaviour.wires import wire_words
from zonewright.cli.terminal import columns, cut, paragraph
from zonewright.panel.behaviours import Mode
from zonewright.panel.resolve import Resolved
from zonewright.site.record import span
from zonewright.words.matrix import Cause, Matrix, site_troubles
from zonewright.words.sentence import sentence, while_its_pair_is_set_otherwise
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
from zonewright.words.tracks import Names, called, names_of

LABEL, MODE = 26, 13  # columns of the screen


def matrix_lines(resolved: Resolved, made: Matrix, width: int) -> list[str]:
    """Return the matrix as lines: strips where they fit, else a sentence for each zone."""
    names = names_of(resolved)
    if width < LABEL + 4 * MODE:
        told = (called(sentence(made, zone.number), names) for zone in made.setup.zones)
        return [line for text in (*told, *_never_armed(made, names)) for line in paragraph(text, width, "", "  ")]
    lines = strip_lines(made, {number: name for name, number in resolved.areas.items()})
    lines.append("")
    for zone in made.setup.zones:
        otherwise = while_its_pair_is_set_otherwise(made.setup, zone)
        if otherwise:
            text = f"Zone {zone.number} {zone.label}, whose pair is in another area: {'; '.join(otherwise)}."
            lines += paragraph(called(text, names), width, "", "  ")
    for cause in (Cause.TAMPER, Cause.LOW_BATTERY, Cause.MISSING):
        lines += cause_lines(made, cause, width)
    for zones in resolved.on_one_device():
        lines += paragraph(share_a_cover(made.setup, zones), width, "", "  ")
    lines += wires_lines(made, width)
    lines += [line for text in _never_armed(made, names) for line in paragraph(text, width, "", "  ")]
    lines += ["", "The panel itself:"]
    for row in site_troubles(made.setup):
        lines += paragraph(site_trouble_in_words(row), width, "  ", "    ")
    return lines


def _never_armed(made: Matrix, names: Names) -> list[str]:
    return [called(text, names) for text in never_armed_in_words(made.never)]


def strip_lines(made: Matrix, areas: Mapping[int, str]) -> list[str]:
    """Return the zones area by area, each with the bars of what follows from its opening."""
    head = "What happens".ljust(LABEL) + "".join(mode.value.ljust(MODE) for mode in Mode)
    lines = [head.rstrip()]
    for area in strips(made):
        lines += ["", " and ".join(areas[number] for number in sorted(area.areas)).capitalize()]
        for row in area.rows:
            lines += row_lines(made.setup, row)
    return lines


def cause_lines(made: Matrix, cause: Cause, width: int) -> list[str]:
    """Return what follows from a trouble: a sentence where nearly all zones agree, else their bars."""
    found = common(made, cause)
    if found is None and not any(made.tells(zone, cause) for zone in made.setup.zones):
        return []
    if found is not None:
        return paragraph(common_in_words(found), width, "", "  ")
    rows = [line for area in strips(made, cause) for row in area.rows for line in row_lines(made.setup, row)]
    return [f"Zone by zone, {cause.value}:", *rows]


def wires_lines(made: Matrix, width: int) -> list[str]:
    """Return what becomes of a cut or a short of each loop's wire."""
    by_words: dict[str, list[int]] = {}
    for zone in made.setup.zones:
        if words := wire_words(zone):
            by_words.setdefault("; ".join(words), []).append(zone.number)
    told = (f"Wired zones {ranges(numbers)}: {words}." for words, numbers in by_words.items())
    return [line for text in told for line in paragraph(text, width, "", "  ")]


def row_lines(setup: Setup, row: MatrixRow) -> list[str]:
    """Return the lines of zones that act alike: each with its label, the bars beside the first."""
    labels = {zone.number: zone.label for zone in setup.zones}
    names = [f"{number:>4} {cut(labels[number], LABEL - 6)}" for number in row.zones]
    first = names[0].ljust(LABEL) + "".join(bar_text(bar) for bar in row.bars)
    return [first.rstrip(), *names[1:]]


def bar_text(bar: MatrixBar) -> str:
    """Return a bar as wide as its modes: `[siren after 30 s ............ sent after 60 s]`; nothing is a dash."""
    room = MODE * len(bar.modes)
    if bar.words == "nothing":
        return "-".ljust(room)
    inner = room - 3
    sent = ""
    if bar.message is not None:
        sent = "sent" if not bar.message_after else f"sent after {span(bar.message_after)}"
        if columns(bar.short) + columns(sent) + 2 > inner:
            sent = "sent"
    left = cut(bar.short, inner - columns(sent) - (1 if sent else 0))
    gap = inner - columns(left) - columns(sent)
    filled = f" {'.' * (gap - 2)} " if sent and gap > 3 else " " * gap
    return f"[{left}{filled}{sent}]".ljust(room)

"""What `check`, `matrix` and `explain` print of a readback: what is certain, and what must still be found out."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from zonewright.checks.readbacks import JudgedReadback
from zonewright.cli.findings_text import report
from zonewright.cli.matrix_text import cause_lines, strip_lines
from zonewright.cli.opening import readback_at
from zonewright.cli.plain_data import print_result
from zonewright.cli.terminal import Screen, Styled, paragraph
from zonewright.desk.readbacks import Untold, judged_readback, read_explained, read_matrix, read_sentences
from zonewright.desk.results.findings import findings_alone
from zonewright.desk.results.matrices import explanation_of_readback, matrix_of_readback
from zonewright.entry.keypad.review import called
from zonewright.findings import Severity
from zonewright.panel.programme import Item
from zonewright.panel.readback_file import OpenedReadback
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import Cause


def words_of(item: Item) -> str:
    """Return an item, or a group of which not all was read, in words: "zone 3 chime", "exit time", "further zones"."""
    if not item.thing:
        return {"user": "further people"}.get(item, f"further {item}s")
    if item.is_of_many:
        return f"{called(item.group)} {item.number} {item.words}"
    return item.words if item.group == "setting" else f"{item.group} {item.words}"


def check_readback(path: Path, screen: Screen, *, as_json: bool) -> int:
    """Judge what a panel holds as far as it was read."""
    opened = readback_at(path)
    judged = judged_readback(opened)
    if as_json:
        print_result(findings_alone(judged.findings, judged.unjudged))
    else:
        screen.say(*_check_lines(opened, judged, screen.width))
    return 1 if judged.findings or judged.unjudged else 0


def _check_lines(opened: OpenedReadback, judged: JudgedReadback, width: int) -> list[str | Styled]:
    lines: list[str | Styled] = [f"{opened.file}, read back from {opened.profile.panel}", ""]
    lines += report(judged.findings, width)[:-1] if judged.findings else []
    number = Counter(finding.severity for finding in judged.findings)
    number[Severity.UNKNOWN] = len(judged.unjudged)
    lines.append(", ".join(f"{number[severity]} {severity.value}" for severity in Severity))
    if judged.unjudged:
        lines += ["", "Not known, and the rules that for want of it can't be judged, at all or there:"]
    for item, codes in judged.wanted.items():
        lines += paragraph(f"{words_of(item)}: {', '.join(codes)}", width, "  ", "      ")
    return lines


def show_matrix_of_readback(path: Path, screen: Screen, *, as_json: bool) -> int:
    """Show the matrix of all zones of which it can be told."""
    found = read_matrix(readback_at(path))
    if as_json:
        print_result(matrix_of_readback(found))
        return 0
    opens, names = found.told[Cause.OPENS], {int(number): f"area {number}" for number in found.setup.areas}
    lines = strip_lines(opens, names) if opens.cells else []
    for cause in (Cause.TAMPER, Cause.LOW_BATTERY, Cause.MISSING):
        if found.told[cause].cells:
            lines += [*([""] if lines else []), *cause_lines(found.told[cause], cause, screen.width)]
    screen.say(*lines, *_untold_lines(found.untold, screen.width)[0 if lines else 1 :])
    return 0


def explain_readback(path: Path, screen: Screen, zone: str | None, *, as_json: bool) -> int:
    """Tell in words what each zone, or one, does, where that can be told."""
    opened = readback_at(path)
    found = read_sentences(opened) if zone is None else read_explained(opened, zone)
    if as_json:
        print_result(explanation_of_readback(found))
        return 0
    for number, text in found.told.items():
        for line in text.splitlines():
            start = f"{number:>4}  " if zone is None else " " * (len(line) - len(line.lstrip()))
            screen.say(*(paragraph(line, screen.width, start, " " * (len(start) + 4)) if line.strip() else [""]))
    screen.say(*_untold_lines(found.untold, screen.width)[0 if found.told else 1 :])
    return 0


def _untold_lines(untold: Untold, width: int) -> list[str]:
    """Return the lines that say what can't be told, and what would have to be known for it."""
    lines = ["", "Not known:"] if untold.needs else []
    for number, causes in untold.needs.items():
        by_items: dict[tuple[Item, ...], list[str]] = {}
        for cause, items in causes.items():
            by_items.setdefault(items, []).append(cause.value)
        told = "; ".join(
            ("" if len(by_items) == 1 and len(causes) == len(Cause) else f"{', '.join(names)}: ")
            + ", ".join(_beside_zone(item, number) for item in items)
            for items, names in by_items.items()
        )
        lines += paragraph(f"{untold.labels[number]} - {told}", width, f"{number:>4} ", "        ")
    if untold.unnamed:
        numbers = ", ".join(str(number) for number in untold.unnamed)
        lines += ["", *paragraph(f"Of zone {numbers} the place or the label isn't known.", width, "", "  ")]
    if not untold.all_zones:
        lines += ["", "Nobody said that these are all zones of the panel."]
    return lines


def _beside_zone(item: Item, number: ZoneNumber) -> str:
    return item.words if item.thing == f"zone/{number}" else words_of(item)

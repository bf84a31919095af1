"""What `check`, `matrix` and `explain` tell of a readback: what is certain, and for the rest what must be found out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path

from zonewright.behaviour.setup import UnusableValues
from zonewright.checks.half_known import JudgedReadback, judge
from zonewright.cli.matrix_text import cause_lines, strip_lines
from zonewright.cli.opening import readback_at
from zonewright.cli.plain_data import print_result
from zonewright.cli.telling import report
from zonewright.cli.terminal import Screen, Styled, paragraph
from zonewright.desk.results import matrices as results
from zonewright.desk.results.findings import findings_alone
from zonewright.entry.keypad.review import called
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.programme import UNKNOWN, Item, item_of
from zonewright.panel.readback_file import OpenedReadback
from zonewright.site.record import ZoneNumber
from zonewright.words.explain import explain
from zonewright.words.half_known import HalfKnown, KnownMatrix, half_known, known_matrix
from zonewright.words.matrix import Cause, Matrix
from zonewright.words.sentence import sentence

IN_SENTENCES = (Cause.OPENS, Cause.LOW_BATTERY, Cause.MISSING)


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
    try:
        judged = judge(opened)
    except UnusableValues as wrong:
        raise _unusable(opened, wrong) from wrong
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
    wanted: dict[str, list[str]] = {}
    for code, items in judged.unjudged.items():
        for item in dict.fromkeys(items):
            wanted.setdefault(item, []).append(code)
    for item, codes in sorted(wanted.items(), key=lambda each: -len(each[1])):
        lines += paragraph(f"{words_of(Item(item))}: {', '.join(codes)}", width, "  ", "      ")
    return lines


def matrix_of_readback(path: Path, screen: Screen, *, as_json: bool) -> int:
    """Show the matrix of all zones of which it can be told."""
    opened, half = _half(path)
    made = known_matrix(half)
    if as_json:
        print_result(results.matrix_of_readback(half, made))
        return 0
    names = {int(number): f"area {number}" for number in half.setup.areas}
    lines = strip_lines(made.told[Cause.OPENS], names) if made.told[Cause.OPENS].cells else []
    for cause in (Cause.TAMPER, Cause.LOW_BATTERY, Cause.MISSING):
        if made.told[cause].cells:
            lines += [*([""] if lines else []), *cause_lines(made.told[cause], cause, screen.width)]
    screen.say(*lines, *_not_told(opened, half, made.needed, screen.width)[0 if lines else 1 :])
    return 0


def explain_readback(path: Path, screen: Screen, zone: str | None, *, as_json: bool) -> int:
    """Tell in words what each zone, or one, does, where that can be told."""
    opened, half = _half(path)
    told: dict[ZoneNumber, str] = {}
    needed: dict[ZoneNumber, Mapping[Cause, tuple[Item, ...]]] = {}
    if zone is None:
        made = known_matrix(half, IN_SENTENCES)
        needed, joined = dict(made.needed), _joined(half, made)
        for number in _told_in_all(half, made):
            told[number], looked = half.needs(lambda number=number: sentence(joined, number))  # type: ignore[misc]
            if looked:
                del told[number]
                needed[number] = {Cause.OPENS: looked}
    else:
        others = {item for of, items in half.untold.items() for item in items if of not in _meant(opened, zone)}
        others |= set() if "zone" in opened.readback.no_more else {Item("zone")}
        for number in _meant(opened, zone):
            if others or number in half.untold:  # what leaving leads to depends on every door there is
                needed[number] = {Cause.OPENS: (*half.untold.get(number, ()), *others)}
                continue
            told[number], looked = half.needs(lambda number=number: explain(half.setup, number).text())  # type: ignore[misc]
            if looked:
                del told[number]
                needed[number] = {Cause.OPENS: looked}
    if as_json:
        print_result(results.explanation(told, results.not_known(needed)))
        return 0
    for number, text in told.items():
        for line in text.splitlines():
            start = f"{number:>4}  " if zone is None else " " * (len(line) - len(line.lstrip()))
            screen.say(*(paragraph(line, screen.width, start, " " * (len(start) + 4)) if line.strip() else [""]))
    screen.say(*_not_told(opened, half, needed, screen.width)[0 if told else 1 :])
    return 0


def _half(path: Path) -> tuple[OpenedReadback, HalfKnown]:
    opened = readback_at(path)
    try:
        return opened, half_known(opened.programme, opened.profile)
    except UnusableValues as wrong:
        raise _unusable(opened, wrong) from wrong


def _unusable(opened: OpenedReadback, wrong: UnusableValues) -> BadInput:
    return BadInput(
        Finding("RBK-08", Severity.PROBLEM, item, says, opened.places.get(item), fix="look again at the panel")
        for item, says in wrong.reasons.items()
    )


def _not_told(
    opened: OpenedReadback,
    half: HalfKnown,
    needed: Mapping[ZoneNumber, Mapping[Cause, tuple[Item, ...]]],
    width: int,
) -> list[str]:
    """Return the lines that say what can't be told, and what would have to be known for it."""
    lines = [] if not needed else ["", "Not known:"]
    for number, causes in sorted(needed.items()):
        by_items: dict[tuple[Item, ...], list[str]] = {}
        for cause, items in causes.items():
            by_items.setdefault(items, []).append(cause.value)
        told = "; ".join(
            ("" if len(by_items) == 1 and len(causes) == len(Cause) else f"{', '.join(names)}: ")
            + ", ".join(_beside_zone(item, number) for item in items)
            for items, names in by_items.items()
        )
        lines += paragraph(f"{_label(opened, number)} - {told}", width, f"{number:>4} ", "        ")
    if half.unnamed:
        numbers = ", ".join(str(number) for number in sorted(half.unnamed))
        lines += ["", *paragraph(f"Of zone {numbers} the place or the label isn't known.", width, "", "  ")]
    if "zone" not in opened.readback.no_more:
        lines += ["", "Nobody said that these are all zones of the panel."]
    return lines


def _beside_zone(item: Item, number: ZoneNumber) -> str:
    return item.words if item.thing == f"zone/{number}" else words_of(item)


def _label(opened: OpenedReadback, number: int) -> str:
    known = [opened.programme.get(item_of("zone", number, field)) for field in ("place", "label")]
    return " ".join(each for each in known if each is not None and each != UNKNOWN) or f"zone {number}"


def _told_in_all(half: HalfKnown, made: KnownMatrix) -> list[ZoneNumber]:
    return [zone.number for zone in half.setup.zones if zone.number not in made.needed]


def _joined(half: HalfKnown, made: KnownMatrix) -> Matrix:
    return Matrix(half.setup, tuple(cell for each in made.told.values() for cell in each.cells))


def _meant(opened: OpenedReadback, word: str) -> list[ZoneNumber]:
    """Return the zones that a number or a label means; raises `BadInput` if there is none."""
    numbers = opened.programme.numbers("zone")
    if word.isascii() and word.isdigit() and int(word) in numbers:
        return [ZoneNumber(int(word))]
    found = [
        ZoneNumber(number)
        for number in numbers
        if word in (_label(opened, number), opened.programme.get(item_of("zone", number, "label")))
    ]
    if not found:
        allowed = ", ".join(str(number) for number in numbers)
        says, fix = "the readback has no such zone or label", "write a zone's number or its label"
        raise BadInput([Finding("USE-02", Severity.PROBLEM, f'zone "{word}"', says, allowed=allowed, fix=fix)])
    return found

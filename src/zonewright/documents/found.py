"""Findings for the pages, the worst first; accepted ones stay in sight with who took them, when and why."""

from __future__ import annotations

from pathlib import PurePath

from zonewright.checks.check import Accepted, Judged
from zonewright.documents.records import Found, FoundRow
from zonewright.documents.schedule import day_in_words
from zonewright.findings import Finding, Severity


def found(judged: Judged) -> Found:
    """Return what was found, in the order in which it is to be read."""
    rank = list(Severity)

    def order(finding: Finding) -> tuple[int, str, int, str]:
        place = finding.place
        return rank.index(finding.severity), place.file if place else "", place.line if place else 0, finding.code

    accepted = sorted(judged.accepted, key=lambda word: order(word.finding))
    return Found(
        tuple(_row(finding) for finding in sorted(judged.findings, key=order)),
        tuple(_row(word.finding, _who(word)) for word in accepted),
    )


def _who(word: Accepted) -> str:
    return f"{word.by}, {day_in_words(word.on)}: {word.because}"


def _row(finding: Finding, accepted: str = "") -> FoundRow:
    place = finding.place
    return FoundRow(
        mark=finding.severity.value,
        code=finding.code,
        thing=finding.thing,
        place=f"{PurePath(place.file).name}:{place.line}" if place else "",
        says=_as_sentence(finding.says),
        why=_as_sentence(finding.why),
        fix=_as_sentence(finding.fix),
        source=_as_sentence(finding.source),
        accepted=accepted and _as_sentence(accepted),
    )


def _as_sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}." if text else ""

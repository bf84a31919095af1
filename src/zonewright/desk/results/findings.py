"""What was found in a file or a design, and the rules that find it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from zonewright.checks.catalogue import Rule
from zonewright.checks.check import Judged, rules
from zonewright.desk.results.result import Part, Result
from zonewright.findings import BadInput, Finding, Severity, in_report_order, nearest
from zonewright.findings.catalogue import ADVICE, CODES

Weight = Literal["must mend", "look at", "not known"]


class MendingPart(Part):
    """What to write at which field so that a finding is gone."""

    path: tuple[str | int, ...]
    value: str


class FindingPart(Part):
    """One finding: what it is about, what is wrong with it and where, and what to write instead.

    `path` is the field that it is about, in the words of the file, also where the file lacks it.
    """

    code: str
    severity: Weight
    thing: str
    says: str
    file: str | None
    line: int | None
    column: int | None
    wrote: str | None
    allowed: str | None
    nearest: str | None
    why: str | None
    fix: str | None
    source: str | None
    subject: str | None
    path: tuple[str | int, ...] | None
    mending: MendingPart | None


class AcceptedPart(Part):
    """A finding that somebody accepted in the site file: who, on which day, and why."""

    finding: FindingPart
    by: str
    on: str
    because: str


class NotJudged(Part):
    """A rule that can't be judged at all, or not everywhere, until these items are known."""

    code: str
    needs: tuple[str, ...]


class Findings(Result):
    """All that was found, the worst first."""

    kind: Literal["findings"] = "findings"
    findings: tuple[FindingPart, ...]
    accepted: tuple[AcceptedPart, ...] = ()
    not_judged: tuple[NotJudged, ...] = ()


class ExamplePart(Part):
    """A site of the demo in which a rule finds something: with these lines of a site file over its own, or as it is."""

    site_file: str
    lines: tuple[str, ...]


class RulePart(Part):
    """A rule that `check` judges by, or what other findings of one code have in common.

    These have no reason, no source and no example.
    """

    code: str
    title: str
    topic: str
    severity: Weight
    why: str | None
    fix: str
    source: str | None
    example: ExamplePart | None


class Rules(Result):
    """The rules that `check` judges by, or what one code means."""

    kind: Literal["rules"] = "rules"
    rules: tuple[RulePart, ...]


def findings_of(judged: Judged) -> Findings:
    """Return what was judged of a site."""
    accepted = tuple(
        AcceptedPart(finding=_part(word.finding), by=word.by, on=word.on.isoformat(), because=word.because)
        for word in judged.accepted
    )
    return Findings(findings=_parts(judged.findings), accepted=accepted)


def findings_alone(found: Iterable[Finding], unjudged: Mapping[str, Sequence[str]] | None = None) -> Findings:
    """Return findings that nobody can accept, with the rules that can't be judged for want of some items."""
    missing = tuple(NotJudged(code=code, needs=tuple(items)) for code, items in (unjudged or {}).items())
    return Findings(findings=_parts(found), not_judged=missing)


def rules_of(rules: Iterable[Rule]) -> Rules:
    """Return some rules."""
    return Rules(
        rules=tuple(
            RulePart(
                code=each.code,
                title=each.title,
                topic=each.topic,
                severity=each.severity.value,
                why=each.why,
                fix=each.fix,
                source=each.source,
                example=ExamplePart(site_file=each.example.site_file, lines=each.example.lines),
            )
            for each in rules
        )
    )


def code_of(code: str) -> Rules:
    """Return what a code means, a rule's or any other finding's; raises `BadInput` for one that there isn't."""
    asked, judged = code.upper(), rules()
    if asked in judged:
        return rules_of([judged[asked]])
    if asked in CODES:
        known = CODES[asked]
        part = RulePart(
            code=asked,
            title=known.title,
            topic=known.topic,
            severity="look at" if asked in ADVICE else "must mend",
            why=None,
            fix=known.fix,
            source=None,
            example=None,
        )
        return Rules(rules=(part,))
    near = nearest(asked, [*judged, *CODES])
    raise BadInput(
        [
            Finding(
                "USE-01",
                Severity.PROBLEM,
                f'code "{code}"',
                "no finding has this code",
                nearest=near[0] if near else None,
                fix="look it up in the list of rules",
            )
        ]
    )


def _parts(findings: Iterable[Finding]) -> tuple[FindingPart, ...]:
    return tuple(map(_part, in_report_order(findings)))


def _part(finding: Finding) -> FindingPart:
    place, mending = finding.place, finding.mending
    return FindingPart(
        code=finding.code,
        severity=finding.severity.value,
        thing=finding.thing,
        says=finding.says,
        file=place.file if place else None,
        line=place.line if place else None,
        column=place.column if place else None,
        wrote=finding.wrote,
        allowed=finding.allowed,
        nearest=finding.nearest,
        why=finding.why or None,
        fix=finding.fix or None,
        source=finding.source or None,
        subject=finding.subject or None,
        path=(place.path or None) if place else None,
        mending=MendingPart(path=mending.path, value=mending.value) if mending else None,
    )

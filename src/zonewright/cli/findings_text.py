"""Findings in words for a terminal, and as JSON for programs.

Two forms, because two questions are asked. A mistake in what was typed: where is it, what stood there, what may stand
there. A finding about the design: how bad is it, which rule, what is it about, why, and what to do.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from zonewright.cli.terminal import BOLD, DIM, WIDEST, Styled, paragraph
from zonewright.findings import Finding, Severity, in_report_order, place_key

MARKS = {Severity.PROBLEM: "X", Severity.ADVICE: "!", Severity.UNKNOWN: "?"}
HERE = {  # how a terminal goes the way out that a finding's code names
    "SAVE-01": "--force",
    "READ-OUT": "zonewright --outside VERB ...",
    "CSV-02": "--map FIELD=COLUMN",
    "ENT-04": "zonewright readback PANEL FILE",
    "USE-01": "zonewright rules",
    "USE-08": "without --since",
}
INDENT = " " * 14  # under the rule's code, right of mark and word
LABEL = 12  # columns of "you wrote", "allowed", "do"


def mistakes(findings: Iterable[Finding], width: int = WIDEST) -> list[str]:
    """Return the lines that tell what is wrong with an input, each mistake with its place and the way out."""
    lines: list[str] = []
    for finding in in_file_order(findings):
        place = f"{finding.place}  " if finding.place else ""
        lines += paragraph(f"{finding.thing}: {finding.says}", width, place, " " * 4)
        for label, text in (
            ("you wrote", finding.wrote),
            ("allowed", finding.allowed),
            ("did you mean", finding.nearest),
            ("why", finding.why),
            ("do", way_out(finding)),
        ):
            if text:
                lines += paragraph(text, width, f"    {label:{LABEL}}{'' if len(label) < LABEL else '  '}", " " * 16)
    return lines


def report(findings: Iterable[Finding], width: int = WIDEST) -> list[str | Styled]:
    """Return the lines that tell findings about a design, the worst first, with the count as the last line."""
    ordered = in_report_order(findings)
    lines: list[str | Styled] = []
    for finding in ordered:
        head = headline(finding, width)
        lines += [Styled(line, BOLD) for line in head] if finding.severity is Severity.PROBLEM else head
        lines += paragraph(sentence(finding), width, INDENT)
        if finding.fix:
            lines += paragraph(way_out(finding), width, f"{INDENT}do: ")
        if finding.source:
            lines += [Styled(line, DIM) for line in paragraph(finding.source, width, f"{INDENT}source: ")]
        lines.append("")
    return [*lines, counts(ordered)]


def way_out(finding: Finding) -> str:
    """Return what to do about a finding, with how it is done here."""
    here = HERE.get(finding.code)
    return f"{finding.fix} ({here})" if here and finding.fix else finding.fix


def sentence(finding: Finding) -> str:
    """Return what was found and why it matters as one sentence."""
    text = ": ".join(part.rstrip(".") for part in (finding.says, finding.why) if part)
    return f"{text[:1].upper()}{text[1:]}."


def headline(finding: Finding, width: int) -> list[str]:
    """Return mark, word, rule, place and thing of one finding."""
    place = f"{finding.place.file}:{finding.place.line}" if finding.place else ""
    mark = f"{MARKS[finding.severity]} {finding.severity.value}".ljust(len(INDENT))
    return paragraph(
        finding.thing, width, mark + "".join(f"{part}  " for part in (finding.code, place) if part), INDENT
    )


def counts(findings: Sequence[Finding]) -> str:
    """Return how many findings there are of each severity: "1 must mend, 2 look at, 0 not known"."""
    if not findings:
        return "ok  nothing found"
    number = Counter(finding.severity for finding in findings)
    return ", ".join(f"{number[severity]} {severity.value}" for severity in Severity)


def in_file_order(findings: Iterable[Finding]) -> list[Finding]:
    """Sort findings by their place; those without one come first, as they were given."""
    return sorted(findings, key=place_key)

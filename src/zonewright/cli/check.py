"""`check` and `rules`: what is doubtful about a design, and the catalogue it is judged by."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.checks.check import Judged, rules
from zonewright.cli.findings_text import counts, report
from zonewright.cli.opening import job_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.tables import table
from zonewright.cli.terminal import Styled, paragraph, screen_of
from zonewright.desk.results.findings import ExamplePart, code_of, findings_of, rules_of
from zonewright.panel.readback_file import is_readback
from zonewright.panel.resolve import Resolved


@click.command()
@click.argument("site", type=FILE)
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def check(site: Path, as_json: bool) -> int:
    """Judge the design in SITE by every rule.

    Mistakes in the file, and what the panel can't do, come first (exit code 2). Then each doubt about the design with
    its reason and what to do (exit code 1). Nothing found: exit code 0. SITE may be a readback, too: then what can't be
    judged for want of knowledge is told, and counts as found.

    \b
    zonewright check larkfield.yaml
    zonewright check larkfield.yaml --json
    """
    if is_readback(site):
        from zonewright.cli.readback_text import check_readback

        return check_readback(site, screen_of(sys.stdout), as_json=as_json)
    job = job_at(site)
    judged = job.judged
    screen = screen_of(sys.stdout)
    if as_json:
        print_result(findings_of(judged))
    else:
        screen.say(*check_lines(job.resolved, judged, screen.width))
    return 1 if judged.findings else 0


def check_lines(resolved: Resolved, judged: Judged, width: int) -> list[str | Styled]:
    """Return what `check` prints: the site with the count, each finding, then what is accepted."""
    name = f"{resolved.site.site}, revision {resolved.site.revision}"
    summary = counts(judged.findings)
    gap = width - len(name) - len(summary)
    lines: list[str | Styled] = [f"{name}{' ' * gap}{summary}" if gap > 1 else name, ""]
    if judged.findings:
        lines += report(judged.findings, width)[: -2 if gap > 1 else None]
    if not resolved.zones:
        lines.append("There is no zone yet: nothing of what the panel does could be judged.")
    return lines + accepted_lines(judged, width)


def accepted_lines(judged: Judged, width: int) -> list[str | Styled]:
    """Return the lines that tell what somebody has accepted."""
    lines: list[str | Styled] = ["", "Accepted as it is:"] if judged.accepted else []
    for word in judged.accepted:
        told = f"{word.finding.thing}: {word.finding.says}. {word.by}, {word.on}: {word.because}."
        lines += paragraph(told, width, f"  {word.finding.code}  ")
    return lines


@click.command("rules")
@click.argument("code", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print the rules as JSON.")
def list_rules(code: str | None, as_json: bool) -> int:
    """List the rules that `check` judges by, or tell what a CODE means: a rule's or any other finding's.

    \b
    zonewright rules
    zonewright rules SUP-01
    zonewright rules READ-FIELD
    """
    found = rules_of(rules().values()) if code is None else code_of(code)
    screen = screen_of(sys.stdout)
    if as_json:
        print_result(found)
    elif code is not None:
        (each,) = found.rules
        screen.say(f"{each.code}  {each.title}  ({each.severity})")
        for label, text in (("why", each.why), ("do", each.fix), ("source", each.source)):
            screen.say(*paragraph(text, screen.width, f"  {label:8}")) if text else None
        screen.say(*example_lines(each.example, screen.width) if each.example is not None else ())
    else:
        rows = [(each.code, each.severity, each.topic, each.title) for each in found.rules]
        screen.say(*table(("code", "weight", "topic", "what is found"), rows, screen.width))
    return 0


def example_lines(example: ExamplePart, width: int) -> list[str]:
    """Return the lines that show a rule's example: which demo it is, then what it changes, indented as written."""
    how = "with" if example.lines else "as it is, without what it has accepted"
    told = paragraph(f"{example.site_file} of zonewright demo, {how}", width, f"  {'example':8}")
    for line in example.lines:
        text = line.lstrip()
        told += paragraph(text, width, " " * (10 + len(line) - len(text)))
    return told

"""All rules at once, and what of their findings somebody has accepted.

Rules of this file:
1. A finding is accepted for one rule and one thing, never for the whole site; the acceptance stays in sight.
2. An acceptance that no longer meets a finding is a finding itself: it may hide the next one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import zonewright.checks.behaviours
import zonewright.checks.devices
import zonewright.checks.identity
import zonewright.checks.layout
import zonewright.checks.musts
import zonewright.checks.power
import zonewright.checks.reporting
import zonewright.checks.times
import zonewright.checks.together  # noqa: F401 - importing a topic enters its rules
from zonewright.checks.catalogue import CATALOGUE, Rule
from zonewright.checks.job import Design
from zonewright.findings import Finding, Severity, nearest
from zonewright.panel.resolve import Resolved
from zonewright.site.model import Acceptance
from zonewright.site.plan import Plan


@dataclass(frozen=True, slots=True)
class Accepted:
    """A finding that somebody takes as it is."""

    finding: Finding
    by: str
    on: date
    because: str


@dataclass(frozen=True, slots=True)
class Judged:
    """What the catalogue says of one site."""

    findings: tuple[Finding, ...]
    accepted: tuple[Accepted, ...]


def rules() -> Mapping[str, Rule]:
    """Return every rule by its code, in order of the codes."""
    return dict(sorted(CATALOGUE.items()))


def check(resolved: Resolved, plan: Plan | None = None) -> Judged:
    """Judge a resolved site by every rule; those about rooms and openings need its plan."""
    job = Design(resolved, plan=plan)
    found = [finding for each in rules().values() for finding in each.findings(job)]
    taken = {(acceptance.rule, acceptance.for_): acceptance for acceptance in job.site.accept}
    open_findings: list[Finding] = []
    accepted: list[Accepted] = []
    used: set[tuple[str, str]] = set()
    for finding in found:
        word = taken.get((finding.code, finding.subject))
        if word is None:
            open_findings.append(finding)
        else:
            used.add((word.rule, word.for_))
            accepted.append(Accepted(finding, word.by, word.on, word.because))
    open_findings += [_idle(word) for key, word in taken.items() if key not in used]
    return Judged(tuple(open_findings), tuple(accepted))


def _idle(word: Acceptance) -> Finding:
    thing = f"acceptance of {word.rule} for {word.for_}"
    if word.rule not in CATALOGUE:
        near = nearest(word.rule, CATALOGUE)
        return Finding(
            "ACC-01",
            Severity.PROBLEM,
            thing,
            f'there is no rule "{word.rule}"' + (f"; did you mean {near[0]}" if near else ""),
            why="it accepts nothing, and somebody believes it does",
            fix="`zonewright rules` lists the codes",
            subject=word.for_,
        )
    return Finding(
        "ACC-02",
        Severity.ADVICE,
        thing,
        "the rule finds nothing there any more",
        why="an acceptance left behind would hide the next finding of its kind",
        fix="take it out of the site file",
        subject=word.for_,
    )

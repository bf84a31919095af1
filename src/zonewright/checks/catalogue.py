"""What a rule is, and the list of all of them.

Rules of this file:
1. One rule is one function. Its docstring's first line is its title, then `Why:`, `Fix:` and `Source:`; the list, the
   page of rules and every finding take their words from there.
2. A code is never used again for another rule.
3. A source that nobody here has read says so ("from memory", "seen second-hand").
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from zonewright.checks.job import Design, Doubt
from zonewright.findings import Finding, Mending, Severity

Check = Callable[[Design], Iterable[Doubt]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of the catalogue."""

    code: str
    title: str
    topic: str
    severity: Severity
    why: str
    fix: str
    source: str
    check: Check

    def findings(self, job: Design) -> Iterator[Finding]:
        """Judge a job by this rule."""
        for doubt in self.check(job):
            yield Finding(
                self.code,
                self.severity,
                doubt.thing,
                doubt.says,
                place=doubt.place,
                why=self.why,
                fix=doubt.fix or self.fix,
                source=self.source,
                subject=doubt.subject,
                mending=self._mending(job, doubt),
            )

    def _mending(self, job: Design, doubt: Doubt) -> Mending | None:
        """Return what to write where the way out begins with a value for the very field that the doubt is about."""
        sets = _SETS.match(doubt.fix or self.fix)
        if sets is None or doubt.place is None or doubt.place.path[-1:] != (sets["field"],):
            return None
        return job.resolved.written.mending(doubt.place.path, sets["value"])


CATALOGUE: dict[str, Rule] = {}
_SETS = re.compile(r"set `(?P<field>[a-z ]+): (?P<value>[^`]+)`")


def rule(code: str, *, severity: Severity, topic: str) -> Callable[[Check], Check]:
    """Put a function into the catalogue as the rule of this code."""

    def enter(check: Check) -> Check:
        assert code not in CATALOGUE, f"two rules have the code {code}"
        title, parts = _told(check.__doc__ or "")
        CATALOGUE[code] = Rule(code, title, topic, severity, parts["Why"], parts["Fix"], parts["Source"], check)
        return check

    return enter


def _told(docstring: str) -> tuple[str, dict[str, str]]:
    title, _, rest = docstring.strip().partition("\n")
    found = re.split(r"^\s*(Why|Fix|Source):", rest, flags=re.MULTILINE)
    parts = {name: " ".join(text.split()) for name, text in zip(found[1::2], found[2::2], strict=True)}
    return title.strip().rstrip("."), parts

"""What a rule is, and the list of all of them.

Rules of this file:
1. One rule is one function. Its docstring's first line is its title, then `Why:`, `Fix:`, `Source:` and `Example:`; the
   list, the page of rules and every finding take their words from there. A rule that lacks one of them isn't entered.
2. A code is never used again for another rule.
3. A source that nobody here has read says so ("from memory", "seen second-hand").
4. An example is one of the demo sites, `as it is` or `with` some lines of a site file. They are laid over its own: maps
   are joined, a text or a list stands in place of the old one, and `(left out)` takes a line away. Lines below `plan:`
   or `panel:` change the file that the demo names there.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from inspect import cleandoc
from textwrap import dedent

from zonewright.checks.job import Design, Doubt
from zonewright.findings import Finding, Mending, Severity

Check = Callable[[Design], Iterable[Doubt]]


@dataclass(frozen=True, slots=True)
class Example:
    """A site in which the rule finds something: a demo as it is, without what it has accepted, or with these lines."""

    site_file: str  # of the demo
    lines: tuple[str, ...]


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
    example: Example
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
        missing = [name for name in _PARTS if not parts.get(name, "").strip()]
        assert not missing, f"the docstring of rule {code} lacks {', '.join(missing)}"
        why, fix, source = (" ".join(parts[name].split()) for name in ("Why", "Fix", "Source"))
        example = _example(code, parts["Example"])
        CATALOGUE[code] = Rule(code, title, topic, severity, why, fix, source, example, check)
        return check

    return enter


_PARTS = ("Why", "Fix", "Source", "Example")


def _told(docstring: str) -> tuple[str, dict[str, str]]:
    """Return the title, and each part as it is written."""
    title, _, rest = cleandoc(docstring).partition("\n")
    found = re.split(rf"^({'|'.join(_PARTS)}):", rest, flags=re.MULTILINE)
    return title.strip().rstrip("."), dict(zip(found[1::2], found[2::2], strict=True))


def _example(code: str, told: str) -> Example:
    head, _, below = told.strip().partition("\n")
    lines = tuple(dedent(below).splitlines())
    demo, _, how = head.partition(" ")
    assert how == ("with" if lines else "as it is"), f"the example of rule {code} is no demo with lines, or as it is"
    return Example(f"{demo}.yaml", lines)

"""What was found, where, and what to write instead.

Rules of this file:
1. A mistake in somebody's data is a `Finding`, a value in a list: a reader gathers all of them and goes on.
2. `BadInput` is raised once, at the edge, when those findings leave nothing to work with. It carries them all.
3. A finding never holds a code, a pass phrase or any other secret: findings are printed, logged and sent.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum


class Severity(Enum):
    """How much a finding matters; the value is the word that people read."""

    PROBLEM = "must mend"
    ADVICE = "look at"
    UNKNOWN = "not known"


Path = tuple[str | int, ...]  # the way to a field of a file: ("devices", "side-gate", "zone", "number")


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """One point of a text file; line and column count from 1.

    `path` names the field that it is the place of, in the file's own words; where the file lacks that field, the point
    is that of what would hold it. Places are equal where the points are.
    """

    file: str
    line: int
    column: int = 1
    path: Path = field(default=(), compare=False)

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Mending:
    """What to write at which field so that a finding is gone."""

    path: Path
    value: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found in a file or in a design.

    `thing` names what it is about in the user's words ("zone 14 side gate", "device side-gate"); `says` is one sentence
    without a full stop. `wrote`, `allowed` and `nearest` are filled where a text was read: what stood there, what may
    stand there, and the likeliest word meant. `why`, `fix` and `source` belong to a rule. `subject` is the stable name
    that an acceptance in the site file refers to (a device, loop, area or setting name). `mending` is there where one
    value at one field is enough.
    """

    code: str
    severity: Severity
    thing: str
    says: str
    place: Place | None = None
    wrote: str | None = None
    allowed: str | None = None
    nearest: str | None = None
    why: str = ""
    fix: str = ""
    source: str = ""
    subject: str = ""
    mending: Mending | None = None


class BadInput(Exception):
    """The input can't be used; every reason at once."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("; ".join(f"{f.thing}: {f.says}" for f in self.findings))

    def __reduce__(self) -> tuple[type[BadInput], tuple[tuple[Finding, ...]]]:
        """Return how it comes out of another process."""
        return BadInput, (self.findings,)


def in_report_order(findings: Iterable[Finding]) -> list[Finding]:
    """Sort findings by severity, then by place, then by rule."""
    rank = list(Severity)
    return sorted(findings, key=lambda finding: (rank.index(finding.severity), place_key(finding), finding.code))


def place_key(finding: Finding) -> tuple[str, int, int]:
    """Return what a finding's place sorts by."""
    return (finding.place.file, finding.place.line, finding.place.column) if finding.place else ("", 0, 0)

"""Whether a design is ready to be keyed: what a sheet says before its first key."""

from __future__ import annotations

from zonewright.checks.check import Judged
from zonewright.findings import Severity


def not_ready(judged: Judged) -> tuple[str, ...]:
    """Return why nothing should be keyed yet: one sentence, then a line for each finding to mend; () if it is ready."""
    mend = [finding for finding in judged.findings if finding.severity is Severity.PROBLEM]
    if not mend:
        return ()
    count = "One finding" if len(mend) == 1 else f"{len(mend)} findings"
    head = f"Not ready to key. {count} must be mended first, or accepted by name in the site file."
    return (head, *(f"{finding.code} {finding.thing}: {finding.says}." for finding in mend))

"""The page of rules."""

from __future__ import annotations

from zonewright.checks.check import rules
from zonewright.findings.catalogue import CODES


def page() -> str:
    """Return the page of rules for docs/."""
    lines = ["# Rules", "", "What `zonewright check` judges a design by, beyond what a panel refuses anyway.", ""]
    for each in rules().values():
        lines += [f"## {each.code} {each.title}", "", f"*{each.severity.value}, {each.topic}*", ""]
        lines += [f"- **Why:** {each.why}", f"- **Do:** {each.fix}", f"- **Source:** {each.source}", ""]
    lines += ["## Other codes", "", "Findings of other kinds. `zonewright rules CODE` tells what a code means.", ""]
    lines += ["| code | about | what is wrong | what to do |", "| --- | --- | --- | --- |"]
    lines += [f"| {code} | {each.topic} | {each.title} | {each.fix} |" for code, each in CODES.items()]
    return "\n".join([*lines, ""])

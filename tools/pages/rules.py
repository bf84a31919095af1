"""The page of rules."""

from __future__ import annotations

from zonewright.checks.check import rules


def page() -> str:
    """Return the page of rules for docs/."""
    lines = ["# Rules", "", "What `zonewright check` judges a design by, beyond what a panel refuses anyway.", ""]
    for each in rules().values():
        lines += [f"## {each.code} {each.title}", "", f"*{each.severity.value}, {each.topic}*", ""]
        lines += [f"- **Why:** {each.why}", f"- **Do:** {each.fix}", f"- **Source:** {each.source}", ""]
    return "\n".join(lines)

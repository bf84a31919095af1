"""The page of verbs."""

from __future__ import annotations

from zonewright.cli.verbs import ABOUT, VERBS, by_stage


def page() -> str:
    """Return the page of verbs for docs/."""
    lines = ["# Verbs", "", f"{ABOUT} `zonewright VERB --help` tells each verb's options.", ""]
    for stage, rows in by_stage(VERBS):
        lines += [f"## {stage}", "", "| verb | what it does |", "| --- | --- |"]
        lines += [f"| `{name}` | {verb.does} |" for name, verb in rows]
        lines.append("")
    lines += ["Exit codes: 0 fine, 1 findings, 2 bad input or wrong use, 130 stopped by Ctrl-C.", ""]
    return "\n".join(lines)

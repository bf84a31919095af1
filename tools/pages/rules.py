"""The page of rules, each with its example and what the rule finds there."""

from __future__ import annotations

from pages.worked import found_in_example, stood_before
from zonewright.checks.catalogue import Example, Rule
from zonewright.checks.check import rules
from zonewright.findings.catalogue import CODES
from zonewright.words.telling import listed

HEAD = """\
# Rules

What `zonewright check` judges a design by, beyond what a panel refuses anyway.

An example is a site of `zonewright demo` without what it has accepted, and with the lines shown laid over its own;
`(left out)` takes a line away. Lines below `plan:` or `panel:` change the site's plan, or its panel's profile. Under
the lines stands what `check` then finds.
"""


def page() -> str:
    """Return the page of rules for docs/."""
    lines = [HEAD]
    for each in rules().values():
        lines += [f"## {each.code} {each.title}", "", f"*{each.severity.value}, {each.topic}*", ""]
        lines += [f"- **Why:** {each.why}", f"- **Do:** {each.fix}", f"- **Source:** {each.source}", ""]
        lines += [*_example(each), ""]
    lines += ["## Other codes", "", "Findings of other kinds. `zonewright rules CODE` tells what a code means.", ""]
    lines += ["| code | about | what is wrong | what to do |", "| --- | --- | --- | --- |"]
    lines += [f"| {code} | {each.topic} | {each.title} | {each.fix} |" for code, each in CODES.items()]
    return "\n".join([*lines, ""])


def _example(rule: Rule) -> list[str]:
    """Return the lines of an example, and the first thing that the rule finds there."""
    found = found_in_example(rule)
    assert found, f"rule {rule.code} finds nothing in its own example"
    first, *others = found
    more = f" (and {len(others)} more)" if others else ""
    shown = ["```yaml", *rule.example.lines, "```", ""] if rule.example.lines else []
    return [f"**Example:** {_where(rule.example)}:", "", *shown, f"> {first.thing}: {first.says}{more}"]


def _where(example: Example) -> str:
    """Return which demo it is, and what its lines stand in place of."""
    before = [f"`{line}`" for line in stood_before(example)]
    if not example.lines:
        return f"`{example.site_file}` as it is"
    return f"`{example.site_file}` with this" + (f" in place of {listed(before)}" if before else "")

"""The page of messages."""

from __future__ import annotations

from zonewright.reporting.table import TABLE
from zonewright.signals.codes import event_codes
from zonewright.signals.dc03_codes import dc03_codes


def page() -> str:
    """Return the page of messages for docs/: what the panel model tells, and the codes of DC-05."""
    lines = [
        "# Messages",
        "",
        "What the panel model tells the station, and how. No table of the standards that maps DC-05 to DC-03 was seen:",
        "the pairs are a choice, from one library's table (seen) or from memory. Arming is told as a restore in DC-05.",
        "",
        "| message | DC-05 | DC-03, over | names |",
        "| --- | --- | --- | --- |",
        *(
            f"| {name} | {row.dc05} | {', '.join(filter(None, (row.begins, row.over)))} | {row.names} |"
            for name, row in TABLE.items()
        ),
        "",
        "## Codes of DC-05",
        "",
        "In our words, after a public-domain library that declares DC-05-2016 Appendix C: seen, the standard not read.",
        "",
        "| code | names | meaning |",
        "| --- | --- | --- |",
        *(f"| {each.code} | {each.names} | {each.meaning} |" for each in event_codes().values()),
        "",
        "## Codes of DC-03",
        "",
        "In our words, after a public-domain library that declares DC-03-2017: seen, the standard not read.",
        "",
        "| code | names | meaning |",
        "| --- | --- | --- |",
        *(f"| {each.code} | {each.names} | {each.meaning} |" for each in dc03_codes().values()),
        "",
    ]
    return "\n".join(lines)

"""The page of slips."""

from __future__ import annotations

import random
from collections import Counter

from zonewright.entry.keypad.drive import drive
from zonewright.entry.sheets.sheet import whole
from zonewright.entry.slips.invited import Noticed, slip_table, slips
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.profile_file import shipped, shipped_names


def page() -> str:
    """Return the page of slips for docs/: what a 32-zone sheet of each shipped panel shows and hides."""
    lines = [
        "# Slips: what a sheet shows and what it hides",
        "",
        "Every slip of a whole sheet (32 zones, 4 people, drawn at random) is tried on the virtual keypad: the altered",
        "keys are pressed, then all the following keys of that job as printed. The *plain* reader looks at the display",
        "after each step; the *careful* one also before the key that accepts. Both never overlook a difference, which",
        "no real person can say.",
        "",
        "- **keys**: each key of the sheet replaced by each near key, dropped, doubled, swapped with the next.",
        "- **answers**: whole wrong answers, properly keyed: the neighbouring choice, a flipped yes or no, a misread",
        "  digit, another word, another number, another device tripped, the time-out, leaving before the end.",
        "",
        "What stays silent is marked [R] on the sheet and read back at the end.",
        "",
        "A sheet that gives back the plan when replayed proves nothing about the profile: both share its mistakes. Of",
        "31 mistakes planted in Tern's profile and in the keypad itself, replaying caught 8; the transcripts, typed by",
        "hand from the manual, caught all 31 (`tests/panels/test_planted.py`).",
        "",
    ]
    for name in shipped_names():
        profile = shipped(name)
        plan = random_programme(profile, random.Random(32), 32, 4)  # noqa: S311 - an example, no secret
        sheet = whole(profile, plan)
        found = list(slips(profile, drive(profile, as_shipped(profile), plan)))
        table = slip_table(found)
        lines += [
            f"## {name}",
            "",
            f"{sheet.presses} presses, {sheet.trips} trips; {len(found)} slips tried.",
            f"Reading back takes {sheet.walk.presses} presses.",
            "",
            f"| share of slips, % | {' | '.join(table)} |",
            "| --- |" + " --- |" * len(table),
        ]
        lines += [
            f"| {seen.value} | {' | '.join(f'{100 * shares[seen]:.1f}' for shares in table.values())} |"
            for seen in Noticed
        ]
        silent = Counter(
            str(slip.item).rpartition("/")[2] for slip in found if slip.careful is Noticed.NEVER and slip.item
        )
        lines += [
            "",
            f"Silent even for the careful reader: {', '.join(f'{item} {n}' for item, n in silent.most_common())}.",
            "",
        ]
    return "\n".join(lines)

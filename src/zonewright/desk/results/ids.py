"""Names by which the rows of a sheet and the tests of a plan are known again in the next sheet or plan.

Rules of this file:
1. A name says what a row or a test is about, never where it stands: what comes or goes before it changes nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from zonewright.entry.keypad.strokes import KeyingJob
from zonewright.entry.sheets.sheet import SheetRow
from zonewright.fieldwork.fieldtests import Arming, FieldTest


def told_apart(names: Iterable[str]) -> list[str]:
    """Return each name; of equal ones the second ends in #2, and so on."""
    seen: Counter[str] = Counter()
    found = []
    for name in names:
        seen[name] += 1
        found.append(name if seen[name] == 1 else f"{name}#{seen[name]}")
    return found


def of_job(job: KeyingJob) -> str:
    """Return the name of what is keyed in one go: `zone/14`, `user/2/gone`, `settings`."""
    thing = f"{job.group}/{job.number}" if job.number is not None else job.group or "settings"
    return f"{thing}/gone" if job.gone else thing


def of_row(job: KeyingJob, row: SheetRow) -> str:
    """Return the name of a row: the item that it answers, else the keypad's question within its part."""
    return row.item if row.item is not None else f"{of_job(job)}/{row.act.value}/{row.node}"


def of_test(test: FieldTest) -> str:
    """Return the name of a test: what is tried, how the site is set, and with which zones, people or remotes."""
    zones = [f"zone/{number}" for number in sorted(test.zones)]
    what = [*zones, *sorted(test.things)] or [test.about]
    return f"{test.sort.name.lower().replace('_', '-')}:{of_arming(test.arming)}:{','.join(what)}"


def of_arming(arming: Arming) -> str:
    """Return the name of a way in which the site is set: `off`, `away/1+2`."""
    return f"{arming.mode.value}/{'+'.join(map(str, sorted(arming.areas)))}" if arming.armed else arming.mode.value

"""The test plan as a page to walk with: every test with what must be noticed, a box for each, and what no test shows.

Rules of this file:
1. It says what `walk` says, in the same order and words; nothing is chosen here.
2. Boxes are empty: nobody has tested anything yet.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.documents.records import Fact, RecordedByHand, RecordedPeriod, RecordedTest, TestRecord
from zonewright.testplan.packing import Rehearsal
from zonewright.testplan.plan_words import NOTICED, compared, is_told, minutes, sums, unshown
from zonewright.testplan.planner import TestPlan
from zonewright.testplan.walking import ToldTest, begins, by_hand, closing, told, trials, waits
from zonewright.words.tracks import Names

NOTHING = "nothing is heard, shown or sent"
QUIET = "Wait until all messages are in."
FIRST = "Account on test. Name, time, until when:"
LAST = "Account off test, confirmed. Name, time:"


def walked(plan: TestPlan, names: Names) -> TestRecord:
    """Return the record of a plan."""
    number = 0
    periods = []
    for n, rehearsal in enumerate(plan.periods, 1):
        lasts = minutes(rehearsal.period.seconds)
        tests = tuple(_tests(plan, rehearsal, names, number))
        number += len(rehearsal.period.stops)
        periods.append(RecordedPeriod(f"Period {n}, about {lasts}", f"{begins(plan.ground, rehearsal, names)}.", tests))
    if plan.trials:
        tried = tuple(_test(told(plan.ground, each, 0, names), "", waits(each.period.stops[0])) for each in plan.trials)
        periods.append(RecordedPeriod("What calls for help", trials(is_told(plan)), tried))
    extra = by_hand(plan.ground, plan.before)
    acts = is_told(plan) and bool(plan.periods or plan.trials or extra)
    return TestRecord(
        tuple(sums(plan)), (FIRST,) if acts else (), tuple(periods),
        tuple(RecordedByHand(each.title, each.note, tuple(Fact(*row) for row in each.rows)) for each in extra),
        (compared(plan), LAST) if acts else (), tuple(Fact(reason, fields) for reason, fields in unshown(plan)),
    )  # fmt: skip


def _tests(plan: TestPlan, rehearsal: Rehearsal, names: Names, before: int) -> Iterator[RecordedTest]:
    for at, stop in enumerate(rehearsal.period.stops):
        yield _test(told(plan.ground, rehearsal, at, names), str(before + at + 1), waits(stop))
    end = closing(plan.ground, rehearsal, names)
    if end is not None:
        yield _test(end, "", QUIET)


def _test(each: ToldTest, number: str, note: str) -> RecordedTest:
    expect = [Fact(f"{each.when(at)}, {NOTICED[sense]}", text) for at, sense, text in each.expect]
    return RecordedTest(
        number, each.title[:1].upper() + each.title[1:], each.where, tuple(filter(None, (note, *each.notes))),
        tuple(Fact(each.when(at), text) for at, text in each.do), tuple(expect) or (Fact("", NOTHING),),
    )  # fmt: skip

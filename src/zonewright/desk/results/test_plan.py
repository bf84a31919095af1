"""The smallest walk that shows every slip of the keying."""

from __future__ import annotations

from typing import Literal

from zonewright.desk.results.ids import of_arming, of_test, told_apart
from zonewright.desk.results.result import Part, Result
from zonewright.testplan.plan_words import plan_proof
from zonewright.testplan.planner import TestPlan as MadePlan
from zonewright.testplan.planner import count
from zonewright.testplan.walking import ToldTest, begins, by_hand, closing, told
from zonewright.words.tracks import Names


class Deed(Part):
    """Something that is done, so many seconds after the test begins."""

    at: int
    what: str


class ExpectedPart(Part):
    """Something that must be noticed, by whom, and when; `at` null: later."""

    at: int | None
    who: str
    what: str


class TestPart(Part):
    """One test."""

    id: str  # by which it is known again in another plan
    title: str
    where: str
    caution: str
    people: str
    depends_on: str
    do: tuple[Deed, ...]
    expect: tuple[ExpectedPart, ...]


class PeriodPart(Part):
    """Tests that are done while the panel is armed, or disarmed, in one way."""

    begins: str
    seconds: int
    tests: tuple[TestPart, ...]
    ends: TestPart | None


class Unshown(Part):
    """A slip that no test shows, and why."""

    slip: str
    why: str


class PlanProof(Part):
    """How far it is proved that no shorter plan shows as much."""

    says: str
    proven: bool
    gap: float
    bound: float
    price: int


class UsualPractice(Part):
    """What the usual walk, each zone once, would take and miss."""

    tests: int
    minutes: float
    missed: int


class HandRow(Part):
    """One thing to look at by hand."""

    name: str
    what: str


class ByHandPart(Part):
    """What is looked at by hand, beside the tests."""

    title: str
    note: str
    rows: tuple[HandRow, ...]


class TestPlanResult(Result):
    """A test plan; `stopped`: it was cut short, and is the best that was found so far."""

    kind: Literal["test-plan"] = "test-plan"
    minutes: float
    tests: int
    slips: int
    shown: int
    left_out: tuple[str, ...]
    not_shown: tuple[Unshown, ...]
    proof: PlanProof
    usual_practice: UsualPractice
    periods: tuple[PeriodPart, ...]
    trials: tuple[TestPart, ...]
    by_hand: tuple[ByHandPart, ...]
    stopped: bool


def plan_result(plan: MadePlan, names: Names) -> TestPlanResult:
    """Return a test plan."""
    ends = [closing(plan.ground, each, names) for each in plan.periods]
    stops = [stop for each in (*plan.periods, *plan.trials) for stop in each.period.stops]
    test_ids = iter(told_apart(of_test(stop.test) for stop in stops))  # taken in this order below
    end_ids = told_apart(f"end:{of_arming(each.period.arming)}" for each in plan.periods)
    return TestPlanResult(
        minutes=round(plan.seconds / 60, 1),
        tests=plan.tests,
        slips=plan.slips,
        shown=count(plan.shown),
        left_out=tuple(str(slip) for each in plan.hidden for slip in each.slips),
        not_shown=tuple(Unshown(slip=str(slip), why=why.value) for each, why in plan.unseen for slip in each.slips),
        proof=PlanProof(
            says=plan_proof(plan), proven=plan.chosen.proven, gap=plan.gap, bound=plan.bound, price=plan.price
        ),
        usual_practice=UsualPractice(
            tests=plan.usual.tests, minutes=round(plan.usual.seconds / 60, 1), missed=plan.usual.missed
        ),
        periods=tuple(
            PeriodPart(
                begins=begins(plan.ground, each, names),
                seconds=each.period.seconds,
                tests=tuple(
                    _test(next(test_ids), told(plan.ground, each, n, names)) for n in range(len(each.period.stops))
                ),
                ends=_test(end_id, end) if end is not None else None,
            )
            for each, end, end_id in zip(plan.periods, ends, end_ids, strict=True)
        ),
        trials=tuple(_test(next(test_ids), told(plan.ground, each, 0, names)) for each in plan.trials),
        by_hand=tuple(
            ByHandPart(
                title=each.title, note=each.note, rows=tuple(HandRow(name=n, what=text) for n, text in each.rows)
            )
            for each in by_hand(plan.ground, plan.before)
        ),
        stopped=plan.stopped,
    )


def _test(test_id: str, each: ToldTest) -> TestPart:
    return TestPart(
        id=test_id,
        title=each.title,
        where=each.where,
        caution=each.caution,
        people=each.stands,
        depends_on=each.leans,
        do=tuple(Deed(at=at, what=text) for at, text in each.do),
        expect=tuple(ExpectedPart(at=at, who=sense, what=text) for at, sense, text in each.expect),
    )

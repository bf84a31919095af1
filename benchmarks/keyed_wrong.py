"""Single keys of the real entry sheets altered, and what a diagnosis makes of the panels that they leave behind.

The sheet of each demo site is replayed on the virtual keypad with one key near, dropped, doubled or swapped, then to
its end as printed; each job begins where the sheet has it begin. A panel is *otherwise* if some field test shows it
from power-up, all zones in place. It is then planted: a householder tells of one test that shows it, and every question
is answered by what that panel does. The true cause is *held* if in the end the very panel is on the list, or a cause by
whose cure all is keyed again that is wrong. *Led on*: later jobs of the sheet went wrong as well.

python -m benchmarks.keyed_wrong
"""

from __future__ import annotations

import random
import statistics
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from benchmarks.diagnosing import Householder, drawn
from zonewright.behaviour.setup import UnusableValues
from zonewright.diagnosis.case import Case, Diagnosis, case_of
from zonewright.diagnosis.evidence import Answered
from zonewright.diagnosis.hypotheses import Cure, Hypothesis
from zonewright.diagnosis.questions import Trial
from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.pressing import heard, press
from zonewright.entry.keypad.standing import KeypadState
from zonewright.entry.keypad.strokes import Act, Driven, Stroke
from zonewright.entry.slips.invited import KEY_SLIPS, altered
from zonewright.fieldwork.acting import PanelInHouse, panel_of
from zonewright.fieldwork.conditions import ALL_WELL
from zonewright.fieldwork.fieldtests import begun, seen_in
from zonewright.fieldwork.observing import Observation, Unlike, unlike
from zonewright.panel.legal import as_shipped
from zonewright.panel.opening import open_site
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Value
from zonewright.panel.resolve import Resolved
from zonewright.site.record import ZoneNumber

DEMOS = Path(__file__).resolve().parent.parent / "src/zonewright/cli/demo_files"
SITES = ("larkfield", "rowan", "bakery")
MOST_QUESTIONS = 20


@dataclass(frozen=True)
class Wrong:
    """What a panel holds otherwise after one wrong key, and whether later jobs went wrong by it."""

    changes: Mapping[Item, Value | None]
    led_on: bool


@dataclass(frozen=True)
class Ended:
    """How the diagnosis of one wrong panel ended."""

    wrong: Wrong
    held: bool
    questions: int
    says: str  # what it says in the end, the likeliest first


def wrong_panels(resolved: Resolved, every: int = 1) -> tuple[int, list[Wrong]]:
    """Return how many keys were altered, and each wrong panel that this leaves behind, once.

    With `every`, only each so many-th key that is altered is followed to the end.
    """
    profile = resolved.profile
    driven = drive(profile, as_shipped(profile), resolved.programme)
    tried, found = 0, dict[frozenset[tuple[Item, Value | None]], Wrong]()
    seen: set[object] = set()
    for place, done in enumerate(driven):
        for step, stroke in enumerate(done.strokes):
            if stroke.act in (Act.WAY_IN, Act.CODE):
                continue
            for kind, act in altered(profile, stroke):
                if kind not in KEY_SLIPS:
                    continue
                tried += 1
                if tried % every:
                    continue
                end = _as_printed(profile, done.strokes[step + 1 :], act()[0])
                left = frozenset(end.held.items())
                if end.held == done.strokes[-1].after.held or (place, left) in seen:
                    continue
                seen.add((place, left))
                wrong = _to_the_end(profile, driven, place, end)
                if wrong.changes:
                    found.setdefault(frozenset(wrong.changes.items()), wrong)
    return tried, list(found.values())


def _to_the_end(profile: Profile, driven: Sequence[Driven], place: int, end: KeypadState) -> Wrong:
    """Key the jobs that follow."""
    led_on = False
    for done in driven[place + 1 :]:
        begins = done.strokes[0].before
        if end.node != begins.node:
            end = begins._replace(held=end.held, waiting={}, message="")
        end = _as_printed(profile, done.strokes, end)
        led_on |= any(end.held.get(item) != value for item, value in done.job.wanted.items())
    planned = driven[-1].strokes[-1].after.held
    items = sorted({item for item in {*end.held, *planned} if end.held.get(item) != planned.get(item)})
    return Wrong({item: end.held.get(item) for item in items}, led_on)


def _as_printed(profile: Profile, strokes: Sequence[Stroke], state: KeypadState) -> KeypadState:
    for stroke in strokes:
        if stroke.trip is not None:
            state = heard(profile, state, stroke.trip)
        for key in stroke.keys if stroke.trip is None else ():
            state = press(profile, state, key)
    return state


class Judge:
    """The planned panel in all its field tests, each from power-up; what wrong panels do is compared with that."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.planned = case.hypotheses[0].panel
        self.trials = [each for each in case.questions if isinstance(each, Trial)]
        self.tests = {trial.test: trial for trial in self.trials}
        self.right: dict[object, Observation] = {}

    def otherwise(self, panel: PanelInHouse) -> bool:
        """Return whether a field test shows a wrong panel, those of its own zones first."""
        mine = {int(item.split("/")[1]) for item in panel.changes if item.startswith("zone/")}
        for test in sorted(self.tests, key=lambda test: mine.isdisjoint(test.zones)):
            if test not in self.right:
                self.right[test] = seen_in(self.planned, begun(self.planned, test.arming), test)
            if unlike(seen_in(panel, begun(panel, test.arming), test), self.right[test]) is not Unlike.NOT:
                return True
        return False

    def diagnosed(self, wrong: Wrong, panel: PanelInHouse, rng: random.Random) -> Ended | None:
        """Return how the diagnosis of a wrong panel ends; None where a householder notices nothing of it."""
        planted = Hypothesis(
            ("planted",), 1.0, self.planned, ((1.0, ALL_WELL),), Cure(), _zones(panel), everywhere=True,
            changes=wrong.changes,
        )  # fmt: skip
        symptom = self._symptom(planted, rng)
        if symptom is None:
            return None
        diagnosis, asked = Diagnosis(self.case).given(symptom), 0
        while not diagnosis.contradictory and asked < MOST_QUESTIONS:
            following = diagnosis.next_question()
            if following is None:
                break
            asked += 1
            answer = drawn(following.question.answers(self.case.names, planted), rng)
            diagnosis = diagnosis.given(Answered(following.question, answer))
        causes = diagnosis.causes()
        held = any(
            wrong.changes.keys() <= set(cause.cure.keys)
            or any(each.changes == wrong.changes for each in cause.hypotheses)
            for cause in causes
        )
        says = str(causes[0].hypotheses[0]) if causes else "nothing explains it"
        return Ended(wrong, held, asked, says)

    def _symptom(self, planted: Hypothesis, rng: random.Random) -> Answered | None:
        names, case = self.case.names, self.case
        mine = [each for each in self.trials if not each.zones.isdisjoint(planted.zones)]
        for trials in (mine, self.trials):
            for trial in rng.sample(trials, len(trials)):
                coarse = Householder(
                    f"told of {trial.name}", trial.do, trial.minutes, trial.zones, trial.things, trial=trial
                )
                for asked in (coarse, trial):
                    given = drawn(asked.answers(names, planted), rng)
                    if given not in case.answers(0, asked):
                        return Answered(asked, given)
        return None


def _zones(panel: PanelInHouse) -> frozenset[ZoneNumber]:
    numbers = {ZoneNumber(int(item.split("/")[1])) for item in panel.changes if item.startswith("zone/")}
    heard_by = {zone for zone in panel.sends if not numbers.isdisjoint(panel.hearing(zone))}
    return frozenset(numbers | heard_by)


def ended(resolved: Resolved, wrong: Sequence[Wrong], rng: random.Random) -> Iterator[Ended | None]:
    """Give how the diagnosis of each wrong panel ends that behaves otherwise; None where nobody notices it."""
    judge = Judge(case_of(resolved))
    for each in wrong:
        try:
            panel = panel_of(resolved.profile, resolved.programme, resolved.programme.changed(each.changes))
        except UnusableValues:
            continue
        if judge.otherwise(panel):
            yield judge.diagnosed(each, panel, rng)


def main() -> None:
    """Measure and print."""
    print(f"{'site':10}{'keys':>6}{'wrong panels':>14}{'otherwise':>11}{'held':>6}{'of those not led on':>21}"
          "   questions: median, 90 %, most")  # fmt: skip
    for name in SITES:
        resolved = open_site(DEMOS / f"{name}.yaml")
        tried, wrong = wrong_panels(resolved)
        told = [each for each in ended(resolved, wrong, random.Random(5)) if each is not None]
        single = [each for each in told if not each.wrong.led_on]
        counts = sorted(each.questions for each in told if each.held)
        print(
            f"{name:10}{tried:>6}{len(wrong):>14}{len(told):>11}{sum(each.held for each in told):>6}"
            f"{sum(each.held for each in single):>14} of {len(single):<4}"
            f"{statistics.median(counts):>17.0f}{counts[int(0.9 * (len(counts) - 1))]:>8}{counts[-1]:>6}"
        )
        for each in told if "-v" in sys.argv else ():
            if not each.held and not each.wrong.led_on:
                print("   ", dict(each.wrong.changes), each.questions, each.says)


if __name__ == "__main__":
    main()

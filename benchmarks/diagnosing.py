"""Prints how many questions a diagnosis takes: causes planted at the demo sites and in a generated house.

A cause is planted and its symptom told as a householder would: of a field test drawn among those that show it, what
came of siren, chime, voice, tones, display and messages, and what didn't; where that is as planned, all of it. Then
every question is answered by the clockwork, of several worlds by lot. Each cause comes once, one of its wrong values
drawn.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from benchmarks.houses import house
from zonewright.cli.collecting import uncollected
from zonewright.diagnosis.belief import Answers
from zonewright.diagnosis.case import Case, Diagnosis, case_of
from zonewright.diagnosis.evidence import Answered
from zonewright.diagnosis.hypotheses import Cure, Hypothesis
from zonewright.diagnosis.questions import Question, Trial
from zonewright.panel.opening import open_site
from zonewright.words.tracks import Names

DEMOS = Path(__file__).resolve().parent.parent / "src/zonewright/cli/demo_files"
MOST_PLANTED = 120
FIRST, AFTER = 3, 4  # among the first three after four questions
KINDS = ("siren", "chime:", "panel says", "trouble tone", "beeps", "refusal", "display:", "message")


@dataclass(frozen=True)
class Householder(Question):
    """A field test as somebody tells of it who isn't a technician."""

    trial: Trial = field(kw_only=True)

    def answers(self, names: Names, hypothesis: Hypothesis) -> Answers:
        """Tell of each kind only whether it came."""
        found: dict[str, float] = {}
        for answer, share in self.trial.answers(names, hypothesis).items():
            text = ", ".join(kind.strip(":") for kind in KINDS if kind in answer) or "nothing"
            found[text] = found.get(text, 0.0) + share
        return found


@dataclass(frozen=True)
class Told:
    """How one diagnosis went."""

    cause: str
    questions: int  # until it was over
    rank: int  # of the true cause after four questions, or at the end if that came sooner
    minutes: float
    slowest: float  # finding the next question [s of the processor]


def main() -> None:
    """Measure and print."""
    print(f"{'site':12}{'zones':>6}{'planted':>8}{'unseen':>7}  questions: median, 90 %, most   "
          f"first {FIRST} after {AFTER}   minutes   next question, s of the processor: median, most")  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        sites = [DEMOS / f"{name}.yaml" for name in ("larkfield", "rowan", "bakery")]
        for size in (32, 64):
            sites.append(Path(folder) / f"house-{size}.yaml")
            sites[-1].write_text(house(size), encoding="utf-8")
        for site in sites:
            with uncollected():
                case = case_of(open_site(site))
                told, unseen = measured(case, MOST_PLANTED, random.Random(4))
            print(row(site.stem, case, told, unseen))
            if "-v" in sys.argv:
                for each in sorted(told, key=lambda one: -one.rank)[:12]:
                    print("   ", each)


def measured(case: Case, most: int, rng: random.Random) -> tuple[list[Told], int]:
    """Plant up to `most` causes; return how each went, and how many no test shows."""
    by_cure: dict[Cure, list[int]] = {}
    for place, each in enumerate(case.hypotheses):
        if not each.cure.nothing:
            by_cure.setdefault(each.cure, []).append(place)
    cures = rng.sample(list(by_cure), min(most, len(by_cure)))
    told, unseen = [], 0
    for cure in cures:
        place = rng.choice(by_cure[cure])
        symptom = symptom_of(case, place, rng)
        if symptom is None:
            unseen += 1
        else:
            told.append(diagnosed(case, place, symptom, rng))
    return told, unseen


def symptom_of(case: Case, place: int, rng: random.Random) -> Answered | None:
    """Return what somebody notices of a planted cause; None where no test shows it."""
    hypothesis = case.hypotheses[place]
    trials = [each for each in case.questions if isinstance(each, Trial) and each.touched_by(hypothesis)]
    fine: Answered | None = None
    for trial in rng.sample(trials, len(trials)):
        answers = case.answers(place, trial)
        if answers == case.answers(0, trial):
            continue
        coarse = Householder(f"told of {trial.name}", trial.do, trial.minutes, trial.zones, trial.things, trial=trial)
        for asked in (coarse, trial):
            given = drawn(case.answers(place, asked), rng)
            if given not in case.answers(0, asked):
                if asked is coarse:
                    return Answered(asked, given)
                fine = fine or Answered(asked, given)
    return fine


def diagnosed(case: Case, place: int, symptom: Answered, rng: random.Random) -> Told:
    """Answer every question truthfully until it is over."""
    cure = case.hypotheses[place].cure
    diagnosis = Diagnosis(case).given(symptom)
    rank, asked, minutes, slowest = 0, 0, 0.0, 0.0
    while True:
        ranks = [cause.cure for cause in diagnosis.causes()]
        if asked <= AFTER:
            rank = ranks.index(cure) + 1 if cure in ranks else len(ranks) + 1
        start = time.process_time()
        following = diagnosis.next_question()
        slowest = max(slowest, time.process_time() - start)
        if following is None:
            return Told(str(case.hypotheses[place]), asked, rank, minutes, slowest)
        asked += 1
        minutes += following.question.minutes
        answer = drawn(case.answers(place, following.question), rng)
        diagnosis = diagnosis.given(Answered(following.question, answer))


def drawn(answers: Answers, rng: random.Random) -> str:
    """Return one answer by lot."""
    return rng.choices(list(answers), list(answers.values()))[0]


def row(name: str, case: Case, told: Sequence[Told], unseen: int) -> str:
    """Return one site's line."""
    counts = sorted(each.questions for each in told)
    first = sum(each.rank <= FIRST for each in told) / len(told)
    slow = [each.slowest for each in told]
    zones = len(case.hypotheses[0].panel.setup.zones)
    return (
        f"{name:12}{zones:>6}{len(told) + unseen:>8}{unseen:>7}"
        f"{statistics.median(counts):>17.0f}{counts[int(0.9 * (len(counts) - 1))]:>8}{counts[-1]:>6}"
        f"{first:>19.0%}{statistics.median(each.minutes for each in told):>13.1f}"
        f"{statistics.median(slow):>21.3f}{max(slow):>7.3f}"
    )


if __name__ == "__main__":
    main()

"""A diagnosis under way: what was observed, what may still be wrong, and what to ask next. No terminal, no file.

Rules of this file:
1. Each pair of hypothesis and question is run once, when it is needed, and only if the one may affect the other; for
   the rest the answer is that of the planned panel. Hypotheses whose panels do the same share their runs.
2. A question is run only if its gain can beat the best found so far (`belief.most_gain`), so most are never run. Of
   trials that differ only in which of several like zones they handle, the first stands for all, as long as no remaining
   hypothesis is about their zones.
3. It is over when all that remains has one cure, or when no question can distinguish what remains. What has less than a
   thousandth of the weight doesn't count as remaining: after unsure answers nothing ever vanishes completely.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from zonewright.diagnosis.belief import (
    NOTHING_LEFT,
    Answers,
    gain,
    likelihood,
    normalised,
    outcomes,
    score,
    summed,
)
from zonewright.diagnosis.contradicting import smallest_sets
from zonewright.diagnosis.evidence import Answered, Evidence, Observed
from zonewright.diagnosis.hypotheses import Cure, EndsOf, Hypothesis, Progress, hypotheses, pairs
from zonewright.diagnosis.noticing_text import Vocabulary, vocabulary
from zonewright.diagnosis.questions import Inspect, Question, ReadBack, Trial, questions
from zonewright.diagnosis.reach import QuestionReach
from zonewright.entry.slips.astray import astray
from zonewright.fieldwork.candidates import candidates, ground_of
from zonewright.panel.programme import Programme
from zonewright.panel.resolve import Resolved
from zonewright.words.tracks import Names

LEFT_ASIDE = 1e-3  # of the weight: causes with this much together may be ignored
MOST_WEIGHED = 5_000  # hypotheses that are considered for the next question
NEGLIGIBLE = 1e-9  # bits
SPEAKS = 1e-6  # by how much a likelihood must be greater to count
MOST_RUNS = 300  # runs of the clockwork for one next question; then the best found so far is put
MOST_PAIRED = 120  # single causes from which pairs are made


@dataclass(frozen=True)
class CureGroup:
    """What one cure mends: its hypotheses, the likeliest first, and their share."""

    cure: Cure
    share: float
    hypotheses: tuple[Hypothesis, ...]


@dataclass(frozen=True)
class Next:
    """The question to put now: which hypotheses each answer would leave, and what it is worth."""

    question: Question
    bits: float
    worst: float  # how likely the likeliest answer is
    meaning: tuple[tuple[str, float, tuple[CureGroup, ...]], ...]  # each answer, how likely, what it would leave


@dataclass
class Case:
    """A site with all possible causes, all that can be asked, and each answer found so far."""

    resolved: Resolved
    hypotheses: tuple[Hypothesis, ...]
    questions: tuple[Question, ...]
    names: Names
    _likeness: dict[str, object] = field(default_factory=dict)
    _planned: dict[str, Answers] = field(default_factory=dict)
    _found: dict[tuple[int, str], Answers] = field(default_factory=dict)
    _alike: dict[object, int] = field(default_factory=dict)
    _first: dict[int, int] = field(default_factory=dict)

    @cached_property
    def cures(self) -> tuple[int, ...]:
        """Return for each hypothesis the place of the first one with the same cure."""
        first: dict[Cure, int] = {}
        return tuple(first.setdefault(each.cure, place) for place, each in enumerate(self.hypotheses))

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """Return the words for what is noticed at this site; a wrong panel may have other labels."""
        changed = (each for one in self.hypotheses for each in one.changes.items())
        labels = dict.fromkeys(value for item, value in changed if value and item.field in ("label", "place"))
        return vocabulary(self.hypotheses[0].panel.setup, self.names, labels, self.resolved.profile)

    def first_alike(self, place: int) -> int:
        """Return the place of the first hypothesis met that shows the same as this one, whatever is done."""
        if place not in self._first:
            self._first[place] = self._alike.setdefault(self.hypotheses[place].likeness, place)
        return self._first[place]

    def answers(self, place: int, asked: Question | Observed) -> Answers:
        """Return what the hypothesis at this place shows when this is asked or done."""
        name = asked.told if isinstance(asked, Observed) else asked.name
        hypothesis = self.hypotheses[place]
        if not asked.touched_by(hypothesis):
            if name not in self._planned:
                self._planned[name] = asked.answers(self.names, self.hypotheses[0])
            return self._planned[name]
        by_looking = isinstance(asked, ReadBack | Inspect)
        key = place if by_looking else self.first_alike(place), name
        if key not in self._found:
            self._found[key] = asked.answers(self.names, self.hypotheses[key[0]])
        return self._found[key]

    def runs_of(self, places: Iterable[int], asked: Question) -> set[tuple[int, str]]:
        """Return the runs needed to know what hypotheses show when this is asked, once for all that show the same."""
        if isinstance(asked, ReadBack | Inspect):
            return set()
        touched = (place for place in places if asked.touched_by(self.hypotheses[place]))
        return {(self.first_alike(place), asked.name) for place in touched}

    def likeness(self, question: Trial) -> object:
        """Return a key that trials share if no cause that affects everything can distinguish them."""
        if question.name not in self._likeness:
            self._likeness[question.name] = question.likeness(self.hypotheses[0].panel.setup)
        return self._likeness[question.name]

    def with_pairs(self, singles: Iterable[Hypothesis]) -> Case:
        """Return the case in which two of these may also be true together."""
        return Case(self.resolved, self.hypotheses + tuple(pairs(singles)), self.questions, self.names)


def case_of(
    resolved: Resolved,
    before: Programme | None = None,
    progress: Progress | None = None,
    ends_of: EndsOf = astray,
) -> Case:
    """Return a site's case; `before` is what the panel held, if the last thing done to it was a change.

    Raises `UnknownValues` or `UnusableValues` as `setup_of` does.
    """
    ground = ground_of(resolved)
    causes = hypotheses(resolved.profile, resolved.programme, before, progress, ends_of)
    return Case(resolved, causes, questions(ground, candidates(ground), causes), ground.names)


@dataclass(frozen=True)
class Diagnosis:
    """What was observed so far, and what follows."""

    case: Case
    evidence: tuple[Evidence, ...] = ()
    weights: tuple[float, ...] = ()  # as long as the hypotheses, not yet summing to 1
    skipped: frozenset[str] = frozenset()  # names of questions that nobody could answer
    speaks_for_plan: bool = False  # whether anything was observed that the plan shows more often than other causes
    paired: tuple[int, int] | None = None  # of how many single causes pairs were made, and how many there are

    def __post_init__(self) -> None:
        if not self.weights:
            object.__setattr__(self, "weights", tuple(each.odds for each in self.case.hypotheses))

    def given(self, evidence: Evidence) -> Diagnosis:
        """Return the diagnosis after one more observation or answer."""
        fits = [weight and self.fit(place, evidence) for place, weight in enumerate(self.weights)]
        weights = tuple(weight * fit for weight, fit in zip(self.weights, fits, strict=True))
        planned, others = fits[0] * sum(self.weights[1:]), sum(weights[1:])
        speaks = self.speaks_for_plan or planned > others * (1 + SPEAKS)
        return replace(self, evidence=(*self.evidence, evidence), weights=weights, speaks_for_plan=speaks)

    def skipping(self, question: Question) -> Diagnosis:
        """Return the diagnosis without a question that can't be answered."""
        return replace(self, skipped=self.skipped | {question.name})

    def without(self, evidence: Evidence) -> Diagnosis:
        """Return the diagnosis without one observation."""
        rest = Diagnosis(self.case, skipped=self.skipped, paired=self.paired)
        for each in self.evidence:
            rest = rest if each is evidence else rest.given(each)
        return rest

    def fit(self, place: int, evidence: Evidence) -> float:
        """Return how likely a hypothesis shows what was observed."""
        asked = evidence.question if isinstance(evidence, Answered) else evidence
        wanted = evidence.answer if isinstance(evidence, Answered) else evidence.told
        return likelihood(self.case.answers(place, asked).get(wanted, 0.0), sure=evidence.sure)

    @property
    def contradictory(self) -> bool:
        """Return whether no known cause explains all observations."""
        return sum(self.weights) < NOTHING_LEFT

    @cached_property
    def remaining(self) -> tuple[list[int], list[float]]:
        """Return the places of the hypotheses that are weighed, and their shares of all.

        These belong to the likeliest causes, until hardly any weight is left or they are too many: then their shares
        sum to less than 1, and the diagnosis isn't over.
        """
        shares = normalised(self.weights)
        cures = self.case.cures
        by_cure = summed(cures, shares)
        members = Counter(cures)
        kept: set[int] = set()
        beside, weighed = 1.0, 0
        for cure in sorted(by_cure, key=lambda each: -by_cure[each]):
            if beside < LEFT_ASIDE or not by_cure[cure] or (len(kept) > 1 and weighed + members[cure] > MOST_WEIGHED):
                break
            kept.add(cure)
            beside, weighed = beside - by_cure[cure], weighed + members[cure]
        places = [n for n, share in enumerate(shares) if share and cures[n] in kept]
        found = [shares[n] for n in places]
        return places, found if beside >= LEFT_ASIDE else normalised(found)

    def beside(self) -> int:
        """Return how many causes remain besides those that are weighed, if there are too many to weigh all."""
        places, shares = self.remaining
        if sum(shares) > 1 - LEFT_ASIDE:
            return 0
        cures = self.case.cures
        left = {cures[n] for n, weight in enumerate(self.weights) if weight}
        return len(left) - len({cures[n] for n in places})

    def causes(self) -> tuple[CureGroup, ...]:
        """Return what remains and is weighed, the likeliest cause first.

        "All is as planned" is among them only once something was observed that speaks for it. Until then the shares of
        the others are given on the condition that something is wrong.
        """
        places, shares = self.remaining
        wrong = [n for n, place in enumerate(places) if not self.case.hypotheses[place].cure.nothing]
        if self.speaks_for_plan or not wrong:
            return self._grouped(places, shares)
        planned = sum(shares) - sum(shares[n] for n in wrong)
        return self._grouped([places[n] for n in wrong], [shares[n] / (1 - planned) for n in wrong])

    @property
    def plan_unlisted(self) -> bool:
        """Return whether all may be as planned although nothing observed speaks for it."""
        return self.weights[0] > 0 and not self.speaks_for_plan

    @property
    def forgets_station(self) -> bool:
        """Return whether somebody noticed "nothing" but didn't ask the station, which by the plan got a message."""
        planned = self.case.hypotheses[0]
        seen = (each for each in self.evidence if isinstance(each, Observed))
        return any(each.forgets_station(self.case.names, planned) for each in seen)

    def _grouped(self, places: Sequence[int], shares: Sequence[float]) -> tuple[CureGroup, ...]:
        groups: dict[int, list[tuple[float, int]]] = {}
        for place, share in zip(places, shares, strict=True):
            groups.setdefault(self.case.cures[place], []).append((share, place))
        found = [
            CureGroup(
                self.case.hypotheses[first].cure, sum(share for share, _ in group),
                tuple(self.case.hypotheses[n] for _, n in sorted(group, key=lambda each: (-each[0], each[1]))),
            )
            for first, group in groups.items()
        ]  # fmt: skip
        return tuple(sorted(found, key=lambda cause: (-cause.share, str(cause.hypotheses[0]))))

    def next_question(self) -> Next | None:
        """Return the question that is worth most a minute, then the quickest, then by name; None if none says more.

        A test that sends people, or sounds fire or gas, comes only if nothing else says more.
        """
        places, shares = self._weighed()
        hypotheses = [self.case.hypotheses[n] for n in places]
        cures = [self.case.cures[n] for n in places]
        if len(set(cures)) < 2:
            return None
        asked = {each.question.name for each in self.evidence if isinstance(each, Answered)} | self.skipped
        promising = self._by_promise(hypotheses, cures, shares, asked)
        for calls in (False, True):  # what calls for help is asked only if nothing else says more
            some = [(bound, question) for bound, question in promising if question.calls is calls]
            chosen = self._best_of(some, places, cures, shares)
            if chosen is not None:
                return self._meaning(chosen, places, shares)
        return None

    def _best_of(
        self, some: Iterable[tuple[float, Question]], places: list[int], cures: Sequence[int], shares: list[float]
    ) -> Question | None:
        """Return the one of these questions that is worth most a minute; None if none says anything."""
        best: tuple[float, float, str] | None = None
        chosen: Question | None = None
        runs: set[tuple[int, str]] = set()  # known ones count, too: so a diagnosis that is resumed asks the same
        for bound, question in some:
            if best is not None and (score(bound, question.minutes) < -best[0] or len(runs) > MOST_RUNS):
                break
            runs |= self.case.runs_of(places, question)
            bits = gain(cures, shares, [self.case.answers(n, question) for n in places])
            rank = (-score(bits, question.minutes), question.minutes, question.name)
            if bits > NEGLIGIBLE and (best is None or rank < best):
                best, chosen = rank, question
        return chosen

    def put(self, question: Question) -> Next:
        """Return what a question would say now, whatever it is worth."""
        return self._meaning(question, *self._weighed())

    def _weighed(self) -> tuple[list[int], list[float]]:
        """Return the places of the hypotheses that are weighed, and their shares among themselves."""
        places, shares = self.remaining
        return places, normalised(shares)

    def _by_promise(
        self, hypotheses: Sequence[Hypothesis], cures: Sequence[int], shares: Sequence[float], asked: set[str]
    ) -> list[tuple[float, Question]]:
        """Return questions with a bound on how much each can say, the most promising first."""
        reach = QuestionReach(hypotheses, cures, shares)
        found = []
        alike: set[object] = set()
        for question in self.case.questions:
            if question.name in asked:
                continue
            bits = reach.most_gain(question)
            if bits > 0 and isinstance(question, Trial) and reach.only_general(question):
                likeness = self.case.likeness(question)
                bits = 0.0 if likeness in alike else bits
                alike.add(likeness)
            if bits > 0:
                found.append((bits, question))
        return sorted(found, key=lambda each: (-score(each[0], each[1].minutes), each[1].name))

    def _meaning(self, question: Question, places: Sequence[int], shares: Sequence[float]) -> Next:
        predicted = [self.case.answers(n, question) for n in places]
        meaning = []
        for answer, share in sorted(outcomes(shares, predicted).items(), key=lambda each: (-each[1], each[0])):
            left = normalised(
                weight * answers.get(answer, 0.0) for weight, answers in zip(shares, predicted, strict=True)
            )
            kept = [(place, weight) for place, weight in zip(places, left, strict=True) if weight > 0]
            meaning.append((answer, share, self._grouped([n for n, _ in kept], [weight for _, weight in kept])))
        cures = [self.case.cures[n] for n in places]
        return Next(question, gain(cures, shares, predicted), meaning[0][1], tuple(meaning))

    # Nothing explains it all ------------------------------------------------------------------------------------------

    def doubtful(self, most: int = 3) -> list[tuple[Hypothesis, tuple[Evidence, ...]]]:
        """Return the hypotheses that explain the most, each with the observations that exclude it."""
        ranked = []
        for place, hypothesis in enumerate(self.case.hypotheses):
            fits_ = [self.fit(place, each) for each in self.evidence]
            against = tuple(each for each, fit in zip(self.evidence, fits_, strict=True) if fit == 0)
            weight = hypothesis.odds
            for fit in fits_:
                weight *= fit or 1.0
            ranked.append((len(against), -weight, place, against))
        return [
            (self.case.hypotheses[place], against)
            for _, _, place, against in sorted(ranked, key=lambda r: r[:3])[:most]
        ]

    def contradictions(self) -> tuple[tuple[Evidence, ...], ...]:
        """Return the smallest sets of observations that no single cause shows together."""
        places = range(len(self.case.hypotheses))
        shown = [(each, sum(1 << n for n in places if self.fit(n, each) > NOTHING_LEFT)) for each in self.evidence]
        return smallest_sets(shown)

    def ask_again(self) -> Evidence | None:
        """Return the observation whose removal leaves the most weight; None if removing a single one doesn't help."""
        found = []
        for n, each in enumerate(self.evidence):
            found.append((sum(self.without(each).weights), -n, each))
        best = max(found, key=lambda each: each[:2], default=None)
        return best[2] if best is not None and best[0] > NOTHING_LEFT else None

    def with_pairs(self) -> Diagnosis:
        """Return the diagnosis in which two things may be wrong at once.

        Pairs are made from the single causes that explain the most of what was observed and the plan doesn't show.
        """
        odd = [each for each in self.evidence if self.fit(0, each) < 0.5]
        ranked = []
        for place, hypothesis in enumerate(self.case.hypotheses[1:], 1):
            explains = sum(self.fit(place, each) for each in odd)
            if explains or not odd:
                ranked.append((-explains, -hypothesis.odds, place))
        singles = [self.case.hypotheses[place] for _, _, place in sorted(ranked)[:MOST_PAIRED]]
        paired = len(singles), len(self.case.hypotheses) - 1
        wider = Diagnosis(self.case.with_pairs(singles), skipped=self.skipped, paired=paired)
        for each in self.evidence:
            wider = wider.given(each)
        return wider

"""What may be the matter at a site, and what to ask or do next."""

from __future__ import annotations

from typing import Literal

from zonewright.desk.diagnoses import keyed, read_with
from zonewright.desk.results.keyed import SheetPart, sheet_part
from zonewright.desk.results.result import Part, Result
from zonewright.diagnosis.case import CureGroup, Next
from zonewright.diagnosis.case import Diagnosis as Found
from zonewright.entry.sheets.text import stroke_words
from zonewright.panel.resolve import Resolved


class ObservationPart(Part):
    """Something that was observed or answered, and whether whoever said so was sure."""

    says: str
    sure: bool


class AsPlanned(Part):
    """Whether the panel may be just as planned, and whether that was observed."""

    possible: bool
    observed: bool


class CausePart(Part):
    """One thing that may be the matter: its share of the likelihood, and its cure."""

    share: float
    says: tuple[str, ...]
    key_again: tuple[str, ...]
    do: tuple[str, ...]


class OtherCauses(Part):
    """Causes that aren't listed, and their share of the likelihood."""

    causes: int
    share: float


class ExcludedPart(Part):
    """A likely cause, and the observations that exclude it."""

    says: str
    observed: tuple[str, ...]


class KeyPart(Part):
    """What is pressed to read something back, and what the display must show, reading by reading."""

    press: str
    must_show: tuple[tuple[str, ...], ...]


class AnswerPart(Part):
    """An answer that a question may get: how likely it is, and which causes it leaves."""

    answer: str
    share: float
    leaves: tuple[str, ...]


class QuestionPart(Part):
    """The question that tells most for its time. `bits` is what it tells, `worst` what may be left."""

    test: str
    do: tuple[str, ...]
    minutes: float
    cautions: tuple[str, ...]
    keys: tuple[KeyPart, ...]
    bits: float
    worst: float
    answers: tuple[AnswerPart, ...]


class DiagnosisResult(Result):
    """What may be the matter; where observations contradict each other, which ones, and what to ask again."""

    kind: Literal["diagnosis"] = "diagnosis"
    observed: tuple[ObservationPart, ...]
    contradictory: bool
    as_planned: AsPlanned
    pairs_made_of: tuple[int, int] | None
    causes: tuple[CausePart, ...]
    other_causes: OtherCauses
    contradict_each_other: tuple[tuple[str, ...], ...]
    excluded: tuple[ExcludedPart, ...]
    ask_again: str | None
    next: QuestionPart | None
    sheets: tuple[SheetPart, ...]  # of each cause, once there is nothing left to ask


def diagnosis_of(found: Found, asked: Next | None) -> DiagnosisResult:
    """Return a diagnosis with the question that comes next."""
    causes = found.causes()
    over = asked is None and not found.contradictory
    again = found.ask_again() if found.contradictory else None
    beside = found.beside()
    unlisted = round(max(0.0, 1 - sum(cause.share for cause in causes)), 4) if beside else 0.0
    return DiagnosisResult(
        observed=tuple(ObservationPart(says=each.told, sure=each.sure) for each in found.evidence),
        contradictory=found.contradictory,
        as_planned=AsPlanned(possible=found.weights[0] > 0, observed=found.speaks_for_plan),
        pairs_made_of=found.paired,
        causes=tuple(
            CausePart(
                share=round(cause.share, 4),
                says=tuple(map(str, cause.hypotheses)),
                key_again=tuple(cause.cure.keys),
                do=tuple(cause.cure.mends),
            )
            for cause in causes
        ),
        other_causes=OtherCauses(causes=beside, share=unlisted),
        contradict_each_other=tuple(
            tuple(each.told for each in together)
            for together in (found.contradictions() if found.contradictory else ())
        ),
        excluded=tuple(
            ExcludedPart(says=str(hypothesis), observed=tuple(each.told for each in against))
            for hypothesis, against in (found.doubtful() if found.contradictory else ())
        ),
        ask_again=again.told if again is not None else None,
        next=_question(asked, found.case.resolved) if asked is not None else None,
        sheets=tuple(sheet_part(sheet) for cause in causes if over and (sheet := keyed(found, cause))),
    )


def cause_in_words(cause: CureGroup) -> str:
    """Return a cause as a technician says it, with how many others of its kind there may be."""
    first, others = str(cause.hypotheses[0]), len(cause.hypotheses) - 1
    if not others:
        return first
    many = f"or one of {others} others" if others > 1 else "or another"
    return f"{first}, {many} with the same cure"


def _question(asked: Next, resolved: Resolved) -> QuestionPart:
    return QuestionPart(
        test=asked.question.name,
        do=tuple(asked.question.do.split("; ")),
        minutes=asked.question.minutes,
        cautions=tuple(asked.question.cautions),
        keys=tuple(
            KeyPart(press=stroke_words(part.strokes), must_show=tuple(tuple(each.shows) for each in part.readings))
            for part in read_with(asked.question, resolved)
        ),
        bits=round(asked.bits, 4),
        worst=round(asked.worst, 4),
        answers=tuple(
            AnswerPart(answer=answer, share=round(share, 4), leaves=tuple(map(cause_in_words, left)))
            for answer, share, left in asked.meaning
        ),
    )

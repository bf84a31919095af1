"""A diagnosis on the screen and as data: what may be the matter, what to ask next, what to do in the end."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.cli.enter import sheet_object
from zonewright.cli.plain_data import json_text
from zonewright.cli.terminal import BOLD, Styled, paragraph
from zonewright.diagnosis.case import Cause, Diagnosis, Next
from zonewright.diagnosis.curing import sheet_of_cure
from zonewright.diagnosis.evidence import Evidence, Observed
from zonewright.diagnosis.questions import Question, ReadBack
from zonewright.diagnosis.reading_back import parts_to_read
from zonewright.diagnosis.statements import SOMETHING_ELSE
from zonewright.entry.keypad.strokes import NoWay
from zonewright.entry.sheets.sheet import EntrySheet
from zonewright.entry.sheets.text import part_lines, sheet_lines, stroke_words
from zonewright.entry.sheets.walk import WalkPart
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.fixed import tells_station
from zonewright.panel.resolve import Resolved

BAR = 10  # signs of a whole bar
ALL_BUT, ROUNDED = 0.995, 1e-9
LISTED = 8  # causes shown
ANSWERS = 9  # answers offered
CONTRADICTIONS = 3  # sets shown
HEAD = 5 + 2 + BAR + 2  # columns before a cause
FORGETS = '"Nothing" leaves out what the station got. Ask it, then add "not message" or the message that came.'


def cause_in_words(cause: Cause) -> str:
    """Return a cause as a technician says it, with how many others of its kind there may be."""
    first, others = str(cause.hypotheses[0]), len(cause.hypotheses) - 1
    return first + (
        f", or one of {others} others with the same cure"
        if others > 1
        else ", or another with the same cure"
        if others
        else ""
    )


def in_short(evidence: Evidence) -> str:
    """Return an observation or an answer as one line."""
    if isinstance(evidence, Observed):
        taken = f" (armed by {evidence.taken}, I take it; if not, write who: arm away by ...)"
        return evidence.told + (taken if evidence.taken else "")
    return evidence.told + ("" if evidence.sure else " (not sure)")


def percent(share: float) -> str:
    """Return a share in per cent; what is there is never told as nothing, what isn't all never as all."""
    if share < 0.01:
        return "<1%"
    return f"{share:.0%}" if share < ALL_BUT or share >= 1 - ROUNDED else ">99%"


def cause_lines(diagnosis: Diagnosis, width: int) -> Iterator[str]:
    """Give what may be the matter, the likeliest first, each with its share as a bar and in per cent."""
    causes = diagnosis.causes()
    if not diagnosis.evidence:
        yield from paragraph("Nothing was observed yet. If something is the matter, it may be:", width)
    for cause in causes[:LISTED]:
        bar = "#" * max(1, round(BAR * cause.share))
        yield from paragraph(cause_in_words(cause), width, f"{percent(cause.share):>5}  {bar:<{BAR}}  ", " " * HEAD)
    others = len(causes[LISTED:]) + diagnosis.beside()
    if others:
        rest = 1 - sum(cause.share for cause in causes[:LISTED])
        yield f"{percent(rest):>5}  {'':{BAR}}  {others:,} others"
    if diagnosis.evidence and diagnosis.plan_unlisted:
        text = "That all is as planned isn't excluded; nothing observed speaks for it."
        yield from paragraph(text, width)
    if diagnosis.forgets_station:
        yield from paragraph(FORGETS, width)
    yield from pair_lines(diagnosis, width)


def pair_lines(diagnosis: Diagnosis, width: int) -> Iterator[str]:
    """Give of what pairs were made, where two things may be the matter at once: not of all there are."""
    if diagnosis.paired is not None:
        made, of = diagnosis.paired
        text = f"Two at once: pairs of the {made} single causes that explain most, of {of}."
        yield from paragraph(text, width)


def next_lines(asked: Next, width: int, resolved: Resolved) -> Iterator[str | Styled]:
    """Give the next question, its cautions, the keys that read something back, and what each answer would mean."""
    question = asked.question
    yield Styled(f"NEXT, {minutes(question.minutes)}: {question.name}", BOLD)
    if question.do != question.name:
        for step in question.do.split("; "):
            yield from paragraph(step, width, "  - ")
    for caution in question.cautions:
        yield from paragraph(caution, width, "  ! ")
    for part in read_with(question, resolved):
        yield from ("  keys, from the display at rest:", *part_lines(part))
        yield f"    then {' '.join(part.leave)}: back, nothing is saved" if part.leave else "    nothing is saved"
    yield ""
    for number, (answer, share, left) in enumerate(asked.meaning[:ANSWERS], 1):
        yield from paragraph(answer, width, f"  {number}  ")
        yield from paragraph(f"{percent(share)} likely; then {left_in_words(left)}", width, "     -> ")
    more = len(asked.meaning) - ANSWERS
    if more > 0:
        yield f"     and {more} answers more, each less likely; type the text of one"
    yield f"  0  {SOMETHING_ELSE}"
    worst = max(len(left) for _, _, left in asked.meaning)
    yield f"At worst {worst} cause{'' if worst == 1 else 's'} {'is' if worst == 1 else 'are'} left."


def read_with(question: Question, resolved: Resolved) -> tuple[WalkPart, ...]:
    """Return the keys of a question that reads something back; none of another."""
    if not isinstance(question, ReadBack):
        return ()
    return tuple(part for thing in sorted(question.things) for part in parts_to_read(resolved, thing))


def minutes(minutes_: float) -> str:
    """Return how long a question takes: 30 s, 2 min."""
    return f"{round(minutes_ * 60)} s" if minutes_ < 1 else f"{minutes_:.0f} min"


def left_in_words(left: tuple[Cause, ...]) -> str:
    """Return what an answer would leave."""
    if len(left) == 1:
        return f"it is: {cause_in_words(left[0])}"
    return f"{len(left)} are left, first {cause_in_words(left[0])} ({percent(left[0].share)})"


def end_lines(diagnosis: Diagnosis, width: int) -> Iterator[str | Styled]:
    """Give what to key or to mend, once one cause is left or no question parts those that are."""
    causes = diagnosis.causes()
    if len(causes) == 1 and causes[0].cure.nothing:
        yield "Nothing is the matter: the panel does as planned in all that was observed."
        return
    if len(causes) > 1:
        yield from paragraph(
            "No question here tells these apart. Do them in this order, and after each repeat what failed.", width
        )
    for number, cause in enumerate(causes, 1):
        if cause.cure.nothing:
            continue
        if number > 1:
            yield ""
        head = f"{number}. " if len(causes) > 1 else "IT IS: "
        for line in paragraph(cause_in_words(cause), width, head):
            yield Styled(line, BOLD)
        for mend in cause.cure.mends:
            yield from paragraph(mend, width, "  do: ")
        sheet = keyed(diagnosis, cause)
        if sheet is not None:
            yield "  key this:"
            yield ""
            yield from sheet_lines(sheet)
    resolved = diagnosis.case.resolved
    told = tells_station(resolved.profile, *(each.panel.held for cause in causes for each in cause.hypotheses))
    ending = ", and take the account off test" if told else ""
    yield from paragraph(f"Then repeat what failed{ending}.", width)


def keyed(diagnosis: Diagnosis, cause: Cause) -> EntrySheet | None:
    """Return the delta sheet of a cause; raises `BadInput` where the keypad can't do it."""
    try:
        return sheet_of_cure(diagnosis.case.resolved, cause)
    except NoWay as none:
        thing = f"panel {diagnosis.case.resolved.profile.panel}"
        raise BadInput([Finding("ENT-01", Severity.PROBLEM, thing, str(none))]) from none


def contradiction_lines(diagnosis: Diagnosis, width: int) -> Iterator[str]:
    """Give why nothing explains it all: what excluded the three that explain most, and what to ask again."""
    yield from paragraph(
        "Nothing that is known here explains all of that: no single slip that the keypad invites, no single fault. An "
        "answer that is wrong by more (a behaviour far off in its list, say) isn't tried: read back what is about it.",
        width,
    )
    sets = diagnosis.contradictions()
    for together in sets[:CONTRADICTIONS]:
        alone = len(together) == 1
        yield "No cause shows this:" if alone else f"No cause shows {'both' if len(together) == 2 else 'all'} of these:"
        for each in together:
            yield from paragraph(in_short(each), width, "  - ")
    if len(sets) > CONTRADICTIONS:
        yield f"and {len(sets) - CONTRADICTIONS} more sets of {len(sets[0])}"
    yield "What comes nearest:"
    for hypothesis, against in diagnosis.doubtful():
        yield from paragraph(str(hypothesis), width, "  - ")
        for each in against:
            yield from paragraph(each.told, width, "      excluded by  ", " " * 19)
    yield from pair_lines(diagnosis, width)
    again = diagnosis.ask_again()
    if again is not None:
        yield from paragraph(again.told, width, "Ask this one again: ", "    ")
    if diagnosis.paired is None:
        yield from paragraph("If it is so, two things may be the matter at once: --two", width)


def diagnosis_object(diagnosis: Diagnosis, asked: Next | None) -> dict[str, object]:
    """Return a diagnosis as plain data."""
    causes = diagnosis.causes()
    over = asked is None and not diagnosis.contradictory
    again = diagnosis.ask_again() if diagnosis.contradictory else None
    return {
        "observed": [{"told": each.told, "sure": each.sure} for each in diagnosis.evidence],
        "contradictory": diagnosis.contradictory,
        "as planned": {"possible": diagnosis.weights[0] > 0, "observed": diagnosis.speaks_for_plan},
        "pairs made of": list(diagnosis.paired) if diagnosis.paired is not None else None,
        "causes": [
            {
                "share": round(cause.share, 4),
                "says": [str(each) for each in cause.hypotheses],
                "key anew": list(cause.cure.keys),
                "do": list(cause.cure.mends),
            }
            for cause in causes
        ],
        "other causes": {
            "causes": diagnosis.beside(),
            "share": round(max(0.0, 1 - sum(cause.share for cause in causes)), 4) if diagnosis.beside() else 0.0,
        },
        "contradict each other": [
            [each.told for each in together]
            for together in (diagnosis.contradictions() if diagnosis.contradictory else ())
        ],
        "excluded by": [
            {"says": str(hypothesis), "observed": [each.told for each in against]}
            for hypothesis, against in (diagnosis.doubtful() if diagnosis.contradictory else ())
        ],
        "ask again": again.told if again is not None else None,
        "next": _next_object(asked, diagnosis.case.resolved) if asked is not None else None,
        "sheets": [sheet_object(sheet) for cause in causes if over and (sheet := keyed(diagnosis, cause))],
    }


def _next_object(asked: Next, resolved: Resolved) -> dict[str, object]:
    return {
        "test": asked.question.name,
        "do": asked.question.do.split("; "),
        "minutes": asked.question.minutes,
        "cautions": list(asked.question.cautions),
        "keys": [
            {"press": stroke_words(part.strokes), "must show": [list(each.shows) for each in part.readings]}
            for part in read_with(asked.question, resolved)
        ],
        "bits": round(asked.bits, 4),
        "worst": round(asked.worst, 4),
        "answers": [
            {"answer": answer, "share": round(share, 4), "leaves": [cause_in_words(cause) for cause in left]}
            for answer, share, left in asked.meaning
        ],
    }


def as_json(diagnosis: Diagnosis, asked: Next | None) -> str:
    """Return a diagnosis as JSON."""
    return json_text(diagnosis_object(diagnosis, asked))

"""A diagnosis on the screen and as data: what may be the matter, what to ask next, what to do in the end."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.cli.terminal import BOLD, Styled, paragraph
from zonewright.desk.diagnoses import keyed, read_with
from zonewright.desk.results.diagnoses import cause_in_words
from zonewright.diagnosis.case import CureGroup, Diagnosis, Next
from zonewright.diagnosis.evidence import Evidence, Observed
from zonewright.diagnosis.statements import SOMETHING_ELSE
from zonewright.entry.sheets.text import part_lines, sheet_lines
from zonewright.panel.fixed import tells_station
from zonewright.panel.resolve import Resolved

BAR = 10  # signs of a whole bar
ALL_BUT, ROUNDED = 0.995, 1e-9
LISTED = 8  # causes shown
ANSWERS = 9  # answers offered
CONTRADICTIONS = 3  # sets shown
HEAD = 5 + 2 + BAR + 2  # columns before a cause
NOT_TRIED = "If it fails again, read back what the sheet left as shipped, too: slips there aren't among the causes."
FORGETS = '"Nothing" leaves out what the station got. Ask it, then add "not message" or the message that came.'


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


def minutes(minutes_: float) -> str:
    """Return how long a question takes: 30 s, 2 min."""
    return f"{round(minutes_ * 60)} s" if minutes_ < 1 else f"{minutes_:.0f} min"


def left_in_words(left: tuple[CureGroup, ...]) -> str:
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
    yield from paragraph(NOT_TRIED, width)


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

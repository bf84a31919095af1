"""Observations and answers as they are written down: one line each on a command line, one block each in a file.

    done: arm away by Ida; +10 s leave by front door; +2 h back door opens
    noticed: not siren, not message, from the garden
    sure: no

    test: 2: take its cover off and put it on again
    answer: nothing

Rules of this file:
1. What was done is written in the grammar of a scenario, what was noticed in that of `noticing_text.py`.
2. Empty lines separate blocks; `#` begins a comment. A later block about the same thing replaces an earlier one, and
   counts in its own place: so a file that is read again leads to the same question. The answer `?` says that nobody can
   answer it.
3. All slips are reported together, each with its line. An answer that no cause gives isn't accepted: write `something
   else`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from zonewright.diagnosis.case import Case, Diagnosis
from zonewright.diagnosis.evidence import Answered, Evidence, Observed, taken_to_arm
from zonewright.diagnosis.noticing_text import read_noticing
from zonewright.diagnosis.questions import Question
from zonewright.findings import Finding, Place, Severity, nearest
from zonewright.words import quoting
from zonewright.words.scenario import NOBODY_LEAVES, doors_unsaid, read_scenario

SOMETHING_ELSE = "something else"
CANT_TELL = "?"  # the answer after which a question isn't asked again
FIELDS = ("done", "noticed", "test", "answer", "sure")
MOST_BLOCKS = 200


@dataclass(frozen=True)
class WrittenBlock:
    """One block as written: field -> text and line."""

    line: int
    fields: Mapping[str, tuple[str, int]]


def observation(case: Case, done: str, noticed: str, file: str, line: int = 1) -> tuple[Observed | None, list[Finding]]:
    """Read what was done and what was noticed; None with every slip if it can't be read."""
    scenario, slips = read_scenario(done, file, case.resolved)
    findings = [replace(each, place=Place(file, line)) for each in slips]
    setup = case.hypotheses[0].panel.setup
    noticing, unread = read_noticing(noticed, case.vocabulary)
    for each in unread:
        near = nearest(each.wrote, each.words) or nearest(
            each.wrote.split()[-1] if each.wrote.split() else "", each.words
        )
        findings.append(
            _slip(file, line, each.says, each.wrote, allowed="; ".join(each.allowed), near=near, code="DIA-01")
        )
    if not slips and (doors := doors_unsaid(setup, scenario)):
        says = "armed away at a keypad, and nobody leaves by a door: this panel then sets itself to stay"
        fix = f"write after it: +10 s leave by {doors[0]}; or, if nobody went out: {NOBODY_LEAVES}"
        findings.append(_slip(file, line, says, done, fix=fix))
    if findings:
        return None, findings
    taken = taken_to_arm(scenario, case.hypotheses[0].right, case.resolved.users)
    told = f"{' '.join(done.split())}: {' '.join(noticed.split())}"
    return Observed(scenario, noticing, told, taken), []


def one_line(case: Case, text: str, file: str) -> tuple[Observed | None, list[Finding]]:
    """Read `what was done: what was noticed`."""
    done, *rest = quoting.parts(text, ":")
    noticed = ":".join(rest)
    if not rest:
        fix = "write, say: back door opens: chime, not siren"
        return None, [_slip(file, 1, "no colon between what was done and what was noticed", text, fix=fix)]
    return observation(case, done, noticed, file)


def read_statements(text: str, file: str, case: Case) -> tuple[Diagnosis, list[Finding]]:
    """Return the diagnosis after everything that is written, and every slip in it."""
    findings: list[Finding] = []
    found: dict[str, Evidence] = {}
    skipped: dict[str, Question] = {}
    blocks = list(_blocks(text, file, findings))
    if len(blocks) > MOST_BLOCKS:
        says = f"it has {len(blocks)} observations, and {MOST_BLOCKS} are read"
        findings.append(_slip(file, blocks[MOST_BLOCKS].line, says, "", fix="leave the oldest out"))
    for block in blocks[:MOST_BLOCKS]:
        if block.fields.get("answer", ("", 0))[0] == CANT_TELL and "test" in block.fields:
            question = _question(case, *block.fields["test"], file, findings)
            skipped |= {question.name: question} if question is not None else {}
            continue
        evidence = _evidence(block, file, case, findings)
        if evidence is not None:
            found.pop(about(evidence), None)
            skipped.pop(about(evidence), None)
            found[about(evidence)] = evidence
    diagnosis = diagnosed(case, found.values())
    for question in skipped.values():
        diagnosis = diagnosis.skipping(question)
    return diagnosis, findings


def diagnosed(case: Case, evidence: Iterable[Evidence]) -> Diagnosis:
    """Return the diagnosis after all of this."""
    diagnosis = Diagnosis(case)
    for each in evidence:
        diagnosis = diagnosis.given(each)
    return diagnosis


def about(evidence: Evidence) -> str:
    """Return what a statement is about: a later one about the same replaces it."""
    if isinstance(evidence, Answered):
        return evidence.question.name
    return f"{quoting.parts(evidence.told, ':')[0]} from {evidence.noticing.spot.value}"


def block_text(evidence: Evidence) -> str:
    """Return the block from which the same observation or answer is read."""
    if isinstance(evidence, Answered):
        lines = [f"test: {evidence.question.name}", f"answer: {evidence.answer}"]
        lines += [] if evidence.sure else ["sure: no"]
    else:
        done, *noticed = quoting.parts(evidence.told, ": ")
        lines = [f"done: {done}", f"noticed: {': '.join(noticed)}"]
    return "\n".join(lines) + "\n"


def cant_tell_text(question: Question) -> str:
    """Return a block that says that a question can't be answered."""
    return f"test: {question.name}\nanswer: {CANT_TELL}\n"


def _blocks(text: str, file: str, findings: list[Finding]) -> Iterable[WrittenBlock]:
    fields: dict[str, tuple[str, int]] = {}
    for number, line in enumerate([*text.splitlines(), ""], 1):
        plain = line.strip()
        if not plain and fields:
            yield WrittenBlock(min(at for _, at in fields.values()), fields)
            fields = {}
        elif plain and not plain.startswith("#"):
            name, colon, value = plain.partition(":")
            if not colon or name.strip() not in FIELDS:
                near = nearest(name.strip(), FIELDS)
                allowed = ", ".join(FIELDS)
                findings.append(_slip(file, number, "no line begins so", name.strip(), allowed=allowed, near=near))
            elif name.strip() in fields:
                says = f"this observation has its {name.strip()} already"
                findings.append(_slip(file, number, says, plain, fix="put an empty line between observations"))
            else:
                fields[name.strip()] = value.strip(), number


def _evidence(block: WrittenBlock, file: str, case: Case, findings: list[Finding]) -> Evidence | None:
    fields = block.fields
    pairs = [pair for pair in (("done", "noticed"), ("test", "answer")) if any(name in fields for name in pair)]
    missing = [name for pair in pairs for name in pair if name not in fields]
    if len(pairs) != 1 or missing:
        says = "it is either `done` and `noticed`, or `test` and `answer`"
        fix = f"write its {missing[0]}" if len(pairs) == 1 else "put an empty line between observations"
        findings.append(_slip(file, block.line, says, "", fix=fix))
        return None
    word, line = fields.get("sure", ("yes", block.line))
    if word not in ("yes", "no"):
        findings.append(_slip(file, line, "it is neither yes nor no", word, allowed="yes, no"))
    if "done" in fields:
        noticed = fields["noticed"][0] + (", not sure" if word == "no" else "")
        observed, slips = observation(case, fields["done"][0], noticed, file, fields["done"][1])
        findings += slips
        return observed
    question = _question(case, *fields["test"], file, findings)
    if question is None:
        return None
    return _answer(case, question, *fields["answer"], file, findings, sure=word != "no")


def _question(case: Case, name: str, line: int, file: str, findings: list[Finding]) -> Question | None:
    known = {each.name: each for each in case.questions}
    if name not in known:
        says, fix = "no such test is asked here", "copy its name as `diagnose` prints it"
        findings.append(_slip(file, line, says, name, near=nearest(name, known), fix=fix))
    return known.get(name)


def _answer(
    case: Case, question: Question, answer: str, line: int, file: str, findings: list[Finding], *, sure: bool
) -> Answered | None:
    known = {each for place in range(len(case.hypotheses)) for each in case.answers(place, question)}
    if answer not in known | {SOMETHING_ELSE}:
        says, fix = (
            "no possible cause gives this answer",
            f"copy an answer as printed, or write: {SOMETHING_ELSE}",
        )
        findings.append(_slip(file, line, says, answer, near=nearest(answer, known), fix=fix))
        return None
    return Answered(question, answer, sure)


def _slip(
    file: str, line: int, says: str, wrote: str, *, allowed: str = "", near: Iterable[str] = (), fix: str = "",
    code: str = "DIA-02",
) -> Finding:  # fmt: skip
    return Finding(
        code, Severity.PROBLEM, "observation", says, Place(file, line), wrote=wrote[:80] or None,
        allowed=allowed or None, nearest=next(iter(near), None), fix=fix,
    )  # fmt: skip

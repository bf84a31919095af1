"""The talk of `diagnose` at a terminal: what was noticed, then question by question until one cause is left.

Rules of this file:
1. Lines come from a function, so a test can type. An empty answer to a question changes nothing; the end of the input
   stops.
2. Every observation and answer stands in the file at once, if one was named. Ctrl-C tells what was answered.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from zonewright.cli.diagnosis_text import (
    ANSWERS,
    cause_lines,
    contradiction_lines,
    end_lines,
    in_short,
    next_lines,
)
from zonewright.cli.findings_text import mistakes
from zonewright.cli.terminal import Screen, paragraph
from zonewright.desk.diagnoses import restated
from zonewright.desk.saving import save
from zonewright.diagnosis.case import Diagnosis, Next
from zonewright.diagnosis.evidence import Answered, Evidence, Observed
from zonewright.diagnosis.noticing_text import FORMS
from zonewright.diagnosis.statements import (
    CANT_TELL,
    SOMETHING_ELSE,
    block_text,
    cant_tell_text,
    observation,
)

STOPPED = 130  # as of every verb stopped by Ctrl-C
UNEXPLAINED = 1
STOP, HELP, UNSURE, TWO, AGAIN = "/stop", "/help", "~", "/two", "/again"
TYPED = "typed"  # what a finding calls a line that was typed
CAUTIONS = {
    True: (
        "Put the account on test with the station first, and tell everybody in the building.",
        "Life safety is tried only by its maker's way; hold-up and duress only with the station's word.",
    ),
    False: ("Tell everybody in the building first.", "Life safety is tried only by its maker's way."),
}  # whether a station is told
HOW = (
    "a number    the answer that fits; with ~ behind it if nobody is sure: 2~",
    "words       the answer as printed, or its beginning",
    f"{CANT_TELL:12}it can't be told: ask something else",
    f"{STOP:12}stop here",
)


class _Stopped(Exception):
    """Nobody types any more, or they want to stop."""


class Talk:
    """One talk, with the diagnosis as it stands."""

    def __init__(self, screen: Screen, diagnosis: Diagnosis, file: Path | None, line: Callable[[], str]) -> None:
        self.screen, self.diagnosis, self.file, self.line = screen, diagnosis, file, line

    def held(self) -> int:
        """Talk until it is over, and return the exit code."""
        for text in CAUTIONS[self.diagnosis.case.resolved.site.station is not None]:
            self.screen.say(*paragraph(text, self.screen.width, "! "))
        try:
            if not self.diagnosis.evidence:
                self._observations()
            return self._questions()
        except KeyboardInterrupt:
            self._tell_answered()
            return STOPPED
        except _Stopped:
            self._tell_answered()
            return 0

    def _ask(self, prompt: str) -> str:
        self.screen.stream.write(f"{prompt}: ")
        self.screen.stream.flush()
        line = self.line()
        if not line or line.strip() == STOP:
            raise _Stopped
        return line.strip()

    # What was noticed -------------------------------------------------------------------------------------------------

    def _observations(self) -> None:
        """Take down what was done and noticed, until there is no more of it."""
        say = self.screen.say
        say("", "What was done, say: arm away; leave by front door; +2 h back door opens   (empty: no more)")
        say("What was noticed, say: chime, not siren, from the garden, not sure   (? lists all)")
        while done := self._ask("\ndone"):
            if (observed := self._observation(done)) is not None:
                self._take(observed)

    def _observation(self, done: str) -> Observed | None:
        noticed = self._ask("noticed")
        while noticed == CANT_TELL:
            self.screen.say(*paragraph("; ".join(FORMS), self.screen.width, "  "))
            noticed = self._ask("noticed")
        observed, slips = observation(self.diagnosis.case, done, noticed, TYPED)
        self.screen.say(*mistakes(slips, self.screen.width))
        return observed

    # What is asked ----------------------------------------------------------------------------------------------------

    def _questions(self) -> int:
        while True:
            if self.diagnosis.contradictory:
                if not self._contradicted():
                    return UNEXPLAINED
                continue
            self.screen.say("", *cause_lines(self.diagnosis, self.screen.width), "")
            asked = self.diagnosis.next_question()
            if asked is None:
                self.screen.say(*end_lines(self.diagnosis, self.screen.width))
                return 0
            self.screen.say(*next_lines(asked, self.screen.width, self.diagnosis.case.resolved))
            self._answer(asked)

    def _answer(self, asked: Next) -> None:
        answers = [answer for answer, _, _ in asked.meaning]
        while True:
            typed = self._ask(f"answer (0-{min(len(answers), ANSWERS)}, {CANT_TELL}, {HELP})")
            if typed == HELP:
                self.screen.say(*HOW)
            elif typed == CANT_TELL:
                self.diagnosis = self.diagnosis.skipping(asked.question)
                self._write(cant_tell_text(asked.question))
                return
            elif (answer := answer_meant(typed.removesuffix(UNSURE).strip(), answers)) is not None:
                self._take(Answered(asked.question, answer, sure=not typed.endswith(UNSURE)))
                return
            elif typed:
                self.screen.say(f"that is none of the answers, nor the beginning of just one; {HELP} tells how")

    def _contradicted(self) -> bool:
        """Tell why nothing explains it all; put right what is wrong, or look for two things at once."""
        self.screen.say("", *contradiction_lines(self.diagnosis, self.screen.width))
        again = self.diagnosis.ask_again()
        ways = [*([f"{AGAIN}: that one again"] if again is not None else []), f"{TWO}: two at once", STOP]
        while True:
            typed = self._ask(", ".join(ways))
            if typed == TWO:
                self.diagnosis = self.diagnosis.with_pairs()
                return not self.diagnosis.contradictory or self._no_pair()
            if typed == AGAIN and again is not None:
                self.diagnosis = self.diagnosis.without(again)
                self._once_more(again)
                return True

    def _no_pair(self) -> bool:
        self.screen.say("No two of them explain it either. Ask on site again, from the start.")
        return False

    def _once_more(self, again: Evidence) -> None:
        if isinstance(again, Answered):
            asked = self.diagnosis.put(again.question)
            self.screen.say(*next_lines(asked, self.screen.width, self.diagnosis.case.resolved))
            self._answer(asked)
            return
        done = again.told.partition(":")[0]
        self.screen.say(f"done: {done}")
        if (observed := self._observation(done)) is not None:
            self._take(observed)

    # What is kept -----------------------------------------------------------------------------------------------------

    def _take(self, evidence: Evidence) -> None:
        self.diagnosis = restated(self.diagnosis, evidence)
        self._write(block_text(evidence))

    def _write(self, block: str) -> None:
        """Write something into the file at once, if one was named."""
        if self.file is not None:
            text = self.file.read_text(encoding="utf-8").rstrip("\n") + "\n\n" if self.file.exists() else ""
            save(self.file, text + block, force=self.file.exists())

    def _tell_answered(self) -> None:
        if not self.diagnosis.evidence:
            self.screen.say("", "stopped; nothing was answered yet")
            return
        self.screen.say("", f"stopped; answered so far{f', all of it in {self.file}' if self.file else ''}:")
        for each in self.diagnosis.evidence:
            self.screen.say(*paragraph(in_short(each), self.screen.width, "  "))


def answer_meant(typed: str, answers: list[str]) -> str | None:
    """Return the answer that a number or some words mean; None if none does, or several."""
    if typed.isascii() and typed.isdigit():
        number = int(typed)
        if number == 0:
            return SOMETHING_ELSE
        return answers[number - 1] if number <= min(len(answers), ANSWERS) else None
    if typed in answers:
        return typed
    found = [answer for answer in answers if typed and answer.casefold().startswith(typed.casefold())]
    return found[0] if len(found) == 1 else None

"""`diagnose`: from what was noticed to what is the matter, question by question, and to what to key or mend."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import click

from zonewright.cli.collecting import uncollected
from zonewright.cli.diagnose_talk import Talk
from zonewright.cli.diagnosis_text import cause_lines, contradiction_lines, end_lines, in_short, next_lines
from zonewright.cli.opening import job_at, older_at, text_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.progress import ProgressBar
from zonewright.cli.terminal import Screen, paragraph, screen_of
from zonewright.desk.diagnoses import case_at, noticed
from zonewright.desk.results.diagnoses import diagnosis_of
from zonewright.diagnosis.case import Diagnosis, Next

UNEXPLAINED = 1
INLINE = "--saw"  # what a finding calls an observation that was typed on the command line


@click.command()
@click.argument("site", type=FILE)
@click.argument("file", type=FILE, required=False)
@click.option("--saw", multiple=True, metavar="TEXT", help="What was done: what was noticed. May be repeated.")
@click.option("--since", type=FILE, metavar="OLDER", help="The site file before a change.")
@click.option("--two", is_flag=True, help="Two things may be the matter at once.")
@click.option("--json", "as_data", is_flag=True, help="Print it as JSON.")
@uncollected()
def diagnose(site: Path, file: Path | None, saw: tuple[str, ...], since: Path | None, two: bool, as_data: bool) -> int:
    """Find out what is the matter at SITE from what was noticed, and what to key or mend.

    Every single slip that the keypad invites and every single fault is tried: those that show just what was noticed
    are listed, with the question that parts them best. Answers are asked for at a terminal; else the list and the
    next question are printed. FILE holds observations; what is answered is added to it, and begins it where it isn't
    there yet. With --since, only what the sheet of that change keys can be keyed wrong. What can be noticed:
    siren, chime, display TEXT, message NAME, nothing, not SIREN ...

    \b
    zonewright diagnose larkfield.yaml
    zonewright diagnose larkfield.yaml --saw "back door opens: nothing"
    zonewright diagnose larkfield.yaml --saw "arm away; leave by front door; +2 h back door opens: not siren"
    zonewright diagnose larkfield.yaml seen.txt --two
    """
    talks = not as_data and sys.stdin.isatty()
    begun = talks and file is not None and not file.exists()
    text = "" if file is None or begun else text_at(file)
    job, bar = job_at(site), ProgressBar()
    try:
        case = case_at(job, older_at(since, job), bar.show)
    finally:
        bar.clear()
    diagnosis = noticed(case, text, str(file), saw, INLINE)
    diagnosis = diagnosis.with_pairs() if two else diagnosis
    screen = screen_of(sys.stdout)
    if not talks:
        asked = None if diagnosis.contradictory else diagnosis.next_question()
        if as_data:
            print_result(diagnosis_of(diagnosis, asked))
        else:
            _show(screen, diagnosis, asked)
        return UNEXPLAINED if diagnosis.contradictory else 0
    if begun:
        screen.say(*paragraph(f"{file} isn't there; it is begun with the first answer", screen.width))
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    return Talk(screen, diagnosis, file, sys.stdin.readline).held()


def _show(screen: Screen, diagnosis: Diagnosis, asked: Next | None) -> None:
    """Print where a diagnosis stands: what was observed, what may be, and what comes next."""
    for each in diagnosis.evidence:
        screen.say(*paragraph(in_short(each), screen.width, "observed  "))
    screen.say("") if diagnosis.evidence else None
    if diagnosis.contradictory:
        screen.say(*contradiction_lines(diagnosis, screen.width))
        return
    screen.say(*cause_lines(diagnosis, screen.width), "")
    if asked is not None:
        screen.say(*next_lines(asked, screen.width, diagnosis.case.resolved))
    else:
        screen.say(*end_lines(diagnosis, screen.width))

"""`explain`: what each zone does in words, all about one of them, or what a change of the site file changes."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.cli.collecting import uncollected
from zonewright.cli.opening import job_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.progress import ProgressBar
from zonewright.cli.since import since_lines
from zonewright.cli.terminal import paragraph, screen_of
from zonewright.desk.comparing import since as since_of
from zonewright.desk.comparing import with_proofs
from zonewright.desk.explaining import explained, sentences
from zonewright.desk.job import Job, older_job
from zonewright.desk.results.changes import changes_of
from zonewright.desk.results.matrices import explanation, never_armed
from zonewright.panel.readback_file import is_readback
from zonewright.words.strips import never_armed_in_words
from zonewright.words.tracks import called


@click.command()
@click.argument("site", type=FILE)
@click.argument("zone", required=False)
@click.option("--since", type=FILE, metavar="OLDER", help="Tell what is different from OLDER.")
@click.option("--proofs", is_flag=True, help="With --since: tell also which proofs come out otherwise.")
@click.option("--json", "as_json", is_flag=True, help="Print the texts as JSON.")
@uncollected()
def explain(site: Path, zone: str | None, since: Path | None, proofs: bool, as_json: bool) -> int:
    """Tell in a sentence what each zone does, or all about one ZONE (its number or its device's name).

    With --since, tell what changes from an OLDER site file: which zones sound, send or stay
    silent that did not before. SITE may be a readback, too: then what isn't known is told in place of a guess.

    \b
    zonewright explain larkfield.yaml
    zonewright explain larkfield.yaml side-gate
    zonewright explain larkfield.yaml --since larkfield-before.yaml
    """
    if since is None and proofs:
        raise click.UsageError("--proofs belongs to --since OLDER")
    if since is not None and zone is not None:
        raise click.UsageError("give a ZONE, or --since OLDER")
    if since is None and is_readback(site):
        from zonewright.cli.readback_text import explain_readback

        return explain_readback(site, screen_of(sys.stdout), zone, as_json=as_json)
    job = job_at(site)
    if since is not None:
        return _explain_since(job, since, proofs=proofs, as_json=as_json)
    told = sentences(job) if zone is None else explained(job, zone)
    screen = screen_of(sys.stdout)
    if as_json:
        print_result(explanation(told, never=never_armed(job)))
    elif zone is None:
        for number, text in told.items():
            screen.say(*paragraph(text, screen.width, f"{number:>4}  "))
    else:
        for text in told.values():
            for line in text.splitlines():
                indent = " " * (len(line) - len(line.lstrip()))
                screen.say(*(paragraph(line, screen.width, indent, f"{indent}    ") if line.strip() else [""]))
    if not as_json:
        for text in never_armed_in_words(job.never_armed):
            screen.say(*paragraph(called(text, job.names), screen.width))
    return 0


def _explain_since(job: Job, older: Path, *, proofs: bool, as_json: bool) -> int:
    old, bar, stopped = older_job(job_at(older), job), ProgressBar(), False
    found = since_of(job, old)
    try:
        found = with_proofs(found, job, old, bar.show) if proofs else found
    except KeyboardInterrupt:
        stopped = True
    bar.clear()
    if as_json:
        print_result(changes_of(found, job.names))
    else:
        screen = screen_of(sys.stdout)
        screen.say(*since_lines(found, job.names, screen.width))
    if stopped:
        raise KeyboardInterrupt("stopped: what can be proved wasn't compared")
    return 0

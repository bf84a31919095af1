"""`walk`: the shortest walk that proves what was keyed: which tests, in which order, and what must be noticed."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import click

from zonewright.cli.collecting import uncollected
from zonewright.cli.opening import job_at, older_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.progress import ProgressBar
from zonewright.cli.terminal import paragraph, screen_of
from zonewright.desk.keyable import keyable
from zonewright.desk.results.test_plan import plan_result
from zonewright.desk.test_plans import planner_of
from zonewright.documents.cautions import cautions
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.readback_file import is_readback
from zonewright.panel.resolve import Resolved
from zonewright.testplan.plan_words import NOTICED, compared, is_told, minutes, sums, unshown
from zonewright.testplan.planner import Stage, TestPlan
from zonewright.testplan.walking import ToldTest, begins, by_hand, closing, told, trials, waits
from zonewright.words.tracks import Names

CAUTIOUS = ("Dispatch", "Life safety", "Ladder, drill, siren")
_BUDGET = re.compile(r"(\d{1,4})\s*(min|h)", re.ASCII)


def budget_of(_context: click.Context, _parameter: click.Parameter, text: str | None) -> int | None:
    """Return the seconds of `20min`, `20 min` or `2h`."""
    if text is None:
        return None
    found = _BUDGET.fullmatch(text.strip())
    if found is None or int(found[1]) == 0:
        raise click.BadParameter(f"{text!r} is no time; write it so: 20min, or 2h")
    return int(found[1]) * (60 if found[2] == "min" else 3600)


@click.command("walk")
@click.argument("site", type=FILE)
@click.option("--since", "older", type=FILE, metavar="OLDER", help="Only what was changed since.")
@click.option("--budget", callback=budget_of, metavar="TIME", help="Show as much as this time allows: 20min.")
@click.option("--json", "as_json", is_flag=True, help="Print the plan as JSON.")
@uncollected()
def walk(site: Path, older: Path | None, budget: int | None, as_json: bool) -> int:
    """Plan the quickest walk under which every single slip of the keying shows.

    Period by period: how to arm, then each test: where, what to do, what must be noticed and when. Somebody must hear
    the keypad, and the station's list is read at the end. What no test shows is listed, to be read back.

    \b
    zonewright walk larkfield.yaml
    zonewright walk larkfield.yaml --budget 20min
    zonewright walk larkfield.yaml --since larkfield-before.yaml
    """
    if is_readback(site):
        says = "it is a readback, and what was wanted of the panel stands in a site file"
        raise BadInput([Finding("USE-03", Severity.PROBLEM, str(site), says, fix="name the site file that was keyed")])
    job, bar = job_at(site), ProgressBar()
    planner = planner_of(job, older_at(older, job), bar.show)
    try:
        with keyable(job.resolved):
            plan = planner.run(budget)
    except KeyboardInterrupt:
        bar.clear()
        if planner.best is None:
            stage, done, of = planner.reached or (Stage.RUNNING, 0, 0)
            raise KeyboardInterrupt(
                f"stopped while {stage.value}, {done} of {of}: there is no plan yet, it needs them all"
            ) from None
        plan = replace(planner.best, stopped=True)
    bar.clear()
    if as_json:
        print_result(plan_result(plan, job.names))
    else:
        screen = screen_of(sys.stdout)
        screen.say(*plan_lines(plan, job.resolved, job.names, screen.width))
    if plan.stopped:
        raise KeyboardInterrupt("stopped: this is the best plan that was found so far")
    return 0


def plan_lines(plan: TestPlan, resolved: Resolved, names: Names, width: int) -> Iterator[str]:
    """Give the plan as a checklist."""
    yield from paragraph(f"Test plan: {resolved.site.site}, revision {resolved.site.revision}", width)
    yield ""
    yield from (line for text in sums(plan) for line in paragraph(text, width, "", "  "))
    besides = by_hand(plan.ground, plan.before) if plan.periods or plan.before is not None else ()
    station = is_told(plan)
    acts = bool(plan.periods or plan.trials or besides)
    if acts:
        yield ""
        for caution in cautions(told=station):
            if caution.topic in CAUTIOUS:
                yield from paragraph(f"{caution.topic}: {caution.text}", width, "", "  ")
        if station:
            yield from ("", *paragraph("Put the account on test. Name, time, until when:", width, "[ ] ", "    "))
    number = 0
    for n, rehearsal in enumerate(plan.periods, 1):
        lasts = minutes(rehearsal.period.seconds)
        yield ""
        yield from paragraph(f"Period {n}, about {lasts}. {begins(plan.ground, rehearsal, names)}.", width)
        for at, stop in enumerate(rehearsal.period.stops):
            number += 1
            yield ""
            yield from test_lines(told(plan.ground, rehearsal, at, names), f"{number}", width, waits(stop))
        end = closing(plan.ground, rehearsal, names)
        if end is not None:
            yield from ("", *test_lines(end, "", width, "Wait until all messages are in."))
    for n, trial in enumerate(plan.trials):
        yield from ("", *paragraph(trials(station), width)) if n == 0 else ()
        yield from ("", *test_lines(told(plan.ground, trial, 0, names), "", width, waits(trial.period.stops[0])))
    for each in besides:
        yield from ("", *paragraph(each.note, width))
        for name, text in each.rows:
            yield from paragraph(f"{name}: {text}", width, "   [ ] ", "       ")
    if station and (plan.periods or plan.trials):
        yield from ("", *paragraph(compared(plan), width, "[ ] ", "    "))
    if station and acts:
        yield from paragraph("Take the account off test; have it confirmed. Name, time:", width, "[ ] ", "    ")
    yield from not_shown(plan, width)


def test_lines(each: ToldTest, number: str, width: int, note: str) -> Iterator[str]:
    """Give one test with its boxes."""
    head = f"{number}. " if number else ""
    yield from paragraph(f"{head}{each.title}" + (f" (at {each.where})" if each.where else ""), width, "", "   ")
    for caution in (note, *each.notes):
        if caution:
            yield from paragraph(caution, width, "   ! ", "     ")
    for at, sense, text in each.steps:
        if sense:
            yield from paragraph(f"{NOTICED[sense]}: {text}", width, f"   [ ] {each.when(at):>6}  ", " " * 15)
        else:
            yield from paragraph(text, width, f"       {each.when(at):>6}  do: ", " " * 19)
    if not each.expect:
        yield from paragraph("nothing is heard, shown or sent", width, "   [ ]         ", " " * 15)


def not_shown(plan: TestPlan, width: int) -> Iterator[str]:
    """Give what can't be shown, by reason, and what to do instead."""
    for n, (reason, fields) in enumerate(unshown(plan)):
        yield from ("", "What this walk can't show") if n == 0 else ()
        yield from ("", *paragraph(reason, width))
        yield from paragraph(fields, width, "  ", "  ")

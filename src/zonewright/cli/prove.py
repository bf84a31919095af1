"""`prove`: what the panel keeps in every state it can come to, and how it breaks what it doesn't keep."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from zonewright.behaviour.setup import Setup
from zonewright.cli.collecting import uncollected
from zonewright.cli.explained import explained_lines
from zonewright.cli.main import NO_ROOM
from zonewright.cli.opening import job_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.progress import ProgressBar
from zonewright.cli.terminal import BOLD, Screen, Styled, paragraph, screen_of
from zonewright.cli.timelines import broken_lines
from zonewright.desk.results.proofs import explained_of, promises_of, verdict_in_words, verdicts_of
from zonewright.desk.verdicts import Proving, promises_meant
from zonewright.findings import nearest
from zonewright.proof.promises.promise import KINDS, Promise, Window
from zonewright.proof.promises.provisos import SCOPE
from zonewright.proof.prove import Verdict
from zonewright.proof.prover.refine import VerdictKind
from zonewright.words.tracks import Names, called

PLAIN = {VerdictKind.HOLDS: "holds", VerdictKind.FAILS: "FAILS"}
MANY = {VerdictKind.HOLDS: "hold", VerdictKind.FAILS: "fail"}  # in a count: 75 hold
UNDONE = "What can make untrue what is taken for granted"
MOST_OFFERED = 12  # promises that a word may mean


@click.command("prove")
@click.argument("site", type=FILE)
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
@click.option("--tolerance", is_flag=True, help="Let the panel's timers be as inexact as its profile says.")
@click.option(
    "--only", metavar="WORD", help="Prove only what has this word in it: a label, or " + ", ".join(KINDS) + "."
)
@click.option("--afresh", is_flag=True, help="Prove it all again, also what is known from before.")
@click.option("--explain", "named", metavar="NAME", help="Tell why one promise holds or fails; --names lists them.")
@click.option("--names", is_flag=True, help="List the names of all promises, and prove nothing.")
@uncollected()
def prove(
    site: Path, as_json: bool, tolerance: bool, only: str | None, afresh: bool, named: str | None, names: bool
) -> int:
    """Prove what the panel keeps, whatever happens in whatever order, and show how it breaks the rest.

    A failure is shown as its shortest timeline, run on the whole panel; what falls into one second comes in any order,
    where play takes one. The routes and must statements of the site
    file are proved too. Each sentence says what it takes for granted, and below them stands who or what can make that
    untrue. What the panel lacks is said, not passed over. Exit code 1: something fails or is undecided.

    Left out: a loss of power or of the line, jamming, an installer at work, chimes switched off, a silent exit;
    wrong codes; somebody who insists on setting with an installer's right. Only what this site has happens: people
    set, disarm, bypass and leave by a keypad with a code that is good for the area, by the buttons of a remote, or by
    a switch. Where the means makes no difference the first stands for all, a keypad before a remote; one person by
    each means.

    \b
    zonewright prove larkfield.yaml
    zonewright prove larkfield.yaml --only gate
    zonewright prove larkfield.yaml --explain never-side-gate-causes-siren
    """
    job = job_at(site)
    window = Window(job.resolved.profile.timer_tolerance if tolerance else 0)
    proving = Proving(job, window, only=only, afresh=afresh)
    screen = screen_of(sys.stdout)
    if names and as_json:
        print_result(promises_of(proving.asked, job.names))
        return 0
    if names:
        screen.say(*(promise.name for promise in proving.asked))
        return 0
    if named is not None:
        explained = proving.explained(promise_called(proving.asked, named, job.names))
        undone = proving.undoings([explained.verdict.promise])
        if as_json:
            print_result(explained_of(explained, job.resolved, job.acting, undone))
        else:
            screen.say(*explained_lines(explained, job.resolved, job.acting, undone, screen.width))
        return _exit_code([explained.verdict])
    if not proving.asked:
        raise click.UsageError(f'nothing to prove has "{only}" in it' if only else "there is nothing to prove")
    bar = ProgressBar()
    stopped: type[BaseException] | None = None
    try:
        proving.run(bar.show)
    except (KeyboardInterrupt, MemoryError) as why:
        stopped = type(why)
    bar.clear()
    if as_json:
        undone = proving.undoings(each.promise for each in proving.verdicts)
        print_result(verdicts_of(job.acting, proving.verdicts, job.names, undone, stopped=stopped is not None))
    else:
        tell(screen, proving, stopped=stopped is not None)
    if stopped is not None:
        raise stopped(f"{NO_ROOM if stopped is MemoryError else 'stopped'}: {proving.how_far}")
    return _exit_code(proving.verdicts)


def _exit_code(verdicts: Sequence[Verdict]) -> int:
    """Return 1 where something fails or is undecided: a script must never take for proved what isn't."""
    return 1 if any(each.settled.result in (VerdictKind.FAILS, VerdictKind.UNDECIDED) for each in verdicts) else 0


def promise_called(asked: Sequence[Promise], name: str, names: Names) -> Promise:
    """Return the only promise that a name means; raises `UsageError` where there is none, or several."""
    found = promises_meant(asked, name)
    if len(found) == 1:
        return found[0]
    if found:
        more = [f"  and {len(found) - MOST_OFFERED} more"] if len(found) > MOST_OFFERED else []
        offered = [f"  {each.name}\n      {called(each.says, names)}" for each in found[:MOST_OFFERED]]
        raise click.UsageError("\n".join([f'{len(found)} promises have "{name}" in them; name one:', *offered, *more]))
    near = nearest(name, [each.name for each in asked], 3)
    hint = "; perhaps " + ", ".join(near) if near else "; --names lists them"
    raise click.UsageError(f'no promise has "{name}" in it{hint}')


def tell(screen: Screen, proving: Proving, *, stopped: bool = False) -> None:
    """Print the verdicts, then the timeline of each failure, and what it took.

    Where it was stopped that isn't told: the areas that were in hand aren't in it.
    """
    setup, names, verdicts = proving.job.acting, proving.job.names, proving.verdicts
    for kind in dict.fromkeys(each.promise.kind for each in verdicts):
        screen.say(Styled(KINDS[kind], BOLD))
        for each in verdicts:
            if each.promise.kind == kind:
                screen.say(*verdict_lines(setup, each, names, screen.width))
    for verdict in verdicts:
        if verdict.settled.result is VerdictKind.FAILS and verdict.settled.timeline:  # a sum has told why already
            screen.say("", *paragraph(f"Fails: {called(verdict.promise.sentence, names)}", screen.width, "", "  "))
            screen.say(*broken_lines(setup, verdict, screen.width, names))
    if undone := proving.undoings(each.promise for each in verdicts):
        screen.say("", Styled(UNDONE, BOLD))
        for proviso in dict.fromkeys(each.proviso for each in undone):
            screen.say(f'  "{proviso.value}"')
            for one in undone:
                if one.proviso is proviso:
                    screen.say(*paragraph(called(one.says, names), screen.width, "    -   ", " " * 8))
    counts = {result: sum(each.settled.result is result for each in verdicts) for result in VerdictKind}
    told = ", ".join(
        f"{count} {MANY.get(result, result.value) if count > 1 else result.value}"
        for result, count in counts.items()
        if count
    )
    told = told or "nothing settled"
    percent, known, effort = proving.window.percent, proving.known, proving.effort
    exact = f"timers within {percent} %" if percent else "timers exact"
    took = [f"{known} known from before (--afresh proves them again)"] if known else []
    if not stopped and (effort.controls or not known):
        looked_at = f"{effort.controls} states, {effort.sets} sets of times, {effort.steps} runs of one step"
        took.append(f"else {looked_at}" if known else looked_at)
    parts = [told, ", ".join(took), exact] if took else [told, exact]
    screen.say("", *paragraph(f"{'; '.join(parts)}. All of it with {SCOPE}.", screen.width))


def verdict_lines(setup: Setup, verdict: Verdict, names: Names, width: int) -> list[str]:
    """Return the lines of one verdict: a plain one before the promise, any other behind it, in words."""
    result, says = verdict.settled.result, called(verdict.promise.sentence, names)
    if result in PLAIN:
        why = f" ({called(verdict.settled.why, names)})" if verdict.settled.why else ""
        return paragraph(says + why, width, f"  {PLAIN[result]:6}", " " * 8)
    return paragraph(f"{says}: {called(verdict_in_words(setup, verdict), names)}", width, "  -     ", " " * 8)

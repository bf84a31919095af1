"""`practise`: the virtual keypad in the terminal, free or along the sheet."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.cli.enter import beware_lines, unready_lines
from zonewright.cli.opening import job_at, older_at
from zonewright.cli.paths import FILE
from zonewright.cli.terminal import Screen, screen_of
from zonewright.desk.sheets import keying
from zonewright.entry.sheets.practise import AS_BEFORE, Practice, along, differences, enter, free, next_mark, next_step
from zonewright.entry.sheets.text import key_words, step_lines
from zonewright.panel.legal import as_shipped

LEAVE = ("quit", "q")


@click.command()
@click.argument("site", type=FILE)
@click.option("--since", type=FILE, metavar="OLDER", help="The site file as the panel holds it.")
@click.option("--free", "freely", is_flag=True, help="Press at will, without the sheet.")
def practise(site: Path, since: Path | None, freely: bool) -> int:
    """Key SITE into a virtual keypad, along its sheet or freely.

    Type keys parted by blanks (`no no 7`, digits together: `6501 yes`), `trip` or `trip 904827` when a device is to be
    set off, `wait` for the time-out, `next` to see the sheet's step, `quit` to leave. Type any four digits where a code
    is asked: never a real one. Along the sheet, what the panel holds is compared with the plan at the end.

    \b
    zonewright practise larkfield.yaml --since larkfield-before.yaml
    """
    job = job_at(site)
    older, profile = older_at(since, job), job.resolved.profile
    screen = screen_of(sys.stdout)
    if freely:
        practice = free(profile, older.resolved.programme if older is not None else as_shipped(profile))
    else:
        found = keying(job, older)
        practice = along(found.sheet)
        screen.say(*unready_lines(found.unready), *beware_lines(found.beware))
    keys = " ".join(profile.keys.names)
    screen.say(f"keys: {keys}; also trip, wait, next, quit", "")
    interactive = sys.stdin.isatty()
    show(screen, practice)
    while not practice.finished:
        if interactive:
            sys.stdout.write("> ")
            sys.stdout.flush()
        line = sys.stdin.readline()
        if not line or line.strip() in LEAVE:
            break
        if line.strip() == "next":
            tell_next(screen, practice)
            continue
        practice = enter(practice, line)
        show(screen, practice)
    return 0 if freely else compare(screen, practice)


def show(screen: Screen, practice: Practice) -> None:
    """Show the display in its frame, what is to be said, and what the sheet has next."""
    columns = practice.profile.display.columns
    for line in practice.shows:
        screen.say(f"| {line:{columns}} |")
    screen.say(*(f"  ! {line}" for line in practice.said))
    mark = next_mark(practice)
    if mark is not None:
        step = mark.step
        if step.number == 1 and practice.state == mark.state:
            screen.say("", f"{mark.title}:")
        screen.say(f"  step {step.number}: {_in_short(practice)}{'   read back' if step.read_back else ''}")


def tell_next(screen: Screen, practice: Practice) -> None:
    """Tell the sheet's step in full."""
    step = next_step(practice)
    screen.say(*(step_lines(step) if step is not None else ["off the sheet, or none is followed"]))


def compare(screen: Screen, practice: Practice) -> int:
    """Tell whether the panel holds the plan."""
    wrong = differences(practice)
    if not wrong:
        screen.say("", "The panel holds the plan.")
        return 0
    screen.say("", f"The panel doesn't hold the plan: {len(wrong)} answers differ.")
    for item, held, planned in wrong:
        if AS_BEFORE in (held, planned):
            over = "keyed over: whoever it belongs to keys theirs again" if planned == AS_BEFORE else "not keyed"
            screen.say(f"  {item}: {over}")
        else:
            screen.say(f"  {item}: {held or 'nothing'}, planned {planned or 'nothing'}")
    return 1


def _in_short(practice: Practice) -> str:
    step = next_step(practice)
    if step is None:
        return ""
    if step.own_code:
        return "own code (nobody's real one: any will do here)"
    if step.trip is not None:
        return "trip the device"
    keys = f"{step.keys[0][0]} until it shows {step.to_see}" if step.until else key_words(step.keys)
    look = f"look: {step.to_see}" if step.to_see and not step.until else ""
    take = f"then {step.accept}" if step.accept else ""
    return "   ".join(part for part in (keys, look, take) if part)

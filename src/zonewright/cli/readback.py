"""`readback`: taking over a panel that somebody else programmed, question by question, at its keypad."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import click

from zonewright.cli.opening import outside_allowed
from zonewright.cli.paths import FILE
from zonewright.cli.terminal import Screen, paragraph, screen_of
from zonewright.desk.saving import save
from zonewright.desk.taking_over import SoFar, TakeOver, answered, take_over, written
from zonewright.entry.keypad.review import COMMANDS, NO_MORE, Review, called

STOPPED = 130  # as of every verb stopped by Ctrl-C
OPENING = (
    "Go through the panel's own questions without changing any, and type what the display shows beside each. "
    "An empty line: not known. Every answer is in the file at once."
)


@click.command("readback")
@click.argument("panel")
@click.argument("file", type=FILE)
def read_back(panel: str, file: Path) -> int:
    """Read in what a PANEL holds that somebody else programmed, and keep it in FILE.

    PANEL is a profile that comes with Zonewright, or the path of one. It asks in the panel's own order; the same
    command goes on at the first question not asked yet. Of a code it asks only whether there is one.

    \b
    zonewright readback tern larkfield-panel.yaml
    zonewright check larkfield-panel.yaml                       also matrix, explain
    zonewright new larkfield.yaml --from larkfield-panel.yaml
    zonewright enter larkfield.yaml --from larkfield-panel.yaml
    """
    taken = take_over(panel, file, outside=outside_allowed())
    screen = screen_of(sys.stdout)
    screen.say(f"{taken.review.profile.panel} into {file}: {_count(taken.so_far)}")
    screen.say(*paragraph(OPENING, screen.width), *(f"  {command:9} {does}" for command, does in COMMANDS.items()))
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    thing = ""
    try:
        while taken.review.at is not None and not taken.review.stopped:
            if taken.review.thing != thing and taken.review.at.item is not None:
                screen.say("", taken.review.thing)
            thing = taken.review.thing
            _prompt(screen, taken.review, interactive=sys.stdin.isatty())
            line = sys.stdin.readline()
            if not line:
                break
            taken = answered(taken, line)
            taken = _saved(taken, file)
            for said in taken.review.said:
                screen.say(*paragraph(said, screen.width, "  ! ", "    "))
    except KeyboardInterrupt:
        taken = _saved(taken, file)
        told = "nothing was typed yet" if taken.in_file is None else f"what was typed is in {file}"
        screen.say("", f"stopped; {told}")
        return STOPPED
    screen.say("", *_summary(taken, file))
    return 0


def _saved(taken: TakeOver, file: Path) -> TakeOver:
    """Write what was answered, if anything of it is new."""
    if not taken.unwritten:
        return taken
    save(file, taken.text(file.name), force=taken.in_file is not None)
    return written(taken)


def _prompt(screen: Screen, review: Review, *, interactive: bool) -> None:
    assert review.at is not None
    if review.at.item is None:
        text = f"\nNumber of the next {called(review.at.group)} in use ({NO_MORE}: there are no more)"
    else:
        hints = [review.so_far] if review.so_far is not None else []
        hints += ["not shown while you look; from its label, or empty"] if review.hidden else []
        hints += [] if review.certain else ["if it is there"]
        text = f"  {review.shows}" + (f" ({'; '.join(hints)})" if hints else "")
    screen.say(*text.splitlines()[:-1])
    ending = ": " if interactive else ":\n"
    screen.stream.write(text.splitlines()[-1] + ending)
    screen.stream.flush()


def _count(so_far: SoFar) -> str:
    return f"{so_far.answers} answers, {so_far.unknown} not known"


def _summary(taken: TakeOver, file: Path) -> list[str]:
    """Say what is known, what is left, and what to do next."""
    if taken.in_file is None:
        return ["nothing was typed; no file was written"]
    so_far = taken.so_far
    lines = [f"{file}: {_count(so_far)}" + (f", {so_far.left} not asked yet" if so_far.left else "")]
    lines += [f"nobody said yet that there is no further {called(group)}" for group in so_far.unsaid]
    if so_far.left:
        lines.append("the same command goes on with them")
    return [*lines, f"next: zonewright check {file}"]

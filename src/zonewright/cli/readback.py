"""`readback`: taking over a panel that somebody else programmed, question by question, at its keypad."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path

import click

from zonewright.cli.opening import outside_allowed, readback_at
from zonewright.cli.paths import FILE
from zonewright.cli.terminal import Screen, paragraph, screen_of
from zonewright.desk.saving import save
from zonewright.entry.keypad.review import COMMANDS, NO_MORE, Review, begin, called, enter
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.programme import UNKNOWN
from zonewright.panel.readback import SAID_BY_A_SITE, Readback
from zonewright.panel.readback_file import is_readback, readback_text
from zonewright.panel.reading import find_profile, is_path
from zonewright.site.files import Folder, led_out

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
    profile = find_profile(panel, Folder(Path(), outside=True)).usable()
    there = file.exists()
    if there and not is_readback(file):
        says = "stands there already, and is no readback: no line of it begins with readback:"
        raise BadInput([Finding("RBK-07", Severity.PROBLEM, str(file), says, fix="name another file")])
    name = os.path.relpath(panel, file.parent) if is_path(panel) else panel
    if is_path(panel) and Folder(file.parent, outside=outside_allowed()).leads_out(name):
        raise BadInput([led_out("panel", name)])
    readback = readback_at(file, profile).readback if there else Readback(name)
    screen = screen_of(sys.stdout)
    screen.say(f"{profile.panel} into {file}: {_count(readback)}")
    screen.say(*paragraph(OPENING, screen.width), *(f"  {command:9} {does}" for command, does in COMMANDS.items()))
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    kept = _Kept(file, readback, there)
    try:
        review = _asked(screen, begin(profile, readback), kept)
    except KeyboardInterrupt:
        kept.keep(kept.wanted)
        screen.say("", f"stopped; what was typed is in {file}" if kept.there else "stopped; nothing was typed yet")
        return STOPPED
    screen.say("", *_summary(review, file, kept.there))
    return 0


class _Kept:
    """The file, always as new as the last answer."""

    def __init__(self, file: Path, readback: Readback, there: bool) -> None:
        self.file, self.readback, self.there = file, readback, there
        self.wanted = readback  # what is to stand in the file, even if writing it was broken off

    def keep(self, readback: Readback) -> None:
        """Write what was read, if anything of it is new."""
        self.wanted = readback
        if readback != self.readback:
            save(self.file, readback_text(readback, self.file.name), force=self.there)
            self.readback, self.there = readback, True


def _asked(screen: Screen, review: Review, kept: _Kept) -> Review:
    """Ask until nothing is left, or until it is stopped, keeping each answer."""
    thing, interactive = "", sys.stdin.isatty()
    while review.at is not None and not review.stopped:
        if review.thing != thing and review.at.item is not None:
            screen.say("", review.thing)
        thing = review.thing
        _prompt(screen, review, interactive=interactive)
        line = sys.stdin.readline()
        if not line:
            break
        review = enter(review, line)
        kept.keep(review.readback)
        for said in review.said:
            screen.say(*paragraph(said, screen.width, "  ! ", "    "))
    return review


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


def _count(readback: Readback) -> str:
    unknown = sum(value == UNKNOWN for value in readback.values.values())
    return f"{len(readback.values) - unknown} answers, {unknown} not known"


def _summary(review: Review, file: Path, there: bool) -> list[str]:
    """Say what is known, what is left, and what to do next."""
    if not there:
        return ["nothing was typed; no file was written"]
    left = review.left
    lines = [
        f"{file}: {_count(review.readback)}, {left} not asked yet" if left else f"{file}: {_count(review.readback)}"
    ]
    open_groups = [g for g in review.profile.groups if g in SAID_BY_A_SITE and g not in review.readback.no_more]
    lines += [f"nobody said yet that there is no further {called(group)}" for group in open_groups]
    if left:
        lines.append("the same command goes on with them")
    return [*lines, f"next: zonewright check {file}"]

"""A panel taken over: its questions gone through one by one, and what was answered kept in a file at once.

Rules of this file:
1. A take-over is a value: each line that was typed gives the next one. Whoever calls writes `text` where `unwritten`
   says so, and goes on with what `written` returns: so nothing typed is lost, whatever ends it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from zonewright.desk.beginning import named_beside
from zonewright.desk.profiles import profile_named
from zonewright.entry.keypad.review import Review, begin, enter
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.profile_file import is_path
from zonewright.panel.programme import UNKNOWN
from zonewright.panel.readback import SAID_BY_A_SITE, Readback
from zonewright.panel.readback_file import is_readback, open_readback, readback_text
from zonewright.site.files import Folder, led_out


@dataclass(frozen=True, slots=True)
class SoFar:
    """How far a take-over has come."""

    answers: int
    unknown: int  # asked, and not answered
    left: int  # items that may exist and were not asked yet
    unsaid: tuple[str, ...]  # groups of which nobody said that there are no more


@dataclass(frozen=True, slots=True)
class TakeOver:
    """A take-over under way."""

    review: Review
    in_file: Readback | None = None  # what its file says; None: there is no file yet

    @property
    def unwritten(self) -> bool:
        """Return whether anything was answered that its file doesn't say."""
        return self.review.readback != (self.in_file or Readback(self.review.readback.panel))

    @property
    def so_far(self) -> SoFar:
        """Return how far it has come."""
        readback, profile = self.review.readback, self.review.profile
        unknown = sum(value == UNKNOWN for value in readback.values.values())
        unsaid = tuple(each for each in profile.groups if each in SAID_BY_A_SITE and each not in readback.no_more)
        return SoFar(len(readback.values) - unknown, unknown, self.review.left, unsaid)

    def text(self, file: str) -> str:
        """Return what its file, of this name, is to say."""
        return readback_text(self.review.readback, file)


def take_over(panel: str, file: Path, *, outside: bool = False) -> TakeOver:
    """Begin to take a panel over, or go on with what its file says; `panel` is a shipped profile or the path of one.

    `outside` lets the file name a profile outside its own folder. Raises `BadInput` where it may not, where the profile
    can't be used, or where the file is another panel's readback or none at all.
    """
    profile = profile_named(panel, Folder(Path(), outside=True))
    there = file.exists()
    if there and not is_readback(file):
        says = "stands there already, and is no readback: no line of it begins with readback:"
        raise BadInput([Finding("RBK-07", Severity.PROBLEM, str(file), says, fix="name another file")])
    name = named_beside(panel, Path(), file)
    if is_path(panel) and Folder(file.parent, outside=outside).leads_out(name):
        raise BadInput([led_out("panel", name)])
    if not there:
        return TakeOver(begin(profile, Readback(name)))
    readback = open_readback(file, profile, outside=outside).readback
    return TakeOver(begin(profile, readback), readback)


def answered(taken: TakeOver, line: str) -> TakeOver:
    """Return the take-over after a line was typed: what the display shows, a command, or nothing."""
    return replace(taken, review=enter(taken.review, line))


def written(taken: TakeOver) -> TakeOver:
    """Return the take-over once its file says what was answered."""
    return replace(taken, in_file=taken.review.readback)

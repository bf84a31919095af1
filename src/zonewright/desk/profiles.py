"""Panel profiles: found by their names, looked at, and tried with what somebody keyed at the panel."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from zonewright.entry.sheets.transcript import run
from zonewright.findings import Finding
from zonewright.panel.fixed import lacking, unread
from zonewright.panel.profile import Profile, Style
from zonewright.panel.profile_file import find_profile
from zonewright.panel.reachability import Reach, reach
from zonewright.site.files import Files


@dataclass(frozen=True, slots=True)
class Sound:
    """A profile whose script was walked in every way that its conditions tell apart, and what that showed."""

    profile: Profile
    reached: Reach
    saves_at: tuple[str, ...]  # where the panel saves or takes out; the many questions that one `place` opens are one
    takes_itself: tuple[str, ...]  # answers that the panel takes without a key
    unread: tuple[str, ...]  # items that have no meaning for the panel model
    lacking: tuple[str, ...]  # settings that the model takes the panel to lack
    near_codes: tuple[tuple[str, str], ...]  # words whose codes differ in one digit: a slip gives another, no refusal


@dataclass(frozen=True, slots=True)
class Tried:
    """A transcript that was keyed into a profile's virtual keypad, and where that shows something else."""

    file: Path
    presses: int
    differences: tuple[Finding, ...]


def profile_named(name: str, files: Files) -> Profile:
    """Return a shipped profile, or that of a path among the files; raises `BadInput` with all that is wrong with it."""
    return find_profile(name, files).usable()


def sound(profile: Profile) -> Sound:
    """Return what is said of a profile."""
    itself = tuple(name for name, answer in profile.answers.items() if answer.takes_itself)
    codes = _near_codes(profile)
    return Sound(profile, reach(profile), _saves_at(profile), itself, unread(profile), lacking(profile), codes)


def tried(profile: Profile, transcripts: Iterable[Path]) -> tuple[Tried, ...]:
    """Key each transcript into a panel as shipped, once; raises `BadInput` as `run` does."""
    ran = {file: run(profile, file) for file in transcripts}
    return tuple(Tried(file, len(presses), differences) for file, (differences, presses) in ran.items())


def _saves_at(profile: Profile) -> tuple[str, ...]:
    places = [f"every value that `{name}` opens" for name, node in profile.script.items() if node.place is not None]
    keeping = [name for name, node in profile.script.items() if node.keep or node.keeps or node.forget]
    return (*places, *(name for name in keeping if name not in profile.items))


def _near_codes(profile: Profile) -> tuple[tuple[str, str], ...]:
    pairs = []
    for answer in profile.answers.values():
        if answer.style is Style.WORDS:
            codes = list(answer.codes.items())
            for place, (one, code) in enumerate(codes):
                for other, code_of_other in codes[place + 1 :]:
                    if sum(a != b for a, b in zip(code, code_of_other, strict=True)) == 1:
                        pairs.append((one, other))
    return tuple(pairs)

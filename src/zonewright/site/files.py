"""Where the files of a site come from: a folder on disk, or texts that somebody hands over.

Rules of this file:
1. A file that came by mail must not make Zonewright read other things on the disk: what it names must be inside its own
   folder, also after links are followed, unless the caller allows more. Texts can only name each other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Protocol

from zonewright.findings import Finding, Place, nearest
from zonewright.site.filetext import mistake, read_text

ReadText = tuple[str, tuple[Finding, ...]]  # what a file says, or nothing and why it can't be read


class Files(Protocol):
    """Files that name each other: a site file, its panel's profile, its plan."""

    def called(self, name: str) -> str:
        """Return what findings call a file."""

    def leads_out(self, name: str) -> bool:
        """Return whether a name means something that may not be read."""

    def text(self, name: str) -> ReadText:
        """Return what a file says; a finding says why it can't be read."""


@dataclass(frozen=True, slots=True)
class Folder:
    """The files of a folder on disk; `outside` lets names lead out of it."""

    path: Path
    outside: bool = False

    def called(self, name: str) -> str:
        """Return its path."""
        return str(self.path / name)

    def leads_out(self, name: str) -> bool:
        """Return whether a name, taken relative to the folder, means something outside it."""
        try:
            return not (self.outside or (self.path / name).resolve().is_relative_to(self.path.resolve()))
        except (OSError, RuntimeError, ValueError):  # a loop of links, a NUL in the name
            return not self.outside

    def text(self, name: str) -> ReadText:
        """Return what the file says."""
        return read_text(self.path / name)


@dataclass(frozen=True, slots=True)
class Texts:
    """Files that are handed over as texts, by their names."""

    texts: Mapping[str, str]

    def called(self, name: str) -> str:
        """Return its name."""
        return name

    def leads_out(self, name: str) -> bool:
        """Return whether a name leads upwards, or begins at the top of a disk."""
        path = PurePosixPath(name.replace("\\", "/"))
        return path.is_absolute() or ".." in path.parts

    def text(self, name: str) -> ReadText:
        """Return the text of this name."""
        if name in self.texts:
            return self.texts[name], ()
        near = next(iter(nearest(name, self.texts)), None)
        says = "there is no such file among those that were handed over"
        return "", (mistake("READ-FILE", None, f"file {name}", says, fix="hand it over, too", near=near),)


def led_out(field: str, name: str, place: Place | None = None) -> Finding:
    """Return the finding that a name leads out of the folder."""
    says = "it leads out of the folder of the file that names it"
    fix = f"copy the file into that folder and write {field}: {Path(name).name}, or allow names that lead out"
    return mistake("READ-OUT", place, f"{field} {name}", says, wrote=f"{field}: {name}", fix=fix)

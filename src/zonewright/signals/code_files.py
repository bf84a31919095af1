"""The files that say what event codes mean: three columns, separated by tabs.

Rules of this file:
1. It reads the files of its own folder and knows no code.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files


def rows(name: str) -> Iterator[tuple[str, str, str]]:
    """Give each line of a file in this folder: the code, what its number names, its meaning. `#` begins a comment."""
    for line in (files("zonewright.signals") / name).read_text("utf-8").splitlines():
        if not line.startswith("#"):
            code, names, meaning = line.split("\t")
            yield code, names, meaning

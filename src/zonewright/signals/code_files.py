"""The files that say what event codes mean: three columns, parted by tabs.

Rules of this file:
1. It reads what lies beside it and knows no code.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files


def rows(name: str) -> Iterator[tuple[str, str, str]]:
    """Give each line of a file beside this one: the code, what its number names, what it means. `#` begins a remark."""
    for line in (files("zonewright.signals") / name).read_text("utf-8").splitlines():
        if not line.startswith("#"):
            code, names, meaning = line.split("\t")
            yield code, names, meaning

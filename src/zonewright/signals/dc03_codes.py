"""What the event codes of DC-03 mean, in our words.

Rules of this file:
1. Twelve kinds and eight states make the regular families; other codes are in the data file of this folder, which comes
   first. Nothing else gives a code's meaning.
2. A code that is in neither is described by its letters, never refused.

Source: a public-domain library that declares DC-03-2017, seen; the standard itself was not read.
"""

from __future__ import annotations

from functools import cache
from typing import Literal, NamedTuple

from zonewright.signals.code_files import rows

Addressed = Literal["zone", "user", "area", "none"]
KINDS = {
    "B": "burglary", "F": "fire", "G": "gas", "H": "hold-up", "K": "heat", "M": "medical", "P": "panic",
    "Q": "emergency", "S": "sprinkler", "U": "untyped", "W": "water", "Z": "freeze",
}  # fmt: skip
STATES = {
    "A": "alarm", "B": "bypassed", "H": "alarm over", "J": "trouble over", "R": "restored", "S": "supervisory",
    "T": "trouble", "U": "bypass over",
}  # fmt: skip


class Dc03Code(NamedTuple):
    """One code: what its address names, and what it means."""

    code: str
    names: Addressed
    meaning: str


@cache
def dc03_codes() -> dict[str, Dc03Code]:
    """Return every known code."""
    found = {
        kind + state: Dc03Code(kind + state, "zone", f"{word}: {what}")
        for kind, word in KINDS.items()
        for state, what in STATES.items()
    }
    beyond = {code: Dc03Code(code, _ADDRESSED[names], meaning) for code, names, meaning in rows("dc03_codes.tsv")}
    return found | beyond


def dc03_meaning(code: str) -> Dc03Code:
    """Return what a code means; of an unlisted one, that it isn't listed."""
    known = dc03_codes().get(code)
    if known is not None:
        return known
    kind = KINDS.get(code[:1])
    return Dc03Code(code, "zone", f"{kind + ', ' if kind else ''}code {code}, not in the table")


_ADDRESSED: dict[str, Addressed] = {"zone": "zone", "user": "user", "area": "area", "none": "none"}

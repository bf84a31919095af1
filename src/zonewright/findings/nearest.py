"""The nearest valid word to a mistyped one."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

MOST_WORDS = 2000


def nearest(word: str, allowed: Iterable[str], most: int = 1) -> tuple[str, ...]:
    """Return up to `most` of the allowed words that `word` may have been meant for, the likeliest first.

    Case, spaces, hyphens and underscores don't count: "Entry Door" and "entrydoor" are as near to "entry-door" as can
    be. Words longer than 60 characters are cut before comparing, and among more than 2,000 allowed words none is
    looked for, so a hostile file costs little.
    """

    def plain(text: str) -> str:
        return text[:60].casefold().replace("-", "").replace("_", "").replace(" ", "")

    by_plain: dict[str, str] = {}
    for candidate in allowed:
        by_plain.setdefault(plain(candidate), candidate)
    if len(by_plain) > MOST_WORDS:
        return ()
    found = get_close_matches(plain(word), by_plain, n=most, cutoff=0.6)
    return tuple(by_plain[f] for f in found)

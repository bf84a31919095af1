"""How somebody who waits is told how far long work has come, and how they end it.

Rules of this file:
1. Whoever wants long work to end lets the callable raise, `Cancelled` for example. That comes out of the use case; the
   processes that worked for it are gone, and what was found before is kept where it was found (`verdicts.Proving`). A
   Ctrl-C, which may come at any moment, ends the work in the same way.
"""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str, int, int], None]  # what is being done, how much of it is done, of how much


class Cancelled(Exception):
    """Somebody wants long work to end."""


def untold(_doing: str, _done: int, _of: int) -> None:
    """Tell nobody, and go on."""

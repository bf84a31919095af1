"""How somebody who waits is told how far long work has come, and how they end it.

Rules of this file:
1. To end long work, the callable raises: what it raises comes out of the use case, processes that worked for it are
   gone, and what was found before stays with the record that was asked (`verdicts.Proving`). `Cancelled` is there for
   it; Ctrl-C, which may come anywhere, ends work just so.
"""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str, int, int], None]  # what is being done, how much of it is done, of how much


class Cancelled(Exception):
    """Somebody wants long work to end."""


def untold(_doing: str, _done: int, _of: int) -> None:
    """Tell nobody, and go on."""

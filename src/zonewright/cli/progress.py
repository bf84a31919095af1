"""How far a long piece of work has come."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import TextIO

PATIENCE_S = 1.0  # before anything is shown
CELLS = 20


class ProgressBar:
    """A bar on standard error when it takes longer; rewritten on terminals, left out of pipes."""

    def __init__(self, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        self.stream, self.clock = stream if stream is not None else sys.stderr, clock
        self.began, self.width, self.shown = clock(), 0, ""

    def show(self, doing: str, done: int, of: int) -> None:
        """Tell what is being done, and how much of it."""
        if self.clock() - self.began > PATIENCE_S and self.stream.isatty():
            full = CELLS * done // max(of, 1)
            line = f"{doing} [{'#' * full}{'.' * (CELLS - full)}] {done} of {of}"
            if line != self.shown:
                self.stream.write("\r" + line.ljust(self.width))
                self.stream.flush()
                self.width, self.shown = max(self.width, len(line)), line

    def clear(self) -> None:
        """Take the bar away."""
        if self.width:
            self.stream.write("\r" + " " * self.width + "\r")
            self.stream.flush()
            self.width, self.shown = 0, ""

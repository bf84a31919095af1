"""How far a test plan is, on standard error, for the verbs that make one."""

from __future__ import annotations

import sys
import time

from zonewright.fieldwork.testplan import Stage

PATIENCE_S = 1.0  # before progress is told


class Progress:
    """A line on standard error when it takes longer; rewritten on terminals, left out of pipes."""

    def __init__(self) -> None:
        self.began, self.shown = time.monotonic(), False

    def show(self, stage: Stage, done: int, of: int) -> None:
        """Tell how far the work is."""
        if time.monotonic() - self.began > PATIENCE_S and sys.stderr.isatty():
            self.shown = True
            sys.stderr.write(f"\r{stage.value}: {done} of {of} ...   ")
            sys.stderr.flush()

    def clear(self) -> None:
        """Take the line away."""
        if self.shown:
            sys.stderr.write("\r" + " " * 70 + "\r")

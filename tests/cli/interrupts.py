"""Ctrl-C for a process that a test starts."""

from __future__ import annotations

import signal


def heard() -> None:
    """Let the process hear it also where the tests were begun in the background, which are deaf to it from birth."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)

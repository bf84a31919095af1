"""How many processes may work at once, for verbs that share long work among copies of themselves."""

from __future__ import annotations

import multiprocessing
import os
import signal


def available() -> int:
    """Return how many processes may run at once; 1 where a process can't be copied."""
    if "fork" not in multiprocessing.get_all_start_methods():
        return 1
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def leave_interrupts_alone() -> None:
    """Let the process that began this one say when it is over."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)

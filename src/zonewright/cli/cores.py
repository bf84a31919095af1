"""How many processes may work at once, for verbs that share long work among copies of themselves."""

from __future__ import annotations

import multiprocessing
import os
import signal
from multiprocessing.pool import Pool


def available() -> int:
    """Return how many processes may run at once; 1 where a process can't be copied."""
    if "fork" not in multiprocessing.get_all_start_methods():
        return 1
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def copies(processes: int, tasks_each: int | None = None) -> Pool:
    """Return so many copies of this process; each makes room for another after `tasks_each`.

    From birth they hear no Ctrl-C, nor do those that take their place: who began them says when it is over.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})  # what is begun now inherits it
    try:
        return multiprocessing.get_context("fork").Pool(processes, maxtasksperchild=tasks_each)
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)

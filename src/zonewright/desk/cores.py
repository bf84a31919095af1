"""How many processes may work at once, for verbs that share long work among copies of themselves."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing.pool import Pool
from multiprocessing.process import BaseProcess
from pathlib import Path

NO_COPIES = "a process can't be copied here; ask available() first"
THREADS = 3  # of a pool, in the process that begins it
NO_MEMORY = (MemoryError, SystemError)  # the second comes out of the interpreter itself

if sys.platform != "win32":
    from multiprocessing.context import ForkContext, ForkProcess

    class _Copy(ForkProcess):
        """A copy that is deaf to signals: who began it ends it, and in a way that it can't miss."""

        def terminate(self) -> None:
            """End it."""
            self.kill()

    class _Copies(ForkContext):
        Process = _Copy


def available() -> int:
    """Return how many processes may run at once; 1 where a process can't be copied."""
    if "fork" not in multiprocessing.get_all_start_methods():
        return 1
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def with_room(each: int) -> int:
    """Return how many processes may run at once where each may take so many bytes; at least one."""
    free = _free_bytes()
    return available() if free is None else max(1, min(available(), free // each))


def _free_bytes() -> int | None:
    """Return how much memory can be had without pushing anything out; None where the system doesn't tell."""
    try:
        for line in Path("/proc/meminfo").read_text("ascii").splitlines():
            if line.startswith("MemAvailable:"):
                return int(line.split()[1]) * 1024
    except (OSError, ValueError):
        pass
    try:
        return os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") // 2
    except (AttributeError, OSError, ValueError):
        return None


def begun(work: Callable[..., None], *arguments: object) -> BaseProcess:
    """Begin a piece of work in a copy of this process, which is deaf to signals; raises `MemoryError` without room."""
    if sys.platform == "win32":
        raise NotImplementedError(NO_COPIES)
    copy = _Copies().Process(target=work, args=arguments)
    try:
        with _deaf():
            copy.start()
    except OSError as error:
        raise MemoryError from error
    return copy


def copies(processes: int, initializer: Callable[..., None] | None = None, arguments: tuple[object, ...] = ()) -> Pool:
    """Return so many copies of this process, for work of many small pieces.

    `initializer` is called with `arguments` in each of them first: what they work on comes that way, so that two jobs
    in two threads never meet. From birth they hear neither Ctrl-C nor the system's wish that they end: who began them
    hears it and ends them. Raises `MemoryError` where there is no room for them.
    """
    if sys.platform == "win32":
        raise NotImplementedError(NO_COPIES)
    try:
        with _deaf():
            _try_threads()
            return _Copies().Pool(processes, initializer, arguments)
    except (OSError, RuntimeError) as error:
        raise MemoryError from error


@contextmanager
def _deaf() -> Iterator[None]:
    """Hear neither Ctrl-C nor the system's wish to end; a copy that is begun meanwhile never does."""
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _try_threads() -> None:
    """Raise `RuntimeError` if there is no room for the threads of a pool: one that is half begun would never end."""
    over = threading.Event()
    begun = []
    try:
        for _ in range(THREADS):
            thread = threading.Thread(target=over.wait)
            thread.start()
            begun.append(thread)
    finally:
        over.set()
        for thread in begun:
            thread.join()

"""How the process ends, whatever happens: with an exit code, and one sentence where something stopped it.

Rules of this file:
1. Exit codes: 0 fine, 1 findings, 2 bad input or wrong use, 130 stopped by Ctrl-C, 141 nobody reads any more, 143
   ended by the system (SIGTERM), which is as quiet as a Ctrl-C.
2. Only a mistake of our own ends in a traceback. What the outside world does wrong ends in one sentence.
3. It imports nothing that takes time before it listens for Ctrl-C.
"""

from __future__ import annotations

import contextlib
import os
import sys

TYPE_CHECKING = False  # as in `typing`, which takes time
if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import IO

    import click

BAD_INPUT, STOPPED, UNREAD, ENDED = 2, 130, 141, 143
NO_ROOM = "the machine has not enough memory for this"
NOTHING_WRITTEN = "stopped; nothing was written"  # a verb that has more to say gives it to its `KeyboardInterrupt`


def main(arguments: Sequence[str] | None = None, program: click.Group | None = None) -> int:
    """Run one verb with the given arguments (else those of the process) and return the exit code."""
    ended: list[int] = []
    if arguments is None:
        _hear_the_end(ended)
    try:
        if sys.stdin is None:  # closed; nobody types
            sys.stdin = _nothing("r")
        if sys.stderr is None:
            sys.stderr = _nothing("w")
        if sys.stdout is None:
            return _told("zonewright: standard output is closed, so there is nowhere to print", BAD_INPUT)
        from zonewright.cli.running import run

        code = run(list(sys.argv[1:] if arguments is None else arguments), program)
        sys.stdout.flush()
    except KeyboardInterrupt as stop:
        code = _told(f"\n{str(stop) or NOTHING_WRITTEN}", ENDED if ended else STOPPED)
    except ImportError:
        if not ended:
            raise
        code = _told(f"\n{NOTHING_WRITTEN}", ENDED)  # the end came while a library was loaded
    except MemoryError as error:
        code = _told(f"zonewright: {str(error) or NO_ROOM}", BAD_INPUT)
    except BrokenPipeError:
        code = UNREAD
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        code = _told(f"zonewright: {_harmless(where)}{error.strerror or error}", BAD_INPUT)
    _leave_nothing_to_print()
    if arguments is None:
        _hear_no_more()
    return code


def _harmless(text: str) -> str:
    """Return a text out of somebody's file or command line without signs that a terminal obeys."""
    from zonewright.cli.terminal import fit

    return fit(text, getattr(sys.stderr, "encoding", None) or "ascii")


def _nothing(mode: str) -> IO[str]:
    """Return a stream with nothing in it that takes everything."""
    return os.fdopen(os.open(os.devnull, os.O_RDWR), mode, encoding="utf-8")


def _told(words: str, code: int) -> int:
    """Say on standard error what ended it, if it takes that; return the exit code."""
    with contextlib.suppress(OSError):  # full, or nobody reads
        print(words, file=sys.stderr, flush=True)
    return code


def _hear_the_end(ended: list[int]) -> None:
    """Let the system's wish that the process ends do what Ctrl-C does; it is noted in `ended`."""
    import signal

    def end(number: int, _frame: object) -> None:
        ended.append(number)
        raise KeyboardInterrupt

    signal.signal(signal.SIGTERM, end)


def _hear_no_more() -> None:
    """Let no Ctrl-C kill the process while Python tidies up: its work is done, and its exit code stands."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_IGN)


def _leave_nothing_to_print() -> None:
    """See to it that Python, which flushes standard output once more as it ends, meets nothing there that fails."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())

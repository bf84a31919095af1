"""What surrounds every verb: how it ends when something is wrong with the input, the outside world or the user's wish.

Rules of this file:
1. Exit codes: 0 fine, 1 findings, 2 bad input or wrong use, 130 stopped by Ctrl-C, 141 nobody reads any more.
2. Only a mistake of our own ends in a traceback. What the outside world does wrong ends in one sentence.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

import click

from zonewright.cli.verbs import zonewright
from zonewright.findings import BadInput

FINE, FINDINGS, BAD_INPUT, STOPPED, UNREAD = 0, 1, 2, 130, 141
NOTHING_WRITTEN = "stopped; nothing was written"  # a verb that has more to say gives it to its `KeyboardInterrupt`


def main(arguments: Sequence[str] | None = None, program: click.Group = zonewright) -> int:
    """Run one verb with the given arguments (else those of the process) and return the exit code."""
    try:
        code = run(program, list(sys.argv[1:] if arguments is None else arguments))
        sys.stdout.flush()
    except BrokenPipeError:
        # Python flushes standard output once more as it ends; that must not meet the closed pipe.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNREAD
    return code


def run(program: click.Group, arguments: list[str]) -> int:
    """Run one verb; say on standard error what stopped it, if anything did."""
    try:
        with program.make_context("zonewright", arguments) as context:
            return int(program.invoke(context) or FINE)
    except click.exceptions.Exit as end:
        return end.exit_code
    except click.ClickException as wrong:
        wrong.show()
        return BAD_INPUT
    except BadInput as bad:
        from zonewright.cli.telling import mistakes
        from zonewright.cli.terminal import screen_of

        screen = screen_of(sys.stderr)
        screen.say(*mistakes(bad.findings, screen.width))
        return BAD_INPUT
    except (KeyboardInterrupt, click.Abort) as stop:
        click.echo(f"\n{str(stop) or NOTHING_WRITTEN}", err=True)
        return STOPPED
    except BrokenPipeError:
        raise
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        click.echo(f"zonewright: {where}{error.strerror or error}", err=True)
        return BAD_INPUT

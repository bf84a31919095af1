"""One verb, run: what it says when something is wrong with the input or with the user's wish.

What stops it from outside (Ctrl-C, a full disk, nobody who reads) goes on to `main.py`.
"""

from __future__ import annotations

import io
import sys

import click

from zonewright.cli.main import BAD_INPUT
from zonewright.cli.verbs import zonewright
from zonewright.findings import BadInput

FINE = 0


def run(arguments: list[str], program: click.Group | None = None) -> int:
    """Run one verb of Zonewright, or of another program, and return the exit code."""
    group = zonewright if program is None else program
    try:
        with group.make_context("zonewright", arguments) as context:
            return int(group.invoke(context) or FINE)
    except click.exceptions.Exit as end:
        return end.exit_code
    except click.Abort:
        raise KeyboardInterrupt from None
    except click.ClickException as wrong:
        from zonewright.cli.terminal import screen_of

        said = io.StringIO()  # it may repeat what the user typed, escape signs and all
        wrong.show(said)
        screen_of(sys.stderr).say(*said.getvalue().splitlines())
        return BAD_INPUT
    except BadInput as bad:
        from zonewright.cli.findings_text import mistakes
        from zonewright.cli.terminal import screen_of

        screen = screen_of(sys.stderr)
        screen.say(*mistakes(bad.findings, screen.width))
        if "--json" in arguments:
            from zonewright.cli.plain_data import print_result
            from zonewright.desk.results.findings import findings_alone

            print_result(findings_alone(bad.findings))
        return BAD_INPUT

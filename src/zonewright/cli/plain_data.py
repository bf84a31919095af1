"""JSON as every verb prints it.

Rules of this file:
1. Names stay readable in any alphabet, but no sign that a terminal obeys, or that turns a line round, is printed as
   such: JSON has a way to write each.
"""

from __future__ import annotations

import json

import click

from zonewright.cli.terminal import is_control
from zonewright.desk.results.result import Result


def json_text(data: object, *, one_line: bool = False) -> str:
    """Return plain data as JSON."""
    text = json.dumps(data, ensure_ascii=False, indent=None if one_line else 2)
    if text.isascii() and "\x7f" not in text:
        return text
    return "".join(_escaped(letter) if is_control(letter) and letter != "\n" else letter for letter in text)


def print_json(data: object) -> None:
    """Print plain data as JSON on standard output."""
    click.echo(json_text(data))


def print_result(result: Result) -> None:
    """Print what a verb found out as JSON on standard output."""
    print_json(result.to_data())


def _escaped(letter: str) -> str:
    return f"\\u{ord(letter):04x}"  # controls are all below 0x10000

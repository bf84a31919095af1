"""`decode`, `encode` and `messages`: what the station's lines say, and which of them to expect."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import click

from zonewright.cli.opening import job_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import json_text, print_result
from zonewright.cli.tables import table
from zonewright.cli.terminal import screen_of
from zonewright.desk.lines import expected_of, lines_of
from zonewright.desk.results.messages import NOBODY, LinePart, SiteNames, line_of, messages_of
from zonewright.findings import BadInput, Finding, Severity
from zonewright.signals import dc05
from zonewright.signals.codes import OPEN_CLOSE

Row = tuple[str, str, str, str, str]
OPENING = {dc05.Qualifier.NEW: "opening", dc05.Qualifier.RESTORE: "closing"}
WORDS = {dc05.Qualifier.NEW: "new", dc05.Qualifier.RESTORE: "over", dc05.Qualifier.STILL: "still there"}


@click.command()
@click.argument("lines", nargs=-1)
@click.option("--file", "file", type=FILE, help="Read the lines from a file.")
@click.option("--site", type=FILE, metavar="SITE", help="Name the zones, people and areas of this site file.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a line.")
def decode(lines: tuple[str, ...], file: Path | None, site: Path | None, as_json: bool) -> int:
    """Tell what messages say: sixteen digits are DC-05, anything else is read as a DC-03 payload.

    Without LINES and without --file they are read from standard input. Exit code 1 if any line is no message.

    \b
    zonewright decode 1234181131010158
    zonewright decode --site larkfield.yaml "#4021|Nri1/BA003"
    zonewright decode --json --file inbox.txt
    """
    names, wrong = SiteNames.of(job_at(site)) if site is not None else NOBODY, False
    rows: list[Row] = []
    for line in lines or _read(file):
        told = line_of(line, names)
        wrong = wrong or not told.valid
        if as_json:
            click.echo(json_text(told.to_data(), one_line=True))
        else:
            rows += _rows(told)
    if not as_json:
        screen_of(sys.stdout).say(*table(("message", "account", "area", "zone/user", "says"), rows))
    return 1 if wrong else 0


@click.command()
@click.option("--account", required=True, help="Four digits.")
@click.option("--event", required=True, help="Three digits.")
@click.option("--area", default="00", show_default=True, help="Two digits: the group.")
@click.option("--number", default="000", show_default=True, help="Three digits: the zone or the user.")
@click.option("--over", is_flag=True, help="A restore, or a closing.")
def encode(account: str, event: str, area: str, number: str, over: bool) -> int:
    """Write a DC-05 message with its check digit.

    \b
    zonewright encode --account 1234 --event 131 --area 01 --number 015
    """
    qualifier = dc05.Qualifier.RESTORE if over else dc05.Qualifier.NEW
    for name, text, width in (("account", account, 4), ("event", event, 3), ("area", area, 2), ("number", number, 3)):
        if len(text) != width or any(sign not in dc05.DIGITS for sign in text):
            says = f"write {width} digits, 0 to 9 or B to F"
            raise BadInput([Finding("USE-03", Severity.PROBLEM, f"--{name}", says, wrote=text[:40], fix=says)])
    message = dc05.Dc05(account, event, area, number, qualifier)
    read = dc05.decode(message.digits)
    if isinstance(read, dc05.BadLine):
        raise BadInput([Finding("USE-03", Severity.PROBLEM, "message", read.says, fix="events have decimal digits")])
    screen_of(sys.stdout).say(message.digits)
    return 0


@click.command()
@click.argument("site", type=FILE)
@click.option("--json", "as_json", is_flag=True, help="Print the messages as JSON.")
def messages(site: Path, as_json: bool) -> int:
    """List the messages that the station is to expect from SITE, with their check digits.

    \b
    zonewright messages larkfield.yaml
    """
    job = job_at(site)
    found = expected_of(job)
    screen = screen_of(sys.stdout)
    if as_json:
        print_result(messages_of(found, SiteNames.of(job)))
    elif not found:
        screen.say("No message ever leaves this panel: it has no station, or nothing is reported.")
    else:
        rows = [
            (each.label, each.message.name + (", over" if each.message.restore else ""), each.dc05.digits, each.dc03)
            for each in found
        ]
        screen.say(*table(("of", "message", "DC-05", "DC-03"), rows, screen.width))
    return 0


def _rows(told: LinePart) -> Iterator[Row]:
    """Give the rows of a line: one an event."""
    line = told.digits or told.line[:40]
    if not told.valid:
        yield line[:40], "", "", "", f"no message: {told.error}"
        return
    if told.fields is not None:
        fields = told.fields
        qualifier = dc05.Qualifier(fields.qualifier)
        kind = (OPENING if fields.event in OPEN_CLOSE else WORDS).get(qualifier, WORDS[qualifier])
        area, number = _named(fields.group, told.area_called), _named(fields.ccc, told.called)
        yield line, fields.account, area, number, f"{kind}: {told.meaning}"
        return
    account = told.account or ""
    for each in told.events or ():
        says = f"{each.meaning}{': ' + each.text if each.text else ''}"
        yield line, account, _named(each.area, each.area_called), _named(each.number, each.called), says
        line = ""
    for text in told.texts or ():
        yield line, account, "", "", f"text: {text}"
        line = ""


def _named(number: str, name: str | None) -> str:
    return f"{number} {name}" if name else number


def _read(file: Path | None) -> Iterator[str]:
    """Give the lines of a file, or of standard input; raises `BadInput` for what can't be read."""
    try:
        stream = file.open("rb") if file is not None else sys.stdin.buffer
    except OSError as error:
        fix = "look at its name and rights"
        raise BadInput([Finding("USE-04", Severity.PROBLEM, f"file {file}", str(error.strerror), fix=fix)]) from error
    with stream:
        yield from lines_of(stream)

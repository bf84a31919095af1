"""`decode`, `encode` and `messages`: what the station's lines say, and which of them to expect."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import click

from zonewright.cli.opening import job_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import json_text, print_json
from zonewright.cli.tables import table
from zonewright.cli.terminal import screen_of
from zonewright.desk.job import Job
from zonewright.findings import BadInput, Finding, Severity
from zonewright.reporting.expected import expected
from zonewright.reporting.table import TABLE
from zonewright.signals import dc03, dc05
from zonewright.signals.codes import OPEN_CLOSE, event_codes, meaning_of
from zonewright.signals.dc03_codes import dc03_codes, dc03_meaning

MOST_SIGNS = 4_000  # of one line
MOST_LINES = 200_000
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
    objects = []
    wrong = False
    names = Known.of(job_at(site)) if site is not None else NOBODY
    for line in _lines(lines, file):
        told = line_object(line, names)
        wrong = wrong or not told["valid"]
        if as_json:
            click.echo(json_text(told, one_line=True))
        else:
            objects.append(told)
    if not as_json:
        rows = [row for told in objects for row in _rows(told)]
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
    if isinstance(read, dc05.Fault):
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
    resolved = job_at(site).resolved
    account = resolved.site.station.account if resolved.site.station is not None else "0000"
    found = expected(resolved, account)
    screen = screen_of(sys.stdout)
    if as_json:
        told = [{**line_object(each.dc05.digits), "message": each.message.name, "dc03": each.dc03} for each in found]
        print_json(told)
    elif not found:
        screen.say("No message ever leaves this panel: it has no station, or nothing is reported.")
    else:
        rows = [
            (each.label, each.message.name + (", over" if each.message.restore else ""), each.dc05.digits, each.dc03)
            for each in found
        ]
        screen.say(*table(("of", "message", "DC-05", "DC-03"), rows, screen.width))
    return 0


@dataclass(frozen=True)
class Known:
    """What a site calls its zones, people and areas, by number."""

    zones: Mapping[int, str] = field(default_factory=dict)
    people: Mapping[int, str] = field(default_factory=dict)
    areas: Mapping[int, str] = field(default_factory=dict)

    @classmethod
    def of(cls, job: Job) -> Known:
        """Return the names of a site."""
        zones: dict[int, str] = {zone.number: zone.label for zone in job.setup.zones}
        areas = {number: name for name, number in job.resolved.areas.items()}
        return cls(zones, dict(job.resolved.users), areas)

    def called(self, names: str, number: str, area: str) -> dict[str, str]:
        """Return what the site calls a zone or a user, and an area, of a message; nothing for what it hasn't."""
        of = {"zone": self.zones, "user": self.people, "area": self.areas}.get(names, {})
        found = {"called": of.get(_decimal(number), ""), "area_called": self.areas.get(_decimal(area), "")}
        return {key: name for key, name in found.items() if name}


NOBODY = Known()


def _decimal(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() else -1


def line_object(line: str, known: Known = NOBODY) -> dict[str, object]:
    """Return what a line says as plain data; `valid` tells whether it is a message, `error` why not.

    `known` are the names of a site: what a zone, a user and an area are called there stands beside their numbers.
    """
    text = line.strip()
    if len(text) > MOST_SIGNS:
        return {"line": text[:40], "valid": False, "error": f"{len(text)} signs; {MOST_SIGNS} are read at most"}
    if not ("#" in text or "|" in text or text[:1] in ("N", "O", "[")):
        return _dc05_object(text, known)
    found = dc03.decode(text.removeprefix("[").removesuffix("]"))
    if isinstance(found, dc03.Dc03Fault):
        return {"line": text, "valid": False, "error": f"{found.says} (sign {found.at + 1})"}
    events = [_dc03_event(each, known) for each in found.events]
    return {"line": text, "valid": True, "account": found.account, "events": events, "texts": list(found.texts)}


def _dc03_event(event: dc03.Dc03Event, known: Known) -> dict[str, str]:
    """Return one event of a payload: as it came, and its area, what it names and what it means."""
    means = dc03_meaning(event.code)
    area = event.modifier("ri") or (event.address if means.names == "area" else "")
    number = (event.modifier("id") or event.address) if means.names == "user" else event.address
    told = {"code": event.code, "address": event.address, "text": event.text, **dict(event.modifiers)}
    told |= {"area": area, "names": means.names, "number": number if means.names in ("zone", "user") else ""}
    return {**told, "meaning": means.meaning, **known.called(means.names, number, area)}


def _dc05_object(text: str, known: Known) -> dict[str, object]:
    read = dc05.decode(text)
    if isinstance(read, dc05.Fault):
        where = f" (sign {read.at + 1})" if read.at is not None else ""
        return {"digits": text, "valid": False, "error": read.says + where}
    fields = {
        "account": read.account,
        "message_type": read.message_type,
        "qualifier": read.qualifier.value,
        "event": read.event,
        "group": read.group,
        "ccc": read.ccc,
        "checksum": read.digits[-1],
    }
    means = meaning_of(read.event)
    told = {"digits": read.digits, "valid": True, "fields": fields, "meaning": means.meaning, "names": means.names}
    return {**told, **known.called(means.names, read.ccc, read.group)}


def _rows(told: dict[str, object]) -> Iterator[tuple[str, str, str, str, str]]:
    """Give the rows of a line: one an event."""
    line = str(told.get("digits") or told.get("line") or "")
    if not told["valid"]:
        yield line[:40], "", "", "", f"no message: {told['error']}"
        return
    fields = told.get("fields")
    if isinstance(fields, dict):
        qualifier = dc05.Qualifier(fields["qualifier"])
        kind = (OPENING if fields["event"] in OPEN_CLOSE else WORDS).get(qualifier, WORDS[qualifier])
        number = _named(fields["ccc"], told.get("called"))
        yield (
            line,
            fields["account"],
            _named(fields["group"], told.get("area_called")),
            number,
            f"{kind}: {told['meaning']}",
        )
        return
    events = told.get("events")
    account = str(told.get("account", ""))
    for each in events if isinstance(events, list) else []:
        number = _named(each["number"], each.get("called"))
        says = f"{each['meaning']}{': ' + each['text'] if each['text'] else ''}"
        yield line[:40], account, _named(each["area"], each.get("area_called")), number, says
        line = ""
    texts = told.get("texts")
    for each in texts if isinstance(texts, list) else []:
        yield line[:40], account, "", "", f"text: {each}"
        line = ""


def _named(number: str, name: object) -> str:
    return f"{number} {name}" if name else number


def _lines(given: tuple[str, ...], file: Path | None) -> Iterator[str]:
    """Yield the lines to read, blank ones left out; raises `BadInput` for what can't be read."""
    if given:
        yield from given
        return
    try:
        stream = file.open("rb") if file is not None else sys.stdin.buffer
    except OSError as error:
        fix = "look at its name and rights"
        raise BadInput([Finding("USE-04", Severity.PROBLEM, f"file {file}", str(error.strerror), fix=fix)]) from error
    with stream:
        for count, line in enumerate(iter(lambda: stream.readline(4 * MOST_SIGNS), b"")):
            if count == MOST_LINES:
                says = f"more than {MOST_LINES} lines"
                raise BadInput([Finding("USE-04", Severity.PROBLEM, "input", says, fix="read it in parts")])
            text = line.decode("ascii", errors="backslashreplace").strip()
            if text:
                yield text


def messages_page() -> str:
    """Return the page of messages for docs/: what the panel model tells, and the codes of DC-05."""
    lines = [
        "# Messages",
        "",
        "What the panel model tells the station, and how. No table of the standards that maps DC-05 to DC-03 was seen:",
        "the pairs are a choice, from one library's table (seen) or from memory. Arming is told as a restore in DC-05.",
        "",
        "| message | DC-05 | DC-03, over | names |",
        "| --- | --- | --- | --- |",
        *(
            f"| {name} | {row.dc05} | {', '.join(filter(None, (row.begins, row.over)))} | {row.names} |"
            for name, row in TABLE.items()
        ),
        "",
        "## Codes of DC-05",
        "",
        "In our words, after a public-domain library that declares DC-05-2016 Appendix C: seen, the standard not read.",
        "",
        "| code | names | meaning |",
        "| --- | --- | --- |",
        *(f"| {each.code} | {each.names} | {each.meaning} |" for each in event_codes().values()),
        "",
        "## Codes of DC-03",
        "",
        "In our words, after a public-domain library that declares DC-03-2017: seen, the standard not read.",
        "",
        "| code | names | meaning |",
        "| --- | --- | --- |",
        *(f"| {each.code} | {each.names} | {each.meaning} |" for each in dc03_codes().values()),
        "",
    ]
    return "\n".join(lines)

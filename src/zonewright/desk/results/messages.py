"""What a line from the panel says, and which lines the station is to expect."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from zonewright.desk.job import Job
from zonewright.desk.results.result import Part, Result
from zonewright.reporting.expected import ExpectedMessage
from zonewright.signals import dc03, dc05
from zonewright.signals.codes import meaning_of
from zonewright.signals.dc03_codes import dc03_meaning

MOST_SIGNS = 4_000  # of one line


class Dc05Fields(Part):
    """The fields of a DC-05 message, as their digits."""

    account: str
    message_type: str
    qualifier: str
    event: str
    group: str
    ccc: str
    checksum: str


class Dc03Modifier(Part):
    """A modifier of a DC-03 event, such as `ri` for the area."""

    name: str
    value: str


class Dc03EventPart(Part):
    """An event of a DC-03 block: as it came, and which area, zone or person it names."""

    code: str
    address: str
    text: str
    modifiers: tuple[Dc03Modifier, ...]
    area: str
    names: str
    number: str
    meaning: str
    called: str | None
    area_called: str | None


class LinePart(Part):
    """What a line says; `valid` is false where it is no message, and `error` says why.

    A DC-05 message has `digits` and `fields`, a DC-03 block `account`, `events` and `texts`. `called` and `area_called`
    are what a site calls the zone or person, and the area.
    """

    line: str
    valid: bool
    error: str | None = None
    digits: str | None = None
    fields: Dc05Fields | None = None
    meaning: str | None = None
    names: str | None = None
    called: str | None = None
    area_called: str | None = None
    account: str | None = None
    events: tuple[Dc03EventPart, ...] | None = None
    texts: tuple[str, ...] | None = None


class LineResult(Result, LinePart):
    """What a line says."""

    kind: Literal["line"] = "line"


class ExpectedPart(Part):
    """A message that the panel can send: as DC-05, with what that says, and as DC-03."""

    message: str
    dc05: LinePart
    dc03: str


class Messages(Result):
    """All messages that the station is to expect from a site."""

    kind: Literal["messages"] = "messages"
    messages: tuple[ExpectedPart, ...]


@dataclass(frozen=True)
class SiteNames:
    """What a site calls its zones, people and areas, by number."""

    zones: Mapping[int, str] = field(default_factory=dict)
    people: Mapping[int, str] = field(default_factory=dict)
    areas: Mapping[int, str] = field(default_factory=dict)

    @classmethod
    def of(cls, job: Job) -> SiteNames:
        """Return the names of a site."""
        zones: dict[int, str] = {zone.number: zone.label for zone in job.setup.zones}
        areas = {number: name for name, number in job.resolved.areas.items()}
        return cls(zones, dict(job.resolved.users), areas)

    def called(self, names: str, number: str) -> str | None:
        """Return what the site calls a zone or a person of a message; None for what it hasn't."""
        return {"zone": self.zones, "user": self.people}.get(names, {}).get(_decimal(number))

    def area(self, number: str) -> str | None:
        """Return what the site calls an area; None for one that it hasn't."""
        return self.areas.get(_decimal(number))


NOBODY = SiteNames()


def line_of(line: str, known: SiteNames = NOBODY) -> LineResult:
    """Return what a line says; `known` are the names of a site."""
    return LineResult(**dict(_read(line, known)))


def messages_of(found: Iterable[ExpectedMessage], known: SiteNames = NOBODY) -> Messages:
    """Return the messages that a panel can send; `known` are the names of its site."""
    return Messages(
        messages=tuple(
            ExpectedPart(message=each.message.name, dc05=_read(each.dc05.digits, known), dc03=each.dc03)
            for each in found
        )
    )


def _read(line: str, known: SiteNames) -> LinePart:
    text = line.strip()
    if len(text) > MOST_SIGNS:
        return _no_message(text[:40], f"{len(text)} signs; {MOST_SIGNS} are read at most")
    if not ("#" in text or "|" in text or text[:1] in ("N", "O", "[")):
        return _dc05(text, known)
    found = dc03.decode(text.removeprefix("[").removesuffix("]"))
    if isinstance(found, dc03.Dc03Fault):
        return _no_message(text, f"{found.says} (sign {found.at + 1})")
    events = tuple(_dc03_event(each, known) for each in found.events)
    return LinePart(line=text, valid=True, account=found.account, events=events, texts=tuple(found.texts))


def _no_message(text: str, error: str, digits: str | None = None) -> LinePart:
    return LinePart(line=text, valid=False, error=error, digits=digits)


def _dc05(text: str, known: SiteNames) -> LinePart:
    read = dc05.decode(text)
    if isinstance(read, dc05.BadLine):
        return _no_message(text, read.says + (f" (sign {read.at + 1})" if read.at is not None else ""), digits=text)
    means = meaning_of(read.event)
    fields = Dc05Fields(
        account=read.account,
        message_type=read.message_type,
        qualifier=read.qualifier.value,
        event=read.event,
        group=read.group,
        ccc=read.ccc,
        checksum=read.digits[-1],
    )
    return LinePart(
        line=text,
        valid=True,
        digits=read.digits,
        fields=fields,
        meaning=means.meaning,
        names=means.names,
        called=known.called(means.names, read.ccc),
        area_called=known.area(read.group),
    )


def _dc03_event(event: dc03.Dc03Event, known: SiteNames) -> Dc03EventPart:
    """Return one event of a block: as it came, and its area, what it names and what it means."""
    means = dc03_meaning(event.code)
    area = event.modifier("ri") or (event.address if means.names == "area" else "")
    number = (event.modifier("id") or event.address) if means.names == "user" else event.address
    number = number if means.names in ("zone", "user") else ""
    return Dc03EventPart(
        code=event.code,
        address=event.address,
        text=event.text,
        modifiers=tuple(Dc03Modifier(name=name, value=value) for name, value in event.modifiers),
        area=area,
        names=means.names,
        number=number,
        meaning=means.meaning,
        called=known.called(means.names, number),
        area_called=known.area(area),
    )


def _decimal(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() else -1

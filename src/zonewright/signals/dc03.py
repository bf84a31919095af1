"""DC-03 (ANSI/SIA DC-03, "SIA format") payloads: blocks of packets, as they are inside a frame.

Blocks are joined by `|`; a block's first character is its kind. A new (`N`) or old (`O`) block is a run of packets
separated by `/`: a modifier (two small letters and a value: `ti10:23`, `id7`, `ri1`) or an event (two capitals, an
address, perhaps a text between carets). Modifiers apply to the events after them.
Source: a public-domain library that cites DC-03-2017 section 5, seen; the standard itself was not read.

Rules of this file:
1. Addresses stay texts: senders write them in decimal or in hex (a choice, as in DC-05).
2. Reading is total: any text gives a payload, or a fault with the place of what isn't understood.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

MOST_SIGNS = 4_000
MODIFIERS = {
    "ti": "time", "da": "date", "id": "user", "ri": "area", "pi": "peripheral", "ai": "automated", "ph": "telephone",
    "lv": "level", "va": "value", "pt": "path", "rg": "route group", "ss": "sub-subscriber",
}  # fmt: skip
IN_ORDER = ("ti", "id", "ri")  # the order that the most readers take (tested on one library, seen)
KINDS = "#NOA@CPEXLVvI&?0123456789"

_EVENT = re.compile(r"(?P<code>[A-Z]{2})(?P<address>[0-9A-Za-z]*)(?:\^(?P<text>[^^|]*)\^)?")
_MODIFIER = re.compile(r"(?P<name>[a-z]{2})(?P<value>[^/|^A-Za-z]*)")


@dataclass(frozen=True, slots=True)
class Dc03Event:
    """One event with the modifiers that apply to it."""

    code: str  # two capitals: BA, BR, CL ...
    address: str = ""  # zone, user or area, by code
    text: str = ""
    modifiers: tuple[tuple[str, str], ...] = ()
    old: bool = False

    def modifier(self, name: str) -> str | None:
        """Return the value of a modifier; None if it wasn't sent."""
        return dict(self.modifiers).get(name)


@dataclass(frozen=True, slots=True)
class Dc03:
    """One payload: the account, its events, and free texts."""

    account: str = ""
    events: tuple[Dc03Event, ...] = ()
    texts: tuple[str, ...] = ()
    other: tuple[str, ...] = ()  # blocks of kinds that are kept as they came


@dataclass(frozen=True, slots=True)
class Dc03Fault:
    """Why a text is no payload; `at` counts characters from 0."""

    says: str
    at: int


def encode(payload: Dc03) -> str:
    """Return the payload's text; each event is a block, with modifiers in the order that most readers accept."""
    blocks = [f"#{payload.account}"] if payload.account else []
    for event in payload.events:
        order = sorted(event.modifiers, key=lambda each: IN_ORDER.index(each[0]) if each[0] in IN_ORDER else 9)
        packets = [f"{name}{value}" for name, value in order]
        packets.append(f"{event.code}{event.address}" + (f"^{event.text}^" if event.text else ""))
        blocks.append(("O" if event.old else "N") + "/".join(packets))
    blocks += [f"A{text}" for text in payload.texts]
    return "|".join([*blocks, *payload.other])


def decode(text: str) -> Dc03 | Dc03Fault:
    """Read a payload."""
    if len(text) > MOST_SIGNS:
        return Dc03Fault(f"{len(text)} signs; {MOST_SIGNS} are read at most", MOST_SIGNS)
    account, at = "", 0
    events: list[Dc03Event] = []
    texts: list[str] = []
    other: list[str] = []
    for block in text.split("|"):
        kind = block[:1]
        if block and kind not in KINDS:
            return Dc03Fault(f'no block begins with "{kind}"', at)
        if kind == "#":
            account = block[1:]
        elif kind == "A":
            texts.append(block[1:])
        elif kind in ("N", "O") and block:
            found = _events(block, at)
            if isinstance(found, Dc03Fault):
                return found
            events += found
        elif block:
            other.append(block)
        at += len(block) + 1
    if not (events or texts or other):
        return Dc03Fault("no event stands in it", 0)
    return Dc03(account, tuple(events), tuple(texts), tuple(other))


def _events(block: str, start: int) -> list[Dc03Event] | Dc03Fault:
    events: list[Dc03Event] = []
    modifiers: dict[str, str] = {}
    at = 1
    while at < len(block):
        if block[at] == "/":
            at += 1
            continue
        modifier = _MODIFIER.match(block, at)
        event = None if modifier is not None else _EVENT.match(block, at)
        if modifier is not None:
            if modifier["name"] not in MODIFIERS:
                return Dc03Fault(f'"{modifier["name"]}" is no modifier', start + at)
            modifiers[modifier["name"]] = modifier["value"]
            at = modifier.end()
        elif event is not None:
            held = tuple(modifiers.items())
            events.append(Dc03Event(event["code"], event["address"], event["text"] or "", held, block[0] == "O"))
            at = event.end()
        else:
            return Dc03Fault(f'"{block[at]}" begins neither an event nor a modifier', start + at)
    return events or Dc03Fault("a block without an event", start)

"""Verdicts kept from one run to the next, so that what didn't change isn't proved again.

Rules of this file:
1. A verdict is kept under what it rests on: the code of the model and the prover, everything of the Programme that the
   model reads, which device each zone is for, routes and statements, and how exact the timers are; and under all that
   its promise says, labels aside. If any of that changes it is proved again; a new label changes nothing.
2. What is kept has numbers in it and no name: no label, no person, no place. It lies where only its owner may read and
   write; a folder or a file that is otherwise, or that says nothing sensible, is passed over. A checksum over all that
   a file says, and over what it rests on, comes first in it: of a file with one other byte nothing is believed.
3. No folder is made in a home that isn't there, or that is somebody else's.
4. Nothing is ever worse for it: what can't be read is proved, what can't be written is proved again next time.

`ZONEWRIGHT_CACHE` names another folder; `off` keeps nothing. Of the files there only those of ours are ever removed.
"""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import hmac
import json
import os
import re
import secrets
import stat
from collections.abc import Iterable, Mapping
from dataclasses import replace
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, TypeAdapter

import zonewright.behaviour
import zonewright.panel.behaviours
import zonewright.proof
import zonewright.site.must
import zonewright.words
from zonewright.behaviour.clockwork import TimelineEntry
from zonewright.behaviour.events import DeviceEvent, Event, Output
from zonewright.behaviour.setup import Setup
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import NOT_SHOWN
from zonewright.proof.prover.refine import Settled, VerdictKind

MOST_FILES = 40
MOST_BYTES = 20_000_000
MINE_ALONE = 0o077  # none of these rights may be there
_SHOWN = frozenset({"", NOT_SHOWN})  # other reasons may have labels in them
_OURS = re.compile(r"[0-9a-f]{64}\.json")
_ROOMS = (zonewright.behaviour, zonewright.words, zonewright.proof)
_CODE = (zonewright.panel.behaviours.__file__, zonewright.site.must.__file__, __file__)  # beside these rooms
_SPOILT = (
    OSError,
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    RecursionError,
)  # what reading raises; pydantic, too


class KeptProofs:
    """What was proved before of one site, and asked for unless all is wished `afresh`; `write` writes what is added."""

    def __init__(
        self, folder: Path | None, key: str, *, afresh: bool = False, unnamed: Mapping[Promise, Promise] | None = None
    ) -> None:
        self.path = folder / f"{key}.json" if folder is not None else None
        self._unlabelled = {_what(each): _what(plain) for each, plain in (unnamed or {}).items()}
        self._known: dict[str, Settled] = _read(self.path) if self.path is not None else {}
        self.afresh, self.added, self.written = afresh, False, False

    def of(self, promise: Promise) -> Settled | None:
        """Return the verdict on a promise, if it is known and may be used; a sum is found out as quickly."""
        unasked = self.afresh or promise.outright is not None
        return None if unasked else self._known.get(self._name(promise))

    def add(self, promise: Promise, settled: Settled) -> None:
        """Keep a verdict, unless its reason may name something."""
        if settled.why in _SHOWN:
            self._known[self._name(promise)] = settled
            self.added = True

    def _name(self, promise: Promise) -> str:
        """Return what stands for a promise: its own words, with numbers in place of the labels if they are known."""
        what = _what(promise)
        return hashlib.sha256(self._unlabelled.get(what, what).encode()).hexdigest()[:20]

    def write(self) -> None:
        """Write what was added, and let the oldest go."""
        if self.path is None or not self.added:
            return
        with contextlib.suppress(OSError):
            body = json.dumps({name: _plain_verdict(each) for name, each in self._known.items()})
            _write(self.path, f"{_checksum(self.path, body.encode())}\n{body}")
            ours = [file for file in self.path.parent.iterdir() if _OURS.fullmatch(file.name)]
            for old in sorted(ours, key=lambda file: file.stat().st_mtime)[:-MOST_FILES]:
                old.unlink(missing_ok=True)
            self.written = True


def _what(promise: Promise) -> str:
    """Return all that a promise says, and of what; two that say anything otherwise have two."""
    return json.dumps((promise.kind, promise.aspect, promise.says, promise.zones, sorted(promise.areas)))


def _unlabelled(resolved: Resolved, setup: Setup, window: Window) -> dict[Promise, Promise]:
    """Return each promise of a site with the one that is made where numbers stand in place of labels."""
    plain = replace(setup, zones=tuple(replace(zone, label=f"zone {zone.number}") for zone in setup.zones))
    asked, unnamed = asked_of(resolved, setup, window), asked_of(resolved, plain, window)
    same = [(each.kind, each.zones, each.areas) for each in asked] == [(e.kind, e.zones, e.areas) for e in unnamed]
    return dict(zip(asked, unnamed, strict=True)) if same else {}


def kept_proofs(resolved: Resolved, setup: Setup, window: Window, *, afresh: bool = False) -> KeptProofs:
    """Return what was proved before of a site with just this Programme; to be proved `afresh`, it is only added to."""
    folder = _folder()
    if folder is None:
        return KeptProofs(None, "")
    unnamed = _unlabelled(resolved, setup, window)
    return KeptProofs(folder, _key(resolved, setup, window), afresh=afresh, unnamed=unnamed)


def _folder() -> Path | None:
    """Return the folder, made if need be; None where nothing is to be kept, or others could write there."""
    named = os.environ.get("ZONEWRIGHT_CACHE", "")
    if named == "off":
        return None
    try:
        below, parts = (Path(named).parent, [Path(named).name]) if named else _usual_folder()
        if not named and not _owns(below.stat()):
            return None
        folder = below
        for part in parts:  # one by one: a folder that isn't there is made only in one that is
            folder /= part
            folder.mkdir(mode=0o700, exist_ok=True)
        there = folder.stat()
    except (OSError, RuntimeError):  # no home
        return None
    return folder if _is_mine(there) else None


def _usual_folder() -> tuple[Path, list[str]]:
    """Return where programs of this user keep what can be found out again: what must be there, and what lies in it."""
    named = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    ours = ["zonewright", "proofs"]
    return (Path(named).parent, [Path(named).name, *ours]) if named else (Path.home(), [".cache", *ours])


def _owns(there: os.stat_result) -> bool:
    """Return whether a folder is this user's; where the system knows no owners, True."""
    return not hasattr(os, "getuid") or there.st_uid == os.getuid()


def _is_mine(there: os.stat_result) -> bool:
    """Return whether only this user may read and write it; where the system knows no such rights, True."""
    return not hasattr(os, "getuid") or (_owns(there) and not stat.S_IMODE(there.st_mode) & MINE_ALONE)


def _key(resolved: Resolved, setup: Setup, window: Window) -> str:
    """Return a name for all that the verdicts rest on."""
    code = hashlib.sha256()
    rooms = [file for room in _ROOMS for file in sorted(Path(str(room.__file__)).parent.rglob("*.py"))]
    for module in (*rooms, *_CODE):
        code.update(hashlib.sha256(Path(str(module)).read_bytes()).digest())
    site, setup = resolved.site, replace(setup, zones=tuple(replace(zone, label="") for zone in setup.zones))
    devices = {number: str(origin.cause) for number, origin in resolved.zones.items()}
    rests_on = code.hexdigest(), setup, devices, window, site.routes, site.must, site.accept, resolved.profile.listing
    return hashlib.sha256(json.dumps(_plain(rests_on)).encode()).hexdigest()


def _plain(value: Any) -> Any:
    """Return a value as plain data, the same each time: sets in order."""
    if isinstance(value, Enum):
        return value.name
    if isinstance(value, BaseModel):
        return {name: _plain(getattr(value, name)) for name in type(value).model_fields}
    if dataclasses.is_dataclass(value):
        return {each.name: _plain(getattr(value, each.name)) for each in dataclasses.fields(value) if each.repr}
    if isinstance(value, frozenset):
        return sorted((_plain(each) for each in value), key=str)
    if isinstance(value, tuple | list):
        return [_plain(each) for each in value]
    if isinstance(value, Mapping):
        return {str(name): _plain(each) for name, each in value.items()}
    return value if value is None or isinstance(value, str | int) else repr(value)


# A verdict as plain data, and back ------------------------------------------------------------------------------------


@cache
def _adapters() -> Mapping[str, TypeAdapter[Any]]:
    """Return what turns each record that a timeline is made of into plain data and back, by the record's name."""
    kinds: Iterable[type] = (*DeviceEvent.__subclasses__(), *get_args(Event), *get_args(Output))
    return {kind.__name__: TypeAdapter(kind) for kind in kinds}


def _named(record: Event | Output) -> list[Any]:
    name = type(record).__name__
    return [name, _adapters()[name].dump_python(record, mode="json")]


def _record(plain: Any) -> Any:
    name, parts = plain
    return _adapters()[name].validate_python(parts)


def _plain_verdict(settled: Settled) -> dict[str, Any]:
    """Return a verdict as plain data."""
    entries = [[each.at, _named(each.event), [_named(output) for output in each.outputs]] for each in settled.timeline]
    return {
        "result": settled.result.name,
        "controls": settled.controls,
        "sets": settled.sets,
        "timers": settled.timers,
        "timeline": entries,
        "why": settled.why,
        "too late": settled.too_late,
        "cases": settled.cases,
    }


def _verdict(plain: Any) -> Settled:
    """Return the verdict that plain data tell; raises what `_read` knows for anything else."""
    if plain["why"] not in _SHOWN:
        raise ValueError("no reason of ours")
    entries = tuple(
        TimelineEntry(int(at), _record(event), tuple(map(_record, outs))) for at, event, outs in plain["timeline"]
    )
    counts = int(plain["controls"]), int(plain["sets"])
    late = None if plain["too late"] is None else int(plain["too late"])
    timers = tuple(map(str, plain["timers"]))
    return Settled(VerdictKind[plain["result"]], *counts, timers, entries, plain["why"], late, int(plain["cases"]))


def _read(path: Path) -> dict[str, Settled]:
    """Return what a file holds; nothing if it isn't one of ours, whole and unspoilt."""
    try:
        there = path.stat()
        if not stat.S_ISREG(there.st_mode) or not _is_mine(there) or there.st_size > MOST_BYTES:
            return {}
        said, _, body = path.read_bytes().partition(b"\n")
        if not hmac.compare_digest(said, _checksum(path, body).encode()):
            return {}
        return {str(name): _verdict(plain) for name, plain in json.loads(body).items()}
    except _SPOILT:
        return {}


def _checksum(path: Path, body: bytes) -> str:
    """Return a checksum over all that a file says, and over what its name says that it rests on."""
    return hashlib.sha256(path.name.encode() + b"\n" + body).hexdigest()


def _write(path: Path, text: str) -> None:
    """Write a file whole, for its owner alone."""
    hidden = path.with_name(f".{path.stem[:12]}.{secrets.token_hex(4)}.tmp")
    try:
        with os.fdopen(os.open(hidden, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as opened:
            opened.write(text)
        hidden.replace(path)
    finally:
        hidden.unlink(missing_ok=True)

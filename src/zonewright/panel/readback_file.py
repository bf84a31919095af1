"""The file of a readback: plain text, one item on each line, with the values of a Programme.

Rules of this file:
1. What was asked and not answered is written `unknown`; a text that happens to be "unknown" is in quotes.
2. All mistakes are reported together, each at its line. What was written for somebody's code is never repeated.
3. What is written reads back as the same readback.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path as FilePath
from types import MappingProxyType
from typing import ClassVar

from pydantic import Field

from zonewright.findings import BadInput, Finding, Place, nearest
from zonewright.panel.answers import refuses
from zonewright.panel.behaviours import likely_names
from zonewright.panel.legal import may_exist
from zonewright.panel.profile import Profile, Style
from zonewright.panel.profile_file import find_profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value
from zonewright.panel.readback import Readback, or_unknown, programme_of
from zonewright.site.composer import compose
from zonewright.site.files import Files, Folder
from zonewright.site.filetext import mistake, read_text
from zonewright.site.mistakes import shown
from zonewright.site.nodes import Places, TextNode
from zonewright.site.reading import in_file_order, read_tree, to_mend
from zonewright.site.record import Record
from zonewright.site.salvage import Salvaged, salvage
from zonewright.site.writing import scalar

VERSION = "1"
UNKNOWN_WORD = "unknown"
HEAD = """# What the panel says it holds, read at its keypad: `zonewright readback {panel} {file}` goes on with it.
# It shows how to get in: keep it locked. No code belongs in it: of an own code only whether there is one.
"""
_FIRST_WORD = re.compile(r"^readback *:", re.MULTILINE)


@dataclass(frozen=True)
class OpenedReadback:
    """A readback with the profile of its panel, and the place of each of its items."""

    readback: Readback
    profile: Profile
    places: Mapping[Item, Place]
    file: str

    @cached_property
    def programme(self) -> Programme:
        """Return what the panel holds as far as it was read."""
        return programme_of(self.profile, self.readback)


class _File(Record):
    """The file as written."""

    things: ClassVar[Mapping[str, str]] = {"": "readback", "holds": "item"}

    readback: str
    panel: str
    no_more: tuple[str, ...] = ()
    holds: dict[str, str] = Field(default_factory=dict)


def is_readback(path: FilePath) -> bool:
    """Return whether a file is a readback: a line of it begins with `readback:`. Never raises."""
    text, _ = read_text(path)
    return _FIRST_WORD.search(text) is not None


def readback_text(readback: Readback, file: str) -> str:
    """Return a readback as the text of its file."""
    lines = [f"readback: {VERSION}", f"panel: {scalar(readback.panel)}"]
    if readback.no_more:
        lines.append(f"no more: [{', '.join(sorted(readback.no_more))}]  # every one in use was read")
    lines.append("holds:" if readback.values else "holds: {}")
    lines += [f"  {item}: {_written(value)}" for item, value in readback.values.items()]
    return HEAD.format(panel=readback.panel, file=file) + "\n".join(lines) + "\n"


def open_readback(path: FilePath, profile: Profile | None = None, *, outside: bool = False) -> OpenedReadback:
    """Read a readback file; with a `profile`, one of another panel is a mistake.

    `outside` allows a profile outside the file's folder.

    Raises `BadInput` with everything that is wrong with it.
    """
    files = Folder(path.parent, outside=outside)
    text, findings = files.text(path.name)
    if findings:
        raise BadInput(findings)
    tree, slips = compose(text, str(path))
    read = read_tree(_File, tree, slips, str(path))
    whole = None
    if tree is not None:
        whole = Salvaged(read.record, read.places) if read.record is not None else salvage(_File, tree, str(path), {})
    if whole is None:
        raise BadInput(read.findings)
    reader = _Reader(whole, read.places, files, profile)
    told = {finding.place for finding in read.findings}
    found = in_file_order([*read.findings, *(each for each in reader.findings() if each.place not in told)])
    if read.record is None or reader.profile is None or to_mend(found):
        raise BadInput(found)
    readback = Readback(read.record.panel, MappingProxyType(reader.values), frozenset(read.record.no_more))
    places = {item: read.places["holds", item] for item in reader.values}
    return OpenedReadback(readback, reader.profile, places, str(path))


def _written(value: Value) -> str:
    if value == UNKNOWN:
        return UNKNOWN_WORD
    return f'"{value}"' if value == UNKNOWN_WORD else scalar(value)


class _Reader:
    """Checks what could be read of a file against the profile."""

    def __init__(self, whole: Salvaged[_File], places: Places, files: Files, wanted: Profile | None) -> None:
        self.written, self.left_out = whole.record, whole.left_out
        self.places, self.files, self.wanted = places, files, wanted
        self.profile: Profile | None = None
        self.values: dict[Item, Value] = {}

    def findings(self) -> list[Finding]:
        """Return everything that is wrong; fill in `profile` and `values` meanwhile."""
        found = [*self._version(), *self._panel()]
        if self.profile is not None and not found:
            for n, group in enumerate(self.written.no_more):
                found += self._group(self.profile, group, n)
            for name in self.written.holds:
                found += self._item(self.profile, name)
            for item in self.values:
                found += self._is_there(self.profile, item)
        return found

    def _version(self) -> Iterator[Finding]:
        if self.written.readback != VERSION and ("readback",) not in self.left_out:
            says = f"it is of version {shown(self.written.readback)}, and this Zonewright reads version {VERSION}"
            fix = f"write readback: {VERSION}, or read it with the Zonewright that wrote it"
            yield mistake("RBK-01", self.places["readback",], "readback", says, fix=fix)

    def _panel(self) -> Iterator[Finding]:
        if ("panel",) in self.left_out:
            self.profile = self.wanted
            return
        read, place = find_profile(self.written.panel, self.files), self.places["panel",]
        self.profile = read.record
        if read.record is None:
            yield from (each if each.place is not None else replace(each, place=place) for each in read.findings)
        elif self.wanted is not None and read.record.panel != self.wanted.panel:
            says = f"it is a readback of {read.record.panel}, and the panel here is {self.wanted.panel}"
            fix = "name the other panel, or another file: each panel has a file of its own"
            yield mistake("RBK-02", place, "readback", says, fix=fix)

    def _group(self, profile: Profile, group: str, n: int) -> Iterator[Finding]:
        if group not in profile.groups:
            near = next(iter(nearest(group, profile.groups)), None)
            says = f'"{shown(group)}" is nothing that this panel numbers'
            yield mistake("RBK-06", self.places["no more", n], "no more", says,
                          allowed=", ".join(profile.groups), near=near)  # fmt: skip

    def _item(self, profile: Profile, name: str) -> Iterator[Finding]:
        path, item = ("holds", name), Item(name)
        place, parts = self.places.key(path), name.split("/")
        numbered = len(parts) == 3
        if item.pattern not in profile.items or (numbered and not (parts[1].isascii() and parts[1].isdigit())):
            near = next(iter(nearest(item.pattern, profile.items)), None)
            likely = near.replace("*", parts[1]) if near is not None and numbered else near
            fix = f"write an item that it has ({', '.join(list(profile.items)[:2])} ...), or take the line out"
            yield mistake("RBK-03", place, shown(name), f"{profile.panel} holds no such item", near=likely, fix=fix)
        elif numbered and not (parts[1][0] != "0" and len(parts[1]) < 9 and int(parts[1]) <= profile.limit(parts[0])):
            says = f"on {profile.panel} a {parts[0]} is numbered 1 to {profile.limit(parts[0])}"
            yield mistake("RBK-03", place, shown(name), says, fix="write that number, without zeros in front")
        else:
            node, text = self.places.node(path), self.written.holds[name]
            quoted = isinstance(node, TextNode) and node.quoted
            value = UNKNOWN if text == UNKNOWN_WORD and not quoted else Value(text)
            refused = list(self._value(profile, item, value))
            if refused:
                yield from refused
            else:
                self.values[item] = value

    def _value(self, profile: Profile, item: Item, value: Value) -> Iterator[Finding]:
        answer, place = profile.answer_of(item), self.places["holds", item]
        if value == UNKNOWN:
            return
        if answer is None:
            if value != profile.edition:
                says = f'"{shown(value)}" is another edition than the profile describes'
                fix = f"write {profile.edition} if the panel says so; else find a profile of that edition"
                yield mistake("RBK-04", place, item, says, fix=fix)
            return
        why = refuses(answer, value)
        if why is None:
            return
        if answer.style is Style.SECRET:
            fix = "write set here; whose code it was sets a new one, for this one was seen"
            yield mistake("RBK-04", place, item, why, fix=fix)
            return
        near = answer.choice_of.get(value) or next(iter(likely_names(value, answer.values)), None)
        allowed = ", ".join([*answer.values, UNKNOWN_WORD]) if answer.values else None
        says = f'it can\'t be "{shown(value)}"' + ("" if allowed else f": {why}")
        fix = "" if allowed else f"look again at the panel, or write {UNKNOWN_WORD}"
        yield mistake("RBK-04", place, item, says, wrote=shown(value), allowed=allowed, near=near, fix=fix)

    def _is_there(self, profile: Profile, item: Item) -> Iterator[Finding]:
        rule = profile.items[item.pattern]
        look = or_unknown(item, self.values)
        if self.values[item] != UNKNOWN and not may_exist(rule, look):
            told = " and ".join(f"{when.field} is {look(when.field)}" for when in rule.when)
            says = f"the panel has no such item here, where {told}"
            fix = "take the line out, or mend the other"
            yield mistake("RBK-05", self.places.key(("holds", item)), item, says, fix=fix)

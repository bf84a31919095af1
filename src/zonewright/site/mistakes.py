"""From what validation found wrong to what the technician reads.

Rules of this file:
1. No word of the validation library reaches a reader: every kind of error is said in our own words.
2. A wrong value is reported at the value, an unknown field at its key, a missing field at the thing that lacks it.
3. One real mistake is one finding. A value that fits neither of two forms is reported once.
4. If somebody may have typed a code by mistake, what they wrote isn't repeated.
"""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from enum import Enum
from typing import Annotated, Literal, NewType, Union, get_args, get_origin

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from zonewright.findings import Finding, Path, nearest
from zonewright.site.filetext import MOST_FINDINGS, mistake
from zonewright.site.nodes import ListNode, MapNode, Node, Places, TextNode
from zonewright.site.record import Record

_MAPS = frozenset({"model_type", "model_attributes_type", "dict_type", "mapping_type"})
_LISTS = frozenset({"tuple_type", "list_type", "set_type", "frozen_set_type"})


def findings_of(error: ValidationError, model: type[Record], tree: Node, places: Places) -> Iterator[Finding]:
    """Return the findings of one failed validation, at most `MOST_FINDINGS`, in no order."""
    teller = _Teller(model, tree, places)
    details = [(*places.follow(d["loc"]), d) for d in details_of(error)]
    meant = {  # fields that are mistyped, not missing
        (path[:-1], near)
        for path, _, detail in details
        if detail["type"] == "extra_forbidden"
        for near in teller.nearest_field(path)
    }
    told: set[tuple[Path, object]] = set()
    for path, rest, detail in details:
        missing = rest[0] if detail["type"] == "missing" and rest else None
        if (path, missing) in told or (path, missing) in meant:
            continue
        told.add((path, missing))
        yield teller.finding(path, missing, detail)


def details_of(error: ValidationError) -> list[ErrorDetails]:
    """Return what validation noted, at most `MOST_FINDINGS`, without the values read."""
    return error.errors(include_url=False, include_input=False)[:MOST_FINDINGS]


def thing_of(path: Path, things: Mapping[str, str]) -> str:
    """Return what is at a path, in words: "device side-gate: zone"."""
    words: list[str] = []
    parts = list(path)
    while parts:
        part = parts.pop(0)
        if part in things and parts:
            name = parts.pop(0)
            words.append(f"{things[str(part)]} {name + 1 if isinstance(name, int) else name}")
        else:
            words.append(f"item {part + 1}" if isinstance(part, int) else part)
    return ": ".join(words) or things.get("", "file")


def shown(text: str) -> str:
    """Return a text short enough for one line of a finding."""
    line = " ".join(text.split())
    return line if len(line) <= 60 else line[:57] + "..."


class _Teller:
    """Knows the file and the record that it should have been."""

    def __init__(self, model: type[Record], tree: Node, places: Places) -> None:
        self.model = model
        self.tree = tree
        self.places = places

    def nearest_field(self, path: Path) -> tuple[str, ...]:
        left = [word for word in self._fields(path[:-1]) if (*path[:-1], word) not in self.places]
        return nearest(str(path[-1]), left)

    def finding(self, path: Path, missing: object, detail: ErrorDetails) -> Finding:
        kind = detail["type"]
        if missing is not None:
            return self._missing(path, str(missing))
        if kind == "extra_forbidden":
            return self._unknown(path)
        node = self.places.node(path) or self.tree
        key = str(path[-1]) if path and isinstance(path[-1], str) else ""
        has = {MapNode: "a map", ListNode: "a list", TextNode: "a text"}[type(node)]
        if kind in _MAPS:
            fields = ", ".join(self._fields(path))
            says = f"fields belong here, not {has}" if fields else f"names with their fields belong here, not {has}"
            return self._wrong(path, says, wrote=None, allowed=fields or None)
        if kind in _LISTS:
            return self._wrong(path, f"a list belongs here, not {has}: [one, two]", wrote=self._written(path, node))
        if kind == "string_type":
            return self._wrong(path, f"one text belongs here, not {has}: write one value after the colon", wrote=None)
        wrote = self._written(path, node)
        words = (key, f'"{shown(node.text)}"' if isinstance(node, TextNode) and wrote is not None else "")
        value = " ".join(word for word in words if word)
        if kind in ("literal_error", "enum"):
            choices = self._words(path)
            near = next(iter(nearest(node.text, choices)), None) if isinstance(node, TextNode) else None
            says = f"{value or 'this'} isn't one of the words for it"
            return self._wrong(path, says, wrote=wrote, allowed=", ".join(choices), near=near)
        ours = detail.get("ctx", {}).get("error")
        if kind == "value_error" and isinstance(ours, ValueError):
            says = f"{value}: {ours}" if isinstance(node, TextNode) and value else str(ours)
            return self._wrong(path, says, wrote=wrote)
        return self._wrong(path, f"{value or 'this'} isn't what belongs here", wrote=wrote)

    def _missing(self, path: Path, field: str) -> Finding:
        words = self._words((*path, field))
        return mistake(
            "READ-MISSING", self.places.key(path), self._thing(path), f"{field} is missing",
            allowed=", ".join(words) or None, fix=f"add {field}: ...", subject=_subject(path),
        )  # fmt: skip

    def _unknown(self, path: Path) -> Finding:
        key = str(path[-1])
        record = self._record(path[:-1])
        instead = record.replaced.get(key) if record else None
        why = record.refused.get(key.casefold().replace("-", " ").replace("_", " ")) if record else None
        if instead is not None:
            return mistake(
                "READ-FIELD", self.places.key(path), self._thing(path[:-1]), f'"{key}" isn\'t a field any more',
                fix=instead, subject=_subject(path),
            )  # fmt: skip
        near = None if why else next(iter(self.nearest_field(path)), None)
        return mistake(
            "READ-FIELD", self.places.key(path), self._thing(path[:-1]),
            f'"{shown(key)}" can\'t be written here: {why}' if why else f'"{shown(key)}" isn\'t a field here',
            allowed=", ".join(self._fields(path[:-1])) or None, near=near, subject=_subject(path),
            fix="take the line out" if why else "",
        )  # fmt: skip

    def _wrong(
        self, path: Path, says: str, *, wrote: str | None, allowed: str | None = None, near: str | None = None
    ) -> Finding:
        whole = not isinstance(self.places.node(path), TextNode) or not path or wrote is None
        thing = self._thing(path if whole else path[:-1])
        return mistake(
            "READ-VALUE", self.places.value(path), thing, says,
            wrote=wrote, allowed=allowed, near=near, subject=_subject(path),
            mending=self.places.mending(path, near) if near is not None else None,
        )  # fmt: skip

    def _thing(self, path: Path) -> str:
        return thing_of(path, self.model.things)

    def _written(self, path: Path, node: Node) -> str | None:
        """Return what was written there; None if it may be a code."""
        if not isinstance(node, TextNode):
            return None
        record = self._record(path[:-1])
        if record is not None and record.refused and sum(c.isdigit() for c in node.text) >= 4:
            return None
        key = path[-1] if path else None
        return f"{key}: {shown(node.text)}" if isinstance(key, str) else shown(node.text)

    def _record(self, path: Path) -> type[Record] | None:
        return next((t for t in _types_at(self.model, path) if isinstance(t, type) and issubclass(t, Record)), None)

    def _fields(self, path: Path) -> tuple[str, ...]:
        record = self._record(path)
        return tuple(f.alias or name for name, f in record.model_fields.items()) if record is not None else ()

    def _words(self, path: Path) -> tuple[str, ...]:
        found: list[str] = []
        for kind in _types_at(self.model, path):
            if isinstance(kind, type) and issubclass(kind, Enum):
                found.extend(str(member.value) for member in kind)
            elif get_origin(kind) is Literal:
                found.extend(str(word) for word in get_args(kind))
        return tuple(found)


def _subject(path: Path) -> str:
    return str(path[1]) if len(path) > 1 else ""


def _types_at(kind: object, path: Path) -> Iterable[object]:
    """Return the types that a value at this path may have, each type of a union by itself."""
    kinds = _apart(kind)
    for part in path:
        kinds = [inner for outer in kinds for inner in _apart(_inside(outer, part))]
    return kinds


def _apart(kind: object) -> list[object]:
    if isinstance(kind, NewType):
        return _apart(kind.__supertype__)
    if get_origin(kind) is Annotated:
        return _apart(get_args(kind)[0])
    if get_origin(kind) in (Union, types.UnionType):
        return [inner for part in get_args(kind) for inner in _apart(part)]
    return [] if kind in (None, type(None)) else [kind]


def _inside(kind: object, part: str | int) -> object:
    if isinstance(kind, type) and issubclass(kind, Record):
        return next((f.annotation for name, f in kind.model_fields.items() if part in (f.alias, name)), None)
    origin = get_origin(kind)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return get_args(kind)[1]
    if isinstance(origin, type) and issubclass(origin, Sequence | AbstractSet):
        return get_args(kind)[0]
    return None

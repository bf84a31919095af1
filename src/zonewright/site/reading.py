"""From text to a record, with every mistake of the file at once and the place of everything.

Rules of this file:
1. A record is returned only when nothing is left to mend; findings that are only advice may come with it.
2. It knows no kind of record: site files and panel profiles are read by the same function.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from pydantic import ValidationError

from zonewright.findings import BadInput, Finding, Path, Place, Severity
from zonewright.site.composer import compose
from zonewright.site.filetext import MOST_FINDINGS, mistake
from zonewright.site.mistakes import findings_of, thing_of
from zonewright.site.nodes import Node, Places, TextNode, Tree, plain, walk
from zonewright.site.record import Record

R = TypeVar("R", bound=Record)


@dataclass(frozen=True)
class Read(Generic[R]):
    """The result of reading a file: the record if it can be used, all findings in file order, and all places."""

    record: R | None
    findings: tuple[Finding, ...]
    places: Places

    def usable(self) -> R:
        """Return the record; raise `BadInput` with every finding if there is none."""
        if self.record is None:
            raise BadInput(self.findings)
        return self.record


def read_as(model: type[R], text: str, file: str, context: Mapping[str, object] | None = None) -> Read[R]:
    """Read a text as a record; `context` is passed to the record's validators (the units of a bare length)."""
    tree, findings = compose(text, file)
    return read_tree(model, tree, findings, file, context)


def read_tree(
    model: type[R],
    tree: Tree | None,
    findings: Iterable[Finding],
    file: str,
    context: Mapping[str, object] | None = None,
) -> Read[R]:
    """Read a composed tree as a record; `findings` are those of composing it."""
    places = Places(tree, file)
    if tree is None:
        return Read(None, in_file_order(findings), places)
    earlier = list(findings)
    known = {finding.place for finding in earlier}
    record: R | None = None
    mistakes: list[Finding] = []
    try:
        record = model.model_validate(plain(tree), by_alias=True, by_name=False, context=dict(context or {}))
    except ValidationError as error:
        mistakes = list(findings_of(error, model, tree, places))
    unknown = {finding.place for finding in mistakes if finding.code == "READ-FIELD"}
    left_empty = dict(_left_empty(tree, model.things))
    for place, (node, finding) in left_empty.items():
        if node.place not in known and place not in unknown:
            earlier.append(finding)
        known.add(node.place)
    found = in_file_order([*earlier, *(m for m in mistakes if m.place not in known)])
    return Read(None if to_mend(found) else record, found, places)


def to_mend(findings: Iterable[Finding]) -> bool:
    """Return whether any finding must be mended before the file can be used."""
    return any(finding.severity is Severity.PROBLEM for finding in findings)


def in_file_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings by place, at most `MOST_FINDINGS`; then the last one says how many are left out."""
    ordered = sorted(findings, key=lambda f: (f.place is not None, f.place or Place("", 0), f.thing, f.says))
    if len(ordered) <= MOST_FINDINGS:
        return tuple(ordered)
    left_out = len(ordered) - MOST_FINDINGS + 1
    more = mistake("READ-MORE", None, "file", f"at least {left_out} more like these", fix="mend these first")
    return (*ordered[: MOST_FINDINGS - 1], more)


def _left_empty(tree: Node, things: Mapping[str, str]) -> Iterator[tuple[Place, tuple[TextNode, Finding]]]:
    for path, key_place, node in walk(tree):
        if isinstance(node, TextNode) and not node.text and not node.quoted:
            yield key_place, (node, _empty(path, replace(key_place, path=path), things))


def _empty(path: Path, key_place: Place, things: Mapping[str, str]) -> Finding:
    key = path[-1] if path else ""
    says = f'nothing is written after "{key}"' if isinstance(key, str) else "an item of the list is empty"
    fix = "write a value, take the line out, or write {} where a name needs no more"
    return mistake("READ-VALUE", key_place, thing_of(path[:-1], things), says, fix=fix)

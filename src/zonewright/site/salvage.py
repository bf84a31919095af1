"""What can still be read of a file with mistakes, so that the rest of it can be checked too.

Rules of this file:
1. The smallest part that holds a mistake is left out; other parts may name what it held: `Salvaged.unsure`. A missing
   field gets a text as a stand-in; if no text is valid there, the thing that lacks the field is left out.
2. What is salvaged is only for finding more mistakes, never for use.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass
from typing import Generic, TypeVar

from pydantic import ValidationError

from zonewright.findings import Path
from zonewright.site.filetext import MOST_FINDINGS
from zonewright.site.mistakes import details_of
from zonewright.site.nodes import ListNode, MapEntry, MapNode, Node, Places, TextNode, plain, walk, without
from zonewright.site.record import Record

R = TypeVar("R", bound=Record)
MOST_LETTERS = 200  # of a name that is looked for
STAND_IN = "?"
MOST_ROUNDS = 8  # a record can't be nested deeper than that


@dataclass(frozen=True)
class Salvaged(Generic[R]):
    """The record of what is right in a file, its places, and what was left out."""

    record: R
    places: Places
    left_out: frozenset[Path] = frozenset()
    unsure: frozenset[str] = frozenset()  # every key and text of what was left out

    def touched(self, path: Path) -> bool:
        """Return whether something inside this part was left out."""
        return any(left[: len(path)] == path for left in self.left_out)

    def may_exist(self, name: str) -> bool:
        """Return whether a name may belong to something left out, or to an input of it."""
        if len(name) > MOST_LETTERS:
            return False
        return name in self.unsure or any(name[:i] in self.unsure for i, c in enumerate(name) if c == " ")


def salvage(model: type[R], tree: Node, file: str, context: Mapping[str, object]) -> Salvaged[R] | None:
    """Read what is right in a tree; None if leaving out the mistakes leaves no record."""
    left_out = {path for path, _, node in walk(tree) if path and _is_empty(node)}
    stood_in: set[Path] = set()
    unsure = {str(path[-1]) for path in left_out}
    kept = without(tree, left_out)
    for _ in range(MOST_ROUNDS):
        places = Places(kept, file)
        try:
            record = model.model_validate(plain(kept), by_alias=True, by_name=False, context=dict(context))
        except ValidationError as error:
            if error.error_count() > MOST_FINDINGS:
                return None  # enough to mend as it is
            followed = [(*places.follow(detail["loc"]), detail["type"]) for detail in details_of(error)]
            missing = {(*path, rest[0]) for path, rest, kind in followed if kind == "missing" and rest}
            wrong = {path for path, _, kind in followed if kind != "missing"}
            wrong |= {field[:-1] for field in missing & stood_in}  # no text is valid there
            if () in wrong:
                return None
            for path in wrong:
                unsure.update(_words(path, places.node(path)))
            left_out |= wrong | missing
            stood_in |= missing
            kept = without(_with(kept, missing), wrong)
        else:
            return Salvaged(record, places, frozenset(left_out), frozenset(unsure | {STAND_IN}))
    return None


def _is_empty(node: Node) -> bool:
    return isinstance(node, TextNode) and not node.text and not node.quoted


def _with(tree: Node, fields: Set[Path], here: Path = ()) -> Node:
    """Return the tree with a text for each missing field, so that the thing that lacks it can be read."""
    if isinstance(tree, ListNode):
        return ListNode(tuple(_with(item, fields, (*here, i)) for i, item in enumerate(tree.items)), tree.place)
    if not isinstance(tree, MapNode):
        return tree
    text = TextNode(STAND_IN, tree.place, tree.place, quoted=True)
    added = (MapEntry(str(field[-1]), tree.place, text) for field in sorted(fields, key=str) if field[:-1] == here)
    kept = (MapEntry(e.key, e.key_place, _with(e.value, fields, (*here, e.key))) for e in tree.entries)
    return MapNode((*kept, *added), tree.place)


def _words(path: Path, node: Node | None) -> set[str]:
    words = {str(path[-1])}
    for inner, _, part in walk(node) if node is not None else ():
        words.update(str(step) for step in inner)
        if isinstance(part, TextNode):
            words.add(part.text)
    return words

"""The tree that a file's text becomes, with the place of everything in it.

Rules of this file:
1. Three kinds of node and no more: a map, a list, a text. A number, a day or a yes is still a text here.
2. A path is the way to a node in the file's own words: ("devices", "side-gate", "zone", "number").
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass, replace

from zonewright.findings import Mending, Path, Place


@dataclass(frozen=True, slots=True)
class TextNode:
    """One text; `quoted` if it was in quotes, `ends` is the place just after its last character."""

    text: str
    place: Place
    ends: Place
    quoted: bool = False

    def place_of(self, offset: int) -> Place:
        """Return the place of one of its characters; the text's start if escapes or folded lines hide it."""
        quotes = 1 if self.quoted else 0
        as_written = self.ends.line == self.place.line and (
            self.ends.column - self.place.column == len(self.text) + 2 * quotes
        )
        if not as_written:
            return self.place
        return Place(self.place.file, self.place.line, self.place.column + quotes + offset)


@dataclass(frozen=True, slots=True)
class MapEntry:
    """One line of a map: its key, the key's place, and its value."""

    key: str
    key_place: Place
    value: Node


@dataclass(frozen=True, slots=True)
class MapNode:
    """Keys and what they hold, in file order; no key twice."""

    entries: tuple[MapEntry, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class ListNode:
    """Items in file order."""

    items: tuple[Node, ...]
    place: Place


Node = MapNode | ListNode | TextNode
Tree = Node


class Places:
    """Where everything in one file is.

    `places[path]` is the place to show for a thing: a text's own place, and for a map or list the place of the key that
    names it. A path that isn't in the file gives the place of its nearest parent that is.
    """

    def __init__(self, tree: Node | None, file: str) -> None:
        self._start = tree.place if tree is not None else Place(file, 1, 1)
        self._at: dict[Path, tuple[Place, Node]] = {}
        if tree is not None:
            self._at.update((path, (key_place, node)) for path, key_place, node in walk(tree))

    def __contains__(self, path: object) -> bool:
        return path in self._at

    def __getitem__(self, path: Path) -> Place:
        key_place, node = self._nearest(path)
        return replace(node.place if isinstance(node, TextNode) else key_place, path=path)

    def key(self, path: Path) -> Place:
        """Return the place of the key that names a thing; for an item of a list, the place of the item."""
        return replace(self._nearest(path)[0], path=path)

    def value(self, path: Path) -> Place:
        """Return the place where a thing's value begins."""
        return replace(self._at[path][1].place, path=path) if path in self._at else self[path]

    def node(self, path: Path) -> Node | None:
        """Return the node at a path; None if the file has nothing there."""
        return self._at[path][1] if path in self._at else None

    def follow(self, way: Path) -> tuple[Path, Path]:
        """Return the part of a path that is in the file, and the rest, which isn't.

        A number in a map counts its entries, since records may read a map as a list.
        """
        path: Path = ()
        for position, part in enumerate(way):
            node = self.node(path)
            step = (*path, part)
            if isinstance(node, MapNode) and isinstance(part, int) and part < len(node.entries):
                step = (*path, node.entries[part].key)
            if step not in self._at:
                return path, way[position:]
            path = step
        return path, ()

    def mending(self, path: Path, value: str) -> Mending | None:
        """Return the edit that writes a value at a field; None if that field can't hold a text."""
        node, parent = self.node(path), self.node(path[:-1])
        if isinstance(node, TextNode) or (node is None and path and isinstance(parent, MapNode) and parent.entries):
            return Mending(path, value)
        if node is None and isinstance(parent, TextNode):  # a list of one, written without brackets
            return Mending(path[:-1], value)
        return None

    def _nearest(self, path: Path) -> tuple[Place, Node | None]:
        for length in range(len(path), -1, -1):
            if path[:length] in self._at:
                return self._at[path[:length]]
        return self._start, None


def walk(tree: Node) -> Iterator[tuple[Path, Place, Node]]:
    """Return every node with its path and the place of its key, parents before children, in file order."""
    waiting: list[tuple[Path, Place, Node]] = [((), tree.place, tree)]
    while waiting:
        path, key_place, node = waiting.pop()
        yield path, key_place, node
        if isinstance(node, MapNode):
            waiting.extend(((*path, e.key), e.key_place, e.value) for e in reversed(node.entries))
        elif isinstance(node, ListNode):
            waiting.extend(((*path, i), node.items[i].place, node.items[i]) for i in reversed(range(len(node.items))))


def without(tree: Node, paths: Set[Path], here: Path = ()) -> Node:
    """Return the tree without what is at these paths."""
    if isinstance(tree, MapNode):
        kept = (
            MapEntry(entry.key, entry.key_place, without(entry.value, paths, (*here, entry.key)))
            for entry in tree.entries
            if (*here, entry.key) not in paths
        )
        return MapNode(tuple(kept), tree.place)
    if isinstance(tree, ListNode):
        numbered = enumerate(tree.items)
        return ListNode(
            tuple(without(item, paths, (*here, i)) for i, item in numbered if (*here, i) not in paths), tree.place
        )
    return tree


def plain(node: Node) -> object:
    """Return a tree as maps, lists and texts, without places."""
    if isinstance(node, MapNode):
        return {entry.key: plain(entry.value) for entry in node.entries}
    if isinstance(node, ListNode):
        return [plain(item) for item in node.items]
    return node.text

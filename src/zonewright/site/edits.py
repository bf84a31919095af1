"""Changing a site file by place: everything else stays as it was, with its comments, order and blanks.

Rules of this file:
1. An edit names a path and the new text; it replaces exactly the value there, or adds one entry to a map: after its
   last one, or if that is a list or a map, before its first.
2. The result is read again and must say what was wanted; otherwise nothing is returned.
"""

from __future__ import annotations

from collections.abc import Mapping

from zonewright.findings import BadInput, Path
from zonewright.site.composer import compose
from zonewright.site.nodes import MapNode, Node, Places, TextNode, plain
from zonewright.site.writing import scalar


class CannotEdit(ValueError):
    """The file has no place for this edit; the text says which path."""


def edited(text: str, file: str, values: Mapping[Path, str]) -> str:
    """Return the file's text with these values at these paths.

    A text at a path is replaced; if only the last name of a path is missing, it is added to its map. Raises `BadInput`
    for a text that can't be read, `CannotEdit` for a path that leads nowhere.
    """
    tree, findings = compose(text, file)
    if tree is None or findings:
        raise BadInput(findings)
    places = Places(tree, file)
    lines = text.split("\n")
    cuts = [_cut(places, lines, path, value) for path, value in values.items()]
    for line, start, end, new in sorted(cuts, reverse=True):
        lines[line] = lines[line][:start] + new + lines[line][end:]
    result = "\n".join(lines)
    again, wrong = compose(result, file)
    if again is None or wrong or plain(again) != _wanted(plain(tree), values):
        raise CannotEdit(f"{file}: the edit would change more than was asked")
    return result


def _cut(places: Places, lines: list[str], path: Path, value: str) -> tuple[int, int, int, str]:
    """Return line, first and last column (from 0) and the text that goes there."""
    node = places.node(path)
    if isinstance(node, TextNode):
        if node.ends.line != node.place.line:
            raise CannotEdit(f"{' '.join(map(str, path))} runs over several lines")
        return node.place.line - 1, node.place.column - 1, node.ends.column - 1, scalar(value)
    parent = places.node(path[:-1])
    if node is not None or not isinstance(parent, MapNode) or not parent.entries:
        raise CannotEdit(f"{' '.join(map(str, path))} isn't a place for a text")
    first, last = parent.entries[0].key_place, parent.entries[-1]
    end = _end(last.value)
    added = f"{scalar(str(path[-1]))}: {scalar(value)}"
    between = ", " if _in_braces(lines, parent) else f"\n{' ' * (first.column - 1)}"
    if end is None:
        return first.line - 1, first.column - 1, first.column - 1, f"{added}{between}"
    line, column = end
    return line, column, column, f"{between}{added}"


def _end(node: Node) -> tuple[int, int] | None:
    return (node.ends.line - 1, node.ends.column - 1) if isinstance(node, TextNode) else None


def _in_braces(lines: list[str], parent: MapNode) -> bool:
    """Return whether a map is written in braces: its place is then the brace, not its first key."""
    line = lines[parent.place.line - 1]
    return line[parent.place.column - 1 : parent.place.column] == "{"


def _wanted(data: object, values: Mapping[Path, str]) -> object:
    for path, value in values.items():
        room = data
        for step in path[:-1]:
            room = room[step]  # type: ignore[index]
        room[path[-1]] = value  # type: ignore[index]
    return data

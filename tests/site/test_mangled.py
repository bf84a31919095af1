"""However a site file is mangled, reading ends in a record or in findings that a technician can use."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.site.marked import FILE
from zonewright.site.composer import compose
from zonewright.site.must import statements
from zonewright.site.nodes import MapNode, Node, TextNode, walk
from zonewright.site.reading import to_mend
from zonewright.site.sitefile import read_site_text

LARKFIELD = Path(__file__).with_name("larkfield.yaml").read_text("utf-8")
PIECES = [
    "",
    " ",
    "\n",
    ":",
    ": ",
    "{",
    "}",
    "[]",
    "{}",
    "- ",
    ",",
    "'",
    '"',
    "#",
    "?",
    "yes",
    "0",
    "x: y",
    "house",
    "\t",
    "é",
]
FOREIGN = ("input should", "pydantic", "field required", "extra inputs", "validat", "str_type", "dict", "tuple", "none")


def check(text: str) -> None:
    read = read_site_text(text, FILE)
    assert (read.record is None) == to_mend(read.findings)
    assert len(set(read.findings)) == len(read.findings)
    for finding in read.findings:
        assert finding.place is not None
        assert finding.says
        assert not any(word in finding.says.casefold() for word in FOREIGN), finding
    if read.record is not None:
        assert len(statements(read.record)) == len(read.record.must)


@settings(max_examples=200)
@given(
    st.lists(
        st.tuples(st.integers(0, len(LARKFIELD)), st.integers(0, 12), st.sampled_from(PIECES)), min_size=1, max_size=4
    )
)
def test_cuts_and_insertions_are_told(cuts: list[tuple[int, int, str]]) -> None:
    text = LARKFIELD
    for start, length, piece in cuts:
        text = text[:start] + piece + text[start + length :]
    check(text)


def every_path() -> list[tuple[str | int, ...]]:
    tree, _ = compose(LARKFIELD, FILE)
    assert tree is not None
    return [path for path, _, _ in walk(tree) if path]


def flow(node: Node, put: dict[tuple[str | int, ...], str], here: tuple[str | int, ...] = ()) -> str:
    """Return a tree as text in braces, some of its parts exchanged."""
    if here in put:
        return put[here]
    if isinstance(node, MapNode):
        return "{" + ", ".join(f'"{e.key}": {flow(e.value, put, (*here, e.key))}' for e in node.entries) + "}"
    if isinstance(node, TextNode):
        return '"' + node.text.replace('"', '\\"') + '"'
    return "[" + ", ".join(flow(item, put, (*here, i)) for i, item in enumerate(node.items)) + "]"


@settings(max_examples=200)
@given(
    st.dictionaries(
        st.sampled_from(every_path()),
        st.sampled_from(["x", "[]", "{}", "[x]", "{x: y}", "0", "yes", "''", "", "[[x]]", "99999999999"]),
        min_size=1,
        max_size=4,
    )
)
def test_parts_of_another_shape_are_told(put: dict[tuple[str | int, ...], str]) -> None:
    tree, _ = compose(LARKFIELD, FILE)
    assert tree is not None
    check(flow(tree, put))

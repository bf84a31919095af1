"""Text becomes a tree with exact places, whatever stands in it, and what isn't in the subset is told at its place."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.site.marked import FILE, told, without_mark
from zonewright.findings import Place
from zonewright.site.composer import compose
from zonewright.site.filetext import decode
from zonewright.site.nodes import ListNode, MapNode, TextNode, plain, walk

SLIPS = [
    ("a: b§: c", "this colon can't be here"),
    ("a: [1, 2\nb§: c\n", "a comma or the closing ] is missing (opened in line 1)"),
    ("a: {b: 1§]", "a comma or the closing } is missing"),
    ('a: §"never closed\nb: c\n', "this quote is never closed"),
    ("a: §'never closed\n", "this quote is never closed"),
    ("a: §@x", "a text can't begin with this character"),
    ("a: §%x", "a text can't begin with this character"),
    ("a:\n  b: 1\n §c: 2", "this doesn't fit what comes before it"),
    ("- a\n§b: 1", "this line isn't an item of the list above it"),
    ("a: 1\n§b\n", "a colon is missing after this"),
    ("a: §- b", "a list item can't start here"),
    ('a: "§\\q"', "this backslash means nothing here"),
    ("a: [1,§,2]", "a value is missing here"),
    ("a: b\n...\n§c: d", "nothing may follow here"),
    ("a: 1\n§--- \nb: 1", "a second document starts here"),
    ("§%YAML 1.1\n---\na: 1", "a line that starts with % is above the text"),
    ("{§[a]: b}", "a list or a map can't be a key"),
    ("{§*a : b}", "*a points at another part of the file"),
    ("a: §&x [b]", "&x marks this part for use elsewhere"),
    ("a: §!!int 7", "a tag (!) is in front of this"),
    ("a: 1\nb: {c: 2}\n§a: 3", '"a" is written twice here; the first is in line 1, column 1'),
    ("a: 1\n§'a': 3", '"a" is written twice here; the first is in line 1, column 1'),
    ("§<<: {a: b}", "<< would merge another part of the file in here"),
    ("§'': b", "the key before the colon is missing"),
    ('a: §"\\u202Eb"', "a hidden character that turns the direction of text (U+202E) is here"),
    ('a: §"b\\0"', "a control character (U+0000) is here"),
    ("§", "nothing is written in it"),
    ("§# only a remark\n", "nothing is written in it"),
]


@pytest.mark.parametrize(("marked", "says"), SLIPS)
def test_each_slip_of_the_pen_is_told_at_its_place(marked: str, says: str) -> None:
    text, place = without_mark(marked)
    _, findings = compose(text, FILE)
    assert [(f.place, f.says) for f in findings] == [(place, says)]


def test_every_plain_scalar_stays_text() -> None:
    words = ["yes", "no", "on", "true", "null", "~", "010", "1e3", ".nan", "12:30:00", "2026-11-20", "0x1F", "="]
    tree, findings = compose("[" + ", ".join(words) + "]", FILE)
    assert findings == ()
    assert tree is not None
    assert plain(tree) == words


def test_keys_stay_text() -> None:
    tree, findings = compose("yes: a\n12: b\n1.5: c\n", FILE)
    assert findings == ()
    assert tree is not None
    assert plain(tree) == {"yes": "a", "12": "b", "1.5": "c"}


def test_quotes_are_remembered() -> None:
    tree, _ = compose("[plain, 'single', \"double\", '', ]", FILE)
    assert isinstance(tree, ListNode)
    assert [(n.text, n.quoted) for n in tree.items if isinstance(n, TextNode)] == [
        ("plain", False), ("single", True), ("double", True), ("", True),
    ]  # fmt: skip


def test_hidden_characters_are_told_with_all_else_and_shift_no_place() -> None:
    text = "a\u200bb: 1\nc:\u00a0{d: \u202e2, d: 3}\n"
    tree, findings = compose(text, FILE)
    assert told(findings) == [
        f"{FILE}:1:2 READ-HIDDEN text: a character without width (U+200B) is here",
        f"{FILE}:2:3 READ-HIDDEN text: a special blank (U+00A0) is here",
        f"{FILE}:2:8 READ-HIDDEN text: a hidden character that turns the direction of text (U+202E) is here",
        f'{FILE}:2:12 READ-TWICE text: "d" is written twice here; the first is in line 2, column 5',
    ]
    assert tree is not None
    assert plain(tree) == {"ab": "1", "c": {"d": "2"}}


@pytest.mark.parametrize("indent", ["\t", "  \t", "\t "])
def test_a_tab_before_a_line_is_told_and_nothing_is_guessed(indent: str) -> None:
    tree, findings = compose(f"a:\n{indent}b: 1\n", FILE)
    assert tree is None
    assert [(f.place, f.says) for f in findings] == [(Place(FILE, 2, indent.index("\t") + 1), "a tab is here")]


def test_a_byte_order_mark_shifts_no_place() -> None:
    tree, findings = compose("\ufeffa: [b]", FILE)
    assert findings == ()
    assert isinstance(tree, MapNode)
    assert tree.entries[0].key_place == Place(FILE, 1, 1)
    assert tree.entries[0].value.place == Place(FILE, 1, 4)


WORDS = st.text(
    st.characters(codec="utf-8", categories=["L", "N", "So", "M"], include_characters=" 'ñé😀Å"),
    min_size=1,
    max_size=12,
)
BREAKS = st.sampled_from(["\n", "\r\n"])


def quoted(word: str) -> str:
    return "'" + word.replace("'", "''") + "'"


@given(keys=st.lists(WORDS, min_size=1, max_size=6, unique=True), values=st.lists(WORDS, min_size=6, max_size=6),
       end=BREAKS, mark=st.booleans(), blanks=st.integers(1, 5))  # fmt: skip
def test_places_count_characters_as_an_editor_does(
    keys: list[str], values: list[str], end: str, mark: bool, blanks: int
) -> None:
    text, expected = "\ufeff" if mark else "", []
    for number, (key, value) in enumerate(zip(keys, values, strict=False), start=1):
        text += f"{quoted(key)}:{' ' * blanks}[é😀, {quoted(value)}]{end}"
        column = len(quoted(key)) + 1 + blanks + 1
        expected += [(number, 1, key), (number, column, None), (number, column + 5, value)]
    tree, findings = compose(text, FILE)
    assert findings == ()
    assert isinstance(tree, MapNode)
    found = []
    for entry in tree.entries:
        assert isinstance(entry.value, ListNode)
        last = entry.value.items[1]
        assert isinstance(last, TextNode)
        found += [
            (entry.key_place.line, entry.key_place.column, entry.key),
            (entry.value.place.line, entry.value.place.column, None),
            (last.place.line, last.place.column, last.text),
        ]
    assert found == expected


YAMLISH = st.lists(
    st.sampled_from(
        ["a", "b: ", ": ", "- ", "[", "]", "{", "}", ", ", "\n", "\n  ", "\n    ", "'", '"', "#", "&x ", "*x", "!t ",
         "|\n", ">\n", "---\n", "...\n", "%", "<<: ", "? ", "\\", "\t", "\x00", "\u202e", "\ud800", "\u2028", "\x85",
         "\r", "é", "😀"]
    ),
    max_size=60,
).map("".join)  # fmt: skip


@given(st.text() | YAMLISH)
@example("\ud800")
@example("a: \ufffe")
def test_any_text_ends_in_a_tree_or_a_finding(text: str) -> None:
    tree, findings = compose(text, FILE)
    assert tree is not None or findings
    lines = text.count("\n") + text.count("\r") + text.count("\u2028") + text.count("\u2029") + text.count("\x85") + 2
    assert all(f.place is not None and 1 <= f.place.line <= lines for f in findings)
    if tree is not None:
        places = [place for _, place, _ in walk(tree)]
        assert all(place.line >= 1 and place.column >= 1 for place in places)


@given(
    st.binary()
    | st.text().map(lambda t: t.encode("utf-16"))
    | st.text(st.characters(codec="latin-1")).map(lambda t: t.encode("latin-1"))
)
def test_any_bytes_end_in_text_or_a_finding(data: bytes) -> None:
    text, findings = decode(data, FILE)
    assert len(findings) <= 1
    if not findings:
        assert text.encode("utf-8") == data
        compose(text, FILE)

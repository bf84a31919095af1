"""What reaches the screen: fitting letters, at most so many columns, colour only where it is wanted."""

from __future__ import annotations

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zonewright.cli.tables import table
from zonewright.cli.terminal import BOLD, Screen, Styled, columns, cut, fit, paragraph, screen_of


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("environment", "colour"),
    [
        ({}, True),
        ({"NO_COLOR": "1"}, False),
        ({"NO_COLOR": ""}, True),
        ({"TERM": "dumb"}, False),
        ({"TERM": "xterm"}, True),
    ],
)
def test_colour_is_off_where_it_is_not_wanted(environment: dict[str, str], colour: bool) -> None:
    assert screen_of(Terminal(), environment).colour is colour


def test_pipes_get_no_colour_and_eighty_columns() -> None:
    screen = screen_of(io.StringIO(), {})
    assert not screen.colour
    assert screen.width == 80


def test_colour_only_adds() -> None:
    plain, coloured = io.StringIO(), io.StringIO()
    Screen(plain, 80, colour=False, encoding="utf-8").say(Styled("must mend", BOLD), "more")
    Screen(coloured, 80, colour=True, encoding="utf-8").say(Styled("must mend", BOLD), "more")
    assert plain.getvalue() == "must mend\nmore\n"
    assert coloured.getvalue() == "\033[1mmust mend\033[0m\nmore\n"


@pytest.mark.parametrize(
    ("text", "encoding", "shown"),
    [
        ("Küche → Büro …", "ascii", "Kuche -> Buro ..."),
        ("Küche → Büro …", "latin-1", "Küche -> Büro ..."),
        ("Küche → Büro …", "utf-8", "Küche → Büro …"),
        ("5 kΩ ≥ 3 °", "ascii", "5 kohm >= 3 deg "),
        ("厨房", "ascii", "??"),
        ("a\x1b[2Jb\x07", "ascii", "a?[2Jb?"),
        ("a\x1b[2Jb", "utf-8", "a\ufffd[2Jb"),
        ("user\u202egnp", "utf-8", "user\ufffdgnp"),
    ],
)
def test_letters_are_made_fit_for_the_screen(text: str, encoding: str, shown: str) -> None:
    assert fit(text, encoding) == shown


@given(st.text(), st.sampled_from(["ascii", "latin-1", "cp437", "utf-8"]))
def test_whatever_is_said_can_be_printed(text: str, encoding: str) -> None:
    assert fit(text, encoding).encode(encoding).isascii() or encoding != "ascii"
    assert not {letter for letter in fit(text, encoding) if ord(letter) < 32}


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cf"])), st.integers(10, 80))
def test_a_paragraph_keeps_every_letter_and_no_line_is_too_wide(text: str, width: int) -> None:
    lines = paragraph(text, width, "do: ", "    ")
    assert all(columns(line) <= width for line in lines)
    assert "".join("".join(line[4:].split()) for line in lines) == "".join(text.split())


def test_a_paragraph_hangs_from_its_first_line() -> None:
    assert paragraph("let it send a message or hang a sounder", 24, "  do: ") == [
        "  do: let it send a",
        "      message or hang a",
        "      sounder",
    ]


@pytest.mark.parametrize(
    ("text", "width", "shown"),
    [("landing windows", 15, "landing windows"), ("landing windows", 9, "landing…"), ("厨房門窓", 5, "厨房…")],
)
def test_a_label_is_cut_with_a_sign(text: str, width: int, shown: str) -> None:
    assert cut(text, width) == shown
    assert columns(shown) <= width


def test_a_table_lines_its_columns_up() -> None:
    assert table(["zone", "label"], [["3", "front door"], ["14", "side gate"]], right={0}) == [
        "zone  label",
        "----  ----------",
        "   3  front door",
        "  14  side gate",
    ]


def test_a_wide_cell_goes_on_below() -> None:
    assert table(["zone", "why"], [["3", "nobody would hear it in the kitchen"]], width=24) == [
        "zone  why",
        "----  ------------------",
        "3     nobody would hear",
        "      it in the kitchen",
    ]


def test_a_table_too_wide_to_read_becomes_lists() -> None:
    headings = [f"column {n}" for n in range(6)]
    lines = table(headings, [[f"cell number {n}" for n in range(6)]], width=40)
    assert lines[0] == "column 0: cell number 0"
    assert len(lines) == 6


CELLS = st.text("ab ü厨", max_size=40)
ROWS = st.integers(1, 5).flatmap(lambda n: st.lists(st.lists(CELLS, min_size=n, max_size=n), min_size=1, max_size=5))


@given(ROWS)
def test_a_table_is_never_wider_than_the_screen(rows: list[list[str]]) -> None:
    headings = ["heading"] * len(rows[0])
    assert all(columns(line) <= 60 for line in table(headings, rows, width=60))

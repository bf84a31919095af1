"""What `profile check` and `profile try` promise to somebody who describes a panel."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from zonewright.cli import main

GOOD = "no no 7 -> Your code | ----\n2468 -> A device? |\nback -> All quiet |  # and out\n"


def tried(tmp_path: Path, text: str, *options: str) -> int:
    (tmp_path / "one.txt").write_text(text, encoding="utf-8")
    return main(["profile", "try", "tern", str(tmp_path / "one.txt"), *options])


def test_a_transcript_that_agrees_is_counted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert tried(tmp_path, GOOD) == 0
    assert "8 keys, the keypad shows what you wrote" in capsys.readouterr().out


def test_the_first_difference_is_told_with_its_line_and_both_displays(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert tried(tmp_path, GOOD.replace("A device? |", "Hello |").replace("All quiet", "Bye")) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "one.txt:2:1 tern: the keypad shows A device? | after 2468" in out
    assert "you wrote Hello |" in out
    assert "and 1 more lines below it" in out
    assert "Bye" not in out
    assert tried(tmp_path, GOOD.replace("All quiet", "Bye"), "--all") == 1
    assert "Bye" in capsys.readouterr().out


def test_differences_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert tried(tmp_path, GOOD + "held setting/exit-time = 55\nnot held setting/exit-time\n", "--json") == 1
    told = json.loads(capsys.readouterr().out)["findings"]
    assert [each["line"] for each in told] == [4, 5]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("no no 7\n", "it has no ->"),
        ("no no 7 -> Your code\n", "it has 1 lines, and the display has 2"),
        ("go -> All quiet |\n", 'the keypad has no key "go"'),
        ("trip -> All quiet |\n", "it has no number"),
        ("with: one.txt\n", "leads back to itself"),
        ("with: two.txt\n", "two.txt"),
        ("no\tno -> All quiet |\n", "a tab"),
    ],
)
def test_a_line_that_cant_be_read_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, says: str
) -> None:
    assert tried(tmp_path, text) == 2
    assert "".join(says.split()) in "".join(capsys.readouterr().err.split())


def test_check_tells_the_places_that_keep_as_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["profile", "check", "marlow"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "kept at every value that `place` opens; forget zone; forget user; forget remote by itself" in out

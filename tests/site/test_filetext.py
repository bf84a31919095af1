"""Whatever is wrong with a file itself is told, and nothing is read that shouldn't be."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from zonewright.findings import Place
from zonewright.site.filetext import MOST_BYTES, decode, read_text


def says(path: Path) -> str:
    text, findings = read_text(path)
    assert text == ""
    (found,) = findings
    assert str(path) in found.thing
    return found.says


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    assert says(tmp_path) == "this is a folder"


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert says(pipe) == "this isn't a file"


def test_a_missing_file_names_the_nearest_one(tmp_path: Path) -> None:
    (tmp_path / "mill-lane.yaml").write_text("site: x")
    _, (found,) = read_text(tmp_path / "mil-lane.yaml")
    assert (found.says, found.nearest) == ("there is no such file", "mill-lane.yaml")
    _, (lonely,) = read_text(tmp_path / "none" / "x.yaml")
    assert lonely.nearest is None


def test_a_name_that_no_file_can_have_is_told(tmp_path: Path) -> None:
    assert says(tmp_path / "a\0b").startswith("it can't be read")
    assert says(tmp_path / ("a" * 300)).startswith("it can't be read")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_without_the_right_to_read_it_is_told(tmp_path: Path) -> None:
    locked = tmp_path / "locked.yaml"
    locked.write_text("site: x")
    locked.chmod(0)
    assert says(locked) == "it may not be read"


def test_a_long_file_is_refused_by_its_size(tmp_path: Path) -> None:
    long = tmp_path / "long.yaml"
    with long.open("wb") as stream:
        stream.truncate(10_000_000)
    assert says(long) == "10.0 MB is too long for this kind of file"
    long.write_bytes(b"a" * MOST_BYTES)
    assert read_text(long) == ("a" * MOST_BYTES, ())


@pytest.mark.parametrize(
    ("data", "place", "part"),
    [
        (b"a: b\r\nc\xc3\xa4: \xe9", (2, 5), "byte 12 of the file, 0xE9, is not UTF-8 text"),
        (b"\xef\xbb\xbfa\xff", (1, 2), "byte 5 of the file, 0xFF"),
        (b"a\n\xed\xa0\x80", (2, 1), "byte 3 of the file, 0xED"),
        (b"\xff\xfea\0", (1, 1), "the file is saved as UTF-16, not as UTF-8"),
        (b"a\xc3", (1, 2), "byte 2 of the file, 0xC3"),
    ],
)
def test_the_first_byte_that_is_not_utf8_is_told_at_its_place(data: bytes, place: tuple[int, int], part: str) -> None:
    text, (found,) = decode(data, "f")
    assert text == ""
    assert found.place == Place("f", *place)
    assert part in found.says

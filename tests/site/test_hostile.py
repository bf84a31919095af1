"""A hostile file costs no more time or memory than a large honest one; the bounds are generous."""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from zonewright.site.filetext import MOST_FINDINGS
from zonewright.site.sitefile import read_site, read_site_text

SECONDS = 10.0
MEGABYTES = 400.0

ALIASES = "a0: &a0 [x, x]\n" + "".join(f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]\n" for i in range(1, 60))


def site(more: str) -> str:
    return f"site: x\npanel: y\n{more}"


def braced(each: str, count: int) -> str:
    """Return a map of many entries, `each` with its number in place of #."""
    return "{" + "".join(each.replace("#", str(i)) + ", " for i in range(count)) + "}"


HOSTILE: dict[str, Callable[[], str]] = {
    "brackets": lambda: "[" * 100_000,
    "braces": lambda: "{a: " * 100_000,
    "dashes": lambda: "- " * 100_000,
    "levels": lambda: "\n".join(" " * i + "a:" for i in range(1900)),
    "aliases": lambda: ALIASES,
    "one long text": lambda: "site: " + "x" * 1_000_000,
    "one long key": lambda: "'" + "x" * 1_000_000 + "': y",
    "a long text in place of a word": lambda: "units: " + "metre" * 200_000,
    "a million keys": lambda: "".join(f"{i:x}:\n" for i in range(250_000)),
    "many keys": lambda: "".join(f"k{i:x}: 1\n" for i in range(90_000)),
    "one key many times": lambda: "site: x\n" * 90_000,
    "many unknown fields": lambda: site("devices: " + braced("d#: {q: 1}", 30_000)),
    "many devices": lambda: site("devices: " + braced("d#: {kind: c}", 30_000)),
    "many unknown names": lambda: site(
        f"routes: {braced('word#: {by: word#, to: word#}', 9000)}\nkeypads: {braced('k#: {}', 9000)}"
    ),
    "a long statement": lambda: site("must: [never: 'a" + " " * 500_000 + "causes" + " " * 500_000 + "']"),
    "many statements": lambda: site("must: [" + "never: a causes b while c within d, " * 20_000 + "]"),
    "control characters": lambda: "\x00" * 1_000_000,
    "tabs": lambda: "\t\n" * 500_000,
    "turned text": lambda: "a: \u202e\n" * 200_000,
    "blanks": lambda: " " * 1_900_000,
    "empty lines": lambda: "\n" * 1_900_000,
    "remarks": lambda: "#\n" * 900_000,
    "quotes": lambda: "a: '" + "''" * 900_000,
    "escapes": lambda: 'a: "' + "\\u202e" * 300_000 + '"',
    "question marks": lambda: "? " * 100_000,
    "anchors": lambda: "[" + "&a b, " * 200_000 + "]",
    "documents": lambda: "---\n" * 300_000,
    "commas": lambda: "a: [" + "b," * 900_000 + "]",
}  # fmt: skip


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_file_ends_in_few_findings_in_bounded_time(kind: str) -> None:
    text = HOSTILE[kind]()
    before = time.perf_counter()
    read = read_site_text(text, "hostile.yaml")
    took = time.perf_counter() - before
    assert read.record is None
    assert 1 <= len(read.findings) <= MOST_FINDINGS
    assert took < SECONDS


@pytest.mark.parametrize("kind", ["many keys", "many devices", "a million keys", "control characters", "aliases"])
def test_a_hostile_file_ends_in_bounded_memory(kind: str) -> None:
    text = HOSTILE[kind]()
    tracemalloc.start()
    read_site_text(text, "hostile.yaml")
    most = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    assert most < MEGABYTES


def test_ten_megabytes_are_not_even_read(tmp_path: Path) -> None:
    path = tmp_path / "long.yaml"
    path.write_bytes(b"a: b\n" * 2_000_000)
    tracemalloc.start()
    read = read_site(path)
    most = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    assert [f.code for f in read.findings] == ["READ-FILE"]
    assert most < 1

"""A hostile file costs no more work or memory than a large honest one; the bounds are generous.

Work is counted in calls, Python's own functions among them, never by a clock; an honest file takes some 30 a sign.
"""

from __future__ import annotations

import sys
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import TypeVar

import pytest

from zonewright.site.files import Folder
from zonewright.site.filetext import MOST_FINDINGS
from zonewright.site.sitefile import read_site, read_site_text

CALLS_A_SIGN = 60
CALLS_OF_ANY = 200_000
T = TypeVar("T")
MEGABYTES = 400.0

ALIASES = "a0: &a0 [x, x]\n" + "".join(f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]\n" for i in range(1, 60))


def site(more: str) -> str:
    return f"site: x\npanel: y\n{more}"


def braced(each: str, count: int) -> str:
    """Return a map of many entries, `each` with its number in place of #."""
    return "{" + "".join(each.replace("#", str(i)) + ", " for i in range(count)) + "}"


# each may be made n times smaller
HOSTILE: dict[str, Callable[..., str]] = {
    "brackets": lambda n=1: "[" * (100_000 // n),
    "braces": lambda n=1: "{a: " * (100_000 // n),
    "dashes": lambda n=1: "- " * (100_000 // n),
    "levels": lambda n=1: "\n".join(" " * i + "a:" for i in range(1900 // n)),
    "aliases": lambda n=1: ALIASES[: len(ALIASES) // min(n, 1)],
    "one long text": lambda n=1: "site: " + "x" * (1_000_000 // n),
    "one long key": lambda n=1: "'" + "x" * (1_000_000 // n) + "': y",
    "a long text in place of a word": lambda n=1: "units: " + "metre" * (200_000 // n),
    "a million keys": lambda n=1: "".join(f"{i:x}:\n" for i in range(250_000 // n)),
    "many keys": lambda n=1: "".join(f"k{i:x}: 1\n" for i in range(90_000 // n)),
    "one key many times": lambda n=1: "site: x\n" * (90_000 // n),
    "many unknown fields": lambda n=1: site("devices: " + braced("d#: {q: 1}", (30_000 // n))),
    "many devices": lambda n=1: site("devices: " + braced("d#: {kind: c}", (30_000 // n))),
    "many unknown names": lambda n=1: site(
        f"routes: {braced('word#: {by: word#, to: word#}', (9000 // n))}\nkeypads: {braced('k#: {}', (9000 // n))}"
    ),
    "a long statement": lambda n=1: site(
        "must: [never: 'a" + " " * (500_000 // n) + "causes" + " " * (500_000 // n) + "']"
    ),
    "many statements": lambda n=1: site("must: [" + "never: a causes b while c within d, " * (20_000 // n) + "]"),
    "control characters": lambda n=1: "\x00" * (1_000_000 // n),
    "tabs": lambda n=1: "\t\n" * (500_000 // n),
    "turned text": lambda n=1: "a: \u202e\n" * (200_000 // n),
    "blanks": lambda n=1: " " * (1_900_000 // n),
    "empty lines": lambda n=1: "\n" * (1_900_000 // n),
    "remarks": lambda n=1: "#\n" * (900_000 // n),
    "quotes": lambda n=1: "a: '" + "''" * (900_000 // n),
    "escapes": lambda n=1: 'a: "' + "\\u202e" * (300_000 // n) + '"',
    "question marks": lambda n=1: "? " * (100_000 // n),
    "anchors": lambda n=1: "[" + "&a b, " * (200_000 // n) + "]",
    "documents": lambda n=1: "---\n" * (300_000 // n),
    "commas": lambda n=1: "a: [" + "b," * (900_000 // n) + "]",
}  # fmt: skip


@pytest.mark.deep
@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_file_ends_in_few_findings(kind: str) -> None:
    read = read_site_text(HOSTILE[kind](), "hostile.yaml")
    assert read.record is None
    assert 1 <= len(read.findings) <= MOST_FINDINGS


@pytest.mark.parametrize("kind", HOSTILE)
def test_the_work_for_a_hostile_file_does_not_grow_faster_than_the_file(kind: str) -> None:
    """A sixtieth of it, so that counting is quick; what grows with the square takes hundreds of calls a sign there."""
    text = HOSTILE[kind](60)
    within(CALLS_OF_ANY + CALLS_A_SIGN * len(text), lambda: read_site_text(text, "hostile.yaml"))


def within(most: int, work: Callable[[], T]) -> T:
    """Return what some work gives; it fails as soon as it takes more calls than it may."""
    left = most

    def count(_frame: FrameType, event: str, _given: object) -> None:
        nonlocal left
        left -= event in ("call", "c_call")
        if left < 0:
            sys.setprofile(None)
            raise AssertionError(f"more than {most} calls")

    sys.setprofile(count)
    try:
        return work()
    finally:
        sys.setprofile(None)


def test_work_that_grows_without_bound_is_noticed() -> None:
    assert within(100, lambda: sorted("cab")) == ["a", "b", "c"]
    with pytest.raises(AssertionError, match="more than 100 calls"):
        within(100, lambda: [len("") for _ in range(1000)])


@pytest.mark.deep
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
    read = read_site(Folder(tmp_path), path.name)
    most = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    assert [f.code for f in read.findings] == ["READ-FILE"]
    assert most < 1

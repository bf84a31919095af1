"""A readback's file: what is written reads back, and every mistake of it is told at once, at its line."""

from __future__ import annotations

import contextlib
import random
from pathlib import Path

import pytest

from zonewright.findings import BadInput, Finding
from zonewright.panel.legal import beside, exists, random_programme
from zonewright.panel.profile import Profile
from zonewright.panel.profile_file import shipped, shipped_names
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value
from zonewright.panel.readback import Readback, programme_of, still_there
from zonewright.panel.readback_file import is_readback, open_readback, readback_text

TERN = shipped("tern")


def findings(path: Path, text: str | bytes) -> tuple[Finding, ...]:
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    with pytest.raises(BadInput) as bad:
        open_readback(path, TERN)
    return bad.value.findings


def shown(profile: Profile, held: Programme) -> dict[Item, Value]:
    """Return what a panel shows: what exists."""
    rules = {item: profile.rule_of(item) for item in held}
    return {item: held[item] for item, rule in rules.items() if rule and exists(rule, beside(item, held.values))}


def told(found: tuple[Finding, ...]) -> list[tuple[str, int]]:
    return [(each.code, each.place.line if each.place else 0) for each in found]


@pytest.mark.parametrize("name", shipped_names())
def test_what_is_written_reads_back(name: str, tmp_path: Path) -> None:
    profile, file = shipped(name), tmp_path / "panel.yaml"
    for seed in range(12):
        rng = random.Random(seed)
        held = random_programme(profile, rng, 3, 1, 1)
        values = {item: UNKNOWN if rng.random() < 0.2 else value for item, value in shown(profile, held).items()}
        readback = still_there(profile, Readback(name, values, frozenset(rng.sample(["zone", "user"], 1))))
        file.write_text(readback_text(readback, file.name), encoding="utf-8")
        assert is_readback(file)
        opened = open_readback(file, profile)
        assert opened.readback == readback
        assert opened.programme == programme_of(profile, readback)
        assert [opened.places[item].line for item in readback.values] == list(range(7, 7 + len(readback.values)))


def test_a_label_that_says_unknown_is_no_gap(tmp_path: Path) -> None:
    file, label = tmp_path / "panel.yaml", Item("zone/1/label")
    for value in (Value("unknown"), UNKNOWN):
        file.write_text(readback_text(Readback("marlow", {label: value}), "panel.yaml"), encoding="utf-8")
        assert open_readback(file).readback.values[label] == value


def test_a_site_file_is_no_readback(tmp_path: Path) -> None:
    site = tmp_path / "site.yaml"
    site.write_text("site: Readback House\npanel: tern\n", encoding="utf-8")
    assert not is_readback(site)
    assert not is_readback(tmp_path / "none.yaml")
    assert not is_readback(tmp_path)


def test_every_mistake_is_told_at_once_at_its_line(tmp_path: Path) -> None:
    text = """readback: 1
panel: tern
no more: [zone, remote]
holds:
  zone/1/label: front dor
  zone/1/behaviour: notice
  zone/1/delay: entry time
  zone/01/label: front door
  zone/241/label: front door
  zone/x/label: front door
  zone/1/labl: front door
  zone/*/label: front door
  zone: front door
  setting/exit-time: 63
  setting/exit-time: 60
  setting/entry-time:
  setting/abort-window: {a: b}
  zone/2/behaviour: only announces
  panel/edition: T1.0
  user/1/code: 4711
  station/told: maybe
"""
    found = findings(tmp_path / "panel.yaml", text)
    assert told(found) == [
        ("RBK-06", 3), ("RBK-04", 5), ("RBK-05", 7), ("RBK-03", 8), ("RBK-03", 9), ("RBK-03", 10), ("RBK-03", 11),
        ("RBK-03", 12), ("RBK-03", 13), ("RBK-04", 14), ("READ-TWICE", 15), ("READ-VALUE", 16), ("READ-VALUE", 17),
        ("RBK-04", 18), ("RBK-04", 19), ("RBK-04", 20), ("RBK-04", 21),
    ]  # fmt: skip
    by_line = {each.place.line: each for each in found if each.place}
    assert by_line[11].nearest == "zone/1/label"
    assert by_line[18].nearest == "notice"
    assert "behaviour is notice" in by_line[7].says
    assert all(each.fix or each.allowed for each in found if each.code.startswith("RBK"))
    assert "4711" not in str(found)


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("readback: 2\npanel: tern\nholds: {}\n", "RBK-01", 1),
        ("readback: 1\npanel: quill\nholds: {zone/1/area: 3}\n", "RBK-02", 2),
        ("readback: 1\npanel: turn\n", "PRO-00", 2),
        ("readback: 1\npanel: ./none.yaml\n", "READ-FILE", 2),
        ("readback: 1\npanel: tern\nwords: {}\n", "READ-FIELD", 3),
        ("readback: 1\nholds: {}\n", "READ-MISSING", 1),
        ("readback: 1\npanel: [tern]\n", "READ-VALUE", 2),
        ("readback: 1\npanel: tern\nholds: [zone/1/label]\n", "READ-VALUE", 3),
        ("readback: 1\npanel: tern\nholds:\n\tzone/1/label: hall\n", "READ-HIDDEN", 4),
        ("readback: 1\npanel: tern\nholds: {zone/1/label: !!str hall}\n", "READ-FORM", 3),
        ("readback: [\n", "READ-SYNTAX", 2),
        ("", "READ-EMPTY", 1),
        (b"readback: \xff", "READ-UTF8", 1),
        (b"\0" * 100, "READ-HIDDEN", 1),
        (b"readback: 1\npanel: tern\nholds:\n" + b"  zone/1/label: front door\n" * 90_000, "READ-FILE", 0),
        (b"readback: 1\npanel: tern\nholds:\n" + b"  zone/1/label: front door\n" * 900, "READ-TWICE", 5),
        (b"readback: " + b"{a: " * 5000, "READ-SIZE", 1),
    ],
)
def test_a_broken_file_is_told_and_never_used(text: str | bytes, code: str, line: int, tmp_path: Path) -> None:
    found = findings(tmp_path / "panel.yaml", text)
    assert (code, line) in told(found)
    assert len(found) <= 200


def test_mangled_files_never_end_in_anything_but_findings(tmp_path: Path) -> None:
    rng, file = random.Random(9), tmp_path / "panel.yaml"
    held = random_programme(TERN, rng, 2, 1)
    whole = readback_text(Readback("tern", shown(TERN, held), frozenset({"zone"})), "panel.yaml").encode("utf-8")
    used = 0
    for _ in range(150):
        data = bytearray(whole)
        for _ in range(rng.randint(1, 6)):
            at = rng.randrange(len(data))
            data[at : at + rng.randint(0, 3)] = bytes(rng.choice(b" :/{}[]\"'#\n09az\xc3\x00") for _ in range(2))
        file.write_bytes(bytes(data))
        with contextlib.suppress(BadInput):
            opened = open_readback(file, TERN)
            used += 1
            assert set(opened.readback.values) <= set(opened.programme)
    assert used

"""Edits by place: what was asked, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.desk.job import open_text
from zonewright.findings import BadInput, Finding
from zonewright.site.composer import compose
from zonewright.site.edits import CannotEdit, edited
from zonewright.site.nodes import TextNode, plain, walk

TEXT = (Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml").read_text("utf-8")


def test_only_the_value_changes() -> None:
    made = edited(TEXT, "f", {("devices", "side-gate", "zone", "number"): "7", ("revision",): "4"})
    before, after = TEXT.splitlines(), made.splitlines()
    changed = [n for n, (a, b) in enumerate(zip(before, after, strict=True)) if a != b]
    assert len(changed) == 2
    assert "zone: {number: 7, area: house" in made
    assert "# kept as typed" in made


def test_every_text_of_the_file_can_be_changed_by_itself() -> None:
    tree, _ = compose(TEXT, "f")
    assert tree is not None
    for path, _, node in walk(tree):
        if isinstance(node, TextNode) and node.ends.line == node.place.line:
            made, _ = compose(edited(TEXT, "f", {path: "# odd: {text}, 'here'"}), "f")
            assert made is not None
            assert made != tree


def test_a_new_entry_comes_behind_the_last_one() -> None:
    made = edited(TEXT, "f", {("devices", "side-gate", "number", "learnt"): "904827"})
    assert "number: {printed: 51 9048 27 C, learnt: 904827}    # kept" in made
    block = edited("site: a\npanel: b\n", "f", {("revision",): "2"})
    assert block == "site: a\npanel: b\nrevision: 2\n"


def test_what_has_no_place_is_refused() -> None:
    with pytest.raises(CannotEdit):
        edited(TEXT, "f", {("devices", "side-gate"): "x"})
    with pytest.raises(CannotEdit):
        edited(TEXT, "f", {("nowhere", "at", "all"): "x"})
    with pytest.raises(BadInput):
        edited("a: [", "f", {("a",): "x"})


def test_a_file_with_windows_lines_and_accents_keeps_them() -> None:
    text = "site: Café Ørsted 🏠\r\npanel: tern # é\r\n"
    made = edited(text, "f", {("panel",): "ibis"})
    assert made == text.replace("tern", "ibis")
    tree, _ = compose(made, "f")
    assert tree is not None
    assert plain(tree) == {"site": "Café Ørsted 🏠", "panel": "ibis"}


@pytest.mark.parametrize(
    ("right", "wrong"),
    [("behaviour: perimeter", "behaviour: perimetre"), ("area: house", "area: hause"), ("role: owner", "role: ownner")],
)
def test_writing_what_a_mistake_offers_mends_it(right: str, wrong: str) -> None:
    mistyped = TEXT.replace(right, wrong, 1)
    assert mistyped != TEXT
    (found,) = site_findings(mistyped)
    assert found.mending is not None
    assert edited(mistyped, "larkfield.yaml", {found.mending.path: found.mending.value}) == TEXT


def site_findings(text: str) -> tuple[Finding, ...]:
    try:
        open_text({"larkfield.yaml": text}, "larkfield.yaml")
    except BadInput as bad:
        return bad.findings
    return ()

"""The recipes name files and lists that are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import dev

PAGE = (dev.ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")
WITHIN = [dev.ROOT, dev.ROOT / "src/zonewright", dev.ROOT / "src/zonewright/documents/templates", dev.ROOT / "tests"]
CODE = re.findall(r"`([^`]+)`", PAGE)


@pytest.mark.parametrize("path", sorted({code for code in CODE if re.fullmatch(r"\w[\w/*.]*[./]\w*", code)}))
def test_a_file_that_a_recipe_names_is_there(path: str) -> None:
    if "NAME" not in path:
        assert any(list(folder.glob(path)) for folder in WITHIN)


@pytest.mark.parametrize("name", sorted({code for code in CODE if re.fullmatch(r"[A-Z][A-Za-z_]+", code)}))
def test_a_name_that_a_recipe_gives_is_there(name: str) -> None:
    sources = (file for folder in ("src", "tests") for file in Path(dev.ROOT / folder).rglob("*.py"))
    assert any(re.search(rf"\b{name}\b", file.read_text("utf-8")) for file in sources)


def test_the_tasks_that_it_names_are_there() -> None:
    assert set(re.findall(r"`\./dev (\w+)", PAGE)) <= set(dev.TASKS)

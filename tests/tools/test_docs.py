"""Generated pages are what the code says."""

from __future__ import annotations

from pathlib import Path

import docs


def test_every_generated_page_is_up_to_date() -> None:
    assert docs.PAGES
    assert docs.stale(docs.texts(docs.PAGES), docs.DOCS) == [], "run ./dev docs"


def test_only_stale_pages_are_written(tmp_path: Path) -> None:
    made = {"a.md": "one\n", "rules/b.md": "two\n"}
    (tmp_path / "a.md").write_text("one\n")
    assert docs.write(made, tmp_path) == ["rules/b.md"]
    assert (tmp_path / "rules" / "b.md").read_text() == "two\n"
    assert docs.write(made, tmp_path) == []

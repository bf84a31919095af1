"""The documentation site is built strictly: every page is in its list, and every link leads somewhere."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import dev
from pages.root_pages import ROOT_PAGES, as_in_docs


def built(root: Path, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *dev.SITE, "build", "--strict", "--site-dir", str(folder)],
        cwd=root, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site")
    done = built(dev.ROOT, folder)
    assert done.returncode == 0, done.stderr
    return folder


def test_every_page_is_in_it_and_can_be_searched(site: Path) -> None:
    pages = {page.relative_to(dev.ROOT / "docs") for page in (dev.ROOT / "docs").rglob("*.md")}
    pages |= {Path(page) for page in ROOT_PAGES.values()}
    found = {Path(entry["location"].partition("#")[0]) for entry in index(site)}
    assert {page.with_suffix(".html") for page in pages} <= found
    assert all((site / page).is_file() for page in found)


def test_a_rule_is_found_by_its_code(site: Path) -> None:
    assert any(entry["location"].startswith("rules.html#num-03") for entry in index(site))


def index(site: Path) -> list[dict[str, str]]:
    entries: list[dict[str, str]] = json.loads((site / "search/search_index.json").read_text("utf-8"))["docs"]
    return entries


def test_no_page_fetches_anything_from_the_network(site: Path) -> None:
    for page in site.rglob("*.html"):
        fetched = re.findall(r'<(?:link|script|img)\b[^>]*(?:href|src)="((?:https?:)?//[^"]*)', page.read_text("utf-8"))
        assert fetched == [], page.name
    for sheet in site.rglob("*.css"):
        assert not re.search(r"(?:url\(|@import)\s*['\"]?(?:https?:)?//", sheet.read_text("utf-8")), sheet.name


@pytest.mark.parametrize(
    ("page", "wrong", "named"),
    [
        ("docs/rules.md", "[a page](nowhere.md)", "'nowhere.md'"),
        ("docs/rules.md", "[a heading](verbs.md#nowhere)", "'#nowhere'"),
        ("docs/forgotten.md", "# A page that nothing lists", "forgotten.md"),
        ("README.md", "[a page](docs/nowhere.md)", "'nowhere.md'"),
    ],
)
def test_a_broken_link_and_a_forgotten_page_end_the_build(page: str, wrong: str, named: str, tmp_path: Path) -> None:
    for folder in ("docs", "tools/pages"):
        shutil.copytree(dev.ROOT / folder, tmp_path / folder)
    for file in ("properdocs.yml", *ROOT_PAGES):
        shutil.copy(dev.ROOT / file, tmp_path)
    with (tmp_path / page).open("a", encoding="utf-8") as end:
        end.write(f"\n{wrong}\n")
    done = built(tmp_path, tmp_path / "site")
    assert done.returncode != 0
    assert "WARNING" in done.stderr
    assert named in done.stderr


def test_links_of_the_root_lead_to_the_pages_of_the_site() -> None:
    assert as_in_docs("[a](docs/rules.md#x) [b](CHANGELOG.md) [c](https://example.org)") == (
        "[a](rules.md#x) [b](changes.md) [c](https://example.org)"
    )

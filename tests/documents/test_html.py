"""The HTML page says what the PDF says, fetches nothing, and takes every text as text."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

from pypdf import PdfReader

from zonewright.desk.job import older_job, open_job
from zonewright.desk.job_pack import job_pack
from zonewright.desk.verdicts import Proving
from zonewright.documents.html import render_html
from zonewright.documents.pack import render
from zonewright.documents.records import PackData
from zonewright.site.record import ZoneNumber

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
VOID = frozenset({"img", "meta", "br", "input"})


@cache
def pack() -> PackData:
    new = open_job(FILES / "larkfield.yaml")
    return job_pack(new, older_job(open_job(FILES / "larkfield-before.yaml"), new), ZoneNumber(7), Proving(new))


def words(text: str) -> set[str]:
    return set(re.findall(r"[A-Za-z][A-Za-z'-]{2,}|\d{2,}", text.replace("\N{NO-BREAK SPACE}", " ").lower()))


# On paper only: heads, feet, contents, and what is ticked at a glance.
ON_PAPER = words(
    "page in this pack, shows, keep locked, for the people who live here, all parts done, rows, keys, devices"
)


def html_words(page: str) -> set[str]:
    body = page.partition("<body>")[2]
    return words(unescape(re.sub(r"<[^>]+>", " ", body)))


def test_every_word_of_the_paper_stands_on_the_page_and_the_other_way_round() -> None:
    reader = PdfReader(io.BytesIO(render(pack(), "a4")))
    # A word broken over two lines of a narrow column is no word of its own.
    paper = {word for page in reader.pages for word in words(page.extract_text().replace("-\n", "-"))}
    page = html_words(render_html(pack()))
    assert {word for word in paper - page if not word.isdigit()} - ON_PAPER <= _parts(page)
    assert page - paper <= _parts(paper)


def _parts(found: set[str]) -> set[str]:
    """Return the halves of hyphened words: where a line ends in one, the reader of the PDF sees two."""
    return {half for word in found for half in word.split("-")} | {word.strip("-'") for word in found}


class Balanced(HTMLParser):
    """Tells whether every tag that is opened is shut in turn."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in VOID:
            self.open.append(tag)
        for name, value in attrs:
            fetches = name in ("src", "href") and not (value or "").startswith("data:")
            if fetches or name.startswith("on"):
                self.wrong.append(f"{tag} {name}={value}")

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(f"</{tag}>")


def test_the_page_is_whole_fetches_nothing_and_runs_nothing() -> None:
    page = render_html(pack())
    check = Balanced()
    check.feed(page)
    assert (check.open, check.wrong) == ([], [])
    assert "<script" not in page
    assert "http" not in page
    assert '<html lang="en">' in page


def test_a_hostile_text_is_text() -> None:
    bad = "<script>alert('x')</script>{{ 7 * 7 }}"
    page = render_html(replace(pack(), cover=replace(pack().cover, name=bad)))
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    assert "{{ 7 * 7 }}" in unescape(page)


def test_no_digit_of_a_code_stands_on_it() -> None:
    page = render_html(pack())
    assert 'aria-label="own digit"' in page
    assert "<kbd>\N{NO-BREAK SPACE}</kbd>" not in page

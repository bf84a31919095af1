"""The job pack as one HTML file: the same data as the PDF, for a telephone, a screen reader and the search box.

Rules of this file:
1. One file, no script, nothing fetched; every text is escaped by the template engine, never pasted.
2. What stands in the PDF stands here, in the same order; a test compares the words.
"""

from __future__ import annotations

from base64 import b64encode
from dataclasses import fields
from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined, Template

from zonewright.documents.records import PackData


def render_html(data: PackData) -> str:
    """Return the pack as an HTML page."""
    return _template().render({each.name: getattr(data, each.name) for each in fields(data)})


@cache
def _template() -> Template:
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters["base64"] = lambda text: b64encode(text.encode()).decode()
    return environment.from_string((files("zonewright.documents") / "templates" / "pack.html.jinja").read_text("utf-8"))

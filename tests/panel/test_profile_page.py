"""The page of panel profiles names every field that a profile may have."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

from zonewright.panel.behaviours import Behaviour
from zonewright.panel.bounds import LEAST, MOST
from zonewright.panel.fixed import READ
from zonewright.panel.profile import Limits, Profile, When
from zonewright.panel.programme import Item
from zonewright.site.record import Record

PAGE = (Path(__file__).parents[2] / "docs/profile.md").read_text(encoding="utf-8")
WRITTEN = " ".join(re.findall(r"`([^`]+)`", PAGE))
ELSEWHERE = {Behaviour, When}  # on the page of behaviours; a condition is written `field: [values]`


def records_in(kind: type[Record], met: set[type[Record]]) -> Iterator[type[Record]]:
    """Give a record and all that its fields are made of, each once."""
    if kind in met:
        return
    met.add(kind)
    yield kind
    for field in kind.model_fields.values():
        for each in parts(field.annotation):
            yield from records_in(each, met)


def parts(annotation: object) -> Iterator[type[Record]]:
    if isinstance(annotation, type):
        if issubclass(annotation, Record):
            yield annotation
        return
    for each in get_args(annotation):
        yield from parts(each)


FIELDS = [
    pytest.param(field.alias or name, id=f"{kind.__name__}: {name}")
    for kind in records_in(Profile, set())
    if kind not in ELSEWHERE
    for name, field in kind.model_fields.items()
]


@pytest.mark.parametrize("field", FIELDS)
def test_a_field_stands_on_the_page(field: str) -> None:
    assert re.search(rf"(?<![\w-]){re.escape(field)}(?![\w-])", WRITTEN)


def test_every_limit_has_its_bounds() -> None:
    assert Limits.model_fields.keys() == MOST.keys() == LEAST.keys()


@pytest.mark.parametrize("item", sorted(READ))
def test_an_item_that_has_a_meaning_stands_on_the_page(item: str) -> None:
    field = Item(item).field
    assert re.search(rf"(^|[ /]){re.escape(field)}($|[ :])", WRITTEN)

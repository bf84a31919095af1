"""An item is asked for its parts, and nobody else takes its text apart."""

from __future__ import annotations

import pickle
import re
from pathlib import Path

import pytest

import zonewright
from zonewright.panel.programme import Item, Thing, item_of, setting_item

SOURCE = Path(zonewright.__file__).parent
APART = re.compile(r"""\.(?:r?partition|split)\("/"\)|\.startswith\(f?"(?:zone|user|remote|setting|station)/""")
READ_FROM_FILES = {"panel/references.py", "panel/readback_file.py"}  # there a text is no item yet


@pytest.mark.parametrize(
    ("item", "group", "number", "field", "thing", "pattern", "words"),
    [
        ("zone/14/message-delay", "zone", 14, "message-delay", "zone/14", "zone/*/message-delay", "message delay"),
        ("user/2/role", "user", 2, "role", "user/2", "user/*/role", "role"),
        ("setting/exit-time", "setting", None, "exit-time", "setting", "setting/exit-time", "exit time"),
        ("zone/*/delay", "zone", None, "delay", "zone/*", "zone/*/delay", "delay"),
    ],
)
def test_an_item_has_parts(
    item: str, group: str, number: int | None, field: str, thing: str, pattern: str, words: str
) -> None:
    it = Item(item)
    assert (it.group, it.number, it.field, it.thing, it.pattern, it.words) == (
        group, number, field, thing, pattern, words,
    )  # fmt: skip
    assert it.thing.number == number
    assert it.beside("label") == f"{thing}/label"
    assert pickle.loads(pickle.dumps(it)).thing == thing


def test_an_item_is_made_of_its_parts() -> None:
    assert item_of("zone", 14, "delay") == Item("zone/14/delay")
    assert setting_item("exit time") == Item("setting/exit-time")
    assert Thing.of("user", 2).words == "user 2"


def test_no_other_module_takes_an_item_apart() -> None:
    found = [
        f"{path.relative_to(SOURCE)}:{number}"
        for path in sorted(SOURCE.rglob("*.py"))
        if str(path.relative_to(SOURCE)) not in {"panel/programme.py", *READ_FROM_FILES}
        for number, line in enumerate(path.read_text("utf-8").splitlines(), 1)
        if APART.search(line)
    ]
    assert found == []

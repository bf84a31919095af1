"""The README begins with two commands, and CI runs the first of them as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

import ready
from zonewright.cli.verbs import VERBS

README = Path(ready.ROOT) / "README.md"


def test_every_verb_is_named() -> None:
    text = README.read_text(encoding="utf-8")
    assert [verb for verb in VERBS if not re.search(rf"`zonewright {verb}\b", text)] == []


def test_start_is_two_commands() -> None:
    found = re.search(r"^## Start\n\n```sh\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)
    assert found is not None
    assert found[1].splitlines() == ["./zonewright demo", "./dev test"]

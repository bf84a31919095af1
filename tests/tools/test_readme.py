"""The README begins with two commands, and CI runs the first of them as it stands there."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import ready

README = Path(ready.ROOT) / "README.md"


def test_start_is_two_commands() -> None:
    found = re.search(r"^## Start\n\n```sh\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)
    assert found is not None
    assert found[1].splitlines() == ["./zonewright demo", "./dev test"]


@pytest.mark.parametrize("command", ["check", "matrix", "enter", "prove", "walk", "diagnose"])
def test_what_the_readme_shows_is_what_comes_out(command: str, monkeypatch: pytest.MonkeyPatch) -> None:
    found = re.search(rf"```console\n\$ zonewright ({command} .*?)\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    assert found is not None
    monkeypatch.chdir(Path(ready.ROOT) / "src/zonewright/cli/demo_files")
    done = subprocess.run(
        [sys.executable, "-m", "zonewright", *shlex.split(found[1])],
        capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    said = done.stdout.splitlines()
    place = 0
    for line in filter(str.strip, found[2].splitlines()):  # every line, in this order; others may stand between
        place = said.index(line, place) + 1

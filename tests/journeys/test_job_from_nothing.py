"""A job outside the demo, from its site file to the keyed panel, through the command line alone."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
NEW, OLD = HERE / "quay.yaml", HERE / "quay-before.yaml"

# Keyed by a person from the printed delta sheet, line by line: a swapped transmitter, a bell in place of a water
# sensor, one more person, two settings.
BY_HAND = """
no no 7
5555
yes
no
yes
002
yes
yes
yes
yes
yes
yes
yes
yes
yes
yes
yes
trip 881502
yes
yes
no
yes
004
no yes
2846 2527 yes
yes
no no yes
no yes
no
yes
yes
6208 yes
trip 606014
yes
no yes
2
yes
no no yes
yes
4444
yes
no no yes
075
yes
yes
no
yes
yes
yes
yes
3
yes
yes
yes
yes
"""


def zonewright(*arguments: str | Path, keys: str = "") -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "zonewright", *map(str, arguments)]
    return subprocess.run(command, input=keys, capture_output=True, text=True, check=False)


def test_the_printed_delta_keyed_by_hand_gives_the_plan() -> None:
    done = zonewright("practise", NEW, "--since", OLD, keys=BY_HAND)
    assert done.returncode == 0, done.stdout[-600:]
    assert done.stdout.rstrip().endswith("The panel holds the plan.")


def test_one_key_left_out_is_told() -> None:
    done = zonewright("practise", NEW, "--since", OLD, keys=BY_HAND.replace("trip 881502\nyes", "trip 881502", 1))
    assert done.returncode == 1
    assert "off the sheet" in done.stdout


def test_the_sheet_says_what_changes_and_nothing_secret() -> None:
    done = zonewright("enter", NEW, "--since", OLD)
    assert done.returncode == 0
    assert "number: 772011 -> 881502" in done.stdout
    assert "PERSON 2 TOM" in done.stdout
    assert max(len(line) for line in done.stdout.splitlines()) <= 80


def test_every_table_can_be_had_as_json() -> None:
    for arguments in (("check", NEW), ("matrix", NEW), ("explain", NEW), ("enter", NEW), ("rules",), ("schema",)):
        done = zonewright(*arguments, *(("--json",) if arguments[0] != "schema" else ()))
        assert done.returncode in (0, 1), done.stderr
        json.loads(done.stdout)


def edited(tmp_path: Path, before: str, after: str) -> Path:
    text = NEW.read_text(encoding="utf-8")
    assert before in text
    path = tmp_path / "site.yaml"
    path.write_text(text.replace(before, after, 1), encoding="utf-8")
    return path


WRONG = [
    ("kind: button", "kind: butoon", "did you mean button"),
    ("called: bell button", "called: bell buton", "did you mean button"),
    ("panel: tern", "panel: turn", "did you mean tern"),
    ("exit time: 75 s", "exit time: 75", "write a time with its unit"),
    ("exit time: 75 s", "exit time: 77 s", "in steps of 5"),
    ("number: 1,", "number: 300,", "zones 1 to 240"),
    ("number: 3,", "number: 2,", "zone"),
    ("49 6060 14 C", "49 6O60 14 C", "perhaps 0"),
    ("chime: spoken", "chyme: spoken", "did you mean chime"),
    ("    at: {room: loft}", "    at: {room: loft}\n    fited: 2026-11-20", "did you mean fitted"),
    ("site: ", "sight: ", "did you mean site"),
    ("people: {Solveig: {role: owner}", "people: {Solveig: {role: owner, code: 4711}", "code"),
]  # fmt: skip


@pytest.mark.parametrize(("before", "after", "says"), WRONG, ids=[row[1][:20].strip() for row in WRONG])
@pytest.mark.parametrize("verb", ["check", "enter"])
def test_bad_input_is_told_with_place_and_way_out(
    tmp_path: Path, verb: str, before: str, after: str, says: str
) -> None:
    done = zonewright(verb, edited(tmp_path, before, after))
    assert done.returncode == 2
    assert done.stdout == ""
    told = " ".join(done.stderr.split())
    assert "site.yaml:" in told
    assert says in told
    assert "4711" not in done.stderr
    assert "Traceback" not in done.stderr


def test_a_file_that_is_not_there_and_an_empty_one(tmp_path: Path) -> None:
    missing = zonewright("check", tmp_path / "none.yaml")
    empty = tmp_path / "empty.yaml"
    empty.touch()
    for done in (missing, zonewright("check", empty)):
        assert done.returncode == 2
        assert re.search(r"^    do  ", done.stderr, re.MULTILINE)
        assert "Traceback" not in done.stderr


def test_nothing_is_written_over_unasked(tmp_path: Path) -> None:
    out = tmp_path / "sheet.txt"
    assert zonewright("enter", NEW, "--out", out).returncode == 0
    first = out.read_text()
    refused = zonewright("enter", NEW, "--since", OLD, "--out", out)
    assert refused.returncode == 2
    assert "--force" in refused.stderr
    assert out.read_text() == first
    assert zonewright("enter", NEW, "--since", OLD, "--out", out, "--force").returncode == 0
    assert out.read_text() != first


def test_an_unreachable_question_of_an_own_profile_is_told(tmp_path: Path) -> None:
    from zonewright.panel.profile_file import SHIPPED

    text = (SHIPPED / "tern.yaml").read_text(encoding="utf-8")
    (tmp_path / "own.yaml").write_text(
        text.replace("choose: {yes: slot, no: habits}", "choose: {yes: slot, no: station}")
    )
    done = zonewright("profile", "check", tmp_path / "own.yaml")
    assert done.returncode == 2
    assert "can never be reached" in done.stderr
    site = edited(tmp_path, "panel: tern", "panel: ./own.yaml")
    assert "can never be reached" in zonewright("check", site).stderr

"""Taking a panel over by the command line: nothing typed is lost, and every verb says what it can't know."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.interrupts import heard
from tests.cli.one_door import HABITS, PEOPLE, ZONE
from zonewright.cli import main
from zonewright.panel.programme import UNKNOWN, Item
from zonewright.panel.readback_file import open_readback


def run(folder: Path, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "zonewright", *arguments]
    return subprocess.run(command, input=typed, capture_output=True, text=True, check=False, cwd=folder)


def lines(*typed: str) -> str:
    return "".join(f"{line}\n" for line in typed)


def test_a_panel_is_taken_over_from_its_keypad_to_the_sheet(tmp_path: Path) -> None:
    first = run(tmp_path, "readback", "tern", "panel.yaml", typed=lines(*ZONE[:6]))
    assert first.returncode == 0, first.stderr
    assert "It is:" in first.stdout
    again = run(tmp_path, "readback", "tern", "panel.yaml", typed=lines(*ZONE[6:], *PEOPLE, *HABITS))
    assert again.returncode == 0, again.stderr
    assert "5 answers, 0 not known" in again.stdout
    assert "29 answers, 2 not known" in again.stdout
    assert "It is:" not in again.stdout  # it went on, and didn't begin again
    assert open_readback(tmp_path / "panel.yaml").programme[Item("setting/siren-time")] == UNKNOWN

    told = run(tmp_path, "matrix", "panel.yaml")
    assert told.returncode == 0
    assert "hall front door - opens, cover off: siren time" in told.stdout
    assert "battery low" in told.stdout
    assert "Not known" in run(tmp_path, "explain", "panel.yaml").stdout
    judged = run(tmp_path, "check", "panel.yaml")
    assert judged.returncode == 1
    assert "siren time: " in judged.stdout

    begun = run(tmp_path, "new", "site.yaml", "--from", "panel.yaml", "--name", "Larkfield Cottage")
    assert begun.returncode == 0, begun.stderr
    site = tmp_path / "site.yaml"
    text = site.read_text(encoding="utf-8")
    assert "# siren time:  # not known" in text
    assert run(tmp_path, "check", "site.yaml").returncode == 2  # the transmitter's number is still to be copied
    text = text.replace("# number: {printed: 00 0000 00 A}  # not known", "number: {printed: 51 9048 27 A}  #")
    site.write_text(text.replace("# siren time:  #", "siren time: 5 min  #"), encoding="utf-8")
    assert run(tmp_path, "check", "site.yaml").returncode in (0, 1)

    sheet = run(tmp_path, "enter", "site.yaml", "--from", "panel.yaml")
    assert sheet.returncode == 0, sheet.stderr
    assert "siren time: ? -> 5" in sheet.stdout
    assert "number: ? -> 904827" in sheet.stdout


@pytest.mark.skipif(os.name == "nt", reason="no Ctrl-C for a single process there")
def test_ctrl_c_keeps_what_was_typed(tmp_path: Path) -> None:
    command = [sys.executable, "-u", "-m", "zonewright", "readback", "tern", "panel.yaml"]
    with subprocess.Popen(
        command, cwd=tmp_path, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        preexec_fn=heard,  # noqa: PLW1509 - there are no threads here
    ) as running:  # fmt: skip
        assert running.stdin is not None
        assert running.stdout is not None
        running.stdin.write(lines(*ZONE[:3]))
        running.stdin.flush()
        while "Its light" not in running.stdout.readline():
            time.sleep(0)
        running.send_signal(signal.SIGINT)
        out, err = running.communicate()
    assert running.returncode == 130, err
    assert "what was typed is in panel.yaml" in out
    assert len(open_readback(tmp_path / "panel.yaml").readback.values) == 2


def wrong(capsys: pytest.CaptureFixture[str]) -> str:
    """Return what was said on standard error, wherever its lines were broken."""
    return " ".join(capsys.readouterr().err.split())


def made(tmp_path: Path, *typed: str) -> Path:
    file = tmp_path / "panel.yaml"
    assert run(tmp_path, "readback", "tern", "panel.yaml", typed=lines(*typed)).returncode == 0
    return file


def test_nothing_typed_writes_nothing(tmp_path: Path) -> None:
    done = run(tmp_path, "readback", "tern", "panel.yaml", typed="/stop\n")
    assert done.returncode == 0
    assert "no file was written" in done.stdout
    assert list(tmp_path.iterdir()) == []


def test_a_code_typed_by_mistake_is_in_no_file_and_no_answer(tmp_path: Path) -> None:
    done = run(tmp_path, "readback", "tern", "panel.yaml", typed=lines("/none", "1", "owner", "both", "4711", "/stop"))
    assert "4711" not in done.stdout + done.stderr + (tmp_path / "panel.yaml").read_text(encoding="utf-8")


def test_bytes_that_are_no_text_are_no_answer(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "zonewright", "readback", "tern", "panel.yaml"]
    done = subprocess.run(command, input=b"1\ncontact\n\xff\xfe\n\0\n", capture_output=True, check=False, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    assert len(open_readback(tmp_path / "panel.yaml").readback.values) == 1


def test_what_is_no_readback_of_this_panel_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = made(tmp_path, *ZONE, "/none")
    before = file.read_bytes()
    assert main(["readback", "quill", str(file)]) == 2
    assert "it is a readback of tern, and the panel here is Quill" in wrong(capsys)
    assert main(["readback", "turn", str(file)]) == 2
    assert "tern" in wrong(capsys)
    assert file.read_bytes() == before
    site = tmp_path / "site.yaml"
    site.write_text("site: House\npanel: tern\n", encoding="utf-8")
    assert main(["readback", "tern", str(site)]) == 2
    assert "is no readback" in wrong(capsys)


def test_a_sheet_from_another_panel_or_from_half_a_list_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, site = made(tmp_path, *ZONE, "/none", "/stop"), tmp_path / "site.yaml"
    site.write_text("site: House\npanel: quill\nareas: {house: {}}\n", encoding="utf-8")
    assert main(["enter", str(site), "--from", str(file)]) == 2
    assert re.search(r"panel\.yaml:4:\d+ readback: it is a readback of tern", wrong(capsys))
    site.write_text("site: House\npanel: tern\nareas: {house: {}}\n", encoding="utf-8")
    assert main(["enter", str(site), "--from", str(file)]) == 2
    assert "there is no further person" in wrong(capsys)
    assert main(["enter", str(site), "--from", str(file), "--since", str(site)]) == 2


def test_what_a_readback_can_tell_can_be_had_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = made(tmp_path, *ZONE, *PEOPLE, *HABITS)
    for verb, keys in (
        ("matrix", {"cells", "never_armed", "not_known"}),
        ("explain", {"zones", "never_armed", "not_known"}),
        ("check", {"findings", "accepted", "not_judged"}),
    ):
        main([verb, str(file), "--json"])
        assert set(json.loads(capsys.readouterr().out)) == {"kind", "version", *keys}
    assert main(["explain", str(file), "front door"]) == 0
    assert "siren time" in capsys.readouterr().out
    assert main(["explain", str(file), "9"]) == 2

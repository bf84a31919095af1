"""Beginning a site file, importing one, and writing the keyed numbers in."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.cli import main

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"


def test_a_new_file_can_be_checked_at_once(tmp_path: Path) -> None:
    file = tmp_path / "new.yaml"
    options = ["--name", "Mill: No. 3", "--panel", "tern", "--areas", "house, shop", "--account", "0042"]
    assert main(["new", str(file), *options]) == 0
    assert main(["check", str(file)]) == 0
    assert "# A device, to copy" in file.read_text("utf-8")
    assert main(["new", str(file), *options]) == 2  # never written over unasked


def test_an_imported_schedule_is_a_site_file(tmp_path: Path) -> None:
    schedule, file = tmp_path / "z.csv", tmp_path / "site.yaml"
    schedule.write_text("zone,called,behaviour,kind,room,number\n1,front door,entry-door,contact,hall,51 9047 31 A\n")
    assert main(["import", str(schedule), str(file)]) == 0
    assert main(["enter", str(file)]) == 0


def test_an_import_with_mistakes_is_written_and_they_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    schedule, file = tmp_path / "z.csv", tmp_path / "site.yaml"
    schedule.write_text("zone,called,behaviour,kind,report\n1,a,entry-door,contact,all\n1,b,notice,contact,all\n")
    assert main(["import", str(schedule), str(file)]) == 1
    assert file.exists()
    assert "report" in capsys.readouterr().out


@pytest.mark.parametrize("content", [b"\xff\xfe", b"", b"called\n", b'"'])
def test_a_bad_schedule_writes_nothing(tmp_path: Path, content: bytes) -> None:
    schedule, file = tmp_path / "z.csv", tmp_path / "site.yaml"
    schedule.write_bytes(content)
    assert main(["import", str(schedule), str(file)]) == 2
    assert not file.exists()


def test_the_keyed_numbers_are_written_in_and_nothing_else(tmp_path: Path) -> None:
    file = tmp_path / "site.yaml"
    file.write_text(DEMO.read_text("utf-8"), encoding="utf-8")
    assert main(["number", str(file)]) == 0
    text = file.read_text("utf-8")
    assert "number: 7, area: house" in text
    assert "learnt: 904827}" in text
    assert len(text.splitlines()) == len(DEMO.read_text("utf-8").splitlines())
    assert main(["check", str(file)]) == 0
    assert main(["number", str(file)]) == 0
    assert file.read_text("utf-8") == text

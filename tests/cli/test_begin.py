"""Beginning a site file, importing one, and writing the keyed numbers in."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from zonewright.cli import main
from zonewright.panel.opening import open_site

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"


def test_a_new_file_can_be_checked_at_once(tmp_path: Path) -> None:
    file = tmp_path / "new.yaml"
    options = ["--name", "Mill: No. 3", "--panel", "tern", "--areas", "house, shop", "--account", "0042"]
    assert main(["new", str(file), *options]) == 0
    assert main(["check", str(file)]) == 0
    assert "# A device, to copy" in file.read_text("utf-8")
    assert main(["new", str(file), *options]) == 2  # never written over unasked


@pytest.mark.parametrize("panel", ["tern", "marlow", "quill"])
def test_the_examples_of_a_new_file_are_what_its_panel_takes(
    panel: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "new.yaml"
    assert main(["new", str(file), "--name", "Mill", "--panel", panel, "--areas", "house", "--account", ""]) == 0
    assert main(["check", str(file)]) == 0
    assert "There is no zone yet" in capsys.readouterr().out
    text = file.read_text("utf-8")
    example = text[text.index("#   front-door:") : text.index("#\n# What this panel knows")]
    filled = "devices:\n" + "".join(f"{line[2:]}\n" for line in example.splitlines())
    file.write_text(text.replace("devices: {}\n", filled), encoding="utf-8")
    assert main(["check", str(file)]) == 1  # nobody has a code yet, and more like that; nothing that must be mended
    assert "front door" in capsys.readouterr().out


def test_a_new_file_for_an_unknown_panel_is_refused_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(["new", str(tmp_path / "x.yaml"), "--name", "x", "--panel", "turn", "--areas", "", "--account", ""]) == 2
    )
    assert "tern" in capsys.readouterr().err
    assert not (tmp_path / "x.yaml").exists()


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


@pytest.mark.parametrize(
    "people",
    [
        "people:\n  Ida: {role: owner, may: [house, workshop]}\n  Bertil: {role: user, may: [house], slot: 2}\n",
        (
            "people:\n  Ida:\n    role: owner  # of all\n    may: [house, workshop]\n"
            "  Bertil:\n    role: user\n    may:\n      - house\n"
        ),
    ],
)
def test_slots_are_written_also_where_a_person_ends_in_a_list(people: str, tmp_path: Path) -> None:
    file = tmp_path / "site.yaml"
    text = re.sub(r"people:\n(  .*\n)*", people, DEMO.read_text("utf-8"))
    file.write_text(text.replace("plan: larkfield-plan.yaml", ""), encoding="utf-8")
    assert main(["number", str(file)]) == 0
    assert {name: each.slot for name, each in open_site(file).site.people.items()} == {"Ida": 1, "Bertil": 2}
    assert "# of all" in file.read_text("utf-8") or "# of all" not in people


def test_the_keyed_numbers_are_written_in_and_nothing_else(tmp_path: Path) -> None:
    file = tmp_path / "site.yaml"
    file.write_text(DEMO.read_text("utf-8"), encoding="utf-8")
    plan = DEMO.with_name("larkfield-plan.yaml")
    (tmp_path / plan.name).write_text(plan.read_text("utf-8"), encoding="utf-8")
    assert main(["number", str(file)]) == 0
    text = file.read_text("utf-8")
    assert "number: 7, area: house" in text
    assert "learnt: 904827}" not in text  # nobody has read it off the panel
    assert len(text.splitlines()) == len(DEMO.read_text("utf-8").splitlines())
    assert main(["check", str(file)]) == 0
    assert main(["number", str(file)]) == 0
    assert file.read_text("utf-8") == text

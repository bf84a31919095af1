"""The demo writes again only what it made itself and nobody touched."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from zonewright.cli import main
from zonewright.cli.demo import MARK, free_folder, is_own


@pytest.fixture(autouse=True)
def _proofs_kept(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Prove the demos once for all of these tests."""
    monkeypatch.setenv("ZONEWRIGHT_CACHE", str(tmp_path_factory.getbasetemp() / "proofs of the demos"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    target = tmp_path / "house"
    assert main(["demo", str(target)]) == 0
    return target


def test_it_makes_the_whole_pack_and_says_what_to_look_at_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "house"
    assert main(["demo", str(folder)]) == 0
    names = {path.name for path in folder.iterdir()}
    assert names == {
        "larkfield.yaml", "larkfield-before.yaml", "larkfield.pdf", "larkfield-letter.pdf", "larkfield.html",
        "larkfield-plan.yaml",
        "larkfield-wrong.yaml", "larkfield-wrong.txt", "larkfield-wrong-proofs.txt",
        "rowan.yaml", "rowan-plan.yaml", "rowan.pdf", "rowan.html",
        "bakery.yaml", "bakery-plan.yaml", "bakery.pdf", "bakery.html",
        "side-gate-keys.txt", "side-gate-guide.txt", MARK,
    }  # fmt: skip
    assert (folder / "larkfield.pdf").read_bytes().startswith(b"%PDF-")
    assert "look at this first" in capsys.readouterr().out


def test_its_own_folder_is_written_again(folder: Path) -> None:
    assert is_own(folder)
    assert main(["demo", str(folder)]) == 0
    assert not folder.with_name("house-2").exists()


@pytest.mark.parametrize("what", ["edited", "added", "missing"])
def test_a_folder_that_somebody_touched_is_left_alone(folder: Path, what: str) -> None:
    site = folder / "larkfield.yaml"
    if what == "edited":
        site.write_text(site.read_text("utf-8").replace("Larkfield", "Larkwood"), encoding="utf-8")
    elif what == "added":
        (folder / "notes.txt").write_text("call Ida")
    else:
        site.unlink()
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert main(["demo", str(folder)]) == 0
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    assert is_own(folder.with_name("house-2"))


def test_a_folder_of_the_users_is_never_taken(tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    mine.mkdir()
    assert free_folder(mine) == tmp_path / "mine-2"


def test_where_no_folder_can_be_made_nothing_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("x")
    assert main(["demo", str(tmp_path / "file" / "house")]) == 2
    assert "name a folder" in capsys.readouterr().err


def test_the_files_agree_with_the_verbs(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert main(["enter", str(folder / "larkfield.yaml"), "--since", str(folder / "larkfield-before.yaml")]) == 0
    assert capsys.readouterr().out == (folder / "side-gate-keys.txt").read_text("utf-8")


def test_the_verb_pack_writes_what_the_demo_has(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "again.pdf"
    arguments = ["--since", str(folder / "larkfield-before.yaml"), "--guide", "side-gate", "--out", str(out)]
    assert main(["pack", str(folder / "larkfield.yaml"), *arguments]) == 0
    assert out.read_bytes() == (folder / "larkfield.pdf").read_bytes()
    assert main(["pack", str(folder / "larkfield.yaml"), *arguments]) == 2


def test_the_seven_planted_mistakes_are_all_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert main(["check", str(folder / "larkfield-wrong.yaml"), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    found = {each["code"] for each in told["findings"]}
    assert {"NUM-01", "SUP-01", "BEH-03", "BEH-05", "KIND-01", "MUST-01", "PPL-02"} <= found
    assert "place 5" in (folder / "larkfield-wrong.txt").read_text("utf-8")


@pytest.mark.parametrize("site", ["larkfield", "rowan", "bakery"])
def test_every_demo_site_is_fine_by_every_rule(folder: Path, site: str, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    main(["check", str(folder / f"{site}.yaml"), "--json"])
    found = json.loads(capsys.readouterr().out)["findings"]
    assert [each["code"] for each in found] == (["NUM-03"] if site == "larkfield" else [])

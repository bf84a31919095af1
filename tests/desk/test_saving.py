"""Files are whole or not there, and nothing is written over unasked."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from zonewright.cli.findings_text import way_out
from zonewright.desk.saving import save, save_all, save_edited, unwritable
from zonewright.findings import BadInput


def refused(files: dict[Path, str | bytes], *, force: bool = False) -> BadInput:
    with pytest.raises(BadInput) as raised:
        save_all(files, force=force)
    return raised.value


def test_a_file_is_written_whole_and_nothing_else_is_left(tmp_path: Path) -> None:
    save(tmp_path / "sheet.txt", "Küche\n")
    save(tmp_path / "pack.pdf", b"%PDF")
    assert (tmp_path / "sheet.txt").read_bytes() == "Küche\n".encode()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["pack.pdf", "sheet.txt"]


def test_what_shows_how_to_get_in_is_for_its_owner_alone(tmp_path: Path) -> None:
    old = tmp_path / "old.txt"
    old.write_text("readable by all")
    old.chmod(0o644)
    save_all({tmp_path / "sheet.txt": "x", old: "y"}, force=True)
    assert {path.stat().st_mode & 0o777 for path in tmp_path.iterdir()} == {0o600}


def test_an_existing_file_is_refused_without_force(tmp_path: Path) -> None:
    path = tmp_path / "sheet.txt"
    path.write_text("mine")
    (finding,) = refused({path: "new"}).findings
    assert "exists already" in finding.says
    assert "written over" in finding.fix
    assert "(--force)" in way_out(finding)
    assert path.read_text() == "mine"


def test_an_edit_in_place_keeps_the_rights(tmp_path: Path) -> None:
    path = tmp_path / "sheet.txt"
    path.write_text("old")
    path.chmod(0o640)
    save_edited(path, "new")
    assert path.read_text() == "new"
    assert path.stat().st_mode & 0o777 == 0o640


def test_force_follows_a_link_and_leaves_it_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    save(tmp_path / "link.txt", "new", force=True)
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


@pytest.mark.parametrize("place", ["folder", "device"])
def test_only_plain_files_are_replaced(tmp_path: Path, place: str) -> None:
    path = tmp_path if place == "folder" else Path(os.devnull)
    (finding,) = refused({path: "x"}, force=True).findings
    assert finding.fix == "give the name of a file"


def test_a_missing_folder_is_told_with_the_way_out(tmp_path: Path) -> None:
    (finding,) = refused({tmp_path / "none" / "sheet.txt": "x"}).findings
    assert "no such file or directory" in finding.says
    assert "make the folder first" in finding.fix


def test_of_a_set_every_refusal_is_told_and_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("mine")
    (tmp_path / "b").write_text("mine too")
    assert len(refused({tmp_path / "a": "1", tmp_path / "b": "2", tmp_path / "c": "3"}).findings) == 2
    assert not (tmp_path / "c").exists()


def test_of_a_set_nothing_is_written_if_the_last_cannot_be(tmp_path: Path) -> None:
    refused({tmp_path / "a": "1", tmp_path / "none" / "b": "2"})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="the limit is POSIX's")
def test_a_disk_that_takes_no_more_leaves_the_old_file_and_no_rest(tmp_path: Path) -> None:
    """The system's limit on a file's size cuts the writing off in the middle, as a full disk would."""
    (tmp_path / "pack.pdf").write_text("old and whole")
    code = (
        "import resource, sys\nfrom pathlib import Path\nfrom zonewright.desk.saving import save\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))\n"
        "save(Path(sys.argv[1]), b'x' * 20000, force=True)\n"
    )
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path / "pack.pdf")], capture_output=True, text=True)
    assert "BadInput" in done.stderr
    assert "can't be written" in done.stderr
    assert [(path.name, path.read_text()) for path in tmp_path.iterdir()] == [("pack.pdf", "old and whole")]


@pytest.mark.parametrize(
    ("number", "way_out"),
    [(errno.ENOSPC, "free some room"), (errno.EROFS, "can only be read"), (errno.EACCES, "choose one of your own")],
)
def test_what_the_disk_refuses_has_a_way_out(number: int, way_out: str) -> None:
    assert way_out in unwritable(Path("pack.pdf"), OSError(number, os.strerror(number))).fix


@pytest.mark.parametrize("name", ["site.yaml", "./here/../site.yaml", "link.yaml", "hard.yaml"])
def test_no_output_is_a_file_that_is_read_by_whatever_name_even_with_force(tmp_path: Path, name: str) -> None:
    site = tmp_path / "site.yaml"
    site.write_text("mine")
    (tmp_path / "here").mkdir()
    (tmp_path / "link.yaml").symlink_to("site.yaml")
    os.link(site, tmp_path / "hard.yaml")
    with pytest.raises(BadInput) as raised:
        save_all({tmp_path / name: b"%PDF", tmp_path / "other.html": "x"}, force=True, inputs=(site,))
    (finding,) = raised.value.findings
    assert finding.code == "SAVE-04"
    assert site.read_text() == "mine"
    assert not (tmp_path / "other.html").exists()


def test_two_outputs_are_never_one_file(tmp_path: Path) -> None:
    (tmp_path / "link.pdf").symlink_to("pack.pdf")
    (finding,) = refused({tmp_path / "pack.pdf": "a", tmp_path / "link.pdf": "b"}, force=True).findings
    assert finding.code == "SAVE-05"
    assert not (tmp_path / "pack.pdf").exists()


def test_a_file_that_came_into_being_meanwhile_is_never_written_over_on_a_disk_without_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the look and the writing somebody else saves under that name."""
    path = tmp_path / "sheet.txt"

    def no_links(_source: object, _target: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    def slow(hidden: Path, content: bytes) -> None:
        path.write_text("somebody else's")
        hidden.write_bytes(content)

    monkeypatch.setattr(os, "link", no_links)
    save(tmp_path / "other.txt", "plain")
    assert (tmp_path / "other.txt").read_text() == "plain"
    monkeypatch.setattr("zonewright.desk.saving.write_synced", slow)
    (finding,) = refused({path: "mine"}).findings
    assert finding.code == "SAVE-01"
    assert path.read_text() == "somebody else's"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["other.txt", "sheet.txt"]

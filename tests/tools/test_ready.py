"""The stamp of `.venv`: when it is ready and when not."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import first_run
import ready

TOOLS = Path(ready.__file__).parent


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project folder with both locks and a `.venv` that has no stamp."""
    (tmp_path / "requirements").mkdir()
    (tmp_path / "requirements" / "run.txt").write_text("click==1\n")
    (tmp_path / "requirements" / "dev.txt").write_text("click==1\npytest==1\n")
    (tmp_path / "pyproject.toml").write_text(
        '[project]\nname = "x"\n\n# Below this line nothing changes what is installed: ...\n[tool.ruff]\n'
    )
    (tmp_path / ".venv").mkdir()
    return tmp_path


def stamp(project: Path, kind: str, version: str = "3.11.7") -> None:
    (project / ".venv" / ".ready").write_text(ready.stamp(str(project), kind, version))


def test_a_folder_without_stamp_is_not_ready(project: Path) -> None:
    assert not ready.is_ready(str(project), "run", "3.11.7")


@pytest.mark.parametrize(
    ("made", "want", "serves"),
    [("run", "run", True), ("dev", "dev", True), ("dev", "run", True), ("run", "dev", False)],
)
def test_what_was_made_for_developers_serves_running_too(project: Path, made: str, want: str, serves: bool) -> None:
    stamp(project, made)
    assert ready.is_ready(str(project), want, "3.11.7") is serves


def test_a_changed_lock_is_noticed(project: Path) -> None:
    stamp(project, "run")
    (project / "requirements" / "run.txt").write_text("click==2\n")
    assert not ready.is_ready(str(project), "run", "3.11.7")


def test_a_changed_project_is_noticed_but_not_its_checkers_settings(project: Path) -> None:
    stamp(project, "run")
    text = (project / "pyproject.toml").read_text()
    (project / "pyproject.toml").write_text(text + "line-length = 120\n")
    assert ready.is_ready(str(project), "run", "3.11.7")
    (project / "pyproject.toml").write_text(text.replace('"x"', '"y"'))
    assert not ready.is_ready(str(project), "run", "3.11.7")


def test_line_ends_do_not_matter(project: Path) -> None:
    stamp(project, "run")
    (project / "requirements" / "run.txt").write_bytes(b"click==1\r\n")
    assert ready.is_ready(str(project), "run", "3.11.7")


def test_an_upgraded_python_is_noticed(project: Path) -> None:
    stamp(project, "run")
    assert not ready.is_ready(str(project), "run", "3.13.0")


def test_a_moved_folder_is_noticed(project: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    stamp(project, "run")
    moved = project.rename(tmp_path_factory.mktemp("elsewhere") / "moved")
    assert not ready.is_ready(str(moved), "run", "3.11.7")


def test_a_cut_off_stamp_is_not_ready(project: Path) -> None:
    whole = ready.stamp(str(project), "run", "3.11.7")
    (project / ".venv" / ".ready").write_text(whole[: len(whole) // 2])
    assert not ready.is_ready(str(project), "run", "3.11.7")


@pytest.mark.parametrize("name", ["ready.py", "first_run.py"])
def test_an_old_python_can_read_the_starting_files(name: str) -> None:
    source = (TOOLS / name).read_text(encoding="utf-8")
    ast.parse(source, feature_version=(3, 6))
    assert "from __future__" not in source


def test_the_projects_own_pyproject_has_the_line_that_ends_the_checksum() -> None:
    assert ready.UNINSTALLED in (TOOLS.parent / "pyproject.toml").read_bytes()


@pytest.mark.parametrize(
    ("said", "there", "told"),
    [
        ("", False, "first run"),
        ("", True, "cut off"),
        ("run\n{crc}\n{root}\n{version}\n", True, "developer's tools"),
        ("dev\n{crc}\n/somewhere/else\n{version}\n", True, "moved"),
        ("dev\n{crc}\n{root}\n3.9.1\n", True, "Python changed"),
        ("dev\n00000000\n{root}\n{version}\n", True, "list of packages changed"),
    ],
)
def test_the_reason_is_told(project: Path, said: str, there: bool, told: str) -> None:
    _, crc, root, version, _ = ready.stamp(str(project), "dev", ready.version_here()).split("\n")
    filled = said.format(crc=crc, root=root, version=version)
    assert told in first_run.reason(str(project), "dev", filled, there=there)

"""A first run: its errors, its lock, and (on CI) whole runs in folders of their own, without a network."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

import first_run
import ready

ROOT = Path(ready.ROOT)
POSIX = pytest.mark.skipif(os.name == "nt", reason="a POSIX shell and its signals")


@pytest.mark.parametrize(
    ("version", "told"),
    [((3, 9, 2), "needs 3.11 or newer"), ((3, 11, 2), "apt install python3-venv")],
)
def test_an_unfit_python_is_told_with_the_way_out(version: tuple[int, ...], told: str) -> None:
    message = first_run.unfit(version)
    assert ".".join(map(str, version)) in message
    assert told in message
    assert "do: " in message


@pytest.mark.parametrize(
    ("printed", "told"),
    [
        ("ERROR: Could not find a version\nERROR: No matching distribution found for click==8.5.1", "network"),
        ("OSError: [Errno 28] No space left on device", "disk is full"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.", "not the one that was locked"),
        ("ERROR: something new", "something new"),
    ],
)
def test_a_failed_step_is_told_with_the_way_out(printed: str, told: str) -> None:
    message = first_run.failure(printed)
    assert told in message
    assert "do: " in message
    assert printed.splitlines()[-1] in message


@POSIX
@pytest.mark.skipif(not Path("/proc/self").exists(), reason="needs a folder that nobody can write to, root included")
def test_a_folder_that_cannot_be_written_is_told_with_the_way_out() -> None:
    with pytest.raises(first_run.CannotPrepare, match="can't write in /proc/self") as told:
        first_run.prepare("/proc/self", "run")
    assert "copy the whole folder" in str(told.value)


def test_candidates_that_do_not_fit_end_in_what_to_install() -> None:
    with pytest.raises(first_run.CannotPrepare, match="do: install"):
        first_run.fit_python(["no-such-python"])


def test_a_python_that_does_not_run_has_no_version(tmp_path: Path) -> None:
    assert first_run.version_of(str(tmp_path / "python")) == ""
    assert first_run.version_of(sys.executable) == ready.version_here()


HOLDER = (
    "import first_run, sys\nwith first_run.alone(sys.argv[1]):\n    print('held', flush=True)\n    sys.stdin.read()\n"
)


@POSIX
def test_a_killed_holder_leaves_the_lock_free(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(tmp_path)],
        cwd=ROOT / "tools",
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        lock = os.open(tmp_path / ".venv.busy", os.O_RDWR)
        try:
            assert not first_run.take(lock, wait=False)
            holder.kill()
            holder.wait()
            assert first_run.take(lock, wait=False)
        finally:
            os.close(lock)


RUNNING = """
import sys
import ready
assert ready.shared(sys.argv[1])
print("running", flush=True)
sys.stdin.read()
"""


@POSIX
def test_nobody_clears_the_folder_under_a_running_start_and_many_run_at_once(tmp_path: Path) -> None:
    def start() -> subprocess.Popen[str]:
        command = [sys.executable, "-c", RUNNING, str(tmp_path)]
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
        return subprocess.Popen(command, cwd=ROOT / "tools", text=True, **pipes)  # type: ignore[call-overload, no-any-return]

    with start() as one, start() as other:
        for each in (one, other):
            assert each.stdout is not None
            assert each.stdout.readline() == "running\n"
        lock = os.open(tmp_path / ".venv.busy", os.O_RDWR)
        try:
            one.communicate()
            assert not first_run.take(lock, wait=False)
            other.communicate()
            assert first_run.take(lock, wait=False)
            assert not ready.shared(str(tmp_path))
        finally:
            os.close(lock)
    assert ready.shared(str(tmp_path / "none")), "a folder that isn't there is no reason to wait"


@POSIX
def test_the_lock_stays_held_while_a_step_that_outlived_its_run_goes_on(tmp_path: Path) -> None:
    """A killed run may leave pip behind, still writing: nobody may clear the folder under it."""
    step = "import sys; print('step', flush=True); sys.stdin.read()"
    with first_run.alone(str(tmp_path)) as lock:
        orphan = subprocess.Popen(
            [sys.executable, "-c", step],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            pass_fds=first_run.handed_on(lock),
        )
    with orphan:
        other = os.open(tmp_path / ".venv.busy", os.O_RDWR)
        try:
            assert not first_run.take(other, wait=False)
            orphan.kill()
            orphan.wait()
            assert first_run.take(other, wait=False)
        finally:
            os.close(other)


@POSIX
def test_no_python_at_all_is_told(tmp_path: Path) -> None:
    shutil.copy(ROOT / "zonewright", tmp_path)
    done = subprocess.run(
        ["/bin/sh", str(tmp_path / "zonewright")], env={"PATH": str(tmp_path)}, capture_output=True, text=True
    )
    assert done.returncode == 2
    assert "install Python 3.11 or newer" in done.stderr


needs_ready = pytest.mark.skipif(
    os.name == "nt" or not ready.is_ready(str(ROOT), "run", ready.version_here()),
    reason="the folder's own .venv isn't the one in use",
)


@needs_ready
def test_the_launcher_passes_every_argument_on_from_anywhere_and_by_a_link(tmp_path: Path) -> None:
    link = tmp_path / "a link"
    link.symlink_to(ROOT / "zonewright")
    word = 'it\'s a "word"  $HOME *'
    done = subprocess.run([link, word], cwd=tmp_path, capture_output=True, text=True)
    assert done.returncode == 2
    assert f"there is no verb {word!r}" in done.stderr
    assert done.stdout == ""


@needs_ready
def test_an_unknown_task_is_told(tmp_path: Path) -> None:
    done = subprocess.run([ROOT / "dev", "tset"], cwd=tmp_path, capture_output=True, text=True)
    assert done.returncode == 2
    assert "no task 'tset'" in done.stderr


# A project like this one, but with nothing to fetch: its build backend stands beside it.
BACKEND = """
import base64, hashlib, os, zipfile

def build_editable(wheel_directory, config_settings=None, metadata_directory=None):
    name = "zonewright-1-py3-none-any.whl"
    files = {
        "zonewright.pth": os.path.abspath("src") + "\\n",
        "zonewright-1.dist-info/METADATA": "Metadata-Version: 2.1\\nName: zonewright\\nVersion: 1\\n",
        "zonewright-1.dist-info/WHEEL": "Wheel-Version: 1.0\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n",
    }
    record = "".join(
        f"{n},sha256={base64.urlsafe_b64encode(hashlib.sha256(t.encode()).digest()).decode().rstrip('=')},{len(t)}\\n"
        for n, t in files.items()
    )
    files["zonewright-1.dist-info/RECORD"] = record + "zonewright-1.dist-info/RECORD,,\\n"
    with zipfile.ZipFile(os.path.join(wheel_directory, name), "w") as wheel:
        for n, t in files.items():
            wheel.writestr(n, t)
    return name
"""
whole_runs = pytest.mark.skipif(os.environ.get("CI") != "true" or os.name == "nt", reason="long: CI makes whole runs")


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A small project with the real launcher, in a folder whose name has spaces."""
    project = tmp_path / "my small project"
    (project / "tools").mkdir(parents=True)
    (project / "src" / "zonewright").mkdir(parents=True)
    (project / "requirements").mkdir()
    for name in ("zonewright", "tools/ready.py", "tools/first_run.py"):
        shutil.copy(ROOT / name, project / name)
    (project / "requirements" / "run.txt").write_text("# nothing\n")
    (project / "pyproject.toml").write_text(
        textwrap.dedent(
            """
            [build-system]
            requires = []
            build-backend = "backend"
            backend-path = ["."]
            [project]
            name = "zonewright"
            version = "1"
            """
        )
    )
    (project / "backend.py").write_text(BACKEND)
    (project / "src" / "zonewright" / "__init__.py").write_text("")
    (project / "src" / "zonewright" / "cli.py").write_text(
        "import sys\n\ndef main():\n    print(*map(repr, sys.argv[1:]), __file__)\n    return 1\n"
    )
    return project


def start(project: Path, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [project / "zonewright", *arguments],
        cwd="/",
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def run(project: Path, *arguments: str) -> tuple[int, str, str]:
    with start(project, *arguments) as process:
        out, told = process.communicate()
    return process.returncode, out, told


@whole_runs
def test_a_first_run_that_was_killed_is_mended_by_the_next_and_two_at_once_wait(small: Path) -> None:
    with start(small) as killed:
        assert killed.stderr is not None
        assert "first run" in killed.stderr.readline()
        assert "fetching" in killed.stderr.readline()
        os.killpg(killed.pid, signal.SIGKILL)
    assert not (small / ".venv" / ".ready").exists()

    with start(small, "a b", 'c"d', "$e") as one, start(small, "other") as two:
        first, second = one.communicate(), two.communicate()
    assert (one.returncode, two.returncode) == (1, 1)  # what the program itself returns
    assert first[0].startswith("'a b' 'c\"d' '$e' ")
    assert second[0].startswith("'other' ")
    told = first[1] + second[1]
    assert told.count("cut off") == 1
    assert told.count("waiting") == 1
    assert told.count("zonewright: ready") == 1

    made = {path: path.stat().st_mtime_ns for path in (small / ".venv" / ".ready", small / ".venv" / "pyvenv.cfg")}
    assert run(small)[2] == ""  # ready: silent, and nothing is made a second time
    assert {path: path.stat().st_mtime_ns for path in made} == made


@whole_runs
def test_a_moved_folder_and_a_vanished_python_are_mended(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    assert "first run" in run(small)[2]
    assert list((small / "src").rglob("*.pyc"))
    moved = small.rename(small.with_name("moved"))
    code, out, told = run(moved)
    assert code == 1
    assert str(moved) in out
    assert "moved or copied" in told

    python = moved / ".venv" / "bin" / "python"
    python.unlink()
    python.symlink_to("/nowhere/python3.10")
    code, out, told = run(moved)
    assert code == 1
    assert "making .venv afresh" in told

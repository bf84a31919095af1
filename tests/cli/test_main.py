"""What `zonewright` promises before and around any verb."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

import zonewright
from pages.verbs import page
from tests.cli.interrupts import heard
from zonewright.cli import main
from zonewright.cli.verbs import VERBS, Verb, Verbs
from zonewright.findings import BadInput, Finding, Place, Severity

ROOT = Path(__file__).parents[2]
READY = ROOT / "tools/ready.py"
DEMO = str(ROOT / "src/zonewright/cli/demo_files/larkfield.yaml")
HEAVY = ("pydantic", "rich", "yaml", "typst", "jsonschema", "importlib.metadata")


def program(act: Callable[[], int | None]) -> click.Group:
    """A program with the one verb `act`."""
    group = click.Group("zonewright")
    group.add_command(click.Command("act", callback=act))
    return group


def with_verbs(verbs: dict[str, Verb]) -> Verbs:
    """The program with another table of verbs."""
    group = Verbs("zonewright")
    group.verbs = verbs
    return group


def test_version_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"zonewright {zonewright.__version__}\n"


def test_help_imports_nothing_heavy() -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", "from zonewright.cli import main; main(['--help'])"],
        capture_output=True,
        text=True,
        check=True,
    )
    imported = {line.rpartition("|")[2].strip() for line in done.stderr.splitlines()}
    assert "click" in imported
    assert not {name for name in imported for heavy in HEAVY if name == heavy or name.startswith(f"{heavy}.")}


def test_every_verb_of_the_table_is_there_and_stages_stand_together() -> None:
    group = Verbs("zonewright")
    context = click.Context(group)
    for name in VERBS:
        assert group.get_command(context, name) is not None, name
    stages = [verb.stage for verb in VERBS.values()]
    assert len(set(stages)) == sum(a != b for a, b in zip(["", *stages], stages, strict=False))
    assert all(f"`{name}`" in page() for name in VERBS)


def test_help_lists_verbs_by_stage_without_importing_them(capsys: pytest.CaptureFixture[str]) -> None:
    verbs = {"check": Verb("Design", "no.such:module", "look"), "enter": Verb("Enter", "no.such:module", "key in")}
    assert main(["--help"], with_verbs(verbs)) == 0
    lines = [line.strip() for line in capsys.readouterr().out.splitlines()]
    assert lines.index("Design:") < lines.index("check  look") < lines.index("Enter:") < lines.index("enter  key in")


def test_an_unknown_verb_is_told_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["chekc"], with_verbs({"check": Verb("Design", "no.such:module", "look")})) == 2
    assert "there is no verb 'chekc'; did you mean check?" in capsys.readouterr().err


@pytest.mark.parametrize(("returned", "code"), [(None, 0), (0, 0), (1, 1)])
def test_a_verb_returns_the_exit_code(returned: int | None, code: int) -> None:
    assert main(["act"], program(lambda: returned)) == code


def test_bad_input_is_told_on_standard_error(capsys: pytest.CaptureFixture[str]) -> None:
    def act() -> None:
        raise BadInput([Finding("X", Severity.PROBLEM, "zone 7", "is double", Place("a.yaml", 4, 2), wrote="zone: 7")])

    assert main(["act"], program(act)) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err == "a.yaml:4:2  zone 7: is double\n    you wrote   zone: 7\n"


def test_ctrl_c_is_no_traceback(capsys: pytest.CaptureFixture[str]) -> None:
    def act() -> None:
        raise KeyboardInterrupt

    assert main(["act"], program(act)) == 130
    assert capsys.readouterr().err == "\nstopped; nothing was written\n"


def ended(code: str) -> tuple[int, str]:
    """How a process of its own ends that runs this code: its exit code, and what it says on standard error."""
    done = subprocess.run(
        [sys.executable, "-c", f"import builtins, os, signal, sys\n{code}"],
        capture_output=True, text=True, preexec_fn=heard, check=False,
    )  # fmt: skip
    return done.returncode, done.stderr


@pytest.mark.parametrize("module", ["click", "zonewright.cli.running", "zonewright.cli.verbs", "pathlib"])
def test_ctrl_c_while_it_begins_is_no_traceback(module: str) -> None:
    code = (
        "brought = builtins.__import__\n"
        "def bring(name, *how):\n"
        f"    if name == {module!r}: os.kill(os.getpid(), signal.SIGINT)\n"
        "    return brought(name, *how)\n"
        "builtins.__import__ = bring\n"
        "from zonewright.cli import main\n"
        "sys.argv[1:] = ['schema']\n"
        "sys.exit(main())"
    )
    assert ended(code) == (130, "\nstopped; nothing was written\n")


def test_ctrl_c_when_all_is_done_changes_nothing() -> None:
    code = (
        "from zonewright.cli import main\nsys.argv[1:] = ['--version']\ncode = main()\n"
        "os.kill(os.getpid(), signal.SIGINT)\nsys.exit(code)"
    )
    assert ended(code) == (0, "")


def test_ctrl_c_before_zonewright_is_found_is_no_traceback() -> None:
    code = (
        "import runpy\n"
        "os.path.realpath = lambda _: os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.argv[:] = ['ready.py', 'run', '--version']\n"
        f"runpy.run_path({str(READY)!r}, run_name='__main__')"
    )
    assert ended(code) == (130, "\nstopped\n")


@pytest.mark.parametrize(
    ("closed", "code", "told"),
    [
        ("<&-", 0, ("observed", "")),
        (">&-", 2, ("", "zonewright: standard output is closed, so there is nowhere to print\n")),
        ("2>&-", 0, ("observed", "")),
        (">&- 2>&-", 2, ("", "")),
        ("<&- >&- 2>&-", 2, ("", "")),
        ("> /dev/full", 2, ("", "zonewright: No space left on device\n")),
    ],
)
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a system without /dev/full")
def test_a_closed_or_full_stream_is_no_traceback(closed: str, code: int, told: tuple[str, str]) -> None:
    verb = "from zonewright.cli import main; import sys; sys.exit(main())"
    command = f'"$0" -c "$1" diagnose "$2" --saw "back door opens: chime" {closed}'
    done = subprocess.run(["/bin/sh", "-c", command, sys.executable, verb, DEMO], capture_output=True, text=True)
    assert (done.returncode, done.stdout[:8], done.stderr) == (code, *told)


def test_what_the_system_refuses_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    def act() -> None:
        raise OSError(errno.EACCES, os.strerror(errno.EACCES), "plan.yaml")

    assert main(["act"], program(act)) == 2
    assert capsys.readouterr().err == "zonewright: plan.yaml: Permission denied\n"


def test_a_mistake_of_ours_is_not_hidden() -> None:
    def act() -> None:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        main(["act"], program(act))


@pytest.mark.parametrize("lines", [1, 100_000])
def test_a_closed_pipe_is_quiet(lines: int) -> None:
    code = (
        "import click, sys\nfrom zonewright.cli import main\n"
        "group = click.Group('zonewright')\n"
        f"group.add_command(click.Command('act', callback=lambda: [print('line') for _ in range({lines})] and None))\n"
        "sys.stdin.readline()\n"
        "sys.exit(main(['act'], group))\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        process.stdin.write(b"go\n")
        process.stdin.close()
        told = process.stderr.read()
    assert process.returncode == 141
    assert told == b""

"""The developer's tasks: `./dev test`, `./dev quick`, `./dev bench`, `./dev docs`, `./dev lock`.

Rules of this file:
1. A task is a list of steps, each a headline and a command; the first that fails ends the task with its exit code.
2. Everything runs from the root of the project with the Python of `.venv`.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CORE = "behaviour"  # the rooms from the ground up to this one are the core: everything else stands on them
LOCKING = (
    *("--universal", "--python-version", "3.11", "--generate-hashes", "--no-header", "--quiet"),
    *("--no-emit-index-url", "--no-emit-find-links"),  # no address of a registry in the repository
)

# Each core runs files of tests; a file stays in one process, for what its tests share.
PYTEST = ("-m", "pytest", "--numprocesses=auto", "--dist=loadfile")

SITE = ("-m", "properdocs")  # where it is served stands in properdocs.yml

# import-linter has no `python -m` form, and its picture needs no reader.
LINT_IMPORTS = "from importlinter.cli import lint_imports as lint; raise SystemExit(lint(no_logo=True))"


@dataclass(frozen=True, slots=True)
class Step:
    """One command of a task: what follows the name of the Python."""

    headline: str
    command: tuple[str, ...]


def test(more: Sequence[str]) -> list[Step]:
    """All gates, the tests last; further arguments go to pytest."""
    return [*gates(), Step("rooms: who may import whom", ("-c", LINT_IMPORTS)), Step("tests", (*PYTEST, *more))]


def quick(more: Sequence[str]) -> list[Step]:
    """Lint, types and tests with few examples, of the core rooms or of those named first; the rest goes to pytest."""
    named = list(takewhile(has_tests, more))
    tests = [f"tests/{room}" for room in named or filter(has_tests, core_rooms())]
    return [*gates(), Step("tests", (*PYTEST, "--hypothesis-profile=quick", *tests, *more[len(named) :]))]


def has_tests(room: str) -> bool:
    """Return whether a word is the name of a room with tests of its own."""
    return room.isidentifier() and (ROOT / "tests" / room).is_dir()


def gates() -> list[Step]:
    """Return what is looked at before any test runs."""
    return [
        Step("lint", ("-m", "ruff", "check", ".")),
        Step("format (mend: ruff format)", ("-m", "ruff", "format", "--check", ".")),
        Step("types", ("-m", "mypy")),
    ]


def core_rooms() -> list[str]:
    """Return the rooms from the ground up to the panel model, as the table of rooms has them."""
    table, *_ = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]["contracts"]
    rooms = [row.partition(":")[0] for row in table["rows"]]
    return rooms[: rooms.index(CORE) + 1]


def bench(more: Sequence[str]) -> list[Step]:
    """The benchmarks; further arguments choose among them."""
    return [Step("benchmarks", ("-m", "benchmarks", *more))]


def docs(more: Sequence[str]) -> list[Step]:
    """Write the generated pages of docs/; --site builds the site into build/docs, --serve serves it on this machine."""
    wanted = argparse.ArgumentParser("./dev docs", description=docs.__doc__)
    wanted.add_argument("--site", action="store_true")
    wanted.add_argument("--serve", action="store_true")
    asked = wanted.parse_args(more)
    steps = [Step("generated pages", ("tools/docs.py",))]
    if asked.site:
        steps.append(Step("site in build/docs", (*SITE, "build", "--strict", "--quiet")))
    if asked.serve:
        steps.append(Step("site at http://127.0.0.1:8000, until Ctrl-C", (*SITE, "serve", "--strict", "--quiet")))
    return steps


def lock(more: Sequence[str]) -> list[Step]:
    """Pins every package with its hashes, run's choices being dev's; `--upgrade` takes newer ones."""
    compiling = ("-m", "uv", "pip", "compile", "pyproject.toml", *LOCKING, *more)
    return [
        Step("requirements/dev.txt", (*compiling, "--group", "dev", "-o", "requirements/dev.txt")),
        Step(
            "requirements/run.txt",
            (*compiling, "--group", "build", "-c", "requirements/dev.txt", "-o", "requirements/run.txt"),
        ),
        Step(
            "requirements/solver.txt",
            (*compiling, "--group", "second-solver", "-c", "requirements/dev.txt", "-o", "requirements/solver.txt"),
        ),
    ]


TASKS: dict[str, Callable[[Sequence[str]], list[Step]]] = {
    "test": test, "quick": quick, "bench": bench, "docs": docs, "lock": lock,
}  # fmt: skip


def usage() -> str:
    """Return the tasks, one a line."""
    lines = [f"  ./dev {name:6}{(task.__doc__ or '').strip()}" for name, task in TASKS.items()]
    return "\n".join(["Tasks for developers:", *lines, ""])


def run(steps: Sequence[Step], root: Path) -> int:
    """Run the steps one after the other; return the exit code of the first that fails, else 0."""
    for step in steps:
        print(f"\n== {step.headline}", flush=True)
        code = subprocess.call([sys.executable, *step.command], cwd=root)
        if code != 0:
            print(f"\n== {step.headline}: failed", file=sys.stderr, flush=True)
            return code
    return 0


def main(arguments: Sequence[str]) -> int:
    """Run one task by name."""
    if not arguments or arguments[0] in ("-h", "--help"):
        print(usage(), end="")
        return 0 if arguments else 2
    name, *more = arguments
    if name not in TASKS:
        print(f"dev: there is no task {name!r}\n{usage()}", file=sys.stderr, end="")
        return 2
    try:
        return run(TASKS[name](more), ROOT)
    except KeyboardInterrupt:
        print("dev: stopped", file=sys.stderr)
        return 130

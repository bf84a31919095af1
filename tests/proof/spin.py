"""Running SPIN on a model: making its verifier, and asking it."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
from dataclasses import dataclass
from pathlib import Path

from tests.proof.promela import Model

PACKAGES = {"spin": "spin", "gcc": "gcc libc6-dev"}  # programs, each with the Debian packages it takes

COMPILED = ("-O2", "-DSAFETY", "-DNOREDUCE")
SMALL = ("-w20",)  # of the verifier: room for a million states from the start


@dataclass(frozen=True, slots=True)
class Found:
    """What one run of a verifier found."""

    broken: bool  # the promise broke
    stopped: str  # by what, before it had looked at everything or seen the promise break; empty: by nothing
    came: bool  # it came to the case of the promise
    controls: frozenset[int]  # reached, by number
    states: int


def missing() -> list[str]:
    """Return the packages of the programs that aren't here."""
    return [package for program, package in PACKAGES.items() if shutil.which(program) is None]


def verifier(model: Model, folder: Path, *options: str) -> Path:
    """Return the compiled verifier of a model, made in a folder with these options of the compiler."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "panel.pml").write_text(model.text, encoding="utf-8")
    (folder / "tables.h").write_text(model.tables, encoding="utf-8")
    _run(folder, "spin", "-a", "panel.pml")
    _run(folder, "gcc", *COMPILED, *options, "-w", "-o", "pan", "pan.c")
    return folder / "pan"


def _run(folder: Path, *command: str) -> None:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    if done.returncode or "rror" in done.stdout:  # spin tells some errors with a good exit code
        raise ValueError(f"{command[0]} refused the model: {done.stdout}{done.stderr}")


def verify(pan: Path, promise: int | None = None, *options: str, limit: float = 60.0) -> Found:
    """Run a verifier, watching a promise or none, for at most so many seconds [s]."""
    chosen = {} if promise is None else {"PROMISE": str(promise)}
    running = subprocess.Popen(
        [pan, *(options or SMALL)], cwd=pan.parent, env={**os.environ, **chosen}, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    )  # fmt: skip
    late = False
    try:
        told, _ = running.communicate(timeout=limit)
    except subprocess.TimeoutExpired:
        late = True
        running.send_signal(signal.SIGINT)  # then it tells how far it came
        told, _ = running.communicate()

    def number(pattern: str) -> int:
        found = re.search(pattern, told)
        if found is None:
            raise ValueError(f"the verifier didn't come to its end: {told}")
        return int(float(found[1]))  # from a hundred millions on it is told with an exponent

    broken = number(r"errors: (\d+)") > 0
    bounds = {"the limit of time": late, "the limit of memory": "reached -DMEMLIM bound" in told,
              "the limit of depth": "max search depth too small" in told}  # fmt: skip
    stopped = "" if broken else next((name for name, hit in bounds.items() if hit), "")
    if not (broken or stopped) and "Search not completed" in told:
        raise ValueError(f"the verifier stopped: {told}")
    controls = re.findall(r"\d+", told.partition("controls reached:")[2].partition("\n")[0])
    states = number(r"(\d[\d.e+]*) states, stored")
    return Found(broken, stopped, number(r"came to it: (\d)") == 1, frozenset(map(int, controls)), states)

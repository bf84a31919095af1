"""Running SPIN on a model: making its verifier, and asking it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.behaviour.promela import Model

PACKAGES = {"spin": "spin", "gcc": "gcc"}  # programs, each with the Debian package it comes in

_COMPILED = ("-O2", "-DSAFETY", "-DNOREDUCE", "-DBFS", "-w")


@dataclass(frozen=True, slots=True)
class Found:
    """What one run of a verifier found."""

    broken: bool  # an assertion was violated
    whole: bool  # it looked at everything, or at enough to see that
    came: bool  # it came to the case of the promise
    controls: frozenset[int]
    states: int
    seconds: float


def missing() -> list[str]:
    """Return the packages that aren't here."""
    return [package for program, package in PACKAGES.items() if shutil.which(program) is None]


def verifier(model: Model, folder: Path, *options: str) -> Path:
    """Return the compiled verifier of a model."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "panel.pml").write_text(model.text, encoding="utf-8")
    (folder / "tables.h").write_text(model.tables, encoding="utf-8")
    for command in (["spin", "-a", "panel.pml"], ["gcc", *_COMPILED, *options, "-o", "pan", "pan.c"]):
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
        assert done.returncode == 0 and (folder / "pan.c").exists(), done.stdout + done.stderr
    return folder / "pan"


def verify(pan: Path, promise: int | None = None, options: Sequence[str] = ("-w20",), limit: float = 60.0) -> Found:
    """Run a verifier, watching a promise or none, for so many seconds [s] at most."""
    chosen = {} if promise is None else {"PROMISE": str(promise)}
    start = time.perf_counter()
    running = subprocess.Popen(
        [pan, "-m1000000", *options], cwd=pan.parent, env={**os.environ, **chosen}, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    )  # fmt: skip
    try:
        told, _ = running.communicate(timeout=limit)
        stopped = False
    except subprocess.TimeoutExpired:
        running.send_signal(2)  # then it tells how far it came
        told, _ = running.communicate()
        stopped = True
    took = time.perf_counter() - start
    print(told)
    errors, states = re.search(r"errors: (\d+)", told), re.search(r"(\d+) states, stored", told)
    controls, came = re.search("controls reached:([0-9 ]*)", told), re.search(r"came to it: (\d)", told)
    assert errors and states and controls and came, told
    broken = errors[1] != "0"
    whole = broken or not (stopped or "error:" in told or "Search not completed" in told)
    return Found(broken, whole, came[1] == "1", frozenset(map(int, controls[1].split())), int(states[1]), took)

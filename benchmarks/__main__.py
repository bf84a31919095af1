"""Prints how long check, matrix, enter and walk take for 32 and 200 zones, then proofs, diagnoses and SPIN."""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from benchmarks import diagnosing, proving, spin
from benchmarks.houses import house
from zonewright.behaviour.setup import setup_of
from zonewright.checks.check import check
from zonewright.entry.sheets.sheet import whole
from zonewright.panel.opening import open_site
from zonewright.words.matrix import matrix

RUNS = 5
WALKS = 2  # a walk takes long
SPIN_S = 30.0  # for each run of SPIN; by itself (`python -m benchmarks.spin`) it is given five minutes
SIZES = (32, 200)
AIMS = {32: 0.6, 200: 2.0}  # seconds for each verb, whole process
AIMS_OF_WALK = {32: 5.0, 200: 60.0}


def main() -> None:
    """Measure and print."""
    print(f"{'zones':>5}  {'verb':8}  {'whole process':>14}  {'in process':>11}  {'aim':>6}   (median of {RUNS}, s)")
    with tempfile.TemporaryDirectory() as folder:
        for size in SIZES:
            site = Path(folder) / f"house-{size}.yaml"
            site.write_text(house(size), encoding="utf-8")
            for verb, work in works(site).items():
                outside = median(partial(run, [sys.executable, "-m", "zonewright", verb, str(site)]))
                print(f"{size:>5}  {verb:8}  {outside:14.2f}  {median(work):11.3f}  {AIMS[size]:6.1f}")
            outside = median(partial(run, [sys.executable, "-m", "zonewright", "walk", str(site)]), WALKS)
            print(f"{size:>5}  {'walk':8}  {outside:14.2f}  {'':11}  {AIMS_OF_WALK[size]:6.1f}")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"largest process: {peak:.0f} MiB\n")
    proving.main()
    print()
    diagnosing.main()
    print()
    spin.main(limit=SPIN_S)


def works(site: Path) -> dict[str, Callable[[], object]]:
    """Return each verb's work without start-up, reading and printing."""
    resolved = open_site(site)
    return {
        "check": lambda: check(resolved),
        "matrix": lambda: matrix(setup_of(resolved.programme, resolved.profile)),
        "enter": lambda: whole(resolved.profile, resolved.programme),
    }


def median(work: Callable[[], object], runs: int = RUNS) -> float:
    """Return the median time of some runs after one that isn't counted."""
    times = []
    for _ in range(runs + 1):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def run(command: list[str]) -> None:
    """Run a command to its end; findings (exit code 1) are fine, anything worse isn't."""
    done = subprocess.run(command, capture_output=True, check=False)
    if done.returncode > 1:
        raise SystemExit(done.stderr.decode())


if __name__ == "__main__":
    main()

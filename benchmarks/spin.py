"""Prints how long it takes to one verdict on a small house: our proof, and SPIN's compiled verifier, at several ticks.

python -m benchmarks.spin [--limit SECONDS] [--memory MB]

SPIN is given one core, five minutes and 8 GB for each line if nothing else is said; it needs the Debian packages spin
and gcc. It looks at two models of the house, neither of which remembers anything of single devices:
 - whole: all of the area's timers count down, as one would write the panel down for SPIN;
 - slice: only the timers that our proof kept for this promise. That the others may be left out is our work, not SPIN's.
Made before the clock starts: the tables, the model, the verifier. Ours starts from nothing each time. Seconds are the
processor's; the limit is by the clock.

The promise is the entry door's: disarmed within so many seconds of its alarm, no message of it leaves. With an abort
window of 30 s these are 29; at a tick of T seconds they can only be 30 - T, for both.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from tests.behaviour.house import COTTAGE, DOOR
from tests.behaviour.promela import Table, model
from tests.behaviour.spin import Found, missing, verifier, verify
from zonewright.behaviour.events import Timer, TimerKind
from zonewright.behaviour.observers import Quiet
from zonewright.behaviour.properties import Promise, promises
from zonewright.behaviour.prove import prove
from zonewright.behaviour.refine import Result
from zonewright.behaviour.slices import Slice
from zonewright.behaviour.unknowns import Fact

TICKS = (30, 15, 5, 1)
AIM = 1_000  # times sooner, the whole house at 1 s
RUNS = 5  # of ours
DEPTH = 10_000_000  # how many steps the verifier may go down at a tick of a second
MODELS: dict[str, frozenset[Fact]] = {
    "whole": frozenset({("runs", Timer(TimerKind.CANCEL, 1)), ("runs", Timer(TimerKind.SIREN, 0))}),
    "slice": frozenset(),
}


def main(limit: float = 300.0, memory: int = 8192) -> None:
    """Measure and print; so many seconds [s] and so much memory [MB] for each run of SPIN."""
    if missing():
        print(f"not measured: SPIN's verifier needs {' and '.join(missing())}")
        return
    print(f"SPIN: at most {limit:.0f} s and {memory} MB a line; ours: median of {RUNS}, whole proof from nothing")
    print("model  tick s  made s       states   SPIN s  controls  ours s    ratio")
    for name, kept in MODELS.items():
        most = 0
        for tick in TICKS:
            promise = told_to(tick)
            start = time.perf_counter()
            table = Table(Slice(COTTAGE, promise.areas, named=frozenset(promise.zones)).keeping(promise.focus | kept))
            with tempfile.TemporaryDirectory() as folder:
                made = model(table, [promise], "small house")
                pan = verifier(made, Path(folder), f"-DMEMLIM={memory}")
                built = time.perf_counter() - start
                start = of_children()
                found = verify(pan, 0, f"-m{DEPTH // tick}", limit=limit)
                took = of_children() - start
            assert made.tick == tick
            assert not found.broken
            most = max(most, len(found.controls))  # the coarsest tick finds all
            print(line(name, tick, built, found, took, most, ours(promise)), flush=True)


def told_to(tick: int) -> Promise:
    """Return the promise, as it can be told with such a tick [s]."""
    (abort,) = (each for each in promises(COTTAGE) if each.kind == "abort" and each.zones == (DOOR,))
    assert isinstance(abort.observer, Quiet)
    return replace(abort, observer=replace(abort.observer, within=COTTAGE.settings.abort_window - tick))


def of_children() -> float:
    """Return the processor's seconds of all processes that were started and are over."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def ours(promise: Promise) -> float:
    """Return how long it takes to prove it."""
    times = []
    for _ in range(RUNS):
        start = time.process_time()
        (verdict,) = prove(COTTAGE, [promise])
        times.append(time.process_time() - start)
        assert verdict.settled.result is Result.HOLDS
    return statistics.median(times)


def line(name: str, tick: int, built: float, found: Found, took: float, most: int, ours_s: float) -> str:
    """Return one line of the table."""
    ratio = took / ours_s
    aim = f"  aim {AIM:,}" if (name, tick) == ("whole", 1) else ""
    end = aim if found.whole else f"  stopped, no verdict{aim}"
    controls, more = f"{len(found.controls)}/{most}", " " if found.whole else ">"
    return (
        f"{name:6} {tick:>6} {built:7.1f} {found.states:>12,} {took:8.2f} {controls:>9} {ours_s:7.3f} "
        f"{more}{ratio:7,.1f}{end}"
    )


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description="Compare our proof with SPIN's verifier.")
    asked.add_argument("--limit", type=float, default=300.0, help="seconds for each run of SPIN")
    asked.add_argument("--memory", type=int, default=8192, help="MB for each run of SPIN")
    chosen = asked.parse_args()
    main(chosen.limit, chosen.memory)

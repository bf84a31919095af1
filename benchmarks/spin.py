"""Prints how long it takes to one verdict on a small house: our proof, and SPIN's compiled verifier, at several ticks.

python -m benchmarks.spin [--limit SECONDS] [--memory MB]

SPIN is given one core, five minutes and 8 GB for each line if nothing else is said; it needs the Debian packages spin
and gcc. It looks at two models of the house, neither of which remembers anything of single devices:
 - whole: all of the area's timers count down, as one would write the panel down for SPIN;
 - slice: only the timers that our proof kept for this promise. That the others may be left out is our work, not SPIN's.
Made before SPIN's clock starts: the tables, the model, the verifier. Ours is timed twice: the whole proof from nothing,
and, as SPIN is, with its tables made. Seconds are the processor's; the limit is by the clock.

The promise is the entry door's: disarmed within so many seconds of its alarm, no message of it leaves. With an abort
window of 30 s these are 29; at a tick of T seconds they can only be 30 - T, for both.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from tests.behaviour.house import COTTAGE, DOOR
from tests.proof.promela import Table, model
from tests.proof.spin import missing, verifier, verify
from tests.proof.ticks import exactly
from zonewright.behaviour.events import Timer, TimerKind
from zonewright.proof.promises.own_messages import CalledOff
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import prove
from zonewright.proof.prover.explore import Cover
from zonewright.proof.prover.facts import Fact
from zonewright.proof.prover.refine import Goal, Ground, Settled, VerdictKind, settle
from zonewright.proof.prover.slices import Slice, whole_panel

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
    print(f"SPIN: at most {limit:.0f} s and {memory} MB a line; ours: median of {RUNS}")
    print(f"{'':44}   {'whole proof':>16}  {'tables made':>16}")
    print("model tick s made s      states   SPIN s controls   ours s    ratio   ours s    ratio")
    for name, kept in MODELS.items():
        part = Slice(COTTAGE, promise_at(1).areas, named=frozenset({DOOR})).keeping(kept)
        table = Table(part)
        start = time.process_time()
        exact = exactly(part, table.timers)
        took = time.process_time() - start
        for tick in TICKS:
            print(line(name, table, promise_at(tick), tick, len(exact.reached), limit, memory), flush=True)
        print(f"{name}, ours with every timer tracked: {len(exact.reached)} controls, {exact.sets} sets, {took:.2f} s")


def line(name: str, table: Table, promise: Promise, tick: int, controls: int, limit: float, memory: int) -> str:
    """Return one line of the table."""
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        made = model(table, [promise], "small house")
        pan = verifier(made, Path(folder), f"-DMEMLIM={memory}")
        built = time.perf_counter() - start
        before = of_children()
        found = verify(pan, 0, f"-m{DEPTH // tick}", limit=limit)
        took = of_children() - before
    assert made.tick == tick
    assert not found.broken
    controls_seen = f"{len(found.controls)}/{controls}"
    more = ">" if found.stopped else " "
    compared = "  ".join(
        f"{ours_s:7.3f} {more}{took / ours_s:7,.1f}" for ours_s in (from_nothing(promise), again(promise))
    )
    aim = f"  aim {AIM:,}" if (name, tick) == ("whole", 1) else ""
    stopped = f"  stopped by {found.stopped}" if found.stopped else ""
    return f"{name} {tick:>6} {built:6.1f} {found.states:>11,} {took:8.2f} {controls_seen:>8}  {compared}{stopped}{aim}"


def promise_at(tick: int) -> Promise:
    """Return the promise, as it can be told with such a tick [s]."""
    (abort,) = (each for each in promises(COTTAGE) if each.kind == "abort" and each.zones == (DOOR,))
    assert isinstance(abort.observer, CalledOff)
    return replace(abort, observer=replace(abort.observer, within=COTTAGE.settings.abort_window - tick))


def of_children() -> float:
    """Return the processor's seconds of all processes that were started and are over."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def from_nothing(promise: Promise) -> float:
    """Return how long it takes to prove it, what `step` does not being known."""
    return median(lambda: next(iter(prove(COTTAGE, [promise]))).settled)


def again(promise: Promise) -> float:
    """Return how long it takes to search for a run that breaks it, once the tables are made."""
    ground = Ground(
        Cover(Slice(COTTAGE, promise.areas, named=frozenset(promise.zones))), Window().limits, whole_panel(COTTAGE)
    )
    question = Goal(promise.observer, promise.root, zones=promise.zones)
    settle(ground, question)
    return median(lambda: settle(ground, question))


def median(work: Callable[[], Settled]) -> float:
    """Return the median time of some runs that find that the promise holds."""
    times = []
    for _ in range(RUNS):
        start = time.process_time()
        settled = work()
        times.append(time.process_time() - start)
        assert settled.result is VerdictKind.HOLDS
    return statistics.median(times)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description="Compare our proof with SPIN's verifier.")
    asked.add_argument("--limit", type=float, default=300.0, help="seconds for each run of SPIN")
    asked.add_argument("--memory", type=int, default=8192, help="MB for each run of SPIN")
    chosen = asked.parse_args()
    main(chosen.limit, chosen.memory)

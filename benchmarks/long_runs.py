"""Holds what is proved of large irregular sites against long random runs of the whole panel, and prints what was found.

python -m benchmarks.long_runs [SITES] [SECONDS-OF-PROVING-EACH] [EVENTS-EACH] [FIRST-SEED]

Rules of this file:
1. Each site is proved for so many processor seconds at most: what isn't settled by then isn't watched.
2. A site is the same text every time, and so are its runs.
"""

from __future__ import annotations

import gc
import random
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from benchmarks.irregular import Size, site, write
from tests.proof.outside import run_of
from tests.proof.watching import Watched, watch
from zonewright.behaviour.acts import with_acts
from zonewright.behaviour.setup import AreaNumber, Setup, setup_of
from zonewright.panel.opening import open_site
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import Verdict, looked_at, prove
from zonewright.proof.prover.refine import VerdictKind

LARGE = range(20, 76)  # zones
RUN = 2000  # events of one run


@dataclass(frozen=True, slots=True)
class Found:
    """What was proved of one site, and what its runs showed of it."""

    promises: int
    verdicts: Sequence[Verdict]
    watched: Sequence[Watched]
    events: int
    proved_s: float
    watched_s: float

    @property
    def came(self) -> int:
        """Return how many of the verdicts watched the runs came to."""
        return sum(each.came > 0 for each in self.watched)

    @property
    def broken(self) -> list[str]:
        """Return what a run spoke against, and when."""
        return [
            f"{each.verdict.promise.name}: {each.verdict.settled.result.value}, but broken at {each.broken_at} s"
            for each in self.watched
            if each.broken_at is not None
        ]


def sizes(first: int, zones: Sequence[int] = LARGE) -> Iterator[Size]:
    """Give one size after the other, each site more or less tangled than the last."""
    for seed in range(first, sys.maxsize):
        chance = random.Random(f"long runs {seed}")
        count, areas = chance.choice(zones), chance.randint(2, 5)
        shared, pairs = chance.randint(1, 2 + count // 10), chance.randint(0, 1 + count // 12)
        name = f"{count} zones, {areas} areas, {shared} shared"
        yield Size(name, count, areas, shared, pairs, chance.randint(1, 3), seed)


def asked_of_site(size: Size) -> tuple[Setup, tuple[Promise, ...]]:
    """Return the panel of a generated site, and all that it promises."""
    with tempfile.TemporaryDirectory() as folder:
        resolved = open_site(write(Path(folder), site(size)))
    setup = with_acts(setup_of(resolved.programme, resolved.profile), resolved)
    return setup, asked_of(resolved, setup, Window())


def proved_within(setup: Setup, asked: Sequence[Promise], seconds: float) -> list[Verdict]:
    """Return what is settled in so many processor seconds, shared evenly by all that is looked at apart."""
    groups: dict[frozenset[AreaNumber], list[Promise]] = {}
    for promise in asked:
        groups.setdefault(looked_at(setup, promise), []).append(promise)
    start, found = time.process_time(), list[Verdict]()
    for left, mine in zip(range(len(groups), 0, -1), groups.values(), strict=True):
        share = (start + seconds - time.process_time()) / left
        with suppress(OutOfTime), at_most(share):
            for verdict in prove(setup, mine):
                found.append(verdict)
        gc.collect()  # what was looked at holds itself
    return found


class OutOfTime(Exception):
    """The time that was allowed is spent."""


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """Raise `OutOfTime` once so much processor time is spent [s]."""

    def stop(_signal: int, _frame: object) -> None:
        raise OutOfTime

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, max(seconds, 0.001))
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def hold(size: Size, seconds: float, events: int) -> Found:
    """Prove a site and hold the verdicts against runs of so many events."""
    setup, asked = asked_of_site(size)
    chance = random.Random(f"runs of {size.name} {size.seed}")
    start = time.process_time()
    verdicts = proved_within(setup, asked, seconds)
    proved = time.process_time()
    runs = [run_of(setup, chance, RUN) for _ in range(max(1, events // RUN))]
    watched = watch(setup, verdicts, runs)
    gave = sum(map(len, runs))
    return Found(len(asked), verdicts, watched, gave, proved - start, time.process_time() - proved)


def main(sites: int = 50, seconds: float = 60.0, events: int = 20_000, first: int = 1) -> int:
    """Judge so many sites, a row each; return 1 if a run breaks what is said to hold."""
    print(
        f"{'site':32}  {'seed':>4}  {'promises':>8}  {'settled':>7}  {'holds':>5}  {'watched':>7}  {'came':>5}"
        f"  {'events':>7}  {'broken':>6}  {'proved s':>8}  {'watched s':>9}"
    )
    wrong = 0
    for size, _ in zip(sizes(first), range(sites), strict=False):
        found = hold(size, seconds, events)
        results = [each.settled.result for each in found.verdicts]
        settled, holds = len(results) - results.count(VerdictKind.UNDECIDED), results.count(VerdictKind.HOLDS)
        print(
            f"{size.name:32}  {size.seed:4}  {found.promises:8}  {settled:7}  {holds:5}"
            f"  {len(found.watched):7}  {found.came:5}  {found.events:7}  {len(found.broken):6}"
            f"  {found.proved_s:8.0f}  {found.watched_s:9.0f}",
            flush=True,
        )
        for each in found.broken:
            print(f"  {each}", flush=True)
        wrong += len(found.broken)
    return 1 if wrong else 0


if __name__ == "__main__":
    given = sys.argv[1:]
    defaults = ["50", "60", "20000", "1"]
    sites, seconds, events, first = [*given, *defaults[len(given) :]]
    sys.exit(main(int(sites), float(seconds), int(events), int(first)))

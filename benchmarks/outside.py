"""Prints what a judge from outside finds of proofs: random panels, each statement of the owner's, long random runs.

python -m benchmarks.outside [SITES-OF-EACH-PANEL] [FIRST-SEED] [PANEL ...]
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence

from tests.proof.outside import PANELS, Tally, judge


def main(of_each: int = 1000, first: int = 0, panels: Sequence[str] = PANELS) -> int:
    """Judge so many sites of each panel, a row for each hundred of them; return 1 if anything is contradicted."""
    head = f"{'panel':8}  {'sites':>5}  {'statements':>10}  {'events':>9}  {'holds':>6}  {'fails':>6}"
    print(f"{head}  {'empty':>6}  {'undecided':>9}  {'same second':>11}  {'contradicted':>12}  {'s':>6}")
    wrong = 0
    for name in panels:
        tally, start = Tally(), time.process_time()
        for seed in range(first, first + of_each):
            known = len(tally.contradictions)
            judge(name, seed, tally)
            for each in tally.contradictions[known:]:
                print(f"  {each}", flush=True)
            if tally.panels % 100 == 0 or tally.panels == of_each:
                row(name, tally, time.process_time() - start)
        wrong += len(tally.contradictions)
    return 1 if wrong else 0


def row(name: str, tally: Tally, took: float) -> None:
    """Print what was found so far of one panel."""
    count = tally.results
    print(
        f"{name:8}  {tally.panels:5}  {tally.statements:10}  {tally.events:9}  {count['holds']:6}"
        f"  {count['fails']:6}  {count[EMPTY]:6}  {count['undecided']:9}  {tally.same_second:11}"
        f"  {len(tally.contradictions):12}  {took:6.0f}",
        flush=True,
    )


EMPTY = "holds only because it can't come to it"

if __name__ == "__main__":
    given = [*sys.argv[1:3], *("1000", "0")[len(sys.argv[1:3]) :]]
    sys.exit(main(int(given[0]), int(given[1]), sys.argv[3:] or PANELS))

"""What was proved of the panel, for the pack: every promise with its verdict, every failure with its timeline.

Rules of this file:
1. Nothing is left out because it holds: a proof is worth what it says.
2. A verdict stands as it was given; what it rests on stands in one sentence above.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from zonewright.behaviour.setup import Setup
from zonewright.documents.records import BigNumber, Drawing, ProofGroup, ProofRow, Proved
from zonewright.documents.timeline_drawing import timeline_drawing
from zonewright.proof.promises.late import too_late
from zonewright.proof.promises.promise import KINDS
from zonewright.proof.promises.provisos import SCOPE as ASSUMED
from zonewright.proof.prove import Verdict
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.record import span
from zonewright.words.tracks import Names, called, tracks

EXACT = "with the panel's timers exact to the second"
SCOPE = (
    "Every state that the panel model can come to was looked at{but}, {timers}, with {assumed}. A proof is about the "
    "programming: it is no test of what hangs on the wall."
)
BUT = ", but for what is called undecided ({count})"
APART = {  # neither proved nor broken
    VerdictKind.AGREED: "otherwise, as agreed",
    VerdictKind.EMPTY: "of what can't come up",
    VerdictKind.ABSENT: "not on this panel",
    VerdictKind.OFF: "not in use here",
}


def proved(setup: Setup, verdicts: Sequence[Verdict], names: Names, tolerance: int = 0) -> Proved:
    """Return the pages of proofs; `tolerance` is that of the timers [percent]."""
    groups: dict[str, list[ProofRow]] = {}
    for each in verdicts:
        row = ProofRow(each.settled.result.value, called(each.promise.sentence, names), each.settled.why)
        groups.setdefault(each.promise.kind, []).append(row)
    open_ = sum(each.settled.result is VerdictKind.UNDECIDED for each in verdicts)
    timers = f"with the panel's timers up to {tolerance} % off" if tolerance else EXACT
    failed = (each for each in verdicts if each.settled.result is VerdictKind.FAILS and each.settled.timeline)
    return Proved(
        basis=SCOPE.format(but=BUT.format(count=open_) if open_ else "", timers=timers, assumed=ASSUMED),
        groups=tuple(ProofGroup(KINDS[kind], tuple(rows)) for kind, rows in groups.items()),
        failures=tuple(_failure(setup, each, names) for each in failed),
    )


def proved_number(verdicts: Sequence[Verdict]) -> BigNumber:
    """Return how many promises were proved, of those that this panel could break; the others are told by themselves."""
    counts = Counter(each.settled.result for each in verdicts)
    apart = "".join(f"; {counts[result]}\u00a0{words}" for result, words in APART.items() if counts[result])
    asked = sum(count for result, count in counts.items() if result not in APART)
    open_ = f"; {counts[VerdictKind.UNDECIDED]}\u00a0undecided" if counts[VerdictKind.UNDECIDED] else ""
    return BigNumber(counts[VerdictKind.HOLDS], f"proved of {asked}{open_}{apart}")


def _failure(setup: Setup, verdict: Verdict, names: Names) -> Drawing:
    late = too_late(verdict.promise, verdict.settled)
    broke = f" ({span(late[0])}: {late[1]})" if late is not None else ""
    says = called(verdict.promise.sentence + broke, names)
    return timeline_drawing(tracks(setup, verdict.settled.timeline, names), says)

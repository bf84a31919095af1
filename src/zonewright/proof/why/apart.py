"""How the proofs of two programmings differ, zone by zone.

Rules of this file:
1. Zones that act alike are proved together, and a change may alter which zones act alike. So promises are compared for
   each zone by itself; one about a single zone holds if it holds for the zones that act alike with it.
2. Two promises are the same if they promise the same of zones or areas with the same numbers, however they are worded.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from enum import Enum

from zonewright.behaviour.setup import Setup
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.alike import signature
from zonewright.proof.prover.refine import VerdictKind

NOT_ASKED = "not asked"


class Group(Enum):
    """How a proof differs, as a heading; what matters most comes first."""

    FAILS = "Fails now"
    FAILS_NO_LONGER = "No longer fails"
    OTHER_VERDICT = "Has another verdict"
    ASKED_NO_LONGER = "No longer asked: the zone, or what it did, is gone"
    ASKED_NOW = "Asked only now: the zone, or what it does, is new"
    OTHER_PROMISE = "Has the same verdict, but promises something else"


@dataclass(frozen=True, slots=True)
class ProofChange:
    """A promise whose proof differs: what it says now (or said, if it is no longer asked), and both verdicts."""

    says: str
    said: str  # before; empty if it wasn't asked
    before: str
    now: str

    @property
    def group(self) -> Group:
        """Return how the proof differs."""
        fails = VerdictKind.FAILS.value
        if fails in (self.before, self.now) and self.before != self.now:
            return Group.FAILS if self.now == fails else Group.FAILS_NO_LONGER
        if NOT_ASKED in (self.before, self.now):
            return Group.ASKED_NOW if self.before == NOT_ASKED else Group.ASKED_NO_LONGER
        return Group.OTHER_PROMISE if self.before == self.now else Group.OTHER_VERDICT

    @property
    def text(self) -> str:
        """Return it as a line of its group."""
        match self.group:
            case Group.FAILS | Group.ASKED_NO_LONGER:
                return f"{self.says} ({self.before} before)"
            case Group.FAILS_NO_LONGER:
                return f"{self.says} ({self.now} now)"
            case Group.ASKED_NOW:
                return f"{self.says} ({self.now})"
            case Group.OTHER_VERDICT:
                return f"{self.says} ({self.before} before; now: {self.now})"
            case Group.OTHER_PROMISE:
                return f"{self.says} ({self.now}; before: {self.said})"


@dataclass(frozen=True, slots=True)
class _Proof:
    says: str
    verdict: str


Proofs = Mapping[Hashable, _Proof]  # by what is promised of which zones or areas


def proofs_apart(site: Resolved, setup: Setup, together: Iterable[Verdict]) -> Proofs:
    """Return the verdict on each promise, zone by zone; `together` are the verdicts on zones that act alike."""
    known = {_alike(setup, each.promise): each.settled for each in together}
    apart = asked_of(site, setup, Window(), apart=True)
    sums = prove(setup, [each for each in apart if each.outright is not None])  # zones of one sum need not be alike
    outright = {_which(each.promise): each.settled for each in sums}
    found = ((each, outright.get(_which(each)) or known[_alike(setup, each)]) for each in apart)
    return {_which(promise): _Proof(promise.says, settled.result.value) for promise, settled in found}


def proof_changes(before: Proofs, now: Proofs) -> tuple[ProofChange, ...]:
    """Return the promises whose proofs differ, group by group."""
    nothing = _Proof("", NOT_ASKED)
    found = []
    for which in dict.fromkeys((*now, *before)):
        old, new = before.get(which, nothing), now.get(which, nothing)
        if old != new:
            found.append(ProofChange(new.says or old.says, old.says, old.verdict, new.verdict))
    order = list(Group)
    return tuple(sorted(found, key=lambda each: order.index(each.group)))


def _which(promise: Promise) -> Hashable:
    """Return what is promised, and of which zones or areas."""
    return promise.aspect, promise.zones or promise.areas


def _alike(setup: Setup, promise: Promise) -> Hashable:
    """Return what is promised and of which kinds of zones, the same for all zones that act alike."""
    zones = [zone for number in promise.zones if (zone := setup.zone(number)) is not None]
    return promise.aspect, tuple(map(signature, zones)) or promise.areas

"""What a change of the site file changes: in what the panel does, in what is keyed, and in what can be proved."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from zonewright.checks.since import beware
from zonewright.desk.job import Job
from zonewright.desk.progress import Progress, untold
from zonewright.desk.verdicts import Proving
from zonewright.proof.why.apart import ProofChange, proof_changes, proofs_apart
from zonewright.words.changes import Changed, ChangedSituation, answer_changes, changes, scene_changes
from zonewright.words.tracks import called


@dataclass(frozen=True, slots=True)
class Since:
    """All that is different between two sites; what is said of one has its own names."""

    changed: tuple[Changed, ...]
    answers: tuple[str, ...] = ()  # what is keyed otherwise of people, remotes and settings
    beware: tuple[str, ...] = ()  # what somebody must know before it is keyed
    proofs: tuple[ProofChange, ...] = ()  # those of one group together, what fails now first


def since(new: Job, old: Job) -> Since:
    """Return what is different between two sites of one panel."""
    found = (
        *changes(old.setup, new.setup),
        *scene_changes((old.resolved, old.setup), (new.resolved, new.setup)),
    )
    answers = answer_changes(old.resolved, new.resolved)
    return Since(tuple(_named(found, old, new)), tuple(answers), beware(old.resolved, new.resolved))


def _named(found: Iterable[Changed], old: Job, new: Job) -> Iterator[Changed]:
    """Give each change with the names of its site; what only has another number then says the same, and is left out."""
    was, now = old.names, new.names
    for each in found:
        named = (ChangedSituation(called(one.situation, now), called(one.before, was), called(one.now, now))
                 for one in each.differences)  # fmt: skip
        differences = tuple(one for one in named if one.before != one.now)
        if differences:
            yield Changed(called(called(each.thing, now), was), differences)


def with_proofs(found: Since, new: Job, old: Job, progress: Progress = untold) -> Since:
    """Return the same with what can be proved otherwise; it takes longest."""
    settled = []
    for each in (old, new):
        proving = Proving(each)
        proving.run(progress)
        settled.append(proofs_apart(each.resolved, each.setup, proving.verdicts))
    return replace(found, proofs=proof_changes(*settled))

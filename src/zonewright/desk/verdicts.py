"""Promises settled by as many processes as the machine has cores, for every verb that asks for proofs.

Rules of this file:
1. It decides nothing: `prove` settles each share of the promises, here or in another process, and the verdicts are the
   same. A share is what one area keeps, which reads one table; or half of it, with the sounder or with messages, where
   the areas are too unlike in size to keep all cores at work.
2. Promises that are kept alike are settled once. Where a verdict names zones it is found again for each.
3. What was settled when somebody stops it is there, in the order in which it is asked (`Proving`).
4. Another process is a copy of this one, where the system has that; else all is done here. It hands over each verdict
   as it finds it, and hears no Ctrl-C: that is for the process that began it, which then has all but what was in hand.
"""

from __future__ import annotations

import multiprocessing
import os
import traceback
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from zonewright.behaviour.setup import Setup
from zonewright.desk import cores
from zonewright.desk.collecting import uncollected
from zonewright.desk.job import Job
from zonewright.desk.kept_proofs import KeptProofs, kept_proofs
from zonewright.desk.progress import Progress, untold
from zonewright.proof.likeness import Likeness
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import Effort, Verdict, looked_at, prove, rested
from zonewright.proof.prover.purse import PROCESS
from zonewright.proof.prover.refine import Result, Settled

EXACT = Window()
WORTH_SHARING = 12  # promises; fewer are settled sooner than processes are begun
EVEN = 1.1  # the largest area's promises, as so many times what each core would have

Share = list[int]  # places of promises


@dataclass(frozen=True, slots=True)
class _Job:
    setup: Setup
    asked: Sequence[Promise]
    window: Window


LISTENS_S = 1.0  # between two looks whether a copy is still there
PATIENCE = 10  # such looks in which nobody works before what is left is given up
LOST = "the system ended the process that looked at it, perhaps for want of memory"


class _Begun(NamedTuple):
    """A share is begun, by this process."""

    share: int
    process: int


class _Ended(NamedTuple):
    """A share is at its end: what it took, None where there was no memory for the rest; and a mistake of ours."""

    share: int
    effort: Effort | None
    mistake: str = ""


class _Found(NamedTuple):
    """What became of the promise at this place."""

    place: int
    settled: Settled


Told = _Begun | _Ended | _Found


class _Line:
    """What the copies of this process tell it: whole records, one after the other."""

    def __init__(self) -> None:
        copied = multiprocessing.get_context("fork")
        self._reader, self._writer = copied.Pipe(duplex=False)
        self._lock = copied.Lock()

    def tell(self, told: Told) -> None:
        with self._lock:
            self._writer.send(told)

    def hear(self) -> Told | None:
        """Return what is told next; None if nobody tells anything for a while."""
        told: Told | None = self._reader.recv() if self._reader.poll(LISTENS_S) else None
        return told


_works: tuple[_Job, _Line] | None = None  # in a copy of this process alone: what it works on, and whom it tells


class Proving:
    """The promises of a job, and what became of each so far; what was found stays, whatever ends a run."""

    def __init__(self, job: Job, window: Window = EXACT, *, only: str | None = None, afresh: bool = False) -> None:
        self.job, self.window = job, window
        every = asked_of(job.resolved, job.acting, window)
        self.asked = [each for each in every if only is None or is_about(each, only)]
        self._kept = kept_proofs(job.resolved, job.acting, window, afresh=afresh)
        self.known = sum(self._kept.of(each) is not None for each in self.asked)  # from before
        self.effort = Effort()
        self._found: dict[Promise, Verdict] = {}

    def run(self, progress: Progress = untold) -> None:
        """Settle all that is asked; what was settled before this is stopped is there, and kept for the next run."""
        for verdict in settle_all(self.job.acting, self.asked, self.window, self.effort, self._kept):
            self._found[verdict.promise] = verdict
            progress("proving", len(self._found), len(self.asked))

    @property
    def verdicts(self) -> list[Verdict]:
        """Return what was found so far, in the order asked."""
        return rested([self._found[promise] for promise in self.asked if promise in self._found])

    @property
    def how_far(self) -> str:
        """Return how much is settled, and whether that is kept for the next run; what is undecided never is."""
        kept = "kept, and the next run goes on from there" if self._kept.written else "nothing new was kept"
        return f"{len(self._found)} of {len(self.asked)} settled; {kept}"


def is_about(promise: Promise, word: str) -> bool:
    """Return whether a promise is of this kind or has the word in it."""
    return word.casefold() == promise.kind or word.casefold() in promise.says.casefold()


def settle_all(
    setup: Setup,
    asked: Sequence[Promise],
    window: Window,
    effort: Effort | None = None,
    before: KeptProofs | None = None,
) -> Iterator[Verdict]:
    """Give the verdict on each promise as it is found, what is known from `before` first; `effort` is added to."""
    spent = effort if effort is not None else Effort()
    if before is not None:
        known = [(each, before.of(each)) for each in asked]
        yield from [Verdict(each, verdict) for each, verdict in known if verdict is not None]
        asked = [each for each, verdict in known if verdict is None]
    try:
        with uncollected():
            for verdict in _anew(_Job(setup, asked, window), spent):
                if before is not None:
                    before.add(verdict.promise, verdict.settled)
                yield verdict
    finally:
        if before is not None:
            before.write()


def _anew(job: _Job, spent: Effort) -> Iterator[Verdict]:
    """Settle all of it, in several processes if that is worth it."""
    most = cores.with_room(PROCESS)
    processes = min(most, len(_shares(job, range(len(job.asked)), most)))
    if processes < 2 or len(job.asked) < WORTH_SHARING:
        yield from prove(job.setup, job.asked, job.window, spent)
    else:
        yield from _together(job, processes, spent)


def _shares(job: _Job, places: Sequence[int], processes: int) -> list[Share]:
    """Return the places of promises that are settled with one another, the largest share first."""
    areas: dict[Hashable, Share] = {}
    halves: dict[Hashable, Share] = {}
    for place in places:
        promise = job.asked[place]
        area = looked_at(job.setup, promise)
        areas.setdefault(area, []).append(place)
        halves.setdefault((area, promise.heard), []).append(place)
    largest = max(map(len, areas.values()), default=0)
    found = areas if largest * processes <= EVEN * len(places) else halves
    return sorted(found.values(), key=len, reverse=True)


def _together(job: _Job, processes: int, spent: Effort) -> Iterator[Verdict]:
    """Settle what is unlike first, then what fails alike."""
    sums = [promise for promise in job.asked if promise.reckoned is not None]
    yield from prove(job.setup, sums, job.window, spent)  # nothing to look at
    job = replace(job, asked=[promise for promise in job.asked if promise.reckoned is None])
    areas = [looked_at(job.setup, each) for each in job.asked]
    likeness = {each: Likeness(job.setup, each) for each in set(areas)}
    likes = [likeness[here].of(each) for here, each in zip(areas, job.asked, strict=True)]
    first: dict[Hashable, int] = {}
    for place, like in enumerate(likes):
        first.setdefault(like, place)
    known: dict[int, Settled] = {}
    again = [place for place, like in enumerate(likes) if first[like] != place]
    line = _Line()
    with cores.copies(processes, tasks_each=1, initializer=_works_on, arguments=(job, line)) as pool:
        for places in ([*first.values()], again):
            alike = {place: known[first[likes[place]]] for place in places if first[likes[place]] != place}
            copied = {place: each for place, each in alike.items() if not each.names_zones}
            yield from (Verdict(job.asked[place], each) for place, each in copied.items())
            shares = _shares(job, [place for place in places if place not in copied], processes)
            for number, share in enumerate(shares):
                pool.apply_async(_settle, (number, share))
            for place, each in _handed_over(line, shares, spent):
                known[place] = each
                yield Verdict(job.asked[place], each)


def _handed_over(line: _Line, shares: Sequence[Share], spent: Effort) -> Iterator[tuple[int, Settled]]:
    """Give what the copies of this process find, until all shares are at their end; `spent` is added to.

    What a copy had still to settle when the system ended it, or had no room for it, is undecided, with that reason.
    """
    left = {number: set(share) for number, share in enumerate(shares)}
    begun: dict[int, int] = {}
    idle = 0  # looks in which nobody worked
    while left:
        told = line.hear()
        lost: list[int] = []
        match told:
            case None:
                there = {each for each, process in begun.items() if each in left and _is_there(process)}
                idle = 0 if there else idle + 1
                lost = [each for each in left if each not in there and (each in begun or idle >= PATIENCE)]
            case _Begun(number, process):
                begun[number] = process
            case _Ended(number, effort, mistake):
                if mistake:
                    raise AssertionError(mistake)
                if effort is None:
                    lost = [number] if number in left else []
                else:
                    left.pop(number, None)
                    spent.controls += effort.controls
                    spent.sets += effort.sets
                    spent.steps += effort.steps
            case _Found(place, settled):
                for places in left.values():
                    places.discard(place)
                yield place, settled
        for number in lost:
            yield from ((place, Settled(Result.UNDECIDED, why=LOST)) for place in sorted(left.pop(number)))


def _is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def _works_on(job: _Job, line: _Line) -> None:
    global _works  # noqa: PLW0603 - of a copy, which does this one job and no other
    _works = job, line


def _settle(number: int, share: Share) -> None:
    """Settle a share of the job, in a copy of the process, and hand each verdict over."""
    assert _works is not None  # a copy is told at birth
    (job, line), effort = _works, Effort()
    line.tell(_Begun(number, os.getpid()))
    place_of = {id(job.asked[place]): place for place in share}
    try:
        for verdict in prove(job.setup, [job.asked[place] for place in share], job.window, effort):
            line.tell(_Found(place_of[id(verdict.promise)], verdict.settled))
    except cores.NO_MEMORY:
        line.tell(_Ended(number, None))
    except Exception:
        line.tell(_Ended(number, None, traceback.format_exc()))
    else:
        line.tell(_Ended(number, effort))

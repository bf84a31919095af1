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

import re
import traceback
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from multiprocessing import Pipe
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import NamedTuple

from zonewright.behaviour.setup import Setup
from zonewright.desk import cores
from zonewright.desk.job import Job
from zonewright.desk.kept_proofs import KeptProofs, kept_proofs
from zonewright.desk.progress import Progress, untold
from zonewright.proof.likeness import Likeness
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import Effort, Verdict, looked_at, prove, rested
from zonewright.proof.prover.purse import PROCESS
from zonewright.proof.prover.refine import Settled, VerdictKind
from zonewright.proof.why.explaining import Explained, explain_promise
from zonewright.proof.why.undoing import Undoing, undoings

EXACT = Window()
WORTH_SHARING = 12  # promises; fewer are settled sooner than processes are begun
EVEN = 1.1  # the largest area's promises, as so many times what each core would have

Share = list[int]  # places of promises


@dataclass(frozen=True, slots=True)
class _Job:
    setup: Setup
    asked: Sequence[Promise]
    window: Window


LOST = "the system ended the process that looked at it, perhaps for want of memory"


class _Found(NamedTuple):
    """What became of the promise at this place."""

    place: int
    settled: Settled


class _Mistake(NamedTuple):
    """A mistake of ours, as Python tells it."""

    says: str


Told = _Found | _Mistake | Effort  # what a copy of this process says; the last is what all of it took


@dataclass(frozen=True, slots=True)
class _AtWork:
    """A copy of this process at a share: what it says comes out of `hears`, and nothing more once it has ended."""

    copy: BaseProcess
    hears: Connection
    left: set[int]  # places not settled yet


class Proving:
    """The promises of a job, and what became of each so far; what was found stays, whatever ends a run.

    To another process it goes without the promises, whose judges are functions: there they are asked of the job again,
    and what was found is put to each.
    """

    def __init__(self, job: Job, window: Window = EXACT, *, only: str | None = None, afresh: bool = False) -> None:
        self.job, self.window, self.only, self.afresh = job, window, only, afresh
        every = asked_of(job.resolved, job.acting, window)
        self.asked = [each for each in every if only is None or is_about(each, only)]
        self._kept = kept_proofs(job.resolved, job.acting, window, afresh=afresh)
        self.known = sum(self._kept.of(each) is not None for each in self.asked)  # from before
        self.effort = Effort()
        self._found: dict[Promise, Verdict] = {}

    def __reduce__(self) -> tuple[Callable[..., Proving], tuple[object, ...]]:
        """Tell how it is made again."""
        found = {place: self._found[each].settled for place, each in enumerate(self.asked) if each in self._found}
        kept = (self.known, self._kept.written)
        return _again, (self.job, self.window, self.only, self.afresh, found, kept, self.effort)

    def run(self, progress: Progress = untold) -> None:
        """Settle all that is asked; what was settled before this is stopped is there, and kept for the next run."""
        for verdict in settle_all(self.job.acting, self.asked, self.window, self.effort, self._kept):
            self._found[verdict.promise] = verdict
            progress("proving", len(self._found), len(self.asked))

    @property
    def verdicts(self) -> list[Verdict]:
        """Return what was found so far, in the order asked."""
        return rested([self._found[promise] for promise in self.asked if promise in self._found])

    def undoings(self, promises: Iterable[Promise]) -> tuple[Undoing, ...]:
        """Return who or what can make untrue what these promises take for granted."""
        return undoings(self.job.resolved, self.job.acting, promises)

    def explained(self, promise: Promise) -> Explained:
        """Settle one promise, and return why it holds or fails."""
        return explain_promise(self.job.resolved, self.job.acting, promise, self.window)

    @property
    def how_far(self) -> str:
        """Return how much is settled, and whether that is kept for the next run; what is undecided never is."""
        kept = "kept, and the next run goes on from there" if self._kept.written else "nothing new was kept"
        return f"{len(self._found)} of {len(self.asked)} settled; {kept}"


def _again(
    job: Job,
    window: Window,
    only: str | None,
    afresh: bool,
    found: Mapping[int, Settled],
    kept: tuple[int, bool],
    effort: Effort,
) -> Proving:
    """Return a proving as it was in the process that it came from."""
    proving = Proving(job, window, only=only, afresh=afresh)
    proving.known, proving._kept.written = kept
    proving.effort = effort
    proving._found = {proving.asked[place]: Verdict(proving.asked[place], each) for place, each in found.items()}
    return proving


def is_about(promise: Promise, word: str) -> bool:
    """Return whether a promise is of this kind or has the word in it."""
    return word.casefold() == promise.kind or word.casefold() in promise.says.casefold()


def promises_meant(asked: Sequence[Promise], name: str) -> list[Promise]:
    """Return the promise of this name, else those that have it in their name, else those that are about it."""
    word = re.sub("[^a-z0-9]+", "-", name.casefold()).strip("-")
    found = [each for each in asked if each.name == word] or [each for each in asked if word in each.name]
    return found or [each for each in asked if is_about(each, name)]


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
        for verdict in _unknown(_Job(setup, asked, window), spent):
            if before is not None:
                before.add(verdict.promise, verdict.settled)
            yield verdict
    finally:
        if before is not None:
            before.write()


def _unknown(job: _Job, spent: Effort) -> Iterator[Verdict]:
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
    sums = [promise for promise in job.asked if promise.outright is not None]
    yield from prove(job.setup, sums, job.window, spent)  # nothing to look at
    job = replace(job, asked=[promise for promise in job.asked if promise.outright is None])
    areas = [looked_at(job.setup, each) for each in job.asked]
    likeness = {each: Likeness(job.setup, each) for each in set(areas)}
    likes = [likeness[here].of(each) for here, each in zip(areas, job.asked, strict=True)]
    first: dict[Hashable, int] = {}
    for place, like in enumerate(likes):
        first.setdefault(like, place)
    known: dict[int, Settled] = {}
    again = [place for place, like in enumerate(likes) if first[like] != place]
    for places in ([*first.values()], again):
        alike = {place: known[first[likes[place]]] for place in places if first[likes[place]] != place}
        copied = {place: each for place, each in alike.items() if not each.names_zones}
        yield from (Verdict(job.asked[place], each) for place, each in copied.items())
        shares = _shares(job, [place for place in places if place not in copied], processes)
        for place, each in _handed_over(job, shares, processes, spent):
            known[place] = each
            yield Verdict(job.asked[place], each)


def _handed_over(job: _Job, shares: Sequence[Share], processes: int, spent: Effort) -> Iterator[tuple[int, Settled]]:
    """Give what copies of this process find, one for each share and so many at once; `spent` is added to.

    What a copy had still to settle when the system ended it, or had no room for it, is undecided, with that reason.
    However this ends, no copy is left. Raises `MemoryError` where there is no room for a copy.
    """
    waiting = [*shares]
    at_work: dict[Connection, _AtWork] = {}
    try:
        while waiting or at_work:
            while waiting and len(at_work) < processes:
                one = _begun(job, waiting.pop(0))
                at_work[one.hears] = one
            for hears in wait(at_work):
                one = at_work[hears]  # type: ignore[index]  # of all that can be waited for these are connections
                told = _next(one.hears)
                if isinstance(told, _Found):
                    one.left.discard(told.place)
                    yield told.place, told.settled
                    continue
                if isinstance(told, _Mistake):
                    raise AssertionError(told.says)
                if told is not None:
                    spent.add(told)
                _gone(at_work.pop(one.hears))
                yield from ((place, Settled(VerdictKind.UNDECIDED, why=LOST)) for place in sorted(one.left))
    finally:
        for one in at_work.values():
            _gone(one)


def _begun(job: _Job, share: Share) -> _AtWork:
    """Begin a share in a copy of this process."""
    hears, tells = Pipe(duplex=False)
    try:
        return _AtWork(cores.begun(_settle, job, share, hears, tells), hears, set(share))
    finally:
        tells.close()  # here: so that the copy's end is the end of what is heard


def _next(hears: Connection) -> Told | None:
    """Return what a copy says next; None if it has ended, be it in the middle of a word."""
    try:
        told: Told = hears.recv()
    except (EOFError, OSError):
        return None
    return told


def _gone(one: _AtWork) -> None:
    one.copy.kill()
    one.copy.join()
    one.hears.close()


def _settle(job: _Job, share: Share, hears: Connection, tells: Connection) -> None:
    """Settle a share of the job, in a copy of the process, and hand each verdict over."""
    hears.close()  # here: so that telling fails, and doesn't wait, once nobody hears it
    effort, place_of = Effort(), {id(job.asked[place]): place for place in share}
    try:
        for verdict in prove(job.setup, [job.asked[place] for place in share], job.window, effort):
            tells.send(_Found(place_of[id(verdict.promise)], verdict.settled))
        tells.send(effort)
    except (*cores.NO_MEMORY, BrokenPipeError):
        return  # the rest of the share isn't settled, which is heard by the end
    except Exception:
        tells.send(_Mistake(traceback.format_exc()))

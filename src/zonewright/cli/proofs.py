"""Promises settled by as many processes as the machine has cores, for every verb that asks for proofs.

Rules of this file:
1. It decides nothing: `prove` settles each share of the promises, here or in another process, and the verdicts are the
   same. A share is what one area keeps, which reads one table; or half of it, with the sounder or with messages, where
   the areas are too unlike in size to keep all cores at work.
2. Promises that are kept alike are settled once. Where a verdict names zones it is found again for each.
3. Another process is a copy of this one, where the system has that; else all is done here. It hands over each verdict
   as it finds it, and hears no Ctrl-C: that is for the process that began it, which then has all but what was in hand.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from multiprocessing.queues import SimpleQueue

from zonewright.behaviour.acts import with_acts
from zonewright.behaviour.setup import Setup
from zonewright.cli import cores
from zonewright.cli.collecting import uncollected
from zonewright.cli.kept_proofs import KeptProofs, kept_proofs
from zonewright.cli.progress import Progress
from zonewright.panel.resolve import Resolved
from zonewright.proof.asked import asked_of
from zonewright.proof.likeness import Likeness
from zonewright.proof.promise import Promise, Window
from zonewright.proof.prove import Effort, Verdict, looked_at, prove
from zonewright.proof.refine import Settled

WORTH_SHARING = 12  # promises; fewer are settled sooner than processes are begun
EVEN = 1.1  # the largest area's promises, as so many times what each core would have

Share = list[int]  # places of promises


@dataclass(frozen=True, slots=True)
class _Job:
    setup: Setup
    asked: Sequence[Promise]
    window: Window


Found = SimpleQueue[tuple[int, Settled] | None]  # from the copies: each place's verdict, and None at a share's end

_jobs: list[tuple[_Job, Found]] = []  # what the copies of this process find when they begin


def verdicts_of(
    resolved: Resolved, setup: Setup, effort: Effort | None = None, progress: Progress | None = None
) -> list[Verdict]:
    """Return the verdict on each promise of a site, in the order in which they are asked; timers exact.

    Raises `KeyboardInterrupt` with what to say of it where Ctrl-C stops it.
    """
    setup = with_acts(setup, resolved)
    asked = asked_of(resolved, setup, Window())
    before = kept_proofs(resolved, setup, Window())
    found: dict[Promise, Verdict] = {}
    try:
        for verdict in settle_all(setup, asked, Window(), effort, before):
            found[verdict.promise] = verdict
            if progress is not None:
                progress.show("proving", len(found), len(asked))
    except KeyboardInterrupt:
        raise KeyboardInterrupt(how_far(len(found), len(asked), before)) from None
    return [found[promise] for promise in asked]


def how_far(settled: int, asked: int, before: KeptProofs) -> str:
    """Return what to say when Ctrl-C stops it: how much is settled, and whether that is kept for the next run."""
    kept = "kept, and the next run goes on from there" if before.written else "none of it was kept"
    return f"stopped: {settled} of {asked} settled; {kept}"


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
    most = cores.available()
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
    found: Found = multiprocessing.get_context("fork").SimpleQueue()
    _jobs.append((job, found))
    try:
        with cores.copies(processes, tasks_each=1) as pool:
            for places in ([*first.values()], again):
                alike = {place: known[first[likes[place]]] for place in places if first[likes[place]] != place}
                copied = {place: each for place, each in alike.items() if not each.names_zones}
                yield from (Verdict(job.asked[place], each) for place, each in copied.items())
                shares = _shares(job, [place for place in places if place not in copied], processes)
                took = pool.map_async(_settle, shares, chunksize=1)
                for place, each in _handed_over(found, len(shares)):
                    known[place] = each
                    yield Verdict(job.asked[place], each)
                for effort in took.get():
                    spent.controls += effort.controls
                    spent.sets += effort.sets
                    spent.steps += effort.steps
    finally:
        _jobs.pop()


def _handed_over(found: Found, shares: int) -> Iterator[tuple[int, Settled]]:
    """Give what the copies of this process find, until so many shares are at their end."""
    while shares:
        one = found.get()
        if one is None:
            shares -= 1
        else:
            yield one


def _settle(share: Share) -> Effort:
    """Settle a share of the job, in a copy of the process, and hand each verdict over."""
    (job, found), effort = _jobs[-1], Effort()
    place_of = {id(job.asked[place]): place for place in share}
    try:
        for verdict in prove(job.setup, [job.asked[place] for place in share], job.window, effort):
            found.put((place_of[id(verdict.promise)], verdict.settled))
    finally:  # also when a mistake of ours ends it, which comes with the effort
        found.put(None)
    return effort

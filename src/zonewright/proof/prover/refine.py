"""Settling one promise: explore with few timers, test the run that breaks it, and learn from what was impossible.

Rules of this file:
1. *Holds* may be said when it holds in a slice: a slice does whatever the panel can, and more.
2. *Fails* is said only of a run of the whole panel, judged by the same observer.
3. If no times exist for a path, the timers that forbid it are tracked from then on. If the whole panel does something
   else along a path, the facts that differ are kept from then on. After some rounds the answer is *undecided*, with
   why.
4. *Holds* is never said of nothing: if no run could begin, or none met a case that the promise is about, that is a
   mistake of ours (`NothingLookedAt`), and the answer is *undecided*. Each *holds* says how many cases were looked at.

Source of the loop: refinement by counterexamples (Clarke, Grumberg, Jha, Lu and Veith 2000, from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import cast

from zonewright.behaviour.clockwork import Timeline
from zonewright.behaviour.events import Timer, TimerKind
from zonewright.behaviour.setup import AreaNumber
from zonewright.behaviour.state import Control
from zonewright.proof.prover.explore import Cover, Exploration, Path, Watched, explore
from zonewright.proof.prover.facts import DOORS_OF, Fact, made_of
from zonewright.proof.prover.observers import Awaited, Judge, Observer, anything
from zonewright.proof.prover.purse import OutOfBounds
from zonewright.proof.prover.replay import Limits, ReplayedRun, replay, times_of
from zonewright.proof.prover.schedule import Clash
from zonewright.proof.prover.slices import Slice
from zonewright.proof.prover.table import TooLarge
from zonewright.site.record import ZoneNumber

MOST_ROUNDS = 12  # of new timers
MOST_FACTS = 4  # rounds of new facts
_ROUND = (TimerKind.EXIT, TimerKind.ENTRY)
TOO_LARGE = "too large to look at all of it"
NOTHING_LOOKED_AT = "no case that it is about was looked at"
OTHER_PANEL = "the whole panel does something else"


class NothingLookedAt(Exception):
    """A promise would hold only because no case that it is about was looked at."""


class VerdictKind(Enum):
    """What became of a promise."""

    HOLDS = "holds"
    FAILS = "fails"
    EMPTY = "holds only because it can't come to it"
    UNDECIDED = "undecided"
    AGREED = "otherwise, as agreed"  # it fails, and somebody accepted it by name
    ABSENT = "not on this panel"  # the panel lacks what it is about
    OFF = "not in use here"  # the panel has it, and a setting or the site leaves it unused


@dataclass(frozen=True, slots=True)
class Settled:
    """The verdict on one promise, and what it is based on."""

    result: VerdictKind
    controls: int = 0  # states looked at
    sets: int = 0  # sets of times looked at
    timers: tuple[str, ...] = ()  # timers tracked exactly
    timeline: Timeline = ()  # of a run that breaks it
    why: str = ""
    too_late: int | None = None  # if it fails because nothing came: the second in which it was too late
    cases: int = 0  # if it holds: how many of the cases that it is about were looked at

    @property
    def names_zones(self) -> bool:
        """Return whether it names zones, so that the same promise about zones that are alike needs its own verdict."""
        return self.result in (VerdictKind.FAILS, VerdictKind.EMPTY)


@dataclass(frozen=True, slots=True)
class Ground:
    """What promises are settled on: a slice with its cover, and how exact the timers are."""

    cover: Cover
    limits: Limits
    whole: Slice  # the whole panel, for runs that are shown

    @property
    def slice(self) -> Slice:
        """Return the slice."""
        return self.cover.slice

    def keeping(self, facts: Iterable[Fact], judged: frozenset[ZoneNumber] | None) -> Ground:
        """Return the same ground with more facts kept, for judges of these zones; None: of all zones."""
        return Ground(Cover(self.slice.keeping(facts, judged=judged)), self.limits, self.whole)


Shown = tuple[Timeline, int | None]  # a run that breaks it, and the second in which it was too late


@dataclass(frozen=True, slots=True)
class Goal:
    """What is to be settled: whether the observer ever sees anything bad in a run from one of the roots."""

    observer: Observer
    is_root: Callable[[Control], bool] | None  # None: only at power-up
    focus: frozenset[Fact] = frozenset()  # facts kept besides those of the ground, as at power-up in every root
    zones: tuple[ZoneNumber, ...] | None = None  # those whose acts it is about; None: every act is judged by itself
    about: Judge = anything  # the cases that it is about; if it begins in a root, they are met there
    judged: frozenset[ZoneNumber] | None = None  # zones that its judges look at; None: any
    plainly: Callable[[], Shown | None] = lambda: None  # tries simple runs of the whole panel that may break it


@dataclass(frozen=True, slots=True)
class Followed:
    """All runs that show that something holds: what was watched, from where on, and all that was reached."""

    watched: Watched
    roots: tuple[Control, ...]
    tracked: frozenset[Hashable]
    found: Exploration


def settle(ground: Ground, question: Goal) -> Settled:
    """Return the verdict on a question."""
    try:
        return _settle(ground, question)[0]
    except (OutOfBounds, TooLarge) as bound:
        return Settled(VerdictKind.UNDECIDED, len(ground.cover.controls), why=f"{TOO_LARGE}: {bound}")
    except NothingLookedAt:
        return Settled(VerdictKind.UNDECIDED, len(ground.cover.controls), why=NOTHING_LOOKED_AT)


def holds(cases: int, basis: Settled) -> Settled:
    """Return the verdict that a promise holds; raises `NothingLookedAt` if no case it is about was looked at."""
    if not cases:
        raise NothingLookedAt
    return replace(basis, result=VerdictKind.HOLDS, cases=cases)


def followed(ground: Ground, question: Goal) -> Followed | None:
    """Return all runs that show that it holds; None if it doesn't, or is too large to look at."""
    try:
        return _settle(ground, question)[1]
    except (OutOfBounds, TooLarge, NothingLookedAt):
        return None


def _settle(ground: Ground, question: Goal) -> tuple[Settled, Followed | None]:
    tracked: frozenset[Hashable] = frozenset()
    facts = 0
    sets = 0
    observer = question.observer
    watched = Watched(_focused(ground, question), observer)
    for _ in range(MOST_ROUNDS):
        roots = _roots(ground, question)
        found = explore(watched, roots, tracked, ground.limits, ground.cover.lengths() if tracked else None)
        sets += found.sets
        basis = Settled(
            VerdictKind.HOLDS, len(ground.cover.controls) + len(found.reached), sets, tuple(sorted(map(str, tracked)))
        )
        if found.path is None or found.root is None:
            cases = _cases_met(watched.slice, question, roots, found)
            return holds(cases, basis), Followed(watched, tuple(roots), tracked, found)
        before = ground.cover.way_to(found.root)
        run = tried(ground, (*before, *found.path), len(before), observer, tracked)
        if isinstance(run, Clash):
            new = run.timers - tracked
            if not new:
                return _from_power_up(ground, question, basis), None
            tracked |= new
            continue
        if run.bad:
            return replace(basis, result=VerdictKind.FAILS, timeline=run.timeline, too_late=run.too_late), None
        if facts == 0 and (shown := question.plainly()):
            return replace(basis, result=VerdictKind.FAILS, timeline=shown[0], too_late=shown[1]), None
        doubtful = (each for fact in run.doubtful for each in made_of(ground.whole.setup, fact))
        doubtful = (each for fact in doubtful for each in _at_first(fact, question, ground))
        usable = frozenset(fact for fact in doubtful if fact[0] not in ("elsewhere", "barred")) - _kept(ground)
        if run.elsewhere or not usable or facts == MOST_FACTS:
            why = "it needs another area, which is not looked at" if run.elsewhere else OTHER_PANEL
            return replace(basis, result=VerdictKind.UNDECIDED, why=why), None
        facts += 1
        ground = ground.keeping(_with_their_round(usable), question.judged)
        watched = Watched(_focused(ground, question), observer)
    return Settled(VerdictKind.UNDECIDED, why=f"not settled after {MOST_ROUNDS} rounds"), None


def _roots(ground: Ground, question: Goal) -> list[Control]:
    """Return where a run may begin, as this ground sees it: with more facts kept the same states look different."""
    first = ground.slice.first()
    is_root = question.is_root
    roots = [each for each in ground.cover.controls if (each == first if is_root is None else is_root(each))]
    if not roots:
        raise NothingLookedAt
    return roots


def _cases_met(part: Slice, question: Goal, roots: list[Control], found: Exploration) -> int:
    """Return how many cases it is about were looked at: in its roots, or anywhere if each event is judged by itself."""
    states = roots
    if question.is_root is None:
        states = list({**{id(each): each for each in map(part.same, roots)}, **found.reached}.values())
    return sum(question.about(state, act, outcome) for state in states for act, outcome in part.row(part.same(state)))


def _kept(ground: Ground) -> frozenset[Fact]:
    return ground.slice.kept or frozenset()


def _at_first(fact: Fact, question: Goal, ground: Ground) -> Iterable[Fact]:
    """Return the facts to keep if it is in doubt where an area is, or by which doors people come in.

    If a door that the question is about leads there, these are where all areas of the door are, and whether people came
    in by it: that would be asked for next.
    """
    what, area = fact
    zones = (ground.whole.setup.zone(number) for number in sorted(question.judged or ()))
    shared = [zone for zone in zones if zone is not None and zone.entry_s > 0 and area in zone.areas]
    if what not in ("mode", "phase", *DOORS_OF.values()) or not shared:
        return (fact,)
    if what == "left_open":
        return {("left", (area, zone.number)) for zone in shared} - _kept(ground) or (fact,)
    found: set[Fact] = {("by", (each, zone.number)) for zone in shared for each in zone.areas}
    found |= {(part, each) for zone in shared for each in zone.areas - ground.slice.areas for part in ("mode", "phase")}
    if found <= _kept(ground):
        return (fact,)
    return found if what == "entry_by" else {fact, *found}


def _with_their_round(facts: Iterable[Fact]) -> frozenset[Fact]:
    """Return the facts, and for each area whose phase is among them, what changes with it and is asked for next.

    So the promises about the same areas are settled on the same ground, which is looked at once.
    """
    found = frozenset(facts)
    for what, about in found:
        in_round = what == "runs" and isinstance(about, Timer) and about.kind in _ROUND
        if what in ("phase", "entry_by", "by") or in_round:
            by = what == "by" and cast("tuple[AreaNumber, object]", about)[0]
            area = by or (cast("Timer", about).number if in_round else cast("AreaNumber", about))
            told = any(fact[0] == "by" and fact[1][0] == area for fact in found)  # type: ignore[index]
            found |= {(part, area) for part in ("mode", "phase", *(() if told else ("entry_by",)))}
            found |= {("runs", Timer(kind, area)) for kind in _ROUND}
    return found


def _from_power_up(ground: Ground, question: Goal, basis: Settled) -> Settled:
    """Return the verdict if the way to its beginning takes other times: look for a run watched from power-up."""
    undecided = replace(basis, result=VerdictKind.UNDECIDED, why="the way to its beginning takes other times")
    if isinstance(question.observer, Awaited) or question.is_root is None:
        return undecided
    awaited = replace(question, observer=Awaited(question.observer, question.is_root), is_root=None)
    found, _ = _settle(ground, awaited)
    return found if found.result is VerdictKind.FAILS else undecided


def _focused(ground: Ground, question: Goal) -> Slice:
    """Return the slice with the facts that the question needs, and the acts that no other act stands for."""
    if not question.zones:
        return ground.slice.keeping(question.focus) if question.focus else ground.slice
    acts = ground.cover.acts_that_differ(question.zones)
    return ground.slice.keeping(question.focus, acts, question.zones)


def tried(
    ground: Ground, path: Path, begins_at: int, observer: Observer, tracked: frozenset[Hashable] = frozenset()
) -> ReplayedRun | Clash:
    """Run the whole panel along a path, if times for it exist."""
    times = times_of(path, ground.limits, tracked)
    if isinstance(times, Clash):
        return times
    return replay(ground.whole, path, times, begins_at, observer, ground.slice.areas, ground.limits)

"""Every promise of a panel, settled.

Rules of this file:
1. Each area is looked at once, with other areas if they share zones; promises about single events are all judged in
   that one pass.
2. A promise is settled for the first of the zones that differ only in number and label (`properties.py`).
3. A promise whose case never comes has another verdict than one that holds.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import cast

from zonewright.behaviour.acts import setting
from zonewright.behaviour.clockwork import Clockwork, Timeline
from zonewright.behaviour.events import ZoneOpens
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.panel.behaviours import Mode
from zonewright.proof.likeness import Likeness
from zonewright.proof.promises.promise import Never, OutrightVerdict, Premise, Promise, Window
from zonewright.proof.promises.under_duress import tells_apart
from zonewright.proof.prover.alike import with_pairs
from zonewright.proof.prover.doors import together, ways_in
from zonewright.proof.prover.explore import Case, Cover, Move
from zonewright.proof.prover.facts import DETAILS, DOORS_OF, Fact
from zonewright.proof.prover.memory import NotKept
from zonewright.proof.prover.observers import Invariant
from zonewright.proof.prover.outcome import EventOutcome, LeafEffect, zone_of
from zonewright.proof.prover.purse import OutOfBounds, Work
from zonewright.proof.prover.refine import (
    NOTHING_LOOKED_AT,
    OTHER_PANEL,
    TOO_LARGE,
    Followed,
    Goal,
    Ground,
    NothingLookedAt,
    Settled,
    Shown,
    VerdictKind,
    followed,
    holds,
    settle,
    tried,
)
from zonewright.proof.prover.replay import ReplayedRun
from zonewright.proof.prover.slices import Slice, whole_panel
from zonewright.proof.prover.table import Act, Table, TooLarge
from zonewright.proof.prover.witness import opened_plainly, witness
from zonewright.site.record import ZoneNumber
from zonewright.words.telling import count_of, listed

NOT_SHOWN = "that it comes to it was not shown on the whole panel"
FEW_DOORS = 4  # of an area that is small
SMALL = 56_000_000  # what may be spent on an area that is looked at for all of its promises at once
TIGHT_FROM = 0.85  # how much of a purse may be spent before all that can be is forgotten
FORGOTTEN_FROM = 0.2  # how much of it what was looked at for a zone may take and not be forgotten before the next zone
RESTS = "something that it rests on isn't proved"
MOST_TRIED = 12  # states in which two events differ, tried on the whole panel
_OUTRIGHT = {
    OutrightVerdict.KEPT: VerdictKind.HOLDS,
    OutrightVerdict.BROKEN: VerdictKind.FAILS,
    OutrightVerdict.AGREED: VerdictKind.AGREED,
    OutrightVerdict.LACKING: VerdictKind.ABSENT,
    OutrightVerdict.UNKNOWN: VerdictKind.UNDECIDED,
    OutrightVerdict.OFF: VerdictKind.OFF,
    OutrightVerdict.IDLE: VerdictKind.EMPTY,
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """One promise and what became of it."""

    promise: Promise
    settled: Settled


@dataclass(slots=True)
class Effort:
    """What it took."""

    controls: int = 0
    sets: int = 0
    steps: int = 0

    def add(self, other: Effort) -> None:
        """Count what something else took, too."""
        self.controls += other.controls
        self.sets += other.sets
        self.steps += other.steps


def prove(
    setup: Setup,
    promises: Iterable[Promise],
    window: Window | None = None,
    effort: Effort | None = None,
) -> Iterator[Verdict]:
    """Give the verdict on each promise, area by area; stop whenever you like.

    `effort`, if given, is added to.
    """
    spent = effort if effort is not None else Effort()
    groups: dict[frozenset[AreaNumber], list[Promise]] = {}
    for promise in promises:
        groups.setdefault(looked_at(setup, promise), []).append(promise)
    whole = whole_panel(setup)
    known: dict[Hashable, Settled] = {}
    for areas, mine in groups.items():
        part, like = _Part(setup, whole, areas, mine, window or Window()), Likeness(setup, areas)
        for promise in sorted(mine, key=_comes_first):
            key = like.of(promise)
            settled = known.get(key)
            if settled is None or settled.names_zones:
                settled = known[key] = part.settle(promise, known.get(like.of_general(promise)))
                known[like.as_general(promise)] = settled
            spent.sets += settled.sets
            yield Verdict(promise, _as_far_as_followed(promise, settled))
        part.add_to(spent)
        part.let_go()
    whole.table.forget_readings()


def _as_far_as_followed(promise: Promise, settled: Settled) -> Settled:
    """Return the verdict, undecided where it would stand on what no slice follows."""
    if promise.unfollowed and settled.result in (VerdictKind.HOLDS, VerdictKind.EMPTY):
        return replace(settled, result=VerdictKind.UNDECIDED, why=promise.unfollowed)
    return settled


def rested(verdicts: Sequence[Verdict]) -> list[Verdict]:
    """Return the verdicts, a sum being undecided where something that it takes as kept isn't proved."""
    open_ = [each.promise for each in verdicts if each.settled.result in (VerdictKind.UNDECIDED, VerdictKind.FAILS)]

    def held(verdict: Verdict) -> Verdict:
        mine = verdict.promise
        if any(each.kind in mine.rests_on and each.areas & mine.areas for each in open_):
            return replace(verdict, settled=replace(verdict.settled, result=VerdictKind.UNDECIDED, why=RESTS))
        return verdict

    return list(map(held, verdicts))


def _comes_first(promise: Promise) -> tuple[bool, list[ZoneNumber]]:
    """Order the owner's own statements before all else, while there is most to spend on them; then zone by zone.

    What was looked at for one promise about a zone serves the others about it, before it is forgotten.
    """
    return promise.kind != "must", sorted(promise.judged or ())


@dataclass(frozen=True, slots=True)
class _View:
    """How a part is looked at: by all who look at it so, or for some zones alone."""

    heard: bool  # whether the sounder is listened to; else the messages are looked at
    details: frozenset[Fact] = frozenset()  # what is kept of its areas but where they are
    judged: frozenset[ZoneNumber] | None = None  # zones that judges look at; None: any


_SURE = frozenset({VerdictKind.FAILS, VerdictKind.EMPTY})


class _Part:
    """One area, or some, with what was found out about it when it was first needed."""

    def __init__(
        self,
        setup: Setup,
        whole: Slice,
        areas: frozenset[AreaNumber],
        promises: Sequence[Promise],
        window: Window,
    ) -> None:
        self.setup, self.whole, self.areas, self.limits = setup, whole, areas, window.limits
        looked_at = [each for each in promises if each.outright is None]
        self.named = frozenset(number for each in looked_at for number in each.zones)
        self.together = together(setup, (each.zones for each in looked_at))
        self.also = frozenset(act for each in promises for act in each.also)
        self.table: Table | None = None  # of what `step` does here
        self.grounds: dict[_View, tuple[Ground, _Cases]] = {}
        self.bounds: dict[_View, str] = {}  # why it is too large
        self.judged: frozenset[ZoneNumber] | None = None  # of the last promise
        self.held = {False: 0, True: 0}  # what was spent on what was looked at for single promises
        self.every: frozenset[Fact] = frozenset((part, area) for part in DETAILS for area in areas)

    def settle(self, promise: Promise, general: Settled | None = None) -> Settled:
        """Return what becomes of a promise; `general` is the verdict on one of which it is a case, if there is one.

        It is tried first where of its areas little is kept but where they are, and only then where all is.
        """
        if promise.outright is not None:
            return Settled(_OUTRIGHT[promise.outright.what], why=promise.outright.why)
        if promise.consists_of:
            return _all_of([self.settle(each) for each in promise.consists_of])
        self._forget_others(promise)
        details: frozenset[Fact] = frozenset()
        bound = self.too_large(_View(promise.heard))
        if bound is not None:
            return Settled(VerdictKind.UNDECIDED, why=bound)
        settled: Settled | None = None
        while settled is None and details != self.every:
            alone = promise.judged if details and not self._is_small(promise.heard) else None
            try:
                settled = self._settled(promise, general, _View(promise.heard, details, alone))
            except NotKept as asked:
                details |= {self._shared(asked.fact) if self._is_small(promise.heard) else asked.fact}
                continue
            sure = settled.result in _SURE or (settled.result is VerdictKind.HOLDS and not settled.why)
            too_large = settled.why.startswith(TOO_LARGE)  # so it is where more is kept, too
            long_to_show = settled.result is VerdictKind.HOLDS and not self._is_small(promise.heard)
            if sure or too_large or long_to_show:
                return settled
        fine = self._settled(promise, general, _View(promise.heard, self.every))
        held = settled is not None and settled.result is VerdictKind.HOLDS
        return settled if settled is not None and held and fine.result is VerdictKind.UNDECIDED else fine

    def _is_small(self, heard: bool) -> bool:
        """Return whether so little is to be looked at that it serves all promises at once."""
        few = all(len(ways_in(self.setup, area)) <= FEW_DOORS for area in self.areas)
        return few and self.grounds[_View(heard)][0].slice.purse.spent < SMALL

    def _shared(self, fact: Fact) -> Fact:
        """Return what serves the promises about all doors where one door is asked for."""
        what, about = fact
        return (DOORS_OF[what], cast("tuple[AreaNumber, ZoneNumber]", about)[0]) if what in DOORS_OF else fact

    def _settled(self, promise: Promise, general: Settled | None, view: _View) -> Settled:
        """Return what becomes of a promise where so much of its areas is kept; raises `NotKept` if it is too little."""
        rough = self.grounds[_View(view.heard)][0].slice
        purse, before, runs = rough.purse, rough.purse.spent, rough.table.runs
        try:
            if (bound := self.too_large(view)) is not None:
                return Settled(VerdictKind.UNDECIDED, why=bound)
            ground, cases = self.cases(view)
            purse.begin()
            if promise.twin is not None:
                return _compared(ground, promise)
            return _timed(ground, cases, promise, general) if promise.timed else _single(ground, cases, promise)
        except NothingLookedAt:
            never = _never(promise)
            return Settled(VerdictKind.EMPTY if never else VerdictKind.UNDECIDED, why=never or NOTHING_LOOKED_AT)
        except (OutOfBounds, TooLarge) as spent:
            return Settled(VerdictKind.UNDECIDED, why=f"{TOO_LARGE}: {spent}")
        finally:
            kept = (rough.table.runs - runs) * Work.RUNS.price
            self.held[view.heard] += max(0, purse.spent - before - kept)
            if purse.spent > purse.most * TIGHT_FROM:
                self._forget(view.heard)

    def _forget_others(self, promise: Promise) -> None:
        """Forget what was looked at for other zones than a promise is about, if that is much."""
        rough = self.grounds.get(_View(promise.heard))
        if promise.judged == self.judged or rough is None:
            return
        self.judged = promise.judged
        if self.held[promise.heard] > rough[0].slice.purse.most * FORGOTTEN_FROM:
            self._forget(promise.heard)

    def _forget(self, heard: bool) -> None:
        """Forget what was looked at for single promises, and give back what it cost."""
        for view in [view for view in self.grounds if view.heard is heard]:
            if view.details:
                del self.grounds[view]
            else:
                self.grounds[view][0].slice.forget_parts()
        self.grounds[_View(heard)][0].slice.purse.give_back(self.held[heard])
        self.held[heard] = 0

    def too_large(self, view: _View) -> str | None:
        """Return why the part is too large to look at all of it, worked out once; None if it isn't."""
        if view not in self.grounds and view not in self.bounds:
            try:
                self.cases(view)
            except (OutOfBounds, TooLarge) as bound:
                self.bounds[view] = f"{TOO_LARGE}: {self._size()}; {bound}"
        return self.bounds.get(view)

    def _size(self) -> str:
        """Return what makes the part large: its ways out, and what it shares."""
        zones = [zone for zone in self.setup.zones if zone.areas & self.areas]
        doors = sum(zone.behaviour.exit_door for zone in zones)
        shared = [zone for zone in zones if zone.areas - self.areas]
        apart = len(frozenset[AreaNumber]().union(*(zone.areas for zone in shared)) - self.areas)
        named = listed([f"area {area}" for area in sorted(self.areas)])
        has, shares = ("has", "shares") if len(self.areas) == 1 else ("have", "share")
        size = f"{count_of(len(zones), 'zone')}, {doors} {'way' if doors == 1 else 'ways'} out"
        return f"{named} {has} {size}, and {shares} {count_of(len(shared), 'zone')} with {count_of(apart, 'area')}"

    def cases(self, view: _View) -> tuple[Ground, _Cases]:
        """Return the cover with all its cases, found out when it is first asked for."""
        found = self.grounds.get(view)
        if found is None:
            make = partial(
                Slice, self.setup, self.areas, view.details, named=self.named, heard=view.heard, also=self.also,
                coarse=True, together=self.together, judged=view.judged,
            )  # fmt: skip
            # what `step` does is the same, whoever listens
            part = make() if self.table is None else make(table=self.table)
            rough = self.grounds.get(_View(view.heard))
            if rough is not None:
                part.reading.begin_with(rough[0].slice.reading)
            try:
                ground = Ground(Cover(part), self.limits, self.whole)
            except (OutOfBounds, TooLarge):
                if self.table is None:
                    part.table.forget_readings()
                raise
            self.table = part.table
            found = self.grounds[view] = ground, _Cases(ground)
        return found

    def let_go(self) -> None:
        """Forget all that was looked at: the next part shouldn't begin beside it."""
        self.grounds.clear()
        if self.table is not None:
            self.table.forget_readings()

    def add_to(self, effort: Effort) -> None:
        """Count what it took."""
        for ground, _ in self.grounds.values():
            effort.controls += len(ground.cover.controls)
        if self.grounds:
            effort.steps += next(iter(self.grounds.values()))[0].slice.table.runs


def _all_of(found: Sequence[Settled]) -> Settled:
    """Return the verdict on a promise that holds if each of these does that it consists of."""
    for result in (VerdictKind.FAILS, VerdictKind.UNDECIDED, VerdictKind.HOLDS):
        mine = [each for each in found if each.result is result]
        if mine:
            return replace(mine[0], sets=sum(each.sets for each in found), cases=sum(each.cases for each in mine))
    return found[0]


def _part_of(setup: Setup, promise: Promise, window: Window) -> _Part:
    """Return what one promise is settled on."""
    return _Part(setup, whole_panel(setup), looked_at(setup, promise), [promise], window)


def cases_about(setup: Setup, promise: Promise) -> list[Case]:
    """Return everything that can happen that a promise is about, each state with the event and one outcome.

    Raises `OutOfBounds` or `TooLarge` where it can't all be looked at.
    """
    if promise.outright is not None:
        return []
    part = _part_of(setup, promise, Window())
    _, cases = part.cases(_View(promise.heard, part.every))
    return [case for case in cases.of(promise) if promise.premise(*case)]


def runs_of(setup: Setup, promise: Promise, window: Window) -> tuple[Followed | None, list[Case]]:
    """Return all runs by which a timed promise holds, and everything that can happen at all in its areas.

    Raises `OutOfBounds` or `TooLarge` where it can't all be looked at.
    """
    part = _part_of(setup, promise, window)
    ground, cases = part.cases(_View(promise.heard, part.every))
    return followed(ground, _question(ground, promise)), cases.all


def looked_at(setup: Setup, promise: Promise) -> frozenset[AreaNumber]:
    """Return the areas that are kept for a promise: of each of its zones the one that its messages name.

    A zone that confirms another is kept with it, wherever it is.
    """
    homes = {zone.home for zone in setup.zones if zone.number in promise.zones}
    return with_pairs(setup, frozenset(homes or {min(promise.areas)}) | promise.near)


class _Cases:
    """Everything that can happen in a cover, gathered by the zones that it is about."""

    def __init__(self, ground: Ground) -> None:
        self.all: list[Case] = list(ground.cover.moves())
        self._slice, self._controls = ground.slice, ground.cover.controls
        self._of: dict[object, list[Case]] = {}
        self._by_act: dict[int, list[Case]] | None = None  # gathered when a promise about acts first asks for them
        about: dict[LeafEffect, list[list[Case]]] = {}
        for case in self.all:
            lists = about.get(case[2].effect)
            if lists is None:
                zones = _about(*case[1:])
                lists = about[case[2].effect] = [self._of.setdefault(number, []) for number in zones]
            for mine in lists:
                mine.append(case)

    def _of_acts(self) -> dict[int, list[Case]]:
        """Return what each act does, by its identity: a slice keeps its acts, each as one object."""
        if self._by_act is None:
            self._by_act = {}
            for case in self.all:
                self._by_act.setdefault(id(case[1]), []).append(case)
        return self._by_act

    def of(self, promise: Promise) -> list[Case]:
        """Return what a promise can be about."""
        if promise.acts:
            same, by_act = self._slice.table.same, self._of_acts()
            return [case for act in promise.acts for case in by_act.get(id(same(act)), ())]
        if promise.states is not None:
            here = {id(control) for control in self._controls if promise.states(control)}
            return [case for case in self.all if id(case[0]) in here]
        if not promise.zones:
            return self.all
        return [case for number in promise.zones for case in self._of.get(number, ())]


def _about(act: Act, outcome: EventOutcome) -> frozenset[object]:
    """Return the zones that an outcome is about."""
    outputs = (getattr(output, "zone", None) for output in outcome.outputs)
    called, held = (number for _, number in outcome.called), (number for number, _ in outcome.held)
    return frozenset({zone_of(act), getattr(act, "zone", None), *called, *held, *outputs}) - {None}


def _single(ground: Ground, cases: _Cases, promise: Promise) -> Settled:
    """Settle a promise that each event keeps or breaks by itself."""
    assert isinstance(promise.observer, Invariant)
    mine, judge = cases.of(promise), promise.observer.bad
    bad = [case for case in mine if judge(*case)]
    if promise.wants:
        return _wanted(ground, bad, promise)
    looked_at = len(ground.cover.controls)
    if bad:

        def plainly() -> Shown | None:
            shown = opened_plainly(ground.whole, promise.zones, promise.observer)
            way = witness(ground, bad, promise.observer) if shown is None else None
            return shown if way is None else (way, None)

        return settle(
            ground, Goal(promise.observer, None, about=promise.premise, judged=promise.judged, plainly=plainly)
        )
    met = [case for case in mine if promise.premise(*case)]
    if not met:
        return Settled(VerdictKind.EMPTY, looked_at, why=_how_far(ground, cases.all, promise))
    shown = _shown(ground, met, promise)
    if shown is None and (never := _never(promise)):
        return Settled(VerdictKind.EMPTY, looked_at, why=never)
    return holds(len(met), Settled(VerdictKind.HOLDS, looked_at, why="" if shown is not None else NOT_SHOWN))


def _never(promise: Promise) -> str:
    """Return which part of its case never comes about, if what people can do on the site rules that out.

    A slice that keeps one area of a shared zone takes any mode of the others for possible.
    """
    for part in promise.premise.parts:
        if isinstance(part.since, Never):
            return f'"{part.says}" never happens: {part.since}'
    return ""


def _shown(ground: Ground, cases: list[Case], promise: Promise) -> Timeline | None:
    """Return a run of the whole panel that comes to what a promise is about: one of these cases, or a plain opening."""
    plain = opened_plainly(ground.whole, promise.zones, Invariant(promise.premise))
    return plain[0] if plain is not None else witness(ground, cases, Invariant(promise.premise))


def _timed(ground: Ground, cases: _Cases, promise: Promise, general: Settled | None) -> Settled:
    """Settle a promise that begins with an event and takes its time."""
    begins = [case for case in cases.of(promise) if promise.root(case[0]) and promise.premise(*case)]
    begins = begins or [case for case in cases.all if promise.root(case[0]) and promise.premise(*case)]
    if not begins:
        return Settled(VerdictKind.EMPTY, len(ground.cover.controls), why=_how_far(ground, cases.all, promise))
    if general is not None and general.result is VerdictKind.HOLDS:
        settled = replace(general, sets=0, why="", cases=len(begins))
    else:
        settled = settle(ground, _question(ground, promise))
    if settled.result is VerdictKind.HOLDS and _shown(ground, begins, promise) is None:
        never = _never(promise)
        return replace(settled, result=VerdictKind.EMPTY if never else VerdictKind.HOLDS, why=never or NOT_SHOWN)
    return settled


def _question(ground: Ground, promise: Promise) -> Goal:
    def plainly() -> Shown | None:
        exact = all(ground.limits(seconds) == (seconds, seconds) for seconds in (1, 1000))
        return opened_plainly(ground.whole, promise.zones, promise.observer, promise.root) if exact else None

    focus = _twins(ground, promise) | promise.keeps
    return Goal(promise.observer, promise.root, focus, promise.zones, promise.premise, promise.judged, plainly)


def _compared(ground: Ground, promise: Promise) -> Settled:
    """Settle that two codes do the same in every state, but for who is told."""
    assert promise.twin is not None
    mine, other = promise.twin
    part, looked_at = ground.slice, len(ground.cover.controls)
    differs = []
    compared = 0
    for control in ground.cover.controls:
        plain = {frozenset(leaf.facts.items()): leaf for leaf in part.leaves(control, other)}
        for leaf in part.leaves(control, mine):
            compared += 1
            twin = plain.get(frozenset(leaf.facts.items()))
            if twin is None or tells_apart(leaf, twin, mine):
                differs.append(control)
    for control in differs[:MOST_TRIED]:
        before = ground.cover.way_to(control)
        run = tried(ground, (*before, Move(mine, part.outcomes(control, mine)[0])), len(before), promise.observer)
        if isinstance(run, ReplayedRun) and run.bad:
            return Settled(VerdictKind.FAILS, looked_at, timeline=run.timeline)
    if differs:
        return Settled(VerdictKind.UNDECIDED, looked_at, why=OTHER_PANEL)
    return holds(compared, Settled(VerdictKind.HOLDS, looked_at))


def _how_far(ground: Ground, mine: list[Case], promise: Promise) -> str:
    """Return how far it can come towards what a promise is about, and what then never is."""
    parts = promise.premise.parts
    reached, place = mine, 0
    for place, part in enumerate(parts):  # noqa: B007 - where it ends is what is wanted
        further = [case for case in reached if part.met(*case)]
        if not further:
            break
        reached = further
    else:
        return "it never begins while all is quiet"
    since = f": {parts[place].since}" if parts[place].since else ""
    if place == 0:
        return f'"{parts[0].says}" never happens{since}'
    far = " ".join(part.says for part in parts[:place])
    before = Invariant(Premise(parts[:place]))
    can = "can happen" if witness(ground, reached, before) is not None else "isn't ruled out"
    return f'"{far}" {can}, "{parts[place].says}" then never{since}'


def _twins(ground: Ground, promise: Promise) -> frozenset[Fact]:
    """Return what keeps a promise's zones apart from those that act alike, whose alarms are no answer of theirs."""
    return frozenset(("itself", number) for number in ground.slice.twins(promise.zones))


def _wanted(ground: Ground, good: list[Case], promise: Promise) -> Settled:
    """Settle that something is possible: by a run of the whole panel that shows it."""
    looked_at = len(ground.cover.controls)
    shown = witness(ground, good, promise.observer)
    if shown is None and good and (plain := opened_plainly(ground.whole, promise.zones, promise.observer)) is not None:
        shown = plain[0]
    if shown is not None:
        return holds(len(good), Settled(VerdictKind.HOLDS, looked_at, timeline=shown))
    if good:
        return Settled(VerdictKind.UNDECIDED, looked_at, why=NOT_SHOWN)
    return Settled(VerdictKind.FAILS, looked_at, timeline=_unnoticed(ground.whole.setup, promise))


def _unnoticed(setup: Setup, promise: Promise) -> Timeline:
    """Return a zone's opening with its areas armed away, everything else at rest."""
    panel = Clockwork(setup)
    entries = [panel.give(act) for area in sorted(promise.areas) for act in setting(setup, area, Mode.AWAY)]
    entries += panel.rest()
    entries += [panel.give(ZoneOpens(number)) for number in promise.zones]
    return (*entries, *panel.rest())

"""How a table is read by a slice that knows some facts and not others.

Rules of this file:
1. A fact in `kept` is answered by the state, any other by both answers, or by one that is assumed (2, 3).
2. Some facts are assumed absent: tamper and a bypass of a zone whose device isn't speaking; a low battery and a missing
   device of any zone, unless the zone is to confirm the one that speaks. They only add lines to the display, tones and
   messages about troubles; and a bypassed zone acts as a shut one, except for messages about the bypass. What was
   reported counts as over, which leaves out restores. Promises here say nothing about any of this. (Tests hold `step`
   to it.) Whether a trouble stops arming is asked as one question, whichever trouble it is; nothing is shown or sent
   about it.
3. A reading that listens to the sounder ignores messages: nothing waits and no abort window runs, since these decide
   nothing about what sounds. One that reads messages ignores the sounder: it may be silent or not, whatever happened
   before. (Tests hold `step` to it.)
4. Of zones that are in the way alike while another acts (`alike.py`), only one is asked whether it is open, and only
   where that matters. When an area is to be armed, at most one is taken as open: arming is refused for one as for many,
   or each is bypassed, which is forgotten.
5. Outcomes with the same effect, of which judges see the same (`told.py`), are one.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import cast

from zonewright.behaviour.acts import users
from zonewright.behaviour.events import (
    Arm,
    DeviceEvent,
    Disarm,
    Expires,
    QuickExit,
    Timer,
    TimerKind,
    ZoneCloses,
)
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import AreaState, Control, Door, Phase
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.prover.doors import Doors, DoorSets
from zonewright.proof.prover.facts import ANOTHER, DOORS_OF, MODES_SET, OF_AREAS, PLACE, Fact, is_likely, truth
from zonewright.proof.prover.memory import Kept, Memory
from zonewright.proof.prover.other_areas import can_be, told_of_areas
from zonewright.proof.prover.outcome import Cases, EventOutcome, LeafEffect, ends_exit, zone_of
from zonewright.proof.prover.purse import Work
from zonewright.proof.prover.table import Act, Answers, Chosen, Leaf, Table
from zonewright.proof.prover.told import Telling, are_paired
from zonewright.site.record import ZoneNumber

_SOUNDER: Answers = (Pattern.NONE, Pattern.FIRE)  # silent or not: `step` asks no more, except what sounds next
_OF_MESSAGES = frozenset({TimerKind.ABORT, TimerKind.CANCEL, TimerKind.RECENT, TimerKind.CONFIRM})
_EITHER, _NO, _YES = (False, True), (False,), (True,)
_NO_RULE: Answers = ("no rule yet",)
_PHASE_OF = {TimerKind.EXIT: Phase.EXIT, TimerKind.ENTRY: Phase.ENTRY}
_IN_CONTEXT: Answers = ("depends on earlier answers and on what is kept",)
_NO_TIMERS: frozenset[Timer] = frozenset()


@dataclass(slots=True, eq=False)
class _Fork:
    """What to look at next, and what was found for each of its answers."""

    fact: Fact
    ways: dict[Hashable, _Fork | Cases] = field(default_factory=dict)


@dataclass(slots=True)
class Reading:
    """One way to read a table. What was read once is remembered."""

    table: Table
    memory: Memory
    asked: frozenset[ZoneNumber]  # zones that are asked whether they are open while another acts
    doors: DoorSets
    hidden: frozenset[ZoneNumber] = frozenset()  # zones that no judge here looks at
    idle: set[int] = field(default_factory=set)  # by identity: closings and ends of timers that never change anything
    loose: dict[Timer, Act] = field(default_factory=dict)  # timers not kept that were ever started, and their ends
    telling: Telling = field(init=False)
    _states: dict[int, ReadControl] = field(default_factory=dict)
    _controls: dict[Hashable, Control] = field(default_factory=dict)
    _areas: dict[tuple[AreaState, ...], tuple[AreaState, ...]] = field(default_factory=dict)
    _ways: dict[int, _Fork | Cases] = field(default_factory=dict)  # by the identity of the act, the next two as well
    _rules: dict[int, dict[Fact, Answers | None]] = field(default_factory=dict)
    _along: dict[tuple[int, int], list[Answers | None]] = field(default_factory=dict)  # and that of a trail
    _effects: dict[Leaf, LeafEffect] = field(default_factory=dict)
    _numbers: dict[Leaf, tuple[int, Kept]] = field(default_factory=dict)
    _keys: dict[Hashable, int] = field(default_factory=dict)
    _places: dict[Hashable, Answers] = field(default_factory=dict)
    _opens: dict[Hashable, Answers] = field(default_factory=dict)
    _fits: dict[Hashable, Answers] = field(default_factory=dict)
    _depends: dict[int, set[Fact]] = field(default_factory=dict)  # by the identity of the act
    _coarser: Reading | None = None  # one that keeps less; `_beyond` is what is kept here in addition
    _beyond: frozenset[Fact] = frozenset()
    _seen_here: dict[int, tuple[Cases, Cases]] = field(default_factory=dict)  # by identity of cases found elsewhere
    _adopted: dict[int, tuple[int, bool]] = field(default_factory=dict)  # by event: whether it is the same there

    def __post_init__(self) -> None:
        self.telling = Telling(self.table.setup, self.memory, self.hidden)

    def begin_with(self, coarser: Reading) -> None:
        """Take over what a reading that keeps less has found about events that don't touch what it lacks.

        Another reading of the same table is used instead if it keeps more than that one, but less than this one, and
        hides the same zones.
        """
        if coarser is self or self._coarser is not None or not coarser.memory.kept <= self.memory.kept:
            return
        coarser = max((coarser, *self._coarser_ones()), key=lambda each: len(each.memory.kept))
        found: set[Fact] = {("zone", number) for number in coarser.asked ^ self.asked}
        for what, about in self.memory.kept - coarser.memory.kept:
            if isinstance(about, Timer) and coarser.memory.tracks(about):
                continue
            if what in OF_AREAS and about in self.memory.areas:
                found |= {(what, about)} if not coarser.memory.keeps((what, about)) else set()
            elif what in OF_AREAS:
                found |= {(part, about) for part in OF_AREAS} | {("area", about)}
            elif what in DOORS_OF:
                area = cast("tuple[AreaNumber, ZoneNumber]", about)[0]
                found |= {(DOORS_OF[what], area), *(() if area in self.memory.areas else (("area", area),))}
            elif isinstance(about, Timer):
                found |= {("runs", about), ("area", about.number)}
            else:
                found |= {("zone", about), ("part", "alarms")}
        found |= {("area", area) for area in self.table.here - coarser.table.here}
        self._coarser, self._beyond = coarser, frozenset(found)
        self.let_loose(coarser.loose)

    def _coarser_ones(self) -> Iterator[Reading]:
        """Give the readings of this table that keep less, and listen and hide zones as this one does."""
        for each in cast("Iterable[Reading]", self.table.readings.values()):
            alike = each.memory.heard is self.memory.heard and each.hidden == self.hidden
            if alike and each.memory.kept < self.memory.kept:
                yield each

    def _known(self, state: ReadControl, act: Act) -> Cases | None:
        """Return what was found about an event in a state, here or by a reading that keeps less; None if nothing."""
        place = self._ways.get(id(act))
        while isinstance(place, _Fork):
            place = place.ways.get(state[place.fact])
        if place is not None or self._coarser is None:
            return place
        found = self._coarser._known(state, act) if self._is_same_there(self._coarser, act) else None
        if found is None:
            return None
        self.depends_on(act).update(self._coarser.depends_on(act))
        return self._as_seen_here(self._coarser, act, found)

    def _is_same_there(self, coarser: Reading, act: Act) -> bool:
        """Return whether an event, as far as known, doesn't touch what a reading that keeps less lacks."""
        touched = coarser.table.touched.get(act, ())
        known, same = self._adopted.get(id(act), (-1, False))
        if known != len(touched):
            same = self._beyond.isdisjoint(touched)
            self._adopted[id(act)] = len(touched), same
        return same

    def _as_seen_here(self, coarser: Reading, act: Act, cases: Cases) -> Cases:
        """Return what another reading found as it is seen here, where judges may look at fewer zones."""
        found = self._seen_here.get(id(cases))
        if found is None:
            ways: dict[Hashable, tuple[LeafEffect, frozenset[Timer], bool]] = {}
            for effect, stops, still in cases:
                self.let_loose(timer for timer, _ in effect.leaf.change.starts)
                if self.hidden != coarser.hidden:
                    mine = self._effect(act, effect.leaf)
                    ways.setdefault((mine.key, stops), (mine, stops, still))
            found = self._seen_here[id(cases)] = cases, tuple(ways.values()) if ways else cases
        return found[1]

    def state(self, control: Control) -> ReadControl:
        """Return what is known about one of this reading's own states."""
        found = self._states.get(id(control))
        if found is None:
            found = self._states[id(control)] = ReadControl(control, self.table.setup)
        return found

    def cases(self, state: ReadControl, act: Act) -> Cases:
        """Return what an event may do in a state; raises `TooLarge`."""
        if not self._can_happen(state, act):
            return ()
        found = self._known(state, act)
        return self._find(state, act) if found is None else found

    def _can_happen(self, state: ReadControl, act: Act) -> bool:
        """Return False for the end of an exit or entry time in another area that is known to be disarmed."""
        if not isinstance(act, Expires) or act.timer.kind not in _PHASE_OF or act.timer.number in self.memory.areas:
            return True
        mode: Fact = ("mode", act.timer.number)
        if mode not in self.memory.kept:
            return True
        self.depends_on(act).add(mode)
        return state[mode] is not Mode.DISARMED

    def leaves(self, state: ReadControl, act: Act) -> tuple[list[Leaf], list[Fact]]:
        """Return every run of `step` that an event may lead to in a state, and its questions; raises `TooLarge`."""
        runs, purse = self.table.steps, self.table.purses[self.memory.heard]
        found = self.table.leaves(state.control, act, _Asking(self, act, state))
        purse.pay(Work.RUNS, self.table.steps - runs)
        purse.pay(Work.WAYS, len(found[0]))
        return found

    def rule(self, act: Act, fact: Fact) -> Answers | None:
        """Return the answers to a question in every state; `_IN_CONTEXT` if they vary, None if the state answers it."""
        rules = self._rules.get(id(act))
        if rules is None:
            rules = self._rules[id(act)] = {}
        rule = rules.get(fact, _NO_RULE)
        if rule is _NO_RULE:
            rule = rules[fact] = self._rule(act, fact)
        return rule

    def rules_along(self, act: Act, trail: tuple[Fact, ...]) -> list[Answers | None]:
        """Return the rules of all questions of a trail that a table keeps."""
        found = self._along.get((id(act), id(trail)))
        if found is None:
            found = self._along[id(act), id(trail)] = [self.rule(act, fact) for fact in trail]
        return found

    def _find(self, state: ReadControl, act: Act) -> Cases:
        """Look an event up in the table, and remember it for all states that answer alike."""
        found: dict[tuple[int, frozenset[Timer]], tuple[LeafEffect, frozenset[Timer], bool]] = {}
        leaves, walked = self.leaves(state, act)
        running = state.control.running
        asked: dict[Fact, Hashable] = {}  # what depends on the state
        for fact in dict.fromkeys(walked):
            rule = self.rule(act, fact)
            if rule is None:
                asked[fact] = state[fact]
            elif rule is _IN_CONTEXT:
                asked |= {part: state[part] for part in self._rests_on(act, fact)}
        for leaf in leaves:
            number, kept = self._numbers.get(leaf) or self._number(act, leaf)
            stops = _NO_TIMERS
            if kept.stops:
                stops = frozenset(timer for timer in kept.stops if timer in running)
                asked |= {("runs", timer): timer in running for timer in kept.stops}
            if (number, stops) not in found:
                found[number, stops] = self._effect(act, leaf), stops, kept.still and not stops
        cases = tuple(found.values())  # of equal ones, the one with the fewest true answers
        self._hang(act, asked, cases)
        if isinstance(act, Expires | ZoneCloses) and not asked and all(still for _, _, still in cases):
            self.idle.add(id(act))
        return cases

    def _hang(self, act: Act, asked: dict[Fact, Hashable], cases: Cases) -> None:
        """Save what was found below the questions that lead to it; which one comes next depends on the last answer."""
        ways, key = cast("dict[Hashable, _Fork | Cases]", self._ways), cast("Hashable", id(act))
        for fact, answer in asked.items():
            fork = ways.setdefault(key, _Fork(fact))
            assert isinstance(fork, _Fork)
            ways, key = fork.ways, answer
        ways[key] = cases
        self.depends_on(act).update(asked)

    def depends_on(self, act: Act) -> set[Fact]:
        """Return the kept facts on which the outcomes of an event, found so far, depend: a set that grows with them."""
        found = self._depends.get(id(act))
        if found is None:
            found = self._depends[id(act)] = set()
        return found

    def _rule(self, act: Act, fact: Fact) -> Answers | None:
        """Return the answers that a question has here in every state; None if the state answers it."""
        what, about = fact
        if what == "siren without":
            plays = about == () and zone_of(act) is not None
            return None if self.memory.heard else _SOUNDER if plays else (Pattern.NONE,)
        if what == "before":
            return None if self.memory.heard else _NO
        if what in ("all in", "confirms"):
            return _IN_CONTEXT
        if what == "part" or fact in self.memory.kept:
            return None
        if what == "memory":  # it only adds lines to the display
            return ((),)
        if what == "began":
            return _EITHER if self.memory.tracks(Timer(TimerKind.CONFIRM, cast("AreaNumber", about))) else _NO
        if what == "any runs":
            kind, numbers = cast("tuple[TimerKind, tuple[int, ...]]", about)
            if all(self.memory.tracks(Timer(kind, number)) for number in numbers):
                return None
            return _NO if self.memory.heard else _EITHER
        if what == "elsewhere":
            return _EITHER if self.memory.heard else _NO
        if what in OF_AREAS:
            return None if self.memory.keeps(fact) else _IN_CONTEXT
        if isinstance(about, Timer):
            if self.memory.tracks(about):
                return None
            if isinstance(act, Expires) and act.timer == about:
                return _YES
            return _NO if self.memory.heard and about.kind in _OF_MESSAGES else _EITHER
        if what == "shut out" and ends_exit(act):
            return _NO  # one that is shut out then acts as one that is shut
        if what == "shut out" and self._as_if_it_were_not_there(act, about):
            return _NO
        if what in ("shut out", "barred"):
            return _EITHER
        speaks = zone_of(act) == about
        if speaks and about in self.hidden and isinstance(act, DeviceEvent) and what in ("open", "bypassed"):
            return _YES if what == "open" and isinstance(act, ZoneCloses) else _NO  # else nothing comes of it
        if what in ("open", "bypassed", "trouble missing") and are_paired(self.table.setup, zone_of(act), about):
            return _EITHER
        if what == "open" and not speaks and isinstance(act, Arm) and self._stands_in_the_way(about):
            return _IN_CONTEXT
        if what == "open" and ends_exit(act) and self._matters_open(act, about):
            return _IN_CONTEXT
        if what == "open":
            return _EITHER if speaks or self._matters_open(act, about) else _NO
        return _EITHER if speaks and what in ("bypassed", "trouble tamper") else _NO

    def _as_if_it_were_not_there(self, act: Act, about: Hashable) -> bool:
        """Return whether a door that is shut out acts, at the end of an entry time, as if nobody came in by it.

        It does if no other area has it and nothing else depends on it, unless it is kept whether people came in by it.
        """
        if not isinstance(act, Expires) or act.timer.kind is not TimerKind.ENTRY:
            return False
        zone, area = self.table.setup.zone(cast("ZoneNumber", about)), AreaNumber(act.timer.number)
        told = self.memory.keeps(("entry_by", area)) or about in self.memory.doors.get(("by", area), ())
        return zone is not None and len(zone.areas) == 1 and not told and not self.table.setup.settings.entry_hold

    def _stands_in_the_way(self, about: Hashable) -> bool:
        """Return whether a zone matters only by stopping arming, as any other like it does."""
        zone = self.table.setup.zone(cast("ZoneNumber", about))
        kept = any(each == about for what, each in self.memory.kept if what not in OF_AREAS)
        return about in self.asked and zone is not None and not zone.protects_life and not kept

    def _matters_open(self, act: Act, about: Hashable) -> bool:
        """Return whether it matters, while something happens, that another zone is open.

        It does when an area is to be armed. An exit door also matters when people come and go and when an exit time
        ends. Otherwise an open zone only adds lines to the display, restores, and bypasses at the end of an exit time.
        """
        zone = self.table.setup.zone(cast("ZoneNumber", about))
        if about not in self.asked or zone is None:
            return False
        if zone.protects_life or any(each == about for what, each in self.memory.kept if what not in OF_AREAS):
            return True
        sets = isinstance(act, Arm)
        if isinstance(act, DeviceEvent):
            speaking = self.table.setup.zone(act.zone)
            sets = zone.behaviour.exit_door or (speaking is not None and speaking.behaviour.arms is not None)
        return sets or (zone.behaviour.exit_door and (ends_exit(act) or isinstance(act, QuickExit)))

    def after(self, before: Control, kept: Kept, stops: frozenset[Timer]) -> Control:
        """Return a control after a change; for equal controls the same object."""
        running = before.running
        if stops or kept.starts:
            running = (running - stops) | {timer for timer, _ in kept.starts}
        areas = before.areas
        if kept.areas:
            found = kept.areas_after.get(id(areas))
            if found is None:
                changes = kept.areas
                made = tuple(replace(area, **changes.get(area.number, {})) for area in areas)
                found = kept.areas_after[id(areas)] = areas, self._same_areas(made)
            areas = found[1]
        parts = kept.parts
        for name, gained in kept.gained.items():
            parts = {**parts, name: getattr(before, name) | gained}
        for name, lost in kept.lost.items():
            parts = {**parts, name: parts.get(name, getattr(before, name)) - lost}
        causes = self.memory.calls(before.causes, kept)
        if parts or kept.waits:
            part = parts.get
            waiting = part("waiting", before.waiting)
            if kept.waits and not waiting:
                waiting = kept.waits
            elif kept.waits:
                waiting = tuple(sorted({*waiting, *kept.waits}))
            what = (
                part("open", before.open), part("bypassed", before.bypassed), part("alarms", before.alarms),
                part("troubles", before.troubles), part("standing", before.standing),
                waiting, causes,
            )  # fmt: skip
        else:
            what = (before.open, before.bypassed, before.alarms, before.troubles, before.standing, before.waiting,
                    causes)  # fmt: skip
        key = id(areas), what, running
        control = self._controls.get(key)
        if control is None:
            control = self._controls[key] = Control(areas, *what, True, running)
        return control

    def same(self, control: Control) -> Control:
        """Return the one object that stands for this state."""
        areas = self._same_areas(control.areas)
        what = (control.open, control.bypassed, control.alarms, control.troubles, control.standing, control.waiting,
                control.causes)  # fmt: skip
        return self._controls.setdefault((id(areas), what, control.running), replace(control, areas=areas))

    def _same_areas(self, areas: tuple[AreaState, ...]) -> tuple[AreaState, ...]:
        return self._areas.setdefault(areas, areas)

    def _effect(self, act: Act, leaf: Leaf) -> LeafEffect:
        """Return a leaf as it is seen here; made once."""
        found = self._effects.get(leaf)
        if found is None:
            number, kept = self._number(act, leaf)
            found = self._effects[leaf] = LeafEffect(leaf, self.telling.report(act, leaf), kept, number)
        return found

    def _number(self, act: Act, leaf: Leaf) -> tuple[int, Kept]:
        """Return a number, the same for all leaves that are one here, and what is remembered of the leaf's change.

        Timers that it starts, and that aren't kept, may end at any moment from then on.
        """
        found = self._numbers.get(leaf)
        if found is None:
            change = leaf.change
            kept = self.memory.of(change)
            self.let_loose(timer for timer, _ in change.starts)
            key = kept, self.telling.key(act, leaf)
            found = self._numbers[leaf] = self._keys.setdefault(key, len(self._keys)), kept
        return found

    def let_loose(self, timers: Iterable[Timer]) -> None:
        """Note timers that were started: those not kept may end at any moment."""
        for timer in timers:
            if timer not in self.loose and not self.memory.tracks(timer):
                self.loose[timer] = self.table.same(Expires(timer))

    def _rests_on(self, act: Act, fact: Fact) -> list[Fact]:
        """Return the kept facts on which the possible answers to a question depend."""
        what, about = fact
        if what == "open":
            return self._known_open(AreaNumber(act.timer.number)) if isinstance(act, Expires) else []
        if what == "confirms":
            return [runs for runs in self._windows(about) if self.memory.tracks(cast("Timer", runs[1]))]
        place: list[Fact] = [(part, about) for part in PLACE if self.memory.keeps((part, about))]
        return place + [fact for one, part in DOORS_OF.items() if part == what for fact in self._told_one(one, about)]

    def _told_one(self, what: str, area: Hashable) -> list[Fact]:
        """Return the kept questions about single doors of an area."""
        doors = self.memory.doors.get((what, cast("AreaNumber", area)), ())
        return [(what, (area, door)) for door in (*sorted(doors), *([ANOTHER] if doors else []))]

    def _fitting(self, what: str, area: Hashable, sets: Answers, state: ReadControl) -> Answers:
        """Return the sets of doors that agree with what is kept of single doors."""
        told = {fact[1][1]: state[fact] for fact in self._told_one(what, area)}  # type: ignore[index]
        if not told:
            return sets

        def fits(some: Doors) -> bool:
            others = told[ANOTHER] is True or not some - told.keys()
            return others and all((each in some) == so for each, so in told.items() if each != ANOTHER)

        key = what, area, tuple(told.items())
        found = self._fits.get(key)
        if found is None:
            some = cast("tuple[Doors, ...]", sets)
            found = self._fits[key] = tuple(each for each in some if fits(each))
        return found

    def _ways_in(self, act: Act, area: Hashable, state: ReadControl) -> Answers:
        """Return the sets of doors by which the entry time of an area may run, given what is kept of it.

        The other doors may all be shut out; then it is as if there were none. To a door that opens, the set makes no
        difference. A disarm of the area only names its doors; a disarm of another area ends the wait for the doors that
        the two share.
        """
        some = cast("tuple[Doors, ...]", self._fitting("by", area, self.doors.ways_in(cast("AreaNumber", area)), state))
        if isinstance(act, Disarm) and act.area == area:
            return tuple({each - self.hidden: None for each in some})
        if isinstance(act, Disarm):
            shared = self.doors.shared(act.area)
            alike = {(each - self.hidden, each.isdisjoint(shared), each <= shared): each for each in reversed(some)}
            return tuple(alike.values())
        return some[:1] if self._only_opens(act) else some

    def _ways_out(self, act: Act, area: Hashable, state: ReadControl) -> Answers:
        """Return the sets of an area's exit doors that may have been left open before its entry time.

        A disarm of the area only names such doors.
        """
        some = self._fitting("left", area, self.doors.left(cast("AreaNumber", area)), state)
        if isinstance(act, Disarm):
            return tuple({each - self.hidden: None for each in cast("tuple[Doors, ...]", some)})
        return some

    def _only_opens(self, act: Act) -> bool:
        """Return whether a device speaks that arms and disarms nothing."""
        zone = self.table.setup.zone(act.zone) if isinstance(act, DeviceEvent) else None
        return zone is not None and zone.behaviour.arms is None

    def _left_open(self, area: AreaNumber, about: Hashable, chosen: Chosen, state: ReadControl) -> Answers:
        """Return whether an exit door may be open when an exit time ends, given which others are."""
        told = {each: so for (what, each), so in chosen.items() if what == "open"}
        told |= {each: state[what, each] for what, each in self._known_open(area)}
        key = area, about, frozenset(told.items())
        found = self._opens.get(key)
        if found is None:
            every = self.doors.left_open(area)
            doors = {each: so for each, so in told.items() if any(each in some for some in every)}
            some = [some for some in every if all((each in some) is so for each, so in doors.items())]
            found = self._opens[key] = tuple(so for so in _EITHER if any((about in each) is so for each in some))
        return found

    def _known_open(self, area: AreaNumber) -> list[Fact]:
        """Return the kept questions whether exit doors of an area are open."""
        facts: list[Fact] = [("open", zone.number) for zone in self.table.setup.exit_doors(area)]
        return [fact for fact in facts if fact in self.memory.kept]

    def _windows(self, number: Hashable) -> list[Fact]:
        """Return the questions whether a confirm window runs in an area of this zone."""
        zone = self.table.setup.zone(cast("ZoneNumber", number))
        return [("runs", Timer(TimerKind.CONFIRM, area)) for area in sorted(zone.areas)] if zone is not None else []

    def in_context(self, act: Act, fact: Fact, chosen: Chosen, state: ReadControl) -> Answers:
        """Return the possible answers to a question, given earlier answers and what is kept."""
        what, about = fact
        if what == "confirms":
            if self.memory.heard:
                return _NO
            windows = self._windows(about)
            known = [runs for runs in windows if self.memory.tracks(cast("Timer", runs[1]))]
            return _NO if len(known) == len(windows) and not any(state[runs] for runs in known) else _EITHER
        if what == "open" and isinstance(act, Expires):
            return self._left_open(AreaNumber(act.timer.number), about, chosen, state)
        if what == "open":  # one in the way is enough: it stops arming, or is bypassed, which is forgotten
            others = (each for (asked, each), so in chosen.items() if asked == "open" and so is True and each != about)
            return _NO if any(self._stands_in_the_way(each) for each in others) else _EITHER
        if what == "all in" or (what in ("mode", "phase") and about not in self.table.here):
            return self._of_place(act, fact, chosen)
        if about in self.memory.areas:
            return self._of_area_here(act, fact, state)
        return self._of_area_apart(act, fact, chosen, state)

    def _of_area_here(self, act: Act, fact: Fact, state: ReadControl) -> Answers:
        """Return what a part of an area's state that isn't kept may be, given where the area is."""
        what, about = fact
        phase = state["phase", about]
        match what:
            case "entry_by":
                return self._ways_in(act, about, state) if phase is Phase.ENTRY else (frozenset(),)
            case "door":
                return tuple(Door) if phase is Phase.EXIT else (Door.UNUSED,)
            case "restarted":
                return _EITHER if phase is Phase.EXIT else _NO
            case "by_keypad":
                return _EITHER if phase is Phase.EXIT and self.memory.asks_for_keypad else _NO
            case "left_open":
                return self._ways_out(act, about, state) if phase is Phase.ENTRY else (frozenset(),)
            case _:
                return _NO

    def _of_place(self, act: Act, fact: Fact, chosen: Chosen) -> Answers:
        """Return the possible answers about where areas are of which nothing is kept, given earlier answers."""
        told = frozenset(each for each in told_of_areas(chosen) if each[0][1] not in self.table.here)
        if isinstance(act, Expires) and act.timer.kind in _PHASE_OF:
            told |= {(("phase", act.timer.number), _PHASE_OF[act.timer.kind])}
        found = self._places.get((fact, told))
        if found is None:
            every: Answers = {"mode": (Mode.DISARMED, *MODES_SET), "phase": tuple(Phase)}.get(fact[0], _EITHER)
            if fact[0] == "all in" and is_likely(fact):
                every = (True, False)
            found = self._places[fact, told] = tuple(each for each in every if can_be(told | {(fact, each)}))
        return found

    def _of_area_apart(self, act: Act, fact: Fact, chosen: Chosen, state: ReadControl) -> Answers:
        """Return what one part of the state of an area that isn't kept may be, given earlier answers about it."""
        what, about = fact
        kept = ("mode", about) in self.memory.kept
        mode = state[("mode", about)] if kept else chosen.get(("mode", about))
        phase = state[("phase", about)] if ("phase", about) in self.memory.kept else chosen.get(("phase", about))
        if isinstance(act, Expires) and act.timer.number == about:
            phase = _PHASE_OF.get(act.timer.kind, phase)
        match what:
            case "mode":
                if phase is None:
                    return (Mode.DISARMED, *MODES_SET)
                return (Mode.DISARMED,) if phase is Phase.REST else MODES_SET
            case "phase":
                if phase is not None:
                    return (phase,)
                if mode is None:
                    return tuple(Phase)
                return (Phase.REST,) if mode is Mode.DISARMED else (Phase.SET, Phase.EXIT, Phase.ENTRY)
            case "entry_by":
                return self._ways_in(act, about, state)
            case "door":
                return Door.UNUSED, Door.OPENED
            case "left_open":  # it only adds messages at the end of the entry time
                ends = isinstance(act, Expires) and not self.memory.heard
                return self._ways_out(act, about, state) if ends else (frozenset(),)
            case "by_keypad" if kept or self.table.setup.settings.completing_act:
                return _EITHER  # it decides in which mode the area is armed, if at all
            case "user":
                return users(self.table.setup, cast("AreaNumber", about))
            case _:
                return _NO


@dataclass(slots=True)
class _Asking:
    """Answers, for a state in one reading, what one event asks."""

    reading: Reading
    act: Act
    state: ReadControl

    def __call__(self, fact: Fact, chosen: Chosen) -> Answers:
        """Return all possible answers to a question."""
        rule = self.reading.rule(self.act, fact)
        if rule is _IN_CONTEXT:
            return self.reading.in_context(self.act, fact, chosen, self.state)
        return (self.state[fact],) if rule is None else rule

    def as_in(self, run: Leaf, begin: int, end: int, chosen: Chosen, walked: list[Fact]) -> int:
        """Return the first of these places of a trail at which the run's answer isn't the only one; else `end`."""
        rules = self.reading.rules_along(self.act, run.trail)
        trail, answers, state = run.trail, run.answers, self.state
        for place in range(begin, end):
            rule, answer = rules[place], answers[place]
            if rule is None:
                fact = trail[place]
                if state[fact] != answer:
                    return place
                walked.append(fact)
            elif rule is _IN_CONTEXT:
                fact = trail[place]
                if self.reading.in_context(self.act, fact, chosen, state) != (answer,):
                    return place
                walked.append(fact)
            elif len(rule) != 1 or rule[0] != answer:
                return place
        return end


class ReadControl(dict[Fact, Hashable]):
    """A control with its answers, each looked up once, and what may happen in it, by the identity of the act."""

    __slots__ = ("control", "outcomes", "setup")

    def __init__(self, control: Control, setup: Setup) -> None:
        self.control, self.setup = control, setup
        self.outcomes: dict[int, tuple[EventOutcome, ...]] = {}

    def __missing__(self, fact: Fact) -> Hashable:
        answer = truth(self.control, self.setup, fact)
        self[fact] = answer
        return answer

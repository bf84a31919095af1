"""How a table is read by those who know some facts and not others.

Rules of this file:
1. A fact in `kept` is answered by the state, any other by both answers, or by the one that is taken as so (2, 3).
2. Of a zone whose device isn't speaking, tamper and a bypass are taken as absent, of any zone a low battery and that it
   was missed, but where it is to confirm the zone that speaks: they only add lines to the display, tones and messages
   about troubles, and a bypassed zone does as a shut one does, messages about the bypass aside; what was told counts as
   over, which leaves out restores. Nothing is told here of all this. (Tests hold `step` to it.)
   Whether a fault stands that stops setting is asked as one question, whichever it is; nothing is told of it.
3. Who listens to the sounder doesn't look at messages: nothing waits, no abort window runs; they tell nothing of what
   sounds. Who looks at messages doesn't listen: the sounder is silent or not, whatever happened before. (Tests hold
   `step` to it.)
4. Of zones that stand in the way alike while another acts (`alike.py`), one is asked whether it is open, and only
   where that matters.
5. Outcomes that differ only in lines of the display and bypasses of other zones are one. What a judge may read of an
   outcome is never taken as one: judges see just the facts by which outcomes are told apart (`_told_facts`).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, field, replace
from typing import cast

from zonewright.behaviour.acts import users
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    DeviceEvent,
    Disarm,
    Expires,
    QuickExit,
    Timer,
    TimerKind,
    Unbypass,
    ZoneCloses,
)
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import AreaState, Control, Door, Phase
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.memory import Memory
from zonewright.proof.outcome import Cases, Effect, Outcome, stands_open, zone_of
from zonewright.proof.purse import Work
from zonewright.proof.table import Act, Answers, Chosen, Leaf, Table
from zonewright.proof.unknowns import OF_AREAS, Fact, truth
from zonewright.site.record import ZoneNumber

_SOUNDER: Answers = (Pattern.NONE, Pattern.FIRE)  # silent, or anything: `step` asks no more of it but what sounds next
_OF_MESSAGES = frozenset({TimerKind.ABORT, TimerKind.CANCEL, TimerKind.RECENT, TimerKind.CONFIRM})
_EITHER, _NO, _YES = (False, True), (False,), (True,)
_NO_RULE: Answers = ("no rule yet",)
_ARMED: Answers = (Mode.AWAY, Mode.STAY, Mode.NIGHT)  # each for itself: a statement may ask for any of them
_PHASE_OF = {TimerKind.EXIT: Phase.EXIT, TimerKind.ENTRY: Phase.ENTRY}
_OF_AREA_APART: Answers = ("see what is said of it already",)


@dataclass(slots=True, eq=False)
class _Fork:
    """What to look at next, and what was found for each way it can be."""

    fact: Fact
    ways: dict[Hashable, _Fork | Cases] = field(default_factory=dict)


@dataclass(slots=True)
class Reading:
    """One way to read a table. What was read once is remembered."""

    table: Table
    memory: Memory
    asked: frozenset[ZoneNumber]  # zones that are asked whether they are open while another acts
    entries: dict[AreaNumber, Answers]  # of an area that isn't kept, by which doors its entry time may run
    idle: set[int] = field(default_factory=set)  # by identity: closings and ends of timers that never change anything
    loose: dict[Timer, Act] = field(default_factory=dict)  # timers not kept that were ever started, with their ends
    _states: dict[int, State] = field(default_factory=dict)
    _controls: dict[Hashable, Control] = field(default_factory=dict)
    _areas: dict[tuple[AreaState, ...], tuple[AreaState, ...]] = field(default_factory=dict)
    _ways: dict[Act, _Fork | Cases] = field(default_factory=dict)
    _rules: dict[Act, dict[Fact, Answers | None]] = field(default_factory=dict)
    _effects: dict[Leaf, Effect] = field(default_factory=dict)
    _keys: dict[Hashable, int] = field(default_factory=dict)

    def state(self, control: Control) -> State:
        """Return what is known of a state, one of this reading's own."""
        found = self._states.get(id(control))
        if found is None:
            found = self._states[id(control)] = State(control, self.table.setup)
        return found

    def cases(self, state: State, act: Act) -> Cases:
        """Return what an event may do in a state; raises `TooLarge`."""
        if not self._can_happen(state, act):
            return ()
        place = self._ways.get(act)
        while isinstance(place, _Fork):
            place = place.ways.get(state[place.fact])
        return self._find(state, act) if place is None else place

    def _can_happen(self, state: State, act: Act) -> bool:
        """Return False for the end of an exit or entry time in an area apart that is known to be disarmed."""
        if not isinstance(act, Expires) or act.timer.kind not in _PHASE_OF or act.timer.number in self.memory.areas:
            return True
        mode: Fact = ("mode", act.timer.number)
        return mode not in self.memory.kept or state[mode] is not Mode.DISARMED

    def leaves(self, state: State, act: Act) -> tuple[list[Leaf], list[Fact]]:
        """Return every run of `step` that an event may be in a state, and what it asked; raises `TooLarge`."""
        rules = self._rules.setdefault(act, {})

        def answers(fact: Fact, chosen: Chosen) -> Answers:
            rule = rules.get(fact, _NO_RULE)
            if rule is _NO_RULE:
                rule = rules[fact] = self._rule(act, fact)
            if rule is _OF_AREA_APART:
                return self._of_area_apart(act, fact, chosen, state)
            return (state[fact],) if rule is None else rule

        found = self.table.leaves(state.control, act, answers)
        self.table.purses[self.memory.heard].pay(Work.WAYS, len(found[0]))
        return found

    def _find(self, state: State, act: Act) -> Cases:
        """Look it up in the table, and remember it for all states that answer alike."""
        rules = self._rules.setdefault(act, {})
        found: dict[Hashable, tuple[Effect, frozenset[Timer], bool]] = {}
        leaves, walked = self.leaves(state, act)
        asked: dict[Fact, Hashable] = {}  # what depends on the state
        for fact in walked:
            if rules[fact] is None:
                asked[fact] = state[fact]
            elif rules[fact] is _OF_AREA_APART:
                told = [(part, fact[1]) for part in ("mode", "phase") if (part, fact[1]) in self.memory.kept]
                asked |= {part: state[part] for part in told}
        for leaf in leaves:
            effect = self._effects.get(leaf) or self._effect(act, leaf)
            stops = frozenset(timer for timer in effect.stops if timer in state.control.running)
            asked |= {("runs", timer): timer in state.control.running for timer in effect.stops}
            found.setdefault((effect.key, stops), (effect, stops, effect.still and not stops))
        cases = tuple(found.values())  # of equal ones that with the fewest true answers
        self._hang(act, asked, cases)
        if isinstance(act, Expires | ZoneCloses) and not asked and all(still for _, _, still in cases):
            self.idle.add(id(act))
        return cases

    def _hang(self, act: Act, asked: dict[Fact, Hashable], cases: Cases) -> None:
        """Put what was found below the questions that lead to it; what is asked next depends on what was answered."""
        ways, key = cast("dict[Hashable, _Fork | Cases]", self._ways), cast("Hashable", act)
        for fact, answer in asked.items():
            fork = ways.setdefault(key, _Fork(fact))
            assert isinstance(fork, _Fork)
            ways, key = fork.ways, answer
        ways[key] = cases

    def _rule(self, act: Act, fact: Fact) -> Answers | None:
        """Return the answers that a question has here, whatever the state; None if the state tells."""
        what, about = fact
        if what == "siren without":
            return None if self.memory.heard else _SOUNDER if about == () else (Pattern.NONE,)
        if what == "part" or fact in self.memory.kept:
            return None
        if what == "memory":  # it only adds lines to the display
            return ((),)
        if what == "begun_by":
            return self._beginners(about)
        if what == "elsewhere":
            return _EITHER if self.memory.heard else _NO
        if what in OF_AREAS:
            return None if about in self.memory.areas else _OF_AREA_APART
        if isinstance(about, Timer):
            if self.memory.tracks(about):
                return None
            if isinstance(act, Expires) and act.timer == about:
                return _YES
            return _NO if self.memory.heard and about.kind in _OF_MESSAGES else _EITHER
        if what in ("shut out", "barred"):
            return _EITHER
        speaks = zone_of(act) == about
        if what in ("open", "bypassed", "trouble missing") and self._are_paired(zone_of(act), about):
            return _EITHER
        if what == "open":
            return _EITHER if speaks or self._matters_open(act, about) else _NO
        return _EITHER if speaks and what in ("bypassed", "trouble tamper") else _NO

    def _are_paired(self, speaking: Hashable, about: Hashable) -> bool:
        """Return whether the zone that speaks is paired with this one, which may be unable to confirm it."""
        zone = self.table.setup.zone(cast("ZoneNumber", speaking)) if speaking is not None else None
        return zone is not None and about in zone.crosses and self.table.setup.settings.cross_window > 0

    def _matters_open(self, act: Act, about: Hashable) -> bool:
        """Return whether it matters while something happens that another zone stands open.

        It does where an area is to be armed; a way out, also where people leave and come, and where an exit time ends.
        Else it only adds lines to the display, restores, and bypasses at the end of an exit time.
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
        ends = isinstance(act, Expires) and act.timer.kind is TimerKind.EXIT
        return sets or (zone.behaviour.exit_door and (ends or isinstance(act, QuickExit)))

    def after(self, before: Control, effect: Effect, stops: frozenset[Timer]) -> Control:
        """Return a control with an effect on it; for equal ones the same object."""
        running = before.running
        if stops or effect.starts:
            running = (running - stops) | {timer for timer, _ in effect.starts}
        areas = before.areas
        if effect.areas:
            found = effect.areas_after.get(id(areas))
            if found is None:
                changes = effect.areas
                found = self._same_areas(tuple(replace(area, **changes.get(area.number, {})) for area in areas))
                effect.areas_after[id(areas)] = found
            areas = found
        parts = effect.parts
        for name, gained in effect.gained.items():
            parts = {**parts, name: getattr(before, name) | gained}
        for name, lost in effect.lost.items():
            parts = {**parts, name: parts.get(name, getattr(before, name)) - lost}
        causes = self.memory.calls(before.causes, effect.leaf)
        if parts:
            part = parts.get
            what = (
                part("open", before.open), part("bypassed", before.bypassed), part("alarms", before.alarms),
                part("troubles", before.troubles), part("standing", before.standing),
                part("waiting", before.waiting), causes,
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

    def _effect(self, act: Act, leaf: Leaf) -> Effect:
        """Forget of a leaf what isn't kept, and note timers that may end at any moment."""
        memory = self.memory
        parts = {name: memory.forget(name, value) for name, value in leaf.parts.items()}
        lost = {name: kept for name, value in leaf.lost.items() if (kept := memory.forget(name, value))}
        gained = {name: kept for name, value in leaf.gained.items() if (kept := memory.forget(name, value))}
        areas = {number: kept for number, state in leaf.areas.items() if (kept := memory.of_area(number, state))}
        starts = tuple(pair for pair in leaf.starts if memory.tracks(pair[0]))
        self.let_loose(timer for timer, _ in leaf.starts)
        stops = tuple(sorted(filter(memory.tracks, leaf.stops), key=str))
        speaking = zone_of(act)
        told_of = act.zone if isinstance(act, Bypass | Unbypass) else speaking
        told = self._told_facts(act, leaf, told_of)
        key = (
            tuple(parts.items()), tuple(lost.items()), tuple(gained.items()),
            tuple((number, *sorted(state.items())) for number, state in areas.items()), starts,
            stops, memory.told(told_of, leaf.outputs), leaf.called, memory.heard and leaf.ended, leaf.held,
            tuple(told.items()),
        )  # fmt: skip
        sounder = memory.heard and (leaf.called or leaf.ended != ())
        still = not (parts or lost or gained or areas or starts or sounder)
        number = self._keys.setdefault(key, len(self._keys))
        effect = Effect(leaf, parts, lost, gained, areas, starts, stops, still, number, told)
        self._effects[leaf] = effect
        return effect

    def let_loose(self, timers: Iterable[Timer]) -> None:
        """Note timers that were started: those not kept may end at any moment."""
        for timer in timers:
            if timer not in self.loose and not self.memory.tracks(timer):
                self.loose[timer] = self.table.same(Expires(timer))

    def _told_facts(self, act: Act, leaf: Leaf, told_of: Hashable) -> dict[Fact, Hashable]:
        """Return the facts by which this leaf is told apart from others that come to the same: all that judges see."""
        memory = self.memory
        speaking = zone_of(act)
        told = [getattr(output, "zone", None) for output in memory.told(told_of, leaf.outputs)]
        zones: set[Hashable] = {
            speaking,
            *told,
            *(number for _, number in leaf.called),
            *(number for number, _ in leaf.held),
        }
        nowhere: frozenset[AreaNumber] = frozenset()
        apart = nowhere.union(*(memory.areas_of.get(cast("ZoneNumber", number), nowhere) for number in zones))
        apart -= memory.areas
        doors = self._ways_out_left_open(act, leaf)
        exit_ends = isinstance(act, Expires) and act.timer.kind is TimerKind.EXIT

        def is_told(what: str, about: Hashable) -> bool:
            if what == "siren without":
                return speaking is not None and not memory.heard
            if what == "elsewhere":
                return speaking is not None
            if what in OF_AREAS:
                return what in ("mode", "phase") and about in apart
            if isinstance(about, Timer):
                return about.kind is TimerKind.CANCEL or (about.kind.of_zone and about.number in zones)
            if what == "shut out":
                return about in zones or about in doors or not exit_ends
            if self._are_paired(speaking, about):
                return True
            return what == "barred" or about in zones or (about in doors and what in ("open", "bypassed"))

        return {fact: answer for fact, answer in leaf.facts.items() if is_told(*fact)}

    def _ways_out_left_open(self, act: Act, leaf: Leaf) -> frozenset[ZoneNumber]:
        """Return the ways out that stand open, in use and not shut out, where an area is set with this."""
        if isinstance(act, Arm | Disarm) or all("phase" not in changes for changes in leaf.areas.values()):
            return frozenset()
        doors = (zone.number for zone in self.table.setup.zones if zone.behaviour.exit_door)
        return frozenset(number for number in doors if stands_open(leaf.facts, number))

    def _beginners(self, area: Hashable) -> Answers:
        """Return whose alarm may have begun the window in which another confirms it: nobody's, or another one's."""
        memory = self.memory
        anybody = next((each for number, each in memory.nobody.items() if area in memory.areas_of[number]), None)
        asks = self.table.setup.settings.confirm_window > 0 and anybody is not None and not memory.heard
        return (None, anybody) if asks else (None,)

    def _of_area_apart(self, act: Act, fact: Fact, chosen: Chosen, state: State) -> Answers:
        """Return what one part of the state of an area that isn't kept may be, given what is said of it already."""
        what, about = fact
        kept = ("mode", about) in self.memory.kept
        mode = state[("mode", about)] if kept else chosen.get(("mode", about))
        phase = state[("phase", about)] if ("phase", about) in self.memory.kept else chosen.get(("phase", about))
        if isinstance(act, Expires) and act.timer.number == about:
            phase = _PHASE_OF.get(act.timer.kind, phase)
        match what:
            case "mode":
                if phase is None:
                    return (Mode.DISARMED, *_ARMED)
                return (Mode.DISARMED,) if phase is Phase.REST else _ARMED
            case "phase":
                if phase is not None:
                    return (phase,)
                if isinstance(act, Disarm) and mode is None:
                    return Phase.REST, Phase.SET  # whether it was armed at all
                if mode is None:
                    return tuple(Phase)
                return (Phase.REST,) if mode is Mode.DISARMED else (Phase.SET, Phase.EXIT, Phase.ENTRY)
            case "entry_by":
                return self.entries.get(cast("AreaNumber", about), (frozenset(),))
            case "door":
                return Door.UNUSED, Door.OPENED
            case "exit_error" if isinstance(act, Expires) and not self.memory.heard:
                return _EITHER  # it adds to what is told at the end of the entry time
            case "by_keypad" if kept or self.table.setup.settings.completing_act:
                return _EITHER  # it decides in which mode the area is armed, or if at all
            case "user":
                return users(self.table.setup, cast("AreaNumber", about))
            case _:
                return _NO


class State(dict[Fact, Hashable]):
    """A control with what it answers, each looked up once, and what may happen in it, by the identity of the act."""

    __slots__ = ("control", "outcomes", "setup")

    def __init__(self, control: Control, setup: Setup) -> None:
        self.control, self.setup = control, setup
        self.outcomes: dict[int, tuple[Outcome, ...]] = {}

    def __missing__(self, fact: Fact) -> Hashable:
        answer = truth(self.control, self.setup, fact)
        self[fact] = answer
        return answer

"""A part of the panel, small enough to explore, in which what was left out is unknown and never assumed.

Rules of this file:
1. A slice keeps one area, or some, with all zones that touch it. It remembers where the areas are, what the sounder
   plays or whether messages wait, and the timers that matter to these; all of the areas' states unless it is `coarse`,
   and of zones only the facts in `kept`. Of other areas that share zones with these it remembers only what is in
   `kept`: at any moment they may be in any mode, and anything may happen in them. If `kept` has facts about another
   area, the zones that change these act, too (`mover`).
2. Where `step` asks for a fact that isn't kept, both answers are explored, and are part of the outcome. So a slice does
   whatever the panel can, and more: what never happens in it never happens.
3. Other zones' calls for the sounder and waiting messages are kept without their zones, under a zone without a device
   that stands for all with the same areas. Zones that don't touch these areas act only through the sounder, at any
   time.
4. Of zones that act alike (`alike.py`) one acts, except that all named ones do.
5. The power is on and the panel isn't in installer mode. Troubles of the panel itself, which only report themselves,
   are left out, except that one may stop arming where the settings say so.
6. Nobody arms by a silent exit, which leads to the same as other arming. Whoever has the right insists where a trouble
   stops arming; which trouble it was is not kept.
   One person acts by each means by which an area is armed (`behaviour/acts.py`); chimes are switched on; the arm switch
   arms as a remote does.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import islice
from typing import Any, cast

from zonewright.behaviour.acts import arming, coded, disarming, may_bypass
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    Disarm,
    Expires,
    Panic,
    QuickExit,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import NO_CHIME, AreaNumber, Settings, Setup, ZoneSetup
from zonewright.behaviour.state import NOBODY, AreaState, Control, people_of
from zonewright.behaviour.step import power_up
from zonewright.proof.prover.alike import (
    has_device,
    in_the_way_alike,
    is_door,
    mover,
    moves_alike,
    signature,
    smaller,
    sounds_apart,
)
from zonewright.proof.prover.doors import DoorSets
from zonewright.proof.prover.facts import DETAILS, DOORS_OF, OF_AREAS, PARTS, Fact, truth
from zonewright.proof.prover.grouped import Grouped, grouped
from zonewright.proof.prover.memory import Memory
from zonewright.proof.prover.outcome import EventOutcome, whole_effect, zone_of
from zonewright.proof.prover.purse import Purse, Work
from zonewright.proof.prover.reading import ReadControl, Reading
from zonewright.proof.prover.table import Act, Elsewhere, Leaf, Table, happen, leaf_of
from zonewright.proof.prover.unknowns import View
from zonewright.site.record import ZoneNumber

Row = tuple[tuple[Act, EventOutcome], ...]

_NO_PANEL = Setup((), (), Settings())


@dataclass(slots=True)
class Slice:
    """One part of a panel. Outcomes are found once and remembered; `kept` None: the whole panel, every fact known."""

    whole: Setup
    areas: frozenset[AreaNumber]
    kept: frozenset[Fact] | None = frozenset()
    named: frozenset[ZoneNumber] = frozenset()  # zones that stand for themselves
    heard: bool = False  # whether it listens to the sounder; else it reads messages
    table: Table = field(default_factory=lambda: Table(_NO_PANEL))  # shared by slices that keep different facts
    only: frozenset[Act] | None = None  # the acts that are looked at; None: all of them
    about: frozenset[ZoneNumber] = frozenset()  # with `only`: zones whose acts matter even if they change nothing
    also: frozenset[Act] = frozenset()  # acts that are looked at besides those that stand for all
    coarse: bool = False  # whether of its areas only where they are is kept, apart from facts in `kept`
    together: frozenset[ZoneNumber] = frozenset()  # doors that one promise is about together with others
    judged: frozenset[ZoneNumber] | None = None  # zones that judges look at; None: all
    acting: frozenset[ZoneNumber] = field(init=False)  # zones whose devices speak here
    reading: Reading = field(init=False)
    _inputs: tuple[Act, ...] = field(init=False)
    _grouped: Grouped = field(init=False)  # the same
    _loose: dict[tuple[int, int], Grouped] = field(default_factory=dict)  # ends of timers, from one to another
    _expiries: dict[frozenset[Timer], tuple[Act, ...]] = field(default_factory=dict)
    _parts: dict[Hashable, Slice] = field(default_factory=dict)  # of this, with more facts kept
    _rows: dict[int, tuple[int, Row]] = field(default_factory=dict)
    _certain: dict[tuple[Control, Act], EventOutcome] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.whole.may:  # whoever acts here stands for everybody who may
            self.whole = replace(self.whole, may=frozenset())
        if self.kept is None:
            self.table = Table(self.whole, here=frozenset(self.whole.areas))
        elif self.table.setup is _NO_PANEL:
            panel = smaller(self.whole, self.areas, self.named)
            self.table = Table(panel, sounds_apart(self.whole, self.areas), self.areas)
        if self.kept is not None:
            never = {Timer(TimerKind.WARM_UP, 0)}
            if not self.whole.settings.recent_closing:
                never |= {Timer(TimerKind.RECENT, area) for area in self.whole.areas}
            told = self.kept - {("runs", timer) for timer in never}
            others, moving = _areas_told_of(told) - self.areas, _areas_told_of(told, moving=True) - self.areas
            made = partial(smaller, self.whole, self.areas, self.named, others, moving)
            self.table = self.table.keeping(self.areas | others, moving, made)
            self.kept |= {("runs", timer) for timer in never}
            self.kept |= {("mode", area) for what, area in self.kept if what in OF_AREAS}
            if not self.coarse:
                self.kept |= {(part, area) for part in DETAILS for area in self.areas}
        self.acting = self._speaking()
        self.reading = self._reading()
        usual = list(self.inputs())
        more = sorted(self.also.difference(usual), key=str)
        inputs = map(
            self.table.same, [*usual, *(act for act in more if getattr(act, "zone", None) in (None, *self.acting))]
        )
        self._inputs = tuple(act for act in inputs if self.only is None or act in self.only)
        self._grouped = grouped(self.reading, self._inputs, self._matters_anyway)

    @property
    def setup(self) -> Setup:
        """Return the panel as it is here."""
        return self.table.setup

    @property
    def purse(self) -> Purse:
        """Return the purse that pays for all that is looked at here."""
        return self.table.purses[self.heard]

    def forget_parts(self) -> None:
        """Forget the parts that were made for one promise, with all that was read only for them."""
        self._parts.clear()
        for table in (self.table, *self.table.wider.values()):
            readings = cast("dict[Hashable, Reading]", table.readings)
            mine = [key for key, made in readings.items() if made.memory.heard is self.heard]
            for key in mine:
                if readings[key] is not self.reading:
                    del readings[key]

    @property
    def memory(self) -> Memory:
        """Return what is remembered here."""
        return self.reading.memory

    @property
    def loose(self) -> dict[Timer, Act]:
        """Return the timers not kept that were ever started: they may end at any moment."""
        return self.reading.loose

    def keeping(
        self,
        facts: Iterable[Fact],
        only: frozenset[Act] | None = None,
        about: Iterable[ZoneNumber] = (),
        judged: frozenset[ZoneNumber] | None = None,
    ) -> Slice:
        """Return the same part with more facts kept, perhaps with fewer acts, or zones, that are looked at."""
        kept = (self.kept or frozenset()) | frozenset(facts)
        judged = self.judged if judged is None else judged
        key = kept, only, frozenset(about), judged
        part = self._parts.get(key)
        if part is None:
            part = Slice(
                self.whole,
                self.areas,
                kept,
                self.named,
                self.heard,
                self.table,
                only,
                frozenset(about),
                self.also,
                self.coarse,
                self.together,
                judged,
            )
            part.reading.let_loose(self.loose)
            part.reading.begin_with(self.reading)
            self._parts[key] = part
        return part

    def _speaking(self) -> frozenset[ZoneNumber]:
        """Return the zones that act: one of those that act alike, and all that are named or known by a fact."""
        devices = [zone for zone in self.setup.zones if has_device(zone)]
        if self.kept is None:
            return frozenset(zone.number for zone in devices)
        known = _zones_told_of(self.kept)
        judged = self.named if self.judged is None else self.named & self.judged
        named = {signature(zone) for zone in devices if zone.number in judged and zone.number not in known}
        first: dict[Hashable, ZoneNumber] = {}
        for zone in devices:
            if zone.number in judged or zone.number in known:
                first[zone.number] = zone.number
            elif signature(zone) not in named:
                alike = signature(zone) if self.judged is None else moves_alike(zone, heard=self.heard)
                first.setdefault(alike, zone.number)
        return frozenset(first.values())

    def _reading(self) -> Reading:
        """Return how this slice reads its table; slices that keep the same facts share one reading, whatever acts."""
        kept = frozenset(fact for fact in self.kept or () if fact[0] != "itself")
        known = _zones_told_of(kept)
        first: dict[Hashable, ZoneNumber] = {}
        for zone in self.zones:
            first.setdefault(zone.number if zone.number in known else in_the_way_alike(zone), zone.number)
        of_areas = {zone.areas: zone.number for zone in self.setup.zones if not has_device(zone)}
        zones = () if self.kept is None else (*self.whole.zones, *self.setup.zones)
        nobody = {zone.number: of_areas[zone.areas] for zone in zones if zone.areas in of_areas}
        asked = frozenset(first.values())
        areas_of = {zone.number: zone.areas for zone in zones or self.setup.zones}
        people = {people_of(area): frozenset({area}) for area in self.areas}
        areas_of |= people
        if self.kept is not None:
            nobody |= {number: of_areas.get(areas, number) for number, areas in people.items()}
        heard = self.heard or self.kept is None
        settings = self.whole.settings
        asks, names = settings.asks_for_keypad, settings.recent_closing
        memory = Memory(self.areas, kept, heard, nobody, areas_of, asks, names)
        devices = (zone.number for zone in self.setup.zones if has_device(zone))
        hidden = frozenset() if self.judged is None else frozenset(devices) - self.judged
        doors = self._door_sets(kept, hidden, heard=heard)
        made = Reading(self.table, memory, asked, doors, hidden)
        return cast("Reading", self.table.readings.setdefault((kept, heard, asked, hidden), made))

    def _door_sets(self, kept: frozenset[Fact], hidden: frozenset[ZoneNumber], *, heard: bool) -> DoorSets:
        """Return which doors are taken together; those of which something is kept are kinds of their own."""
        whole = {area for what, area in kept if what in DOORS_OF.values()}  # of all of its doors something is kept
        confirms = any(what == "runs" and cast("Timer", timer).kind is TimerKind.CONFIRM for what, timer in kept)
        one_by_one = (cast("tuple[AreaNumber, ZoneNumber]", door)[1] for what, door in kept if what in DOORS_OF)
        known = _zones_told_of(kept) | set(one_by_one)
        themselves = frozenset(
            zone.number
            for zone in self.setup.zones
            if confirms or zone.number in self.together or zone.number in known or zone.areas & whole
        )
        return DoorSets(self.setup, themselves, not heard and self.whole.settings.confirm_window > 0, hidden)

    def twins(self, zones: Iterable[ZoneNumber]) -> dict[ZoneNumber, ZoneNumber]:
        """Return, for those of the zones that have one, another zone that acts alike."""
        mine = set(zones)
        others = {signature(zone): zone.number for zone in self.setup.zones if zone.number not in mine}
        found = {zone.number: others.get(signature(zone)) for zone in self.setup.zones if zone.number in mine}
        return {number: twin for number, twin in found.items() if twin is not None}

    @property
    def zones(self) -> tuple[ZoneSetup, ...]:
        """Return the zones that act."""
        return tuple(zone for zone in self.setup.zones if zone.number in self.acting)

    def first(self) -> Control:
        """Return the panel just switched on, everything at rest."""
        control = power_up(self.setup).control
        if self.kept is None:
            return control
        tracks = self.memory.tracks
        self.reading.let_loose(control.running)
        areas = self.memory.plain(control.areas)
        return self.same(replace(control, areas=areas, running=frozenset(filter(tracks, control.running))))

    def inputs(self) -> Iterator[Act]:
        """Give everything that people and devices may do."""
        for area in self.setup.areas:
            yield from arming(self.whole, area)
            disarmed, somebody = disarming(self.whole, area), coded(self.whole, area)
            if disarmed is not None:
                yield disarmed
            if somebody is not None:
                yield QuickExit(area, somebody)
            if area in self.areas and (self.heard or self.kept is None):  # apart from its own message it only sounds
                yield Panic(area, somebody if somebody is not None else NOBODY)
        stood_for = self._stood_for()
        for zone in self.zones:
            if zone.number in stood_for:
                continue
            yield ZoneOpens(zone.number)
            yield ZoneCloses(zone.number)
            if self.kept is None or (_differs_when_tripped(zone) and zone.number not in self.reading.hidden):
                yield ZoneTrips(zone.number)
            if not zone.areas & self.areas:
                continue  # it is here only for what it does to its own area
            if zone.behaviour.tamper_alarm:
                yield TroubleBegins(zone.number, Trouble.TAMPER)
            who = may_bypass(self.whole, zone)[:1]
            if self.kept is None or ("bypassed", zone.number) in self.kept:
                yield from (Bypass(zone.number, each) for each in who)
                yield from (Unbypass(zone.number, each) for each in who)
            elif self.heard and zone.protects_life:  # it is refused, or else that is found
                yield from (Bypass(zone.number, each) for each in who)
        if self.heard:
            yield from (Elsewhere(each) for each in self.table.elsewhere)

    def _stood_for(self) -> frozenset[ZoneNumber]:
        """Return the doors that no judge looks at and for which another one of their kind acts.

        Exchanging two of them in a run gives a run, except for chimes (`alike.py`), and nothing that is kept here tells
        them apart: what one of them does to a state the other does, too. They stay among the doors that may be open.
        """
        doors, found = self.reading.doors, set()
        first: dict[Hashable, ZoneNumber] = {}
        for zone in self.zones:
            alone = zone.number in doors.themselves or doors.in_order or zone.crosses
            if zone.number in self.reading.hidden and is_door(zone) and not alone:
                kind = signature(replace(zone, chime=NO_CHIME))
                if first.setdefault(kind, zone.number) != zone.number:
                    found.add(zone.number)
        return frozenset(found)

    def row(self, control: Control) -> Row:
        """Return all that may happen in a state; raises `TooLarge`."""
        loose = self.reading.loose
        looked_at, row = self._rows.get(id(control), (-1, ()))
        if looked_at == len(loose):
            return row
        found = list(row)
        while looked_at < (known := len(loose)):  # looking may start timers that were never started
            if looked_at < 0:
                found += self._one_by_one(control, self._ends(control))
            if self.kept is None:
                found += self._one_by_one(control, self._inputs)
            else:
                found += self._moves(control, self._loose_ends(max(0, looked_at), known))
                found += self._moves(control, self._grouped) if looked_at < 0 else []
            looked_at = known
        self.purse.pay(Work.MOVES, len(found) - len(row))
        row = tuple(found)
        self._rows[id(control)] = looked_at, row
        return row

    def _one_by_one(self, control: Control, acts: Iterable[Act]) -> Iterator[tuple[Act, EventOutcome]]:
        """Give the outcomes of some events, each looked up by itself."""
        for act in acts:
            anyway = self._matters_anyway(act)
            for outcome in () if id(act) in self.reading.idle else self.outcomes(control, act):
                if anyway or _changes(control, outcome):
                    yield act, outcome

    def _moves(self, control: Control, events: Grouped) -> list[tuple[Act, EventOutcome]]:
        """Return the outcomes of some events; of devices that no judge looks at, one for each new state."""
        found: list[tuple[Act, EventOutcome]] = []
        led: set[Hashable] = set()
        after = self.reading.after
        for event, effect, stops, still in events.ways(self.reading.state(control)):
            outcome = EventOutcome(control if still else after(control, effect.kept, stops), effect, stops)
            if _leads_on(control, outcome, led) if event.hidden else event.anyway or _changes(control, outcome):
                found.append((event.act, outcome))
        return found

    def _loose_ends(self, first: int, until: int) -> Grouped:
        """Return the ends of some of the timers that aren't kept, if they are looked at here."""
        found = self._loose.get((first, until))
        if found is None:
            ends = islice(self.reading.loose.values(), first, until)
            mine = (act for act in ends if self.only is None or act in self.only)
            found = self._loose[first, until] = grouped(self.reading, mine, self._matters_anyway)
        return found

    def _ends(self, control: Control) -> tuple[Act, ...]:
        """Return the ends of the timers that run here."""
        ends = self._expiries.get(control.running)
        if ends is None:
            ends = self._expiries[control.running] = tuple(
                self.table.same(Expires(timer)) for timer in sorted(control.running, key=str)
            )
        return ends

    def _matters_anyway(self, act: Act) -> bool:
        """Return whether an act matters even if nothing changes: a person's, or one of a zone in `about`.

        If all acts are looked at, all of them do.
        """
        if self.only is None:
            return True
        zone = zone_of(act)
        return zone in self.about if zone is not None else isinstance(act, Arm | Disarm | QuickExit)

    def outcomes(self, control: Control, act: Act) -> tuple[EventOutcome, ...]:
        """Return all that an event may do to the panel in this state, one of the slice's; raises `TooLarge`."""
        if self.kept is None:
            return (self._surely(control, act),)
        return self._maybe(self.reading.state(control), control, self.table.same(act))

    def _maybe(self, state: ReadControl, control: Control, act: Act) -> tuple[EventOutcome, ...]:
        """Return all that an event may do where not everything is known; `act` is its one object here."""
        known = state.outcomes.get(id(act))
        if known is not None:
            return known
        after = self.reading.after
        outcomes = tuple(
            [
                EventOutcome(control if still else after(control, effect.kept, stops), effect, stops)
                for effect, stops, still in self.reading.cases(state, act)
            ]
        )
        state.outcomes[id(act)] = outcomes
        return outcomes

    def leaves(self, control: Control, act: Act) -> list[Leaf]:
        """Return every run of `step` that an event may lead to in a state of the slice; raises `TooLarge`."""
        return self.reading.leaves(self.reading.state(control), self.table.same(act))[0]

    def _surely(self, control: Control, act: Act) -> EventOutcome:
        """Return the one thing that an event does to the whole panel."""
        found = self._certain.get((control, act))
        if found is None:
            view = View(self.setup, control, lambda fact: truth(control, self.setup, fact), whole=True)
            happen(view, act)
            leaf = leaf_of(view, control, self.table.once)
            effect = whole_effect(leaf)
            stops = leaf.change.stops & control.running
            found = EventOutcome(self.reading.after(control, effect.kept, stops), effect, stops)
            self._certain[control, act] = found
        return found

    def seen(self, control: Control) -> Control:
        """Return a control of the whole panel as this slice sees it."""
        here = self.memory.nobody
        causes = frozenset(pair for pair in control.causes if pair[1] in here)
        waiting = tuple(pair for pair in control.waiting if pair[0] in here)
        control = replace(control, causes=causes, waiting=waiting)
        if not causes:  # then it runs for zones elsewhere, if it does
            control = replace(control, running=control.running - {Timer(TimerKind.SIREN, 0)})
        parts = {name: self.memory.forget(name, getattr(control, name)) for name in PARTS}
        parts["areas"] = tuple(replace(area, **self._doors_here(area)) for area in self.memory.plain(control.areas))
        return Control(running=frozenset(filter(self.memory.tracks, control.running)), **parts)

    def same(self, control: Control) -> Control:
        """Return the one object that stands for this state here."""
        return self.reading.same(control)

    def _doors_here(self, area: AreaState) -> dict[str, Any]:
        """Return the kept sets of doors of an area, with each door replaced by the one that stands for it here."""
        kept = (part for part in DOORS_OF.values() if self.memory.keeps((part, area.number)))
        return {part: frozenset(map(self._like, getattr(area, part))) for part in kept}

    def _like(self, number: ZoneNumber) -> ZoneNumber:
        """Return the zone that stands for this one here."""
        if number in self.acting:
            return number
        zone = self.whole.zone(number)
        assert zone is not None
        same = signature(zone if zone.areas & self.areas else mover(zone))
        return next(one.number for one in self.zones if signature(one) == same)


def _leads_on(before: Control, outcome: EventOutcome, led: set[Hashable]) -> bool:
    """Return whether an outcome makes a change that isn't in `led`; add it."""
    change = id(outcome.control), outcome.starts, outcome.stops
    if change in led or not _changes(before, outcome):
        return False
    led.add(change)
    return True


def _changes(before: Control, outcome: EventOutcome) -> bool:
    return bool(outcome.control is not before or outcome.starts or outcome.stops)


def _areas_told_of(kept: Iterable[Fact], *, moving: bool = False) -> frozenset[AreaNumber]:
    """Return the areas that some facts are about: a part of their state, or whether one of their timers runs.

    `moving`: only those with facts about more than their mode.
    """
    kept = [fact for fact in kept if not moving or fact[0] != "mode"]
    timers = (about for what, about in kept if what == "runs" and isinstance(about, Timer))
    of_timers = {AreaNumber(each.number) for each in timers if not each.kind.of_zone and not each.kind.of_panel}
    of_doors = {cast("tuple[AreaNumber, ZoneNumber]", about)[0] for what, about in kept if what in DOORS_OF}
    return frozenset(cast("AreaNumber", about) for what, about in kept if what in OF_AREAS) | of_timers | of_doors


def _zones_told_of(kept: Iterable[Fact]) -> frozenset[Hashable]:
    """Return the zones that some facts are about."""
    return frozenset(about for what, about in kept if what not in OF_AREAS and what not in DOORS_OF)


def _differs_when_tripped(zone: ZoneSetup) -> bool:
    """Return whether a trip may do more than an opening and then a closing; apart from restores, others never do."""
    return zone.behaviour.exit_door or zone.behaviour.completes_exit or zone.behaviour.arms is not None


def whole_panel(setup: Setup) -> Slice:
    """Return the panel itself in the form of a slice: every area, every fact known."""
    return Slice(setup, frozenset(setup.areas), None)

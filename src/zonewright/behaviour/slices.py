"""A part of the panel, small enough to explore, in which what was left out is unknown and never assumed.

Rules of this file:
1. A slice holds one area with all that share zones with it. It remembers the areas' states, what the sounder plays,
   whether messages wait, and the timers that matter to these; of zones only the facts in `kept`.
2. Where `step` asks for a fact that isn't kept, both answers are explored, and belong to the outcome. So a slice does
   whatever the panel can, and more: what never happens in it never happens.
3. Other zones' calls for the sounder and waiting messages are kept as those of nobody in particular: a zone without
   a device that stands for all with the same areas. Areas that share no zone act only through the sounder, at any time.
4. Zones that differ in nothing but their number stand for one another, but for those that are named.
5. Outcomes that differ only in lines of the display about other zones are one.
6. The power is on and no installer works; troubles of the panel itself, which only tell of themselves, are left out.
7. Nobody arms by a silent exit. One person acts; chimes are switched on; the arm switch arms as a remote does.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from zonewright.behaviour.events import (
    Arm,
    Bypass,
    Disarm,
    Event,
    Expires,
    Means,
    Output,
    QuickExit,
    Shown,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.behaviour.step import decide, power_up
from zonewright.behaviour.unknowns import PARTS, SPINE, Fact, Item, View
from zonewright.panel.behaviours import ARMED, Behaviour, Mode, Pattern
from zonewright.site.record import ZoneNumber

PERSON = UserNumber(1)
MOST_QUESTIONS = 4096  # outcomes of one event; a panel that asks more is too large for a slice


class TooLarge(Exception):
    """An event has more outcomes than can be explored."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A zone of an area apart calls for the sounder: a siren time that runs starts anew."""

    pattern: Pattern


Act = Event | Elsewhere


@dataclass(frozen=True, slots=True)
class Outcome:
    """One thing that an event may do; `answers` are the facts under which it does."""

    control: Control
    starts: tuple[tuple[Timer, int], ...]
    stops: frozenset[Timer]
    outputs: tuple[Output, ...]
    answers: tuple[tuple[Fact, bool], ...]
    called: frozenset[tuple[Pattern, ZoneNumber]]  # zones that began to call for the sounder
    held: frozenset[tuple[ZoneNumber, str]]  # messages that began to wait

    def answer(self, what: str, about: Hashable) -> bool | None:
        """Return a fact under which this is so; None if nothing depended on it."""
        return dict(self.answers).get((what, about))


@dataclass(frozen=True, slots=True)
class _Leaf:
    """Outcomes of an event for all controls that agree on what was read; of the control only what changed."""

    outcomes: tuple[tuple[dict[str, Any], Outcome], ...]


@dataclass(slots=True)
class _Fork:
    """Which part of the control to look at next."""

    item: Item
    ways: dict[Hashable, _Fork | _Leaf] = field(default_factory=dict)


@dataclass(slots=True)
class Slice:
    """One part of a panel. Outcomes are found once and remembered."""

    whole: Setup
    areas: frozenset[AreaNumber]
    kept: frozenset[Fact] | None = frozenset()
    named: frozenset[ZoneNumber] = frozenset()  # zones that stand for themselves
    setup: Setup = field(init=False)
    steps: int = 0  # calls of `step`
    loose: dict[Timer, None] = field(default_factory=dict)  # timers not kept that were ever started
    _elsewhere: tuple[Pattern, ...] = ()
    _nobody: dict[frozenset[AreaNumber], ZoneNumber] = field(init=False)
    _found: dict[tuple[Control, Act], tuple[Outcome, ...]] = field(default_factory=dict)
    _ways: dict[Act, _Fork | _Leaf] = field(default_factory=dict)
    _same: dict[Control, Control] = field(default_factory=dict)

    def __post_init__(self) -> None:
        zones = tuple(zone for zone in self.whole.zones if zone.areas <= self.areas)
        sets = sorted({zone.areas for zone in zones}, key=sorted)
        first = max((zone.number for zone in self.whole.zones), default=0) + 1
        nobodies = [ZoneSetup(ZoneNumber(first + k), "another zone", areas, _NOBODY) for k, areas in enumerate(sets)]
        self._nobody = {zone.areas: zone.number for zone in nobodies}
        self.setup = replace(self.whole, zones=(*self._alike(zones), *nobodies), areas=tuple(sorted(self.areas)))
        if self.kept is None:
            self.setup = self.whole
            return
        patterns = {zone.behaviour.siren for zone in self.whole.zones if not zone.areas <= self.areas}
        if self.whole.settings.siren_time:
            self._elsewhere = tuple(each for each in Pattern if each in patterns - {Pattern.NONE})
        self.kept |= {("runs", Timer(TimerKind.WARM_UP, 0))}
        if not self.whole.settings.recent_closing:  # then it never runs
            self.kept |= {("runs", Timer(TimerKind.RECENT, area)) for area in self.areas}

    def _alike(self, zones: tuple[ZoneSetup, ...]) -> tuple[ZoneSetup, ...]:
        """Leave out zones that another stands for; one whose facts are kept stands for itself alone."""
        known = {about for _, about in self.kept or ()}
        named = {signature(zone) for zone in zones if zone.number in self.named and zone.number not in known}
        first: dict[Hashable, ZoneSetup] = {}
        for zone in zones:
            if zone.number in self.named or zone.number in known:
                first[zone.number] = zone
            elif signature(zone) not in named:
                first.setdefault(signature(zone), zone)
        return tuple(first.values())

    @property
    def zones(self) -> tuple[ZoneSetup, ...]:
        """Return the zones that have a device."""
        return tuple(zone for zone in self.setup.zones if zone.behaviour is not _NOBODY)

    def first(self) -> Control:
        """Return the panel just switched on, everything at rest."""
        control = power_up(self.setup).control
        if self.kept is None:
            return control
        kept = self.kept
        self.loose |= {timer: None for timer in control.running if ("runs", timer) not in kept}
        running = frozenset(timer for timer in control.running if ("runs", timer) in kept)
        return self._same_as(replace(control, running=running))

    def events(self, control: Control) -> Iterator[Act]:
        """Give everything that may happen now, expiries first; a timer that isn't kept may end at any moment."""
        yield from (Expires(timer) for timer in sorted(control.running, key=str))
        yield from (Expires(timer) for timer in tuple(self.loose))
        yield from self.inputs()

    def inputs(self) -> Iterator[Act]:
        """Give everything that people and devices may do."""
        means = [Means.REMOTE, Means.KEYPAD] if self.whole.settings.unvacated_stay else [Means.REMOTE]
        for area in sorted(self.areas):
            for mode in Mode:
                if mode in ARMED:
                    yield from (Arm(area, mode, PERSON, each) for each in means)
            yield Disarm(area, PERSON)
            yield QuickExit(area, PERSON)
        for zone in self.zones:
            yield ZoneOpens(zone.number)
            yield ZoneCloses(zone.number)
            yield ZoneTrips(zone.number)
            if zone.behaviour.tamper_alarm:
                yield TroubleBegins(zone.number, Trouble.TAMPER)
            if self.kept is None or ("bypassed", zone.number) in self.kept:
                yield Bypass(zone.number, PERSON)
                yield Unbypass(zone.number, PERSON)
        yield from (Elsewhere(each) for each in self._elsewhere)

    def outcomes(self, control: Control, act: Act) -> tuple[Outcome, ...]:
        """Return all that an event may do to the panel in this state; raises `TooLarge`."""
        found = self._found.get((control, act))
        if found is None:
            leaf = self._leaf(control, act)
            found = tuple(
                replace(outcome, control=self._same_as(_after(control, changed, outcome)))
                for changed, outcome in leaf.outcomes
            )
            self._found[control, act] = found
        return found

    def _leaf(self, control: Control, act: Act) -> _Leaf:
        """Return what is known of an event in controls like this one, or find it out."""
        place = self._ways.get(act)
        while isinstance(place, _Fork):
            place = place.ways.get(_part(control, place.item))
        if place is not None:
            return place
        leaf, read = self._find(control, act)
        above: _Fork | None = None
        here = self._ways.get(act)
        for item in read:
            if here is None:
                here = _Fork(item)
                self._hang(act, above, control, here)
            assert isinstance(here, _Fork)  # what is read first depends on the event, then on what was read
            above, here = here, here.ways.get(_part(control, here.item))
        self._hang(act, above, control, leaf)
        return leaf

    def _hang(self, act: Act, above: _Fork | None, control: Control, here: _Fork | _Leaf) -> None:
        if above is None:
            self._ways[act] = here
        else:
            above.ways[_part(control, above.item)] = here

    def _find(self, control: Control, act: Act) -> tuple[_Leaf, list[Item]]:
        """Run `step` for every combination of answers; return what came of it, and all that was read."""
        todo: list[tuple[bool, ...]] = [()]
        seen: dict[Hashable, tuple[dict[str, Any], Outcome]] = {}
        read: dict[Item, None] = {}
        for _ in range(MOST_QUESTIONS):
            if not todo:
                return _Leaf(tuple(seen.values())), list(read)
            given = todo.pop()
            view = View(self.setup, control, self.kept, given, _zone_of(act), self._elsewhere)
            self.steps += 1
            self._decide(view, act)
            taken = view.open_questions
            todo += [(*taken[:place], True) for place in range(len(given), len(taken))]
            read |= view.read
            changed, outcome = self._outcome(control, view)
            key = (tuple(changed.items()), outcome.starts, outcome.stops, _told(act, outcome), outcome.called,
                   outcome.held, _about(act, outcome.answers))  # fmt: skip
            seen.setdefault(key, (changed, outcome))  # fewest true answers come first
        raise TooLarge(str(act))

    def _decide(self, draft: View, act: Act) -> None:
        if not isinstance(act, Elsewhere):
            decide(draft, act)
        elif draft.runs(TimerKind.SIREN, 0):
            draft.start(TimerKind.SIREN, 0, self.whole.settings.siren_time)

    def _outcome(self, before: Control, view: View) -> tuple[dict[str, Any], Outcome]:
        changed = view.changed()
        called = changed.get("causes", before.causes) - before.causes
        held = frozenset(changed.get("waiting", before.waiting)) - frozenset(before.waiting)
        changed = {name: self._project(name, value) for name, value in changed.items()}
        stops = frozenset(view.stops | ({view.expired} if view.expired is not None else set()))
        if self.kept is not None:
            kept = self.kept
            starts = tuple(pair for pair in view.starts.items() if pair[0].kind in SPINE or ("runs", pair[0]) in kept)
            self.loose |= dict.fromkeys(view.starts.keys() - dict(starts).keys())
            stops = frozenset(timer for timer in stops if timer.kind in SPINE or ("runs", timer) in kept)
        else:
            starts = tuple(view.starts.items())
        answers = tuple(view.asked.items())
        return changed, Outcome(before, starts, stops, tuple(view.outputs), answers, called, held)

    def seen(self, control: Control) -> Control:
        """Return what this slice sees of a control of the whole panel."""
        parts = {name: self._project(name, getattr(control, name)) for name in PARTS}
        parts["areas"] = tuple(
            replace(area, entry_by=frozenset(map(self._like, area.entry_by))) if area.entry_by else area
            for area in parts["areas"]
        )
        kept = self.kept or frozenset()
        timers = frozenset(
            timer for timer in control.running if timer.kind in SPINE or self.kept is None or ("runs", timer) in kept
        )
        return Control(running=timers, **parts)

    def _project(self, name: str, value: Any) -> Any:
        """Forget what isn't kept of one part of the control."""
        if self.kept is None:
            return value
        kept = self.kept
        match name:
            case "areas":
                asks = self.whole.settings.unvacated_stay  # only then it matters whether a keypad armed
                return tuple(
                    replace(area, memory=(), by_keypad=area.by_keypad and asks)
                    if area.memory or area.by_keypad > asks
                    else area
                    for area in value
                )
            case "open" | "bypassed":
                return frozenset(number for number in value if (name, number) in kept)
            case "alarms":
                return frozenset(pair for pair in value if ("shut out", pair[0]) in kept)
            case "troubles":
                return frozenset(pair for pair in value if (f"trouble {pair[1].value}", pair[0]) in kept)
            case "standing":
                return frozenset(pair for pair in value if (f"stands {pair[1]}", pair[0]) in kept)
            case "waiting":
                mine = {pair for pair in value if ("waiting", pair[0]) in kept}
                others = {(self._anybody(number), "alarm") for number, _ in set(value) - mine}
                hidden = {(self._anybody(number), "alarm") for number, _ in mine}  # they leave, or don't, together
                return tuple(sorted(mine | (others - hidden)))
            case "causes":
                return frozenset((pattern, self._anybody(number)) for pattern, number in value)
            case _:
                return value

    def _same_as(self, control: Control) -> Control:
        return self._same.setdefault(control, control)

    def _anybody(self, number: ZoneNumber) -> ZoneNumber:
        zone = self.setup.zone(number) or self.whole.zone(number)
        assert zone is not None  # only zones of the setup are ever written into a control
        return self._nobody[zone.areas]

    def _like(self, number: ZoneNumber) -> ZoneNumber:
        """Return the zone that stands for this one here."""
        if self.setup.zone(number) is not None:
            return number
        zone = self.whole.zone(number)
        assert zone is not None
        return next(one.number for one in self.setup.zones if signature(one) == signature(zone))


_NOBODY = Behaviour(live=frozenset(), chimes=frozenset(), stops_arming=False, user_bypass=False, shown=False)


def signature(zone: ZoneSetup) -> Hashable:
    """Return all that decides what a zone does, its number and label aside."""
    return replace(zone, number=ZoneNumber(0), label="", supervise=False, behaviour=_PLAIN), _frozen(zone.behaviour)


_PLAIN = Behaviour(live=frozenset())


def _frozen(behaviour: Behaviour) -> Hashable:
    return tuple((name, getattr(behaviour, name)) for name in type(behaviour).model_fields if name != "says")


def _about(act: Act, answers: tuple[tuple[Fact, bool], ...]) -> Hashable:
    """Return the answers about the zone that acts: a property may be about these alone."""
    return tuple(pair for pair in answers if pair[0][1] == _zone_of(act))


def _told(act: Act, outcome: Outcome) -> Hashable:
    """Return what an outcome tells others of: lines of the display only about the zone that acts."""
    return tuple(output for output in outcome.outputs if not isinstance(output, Shown) or output.zone == _zone_of(act))


def _zone_of(act: Act) -> Hashable:
    if isinstance(act, Expires) and act.timer.kind.of_zone:
        return act.timer.number
    return getattr(act, "zone", None)


def _after(before: Control, changed: dict[str, Any], outcome: Outcome) -> Control:
    running = before.running
    if outcome.stops or outcome.starts:
        running = (running - outcome.stops) | {timer for timer, _ in outcome.starts}
    return replace(before, running=running, **changed)


def _part(control: Control, item: Item) -> Hashable:
    if isinstance(item, Timer):
        return item in control.running
    part: Hashable = getattr(control, item)
    return part


def hush(setup: Setup) -> Setup:
    """Return the panel without its sounder: the same messages leave at the same moments (a test holds `step` to it)."""
    return replace(setup, settings=replace(setup.settings, siren_time=0))


def together(setup: Setup) -> tuple[frozenset[AreaNumber], ...]:
    """Return the areas in groups: those that share zones stand together."""
    groups: list[frozenset[AreaNumber]] = [frozenset({area}) for area in setup.areas]
    for zone in setup.zones:
        meeting = [group for group in groups if group & zone.areas]
        groups = [group for group in groups if not group & zone.areas]
        groups.append(frozenset().union(*meeting, zone.areas))
    return tuple(sorted(groups, key=sorted))


def whole_panel(setup: Setup) -> Slice:
    """Return the panel itself in the form of a slice: every area, every fact known."""
    return Slice(setup, frozenset(setup.areas), None)

"""Two panels under the same hands, side by side: what to do so that they differ, if anything can.

For a wrong panel that no field test shows. Breadth first over pairs of controls (right, wrong) under the same acts; a
timer that runs may end at any moment, and one that both started at once with one length ends in both (the *cover*: it
does whatever the two can, and more). The first move in which they do otherwise is given times (`schedule`), with more
than a stopwatch's error before and after whatever only one of them lets end, and is done on both whole panels: what
differs there is a test. If no move differs in the whole cover, the two are equal whatever is done, and whenever.

Rules of this file:
1. *Equal* rests on the cover of all acts, `MOST_PAIRS` at most; *found* on a run of the whole panels. Else it is not
   known.
2. The pair is that of few zones: those that are otherwise, their pairs, and a door of each area. So *equal* is said of
   these: the other zones stay shut, and areas of none of them stay as they are.
3. What warns of danger in every mode is tripped once and while off, devices are left their batteries: anything else is
   not decent, and a test that needs it is none.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

from zonewright.behaviour.clockwork import Entry
from zonewright.behaviour.events import (
    Bypass,
    Event,
    Expires,
    Output,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
)
from zonewright.behaviour.schedule import Clash, Moment, schedule
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.behaviour.step import step
from zonewright.behaviour.telling import label
from zonewright.fieldwork.acting import Act, Handle, Panel, Press, Set, What
from zonewright.fieldwork.fieldtests import OFF, Arming, FieldTest, Sort, begun, last_act
from zonewright.fieldwork.killing import Variant
from zonewright.fieldwork.observing import TOLERANCE_S, Observation, Unlike, observed, unlike
from zonewright.fieldwork.panel_tests import keypad
from zonewright.fieldwork.surroundings import ALL_WELL, Done, House
from zonewright.fieldwork.zone_tests import MARGIN_S, STEP_S, Ground
from zonewright.panel.behaviours import ALWAYS, Mode
from zonewright.site.record import ZoneNumber

MOST_PAIRS = 250  # of acts that are decent, and again of all: a choice, some tenths of a second
MOST_TRIED = 60  # differences of the cover that are tried on the whole panels
AFTER_S = 5  # waited after the last act
LONG_S = 86_400 * 3


class Verdict(Enum):
    """What became of the search."""

    FOUND = "a decent test shows it"
    INDECENT = "only a test that isn't decent shows it"
    STOPWATCH = "it differs by no more than a stopwatch may be wrong"
    EQUAL = "proven equal"
    UNKNOWN = "not shown, not proven equal"


@dataclass(frozen=True, slots=True)
class Way:
    """What to do, after the site was set so, to see two panels differ; seconds from the start."""

    arming: Arming
    done: tuple[tuple[int, Done], ...]


@dataclass(frozen=True, slots=True)
class _Pair:
    """Both panels, what stands open or without its cover, and the timers that end in both at once."""

    controls: tuple[Control, Control]
    open: frozenset[ZoneNumber]
    off: frozenset[ZoneNumber]
    joint: frozenset[Timer]


@dataclass(frozen=True, slots=True)
class _Ends:
    """A timer ends: in the right panel (0), the wrong one (1), or in both."""

    timer: Timer
    sides: tuple[int, ...]


_Move = Act | Event | _Ends


@dataclass(frozen=True, slots=True)
class _Did:
    """What one panel did in a move."""

    starts: tuple[tuple[Timer, int], ...]
    stops: frozenset[Timer]


@dataclass(frozen=True)
class _Node:
    pair: _Pair
    move: _Move | None
    did: tuple[_Did, _Did]
    before: _Node | None
    arming: Arming


@dataclass
class Comparison:
    """The right panel beside a wrong one, `about` being the zones that are otherwise or heard by others."""

    ground: Ground
    wrong: Panel
    about: frozenset[ZoneNumber]
    pairs: int = 0  # how many were looked at, for benchmarks
    _houses: tuple[House, House] = field(init=False)
    _setups: tuple[Setup, Setup] = field(init=False)
    _zones: frozenset[ZoneNumber] = field(init=False)
    _areas: list[AreaNumber] = field(init=False)

    def __post_init__(self) -> None:
        panels = self.ground.panel, self.wrong
        kept = self.about.union(self._others())
        kept |= {
            other for panel in panels for zone in panel.setup.zones if zone.number in kept for other in zone.crosses
        }
        mine = [zone for panel in panels for zone in panel.setup.zones if zone.number in kept]
        self._areas = sorted({area for zone in mine for area in zone.areas})
        doors = {door.number for panel in panels for area in self._areas for door in panel.setup.exit_doors(area)[:1]}
        self._setups = tuple(
            replace(panel.setup, zones=tuple(zone for zone in panel.setup.zones if zone.number in kept | doors))
            for panel in panels
        )  # type: ignore[assignment]
        self._zones = frozenset(zone.number for setup in self._setups for zone in setup.zones)
        self._houses = tuple(House(panel, ALL_WELL, self._zones) for panel in panels)  # type: ignore[assignment]

    def _others(self) -> Iterator[ZoneNumber]:
        """Give, where only settings differ, the zones that they may be about: pairs, detectors, two that alarm."""
        if self.about:
            return
        zones = self.ground.panel.setup.zones
        instant = [each for each in zones if each.can_alarm and not each.entry_s and each.behaviour.live != ALWAYS]
        for sort in (
            [zone for zone in zones if zone.crosses][:1],
            [zone for zone in zones if zone.verifies][:1],
            [zone for zone in instant if zone.areas & instant[0].areas][:2],
        ):
            for zone in sort:
                yield from (zone.number, *sorted(zone.crosses))

    def settled(self) -> tuple[Verdict, Way | None]:
        """Return what becomes of it, and the way if one was found."""
        close = False
        for decent in (True, False):
            verdict, way = self._searched(decent=decent)
            close |= verdict is Verdict.STOPWATCH
            if verdict in (Verdict.FOUND, Verdict.INDECENT):
                return verdict, way
        if verdict is Verdict.UNKNOWN and close:
            verdict = Verdict.STOPWATCH
        return verdict, None

    def _searched(self, *, decent: bool) -> tuple[Verdict, Way | None]:
        todo: deque[_Node] = deque(self._roots())
        known = {node.pair for node in todo}
        tried, bound, close = 0, False, False
        while todo:
            node = todo.popleft()
            for move in self._moves(node, decent=decent):
                pair, did, differs = self._moved(node.pair, move)
                after = _Node(pair, move, did, node, node.arming)
                if differs:
                    tried += 1
                    way, tight = self._tried(after)
                    if way is not None:
                        return (Verdict.FOUND if decent else Verdict.INDECENT), way
                    close |= tight
                    if tried == MOST_TRIED:
                        return (Verdict.STOPWATCH if close else Verdict.UNKNOWN), None
                elif pair not in known and not (bound := bound or len(known) >= MOST_PAIRS):
                    known.add(pair)
                    todo.append(after)
        self.pairs += len(known)
        if close:
            return Verdict.STOPWATCH, None
        return (Verdict.UNKNOWN if bound or tried else Verdict.EQUAL), None

    # What may be done -------------------------------------------------------------------------------------------------

    def _roots(self) -> Iterator[_Node]:
        """Give both panels as they stand before a test: off, and set in each way that touches what is otherwise."""
        ground = self.ground
        zones = [ground.panel.setup.zone(number) for number in sorted(self._zones)]
        every = sorted({zone.areas for zone in zones if zone is not None} | {ground.every_area}, key=sorted)
        for arming in (OFF, *(Arming(mode, areas) for areas in every for mode in (Mode.STAY, Mode.AWAY))):
            clockworks = [
                begun(replace(panel, setup=setup), arming)
                for panel, setup in zip((ground.panel, self.wrong), self._setups, strict=True)
            ]
            did = tuple(
                _Did(tuple((timer, due - each.now) for timer, due in each.due.items()), frozenset())
                for each in clockworks
            )
            joint = frozenset(set(did[0].starts) & set(did[1].starts))
            pair = _Pair(
                (clockworks[0].control, clockworks[1].control), frozenset(), frozenset(),
                frozenset(timer for timer, _ in joint),
            )  # fmt: skip
            yield _Node(pair, None, (did[0], did[1]), None, arming)

    def _moves(self, node: _Node, *, decent: bool) -> Iterator[_Move]:
        pair = node.pair
        setup = self.ground.panel.setup
        armed = any(area.mode is not Mode.DISARMED for area in pair.controls[0].areas)
        for number in sorted(self._zones):
            zone = setup.zone(number)
            if zone is None or number not in self.ground.resolved.zones:
                continue
            warns = zone.behaviour.live == ALWAYS and zone.can_alarm
            may = not decent or not warns or not (armed or _handled(node, number))
            if self.ground.momentary(number):
                yield from (Handle(What.TRIP, number),) if may else ()
            elif number in pair.open:
                yield Handle(What.CLOSE, number)
            elif may:
                yield Handle(What.OPEN, number)
            if number in self.about and self.ground.has_cover(number):
                yield Handle(What.COVER_ON if number in pair.off else What.COVER_OFF, number)
        if not decent:
            for number in sorted(self.about):
                for trouble in (Trouble.LOW_BATTERY, Trouble.MISSING):
                    yield from (TroubleBegins(number, trouble), TroubleEnds(number, trouble))
                yield Bypass(number, UserNumber(1))
        for area in self._areas:
            yield from (Set(area, mode, self.ground.holder(area)) for mode in (Mode.DISARMED, Mode.STAY, Mode.AWAY))
        yield from self._endings(pair, decent=decent)

    def _endings(self, pair: _Pair, *, decent: bool) -> Iterator[_Ends]:
        one, other = (control.running for control in pair.controls)
        for timer in sorted(one | other, key=str):
            if decent and timer.kind.background:
                continue
            if timer in pair.joint:
                yield _Ends(timer, (0, 1))
            else:
                yield from (_Ends(timer, (side,)) for side, running in enumerate((one, other)) if timer in running)

    # What comes of it -------------------------------------------------------------------------------------------------

    def _moved(self, pair: _Pair, move: _Move) -> tuple[_Pair, tuple[_Did, _Did], bool]:
        """Return both panels after a move, what they did with their timers, and whether they did otherwise."""
        controls, did, noticed = [], [], []
        for side, house in enumerate(self._houses):
            control = pair.controls[side]
            events: Iterable[Event]
            if isinstance(move, _Ends):
                events = (Expires(move.timer),) if side in move.sides else ()
            else:
                events = [event for event in house.events(move) if self._there(side, event)]
            starts: dict[Timer, int] = {}
            stops: set[Timer] = set()
            outputs: list[Output] = []
            playing = control.siren
            for event in events:
                done = step(self._setups[side], control, event)
                control = done.control
                stops |= done.stops | ({event.timer} if isinstance(event, Expires) else set())
                starts = {timer: s for timer, s in starts.items() if timer not in done.stops} | dict(done.starts)
                outputs += done.outputs
            seen = observed(
                self._setups[side], [Entry(0, _ANY, tuple(outputs))], 0, house.panel.account, playing
            ) if outputs else ()  # fmt: skip
            controls.append(control)
            did.append(_Did(tuple(starts.items()), frozenset(stops)))
            noticed.append(Counter((each.sense, each.text) for each in seen))
        touched = did[0].stops | did[1].stops | {timer for each in did for timer, _ in each.starts}
        both = {timer for timer, _ in set(did[0].starts) & set(did[1].starts)}
        joint = ((pair.joint - touched) | both) & controls[0].running & controls[1].running
        open_, off = pair.open, pair.off
        if isinstance(move, Handle):
            one = frozenset({move.zone})
            open_ = {What.OPEN: open_ | one, What.CLOSE: open_ - one}.get(move.what, open_)
            off = {What.COVER_OFF: off | one, What.COVER_ON: off - one}.get(move.what, off)
        after = _Pair((controls[0], controls[1]), open_, off, joint)
        return after, (did[0], did[1]), noticed[0] != noticed[1]

    def _there(self, side: int, event: Event) -> bool:
        number = getattr(event, "zone", None)
        return number is None or self._setups[side].zone(number) is not None

    # Times, and the whole panels --------------------------------------------------------------------------------------

    def _tried(self, node: _Node) -> tuple[Way | None, bool]:
        """Return the way to a difference that a person can notice; else whether one is there, but too close."""
        nodes = []
        at: _Node | None = node
        while at is not None:
            nodes.append(at)
            at = at.before
        nodes.reverse()
        for apart in (TOLERANCE_S + 1, 0):
            chain, places = _chain(nodes, apart)
            times = schedule(chain)
            if isinstance(times, Clash):
                continue
            done = tuple(
                (times[place], each.move)
                for each, place in zip(nodes, places, strict=True)
                if each.move is not None and not isinstance(each.move, _Ends)
            )
            until = times[places[-1]] + AFTER_S
            seen = [self._run(panel, node.arming, done, until) for panel in (self.ground.panel, self.wrong)]
            if unlike(seen[0], seen[1]) is not Unlike.NOT and apart:
                return Way(node.arming, done), False
            return None, seen[0] != seen[1]
        return None, False

    def _run(self, panel: Panel, arming: Arming, done: Sequence[tuple[int, Done]], until: int) -> Observation:
        clockwork = begun(panel, arming)
        house = House(panel, ALL_WELL, frozenset(zone.number for zone in panel.setup.zones))
        start = clockwork.now
        entries: list[Entry] = []
        for after, act in done:
            entries += clockwork.advance(start + after)
            entries += [clockwork.give(event) for event in house.events(act)]
        entries += clockwork.advance(start + until)
        return observed(panel.setup, entries, start, panel.account)


def about(variant: Variant) -> frozenset[ZoneNumber]:
    """Return the zones that a wrong panel is about."""
    change = variant.change
    return frozenset({zone.number for zone in change.zones} | {zone for zone, _ in change.hearing} | change.standing)


def sort_of(right: Panel, variant: Variant) -> Hashable:
    """Return what wrong panels have in common of which one comparison is enough.

    Another label is another label; an area that the right panel hasn't is like another that it hasn't: nobody sets it.
    """
    known = frozenset(right.setup.areas)

    def read(zone: ZoneSetup) -> Hashable:
        planned = right.setup.zone(zone.number)
        new = planned is None or zone.label != planned.label
        areas = zone.areas & known, zone.areas <= known, min(zone.areas)
        return replace(zone, label=str(new), areas=frozenset()), areas

    change = variant.change
    return replace(change, zones=frozenset()), frozenset(map(read, change.zones))


def as_field_test(ground: Ground, way: Way) -> FieldTest:
    """Return a way as a field test: all that was opened is shut in the end, and what was set is taken off."""
    acts = tuple((at, act) for at, act in way.done if isinstance(act, Handle | Set | Press))
    last = last_act(acts)
    undone = {What.OPEN: What.CLOSE, What.COVER_OFF: What.COVER_ON}
    left: dict[tuple[What, ZoneNumber], Handle] = {}
    for _, act in acts:
        if isinstance(act, Handle) and act.what in undone:
            left[undone[act.what], act.zone] = Handle(undone[act.what], act.zone)
        elif isinstance(act, Handle):
            left.pop((act.what, act.zone), None)
    acts += tuple((last + STEP_S, act) for act in left.values())
    areas = way.arming.areas | {act.area for _, act in acts if isinstance(act, Set)}
    until = max(ground.waits(way.arming, acts)[0], last_act(acts)) + MARGIN_S
    acts += ground.setting(areas, Mode.DISARMED, until)
    until += MARGIN_S
    zone = next((act.zone for _, act in acts if isinstance(act, Handle)), None)
    where = ground.device(zone) if zone is not None else keypad(ground)
    name = label(ground.panel.setup, zone) if zone is not None else "keypad"
    return FieldTest(Sort.COMPARED, way.arming, acts, until, until, name, where, ends=way.arming.armed)


_ANY = Expires(Timer(TimerKind.SIREN, 0))  # an entry's event, which nobody notices


def _handled(node: _Node | None, zone: ZoneNumber) -> bool:
    """Return whether a device was tripped on the way."""
    while node is not None:
        if isinstance(node.move, Handle) and node.move.zone == zone and node.move.what in (What.OPEN, What.TRIP):
            return True
        node = node.before
    return False


def _chain(nodes: Sequence[_Node], apart: int) -> tuple[list[Moment], list[int]]:
    """Return what each move does to the clocks of both panels, and the place of each node's moment.

    Between an act and what only one panel lets end lie `apart` seconds at least, whichever comes first.
    """
    clocks: tuple[dict[Timer, int], dict[Timer, int]] = {}, {}
    chain: list[Moment] = []
    places: list[int] = []
    made = 0
    last: bool | None = None  # whether the move before was an act; False: one panel's own ending; None: neither
    for node in nodes:
        alone = isinstance(node.move, _Ends) and len(node.move.sides) == 1
        act = node.move is not None and not isinstance(node.move, _Ends)
        if apart and last is not None and (alone or act) and last != act:
            gap = ("gap", len(chain))
            chain[-1] = replace(chain[-1], starts=(*chain[-1].starts, (gap, apart, LONG_S)))
            chain.append(Moment(expires=gap))
        expires: Hashable | None = None
        if isinstance(node.move, _Ends):
            expires = clocks[node.move.sides[0]].get(node.move.timer)
        ended: set[int] = set()
        for side, did in enumerate(node.did):
            ended |= {clocks[side].pop(timer) for timer in did.stops if timer in clocks[side]}
        starts: list[tuple[Hashable, int, int]] = []
        first, second = (dict(did.starts) for did in node.did)
        for timer, seconds in {**second, **first}.items():
            sides = [side for side, mine in enumerate((first, second)) if mine.get(timer) == seconds]
            others = [side for side in (0, 1) if side not in sides and timer in (first, second)[side]]
            for group, length in ((sides, seconds), *(([side], (first, second)[side][timer]) for side in others)):
                made += 1
                starts.append((made, length, length))
                for side in group:
                    if timer in clocks[side]:
                        ended.add(clocks[side][timer])
                    clocks[side][timer] = made
        left = {*clocks[0].values(), *clocks[1].values()}
        stops = frozenset[Hashable](ended - left - {expires})
        chain.append(Moment(tuple(starts), stops, expires, act))
        places.append(len(chain) - 1)
        last = act if act or alone else last
    return chain, places

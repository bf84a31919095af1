"""Two panels under the same hands, side by side: what to do so that they differ, if anything can.

For a wrong panel that no field test shows. Breadth first over pairs of controls (right, wrong) under the same acts; a
timer that runs may end at any moment, and one that both started at once with one length ends in both (the *cover*: it
does whatever the two can, and more). The first move in which they do otherwise is given times (`schedule`), with more
than a stopwatch's error before and after whatever only one of them lets end, and is done on both whole panels: what
differs there is a test. If no move differs in the whole cover, the two are equal whatever is done, and whenever.

Rules of this file:
1. *Equal* rests on the cover of all that can be done and happen at the whole panel, `MOST_PAIRS` at most; *found* on a
   run of the whole panels. Else it is not known.
2. A difference is looked for with few zones: those that are otherwise, their pairs, and a door of each area; the others
   stay shut. Where these show none all zones are taken, with every event that the panel knows, one trouble of the panel
   itself at a time; only that is a proof.
3. What warns in every mode is tripped once and while off, what calls for help never, and devices are left their
   batteries: anything else is not decent, and a test that needs it is none.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

from zonewright.behaviour.clockwork import TimelineEntry
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    CheckIn,
    ChimeSwitch,
    Disarm,
    Event,
    Expires,
    InstallerMode,
    Means,
    Output,
    Panic,
    PowerReturns,
    QuickExit,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
)
from zonewright.behaviour.faults import Right
from zonewright.behaviour.kept_steps import KeptSteps
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.fieldwork.acting import Handle, PanelInHouse, Set, What
from zonewright.fieldwork.conditions import ALL_WELL
from zonewright.fieldwork.fieldtests import OFF, Arming, begun
from zonewright.fieldwork.observing import TOLERANCE_S, Observation, Unlike, observed, unlike
from zonewright.fieldwork.surroundings import Done, House
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.panel.behaviours import ALWAYS, Mode
from zonewright.proof.prover.schedule import Clash, schedule
from zonewright.site.record import ZoneNumber
from zonewright.testplan.abreast import Did, Ends, Move, Pair, PairNode, chain_of

MOST_PAIRS = 250  # of acts that are decent, and again of all: a choice, some tenths of a second
MOST_TRIED = 60  # differences of the cover that are tried on the whole panels
AFTER_S = 5  # waited after the last act


class SearchEnd(Enum):
    """What became of the search."""

    FOUND = "a decent test shows it"
    INDECENT = "only a test that isn't decent shows it"
    STOPWATCH = "it differs by no more than a stopwatch may be wrong"
    EQUAL = "proven equal"
    UNKNOWN = "not shown, not proven equal"


@dataclass(frozen=True, slots=True)
class ShowingActs:
    """What to do, after the site was set so, to see two panels differ; seconds from the start."""

    arming: Arming
    done: tuple[tuple[int, Done], ...]


@dataclass
class Comparison:
    """The right panel beside a wrong one, `about` being the zones that are otherwise or heard by others."""

    ground: SiteOnTest
    wrong: PanelInHouse
    about: frozenset[ZoneNumber]
    whole: bool = False  # all zones and all events, for a proof
    _houses: tuple[House, House] = field(init=False)
    _setups: tuple[Setup, Setup] = field(init=False)
    _step: KeptSteps = field(init=False)  # of both
    _zones: frozenset[ZoneNumber] = field(init=False)
    _areas: list[AreaNumber] = field(init=False)

    def __post_init__(self) -> None:
        panels = self.ground.panel, self.wrong
        everything = (zone.number for panel in panels for zone in panel.setup.zones)
        kept = self.about.union(everything if self.whole else self._others())
        kept |= {
            other for panel in panels for zone in panel.setup.zones if zone.number in kept for other in zone.crosses
        }
        mine = [zone for panel in panels for zone in panel.setup.zones if zone.number in kept]
        known = (area for panel in panels if self.whole for area in panel.setup.areas)
        self._areas = sorted({area for zone in mine for area in zone.areas}.union(known))
        doors = {door.number for panel in panels for area in self._areas for door in panel.setup.exit_doors(area)[:1]}
        self._setups = tuple(
            replace(panel.setup, zones=tuple(zone for zone in panel.setup.zones if zone.number in kept | doors))
            for panel in panels
        )  # type: ignore[assignment]
        self._step = KeptSteps(self._setups[0])
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
            [zone for zone in zones if zone.can_alarm and zone.entry_s][: 0 if instant else 2],
        ):
            for zone in sort:
                yield from (zone.number, *sorted(zone.crosses))

    def settled(self) -> tuple[SearchEnd, ShowingActs | None]:
        """Return what becomes of it, and the way if one was found."""
        close = False
        for decent in (False,) if self.whole else (True, False):
            verdict, way = self._searched(decent=decent)
            close |= verdict is SearchEnd.STOPWATCH
            if verdict in (SearchEnd.FOUND, SearchEnd.INDECENT):
                return verdict, way
        if verdict is SearchEnd.EQUAL and not self.whole:
            return Comparison(self.ground, self.wrong, self.about, whole=True).settled()
        if verdict is SearchEnd.UNKNOWN and close:
            verdict = SearchEnd.STOPWATCH
        return verdict, None

    def _searched(self, *, decent: bool) -> tuple[SearchEnd, ShowingActs | None]:
        todo: deque[PairNode] = deque(self._roots())
        known = {node.pair for node in todo}
        tried, bound, close = 0, False, False
        while todo:
            node = todo.popleft()
            for move in self._moves(node, decent=decent):
                pair, did, differs = self._moved(node.pair, move)
                after = PairNode(pair, move, did, node, node.arming)
                if differs:
                    tried += 1
                    way, tight = self._tried(after)
                    if way is not None:
                        return (SearchEnd.FOUND if decent else SearchEnd.INDECENT), way
                    close |= tight
                    if tried == MOST_TRIED:
                        return (SearchEnd.STOPWATCH if close else SearchEnd.UNKNOWN), None
                elif pair not in known and not (bound := bound or len(known) >= MOST_PAIRS):
                    known.add(pair)
                    todo.append(after)
        if close:
            return SearchEnd.STOPWATCH, None
        return (SearchEnd.UNKNOWN if bound or tried else SearchEnd.EQUAL), None

    # What may be done -------------------------------------------------------------------------------------------------

    def _roots(self) -> Iterator[PairNode]:
        """Give both panels as they stand before a test: off, and set in each way that touches what is otherwise."""
        ground = self.ground
        zones = [ground.panel.setup.zone(number) for number in sorted(self._zones)]
        modes = (Mode.STAY, Mode.AWAY)
        able = [(mode, ground.can_arm(mode)) for mode in modes]
        mine = {zone.areas for zone in zones if zone is not None}
        ways = {(mode, areas) for mode, all_ in able for areas in (*mine, all_) if areas and areas <= all_}
        armed = sorted(ways, key=lambda way: (sorted(way[1]), modes.index(way[0])))
        for arming in (OFF, *(Arming(mode, areas) for mode, areas in armed)):
            clockworks = [
                begun(replace(panel, setup=setup), arming)
                for panel, setup in zip((ground.panel, self.wrong), self._setups, strict=True)
            ]
            did = tuple(
                Did(tuple((timer, due - each.now) for timer, due in each.due.items()), frozenset())
                for each in clockworks
            )
            joint = frozenset(set(did[0].starts) & set(did[1].starts))
            pair = Pair(
                (clockworks[0].control, clockworks[1].control), frozenset(), frozenset(),
                frozenset(timer for timer, _ in joint),
            )  # fmt: skip
            yield PairNode(pair, None, (did[0], did[1]), None, arming)

    def _moves(self, node: PairNode, *, decent: bool) -> Iterator[Move]:
        pair = node.pair
        setup = self.ground.panel.setup
        armed = any(area.mode is not Mode.DISARMED for area in pair.controls[0].areas)
        for number in sorted(self._zones):
            zone = setup.zone(number)
            if zone is None or number not in self.ground.resolved.zones:
                continue
            warns = zone.behaviour.live == ALWAYS and zone.can_alarm
            once = not warns or not (armed or _handled(node, number))
            may = not decent or (once and not self.ground.alarming(number))
            if self.ground.momentary(number):
                yield from (Handle(What.TRIP, number),) if may else ()
            elif number in pair.open:
                yield Handle(What.CLOSE, number)
            elif may:
                yield Handle(What.OPEN, number)
            if (self.whole or number in self.about) and self.ground.has_cover(number):
                yield Handle(What.COVER_ON if number in pair.off else What.COVER_OFF, number)
        if not decent:
            for number in sorted(self._zones if self.whole else self.about):
                for trouble in (Trouble.LOW_BATTERY, Trouble.MISSING):
                    yield from (TroubleBegins(number, trouble), TroubleEnds(number, trouble))
                yield Bypass(number, UserNumber(1))
            yield from (
                self._rare(pair) if self.whole else (Panic(area, self.ground.holder(area)) for area in self._areas)
            )
        for area in self._areas:
            yield from (Set(area, mode, self.ground.holder(area)) for mode in (Mode.DISARMED, *self.ground.modes))
        yield from self._endings(pair, decent=decent)

    def _rare(self, pair: Pair) -> Iterator[Event]:
        """Give what is seldom done, and what happens to the panel itself."""
        for area in self._areas:
            for user in sorted({self.ground.holder(area), *self.ground.panel.setup.duress, *self.wrong.setup.duress}):
                yield from (Panic(area, user), QuickExit(area, user), Disarm(area, user))
                for mode in self.ground.modes:
                    yield from (Arm(area, mode, user, Means.REMOTE), Arm(area, mode, user, silent=True))
                    yield from (Arm(area, mode, user, over=right) for right in (Right.USER, Right.INSTALLER))
        for number in sorted(self._zones):
            yield from (Unbypass(number, UserNumber(1)), CheckIn(number))
        for on in (True, False):
            yield from (ChimeSwitch(on), InstallerMode(on))
        stand = pair.controls[0].site | pair.controls[1].site | ({SiteTrouble.JAMMING} if _jammed(pair) else set())
        yield from map(SiteTroubleEnds, sorted(stand, key=str))
        yield from () if stand else map(SiteTroubleBegins, SiteTrouble)
        yield PowerReturns()

    def _endings(self, pair: Pair, *, decent: bool) -> Iterator[Ends]:
        one, other = (control.running for control in pair.controls)
        for timer in sorted(one | other, key=str):
            if decent and timer.kind.background:
                continue
            if timer in pair.joint:
                yield Ends(timer, (0, 1))
            else:
                yield from (Ends(timer, (side,)) for side, running in enumerate((one, other)) if timer in running)

    # What it leads to -------------------------------------------------------------------------------------------------

    def _moved(self, pair: Pair, move: Move) -> tuple[Pair, tuple[Did, Did], bool]:
        """Return both panels after a move, what they did with their timers, and whether they did otherwise."""
        controls, did, noticed = [], [], []
        for side, house in enumerate(self._houses):
            control = pair.controls[side]
            events: Iterable[Event]
            if isinstance(move, Ends):
                events = (Expires(move.timer),) if side in move.sides else ()
            else:
                events = [event for event in house.events(move) if self._there(side, event)]
            starts: dict[Timer, int] = {}
            stops: set[Timer] = set()
            outputs: list[Output] = []
            playing = control.siren
            for event in events:
                done = self._step(self._setups[side], control, event)
                control = done.control
                stops |= done.stops | ({event.timer} if isinstance(event, Expires) else set())
                starts = {timer: s for timer, s in starts.items() if timer not in done.stops} | dict(done.starts)
                outputs += done.outputs
            seen = observed(
                self._setups[side], [TimelineEntry(0, _ANY, tuple(outputs))], 0, house.panel.account, playing
            ) if outputs else ()  # fmt: skip
            controls.append(control)
            did.append(Did(tuple(starts.items()), frozenset(stops)))
            noticed.append(Counter((each.sense, each.text) for each in seen))
        touched = did[0].stops | did[1].stops | {timer for each in did for timer, _ in each.starts}
        both = {timer for timer, _ in set(did[0].starts) & set(did[1].starts)}
        joint = ((pair.joint - touched) | both) & controls[0].running & controls[1].running
        open_, off = pair.open, pair.off
        if isinstance(move, Handle):
            one = frozenset({move.zone})
            open_ = {What.OPEN: open_ | one, What.CLOSE: open_ - one}.get(move.what, open_)
            off = {What.COVER_OFF: off | one, What.COVER_ON: off - one}.get(move.what, off)
        after = Pair((controls[0], controls[1]), open_, off, joint)
        return after, (did[0], did[1]), noticed[0] != noticed[1]

    def _there(self, side: int, event: Event) -> bool:
        number = getattr(event, "zone", None)
        return number is None or self._setups[side].zone(number) is not None

    # Times, and the whole panels --------------------------------------------------------------------------------------

    def _tried(self, node: PairNode) -> tuple[ShowingActs | None, bool]:
        """Return the way to a difference that a person can notice; else whether one is there, but too close."""
        nodes = []
        at: PairNode | None = node
        while at is not None:
            nodes.append(at)
            at = at.before
        nodes.reverse()
        for apart in (TOLERANCE_S + 1, 0):
            chain, places = chain_of(nodes, apart)
            times = schedule(chain)
            if isinstance(times, Clash):
                continue
            done = tuple(
                (times[place], each.move)
                for each, place in zip(nodes, places, strict=True)
                if each.move is not None and not isinstance(each.move, Ends)
            )
            until = times[places[-1]] + AFTER_S
            seen = [self._run(panel, node.arming, done, until) for panel in (self.ground.panel, self.wrong)]
            if unlike(seen[0], seen[1]) is not Unlike.NOT and apart:
                return ShowingActs(node.arming, done), False
            return None, seen[0] != seen[1]
        return None, False

    def _run(self, panel: PanelInHouse, arming: Arming, done: Sequence[tuple[int, Done]], until: int) -> Observation:
        clockwork = begun(panel, arming)
        house = House(panel, ALL_WELL, frozenset(zone.number for zone in panel.setup.zones))
        start = clockwork.now
        entries: list[TimelineEntry] = []
        for after, act in done:
            entries += clockwork.advance(start + after)
            entries += [clockwork.give(event) for event in house.events(act)]
        entries += clockwork.advance(start + until)
        return observed(panel.setup, entries, start, panel.account)


_ANY = Expires(Timer(TimerKind.SIREN, 0))  # an entry's event, which nobody notices


def _jammed(pair: Pair) -> bool:
    return any(control.jammed for control in pair.controls)


def _handled(node: PairNode | None, zone: ZoneNumber) -> bool:
    """Return whether a device was tripped on the way."""
    while node is not None:
        if isinstance(node.move, Handle) and node.move.zone == zone and node.move.what in (What.OPEN, What.TRIP):
            return True
        node = node.before
    return False

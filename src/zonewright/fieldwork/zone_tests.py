"""The tests that there may be of one zone, in every mode that is decent, and of the ways in.

Rules of this file:
1. A test is made from the plan alone. How long to wait is found by running it on the planned panel: until the last
   thing that follows from it, and a margin; where nothing follows, a short while.
2. What gives an alarm in every mode is tried while off only, and only once.
3. Seconds that nobody publishes (how long a door is held, how far apart two trips are) are choices of ours.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from zonewright.behaviour.acts import FIRST, can_be, coded, disarming, every_day, with_acts
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.devices import has_cover
from zonewright.behaviour.events import Message, Siren
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.fieldwork.acting import BUTTONS, Act, Handle, PanelInHouse, PressButton, Set, What, perform
from zonewright.fieldwork.calling import Call, Calls, calls_in
from zonewright.fieldwork.fieldtests import OFF, Arming, FieldTest, Sort, begun, last_act, trips
from zonewright.fieldwork.ways import Ways, ways_of
from zonewright.panel.behaviours import ALWAYS, ARMED, Mode, Pattern, Timing
from zonewright.panel.programme import areas_in, item_of
from zonewright.panel.resolve import Resolved
from zonewright.site.record import ZoneNumber
from zonewright.words.tracks import Names, names_of

MARGIN_S = 5  # after the last thing that is expected
IN_VAIN_S = 10  # waited where nothing is expected
APART_S = 6  # between two trips of one device
AT_ONCE = ("movement", "breaking glass", "a push")  # what these sense is over at once
STEP_S = 3  # between two devices on the way in
BEFORE_S = 5  # disarmed so long before a time runs out
LEFT_TO_DISARM_S = 8  # to go to the keypad and key a code, at least
FEW_ON_THE_WAY = 4  # devices passed in one entry time, at most


@dataclass
class SiteOnTest:
    """The planned panel in its house, and what was found out by trying."""

    resolved: Resolved
    panel: PanelInHouse
    _begun: dict[Arming, Clockwork] = field(default_factory=dict)
    _alarming: dict[ZoneNumber, Calls] = field(default_factory=dict)
    _can_arm: dict[tuple[Mode, bool], frozenset[AreaNumber]] = field(default_factory=dict)

    @cached_property
    def modes(self) -> tuple[Mode, ...]:
        """Return the modes in which anything is otherwise: night only where some zone does otherwise than in stay."""
        night = any(
            (Mode.NIGHT in modes) != (Mode.STAY in modes)
            for zone in self.panel.setup.zones
            for modes in (zone.behaviour.live, zone.behaviour.chimes, zone.behaviour.warns, zone.behaviour.tamper_alarm)
        )
        return (Mode.STAY, Mode.AWAY, *((Mode.NIGHT,) if night else ()))

    @cached_property
    def names(self) -> Names:
        """Return what the site calls its areas and people."""
        return names_of(self.resolved)

    @cached_property
    def ways(self) -> Ways:
        """Return how far it is from one thing to the next, by the plan of the site."""
        return ways_of(self.resolved.plan)

    @property
    def every_area(self) -> frozenset[AreaNumber]:
        """Return all areas."""
        return frozenset(self.panel.setup.areas)

    def begun(self, arming: Arming) -> Clockwork:
        """Return the panel set for a test."""
        if arming not in self._begun:
            self._begun[arming] = begun(self.panel, arming)
        return self._begun[arming].copy()

    def waits(self, arming: Arming, acts: Iterable[tuple[int, Act]]) -> tuple[int, int, bool]:
        """Return when the last thing comes of some acts, when the last but messages, and whether anything sounds."""
        acts = tuple(acts)
        clockwork = self.begun(arming)
        start = clockwork.now
        entries = perform(clockwork, self.panel, acts, last_act(acts))
        entries += clockwork.rest()
        told = last_act(acts)
        noticed, sounds = told, False
        for entry in entries:
            for output in entry.outputs:
                if output == Siren(Pattern.NONE):
                    continue
                sounds |= isinstance(output, Siren)
                told = max(told, entry.at - start)
                noticed = max(noticed, entry.at - start) if not isinstance(output, Message) else noticed
        return told, noticed, sounds

    def momentary(self, zone: ZoneNumber) -> bool:
        """Return whether what the zone's device senses is over at once."""
        return self.senses(zone) in AT_ONCE

    def senses(self, zone: ZoneNumber) -> str:
        """Return what the zone's device senses, that of a loop's first."""
        device = self.device(zone)
        return self.resolved.senses(device) if device in self.resolved.site.devices else "opening"

    def device(self, zone: ZoneNumber) -> str:
        """Return the name of the device where one stands; a loop's first, or the loop's own name if it has none."""
        name = self.resolved.zones[zone].device
        loop = self.resolved.site.loops.get(name)
        return name if loop is None or not loop.devices else loop.devices[0]

    def devices(self, zone: ZoneNumber) -> tuple[str, ...]:
        """Return the names of all devices that the zone is for: its own, or those of its loop."""
        loop = self.resolved.site.loops.get(self.resolved.zones[zone].device)
        return tuple(loop.devices) if loop is not None and loop.devices else (self.device(zone),)

    def has_cover(self, zone: ZoneNumber) -> bool:
        """Return whether its cover, or its loop, is watched."""
        return has_cover(self.resolved, zone)

    def has_own_cover(self, zone: ZoneNumber) -> bool:
        """Return whether its cover is watched and no other zone's: one box with two inputs has one cover for both."""
        return self.has_cover(zone) and len(self.resolved.of_same_device(zone)) == 1

    @cached_property
    def acting(self) -> Setup:
        """Return the setup with what the people of the site do every day."""
        return every_day(with_acts(self.panel.setup, self.resolved))

    def can_arm(self, mode: Mode, *, by_code: bool = False) -> frozenset[AreaNumber]:
        """Return the areas that somebody can arm in a mode, and disarm again; `by_code`: at a keypad.

        A panel without people asks nobody.
        """
        if not self.panel.people:
            return self.every_area
        if (mode, by_code) not in self._can_arm:
            acting = every_day(self.acting, by_code=True) if by_code else self.acting
            able = (a for a in self.every_area if mode in can_be(acting, a) and disarming(acting, a) is not None)
            self._can_arm[mode, by_code] = frozenset(able)
        return self._can_arm[mode, by_code]

    def remote(self, area: AreaNumber, does: str) -> PressButton | None:
        """Return the button that does this to an area, of the first remote that has one."""
        planned = self.panel.planned
        for slot in planned.numbers("remote"):
            number = planned.get(item_of("remote", slot, "number"))
            here = area in areas_in(planned.get(item_of("remote", slot, "area"))) and number is not None
            if here and (does == "disarm" or self.ends(slot)):
                for button in BUTTONS:
                    if planned.get(item_of("remote", slot, button)) == does:
                        return PressButton(slot, button)
        return None

    def ends(self, remote: int) -> bool:
        """Return whether somebody can disarm each area of a remote: what is armed with it would else stay armed."""
        areas = areas_in(self.panel.planned.get(item_of("remote", remote, "area")))
        mine = (area for area in self.every_area if area in areas)
        return not self.panel.people or all(disarming(self.acting, area) is not None for area in mine)

    def holder(self, area: AreaNumber) -> UserNumber:
        """Return the first slot whose code sets an area; the first of all where nobody's does."""
        return coded(self.acting, area) or FIRST

    def has_code(self, area: AreaNumber) -> bool:
        """Return whether somebody's code sets an area; a panel without people asks nobody."""
        return not self.panel.people or coded(self.acting, area) is not None

    def setting(self, areas: Iterable[AreaNumber], mode: Mode, at: int) -> tuple[tuple[int, Act], ...]:
        """Return the acts by which areas are set or taken off: at a keypad, else with a remote, where somebody can."""
        found: dict[Act, None] = {}
        for area in sorted(areas):
            does = "disarm" if mode is Mode.DISARMED else f"arm {mode.value}"
            act = Set(area, mode, self.holder(area)) if self.has_code(area) else self.remote(area, does)
            if act is not None:
                found[act] = None
        return tuple((at, act) for act in found)

    def test(
        self, sort: Sort, arming: Arming, acts: Iterable[tuple[int, Act]], zone: ZoneSetup, *, off: bool = False
    ) -> FieldTest:
        """Make a test of a zone; `off` if it ends by disarming its areas, or whatever is armed."""
        acts = tuple(acts)
        told, noticed, sounds = self.waits(arming, acts)
        last = last_act(acts)
        until = max(told + MARGIN_S, last + (IN_VAIN_S if told <= last else MARGIN_S))
        busy = noticed + STEP_S
        if not arming.armed and sounds and not off:  # nobody goes on while it sounds
            others = self.every_area - zone.areas
            acts += self.setting(others, Mode.DISARMED, until)  # that silences nothing of its own
            until += STEP_S if others else 0
            acts += self.setting(zone.areas, Mode.DISARMED, until)
            until += MARGIN_S
            busy = until
        if off:
            busy = until
        return self.cautioned(
            FieldTest(sort, arming, acts, until, busy, zone.label, self.device(zone.number), off and arming.armed)
        )

    def cautioned(self, test: FieldTest) -> FieldTest:
        """Return a test with what it sets off on the planned panel."""
        entries = perform(self.begun(test.arming), self.panel, test.acts, test.until)
        tripped = [act.zone for _, act in test.acts if isinstance(act, Handle) and act.what in (What.OPEN, What.TRIP)]
        held = frozenset[Call]().union(*map(self.calls_held, tripped))  # smoke doesn't clear when somebody says so
        return replace(test, calls=calls_in(self.panel.setup, entries) | held)

    def alarming(self, zone: ZoneNumber) -> bool:
        """Return whether a trip of a zone while off calls for help or sounds a danger."""
        return bool(self.calls_held(zone))

    def calls_held(self, zone: ZoneNumber) -> Calls:
        """Return which calls for help and dangers come of a trip of a zone that stays tripped, while off."""
        if zone not in self._alarming:
            clockwork = self.begun(OFF)
            begins = trips(zone, momentary=self.momentary(zone))[:1]
            calls = calls_in(self.panel.setup, [*perform(clockwork, self.panel, begins, 0), *clockwork.rest()])
            self._alarming[zone] = calls & {Call.HELP, Call.DANGER}
        return self._alarming[zone]


def armings(ground: SiteOnTest, zone: ZoneSetup) -> Iterator[Arming]:
    """Give the ways in which the site is set for tests of a zone: all of it, and its own areas alone."""
    yield OFF
    if zone.behaviour.live == ALWAYS and zone.can_alarm:
        return
    for mode in ground.modes:
        able = ground.can_arm(mode)
        if able:
            yield Arming(mode, able)
        if zone.areas < able:
            yield Arming(mode, zone.areas)


def tests_of_zone(ground: SiteOnTest, zone: ZoneSetup) -> Iterator[FieldTest]:
    """Give every test of one zone by itself."""
    if not zone.behaviour.in_use or zone.number not in ground.resolved.zones:
        return
    settings = ground.panel.setup.settings
    momentary = ground.momentary(zone.number)
    once = trips(zone.number, momentary=momentary)
    for arming in armings(ground, zone):
        looked_at_twice = zone.verifies and settings.fire_verify_window > 0
        if not looked_at_twice:  # its alarm comes of one that stays
            yield ground.test(Sort.TRIP, arming, once, zone)
        if not momentary:
            told, _, _ = ground.waits(arming, once[:1])
            yield ground.test(Sort.HOLD, arming, (once[0], (max(told + STEP_S, 3), once[1][1])), zone)
        if ground.has_own_cover(zone.number):
            off, on = Handle(What.COVER_OFF, zone.number), Handle(What.COVER_ON, zone.number)
            yield ground.test(Sort.COVER, arming, ((0, off), (10, on)), zone)
        live = arming.mode in zone.behaviour.live and zone.can_alarm
        if live and zone.behaviour.swinger and settings.swinger_limit > 0 and arming.armed:
            first = max(APART_S, zone.entry_s + APART_S if zone.behaviour.timing is Timing.DELAYED else 0)
            starts = [0, *(first + APART_S * n for n in range(settings.swinger_limit))]
            again = (act for at in starts for act in trips(zone.number, momentary=momentary, at=at))
            yield ground.test(Sort.AGAIN, arming, again, zone)
        if live and zone.message_waits and settings.abort_window > 0:
            enters = zone.entry_s if zone.behaviour.timing is Timing.DELAYED and arming.armed else 0
            at = enters + max(1, settings.abort_window - BEFORE_S)
            over = trips(zone.number, momentary=momentary, shut=min(3, at))
            off_at = ground.setting(zone.areas, Mode.DISARMED, max(at, last_act(over)))
            yield ground.test(Sort.CALL_OFF, arming, (*over, *off_at), zone, off=True)


def tests_of_ways_in(ground: SiteOnTest) -> Iterator[FieldTest]:
    """Give the walks in by every entry door: straight, and by the routes of the site file.

    Besides, by the first door of each set of areas, past all other devices there, a few at a time.
    """
    strayed: set[frozenset[AreaNumber]] = set()
    zones = ground.panel.setup.zones
    site = ground.resolved.site
    for door in zones:
        if door.behaviour.timing is not Timing.DELAYED or door.entry_s == 0 or door.number not in ground.resolved.zones:
            continue
        ways: dict[tuple[ZoneNumber, ...], Sort] = {(): Sort.WALK_IN}
        for route in site.routes.values():
            if door.number in ground.resolved.called(route.by):
                through = [number for each in route.through for number in ground.resolved.called(each)]
                ways.setdefault(tuple(dict.fromkeys(through)), Sort.WALK_IN)
        inside = [zone for zone in zones if zone.areas & door.areas and zone.behaviour.alarm and zone is not door]
        for mode in sorted(ARMED & door.behaviour.live, key=list(Mode).index):
            if mode not in ground.modes or not door.areas <= ground.can_arm(mode):
                continue
            here = dict(ways)
            for timing in Timing if door.areas not in strayed else ():
                met = [
                    zone.number
                    for zone in inside
                    if zone.behaviour.timing is timing and mode in zone.behaviour.live
                    and zone.behaviour.live != ALWAYS and zone.number in ground.resolved.zones
                ]  # fmt: skip
                for some in _walkable(ground, door, met):
                    here.setdefault(some, Sort.STRAY_IN)
            for way, sort in here.items():
                yield from _walk_in(ground, door, mode, way, sort)
        strayed.add(door.areas)


def _met(ground: SiteOnTest, door: ZoneSetup, way: Sequence[ZoneNumber]) -> list[int]:
    """Return when somebody who comes in by a door is at each device of a way [s]; where the plan is silent, soon."""
    found, now, here = list[int](), 1, ground.device(door.number)
    for number in way:
        there = ground.device(number)
        known = here in ground.ways.places and there in ground.ways.places
        now += max(STEP_S, ground.ways.seconds(here, there)) if known else STEP_S
        found.append(now)
        here = there
    return found


def _walkable(ground: SiteOnTest, door: ZoneSetup, met: Sequence[ZoneNumber]) -> Iterator[tuple[ZoneNumber, ...]]:
    """Give devices a few at a time, as many as somebody can pass in the entry time; never none."""
    left = list(met)
    while left:
        some = left[:1]
        while len(some) < FEW_ON_THE_WAY and len(some) < len(left):
            longer = left[: len(some) + 1]
            if _met(ground, door, longer)[-1] + LEFT_TO_DISARM_S > door.entry_s - BEFORE_S:
                break
            some = longer
        yield tuple(some)
        left = left[len(some) :]


def _walk_in(
    ground: SiteOnTest, door: ZoneSetup, mode: Mode, way: tuple[ZoneNumber, ...], sort: Sort
) -> Iterator[FieldTest]:
    acts = [*trips(door.number, momentary=ground.momentary(door.number), shut=2)]
    at = max(door.entry_s - BEFORE_S, 1)
    met = _met(ground, door, way)
    if met and met[-1] + 1 >= at:  # too far for one person: others stand there
        met = [n * STEP_S + 1 for n in range(1, len(way) + 1)]
    for number, when in zip(way, met, strict=True):
        acts += trips(number, momentary=ground.momentary(number), at=when, shut=1) if when + 1 < at else ()
    acts = [(after, act) for after, act in acts if after < at]
    areas = {area for number in (door.number, *way) for area in ground.panel.setup.zone(number).areas}  # type: ignore[union-attr]
    arming = Arming(mode, ground.can_arm(mode))
    yield ground.test(sort, arming, (*acts, *ground.setting(areas, Mode.DISARMED, at)), door, off=True)

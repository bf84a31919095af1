"""Which slips show in which field tests: each wrong panel is run through the tests that it can touch.

Rules of this file:
1. Slips that come to the same for the panel model and the devices are one `Variant`: twenty ways to misread a number
   leave the same device unheard.
2. Locality: a wrong panel is run only on tests that can differ. A slip of a zone touches the tests in which a device is
   handled that a changed zone hears, or should have heard; settings touch all. A test holds this to the full matrix.
3. Symmetry: tests that differ only in which of several zones alike they handle are run once for a change of settings,
   and once for the same change of whichever of these zones.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from enum import Enum

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.faults import SettingFault
from zonewright.behaviour.kept_steps import KeptSteps
from zonewright.behaviour.setup import NO_CHIME, Settings, Setup, UnusableValues, UserNumber, ZoneSetup
from zonewright.fieldwork.acting import Handle, PanelInHouse
from zonewright.fieldwork.fieldtests import Arming, FieldTest, begun, seen_in
from zonewright.fieldwork.observing import Observation, Unlike, unlike
from zonewright.fieldwork.slipped import Slipped
from zonewright.panel.behaviours import ALWAYS
from zonewright.panel.fixed import SETTING_KINDS, Written
from zonewright.panel.programme import Item, Value, areas_in
from zonewright.site.record import ZoneNumber
from zonewright.testplan import unread
from zonewright.testplan.never_set import without_never_set

Row = int  # a set of tests, one bit each, by their place among the candidates


class NotShownBecause(Enum):
    """Why no test shows a slip."""

    UNREAD = "nothing that the panel does depends on it"
    ROLE = "it decides who gets into programming, which no test tries"
    DAYS = "it shows only when a device is silent or a trouble stands for hours"
    STOPWATCH = "it shifts times by no more than a stopwatch may be wrong"
    NEVER_SET = (
        "it puts a zone also into an area that nobody can set; that stays off, so the zone does nothing otherwise"
    )
    EQUAL = "proven equal in whatever is done at this site, at whatever second"
    HELP = "only a call for help would show it, or the sound for fire or gas"
    INDECENT = "only a test that isn't decent shows it: fire, police, a flat battery, a zone taken out"
    UNPROVEN = "no test was found that shows it, and it isn't proven equal"


@dataclass(frozen=True, slots=True)
class Deviation:
    """What is otherwise on a wrong panel, as far as anything can come of it."""

    zones: frozenset[ZoneSetup]  # as they are now
    settings: Settings | None
    duress: frozenset[UserNumber]  # whose codes call for help, or do so no more
    areas: bool  # whether the panel knows other areas
    doors: bool  # whether an area can be left otherwise
    hearing: frozenset[tuple[ZoneNumber, tuple[ZoneNumber, ...]]]  # device, as planned, and who hears it now
    things: frozenset[tuple[Item, Value | None]]  # people's rights, remotes
    standing: frozenset[ZoneNumber]
    account: str | None

    @property
    def nothing(self) -> bool:
        """Return whether nothing can come of it."""
        return self == NO_CHANGE

    @property
    def general(self) -> bool:
        """Return whether every test may differ."""
        return self.settings is not None or bool(self.duress) or self.areas or self.account is not None


NO_CHANGE = Deviation(frozenset(), None, frozenset(), False, False, frozenset(), frozenset(), frozenset(), None)
DAYS = frozenset(
    {"supervision_window", "life_safety_supervision_window", "low_battery_wait", "warm_up", "troubles",
     "heard_before_setting", *(name.replace("-", "_") for name, kind in SETTING_KINDS.items() if kind is Written.WAIT)}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Variant:
    """One wrong panel, and every slip that makes it."""

    changes: Mapping[Item, Value | None]
    change: Deviation
    slips: tuple[Slipped, ...]
    panel: PanelInHouse = field(repr=False, compare=False)

    @property
    def weight(self) -> float:
        """Return how likely it is beside others."""
        return sum(slip.weight for slip in self.slips)


def change_of(planned: PanelInHouse, panel: PanelInHouse) -> Deviation:
    """Return what is otherwise on a panel than on the one that holds what is planned."""
    old, new = planned.setup, panel.setup
    zones = frozenset[ZoneSetup]()
    if new is not old:
        pairs = ((zone, old.zone(zone.number)) for zone in new.zones)
        zones = frozenset(zone for zone, before in pairs if zone is not before and as_read(zone) != as_read(before))
    hearing: set[tuple[ZoneNumber, tuple[ZoneNumber, ...]]] = set()
    if panel.hears is not planned.hears or panel.wired != planned.wired:
        senders = {sender for sender, heard in panel.hears.items() if heard != planned.hears.get(sender)}
        moved = {zone for zone, sender in planned.sends.items() if sender in senders} | (panel.wired ^ planned.wired)
        hearing = {(zone, panel.hearing(zone)) for zone in moved if panel.hearing(zone) != planned.hearing(zone)}
    things = {
        (item, value) for item, value in panel.changes.items()
        if (item.group == "remote" and item.field != "area") or (
            item.group in ("user", "remote") and item.field in ("areas", "area")
            and _there(new, value) != _there(new, planned.planned.get(item))
        )
    }  # fmt: skip
    return Deviation(
        zones,
        settings_changed(old, new),
        frozenset(new.duress ^ old.duress),
        new.areas != old.areas,
        any(_leaves(zone) != _leaves(old.zone(zone.number)) for zone in zones),
        frozenset(hearing),
        frozenset(things),
        frozenset(event.zone for event in panel.standing()),  # type: ignore[union-attr]
        panel.account if panel.account != planned.account else None,
    )


def _there(setup: Setup, areas: Value | None) -> frozenset[int]:
    """Return of some areas those that the panel has: nobody can set another."""
    return frozenset(areas_in(areas)) & frozenset(setup.areas)


def as_read(zone: ZoneSetup | None) -> ZoneSetup | None:
    """Return a zone without what nothing reads: a zone that alarms in every mode has no use for a chime."""
    never = zone is not None and zone.can_alarm and zone.behaviour.live == ALWAYS and zone.chime != NO_CHIME
    return replace(zone, chime=NO_CHIME) if zone is not None and never else zone


def settings_changed(old: Setup, new: Setup) -> Settings | None:
    """Return the settings if they changed, those left aside that no zone asks for."""
    if new.settings == old.settings:
        return None
    zones = (*old.zones, *new.zones)
    return new.settings if unread.as_read(new.settings, zones) != unread.as_read(old.settings, zones) else None


def _leaves(zone: ZoneSetup | None) -> object:
    return (zone.areas, zone.behaviour.completes_exit) if zone is not None and zone.behaviour.exit_door else None


def variants(planned: PanelInHouse, slips: Iterable[Slipped]) -> tuple[Variant, ...]:
    """Return the wrong panels that slips make, each once; one that the panel model can't run is left out."""
    found: dict[Deviation, tuple[PanelInHouse, list[Slipped]]] = {}
    for slip in slips:
        try:
            panel = planned.slipped(slip.changes)
        except UnusableValues:
            continue
        found.setdefault(change_of(planned, panel), (panel, []))[1].append(slip)
    return tuple(Variant(panel.changes, change, tuple(group), panel) for change, (panel, group) in found.items())


@dataclass
class Bench:
    """The planned panel with all its tests, and what is seen in each; wrong panels are compared with that."""

    planned: PanelInHouse
    tests: tuple[FieldTest, ...]
    runs: int = 0  # how often a test was run, for benchmarks
    seen: list[Observation] = field(init=False)
    steps: KeptSteps = field(init=False)
    _begun: dict[Arming, Clockwork] = field(init=False, default_factory=dict)
    _by_zone: dict[ZoneNumber, Row] = field(init=False, default_factory=dict)
    _by_thing: dict[str, Row] = field(init=False, default_factory=dict)
    _sets: Row = field(init=False, default=0)
    _alike: dict[object, list[int]] = field(init=False, default_factory=dict)
    _likeness_of: list[int] = field(init=False, default_factory=list)
    _known: dict[object, bool] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        tests, self.tests, self.seen = self.tests, (), []
        self.steps = KeptSteps(self.planned.setup)
        self.add(tests)

    def add(self, tests: Sequence[FieldTest]) -> None:
        """Take more tests."""
        before = len(self.tests)
        self.tests = (*self.tests, *tests)
        for place, test in enumerate(tests, before):
            self.seen.append(self._run(self.planned, test, self._begun))
            bit = 1 << place
            for device in test.zones:
                for zone in {device, *self.planned.hearing(device)}:
                    self._by_zone[zone] = self._by_zone.get(zone, 0) | bit
            for thing in test.things:
                self._by_thing[thing] = self._by_thing.get(thing, 0) | bit
            if test.sets:
                self._sets |= bit
            alike = self._alike.setdefault(self._likeness(test), [])
            alike.append(place)
            self._likeness_of.append(alike[0])

    def touched(self, change: Deviation) -> Row:
        """Return the tests in which a wrong panel may differ."""
        if change.general:
            return (1 << len(self.tests)) - 1
        row = self._sets if change.doors or change.standing else 0
        if change.standing:
            row |= 1  # the look at the keypad, first of all tests
        for zone in (*(zone.number for zone in change.zones), *(zone for zone, _ in change.hearing), *change.standing):
            row |= self._by_zone.get(zone, 0)
        for item, _ in change.things:
            thing = item.thing
            others = self._by_thing.values() if thing.group == "remote" else (self._by_thing.get(thing, 0),)
            for each in others:
                row |= each
        return row

    def row(self, variant: Variant, since: int = 0) -> Row:
        """Return the tests in which a wrong panel shows, of those from a place on."""
        change = variant.change
        if change.nothing:
            return 0
        touched = self.touched(change) >> since << since
        if not touched:
            return 0
        panel = variant.panel
        if change == replace(NO_CHANGE, account=change.account):
            return sum(
                1 << place
                for place, seen in enumerate(self.seen)
                if place >= since and any("account" in each.text for each in seen)
            )
        own: dict[Arming, Clockwork] = {}
        row = 0
        if change.general and not change.zones:
            for places in self._alike.values():
                if places[-1] >= since and self._differs(panel, places[0], own):
                    row |= sum(1 << place for place in places)
            return row >> since << since
        begin = self._begun if self.as_begun(change) else own
        one = self._of_one_zone(change)
        for place in places_of(touched):
            if one is None or self.tests[place].zones != {one[0]}:
                differs = self._differs(panel, place, begin)
            else:
                key = (one[1], self._likeness_of[place])
                if key not in self._known:
                    self._known[key] = self._differs(panel, place, begin)
                differs = self._known[key]
            if differs:
                row |= 1 << place
        return row

    def _of_one_zone(self, change: Deviation) -> tuple[ZoneNumber, object] | None:
        """Return the only zone that a change is about, and the change without that zone's number and label."""
        touched = {zone.number for zone in change.zones} | {device for device, _ in change.hearing}
        if len(touched) != 1 or change.general or change.doors or change.things or change.standing:
            return None
        (one,) = touched
        before = self.planned.setup.zone(one)
        if before is None or before.crosses:
            return None
        named = [replace(zone, number=ZoneNumber(0), label=str(zone.label == before.label)) for zone in change.zones]
        return one, (tuple(named), tuple(len(heard) for _, heard in change.hearing))

    def full_row(self, variant: Variant) -> Row:
        """Return the same with every test run from power-up, and no step kept: what `row` is held to."""
        panel = variant.panel
        runs = (seen_in(panel, begun(panel, test.arming), test) for test in self.tests)
        pairs = zip(runs, self.seen, strict=True)
        return sum(1 << place for place, (run, seen) in enumerate(pairs) if unlike(run, seen) is not Unlike.NOT)

    def why_unseen(self, variant: Variant) -> NotShownBecause:
        """Return why no test shows a wrong panel whose row is empty."""
        change = variant.change
        if change.nothing:
            return (
                NotShownBecause.ROLE
                if any(item.field == "role" for item in variant.changes)
                else NotShownBecause.UNREAD
            )
        old = self.planned.setup
        waits = change.settings is None or all(
            each.name in DAYS or _at_once(each.name, change.settings) == _at_once(each.name, old.settings)
            for each in fields(Settings)
        )
        pairs = [(zone, before) for zone in change.zones if (before := old.zone(zone.number)) is not None]
        supervised = all(
            zone == replace(before, supervise=zone.supervise, tells_trouble=zone.tells_trouble)
            for zone, before in pairs
        )
        if waits and supervised and not change.hearing and not change.things and not change.areas:
            return NotShownBecause.DAYS
        panel = variant.panel
        if change_of(self.planned, replace(panel, setup=without_never_set(panel))).nothing:
            return NotShownBecause.NEVER_SET
        begin: dict[Arming, Clockwork] = self._begun if self.as_begun(change) else {}
        for place in places_of(self.touched(change)):
            if self._run(panel, self.tests[place], begin) != self.seen[place]:
                return NotShownBecause.STOPWATCH
        return NotShownBecause.UNPROVEN

    def as_begun(self, change: Deviation) -> bool:
        """Return whether a wrong panel, all shut and armed, stands as the planned one does."""
        return not (change.settings or change.duress or change.areas or change.standing or self._watched(change))

    def _watched(self, change: Deviation) -> bool:
        """Return whether other devices are watched for being heard before setting: that runs from power-up on."""
        old = self.planned.setup
        pairs = ((zone, old.zone(zone.number)) for zone in change.zones) if old.settings.heard_before_setting else ()
        return any(before is None or zone.supervise != before.supervise for zone, before in pairs)

    def _differs(self, panel: PanelInHouse, place: int, begin: dict[Arming, Clockwork]) -> bool:
        return unlike(self._run(panel, self.tests[place], begin), self.seen[place]) is not Unlike.NOT

    def _run(self, panel: PanelInHouse, test: FieldTest, begin: dict[Arming, Clockwork]) -> Observation:
        if test.arming not in begin:
            begin[test.arming] = begun(panel, test.arming, self.steps)
        self.runs += 1
        clockwork = begin[test.arming].copy()
        clockwork.setup = panel.setup
        return seen_in(panel, clockwork, test)

    def _likeness(self, test: FieldTest) -> object:
        """Return what tests have in common that differ only in which of several zones alike they handle."""
        order: dict[ZoneNumber, int] = {}
        acts = tuple(
            (after, act.what, order.setdefault(act.zone, len(order))) if isinstance(act, Handle) else (after, act)
            for after, act in test.acts
        )
        setups = []
        for zone in order:
            setup = self.planned.setup.zone(zone)
            if setup is None or setup.crosses or self.planned.hearing(zone) != (zone,):
                return test
            setups.append(replace(setup, number=ZoneNumber(0), label=""))
        return test.sort, test.arming, acts, test.until, tuple(setups)


def places_of(row: Row) -> Iterator[int]:
    """Give the places whose bits are set, ascending."""
    while row:
        low = row & -row
        yield low.bit_length() - 1
        row ^= low


def _at_once(name: str, settings: Settings) -> object:
    """Return a setting; of the faults that stop setting only what needs no trouble that stands for hours: a cover."""
    value = getattr(settings, name)
    return [each for each in settings.at_setting if each[0] is SettingFault.TAMPER] if name == "at_setting" else value

"""All that may be the matter: nothing, each single wrong answer, each single fault; with odds, and with the cure.

Rules of this file:
1. A hypothesis is a panel in its surroundings. `as planned` has the odds 1; what is wrong has its odds beside that.
2. An answer is keyed wrong with the probability 0.003 (a choice, `trade.md` 10.3: F of HEART, seen), shared among its
   wrong values by their weights. A key that leads the rest of a sheet astray (`entry.astray`) is the same, but nine in
   ten are seen and mended; of the others half are keyed on, whatever the display says of the things that follow. The
   cure is to key all of what it touched.
3. The cure is what to do. Two causes have the same cure if the same answer is keyed anew, or the same part is mended:
   the diagnosis need not tell them apart.
4. Two things at once: both sets of changes, both surroundings, the product of the odds; they change no item both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, product

from zonewright.behaviour.setup import AreaNumber, UnknownValues, UnusableValues, setup_of
from zonewright.entry.astray import astray
from zonewright.entry.drive import drive
from zonewright.fieldwork.acting import Panel, areas_of, panel_of
from zonewright.fieldwork.conditions import ALL_WELL, Surroundings
from zonewright.fieldwork.faults import Fault, World, faults_of, named
from zonewright.fieldwork.slipped import Slipped, slips_of
from zonewright.fieldwork.surroundings import House
from zonewright.panel.legal import as_shipped
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, Value
from zonewright.site.record import ZoneNumber

KEYED_WRONG = 0.003  # an answer
NOT_SEEN = 0.1  # how many wrong keys that lead a sheet astray are not seen on the display and mended: a choice
KEYED_ON = 0.5  # how many of the others are keyed on blindly to the end of the sheet: a choice
NAMED = 3  # wrong answers told by name
_OF_ALL = ("setting/", "station/", "panel/")  # items that are of no single thing

Progress = Callable[[int, int], None]  # told how much is done, of how much
Changes = frozenset[tuple[Item, Value | None]]


@dataclass(frozen=True, slots=True)
class Cure:
    """What to do: items to key anew, or a part to mend, in words."""

    keys: tuple[Item, ...] = ()
    mends: tuple[str, ...] = ()

    @property
    def nothing(self) -> bool:
        """Return whether all is as it should be."""
        return not (self.keys or self.mends)


@dataclass(frozen=True)
class Hypothesis:
    """One thing, or several, that may be the matter."""

    says: tuple[str, ...]  # each thing in words
    odds: float
    right: Panel = field(repr=False)  # that holds what is planned
    worlds: tuple[World, ...]
    cure: Cure
    zones: frozenset[ZoneNumber]  # for whose devices it may change anything
    everywhere: bool = False  # whether it may change anything for all the others, too
    looks: frozenset[str] = frozenset()  # what looking confirms: the questions of the faults in it
    look_minutes: float = 0.0
    things: frozenset[str] = frozenset()  # "zone/3", "station": whose answers were keyed wrong
    changes: Mapping[Item, Value | None] = field(default_factory=dict, repr=False)  # what is held otherwise
    _houses: dict[object, House] = field(default_factory=dict, init=False, repr=False, compare=False)

    @cached_property
    def panel(self) -> Panel:
        """Return the panel that holds this; made when it is first asked for, since of thousands few are looked at."""
        return self.right.slipped(self.changes) if self.changes else self.right

    @cached_property
    def likeness(self) -> object:
        """Return what decides what comes of anything that is done: hypotheses alike in it show the same."""
        return self.zones, self.worlds, self.panel.likeness

    @cached_property
    def by_thing(self) -> Mapping[str, list[Item]]:
        """Return what is held otherwise, thing by thing, each in order."""
        return _grouped(sorted(self.changes))

    def house(self, around: Surroundings, handled: frozenset[ZoneNumber]) -> House:
        """Return its panel in some surroundings, reduced to the zones handled and its own; each is made once."""
        key = around, handled
        if key not in self._houses:
            self._houses[key] = House(self.panel, around, handled | self.zones)
        return self._houses[key]

    def __str__(self) -> str:
        return "; and ".join(self.says)


def hypotheses(
    profile: Profile, planned: Programme, before: Programme | None = None, progress: Progress | None = None
) -> tuple[Hypothesis, ...]:
    """Return all that may be the matter with a panel, the first being that nothing is.

    `before` is what the panel held, if the last thing done to it was a change. Raises as `setup_of` does.
    """
    right = panel_of(profile, planned)
    found = [Hypothesis(("all is as planned",), 1.0, right, ((1.0, ALL_WELL),), Cure(), frozenset())]
    slips = list(slips_of(profile, planned, before))
    found += _of_slips(right, slips)
    found += _of_astray(right, before, {frozenset(slip.changes.items()) for slip in slips}, progress)
    found += [_of_fault(right, fault) for fault in faults_of(right)]
    return tuple(found)


def pairs(singles: Iterable[Hypothesis]) -> Iterator[Hypothesis]:
    """Give every two of these at once."""
    for one, two in combinations(singles, 2):
        changes, others = one.changes, two.changes
        if one.cure.nothing or two.cure.nothing or one.cure == two.cure or changes.keys() & others.keys():
            continue
        if changes and others:
            try:
                _reach(one.right, {**changes, **others})
            except (UnknownValues, UnusableValues):
                continue
        worlds = tuple((p * q, around.joined(other)) for (p, around), (q, other) in product(one.worlds, two.worlds))
        cure = Cure(tuple(sorted({*one.cure.keys, *two.cure.keys})), tuple(sorted({*one.cure.mends, *two.cure.mends})))
        yield Hypothesis(
            one.says + two.says, one.odds * two.odds, one.right, worlds, cure, one.zones | two.zones,
            one.everywhere or two.everywhere, one.looks | two.looks, things=one.things | two.things,
            changes={**changes, **others},
        )  # fmt: skip


def _of_slips(right: Panel, slips: list[Slipped]) -> Iterator[Hypothesis]:
    weights: dict[Item, float] = {}
    for slip in slips:
        weights[slip.item] = weights.get(slip.item, 0.0) + slip.weight
    for slip in slips:
        probability = KEYED_WRONG * slip.weight / weights[slip.item]
        says = answer_in_words(right, slip.item, slip.changes.get(slip.item))
        yield from _keyed_wrong(right, slip.changes, probability, Cure(keys=(slip.item,)), says)


def _of_astray(
    right: Panel, before: Programme | None, known: set[Changes], progress: Progress | None
) -> Iterator[Hypothesis]:
    """Give every end of the sheet that a wrong key may lead to, those aside that are single wrong answers."""
    profile, planned = right.profile, right.planned
    found: dict[Changes, float] = {}
    of_one_job: set[Changes] = set()
    jobs = drive(profile, before or as_shipped(profile), planned)
    for each in astray(profile, jobs):
        if progress is not None:
            progress(each.step[0], len(jobs))
        probability = KEYED_WRONG * NOT_SEEN * each.share
        of_one_job.add(each.gives)
        for changes, share in ((each.gives, 1 - KEYED_ON), (each.keyed_on, KEYED_ON)):
            if changes:
                found[changes] = found.get(changes, 0.0) + probability * share
    of_thing: dict[str, list[Item]] = {}
    for item in planned:
        of_thing.setdefault(item.rpartition("/")[0], []).append(item)
    for changes, probability in found.items():
        if changes in known:
            continue
        held = dict(sorted(changes))
        keys = tuple(held)
        if len(held) > 1:
            mine = (item for thing in {item.rpartition("/")[0] for item in held} for item in of_thing.get(thing, ()))
            keys = tuple(sorted({*held, *mine}))
        says = keyed_on_in_words(right, held) if changes not in of_one_job else astray_in_words(right, held)
        yield from _keyed_wrong(right, held, probability, Cure(keys=keys), says)


def _keyed_wrong(
    right: Panel, changes: Mapping[Item, Value | None], probability: float, cure: Cure, says: str
) -> Iterator[Hypothesis]:
    """Give the hypothesis that the panel holds this otherwise, if any panel can."""
    try:
        zones, everywhere = _reach(right, changes)
    except (UnknownValues, UnusableValues):
        return  # no panel would do anything sensible with it
    things = frozenset(_things(right, changes))
    yield Hypothesis(
        (says,), probability / (1 - probability), right, ((1.0, ALL_WELL),), cure, zones, everywhere, things=things,
        changes=changes,
    )  # fmt: skip


def _of_fault(right: Panel, fault: Fault) -> Hypothesis:
    items = tuple(sorted(fault.changes))
    return Hypothesis(
        (fault.says,), fault.odds, right, fault.worlds, Cure(items, () if items else (fault.mend,)), fault.zones,
        fault.everywhere, frozenset({fault.look}), fault.minutes,
        frozenset(item.rpartition("/")[0] for item in items), fault.changes,
    )  # fmt: skip


def _things(right: Panel, items: Iterable[Item]) -> set[str]:
    """Return what wrong answers are about; a remote's number may be another's, so one is about all of them."""
    found = {item.rpartition("/")[0] for item in items}
    if any(thing.startswith("remote/") for thing in found):
        found |= {f"remote/{number}" for number in right.planned.numbers("remote")}
    return found


def _reach(right: Panel, changes: Mapping[Item, Value | None]) -> tuple[frozenset[ZoneNumber], bool]:
    """Return the zones for whose devices wrong answers may change anything, and whether also for all others.

    Raises `UnknownValues` or `UnusableValues` where no panel can be made of them.
    """
    by_zone: dict[ZoneNumber, dict[Item, Value | None]] = {}
    others: dict[Item, Value | None] = {}
    for item, value in changes.items():
        mine = by_zone.setdefault(ZoneNumber(int(item.split("/")[1])), {}) if item.startswith("zone/") else others
        mine[item] = value
    at_large = any(item.startswith(_OF_ALL) or item.endswith(("/resistor", "/crosses", "/duress")) for item in changes)
    if others:
        setup_of(Programme(right.planned.panel, right.shared).changed(others), right.profile)
    heard: set[ZoneNumber] = set()
    moved: dict[ZoneNumber, frozenset[AreaNumber]] = {}  # zones of other areas than planned
    for number, mine in by_zone.items():
        old, new = right.setup.zone(number), right.zone_with(number, mine)
        there = [zone for zone in (old, new) if zone is not None]
        leaves = any(zone.behaviour.exit_door or zone.behaviour.arms is not None for zone in there)
        at_large |= leaves and len({(zone.areas, zone.behaviour) for zone in there}) + (len(there) < 2) > 1
        at_large |= number in right.pairs
        if areas_of(new) != areas_of(old):
            moved[number] = areas_of(new)
        sender = right.sender_with(number, mine) if new is not None else None
        heard.update(right.hears.get(sender, ()) if sender is not None else ())
    if moved and not at_large:
        stay = (zone.areas for zone in right.setup.zones if zone.number not in moved)
        at_large = frozenset().union(*moved.values(), *stay) != set(right.setup.areas)
    return frozenset(by_zone.keys() | heard), at_large


def answer_in_words(panel: Panel, item: Item, given: Value | None) -> str:
    """Return a wrong answer as a technician says it."""
    thing, _, name = item.rpartition("/")
    answer = panel.profile.answer_of(item)
    unit = f" {answer.unit}" if answer is not None and answer.unit else ""
    meant = panel.planned.get(item)
    start = f"{_thing_in_words(panel, thing)}: {name.replace('-', ' ')}"
    return f"{start} is {given or 'blank'}{unit} in place of {meant or 'blank'}{unit}"


def astray_in_words(panel: Panel, changes: Mapping[Item, Value | None]) -> str:
    """Return what a job led astray by one wrong key left behind, as a technician says it."""
    if len(changes) == 1:
        ((item, given),) = changes.items()
        return answer_in_words(panel, item, given)
    return f"keyed astray by one wrong key: {'; '.join(_things_in_words(panel, changes))}"


def keyed_on_in_words(panel: Panel, changes: Mapping[Item, Value | None]) -> str:
    """Return what keying on past one wrong key left behind, as a technician says it: the first few things of it."""
    told = _things_in_words(panel, changes)
    more = [f"and {len(told) - NAMED} more things"] if len(told) > NAMED + 1 else told[NAMED:]
    return f"keyed on past one wrong key: {'; '.join([*told[:NAMED], *more])}"


def _things_in_words(panel: Panel, changes: Mapping[Item, Value | None]) -> list[str]:
    """Return for each thing, in the order of their numbers, what is wrong with it."""
    told = []
    for thing, items in _grouped(changes).items():
        name = _thing_in_words(panel, thing)
        fields = [item.rpartition("/")[2].replace("-", " ") for item in items]
        if all(changes[item] is None for item in items):
            told.append(f"{name} isn't keyed")
        elif all(item not in panel.planned for item in items):
            told.append(f"{name} is keyed and shouldn't be")
        else:
            more = f" and {len(fields) - NAMED} more" if len(fields) > NAMED else ""
            told.append(f"{name}: {', '.join(fields[:NAMED])}{more} {'are' if len(fields) > 1 else 'is'} wrong")
    return told


def _thing_in_words(panel: Panel, thing: str) -> str:
    group, _, number = thing.partition("/")
    zone = panel.setup.zone(ZoneNumber(int(number))) if group == "zone" else None
    if zone is not None:
        return named(zone)
    return f"{'person' if group == 'user' else group} {number}" if number else group


def _grouped(items: Iterable[Item]) -> dict[str, list[Item]]:
    found: dict[str, list[Item]] = {}
    for item in items:
        found.setdefault(item.rpartition("/")[0], []).append(item)
    return dict(sorted(found.items(), key=lambda each: (each[0].partition("/")[0], len(each[0]), each[0])))

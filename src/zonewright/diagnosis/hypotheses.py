"""All possible causes: none, each single slip at the keypad, each single fault; with their odds and cures.

Rules of this file:
1. A hypothesis is a panel in its surroundings. `as planned` has the odds 1; the odds of what is wrong are relative to
   that.
2. An answer is keyed wrong with the probability 0.003 (a choice, `trade.md` 10.3: F of HEART, seen), shared among its
   wrong values by their weights. A key that leads the rest of a sheet astray (`entry.astray`) is as likely, but nine in
   ten are seen and mended; after half of the others keying goes on, whatever the display says about the things that
   follow. The cure is to key everything that it touched.
3. The cure is what to do. Two causes have the same cure if the same answer is keyed again, or the same part is mended:
   the diagnosis need not distinguish them.
4. Two things at once: both sets of changes, both surroundings, the product of the odds. No item is changed by both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain, combinations, product

from zonewright.behaviour.faults import SettingFault as AtSetting
from zonewright.behaviour.setup import UnknownValues, UnusableValues
from zonewright.diagnosis.affecting import Affecting
from zonewright.diagnosis.faults import Defect, World, faults_of
from zonewright.diagnosis.wrong_words import WrongThings, answer_in_words
from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.strokes import Driven
from zonewright.entry.slips.astray import Astray, astray
from zonewright.entry.slips.keyed_on import Gives, parts_of
from zonewright.fieldwork.acting import PanelInHouse, panel_of
from zonewright.fieldwork.conditions import ALL_WELL, Surroundings
from zonewright.fieldwork.slipped import Slipped, slips_of
from zonewright.fieldwork.surroundings import House
from zonewright.panel.legal import as_shipped, single_items
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, Thing, Value
from zonewright.site.record import ZoneNumber

KEYED_WRONG = 0.003  # an answer
NOT_SEEN = 0.1  # how many wrong keys that lead a sheet astray are not seen on the display and mended: a choice
KEYED_ON = 0.5  # after how many of those keying goes on blindly to the end of the sheet: a choice

Progress = Callable[[int, int], None]  # called with how much is done, and of how much
EndsOf = Callable[[Profile, Sequence[Driven]], Iterator[Astray]]  # `astray`, or a function that shares its work


@dataclass(frozen=True, slots=True)
class Cure:
    """What to do: items to key again, or a part to mend, in words."""

    keys: tuple[Item, ...] = ()
    mends: tuple[str, ...] = ()

    @property
    def nothing(self) -> bool:
        """Return whether all is as it should be."""
        return not (self.keys or self.mends)


@dataclass(frozen=True)
class Hypothesis:
    """One thing, or several, that may be wrong."""

    says: tuple[str, ...]  # each thing in words
    odds: float
    right: PanelInHouse = field(repr=False)  # the panel that holds what is planned
    worlds: tuple[World, ...]
    cure: Cure
    zones: frozenset[ZoneNumber]  # the zones whose devices it may affect
    everywhere: bool = False  # whether it may affect all the others, too
    looks: frozenset[str] = frozenset()  # the questions that confirm it by looking, one for each fault in it
    look_minutes: float = 0.0
    things: frozenset[Thing] = frozenset()  # "zone/3", "station": whose answers were keyed wrong
    changes: Mapping[Item, Value | None] = field(default_factory=dict, repr=False)  # what differs from the plan
    _houses: dict[object, House] = field(default_factory=dict, init=False, repr=False, compare=False)

    @cached_property
    def panel(self) -> PanelInHouse:
        """Return the panel that holds this; made on demand, since few of thousands are looked at."""
        return self.right.slipped(self.changes) if self.changes else self.right

    @cached_property
    def likeness(self) -> object:
        """Return all that decides what any act leads to: hypotheses that are alike in it show the same."""
        return self.zones, self.worlds, self.panel.likeness

    @cached_property
    def by_thing(self) -> Mapping[str, list[Item]]:
        """Return the items that differ from the plan, by thing, each list in order."""
        found: dict[str, list[Item]] = {}
        for item in sorted(self.changes):
            found.setdefault(item.thing, []).append(item)
        return found

    def house(self, around: Surroundings, handled: frozenset[ZoneNumber]) -> House:
        """Return its panel in some surroundings, reduced to the handled zones and its own; each is made once."""
        key = around, handled
        if key not in self._houses:
            self._houses[key] = House(self.panel, around, handled | self.zones)
        return self._houses[key]

    def __str__(self) -> str:
        return "; and ".join(self.says)


def hypotheses(
    profile: Profile,
    planned: Programme,
    before: Programme | None = None,
    progress: Progress | None = None,
    ends_of: EndsOf = astray,
) -> tuple[Hypothesis, ...]:
    """Return all that may be wrong with a panel; the first is that nothing is.

    `before` is what the panel held, if the last thing done to it was a change. Raises as `setup_of` does.
    """
    right = panel_of(profile, planned)
    found = [Hypothesis(("all is as planned",), 1.0, right, ((1.0, ALL_WELL),), Cure(), frozenset())]
    slips = list(slips_of(profile, planned, before))
    affecting = Affecting(right)
    found += _of_slips(affecting, slips)
    known = {parts_of(slip.changes.items()) for slip in slips}
    unkeyed = list(_of_unkeyed(affecting, before, known))
    found += unkeyed
    known |= {parts_of(each.changes.items()) for each in unkeyed}
    found += _of_astray(affecting, before, known, progress, ends_of)
    found += [_of_fault(right, fault) for fault in faults_of(right)]
    return tuple(found)


def pairs(singles: Iterable[Hypothesis]) -> Iterator[Hypothesis]:
    """Give every two of these at once."""
    singles = tuple(singles)
    affecting = Affecting(singles[0].right) if singles else None
    for one, two in combinations(singles, 2):
        changes, others = one.changes, two.changes
        if one.cure.nothing or two.cure.nothing or one.cure == two.cure or changes.keys() & others.keys():
            continue
        if affecting is not None and changes and others:
            try:
                affecting.reach(parts_of({**changes, **others}.items()))
            except (UnknownValues, UnusableValues):
                continue
        worlds = tuple((p * q, around.joined(other)) for (p, around), (q, other) in product(one.worlds, two.worlds))
        cure = Cure(tuple(sorted({*one.cure.keys, *two.cure.keys})), tuple(sorted({*one.cure.mends, *two.cure.mends})))
        yield Hypothesis(
            one.says + two.says, one.odds * two.odds, one.right, worlds, cure, one.zones | two.zones,
            one.everywhere or two.everywhere, one.looks | two.looks, things=one.things | two.things,
            changes={**changes, **others},
        )  # fmt: skip


def _of_slips(affecting: Affecting, slips: list[Slipped]) -> Iterator[Hypothesis]:
    weights: dict[Item, float] = {}
    for slip in slips:
        weights[slip.item] = weights.get(slip.item, 0.0) + slip.weight
    for slip in slips:
        probability = KEYED_WRONG * slip.weight / weights[slip.item]
        says = answer_in_words(affecting.right, slip.item, slip.changes.get(slip.item))
        gives = parts_of(slip.changes.items())
        yield from _keyed_wrong(affecting, gives, slip.changes, probability, Cure(keys=(slip.item,)), says)


def _of_unkeyed(affecting: Affecting, before: Programme | None, known: set[Gives]) -> Iterator[Hypothesis]:
    """Give, for each group of settings, that none was keyed: all are as the panel held them before, or as shipped."""
    right = affecting.right
    held = before or as_shipped(right.profile)
    groups: dict[str, dict[Item, Value | None]] = {}
    for item in single_items(right.profile):
        if right.profile.answer_of(item) is not None and held.get(item) != right.planned.get(item):
            groups.setdefault(item.thing, {})[item] = held.get(item)
    for group, changes in groups.items():
        gives = parts_of(changes.items())
        if len(changes) > 1 and gives not in known:
            since = "as before" if before is not None else "as shipped"
            says = f"{group} isn't keyed: {len(changes)} answers are {since}"
            yield from _keyed_wrong(affecting, gives, changes, KEYED_WRONG, Cure(keys=tuple(changes)), says)


def _of_astray(
    affecting: Affecting, before: Programme | None, known: set[Gives], progress: Progress | None, ends_of: EndsOf
) -> Iterator[Hypothesis]:
    """Give every result of a sheet to which a wrong key may lead, except single wrong answers."""
    right = affecting.right
    found: dict[Gives, float] = {}
    of_one_job: set[Gives] = set()
    jobs = drive(right.profile, before or as_shipped(right.profile), right.planned)
    for each in ends_of(right.profile, jobs):
        if progress is not None:
            progress(each.step[0], len(jobs))
        probability = KEYED_WRONG * NOT_SEEN * each.share
        of_one_job.add(each.gives)
        for gives, share in ((each.gives, 1 - KEYED_ON), (each.keyed_on, KEYED_ON)):
            if gives:
                found[gives] = found.get(gives, 0.0) + probability * share
    told = WrongThings(right)
    for gives, probability in found.items():
        if gives in known:
            continue
        parts = sorted(map(told.part, gives))
        held = dict(chain.from_iterable(part.items for part in parts))
        keys = tuple(held) if len(held) == 1 else tuple(chain.from_iterable(part.keys for part in parts))
        says = told.keyed_astray(parts) if gives in of_one_job else told.keyed_on(parts)
        yield from _keyed_wrong(affecting, gives, held, probability, Cure(keys=keys), says)


def _keyed_wrong(
    affecting: Affecting, gives: Gives, changes: Mapping[Item, Value | None], probability: float, cure: Cure, says: str
) -> Iterator[Hypothesis]:
    """Give the hypothesis that the panel holds these changes, if any panel can."""
    try:
        zones, everywhere = affecting.reach(gives)
    except (UnknownValues, UnusableValues):
        return  # no panel would do anything sensible with it
    yield Hypothesis(
        (says,), probability / (1 - probability), affecting.right, ((1.0, ALL_WELL),), cure, zones, everywhere,
        things=affecting.things(changes), changes=changes,
    )  # fmt: skip


def _of_fault(right: PanelInHouse, fault: Defect) -> Hypothesis:
    """Return the hypothesis of a fault: it affects the zones paired with its own, too, and all if it stops arming.

    A zone whose partners all can't trip gives its alarm alone (`behaviour/openings.py`).
    """
    items = tuple(sorted(fault.changes))
    zones = frozenset(right.paired(fault.zones, fault.changes))
    missed = right.stops_setting(AtSetting.MISSING) and any(around.silent for _, around in fault.worlds)
    return Hypothesis(
        (fault.says,), fault.odds, right, fault.worlds, Cure(items, () if items else (fault.mend,)), zones,
        fault.everywhere or missed, frozenset({fault.look}), fault.minutes,
        fault.things | {item.thing for item in items}, fault.changes,
    )  # fmt: skip

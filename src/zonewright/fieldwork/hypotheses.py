"""All that may be the matter: nothing, each single wrong answer, each single fault; with odds, and with the cure.

Rules of this file:
1. A hypothesis is a panel in its surroundings. `as planned` has the odds 1; what is wrong has its odds beside that.
2. An answer is keyed wrong with the probability 0.003 (a choice, `trade.md` 10.3: F of HEART, seen), shared among its
   wrong values by their weights.
3. The cure is what to do. Two causes have the same cure if the same answer is keyed anew, or the same part is mended:
   the diagnosis need not tell them apart.
4. Two things at once: both sets of changes, both surroundings, the product of the odds; they change no item both.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations, product

from zonewright.behaviour.setup import UnknownValues, UnusableValues
from zonewright.fieldwork.acting import Panel, panel_of
from zonewright.fieldwork.faults import Fault, World, faults_of, named
from zonewright.fieldwork.slipped import Slipped, slips_of
from zonewright.fieldwork.surroundings import ALL_WELL
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, Value
from zonewright.site.record import ZoneNumber

KEYED_WRONG = 0.003  # an answer
_WHOLE = frozenset({"area", "behaviour", "delay"})  # fields by which a zone may matter for the others of its area


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
    panel: Panel = field(repr=False)
    worlds: tuple[World, ...]
    cure: Cure
    zones: frozenset[ZoneNumber]  # for whose devices it may change anything
    everywhere: bool = False  # whether it may change anything for all the others, too
    looks: frozenset[str] = frozenset()  # what looking confirms: the questions of the faults in it
    look_minutes: float = 0.0
    things: frozenset[str] = frozenset()  # "zone/3", "station": whose answers were keyed wrong

    def __str__(self) -> str:
        return "; and ".join(self.says)


def hypotheses(profile: Profile, planned: Programme, before: Programme | None = None) -> tuple[Hypothesis, ...]:
    """Return all that may be the matter with a panel, the first being that nothing is.

    `before` is what the panel held, if the last thing done to it was a change. Raises as `setup_of` does.
    """
    right = panel_of(profile, planned)
    found = [Hypothesis(("all is as planned",), 1.0, right, ((1.0, ALL_WELL),), Cure(), frozenset())]
    found += _of_slips(right, list(slips_of(profile, planned, before)))
    found += [_of_fault(right, fault) for fault in faults_of(right)]
    return tuple(found)


def pairs(singles: Iterable[Hypothesis]) -> Iterator[Hypothesis]:
    """Give every two of these at once."""
    for one, two in combinations(singles, 2):
        changes, others = one.panel.changes, two.panel.changes
        if one.cure.nothing or two.cure.nothing or one.cure == two.cure or changes.keys() & others.keys():
            continue
        panel = one.panel if not others else two.panel
        if changes and others:
            try:
                panel = panel_of(panel.profile, panel.planned, panel.planned.changed({**changes, **others}))
            except (UnknownValues, UnusableValues):
                continue
        worlds = tuple((p * q, around.joined(other)) for (p, around), (q, other) in product(one.worlds, two.worlds))
        cure = Cure(tuple(sorted({*one.cure.keys, *two.cure.keys})), tuple(sorted({*one.cure.mends, *two.cure.mends})))
        yield Hypothesis(
            one.says + two.says, one.odds * two.odds, panel, worlds, cure, one.zones | two.zones,
            one.everywhere or two.everywhere, one.looks | two.looks, things=one.things | two.things,
        )  # fmt: skip


def _of_slips(right: Panel, slips: list[Slipped]) -> Iterator[Hypothesis]:
    weights: dict[Item, float] = {}
    for slip in slips:
        weights[slip.item] = weights.get(slip.item, 0.0) + slip.weight
    for slip in slips:
        try:
            panel = right.slipped(slip.changes)
        except (UnknownValues, UnusableValues):
            continue  # no panel would do anything sensible with it
        probability = KEYED_WRONG * slip.weight / weights[slip.item]
        zones, everywhere = _reach(right, panel, slip.changes)
        yield Hypothesis(
            (slip_in_words(right, slip),), probability / (1 - probability), panel, ((1.0, ALL_WELL),),
            Cure(keys=(slip.item,)), zones, everywhere, things=_things(right, slip.item),
        )  # fmt: skip


def _of_fault(right: Panel, fault: Fault) -> Hypothesis:
    panel = right
    if fault.changes:
        panel = panel_of(right.profile, right.planned, right.planned.changed(fault.changes))
    items = tuple(sorted(fault.changes))
    return Hypothesis(
        (fault.says,), fault.odds, panel, fault.worlds, Cure(items, () if items else (fault.mend,)), fault.zones,
        fault.everywhere, frozenset({fault.look}), fault.minutes,
        frozenset(item.rpartition("/")[0] for item in items),
    )  # fmt: skip


def _things(right: Panel, item: Item) -> frozenset[str]:
    """Return what a wrong answer is about; a remote's number may be another's, so it is about all of them."""
    if not item.startswith("remote/"):
        return frozenset({item.rpartition("/")[0]})
    return frozenset(f"remote/{number}" for number in right.planned.numbers("remote"))


def _reach(right: Panel, panel: Panel, changes: Mapping[Item, Value | None]) -> tuple[frozenset[ZoneNumber], bool]:
    """Return the zones for whose devices a wrong answer may change anything, and whether also for all others."""
    first = next(iter(changes))
    group = first.partition("/")[0]
    if group in ("user", "remote"):
        return frozenset(), panel.setup != right.setup
    if group != "zone":
        return frozenset(), True
    number = ZoneNumber(int(first.split("/")[1]))
    was, now = right.setup.zone(number), panel.setup.zone(number)
    heard = {zone for zone, sender in right.sends.items() if number in panel.hears.get(sender, ())}
    zones = frozenset({number} | heard)
    if was is None or now is None or right.setup.areas != panel.setup.areas:
        return zones, True
    other = was.areas != now.areas or was.behaviour != now.behaviour
    at_large = any(zone.behaviour.exit_door or zone.behaviour.arms is not None for zone in (was, now))
    standing = any(item.endswith(("/resistor", "/crosses")) for item in changes)
    return zones, standing or (other and at_large)


def slip_in_words(panel: Panel, slip: Slipped) -> str:
    """Return a wrong answer as a technician says it."""
    group, number, name = (*slip.item.split("/"), "", "")[:3]
    if group == "zone":
        zone = panel.setup.zone(ZoneNumber(int(number)))
        thing = named(zone) if zone is not None else f"zone {number}"
    else:
        thing = f"{'person' if group == 'user' else group} {number}" if name else group
    field_name = (name or number).replace("-", " ")
    answer = panel.profile.answer_of(slip.item)
    unit = f" {answer.unit}" if answer is not None and answer.unit else ""
    return f"{thing}: {field_name} is {slip.given or 'blank'}{unit} in place of {slip.meant or 'blank'}{unit}"

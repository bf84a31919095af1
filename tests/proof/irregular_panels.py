"""Small irregular panels with times of a few seconds: areas that share doors, pairs, second looks, duress.

Rules of this file:
1. Every panel has three to five zones in two or three areas, and whatever its seed draws of the rest; `FEATURES` tells
   what that is, so that a test can count how often each thing comes.
2. What may happen in one look at a panel is a draw as well: not all that people and devices can do, so that all that
   comes of it can be counted. What breaks there breaks on the panel.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from tests.behaviour.house import CP01, house, zone
from tests.proof.ticks import Tabled
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    Disarm,
    Means,
    Panic,
    QuickExit,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import Setup, UserNumber, ZoneSetup
from zonewright.panel.behaviours import ARMED, Mode
from zonewright.proof.prover.outcome import PERSON
from zonewright.proof.prover.table import Act

MADE_TO = UserNumber(2)
BARS = [(SettingFault.TAMPER, Right.USER), (SettingFault.TAMPER, Right.NOBODY)]
DOORS = ("entry-door", "entry-door", "final-door")
OTHERS = (
    "perimeter",
    "perimeter",
    "interior",
    "on-route",
    "on-route",
    "day-night",
    "fire",
    "24-hour-audible",
    "environment",
    "holdup",
    "notice",
)
TWO = ((1,), (2,), (1, 2))
THREE = (*TWO, (3,), (2, 3), (1, 2, 3))


def irregular(seed: int) -> Setup:
    """Return a random panel."""
    chance = random.Random(f"irregular {seed}")
    sets = chance.choice((TWO, TWO, THREE))
    kinds = [chance.choice(DOORS) if chance.random() < 0.9 else "perimeter"]
    kinds += [chance.choice((*OTHERS, *DOORS[:2])) for _ in range(chance.choice((2, 2, 3, 4)))]
    zones = [_some_zone(number, kind, sets, chance) for number, kind in enumerate(kinds, 1)]
    if chance.random() < 0.9:
        zones = _paired(zones, chance)
    used = {area for each in zones for area in each.areas}
    if len(used) == 1:  # then one of them is moved to where it shares
        zones[0] = replace(zones[0], areas=zone(1, "perimeter", areas=(1, 2)).areas)
    settings = replace(
        CP01,
        exit_time=chance.choice((0, 1, 2)),
        exit_restart=chance.random() < 0.3,
        exit_error=chance.random() < 0.3,
        unvacated_stay=chance.random() < 0.3,
        forced_arming=chance.random() < 0.5,
        abort_window=chance.choice((0, 1, 2)),
        cancel_window=chance.choice((0, 0, 2)),
        entry_hold=chance.choice((0, 0, 0, 1)),
        swinger_limit=0,
        siren_time=chance.choice((0, 2, 3)),
        supervision_window=0,
        completing_act=chance.random() < 0.2,
        inside_when_off=chance.random() < 0.2,
        cross_window=2,
        fire_reset=chance.choice((0, 1)),
        fire_verify_window=2,
        environment_wait=chance.choice((0, 2)),
        at_setting=frozenset(chance.sample(BARS, chance.choice((0, 0, 1)))),
    )
    setup = house(*zones, settings=settings)
    return replace(setup, duress=frozenset({MADE_TO})) if chance.random() < 0.3 else setup


def _some_zone(number: int, kind: str, sets: tuple[tuple[int, ...], ...], chance: random.Random) -> ZoneSetup:
    made = zone(number, kind, areas=chance.choice(sets))
    return replace(
        made,
        entry_s=chance.choice((1, 2, 3)) if made.entry_s else 0,
        chime=chance.choice(("none", "spoken")),
        message_waits=made.message_waits and chance.random() < 0.6,
        verifies=made.behaviour.verify and chance.random() < 0.6,
    )


def _paired(zones: list[ZoneSetup], chance: random.Random) -> list[ZoneSetup]:
    """Let two of the zones that may have a pair confirm each other, if there are two."""
    free = [each for each in zones if each.behaviour.cross]
    if len(free) < 2:
        return zones
    one, other = chance.sample(free, 2)
    pairs = {one.number: other.number, other.number: one.number}
    return [replace(each, crosses=frozenset({pairs[each.number]}) if each.number in pairs else each.crosses)
            for each in zones]  # fmt: skip


def _is_shared(each: ZoneSetup) -> bool:
    return len(each.areas) > 1


FEATURES: Mapping[str, Callable[[Setup], bool]] = {
    "three zones": lambda setup: len(setup.zones) == 3,
    "four zones": lambda setup: len(setup.zones) == 4,
    "five zones": lambda setup: len(setup.zones) == 5,
    "two areas": lambda setup: len(setup.areas) == 2,
    "three areas": lambda setup: len(setup.areas) == 3,
    "a shared door": lambda setup: any(_is_shared(each) and each.entry_s for each in setup.zones),
    "another shared zone": lambda setup: any(_is_shared(each) and not each.entry_s for each in setup.zones),
    "several entry times": lambda setup: len({each.entry_s for each in setup.zones if each.entry_s}) > 1,
    "a pair": lambda setup: any(each.crosses for each in setup.zones),
    "a pair of two areas": lambda setup: any(
        each.areas != other.areas for each in setup.zones for other in setup.zones if other.number in each.crosses
    ),
    "a day-night zone": lambda setup: any(each.behaviour.warns for each in setup.zones),
    "fire that is looked at twice": lambda setup: any(each.verifies for each in setup.zones),
    "a code for duress": lambda setup: bool(setup.duress),
}


@dataclass(slots=True)
class Drawn(Tabled):
    """A panel on which only some things happen."""

    chosen: tuple[Act, ...] = ()

    def inputs(self) -> Iterator[Act]:
        yield from self.chosen


def drawn(setup: Setup, chance: random.Random) -> Drawn:
    """Return a panel with what may happen in one look at it."""
    chosen: list[Act] = []
    for area in setup.areas:
        mode = Mode.AWAY if chance.random() < 0.6 else chance.choice(sorted(ARMED, key=str))
        chosen.append(Arm(area, mode, PERSON, chance.choice((Means.REMOTE, Means.KEYPAD))))
        who = MADE_TO if setup.duress and chance.random() < 0.5 else PERSON
        chosen += [Disarm(area, who)] if chance.random() < 0.7 else []
    for one in setup.zones:
        number, kind = one.number, chance.random()
        chosen += [ZoneTrips(number)] if kind < 0.4 else [ZoneOpens(number)]
        chosen += [ZoneCloses(number)] if kind > 0.7 else []
    chosen += chance.sample(list(_now_and_then(setup)), chance.choice((0, 1, 2)))
    return Drawn(setup, frozenset(setup.areas), None, chosen=tuple(chosen))


def _now_and_then(setup: Setup) -> Iterator[Act]:
    """Give what people and devices do but now and then."""
    for one in setup.zones:
        yield Bypass(one.number, PERSON)
        yield Unbypass(one.number, PERSON)
        yield TroubleBegins(one.number, Trouble.TAMPER)
        yield TroubleEnds(one.number, Trouble.TAMPER)
    for area in setup.areas:
        yield QuickExit(area, PERSON)
        yield Panic(area, PERSON)
        yield Arm(area, Mode.STAY, PERSON, Means.REMOTE)
        yield Disarm(area, PERSON)

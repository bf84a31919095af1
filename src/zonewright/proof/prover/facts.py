"""What can be asked of a panel while an event happens, and what a panel answers of which everything is known.

Rules of this file:
1. A fact is a question: about one zone, one timer, one part of an area's state, or about several of them at once.
2. A question about several is only as fine as the decision needs: whether each of some areas is in one of these places,
   whether one of some timers runs, whether anything of higher precedence than a pattern plays.
3. A place is where an area may be: off, or in one of the modes armed, in its exit time or in its entry time. A set of
   places is a mask.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import fields
from functools import cache
from itertools import combinations, product
from typing import cast

from zonewright.behaviour.events import Timer, TimerKind
from zonewright.behaviour.faults import Right
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import PRECEDENCE, AreaState, Control, Draft, Phase, first_pattern
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber

Fact = tuple[str, Hashable]  # what is asked ("open", "shut out" ...) and of which zone, timer or area
Mask = int

SPINE = frozenset({TimerKind.EXIT, TimerKind.ENTRY, TimerKind.ABORT, TimerKind.SIREN})
PARTS = tuple(part.name for part in fields(Control) if part.name != "running")
ASKED_WHOLE = frozenset({"alarms", "waiting"})  # parts of the control that are one question each
SETS_OF_FACTS = ("open", "bypassed", "troubles", "standing")
OF_ALARMS = frozenset({"memory", "begun_by"})  # which zones gave alarms in an area: never kept
OF_AREAS = frozenset(part.name for part in fields(AreaState) if part.name != "number")
OF_SEVERAL = frozenset({"all in", "any runs", "confirms"})  # each can be answered from single facts (`made_of`)
PLACE = ("mode", "phase")
DOORS_OF = {"by": "entry_by", "left": "left_open"}  # a question about one door, and the part of an area that answers
KEPT = (*PLACE, "user")  # always kept of an area that a slice is about
DETAILS = tuple(name for name in (part.name for part in fields(AreaState)) if name not in ("number", *KEPT, *OF_ALARMS))
ANOTHER = ZoneNumber(0)  # where only some doors of an entry time are kept: any one of the others
ABOUT_PLACES = frozenset({"mode", "phase", "all in"})

MODES_SET = (Mode.AWAY, Mode.STAY, Mode.NIGHT)  # each by itself: a statement may ask for any of them
OFF = Mode.DISARMED, Phase.REST
PLACES = (OFF, *product(MODES_SET, (Phase.SET, Phase.EXIT, Phase.ENTRY)))
ANYWHERE: Mask = (1 << len(PLACES)) - 1


@cache
def places(modes: frozenset[Mode] | None, phases: frozenset[Phase] | None) -> Mask:
    """Return the places with one of these modes and one of these phases; None: any."""
    return sum(
        1 << n
        for n, (mode, phase) in enumerate(PLACES)
        if (modes is None or mode in modes) and (phases is None or phase in phases)
    )


def made_of(setup: Setup, fact: Fact) -> frozenset[Fact]:
    """Return the single facts that answer a question about several; for any other question the fact itself."""
    what, about = fact
    if what == "all in":
        areas, mask = cast("tuple[tuple[AreaNumber, ...], Mask]", about)
        by_mode = any(places(frozenset(modes), None) == mask for n in range(5) for modes in combinations(Mode, n))
        return frozenset(("mode" if by_mode else "phase", area) for area in areas)
    if what == "any runs":
        kind, numbers = cast("tuple[TimerKind, tuple[int, ...]]", about)
        return frozenset(("runs", Timer(kind, number)) for number in numbers)
    if what == "confirms":
        zone = setup.zone(cast("ZoneNumber", about))
        return frozenset(("runs", Timer(TimerKind.CONFIRM, area)) for area in zone.areas) if zone else frozenset()
    return frozenset({fact})


def is_likely(fact: Fact) -> bool:
    """Return the likelier answer to a yes-or-no question: nothing happened, and every area is off."""
    return fact[0] == "all in" and bool(cast("tuple[object, Mask]", fact[1])[1] & 1)


def truth(control: Control, setup: Setup, fact: Fact) -> Hashable:
    """Return what a control answers to a question."""
    what, about = fact
    if what in OF_AREAS:
        state: Hashable = getattr(control.area(cast("AreaNumber", about)), what)
        return state
    if what == "all in":
        areas, mask = cast("tuple[tuple[AreaNumber, ...], Mask]", about)
        return all(_is_in(control.area(area), mask) for area in areas)
    if what == "part":
        part: Hashable = getattr(control, str(about))
        return part
    if what == "siren without":
        return _plays_without(control, setup, cast("tuple[AreaNumber, ...]", about))
    if what == "before":
        pattern, ended = cast("tuple[Pattern, tuple[AreaNumber, ...]]", about)
        return PRECEDENCE[_plays_without(control, setup, ended)] < PRECEDENCE[pattern]
    if what == "runs":
        return about in control.running
    if what == "any runs":
        kind, numbers = cast("tuple[TimerKind, tuple[int, ...]]", about)
        return any((kind, number) in control.running for number in numbers)
    if what == "confirms":
        zone = setup.zone(cast("ZoneNumber", about))
        return zone is not None and Draft(setup, control).confirms(zone)
    if what in DOORS_OF:
        area, door = cast("tuple[AreaNumber, ZoneNumber]", about)
        return door in frozenset.__iter__(getattr(control.area(area), DOORS_OF[what]))
    if what == "open":
        return about in control.open
    if what == "bypassed":
        return about in control.bypassed
    if what == "shut out":
        return (about, setup.settings.swinger_limit) in control.alarms
    if what == "barred":
        barred, over = cast("tuple[AreaNumber, Right | None]", about)
        return Draft(setup, control).bars_setting(barred, over)
    if what.startswith("trouble "):
        return any(zone == about and trouble.value == what[8:] for zone, trouble in control.troubles)
    if what.startswith("stands "):
        return (about, what[7:]) in control.standing
    return False  # nothing is elsewhere when the whole panel is here


def _is_in(area: AreaState, mask: Mask) -> bool:
    return bool(mask >> PLACES.index((area.mode, area.phase)) & 1)


def _plays_without(control: Control, setup: Setup, areas: tuple[AreaNumber, ...]) -> Pattern:
    ended = frozenset(areas)
    return first_pattern(each for each, zone in control.causes if not ended & _areas(setup, zone))


def _areas(setup: Setup, number: ZoneNumber) -> frozenset[AreaNumber]:
    zone = setup.zone(number)
    return zone.areas if zone is not None else frozenset({AreaNumber(-number)})  # its people call

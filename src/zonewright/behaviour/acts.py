"""What people can do at the panel of one site: by which means each area is armed, and whose code does it.

Rules of this file:
1. Only what the site has: no remote where nobody has one, no code of somebody who may not arm the area. A setup without
   `Acts` belongs to no site (a test's, say): there everything can be done, by the first slot.
2. Where the means makes no difference, the first one that exists is used for all: the keypad before a remote.
3. Every code that arms an area also disarms it, bypasses its zones and gives a quick exit; a remote does what its
   buttons say.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, replace

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, Disarm, Event, Means, ZoneCloses, ZoneOpens
from zonewright.behaviour.faults import Right
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.behaviour.state import NOBODY
from zonewright.panel.behaviours import ARMED, Mode
from zonewright.panel.resolve import Resolved
from zonewright.panel.resolve_people import SHIPPED_BUTTONS

FIRST = UserNumber(1)  # who acts where it isn't said who may


@dataclass(frozen=True, slots=True)
class WayToSet:
    """One way of arming an area: by which means, by whom, and in which modes."""

    means: Means
    user: UserNumber
    modes: frozenset[Mode] = ARMED


@dataclass(frozen=True, slots=True)
class AreaActs:
    """What people can do in one area."""

    ways: tuple[WayToSet, ...] = ()  # the keypad first
    coded: tuple[UserNumber, ...] = ()  # whose code arms and disarms it, without those for duress
    forced: tuple[UserNumber, ...] = ()  # whose code is for duress
    by_button: tuple[UserNumber, ...] = ()  # whose remote disarms it

    @property
    def codes(self) -> tuple[UserNumber, ...]:
        """Return whose code works for it; those for duress come last, since they do all that any code does."""
        return (*self.coded, *self.forced)

    @property
    def sort(self) -> Hashable:
        """Return what can be done, no matter who does it."""
        ways = tuple((way.means, way.modes) for way in self.ways)
        return ways, bool(self.coded), bool(self.forced), bool(self.by_button)


@dataclass(frozen=True, slots=True)
class Acts:
    """What people can do, area by area."""

    areas: tuple[tuple[AreaNumber, AreaActs], ...]
    anybody: bool  # whether the site names anybody with a code

    def of(self, area: AreaNumber) -> AreaActs:
        """Return what people can do in an area."""
        return next((acts for number, acts in self.areas if number == area), AreaActs())


def acts_of(resolved: Resolved) -> Acts:
    """Return what the people of a site can do: with their codes at its keypads, and with its remotes."""
    site = resolved.site
    made_to = {UserNumber(slot) for slot, name in resolved.users.items() if site.people[name].duress}
    found = []
    for area, number in resolved.areas.items():
        codes = tuple(map(UserNumber, resolved.users_of(area)))
        coded = tuple(slot for slot in codes if slot not in made_to)
        ways = [WayToSet(Means.KEYPAD, slot) for slot in codes[:1]]
        by_button = []
        for slot, name in resolved.remotes.items():
            remote = site.remotes[name]
            if area in (remote.area or resolved.areas):
                does = buttons_of(resolved, slot)
                modes = frozenset(mode for mode in ARMED if f"arm {mode.value}" in does)
                ways += [WayToSet(Means.REMOTE, NOBODY, modes)] if modes else []
                by_button += [NOBODY] if "disarm" in does else []
        forced = tuple(slot for slot in codes if slot in made_to)
        found.append((AreaNumber(number), AreaActs(tuple(ways), coded, forced, tuple(by_button))))
    return Acts(tuple(found), bool(resolved.users))


def every_day(setup: Setup, *, by_code: bool = False) -> Setup:
    """Return a setup in which nobody uses a code for duress; `by_code`: nor a remote."""
    if setup.acts is None:
        return setup
    areas = []
    for area, acts in setup.acts.areas:
        keypads = (WayToSet(Means.KEYPAD, acts.coded[0]),) if acts.coded else ()
        remotes = () if by_code else tuple(way for way in acts.ways if way.means is not Means.KEYPAD)
        areas.append((area, AreaActs((*keypads, *remotes), acts.coded, (), () if by_code else acts.by_button)))
    return replace(setup, acts=replace(setup.acts, areas=tuple(areas)))


def with_acts(setup: Setup, resolved: Resolved) -> Setup:
    """Return a setup in which people can do only what they can do on its site."""
    return replace(setup, acts=acts_of(resolved))


def buttons_of(resolved: Resolved, slot: int) -> set[str]:
    """Return what the buttons of a remote do."""
    held = resolved.programme.fields("remote", slot)
    return {held.get(name, shipped) for name, shipped in SHIPPED_BUTTONS.items()}


def arming(setup: Setup, area: AreaNumber) -> Iterator[Arm]:
    """Give each way of arming an area that makes a difference; also in spite of a trouble, if a user has the right."""
    both = setup.settings.asks_for_keypad
    if setup.acts is None:
        ways = [WayToSet(means, FIRST) for means in (Means.REMOTE, Means.KEYPAD)[: 2 if both else 1]]
    else:
        ways = list(setup.acts.of(area).ways)
    for mode in Mode:
        if mode in ARMED:
            found = [way for way in ways if mode in way.modes]
            told_apart = {way.means is Means.KEYPAD: way for way in reversed(found)} if both else {}
            some = [way for way in found if way in told_apart.values()] if both else found[:1]
            yield from (Arm(area, mode, way.user, way.means) for way in some)
            by_keypad = [way.user for way in found if way.means is Means.KEYPAD] or [FIRST] * (setup.acts is None)
            if any(Right.USER.sets_over(right) for _, right in setup.settings.at_setting):
                yield from (Arm(area, mode, user, over=Right.USER) for user in by_keypad[:1])


def disarming(setup: Setup, area: AreaNumber) -> Disarm | None:
    """Return how somebody disarms an area; None where nobody can."""
    if setup.acts is None:
        return Disarm(area, FIRST)
    acts = setup.acts.of(area)
    who = (*acts.coded, *acts.by_button, *acts.forced)
    return Disarm(area, who[0]) if who else None


def coded(setup: Setup, area: AreaNumber) -> UserNumber | None:
    """Return a slot whose code works for an area, for bypassing and a quick exit; None where there is none."""
    if setup.acts is None:
        return FIRST
    return next(iter(setup.acts.of(area).codes), None)


def may_bypass(setup: Setup, zone: ZoneSetup) -> tuple[UserNumber, ...]:
    """Return the slots whose code works for every area of a zone."""
    if setup.acts is None:
        return (FIRST,)
    first, *others = (setup.acts.of(area).codes for area in sorted(zone.areas))
    return tuple(user for user in first if all(user in each for each in others))


def users(setup: Setup, area: AreaNumber) -> tuple[UserNumber, ...]:
    """Return who may have armed an area."""
    if setup.acts is None:
        return (FIRST,)
    return tuple(dict.fromkeys(way.user for way in setup.acts.of(area).ways)) or (FIRST,)


def can_be(setup: Setup, area: AreaNumber) -> frozenset[Mode]:
    """Return the modes an area can be in while all is well: off, and those in which somebody can arm it.

    The model tries each: for example, if only a final door completes away and the area has none, no keypad arms it
    away. (A power cut in an exit time may, but that isn't tried here.)
    """
    known = setup.can_be.get(area)  # it is found out once for a setup
    if known is not None:
        return known
    found = {Mode.DISARMED, *(zone.behaviour.arms for zone in setup.zones_of(area) if zone.behaviour.arms is not None)}
    for mode in ARMED:
        panel = Clockwork(setup)
        for event in setting(setup, area, mode):
            panel.give(event)
        panel.rest()
        found.add(panel.control.area(area).mode)
    return setup.can_be.setdefault(area, frozenset(found))


def setting(setup: Setup, area: AreaNumber, mode: Mode) -> list[Event]:
    """Return what arms an area in a mode: by a remote where there is one, else at a keypad and out by a door."""
    ways = [act for act in arming(setup, area) if act.mode is mode and act.over is None]
    if not ways:
        return []
    act = min(ways, key=lambda each: each.means is Means.KEYPAD)
    doors = setup.exit_doors(area) if act.means is Means.KEYPAD and setup.settings.asks_for_keypad else ()
    door = min(doors, key=lambda each: (not each.behaviour.completes_exit, each.number), default=None)
    if mode is not Mode.AWAY or door is None or not setup.settings.exit_time:
        return [act]
    return [act, ZoneOpens(door.number), ZoneCloses(door.number)]

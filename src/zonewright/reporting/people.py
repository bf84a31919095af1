"""Who can do what at the panel of one site, as events, with everybody by name, for the list of messages.

Rules of this file:
1. It agrees with what `acts.py` says about a site. There one person stands for all who can do the same; here each is
   given.
2. If nobody has a code yet, the first slot does what is done at a keypad, as in `play`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from zonewright.behaviour.acts import FIRST, Acts, AreaActs, acts_of
from zonewright.behaviour.events import Arm, Bypass, Disarm, Means, Panic
from zonewright.behaviour.faults import Right
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.behaviour.state import NOBODY
from zonewright.panel.behaviours import ARMED, Mode
from zonewright.panel.resolve import Resolved

PANIC_BUTTON = "panic"


@dataclass(frozen=True)
class Hands:
    """The people of a site and what they hold."""

    acts: Acts
    buttons: tuple[tuple[AreaNumber, UserNumber], ...]  # of remotes that call for help: the area, and who carries it

    def of(self, area: AreaNumber) -> AreaActs:
        """Return what people can do in an area."""
        return self.acts.of(area)

    def coded(self, area: AreaNumber) -> tuple[UserNumber, ...]:
        """Return everybody whose code works for an area, with those for duress."""
        return self.of(area).codes if self.acts.anybody else (FIRST,)

    def arming(self, area: AreaNumber) -> Iterator[Arm]:
        """Give every way of arming an area: each person, each means, each mode."""
        for mode in (mode for mode in Mode if mode in ARMED):
            yield from (Arm(area, mode, user) for user in self.coded(area))
            for way in self.of(area).ways:
                if way.means is Means.REMOTE and mode in way.modes:
                    yield Arm(area, mode, way.user, Means.REMOTE)

    def over_faults(self, area: AreaNumber) -> Iterator[Arm]:
        """Give every right with which an area is armed in spite of a trouble, with everybody who has a code for it."""
        for right in (Right.USER, Right.INSTALLER):
            yield from (Arm(area, Mode.AWAY, user, over=right) for user in self.coded(area))

    def disarming(self, area: AreaNumber) -> Iterator[Disarm]:
        """Give everybody who can disarm an area."""
        for user in dict.fromkeys((*self.coded(area), *self.of(area).by_button)):
            yield Disarm(area, user)

    def panic(self, area: AreaNumber) -> Iterator[Panic]:
        """Give everybody who can call for help: at a keypad, or with a button that is meant for it."""
        by_button = (user for number, user in self.buttons if number == area)
        yield from (Panic(area, user) for user in dict.fromkeys((*self.coded(area), *by_button)))

    def bypassing(self, setup: Setup, zone: ZoneSetup) -> Iterator[Bypass]:
        """Give everybody who can bypass a zone."""
        for user in self.coded(zone.home):
            if all(user in self.coded(area) for area in zone.areas) and setup.may_set(user, zone.areas):
                yield Bypass(zone.number, user)


def hands_of(resolved: Resolved) -> Hands:
    """Return the people of a site."""
    buttons = []
    for slot, name in resolved.remotes.items():
        remote = resolved.site.remotes[name]
        if PANIC_BUTTON in resolved.programme.fields("remote", slot).values():
            areas = sorted(AreaNumber(resolved.areas[area]) for area in remote.area or resolved.areas)
            buttons += [(area, NOBODY) for area in areas[:1]]
    return Hands(acts_of(resolved), tuple(buttons))

"""What around a panel may not be as it should be: the records that faults are made of.

Rules of this file:
1. Nothing is run here; what follows from it is for `surroundings.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum

from zonewright.behaviour.events import Event, Trouble, TroubleBegins
from zonewright.fieldwork.acting import What
from zonewright.site.record import ZoneNumber


class SilentBecause(Enum):
    """Why nothing of a device arrives."""

    BATTERY = "its battery is flat"
    RANGE = "it is out of range"
    BROKEN = "it is broken"


class Help(Enum):
    """What is done to a device before it is tried."""

    NONE = "nothing"
    BESIDE = "held beside the panel"
    NEW_BATTERY = "given a new battery"


class Channel(Enum):
    """By what the panel's doing is noticed."""

    SIREN = "siren"
    SOUNDS = "keypad's sounds and voice"
    DISPLAY = "display"
    STATION = "messages"


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What isn't as it should be; as it stands here all is well. Zones are those planned for the devices."""

    silent: frozenset[tuple[ZoneNumber, SilentBecause]] = frozenset()
    unseen: frozenset[tuple[ZoneNumber, What]] = frozenset()  # what a device doesn't notice when it is done
    stands: tuple[Event, ...] = ()  # what has happened before
    dead: frozenset[Channel] = frozenset()  # what can't be noticed since its sounder, display or line is dead
    keys_dead: bool = False  # nothing can be done at the keypad
    dead_remotes: frozenset[int] = frozenset()  # whose buttons do nothing
    shut_out: frozenset[ZoneNumber] = frozenset()  # used up their alarms before anybody looks, whenever armed

    def joined(self, other: Surroundings) -> Surroundings:
        """Return what it is when both are so."""
        return Surroundings(
            self.silent | other.silent, self.unseen | other.unseen, self.stands + other.stands,
            self.dead | other.dead, self.keys_dead or other.keys_dead,
            self.dead_remotes | other.dead_remotes, self.shut_out | other.shut_out,
        )  # fmt: skip

    def helped(self, zones: Iterable[ZoneNumber], how: Help) -> Surroundings:
        """Return what is left when the devices of these zones are helped so."""
        if how is Help.NONE:
            return self
        why = SilentBecause.RANGE if how is Help.BESIDE else SilentBecause.BATTERY
        mended = frozenset((zone, why) for zone in zones)
        low = {TroubleBegins(zone, Trouble.LOW_BATTERY) for zone in zones} if why is SilentBecause.BATTERY else set()
        return replace(
            self, silent=self.silent - mended, stands=tuple(event for event in self.stands if event not in low)
        )


ALL_WELL = Surroundings()

"""One promise of a panel: what it says, of what, what it is about, and what watches it.

Rules of this file:
1. "Quiet" before a promise: its areas disarmed or set, no siren, no message waiting, no exit or entry time.
2. A zone "opens" when it was shut, isn't bypassed and hasn't used up its alarms; "sounds" is its own call for the
   sounder, "sends" its own message about an alarm. Restores and messages about bypasses and troubles are neither.
3. What a promise takes for granted stands in its sentence (`provisos.py`).
4. A promise is never left out for want of a feature: it says that the panel has none (`Outright`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from enum import Enum

from zonewright.behaviour.events import Disarm, Event
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.behaviour.state import Control
from zonewright.panel.programme import Item
from zonewright.proof.promises.judges import quiet
from zonewright.proof.promises.provisos import Provisos, with_provisos
from zonewright.proof.prover.observers import Invariant, Judge, Observer, never
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.site.must import Statement
from zonewright.site.record import ZoneNumber

KINDS = {  # with the heading under which their verdicts stand
    "notice": "Zones that only announce",
    "noticed": "Every zone can be noticed",
    "life safety": "Life safety",
    "answers": "Watched in every mode",
    "opening": "Doors and windows when armed",
    "silent": "Silent when it should be",
    "swinger": "No alarm without end",
    "abort": "Called off in time",
    "cancel": "Called back in time",
    "once": "One message for one cause",
    "delay": "How late a message may be",
    "siren": "The siren ends",
    "setting": "Setting, and while off",
    "disarm": "A code always disarms",
    "duress": "Made to disarm",
    "leaving": "Leaving",
    "route": "Ways in and out",
    "must": "What the owner wants",
}


@dataclass(frozen=True, slots=True)
class ZoneRoute:
    """A walk from a door to a keypad, as zones of the panel."""

    name: str
    door: ZoneNumber
    through: tuple[ZoneNumber, ...]
    walk_s: int | None = None  # how long it takes [s]; None: nobody knows


@dataclass(frozen=True, slots=True)
class WantedByOwner:
    """A statement of the owner's with the zones that it means."""

    statement: Statement
    zones: tuple[ZoneNumber, ...]
    wired: frozenset[ZoneNumber] = frozenset()  # of them, those without a cell and a radio
    area: AreaNumber | None = None  # whose mode is meant, if it names one
    person: UserNumber | None = None  # whose acts are meant, if it names somebody
    no_such: str = ""  # why a message of the kind that it names can't come of its cause


@dataclass(frozen=True, slots=True)
class Window:
    """How long a timer of so many seconds may really take."""

    percent: int = 0

    def limits(self, seconds: int) -> tuple[int, int]:
        """Return the least and most whole seconds."""
        return max(1, seconds * (100 - self.percent) // 100), -(-seconds * (100 + self.percent) // 100)

    def most(self, *seconds: int) -> int:
        """Return how long these timers take at most, one after the other."""
        return sum(self.limits(each)[1] for each in seconds if each)

    def least(self, seconds: int) -> int:
        """Return how long a timer takes at least."""
        return self.limits(seconds)[0]


class Never(str):
    """Why a condition is never met, not even on the way to it: no act of anybody's on the site begins it."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition of a premise, said so that it can follow those before it: "when armed away"."""

    says: str
    met: Judge
    since: str = ""  # why it may be that it is never met


@dataclass(frozen=True, slots=True)
class Premise:
    """What a promise is about: everything that can happen of which all parts are so."""

    parts: tuple[Condition, ...] = ()

    def __call__(self, before: Control, act: Act, outcome: EventOutcome) -> bool:
        """Return whether the promise is about this."""
        for part in self.parts:  # noqa: SIM110 - a generator takes twice as long, and this is asked most
            if not part.met(before, act, outcome):
                return False
        return True


def about(*parts: Condition) -> Premise:
    """Return the premise of these parts."""
    return Premise(parts)


class OutrightVerdict(Enum):
    """What can be said of a promise without looking at what the panel does."""

    KEPT = "kept"
    BROKEN = "broken"
    AGREED = "broken, and somebody accepted it"
    LACKING = "the panel lacks what it is about"
    UNKNOWN = "something that it is about is not known"
    OFF = "it is not in use here"
    IDLE = "nobody on this site can do what it is about"


@dataclass(frozen=True, slots=True)
class Outright:
    """A promise that is a sum, or that the panel can't make; `why` holds the sum, or what is lacking."""

    what: OutrightVerdict
    why: str
    items: tuple[Item, ...] = ()  # of the Programme, where the panel would have it by one of them


@dataclass(frozen=True, slots=True)
class Promise:
    """One promise. `premise` tells which events it is about; it is empty if none of them can happen."""

    kind: str
    aspect: str  # what is promised, its zones and areas aside
    says: str
    zones: tuple[ZoneNumber, ...]
    areas: frozenset[AreaNumber]
    observer: Observer = Invariant(never)  # noqa: RUF009 - frozen
    premise: Premise = Premise()
    timed: bool = False  # whether it begins somewhere and takes its time; else every event is judged alone
    root: Callable[[Control], bool] = field(default_factory=lambda: quiet)  # where a timed one may begin
    heard: bool = False  # the sounder is listened to, and messages are left out (`reading.py`, rule 3)
    wants: bool = False  # something that must be possible: what `observer` calls bad is what is wanted
    acts: tuple[Event, ...] = ()  # the only events that it can be about; none: any that is about its zones
    also: tuple[Event, ...] = ()  # events that are looked at beside those that stand for all
    near: frozenset[AreaNumber] = frozenset()  # areas that are kept beside those of its zones
    states: Callable[[Control], bool] | None = None  # the only states that it can be about
    follows: tuple[str, ZoneNumber] | None = None  # aspect and zone of a promise of which this is one case
    twin: tuple[Disarm, Disarm] | None = None  # a code, and one that nobody in the house must tell it from
    outright: Outright | None = None  # settled by a sum, or by what the panel lacks
    unfollowed: str = ""  # what no slice follows of it: unless it is broken it is undecided, for this reason
    sort: str = ""  # what is promised, names in `aspect` aside; empty: it has none
    provisos: Provisos = ()  # what it takes for granted, beside what it says
    spoken_of: tuple[ZoneNumber, ...] = ()  # every zone that it names, where it is of more than `zones`
    looks_at: tuple[ZoneNumber, ...] = ()  # zones that its judges look at beside `zones`
    consists_of: tuple[Promise, ...] = ()  # promises of single zones: it holds where each of them does
    keeps: frozenset[tuple[str, Hashable]] = frozenset()  # facts that it can't be judged without, as at power-up first
    rests_on: frozenset[str] = frozenset()  # kinds of promises of its areas that a sum takes as kept

    @property
    def judged(self) -> frozenset[ZoneNumber] | None:
        """Return the zones that its judges look at; None: any."""
        return frozenset({*self.zones, *self.looks_at}) or None

    @property
    def sentence(self) -> str:
        """Return what it promises with all that it takes for granted: true when read alone."""
        return with_provisos(self.says, self.provisos)

    @property
    def name(self) -> str:
        """Return a name that stays the same from run to run: what is promised, and of which zone or area."""
        whose = [f"zone {number}" for number in self.zones] or [f"area {number}" for number in sorted(self.areas)]
        return re.sub("[^a-z0-9]+", "-", " ".join([self.aspect, *whose]).casefold())


def where(setup: Setup, areas: frozenset[AreaNumber]) -> str:
    """Return in which areas, for a person; nothing where the panel has one area."""
    if len(setup.areas) == 1:
        return ""
    return " in area " + " and ".join(str(area) for area in sorted(areas))


def lacking(setup: Setup, kind: str, aspect: str, says: str, why: str, *items: str) -> Promise:
    """Return a promise that the panel can't make; `items` are those that would give it what it lacks."""
    outright = Outright(OutrightVerdict.LACKING, why, tuple(map(Item, items)))
    return Promise(kind, aspect, says, (), frozenset(setup.areas), outright=outright)

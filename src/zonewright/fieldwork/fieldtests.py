"""A field test: what a technician does, in which mode, how long they wait; and the running of it on a panel.

Rules of this file:
1. A test says what is done at devices, keypads and remotes, never what the panel makes of it: the same test is run on
   the panel as planned and on every wrong one.
2. A test begins with all shut and quiet: its areas armed and at rest, the others off. The panel is armed there by
   somebody who may, without regard to whose slot; who may set what is tested by tests of its own.
3. Times are whole seconds from the test's own start.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from zonewright.behaviour.clockwork import Clockwork, Stepping, TimelineEntry
from zonewright.behaviour.events import Arm, Means
from zonewright.behaviour.setup import AreaNumber
from zonewright.behaviour.step import step
from zonewright.fieldwork.acting import Act, Handle, PanelInHouse, PressButton, Set, What, perform
from zonewright.fieldwork.calling import NO_CALLS, Call, Calls
from zonewright.fieldwork.observing import Observation, observed
from zonewright.panel.behaviours import Mode
from zonewright.panel.programme import Thing
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import SOMEBODY


@dataclass(frozen=True, slots=True)
class Arming:
    """How the site is set before a test: these areas in this mode, all others off."""

    mode: Mode = Mode.DISARMED
    areas: frozenset[AreaNumber] = frozenset()

    @property
    def armed(self) -> bool:
        """Return whether anything is armed at all."""
        return self.mode is not Mode.DISARMED


OFF = Arming()


class Sort(Enum):
    """What is tried."""

    LOOK = "look at the keypad while all is shut"
    TRIP = "trip it and put it back"
    HOLD = "trip it and hold it until all is told"
    AGAIN = "trip it once more than the limit"
    COVER = "take its cover off and put it on again"
    CALL_OFF = "trip it and disarm before the message leaves"
    CANCEL = "trip it and disarm after the message"
    CANCEL_LATE = "trip it and disarm when it is too late to cancel"
    CUT_OFF = "let the siren sound until it stops"
    WALK_IN = "walk in and disarm in time"
    STRAY_IN = "walk in past what is not on the way"
    LEAVE = "arm and leave by this door"
    COME_BACK = "arm, leave, and come back for something"
    STAY_IN = "arm away and leave by no door"
    LEFT_OPEN = "arm and leave the door open"
    ARM_OPEN = "try to arm with this one open"
    ARM_UNCOVERED = "try to arm with its cover off"
    JUST_ARMED = "trip it just after the exit time"
    PERSON = "set each area and take it off again"
    REMOTE = "press each button"
    COMPARED = "do as told here, by the clock"


@dataclass(frozen=True, slots=True)
class FieldTest:
    """One test."""

    sort: Sort
    arming: Arming
    acts: tuple[tuple[int, Act], ...]  # after so many seconds
    until: int  # when the wait is over [s]
    busy_s: int  # when somebody may go on to the next test; only messages may still come
    about: str  # the zone's label, a person, a remote
    where: str  # name of the device or keypad where one stands
    ends: bool = False  # whether it disarms what was armed for it
    calls: Calls = NO_CALLS  # what it sets off on the planned panel; see `Ground.cautioned`

    @property
    def with_word(self) -> bool:
        """Return whether it calls for help: never without the station's word."""
        return Call.HELP in self.calls

    @property
    def alarming(self) -> bool:
        """Return whether it calls for help or sounds a danger: a slip is read back, it is no reason for such a test."""
        return not self.calls.isdisjoint((Call.HELP, Call.DANGER))

    @property
    def zones(self) -> frozenset[ZoneNumber]:
        """Return the zones whose devices are handled, as planned."""
        return frozenset(act.zone for _, act in self.acts if isinstance(act, Handle))

    @property
    def sets(self) -> bool:
        """Return whether something is armed in it."""
        return any(
            isinstance(act, PressButton) or (isinstance(act, Set) and act.mode is not Mode.DISARMED)
            for _, act in self.acts
        )

    @property
    def things(self) -> frozenset[Thing]:
        """Return who and what takes part besides devices: `user/2`, `remote/1`."""
        return frozenset(
            Thing.of("user", act.user) if isinstance(act, Set) else Thing.of("remote", act.remote)
            for _, act in self.acts
            if not isinstance(act, Handle)
        )


def begun(panel: PanelInHouse, arming: Arming, stepping: Stepping = step) -> Clockwork:
    """Return a panel at rest, set for a test; what stands from the start was noticed before."""
    clockwork = Clockwork(panel.setup, stepping)
    for event in panel.standing():
        clockwork.give(event)
    for area in sorted(arming.areas):
        clockwork.give(Arm(area, arming.mode, SOMEBODY, Means.REMOTE))
    clockwork.rest()
    return clockwork


def entries_of(panel: PanelInHouse, clockwork: Clockwork, test: FieldTest) -> list[TimelineEntry]:
    """Do a test with a panel that was set for it; the clockwork is used up."""
    standing: list[TimelineEntry] = []
    if test.sort is Sort.LOOK:
        clockwork = Clockwork(panel.setup)
        standing = [clockwork.give(event) for event in panel.standing()]
    return standing + perform(clockwork, panel, test.acts, test.until)


def seen_in(panel: PanelInHouse, clockwork: Clockwork, test: FieldTest) -> Observation:
    """Return what is noticed in a test of a panel that was set for it; the clockwork is used up."""
    start = 0 if test.sort is Sort.LOOK else clockwork.now
    return observed(panel.setup, entries_of(panel, clockwork, test), start, panel.account)


def trips(zone: ZoneNumber, *, momentary: bool, at: int = 0, shut: int = 3) -> tuple[tuple[int, Act], ...]:
    """Return the acts of one trip: open at a second and shut so many later, or a push or a movement."""
    if momentary:
        return ((at, Handle(What.TRIP, zone)),)
    return ((at, Handle(What.OPEN, zone)), (at + shut, Handle(What.CLOSE, zone)))


def last_act(acts: Iterable[tuple[int, Act]]) -> int:
    """Return when the last act is done."""
    return max((after for after, _ in acts), default=0)

"""What a good panel promises, in plain words, each with what watches it.

Rules of this file:
1. A promise follows from a zone's attributes, from a route or from the owner's words; never from a behaviour's name.
2. "Quiet" before a promise: its areas disarmed or set, no siren, no message waiting, no exit or entry time.
3. A zone "opens" when it was shut, isn't bypassed and hasn't used up its alarms; "sounds" is its own call for the
   sounder, "sends" its own message about an alarm. Restores and messages about bypasses and troubles are neither.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass, field, replace

from zonewright.behaviour.alike import nobodies, signature
from zonewright.behaviour.events import (
    Arm,
    DeviceEvent,
    Disarm,
    Expires,
    Siren,
    Timer,
    TimerKind,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.judges import (
    counts,
    disarms,
    disarms_or_cannot,
    has_effect,
    holds_back,
    in_mode,
    is_noticed,
    may_be_in,
    opening_of,
    opens,
    quiet,
    quiet_at,
    sends,
    sounds,
    starts_abort,
)
from zonewright.behaviour.observers import Answer, Invariant, Judge, Observer, Quiet
from zonewright.behaviour.reading import Outcome
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import PRECEDENCE, Control, Phase, people_of
from zonewright.behaviour.table import Act
from zonewright.behaviour.telling import in_modes, listed, sounder, span
from zonewright.behaviour.unknowns import Fact
from zonewright.panel.behaviours import ARMED, Mode, Pattern, Timing, modes_meant
from zonewright.site.must import Statement
from zonewright.site.record import ZoneNumber

STAY = frozenset({Mode.STAY})


@dataclass(frozen=True, slots=True)
class Route:
    """A walk from a door to a keypad, as zones of the panel."""

    name: str
    door: ZoneNumber
    through: tuple[ZoneNumber, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A statement of the owner's with the zones that it means."""

    statement: Statement
    zones: tuple[ZoneNumber, ...]


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


@dataclass(frozen=True, slots=True)
class Promise:
    """One promise. `premise` tells which events it is about; it is empty if none of them can happen."""

    kind: str
    aspect: str  # what is promised, its zones and areas aside
    says: str
    zones: tuple[ZoneNumber, ...]
    areas: frozenset[AreaNumber]
    observer: Observer
    premise: Judge
    timed: bool = False  # whether it begins somewhere and takes its time; else every event is judged alone
    focus: frozenset[Fact] = field(default_factory=frozenset)
    root: Callable[[Control], bool] = field(default_factory=lambda: quiet)  # where a timed one may begin
    heard: bool = False  # the sounder is listened to, and messages are left out (`reading.py`, rule 3)
    wants: bool = False  # something that must be possible: what `observer` calls bad is what is wanted

    @property
    def name(self) -> str:
        """Return a name that stays the same from run to run: what is promised, and of which zone or area."""
        whose = [f"zone {number}" for number in self.zones] or [f"area {number}" for number in sorted(self.areas)]
        return re.sub("[^a-z0-9]+", "-", " ".join([self.aspect, *whose]).casefold())


def promises(
    setup: Setup, routes: Iterable[Route] = (), wanted: Iterable[Wanted] = (), window: Window | None = None
) -> tuple[Promise, ...]:
    """Return everything that the panel should keep."""
    exact = window or Window()
    made = [
        *(promise for zone in _alike(setup) for promise in _of_zone(setup, zone, exact)),
        *_of_panel(setup, exact),
        *(promise for route in routes for promise in _of_route(setup, route, exact)),
        *(promise for one in wanted for promise in _of_owner(setup, one, exact)),
    ]
    return tuple(sorted(made, key=lambda promise: KINDS.index(promise.kind)))


KINDS = (
    "notice",
    "noticed",
    "life safety",
    "opening",
    "interior",
    "swinger",
    "abort",
    "siren",
    "disarm",
    "route",
    "must",
)


def _alike(setup: Setup) -> list[ZoneSetup]:
    """Return one of the zones that act alike, named by all their labels."""
    groups: dict[Hashable, list[ZoneSetup]] = {}
    for zone in setup.zones:
        groups.setdefault(signature(zone), []).append(zone)
    return [replace(zones[0], label=listed([zone.label for zone in zones])) for zones in groups.values()]


def _of_zone(setup: Setup, zone: ZoneSetup, window: Window) -> Iterator[Promise]:
    behaviour, settings = zone.behaviour, setup.settings
    name, numbers = zone.label, (zone.number,)
    about = opening_of(zone)
    told = settings.told and zone.tells_alarm and behaviour.alarm is not None
    if not zone.can_alarm:
        yield Promise(
            "notice", "notice", f"{name} never sounds the siren and never sends an alarm", numbers, zone.areas,
            Invariant(lambda _b, _a, out: sounds(out, zone) or sends(out, zone) or holds_back(out, zone)), about,
        )  # fmt: skip
    if not behaviour.in_use:
        return
    yield Promise(
        "noticed", "noticed", f"a person can notice that {name} opens", numbers, zone.areas,
        Invariant(lambda _b, act, out: opens(act, zone) and any(is_noticed(each, zone) for each in out.outputs)),
        about, wants=True,
    )  # fmt: skip
    if behaviour.life_safety:
        yield from _life_safety(setup, zone, told=told)
    elif (
        behaviour.siren is Pattern.BURGLARY
        and behaviour.live & ARMED
        and not (zone.crosses and settings.cross_window)  # one trip of a pair promises nothing
    ):
        yield from _opening(setup, zone, window, told=told)
    if behaviour.live and Mode.STAY not in behaviour.live:
        yield Promise(
            "interior", "interior", f"{name} neither sounds nor sends while armed stay", numbers, zone.areas,
            Invariant(
                lambda before, act, out: opens(act, zone) and may_be_in(before, out, zone, STAY)
                and (sounds(out, zone) or sends(out, zone) or holds_back(out, zone))
            ),
            lambda before, act, out: opens(act, zone) and may_be_in(before, out, zone, STAY),
        )  # fmt: skip
    if behaviour.swinger and settings.swinger_limit and (behaviour.siren is not Pattern.NONE or told):
        limit = settings.swinger_limit
        times = "one alarm" if limit == 1 else f"{limit} alarms"
        yield Promise(
            "swinger", "swinger", f"{name} gives no more after {times} of one armed period", numbers, zone.areas,
            Invariant(
                lambda _b, act, out: opens(act, zone) and out.is_so("shut out", zone.number)
                and (sounds(out, zone) or sends(out, zone) or holds_back(out, zone))
            ),
            lambda _b, act, out: opens(act, zone) and out.is_so("shut out", zone.number),
        )  # fmt: skip
    if told and zone.message_waits and window.least(settings.abort_window) > 1:
        within = window.least(settings.abort_window) - 1
        yield Promise(
            "abort", "abort", f"{name}: disarmed within {span(within)} of its alarm, no message of it leaves", numbers,
            zone.areas,
            Quiet(
                lambda _b, _a, out: starts_abort(out, zone),
                lambda _b, _a, out: sends(out, zone),
                within,
                ends=lambda _b, act, _o: isinstance(act, Arm) or (
                    isinstance(act, DeviceEvent) and act.zone == zone.number and not isinstance(act, ZoneCloses)
                ),
                settled=disarms(zone),
            ),
            lambda _b, _a, out: starts_abort(out, zone),
            timed=True, focus=frozenset({("waiting", zone.number)}), root=lambda control: not control.waiting,
        )  # fmt: skip


def _life_safety(setup: Setup, zone: ZoneSetup, *, told: bool) -> Iterator[Promise]:
    sounding = setup.settings.siren_time > 0 and zone.behaviour.siren is not Pattern.NONE
    what = " and ".join([*(["sounds"] if sounding else []), *(["sends"] if told else [])])
    if not what:
        return
    verifies = zone.verifies and setup.settings.fire_verify_window > 0
    again = ", at its second trip" if verifies else ""
    second = Timer(TimerKind.VERIFY, zone.number)

    def about(_before: Control, act: Act, outcome: Outcome) -> bool:
        return opens(act, zone) and counts(outcome, zone) and (not verifies or outcome.is_so("runs", second))

    def missed(before: Control, act: Act, outcome: Outcome) -> bool:
        return about(before, act, outcome) and (
            (sounding and not _plays(outcome, zone.behaviour.siren)) or (told and not sends(outcome, zone))
        )

    yield Promise(
        "life safety",
        "life safety",
        f"{zone.label} {what} at once in every mode{again}",
        (zone.number,),
        zone.areas,
        Invariant(missed),
        about,
        heard=True,
    )


def _plays(outcome: Outcome, pattern: Pattern) -> bool:
    """Return whether this pattern, or one that comes before it, plays now."""
    return PRECEDENCE[outcome.control.siren] <= PRECEDENCE[pattern]


def _opening(setup: Setup, zone: ZoneSetup, window: Window, *, told: bool) -> Iterator[Promise]:
    """It is an opening that somebody protects."""
    settings = setup.settings
    modes = zone.behaviour.live & ARMED
    delay = zone.entry_s if zone.behaviour.timing is Timing.DELAYED else 0

    def start(before: Control, act: Act, outcome: Outcome) -> bool:
        return (
            opens(act, zone)
            and counts(outcome, zone)
            and quiet_at(before, outcome)
            and in_mode(before, outcome, zone, modes)
        )

    if settings.siren_time:
        within = window.most(delay)
        how = f"within {span(within)} unless disarmed" if within else "at once"
        yield Promise(
            "opening", "opening sounds", f"{zone.label} sounds {how}, {in_modes(modes)}", (zone.number,), zone.areas,
            Answer(start, lambda _b, _a, out: sounds(out, zone), within, ends=disarms_or_cannot(zone)), start,
            timed=True,
        )  # fmt: skip
    if told:
        within = window.most(delay, setup.longest_wait(zone))
        how = f"within {span(within)} unless disarmed" if within else "at once"
        yield Promise(
            "opening", "opening sends", f"{zone.label} sends {how}, {in_modes(modes)}", (zone.number,), zone.areas,
            Answer(start, lambda _b, _a, out: sends(out, zone), within, ends=disarms_or_cannot(zone)), start,
            timed=True,
            focus=frozenset({("waiting", zone.number)}),
        )  # fmt: skip


def _of_panel(setup: Setup, window: Window) -> Iterator[Promise]:
    siren = Timer(TimerKind.SIREN, 0)
    loud = [zone for zone in setup.zones if zone.behaviour.siren is not Pattern.NONE]
    if setup.settings.siren_time and loud:
        within = window.most(setup.settings.siren_time)

        def starts(_before: Control, _act: Act, outcome: Outcome) -> bool:
            return siren in dict(outcome.starts)

        for areas in sorted({frozenset({area}) for zone in loud for area in zone.areas}, key=sorted):
            yield Promise(
                "siren", "siren ends", f"the siren ends within {span(within)} of its last cause{_where(setup, areas)}",
                (), areas,
                Answer(starts, lambda _b, _a, out: not out.control.causes, within, again=starts), starts, timed=True,
                root=lambda control: siren not in control.running, heard=True,
            )  # fmt: skip
    for pattern in (Pattern.FIRE, Pattern.GAS):
        if setup.settings.siren_time:
            sounding = {area for zone in setup.zones if zone.behaviour.siren is pattern for area in zone.areas}
            yield from (_not_silenced(setup, pattern, area) for area in sorted(sounding))
    for area in setup.areas:
        yield _always_disarms(setup, area)


def _not_silenced(setup: Setup, pattern: Pattern, area: AreaNumber) -> Promise:
    def sounding(before: Control, act: Act, _outcome: Outcome) -> bool:
        ended = isinstance(act, Disarm) or (isinstance(act, Expires) and act.timer.kind is TimerKind.SIREN)
        return before.siren is pattern and not ended

    def given_up(before: Control, act: Act, outcome: Outcome) -> bool:
        heard = [output.pattern for output in outcome.outputs if isinstance(output, Siren)]
        if not heard and outcome.control.causes == before.causes:
            return False
        left = any(PRECEDENCE[each] > PRECEDENCE[pattern] for each in (outcome.control.siren, *heard))
        return left and sounding(before, act, outcome)

    areas = frozenset({area})
    says = f"{sounder(pattern)} gives way to nothing but a disarm or its cut-off{_where(setup, areas)}"
    return Promise("life safety", f"{pattern.value} first", says, (), areas, Invariant(given_up), sounding, heard=True)


def _always_disarms(setup: Setup, area: AreaNumber) -> Promise:
    def about(_before: Control, act: Act, _outcome: Outcome) -> bool:
        return isinstance(act, Disarm) and act.area == area

    def goes_on(before: Control, act: Act, outcome: Outcome) -> bool:
        if not about(before, act, outcome):
            return False
        after = outcome.control
        state = after.area(area)
        here = {zone.number for zone in (*setup.zones_of(area), *nobodies(setup, setup.zones_of(area)))}
        here.add(people_of(area))
        left = {Timer(kind, area) for kind in (TimerKind.EXIT, TimerKind.ENTRY)} & after.running
        calls = any(number in here for _, number in outcome.control.causes)
        return bool(state.mode is not Mode.DISARMED or state.phase is not Phase.REST or left or calls)

    says = f"a code always disarms and silences{_where(setup, frozenset({area}))}"
    return Promise("disarm", "always disarms", says, (), frozenset({area}), Invariant(goes_on), about, heard=True)


def _of_route(setup: Setup, route: Route, window: Window) -> Iterator[Promise]:
    door = setup.zone(route.door)
    if door is None or door.entry_s == 0:
        return
    way = [zone for number in (route.door, *route.through) if (zone := setup.zone(number)) is not None]
    numbers = {zone.number for zone in way}

    def start(before: Control, act: Act, outcome: Outcome) -> bool:
        return (
            opens(act, door) and counts(outcome, door) and quiet_at(before, outcome)
            and in_mode(before, outcome, door, frozenset({Mode.AWAY}))
        )  # fmt: skip

    def strays(_before: Control, act: Act, _outcome: Outcome) -> bool:
        walking = isinstance(act, ZoneOpens | ZoneCloses | ZoneTrips) and act.zone in numbers
        return not (walking or isinstance(act, Expires) or disarms(door)(_before, act, _outcome))

    within = window.least(door.entry_s) - 1
    areas = frozenset[AreaNumber]().union(*(zone.areas for zone in way))
    if within > 0:
        yield Promise(
            "route", f"route {route.name} in time",
            f"{route.name}: disarmed within {span(within)}, nothing sounds and nothing is sent",
            tuple(sorted(numbers)), areas,
            Quiet(
                start, lambda _b, _a, out: any(sounds(out, z) or sends(out, z) or holds_back(out, z) for z in way),
                within, ends=strays, settled=disarms(door),
            ),
            start, timed=True,
        )  # fmt: skip
    if setup.settings.siren_time:
        late = window.most(door.entry_s)
        yield Promise(
            "route", f"route {route.name} too late",
            f"{route.name}: not disarmed, it sounds within {span(late)}", tuple(sorted(numbers)), areas,
            Answer(start, lambda _b, _a, out: sounds(out, door), late, ends=disarms_or_cannot(door)), start,
            timed=True,
        )  # fmt: skip


def _of_owner(setup: Setup, wanted: Wanted, window: Window) -> Iterator[Promise]:
    statement = wanted.statement
    modes = modes_meant(statement.while_)
    for number in wanted.zones:
        zone = setup.zone(number)
        if zone is not None:
            if statement.wanted == "never":
                yield _owner_never(zone, statement, modes)
            else:
                yield _owner_always(setup, zone, statement, modes, window)


def _owner_never(zone: ZoneSetup, statement: Statement, modes: frozenset[Mode]) -> Promise:
    def bad(before: Control, act: Act, outcome: Outcome) -> bool:
        own = opens(act, zone) or (isinstance(act, Expires) and act.timer.kind in (TimerKind.ENTRY, TimerKind.ABORT))
        here = own and may_be_in(before, outcome, zone, modes)
        return here and has_effect(statement.effect, act, outcome, zone, waiting=True)

    return Promise(
        "must", f"must {statement}", f"{statement} ({zone.label} opens)", (zone.number,), zone.areas, Invariant(bad),
        lambda before, act, out: opens(act, zone) and may_be_in(before, out, zone, modes),
    )  # fmt: skip


def _owner_always(
    setup: Setup, zone: ZoneSetup, statement: Statement, modes: frozenset[Mode], window: Window
) -> Promise:
    delay = zone.entry_s if zone.behaviour.timing is Timing.DELAYED else 0
    wait = setup.longest_wait(zone)
    within = statement.within_s if statement.within_s is not None else window.most(delay, wait)

    def start(before: Control, act: Act, outcome: Outcome) -> bool:
        return (
            opens(act, zone)
            and counts(outcome, zone)
            and quiet_at(before, outcome)
            and in_mode(before, outcome, zone, modes)
        )

    def good(_before: Control, act: Act, outcome: Outcome) -> bool:
        return has_effect(statement.effect, act, outcome, zone, waiting=False)

    return Promise(
        "must", f"must {statement}", f"{statement} ({zone.label} opens, all else quiet)", (zone.number,), zone.areas,
        Answer(start, good, within, ends=disarms_or_cannot(zone)), start,
        timed=True,
        focus=frozenset({("waiting", zone.number)}) if wait else frozenset(),
    )  # fmt: skip


def _where(setup: Setup, areas: frozenset[AreaNumber]) -> str:
    if len(setup.areas) == 1:
        return ""
    return " in area " + " and ".join(str(area) for area in sorted(areas))

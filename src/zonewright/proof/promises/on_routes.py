"""What a panel promises on the walks of the site file, both ways: in by the door and to the keypad, and out again.

Rules of this file:
1. The walk takes the route's zones in any order and as often as people like: a second person may follow, and a door
   may be left open behind.
2. "In time" is what the walk takes, by the plan or as it is written: never a time of the panel's own.
3. Anything else that happens, somebody at another window say, ends the observation before it is judged.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import replace

from zonewright.behaviour.events import Arm, Expires, ZoneCloses, ZoneOpens, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import Control, Phase
from zonewright.panel.behaviours import AWAY_ONLY, Mode, Pattern, Timing
from zonewright.panel.programme import Item
from zonewright.proof.promises.alarms import quiet_opening, sends_within
from zonewright.proof.promises.by_zones import in_use, nobody_sets, opening, told
from zonewright.proof.promises.judges import (
    all_may_be,
    calls,
    disarms,
    disarms_or_cannot,
    gives_alarm,
    left_open,
    opens,
    quiet,
    sounds,
)
from zonewright.proof.promises.promise import (
    Condition,
    Outright,
    OutrightVerdict,
    Premise,
    Promise,
    Window,
    ZoneRoute,
    about,
)
from zonewright.proof.promises.provisos import Proviso, in_earnest, in_order
from zonewright.proof.prover.alike import signature
from zonewright.proof.prover.facts import places
from zonewright.proof.prover.observers import GoodWithin, Invariant, Judge, Passage, Quiet
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.site.record import ZoneNumber, span
from zonewright.words.telling import each_of, in_modes_of

NO_WALK = "how long the walk takes isn't known: write takes: 25 s at the route, or place door and keypad on the plan"


def of_route(setup: Setup, route: ZoneRoute, window: Window, *, apart: bool = False) -> Iterator[Promise]:
    """Give what is promised on one walk, coming in and going out; `apart`, of each zone off the way by itself."""
    door = setup.zone(route.door)
    if door is None:
        return
    way = [zone for number in (route.door, *route.through) if (zone := setup.zone(number)) is not None]
    yield from _coming_in(setup, route, door, way, window)
    yield from _off_the_way(setup, route, door, way, apart=apart)
    yield _going_out(setup, route, door, way)


def _coming_in(
    setup: Setup, route: ZoneRoute, door: ZoneSetup, way: list[ZoneSetup], window: Window
) -> Iterator[Promise]:
    numbers, areas = _named(way)
    delay = door.entry_s if door.behaviour.timing is Timing.DELAYED else 0
    start = quiet_opening(setup, door, AWAY_ONLY)
    granted = in_earnest(setup, door, Proviso.QUIET)
    guarded, armed = Mode.AWAY in door.behaviour.live, in_modes_of(door, AWAY_ONLY)
    yield _in_time(setup, route, door, way, start)
    if setup.settings.siren_time:
        late = window.most(delay)
        yield Promise(
            "route", f"route {route.name} too late",
            f"{route.name}: {armed} and not disarmed, it sounds {_by(late)}", numbers, areas,
            GoodWithin(start, lambda _b, _a, out: sounds(out, door), late, ends=disarms_or_cannot(door)), start,
            timed=True, follows=("opening sounds", door.number) if guarded else None,
            sort=_sort("too late", numbers, door), provisos=granted,
        )  # fmt: skip
    if told(setup, door):
        late = window.most(delay, setup.longest_wait(door))
        yield Promise(
            "route", f"route {route.name} too late sends",
            f"{route.name}: {armed} and not disarmed, the message is sent {_by(late)}", numbers, areas,
            sends_within(setup, door, start, late), start, timed=True,
            follows=("opening sends", door.number) if guarded else None,
            sort=_sort("too late sends", numbers, door), provisos=granted,
        )  # fmt: skip


def _in_time(setup: Setup, route: ZoneRoute, door: ZoneSetup, way: list[ZoneSetup], start: Premise) -> Promise:
    """Who walks in and disarms at the end of the walk is heard by nobody."""
    numbers, areas = _named(way)
    aspect, quiet_way = f"route {route.name} in time", "nothing sounds and no alarm is sent"
    within, walking, disarmed = route.walk_s, _walking(way), disarms(door)
    if within is None:
        nobody = nobody_sets(setup, door, AWAY_ONLY)
        outright = Outright(OutrightVerdict.IDLE, nobody) if nobody else Outright(OutrightVerdict.UNKNOWN, NO_WALK)
        says = f"{route.name}: disarmed when the walk is over, {quiet_way}"
        return Promise("route", aspect, says, numbers, areas, outright=outright)
    return Promise(
        "route", aspect, f"{route.name}: disarmed within {span(within)}, as the walk takes, {quiet_way}",
        numbers, areas,
        Quiet(
            start, lambda _b, _a, out: any(gives_alarm(out, zone) for zone in way), within,
            ends=lambda before, act, out: not (walking(before, act, out) or disarmed(before, act, out)),
            settled=disarmed,
        ),
        start, timed=True, sort=_sort(f"in time, {within} s", numbers, door),
        provisos=(*in_earnest(setup, door, Proviso.QUIET), Proviso.ALONE),
    )  # fmt: skip


def _off_the_way(
    setup: Setup, route: ZoneRoute, door: ZoneSetup, way: list[ZoneSetup], *, apart: bool
) -> Iterator[Promise]:
    """Who comes in by the door and goes elsewhere is heard at once; zones that act alike are promised together."""
    groups: dict[Hashable, list[ZoneSetup]] = {}
    for zone in setup.zones:
        if zone not in way and zone.home == door.home and _guards_inside(setup, zone):
            groups.setdefault(zone.number if apart else signature(zone), []).append(zone)
    for zones in groups.values():
        made = _heard_at_once(setup, route, door, replace(zones[0], label=each_of([zone.label for zone in zones])))
        yield replace(made, spoken_of=(*(zone.number for zone in zones), door.number))


def _guards_inside(setup: Setup, zone: ZoneSetup) -> bool:
    """Return whether it is an instant zone when armed away, that needs no second one to confirm it."""
    behaviour = zone.behaviour
    paired = zone.crosses and setup.settings.cross_window > 0
    loud = behaviour.siren is Pattern.BURGLARY and setup.settings.siren_time > 0
    return Mode.AWAY in behaviour.live and behaviour.timing is Timing.INSTANT and loud and not paired


def _heard_at_once(setup: Setup, route: ZoneRoute, door: ZoneSetup, zone: ZoneSetup) -> Promise:
    def coming_in(before: Control, _act: Act, _outcome: EventOutcome) -> bool:
        area = before.area(door.home)
        return area.mode is Mode.AWAY and area.phase is Phase.ENTRY and door.number in area.entry_by

    def away(before: Control, _act: Act, outcome: EventOutcome) -> bool:
        return all_may_be(
            before, outcome, zone.areas, places(frozenset({Mode.AWAY}), frozenset({Phase.SET, Phase.ENTRY}))
        )

    itself = opening(zone)
    premise = about(
        itself,
        Condition(f"while somebody comes in by {door.label}", coming_in),
        Condition("its areas armed away, nobody leaving", away),
        *in_use(zone),
    )
    return Promise(
        "route", f"route {route.name} off the way",
        f"{route.name}: {zone.label} sounds at once for who leaves the way, {in_modes_of(zone, AWAY_ONLY)}",
        (zone.number, door.number), zone.areas | door.areas,
        Invariant(lambda before, act, out: premise(before, act, out) and not calls(out, zone)), premise,
        sort="route off the way", provisos=in_earnest(setup, zone),
    )  # fmt: skip


def _going_out(setup: Setup, route: ZoneRoute, door: ZoneSetup, way: list[ZoneSetup]) -> Promise:
    numbers, areas = _named(way)
    home, doors = door.home, setup.exit_doors(door.home)
    says = f"{route.name}, going out by {door.label} in time: nothing sounds, no alarm is sent, and it is armed away"
    if not setup.settings.exit_time:
        lacks = Outright(OutrightVerdict.LACKING, "it is armed at once", (Item("setting/exit-time"),))
        return Promise("route", f"route {route.name} out", says, numbers, areas, outright=lacks)
    walking = _walking(way)
    begins = Condition("somebody arms away, all quiet", lambda before, act, out: _leaves(home, before, act, out))

    completes = setup.settings.completing_act and door.behaviour.completes_exit
    goes = _shuts_behind if completes else _goes_through  # what stands open completes nothing

    def strays(before: Control, act: Act, outcome: EventOutcome) -> bool:
        return not walking(before, act, outcome) or bool(left_open(outcome, doors) and _is_over(home, before, outcome))

    def ends_well(_before: Control, _act: Act, outcome: EventOutcome) -> bool:
        area = outcome.control.area(home)
        return area.mode is Mode.AWAY and area.phase is Phase.SET

    return Promise(
        "route", f"route {route.name} out", says, numbers, areas,
        Passage(
            begins.met,
            done=lambda _b, act, out: goes(door, act, out),
            over=lambda before, _a, out: _is_over(home, before, out),
            good=ends_well,
            bad=lambda _b, _a, out: any(gives_alarm(out, zone) for zone in way),
            ends=strays,
        ),
        about(begins), timed=True, sort=_sort("out", numbers, door),
        looks_at=tuple(each.number for each in doors),
        provisos=in_order({*in_earnest(setup, door, Proviso.QUIET, Proviso.ALONE)} - {Proviso.ALARMS_LEFT}),
    )  # fmt: skip


def _goes_through(door: ZoneSetup, act: Act, outcome: EventOutcome) -> bool:
    """Return whether a door opens that was shut and is in use."""
    shut = outcome.facts.get(("open", door.number)) is False
    return opens(act, door) and shut and not outcome.is_so("bypassed", door.number)


def _shuts_behind(door: ZoneSetup, act: Act, outcome: EventOutcome) -> bool:
    """Return whether a door in use is shut after it was open."""
    was_open = outcome.facts.get(("open", door.number))
    shuts = was_open is True if isinstance(act, ZoneCloses) else isinstance(act, ZoneTrips) and was_open is False
    return shuts and getattr(act, "zone", None) == door.number and not outcome.is_so("bypassed", door.number)


def _leaves(home: AreaNumber, before: Control, act: Act, outcome: EventOutcome) -> bool:
    """Return whether somebody arms away, all being quiet and the area off, and the exit time begins."""
    if not (isinstance(act, Arm) and act.area == home and act.mode is Mode.AWAY and quiet(before)):
        return False
    now = outcome.control.area(home)
    return before.area(home).phase is Phase.REST and now.phase is Phase.EXIT and now.mode is Mode.AWAY


def _is_over(home: AreaNumber, before: Control, outcome: EventOutcome) -> bool:
    """Return whether the exit time is over with this."""
    return before.area(home).phase is Phase.EXIT and outcome.control.area(home).phase is not Phase.EXIT


def _walking(way: list[ZoneSetup]) -> Judge:
    """Return the judge of what belongs to the walk, or is only time that passes."""
    numbers = {zone.number for zone in way}

    def judge(_before: Control, act: Act, _outcome: EventOutcome) -> bool:
        walks = isinstance(act, ZoneOpens | ZoneCloses | ZoneTrips) and act.zone in numbers
        return walks or isinstance(act, Expires)

    return judge


def _named(way: list[ZoneSetup]) -> tuple[tuple[ZoneNumber, ...], frozenset[AreaNumber]]:
    areas = frozenset[AreaNumber]().union(*(zone.areas for zone in way))
    return tuple(sorted({zone.number for zone in way})), areas


def _sort(what: str, numbers: tuple[ZoneNumber, ...], door: ZoneSetup) -> str:
    """Return what is promised of a walk but for its name; which of its zones is the door makes a difference."""
    return f"route {what}, door {numbers.index(door.number)}"


def _by(seconds: int) -> str:
    return f"within {span(seconds)}" if seconds else "at once"

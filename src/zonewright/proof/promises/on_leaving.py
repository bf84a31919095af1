"""What a panel promises whoever leaves: a way out left open is warned of, staying armed stay is said, and so on.

Rules of this file:
1. Each is judged in the very step in which the exit time ends, or in which somebody opens a door on the way out.
2. What takes two areas at once is tried in every state of the two, since a slice keeps one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

from zonewright.behaviour.events import DisplayLine, Expires, Shown, Timer, TimerKind, ZoneOpens, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import AreaState, Control, Door, Phase
from zonewright.behaviour.step import power_up, step
from zonewright.panel.behaviours import ARMED, Mode
from zonewright.proof.promises.by_zones import nobody_sets
from zonewright.proof.promises.judges import calls, left_open, shows, some_is
from zonewright.proof.promises.promise import Condition, Outright, OutrightVerdict, Promise, about, where
from zonewright.proof.promises.provisos import Proviso, in_earnest, in_order
from zonewright.proof.prover.facts import places
from zonewright.proof.prover.observers import Invariant
from zonewright.proof.prover.outcome import PERSON, EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.words.telling import listed


def on_leaving(setup: Setup, area: AreaNumber) -> Iterator[Promise]:
    """Give what is promised at the end of an area's exit time."""
    doors = setup.exit_doors(area)
    if not doors or not setup.settings.exit_time:
        return
    if setup.settings.exit_error:
        yield _warned(setup, area, doors)
    if setup.settings.unvacated_stay and not setup.settings.completing_act:
        yield _stay_is_said(setup, area)
        for other in setup.areas:
            if other != area and setup.exit_doors(other):
                yield from _left_too(setup, area, other)


def exit_time_ends(setup: Setup, area: AreaNumber) -> Condition:
    """Nobody armed it before, by a final door."""
    cannot = [nobody_sets(setup, door, ARMED) for door in setup.exit_doors(area)]
    return Condition("the exit time ends", lambda _b, act, _o: act == _end(area), next(iter(cannot), ""))


def _end(area: AreaNumber) -> Expires:
    return Expires(Timer(TimerKind.EXIT, area))


def _warned(setup: Setup, area: AreaNumber, doors: Sequence[ZoneSetup]) -> Promise:
    loud = setup.settings.siren_time > 0
    ends = exit_time_ends(setup, area)

    def left(outcome: EventOutcome) -> list[ZoneSetup]:
        return [door for door in left_open(outcome, doors) if not _still_free(outcome, door)]

    stands = Condition("with a way out open and in use", lambda _b, _a, out: bool(left(out)))
    premise = about(ends, stands)

    def unwarned(before: Control, act: Act, outcome: EventOutcome) -> bool:
        not_set = Shown(DisplayLine.NOT_SET, area=area) in outcome.outputs
        warned = {door.number for door in doors if shows(outcome, DisplayLine.EXIT_ERROR, door)}
        return (
            premise(before, act, outcome)
            and not not_set
            and any(door.number not in warned or (loud and not calls(outcome, door)) for door in left(outcome))
        )

    shared = any(len(door.areas) > 1 for door in doors)
    guarded = ", its other areas armed before," if shared else ""
    here = where(setup, frozenset({area}))
    says = f"a way out left open{guarded} at the end of the exit time is warned of at once{here}"
    return Promise(
        "leaving",
        "left open",
        says,
        (),
        frozenset({area}),
        Invariant(unwarned),
        premise,
        acts=(_end(area),),
        provisos=in_order(each for door in doors for each in in_earnest(setup, door) if each is not Proviso.SHUT),
        spoken_of=tuple(door.number for door in doors),
        looks_at=tuple(door.number for door in doors),
        consists_of=tuple(_warned(setup, area, [door]) for door in doors) if len(doors) > 1 else (),
    )


def _still_free(outcome: EventOutcome, door: ZoneSetup) -> bool:
    """Return whether somebody is leaving another area of a shared door: the end of that exit time sees to it."""
    return some_is(outcome.control, outcome, door.areas, places(None, frozenset({Phase.EXIT})))


def _stay_is_said(setup: Setup, area: AreaNumber) -> Promise:
    ends = exit_time_ends(setup, area)
    said = Shown(DisplayLine.NOBODY_LEFT, area=area)
    stays = Condition(
        "and it isn't armed away though it was asked for",
        lambda before, _a, out: before.area(area).mode is Mode.AWAY and out.control.area(area).mode is not Mode.AWAY,
    )
    premise = about(ends, stays)

    def unsaid(before: Control, act: Act, outcome: EventOutcome) -> bool:
        stay = outcome.control.area(area).mode is Mode.STAY
        return premise(before, act, outcome) and not (stay and said in outcome.outputs)

    says = (
        "set away at a keypad, and with no way out opened or shut in the exit time or open at its end, it is armed "
        f"stay and says so{where(setup, frozenset({area}))}"
    )
    return Promise(
        "leaving", "nobody left", says, (), frozenset({area}), Invariant(unsaid), premise, acts=(_end(area),)
    )


def _left_too(setup: Setup, area: AreaNumber, other: AreaNumber) -> Iterator[Promise]:
    """Who armed both with one code and opens a door of one has left the other, too: that one isn't armed stay."""
    doors = [door for door in setup.exit_doors(area) if other not in door.areas]
    if not doors:
        return
    stays = [door.label for door in doors if not all(_marks(setup, door, both) for both in _leaving(area, other))]
    why = "every door tried in every state of the two exit times"
    outright = (
        Outright(OutrightVerdict.KEPT, why)
        if not stays
        else Outright(OutrightVerdict.BROKEN, f"not by {listed(stays)}")
    )
    if setup.acts is not None and not set(setup.acts.of(area).coded) & set(setup.acts.of(other).coded):
        outright = Outright(OutrightVerdict.IDLE, "nobody's code is good for both")
    says = (
        f"who begins the exit times of area {area} and area {other} with one code, nobody else arming either, and "
        f"then, while both run, leaves by a door of area {area} that was shut and is in use has left both"
    )
    yield Promise("leaving", f"left too, area {other}", says, (), frozenset({area, other}), outright=outright)


def _leaving(area: AreaNumber, other: AreaNumber) -> Iterator[tuple[AreaState, AreaState]]:
    """Give every state of the exit times of two areas that one person armed, the second one at a keypad."""
    for mode, its, door, again, keypad in product(sorted(ARMED, key=str), ARMED, Door, (False, True), (False, True)):
        state = AreaState(area, mode, Phase.EXIT, PERSON, door, restarted=again, by_keypad=keypad)
        yield state, AreaState(other, its, Phase.EXIT, PERSON, by_keypad=True)


def _marks(setup: Setup, door: ZoneSetup, both: tuple[AreaState, AreaState]) -> bool:
    """Return whether a door that opens counts as used for the second of two areas."""
    before = power_up(setup).control
    states = {state.number: state for state in both}
    here = tuple(states.get(area.number, area) for area in before.areas)
    running = before.running | {Timer(TimerKind.EXIT, number) for number in states}
    before = replace(before, areas=here, running=running)
    events = (ZoneOpens(door.number), ZoneTrips(door.number))
    return all(step(setup, before, each).control.area(both[1].number).door is not Door.UNUSED for each in events)

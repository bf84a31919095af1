"""Proofs held to plainer ways of finding out: counting seconds, and walking about."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from tests.behaviour.house import CP01, house, with_settings, zone
from tests.behaviour.ticks import count
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    CheckIn,
    Disarm,
    Event,
    Means,
    Message,
    Output,
    QuickExit,
    Shown,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.explore import Cover, Watched, explore
from zonewright.behaviour.observers import Invariant, never
from zonewright.behaviour.properties import Route, promises
from zonewright.behaviour.prove import prove
from zonewright.behaviour.refine import Result
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.slices import PERSON, Act, Slice, hush, together
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import Mode


def some_setup(chance: random.Random, zones: int = 3) -> Setup:
    """A small panel with odd, short times."""
    kinds = ("entry-door", "perimeter", "interior-follower", "interior", "fire", "notice", "environment", "holdup")
    made = [
        replace(
            zone(number + 1, chance.choice(kinds)),
            entry_s=chance.choice((2, 3, 4)),
            chime=chance.choice(("none", "spoken")),
        )
        for number in range(chance.randint(1, zones))
    ]
    made = [replace(each, message_waits=each.behaviour.abort and chance.random() < 0.7) for each in made]
    settings = replace(
        CP01,
        exit_time=chance.choice((0, 2, 3)),
        exit_restart=chance.random() < 0.5,
        exit_error=chance.random() < 0.5,
        unvacated_stay=chance.random() < 0.3,
        forced_arming=chance.random() < 0.5,
        abort_window=chance.choice((0, 2, 3)),
        cancel_window=0,
        swinger_limit=chance.choice((0, 1, 2)),
        siren_time=chance.choice((0, 3, 5)),
        supervision_window=0,
    )
    return house(*made, settings=settings)


def given_events(setup: Setup) -> list[Event]:
    inputs: list[Event] = []
    for one in setup.zones:
        inputs += [ZoneOpens(one.number), ZoneCloses(one.number), ZoneTrips(one.number)]
        inputs += [TroubleBegins(one.number, Trouble.TAMPER), TroubleEnds(one.number, Trouble.TAMPER)]
        inputs += [Bypass(one.number, PERSON), CheckIn(one.number)]
    for area in setup.areas:
        inputs += [Disarm(area, PERSON), QuickExit(area, PERSON)]
        inputs += [Arm(area, mode, PERSON, means) for mode in Mode for means in Means]
    return inputs


def test_a_walk_of_the_whole_panel_never_leaves_the_cover() -> None:
    for seed in range(80):
        chance = random.Random(seed)
        setup = some_setup(chance, 4)
        (areas,) = together(setup)
        part = Slice(setup, areas)
        cover = set(Cover(part).controls)
        panel = Clockwork(setup)
        inputs = given_events(setup)
        for _ in range(60):
            if chance.random() < 0.3 and panel.due:
                panel.to_next()
            else:
                panel.advance(panel.now + chance.choice((0, 0, 1, 2, 3)))
                panel.give(chance.choice(inputs))
            assert part.seen(panel.control) in cover, seed


class Plain(Slice):
    """A whole panel with fewer things that may happen, so that its seconds can be counted."""

    def inputs(self) -> Iterator[Act]:
        for area in sorted(self.areas):
            yield Arm(area, Mode.AWAY, PERSON, Means.REMOTE)
            yield Arm(area, Mode.STAY, PERSON, Means.REMOTE)
            yield Disarm(area, PERSON)
        for one in self.zones:
            yield ZoneOpens(one.number)
            yield ZoneCloses(one.number)
        for one in self.zones[:1]:
            yield TroubleBegins(one.number, Trouble.TAMPER)


def short(setup: Setup) -> Setup:
    """The same panel without counts and with times of a few seconds."""
    settings = setup.settings
    return with_settings(
        setup,
        swinger_limit=0,
        exit_time=min(2, settings.exit_time),
        abort_window=min(2, settings.abort_window),
        siren_time=min(3, settings.siren_time),
    )


def test_sets_of_times_reach_the_controls_that_counting_seconds_reaches() -> None:
    every = frozenset(Timer(kind, number) for kind in TimerKind for number in (0, 1, 2))
    for seed in range(12):
        setup = short(some_setup(random.Random(seed), 2))
        whole = Plain(setup, frozenset(setup.areas), None)
        counted, _ = count(whole, Invariant(never), begins_anywhere=False)
        found = explore(Watched(whole, Invariant(never)), [whole.first()], every, lambda seconds: (seconds, seconds))
        assert counted == found.reached | {whole.first()}, seed


def test_what_counting_seconds_breaks_is_never_said_to_hold() -> None:
    """And what is said to fail breaks there too, or needs an event that isn't counted here."""
    settled = 0
    for seed in range(100):
        setup = short(some_setup(random.Random(seed), 2 if seed % 5 == 0 else 1))
        routes = tuple(Route("in", one.number, ()) for one in setup.zones if one.behaviour.exit_door)
        asked = [each for each in promises(setup, routes) if not each.wants]
        whole = Plain(setup, frozenset(setup.areas), None)
        for verdict in prove(setup, asked):
            _, bad = count(whole, verdict.promise.observer, begins_anywhere=verdict.promise.timed)
            result = verdict.settled.result
            assert not (bad and result in (Result.HOLDS, Result.EMPTY)), (seed, verdict.promise.says)
            assert result is not Result.FAILS or verdict.settled.timeline, (seed, verdict.promise.says)
            settled += result is not Result.UNDECIDED
    assert settled > 100


def told(outputs: tuple[Output, ...]) -> list[Output]:
    """What a slice tells of: no line of the display, nothing about troubles and bypasses."""
    small = {*(trouble.value for trouble in Trouble), "zone bypass"}
    return [
        out for out in outputs if not isinstance(out, Shown) and not (isinstance(out, Message) and out.name in small)
    ]


def test_without_its_sounder_the_panel_sends_the_same() -> None:
    for seed in range(60):
        chance = random.Random(seed)
        setup = some_setup(chance, 4)
        loud, mute = Clockwork(setup), Clockwork(hush(setup))
        inputs = given_events(setup)
        for _ in range(80):
            later = loud.now + chance.choice((0, 1, 2))
            event = chance.choice(inputs)
            sent = []
            for panel in (loud, mute):
                entries = [*panel.advance(later), panel.give(event)]
                sent.append([(each.at, out) for each in entries for out in each.outputs if isinstance(out, Message)])
            assert sent[0] == sent[1], seed
            assert loud.control.areas == mute.control.areas
            assert loud.control.waiting == mute.control.waiting


def test_troubles_and_bypasses_of_devices_that_do_not_speak_change_nothing_that_a_slice_tells() -> None:
    for seed in range(60):
        chance = random.Random(seed)
        setup = some_setup(chance, 4)
        panel = Clockwork(setup)
        inputs = given_events(setup)
        for _ in range(60):
            panel.advance(panel.now + chance.choice((0, 1, 2)))
            event = chance.choice(inputs)
            speaking = getattr(event, "zone", None)
            control = panel.control
            silent = replace(
                control,
                troubles=frozenset(pair for pair in control.troubles if pair[0] == speaking),
                open=frozenset(n for n in control.open if n == speaking or n not in control.bypassed),
                bypassed=frozenset(n for n in control.bypassed if n == speaking),
            )
            one, two = step(setup, control, event), step(setup, silent, event)
            assert told(one.outputs) == told(two.outputs), (seed, event)
            assert one.control.areas == two.control.areas
            assert (one.control.causes, one.control.waiting) == (two.control.causes, two.control.waiting)
            panel.give(event)

"""Promises that are settled together, by several processes, come out as each does by itself."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from tests.behaviour.house import house, zone
from tests.proof.test_prove_inside import SHARED, some_setup
from zonewright.behaviour.events import ZoneOpens
from zonewright.behaviour.setup import Setup
from zonewright.desk import cores, verdicts
from zonewright.desk.verdicts import settle_all
from zonewright.proof.likeness import Likeness
from zonewright.proof.promises.promise import Promise, Window, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Effort, Verdict, looked_at, prove
from zonewright.proof.prover.observers import GoodWithin
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.record import ZoneNumber

ROW = house(
    zone(1, "entry-door", "first door"),
    zone(2, "entry-door", "second door", areas=(2,)),
    zone(3, "entry-door", "third door", areas=(3,)),
    zone(4, "interior", "first passage", areas=(1, 2)),
    zone(5, "interior", "second passage", areas=(2, 3)),
    zone(6, "interior", "third passage", areas=(3, 4)),
    zone(7, "entry-door", "fourth door", areas=(4,)),
)


@cache
def alone(seed: int) -> tuple[Setup, dict[Promise, tuple[VerdictKind, bool]]]:
    """Each promise settled by itself: what became of it, and whether it is shown."""
    setup = some_setup(random.Random(seed), 4, SHARED)
    found = {each: next(iter(prove(setup, [each]))).settled for each in promises(setup)}
    return setup, {each: (settled.result, bool(settled.timeline)) for each, settled in found.items()}


@pytest.mark.deep
@pytest.mark.parametrize("processes", [1, 2])
def test_a_panel_of_shared_areas_keeps_alone_what_it_keeps_together(
    processes: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cores, "available", lambda: processes)
    monkeypatch.setattr(verdicts, "WORTH_SHARING", 2)
    for seed in range(4):
        setup, expected = alone(seed)
        effort = Effort()
        found = [*settle_all(setup, [*expected], Window(), effort)]
        assert {each.promise: (each.settled.result, bool(each.settled.timeline)) for each in found} == expected, seed
        assert effort.controls


def test_each_verdict_is_handed_over_as_it_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """No process that has found one finds another before it has come."""
    came = multiprocessing.get_context("fork").Event()

    def one_by_one(*asked: Any) -> Iterator[Verdict]:
        for n, verdict in enumerate(prove(*asked)):
            assert n == 0 or multiprocessing.parent_process() is None or came.wait(20)
            yield verdict

    monkeypatch.setattr(cores, "available", lambda: 2)
    monkeypatch.setattr(verdicts, "prove", one_by_one)
    asked = [each for each in promises(ROW) if each.outright is None]
    found = []
    for verdict in settle_all(ROW, asked, Window()):
        found.append(verdict.promise)
        came.set()
    assert set(found) == set(asked)


def test_a_mistake_of_another_process_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    def mistaken(*asked: Any) -> Iterator[Verdict]:
        if multiprocessing.parent_process() is not None:
            raise ZeroDivisionError
        yield from prove(*asked)

    monkeypatch.setattr(cores, "available", lambda: 2)
    monkeypatch.setattr(verdicts, "prove", mistaken)
    with pytest.raises(AssertionError, match="ZeroDivisionError"):
        list(settle_all(ROW, promises(ROW), Window()))


def like(setup: Setup, aspect: str, number: int) -> object:
    (promise,) = [each for each in promises(setup) if each.aspect == aspect and each.zones == (number,)]
    return Likeness(setup, looked_at(setup, promise)).of(promise)


def test_areas_that_share_alike_are_alike_and_others_are_not() -> None:
    """The second and the third shop share a passage with either neighbour; the first and the last with one."""
    assert like(ROW, "opening sounds", 2) == like(ROW, "opening sounds", 3)
    assert like(ROW, "opening sounds", 1) != like(ROW, "opening sounds", 2)
    assert like(ROW, "opening sounds", 1) != like(ROW, "opening sounds", 7)  # whose passage has another home
    slower = replace(ROW, zones=tuple(replace(each, entry_s=45) if each.number == 3 else each for each in ROW.zones))
    assert like(slower, "opening sounds", 2) != like(slower, "opening sounds", 3)


@pytest.mark.parametrize("processes", [1, 2])
def test_what_fails_alike_is_shown_with_its_own_zones(processes: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cores, "available", lambda: processes)
    monkeypatch.setattr(verdicts, "WORTH_SHARING", 2)
    asked = [each for each in promises(ROW) if each.aspect == "opening sounds" and each.zones in ((2,), (3,))]
    hasty = []
    for each in asked:
        assert isinstance(each.observer, GoodWithin)
        hasty.append(replace(each, observer=replace(each.observer, within=each.observer.within - 5)))
    found = {each.promise.zones[0]: each.settled for each in settle_all(ROW, hasty, Window())}
    assert {number: failed.result for number, failed in found.items()} == {2: VerdictKind.FAILS, 3: VerdictKind.FAILS}
    for number, failed in found.items():
        opened = {entry.event.zone for entry in failed.timeline if isinstance(entry.event, ZoneOpens)}
        assert number in opened


def test_promises_whose_names_run_together_are_settled_each_for_itself() -> None:
    """Two routes called nearly alike through the same zones of two areas: each by another door."""
    routes = [
        ZoneRoute("way in", ZoneNumber(1), (ZoneNumber(2),)),
        ZoneRoute("way-in", ZoneNumber(2), (ZoneNumber(1),)),
    ]
    one, other = (each for each in promises(ROW, routes) if each.aspect.endswith("in time"))
    assert one.name == other.name
    alike = Likeness(ROW, looked_at(ROW, one))
    assert alike.alone
    assert alike.of(one) != alike.of(other)


def test_a_copy_that_the_system_ends_leaves_its_share_undecided_and_the_others_settled(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(cores, "available", lambda: 2)
    monkeypatch.setattr(verdicts, "WORTH_SHARING", 2)
    here = os.getpid()

    def killed(setup: Setup, some: list[Promise], window: Window, effort: Effort) -> Iterator[Verdict]:
        if os.getpid() != here and any(1 in looked_at(setup, each) for each in some):
            os.kill(os.getpid(), signal.SIGKILL)
        return prove(setup, some, window, effort)

    monkeypatch.setattr(verdicts, "prove", killed)
    asked = [each for each in promises(ROW) if each.outright is None]
    found = {each.promise: each.settled for each in settle_all(ROW, asked, Window())}
    assert set(found) == set(asked)
    for promise, settled in found.items():
        assert (settled.why == verdicts.LOST) == (1 in looked_at(ROW, promise)), promise.name


def raising(error: Exception) -> Callable[[Setup, list[Promise], Window, Effort], Iterator[Verdict]]:
    """Return what proves here, and in a copy of this process ends with an error where area 1 is looked at."""
    here = os.getpid()

    def proved(setup: Setup, some: list[Promise], window: Window, effort: Effort) -> Iterator[Verdict]:
        if os.getpid() != here and any(1 in looked_at(setup, each) for each in some):
            raise error
        return prove(setup, some, window, effort)

    return proved


@pytest.mark.parametrize("error", [MemoryError(), SystemError("error return without exception set")])
def test_a_copy_without_memory_leaves_its_share_undecided(error: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cores, "available", lambda: 2)
    monkeypatch.setattr(verdicts, "WORTH_SHARING", 2)
    monkeypatch.setattr(verdicts, "prove", raising(error))
    asked = [each for each in promises(ROW) if each.outright is None]
    found = {each.promise: each.settled for each in settle_all(ROW, asked, Window())}
    for promise in asked:
        assert (found[promise].why == verdicts.LOST) == (1 in looked_at(ROW, promise)), promise.name


def test_copies_that_end_at_once_leave_each_share_undecided(monkeypatch: pytest.MonkeyPatch) -> None:
    def ends(*_: object) -> None:
        os._exit(1)

    monkeypatch.setattr(verdicts, "_settle", ends)
    job = verdicts._Job(ROW, promises(ROW), Window())
    found = dict(verdicts._handed_over(job, [[3], [1, 2]], 2, Effort()))
    assert {place: each.why for place, each in found.items()} == dict.fromkeys((1, 2, 3), verdicts.LOST)
    assert not multiprocessing.active_children()


def test_whoever_stops_listening_leaves_no_copy() -> None:
    asked = [each for each in promises(ROW) if each.outright is None]
    job = verdicts._Job(ROW, asked, Window())
    found = verdicts._handed_over(job, [[*range(0, len(asked), 2)], [*range(1, len(asked), 2)]], 2, Effort())
    next(found)
    found.close()  # type: ignore[attr-defined]  # it is a generator
    assert not multiprocessing.active_children()


def test_a_copy_ends_where_nobody_hears_it_any_more() -> None:
    """Who began it was killed outright: it would go on with gigabytes until its share is done."""
    asked = [each for each in promises(ROW) if each.outright is None]
    hears, tells = multiprocessing.Pipe(duplex=False)
    copy = cores.begun(verdicts._settle, verdicts._Job(ROW, asked, Window()), [*range(len(asked))], hears, tells)
    hears.close()
    tells.close()
    copy.join(60)
    assert copy.exitcode == 0


def test_two_sites_in_two_threads_are_each_proved_as_themselves(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cores, "available", lambda: 2)
    monkeypatch.setattr(verdicts, "WORTH_SHARING", 2)
    sites = [some_setup(random.Random(seed), 4, SHARED) for seed in (1, 2)]
    together = threading.Barrier(2)

    def at_once(setup: Setup) -> list[VerdictKind]:
        together.wait()
        return in_order(setup)

    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(at_once, sites))
    assert found == [in_order(setup) for setup in sites]


def in_order(setup: Setup) -> list[VerdictKind]:
    """What becomes of each promise, in the order in which they are made."""
    asked = list(promises(setup))
    found = {each.promise: each.settled.result for each in settle_all(setup, asked, Window())}
    return [found[each] for each in asked]

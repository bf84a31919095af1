"""Sets of clock readings: closed in one pass, and exact on a textbook problem."""

from __future__ import annotations

import random
from collections import deque
from itertools import product

import pytest

from zonewright.proof.prover.schedule import ChainMoment, Clash, schedule
from zonewright.proof.prover.timeset import Bounds, TimeSet


def closure(bounds: Bounds) -> Bounds:
    """All-pairs shortest ways (Floyd and Warshall, textbook)."""
    rows = [list(row) for row in bounds]
    for k, i, j in product(range(len(rows)), repeat=3):
        rows[i][j] = min(rows[i][j], rows[i][k] + rows[k][j])
    return tuple(tuple(row) for row in rows)


def walk(chance: random.Random, steps: int, loose: int) -> TimeSet:
    """A set that some starts, ends and waits lead to."""
    times = TimeSet()
    for _ in range(steps):
        act = chance.randrange(3)
        if act == 0 or not times.clocks:
            high = chance.randint(1, 9)
            times = times.start(chance.choice("abcde"), max(1, high - chance.randint(0, loose)), high)
        elif act == 1:
            times = times.drop(chance.choice(times.clocks))
        else:
            clock = chance.choice(times.clocks)
            times = (times.at_expiry(clock) or times.drop(clock)).drop(clock)
        times = times.elapse()
    return times


def test_clocks_of_any_age_hold_every_reading_of_theirs() -> None:
    for seed in range(300):
        chance = random.Random(seed)
        times = walk(chance, chance.randint(1, 14), 3)
        limits = dict(zip(times.clocks, times.limits, strict=True))
        free = TimeSet.of_any_age((clock, *limits[clock]) for clock in sorted(limits, key=str, reverse=True))
        assert free.bounds == closure(free.bounds)
        assert free.elapse() == free
        assert free.holds(times)
        assert times.holds(times)
        assert times.holds(free) == (times == free)


@pytest.mark.parametrize("loose", [0, 3])
def test_every_operation_closes_in_one_pass(loose: int) -> None:
    for seed in range(1500):
        chance = random.Random(seed)
        times = walk(chance, chance.randint(1, 14), loose)
        assert times.bounds == closure(times.bounds)
        for clock in times.clocks:
            due = times.at_expiry(clock)
            assert due is None or due.bounds == closure(due.bounds)
        high = (0, *(limit[1] for limit in times.limits))
        free = [[9999 if j == 0 else bound for j, bound in enumerate(row)] for row in times.bounds]
        for i in range(len(high)):
            free[i][0] = min(free[i][0], high[i]) if i else 0
        assert times.elapse().bounds == closure(tuple(tuple(row) for row in free))


def fischer(processes: int, write: int, wait: int) -> tuple[bool, int]:
    """Explore Fischer's protocol: whether two are ever inside at once, and how many sets were kept.

    Each process: if the lock is free it tries, and writes its name within `write`; then waits `wait`, and enters if
    the lock still bears its name. From memory: Lamport 1987.
    """
    start: tuple[tuple[str, ...], int] = (("idle",) * processes, 0)
    kept: dict[tuple[tuple[str, ...], int, object], list[TimeSet]] = {(*start, ()): [TimeSet()]}
    todo = deque([(*start, TimeSet())])
    clash = False

    def arrive(states: tuple[str, ...], lock: int, times: TimeSet) -> None:
        times = times.elapse()
        stored = kept.setdefault((states, lock, times.clocks), [])
        if not any(one.holds(times) for one in stored):
            stored.append(times)
            todo.append((states, lock, times))

    while todo:
        states, lock, times = todo.popleft()
        clash |= states.count("in") > 1
        for p in range(processes):

            def to(state: str, p: int = p, states: tuple[str, ...] = states) -> tuple[str, ...]:
                return (*states[:p], state, *states[p + 1 :])

            name = str(p)
            match states[p]:
                case "idle" if lock == 0:
                    arrive(to("tries"), lock, times.start(name, write, write))
                case "tries":
                    arrive(to("waits"), p + 1, times.drop(name).start(name, wait, wait))
                    due = times.at_expiry(name)
                    if due is not None:
                        arrive(to("waits"), p + 1, due.drop(name).start(name, wait, wait))
                case "waits":
                    due = times.at_expiry(name)
                    if due is not None:
                        arrive(to("in" if lock == p + 1 else "idle"), lock, due.drop(name))
                case "in":
                    arrive(to("idle"), 0, times)
                case _:
                    pass  # it waits for the lock
    return clash, sum(map(len, kept.values()))


@pytest.mark.parametrize(
    ("processes", "write", "wait", "breaks"),
    [(2, 1, 2, False), (3, 1, 2, False), (2, 1, 1, True), (2, 2, 1, True), (3, 2, 3, False)],
)
def test_mutual_exclusion_holds_exactly_when_the_wait_is_longer(
    processes: int, write: int, wait: int, breaks: bool
) -> None:
    assert fischer(processes, write, wait)[0] is breaks


def test_times_are_the_earliest_and_acts_stand_apart() -> None:
    chain = [
        ChainMoment((("exit", 60, 60),), by_people=True),
        ChainMoment(expires="exit"),
        ChainMoment((("entry", 30, 30),), by_people=True),
        ChainMoment(by_people=True),
        ChainMoment(expires="entry"),
    ]
    assert schedule(chain) == (0, 60, 62, 64, 92)


def test_an_act_stands_in_the_second_of_a_timer_where_it_must() -> None:
    chain = [
        ChainMoment((("exit", 60, 60), ("siren", 60, 60)), by_people=True),
        ChainMoment(expires="exit"),
        ChainMoment((("entry", 30, 30),), by_people=True),
        ChainMoment(expires="siren"),
        ChainMoment(by_people=True),
    ]
    assert schedule(chain) == (0, 60, 60, 60, 62)


def test_a_clash_names_only_timers_that_matter() -> None:
    chain = [
        ChainMoment((("short", 5, 5), ("long", 9, 9), ("other", 7, 7))),
        ChainMoment(expires="long"),
        ChainMoment(expires="short"),
        ChainMoment(expires="other"),
    ]
    found = schedule(chain)
    assert isinstance(found, Clash)
    assert found.timers in ({"short", "long"}, {"other", "long"})


def test_a_timer_with_a_tolerance_may_end_early_or_late() -> None:
    chain = [ChainMoment((("a", 9, 11), ("b", 10, 12))), ChainMoment(expires="b"), ChainMoment(expires="a")]
    assert schedule(chain) == (0, 10, 10)
    assert isinstance(schedule([ChainMoment((("a", 9, 9), ("b", 10, 12))), *chain[1:]]), Clash)

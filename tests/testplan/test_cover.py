"""The cover is the cheapest there is, its reductions keep an optimum, and a second solver agrees."""

from __future__ import annotations

import random
from collections.abc import Hashable
from importlib import import_module

import pytest

from zonewright.testplan.cover import CAPACITY, Column, cheapest, needed, useful

SETUPS: dict[Hashable, int] = {"away": 90, "stay": 70}


def a_case(rng: random.Random, columns: int, rows: int) -> tuple[list[int], list[float], list[Column]]:
    made = []
    for _ in range(columns):
        group = rng.choice([None, "away", "stay"])
        ends = group is not None and rng.random() < 0.3
        first = group is not None and rng.random() < 0.2
        shows = sum(1 << n for n in range(rows) if rng.random() < 0.3)
        made.append(Column(shows, rng.randint(1, 60), group, ends, first))
    sets = [sum(1 << place for place, column in enumerate(made) if column.shows >> row & 1) for row in range(rows)]
    return sets, [float(rng.randint(1, 3)) for _ in range(rows)], made


def costs_of(columns: list[Column]) -> list[int]:
    """Return what each subset of the columns costs [s]; a subset is its bits, each one column more than another."""
    size = 1 << len(columns)
    costs = [0] * size
    for n, column in enumerate(columns):
        for subset in range(1 << n):
            costs[subset | 1 << n] = costs[subset] + column.cost
    for group, setup in SETUPS.items():
        taken, ends, firsts = [0] * size, [0] * size, [0] * size
        for n, column in enumerate(columns):
            mine = column.group == group
            room = (CAPACITY if column.first and column.ends else 1) if mine else 0
            for subset in range(1 << n):
                more = subset | 1 << n
                taken[more] = taken[subset] + room
                ends[more] = ends[subset] + (mine and column.ends)
                firsts[more] = firsts[subset] + (mine and column.first)
        for subset in range(size):
            costs[subset] += setup * max(-(-taken[subset] // CAPACITY), ends[subset], firsts[subset])
    return costs


@pytest.mark.parametrize("seed", range(8))
def test_it_is_the_cheapest_of_all_subsets(seed: int) -> None:
    rng = random.Random(seed)
    rows, weights, columns = a_case(rng, 15 if seed < 4 else rng.randint(5, 14), rng.randint(4, 12))
    found = cheapest(rows, weights, columns, SETUPS)
    costs, picked = costs_of(columns), _bits(found.columns)
    wanted = [row for row in rows if row]
    assert found.proven
    assert found.gap == 0
    assert found.cost == min(cost for subset, cost in enumerate(costs) if all(row & subset for row in wanted))
    assert found.cost == costs[picked]
    assert all(row & picked for row in wanted)


@pytest.mark.parametrize("seed", range(4))
def test_within_a_budget_it_shows_most_of_all_subsets(seed: int) -> None:
    rng = random.Random(100 + seed)
    rows, weights, columns = a_case(rng, 15 if seed < 2 else rng.randint(5, 14), rng.randint(4, 10))
    budget = rng.randint(60, 260)
    found = cheapest(rows, weights, columns, SETUPS, budget)

    def shown(subset: int) -> float:
        return sum(weight for row, weight in zip(rows, weights, strict=True) if row & subset)

    within = [subset for subset, cost in enumerate(costs_of(columns)) if cost <= budget]
    assert found.shown == max(map(shown, within)) == shown(_bits(found.columns))
    assert found.cost <= budget


def test_a_row_that_holds_another_is_implied_and_a_column_inside_another_useless() -> None:
    assert needed([0b0011, 0b0111, 0b0100, 0b1100]) == (0b0100, 0b0011)
    columns = [Column(0b11, 5), Column(0b01, 5), Column(0b01, 4), Column(0b11, 9, "away"), Column(0b10, 5, ends=True)]
    assert useful(columns) == (0, 2)


def test_nothing_to_show_costs_nothing() -> None:
    assert cheapest([], [], [], SETUPS).columns == ()
    assert cheapest([0, 0], [1.0, 1.0], [Column(0, 3)], SETUPS).cost == 0


def test_a_second_solver_finds_the_same_cost() -> None:
    try:
        cp_model = import_module("ortools.sat.python.cp_model")
    except ImportError:
        pytest.skip(
            "OR-TOOLS ISN'T INSTALLED: no second solver looked (pip install -r requirements/solver.txt; CI does)"
        )
    for seed in range(20):
        rng = random.Random(1000 + seed)
        rows, weights, columns = a_case(rng, 40, 30)
        model = cp_model.CpModel()
        x = [model.new_bool_var(f"x{n}") for n in range(len(columns))]
        y = {group: model.new_int_var(0, len(columns), str(group)) for group in SETUPS}
        for row in rows:
            if row:
                model.add_bool_or([x[n] for n in range(len(columns)) if row >> n & 1])
        for group in SETUPS:
            mine = [n for n, column in enumerate(columns) if column.group == group]
            whole = {n: CAPACITY if columns[n].first and columns[n].ends else 1 for n in mine}
            model.add(sum(whole[n] * x[n] for n in mine) <= CAPACITY * y[group])
            model.add(sum(x[n] for n in mine if columns[n].ends) <= y[group])
            model.add(sum(x[n] for n in mine if columns[n].first) <= y[group])
        model.minimize(
            sum(column.cost * x[n] for n, column in enumerate(columns)) + sum(SETUPS[each] * y[each] for each in SETUPS)
        )
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        assert solver.solve(model) == cp_model.OPTIMAL
        assert cheapest(rows, weights, columns, SETUPS).cost == round(solver.objective_value)


def _bits(picked: tuple[int, ...]) -> int:
    return sum(1 << place for place in picked)

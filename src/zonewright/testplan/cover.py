"""The quickest set of field tests under which every slip shows that any of them shows: a set cover, solved exactly.

What is chosen are tests, and how often the site is armed for them. For each way of arming, Y periods hold at most
`CAPACITY` tests each; a test that disarms ends its period. Least cost:

    sum of setup_m * Y_m + sum of cost_t * x_t     with   sum of x_t over the tests that show slip i >= 1
    sum of x_t of m <= CAPACITY * Y_m              sum of x_t of m that end the period <= Y_m
    sum of x_t of m that must come first <= Y_m

With a budget: the greatest weight of slips shown, the cost being a row. The formulation is the usual one of set
covering (a textbook matter) with the sharing of set-ups by counts; the solver is HiGHS, one thread.

Rules of this file:
1. It knows no panel: rows, columns, costs and groups are all it sees.
2. It reduces first, and every reduction keeps an optimum. What is reported as proven is the solver's bound.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

import highspy

CAPACITY = 10  # tests in one period at most; a choice
SOLVE_S = 4.0  # the solver stops then, and the gap is told


@dataclass(frozen=True, slots=True)
class Column:
    """One test as it may be chosen."""

    shows: int  # rows, one bit each
    cost: int  # [s]
    group: Hashable = None  # how the site is armed for it; None: not at all, and nothing is shared
    ends: bool = False  # whether it ends its period
    first: bool = False  # whether it must be the first of its period


@dataclass(frozen=True, slots=True)
class Chosen:
    """What was chosen."""

    columns: tuple[int, ...]  # places
    periods: dict[Hashable, int]  # group -> how often it is armed
    cost: int  # [s]
    bound: float  # no choice costs less [s]; with a budget, no choice shows more [weight]
    shown: float  # weight of the rows shown
    proven: bool

    @property
    def gap(self) -> float:
        """Return by which share it may be worse than the best, at most."""
        return 0.0 if self.proven or self.cost == 0 else max(0.0, (self.cost - self.bound) / self.cost)


def distinct(rows: Sequence[int], weights: Sequence[float]) -> dict[int, float]:
    """Return each row, a set of columns, once, with the weights of equal ones together."""
    merged: dict[int, float] = {}
    for row, weight in zip(rows, weights, strict=True):
        if row:
            merged[row] = merged.get(row, 0.0) + weight
    return merged


def needed(rows: Iterable[int]) -> tuple[int, ...]:
    """Return the rows that aren't implied: one that holds all columns of another is covered with it."""
    kept: list[int] = []
    by_low: dict[int, list[int]] = {}  # a kept row is inside a larger one only if its lowest column is
    for row in sorted(set(rows), key=int.bit_count):
        rest, implied = row, False
        while rest and not implied:
            low = rest & -rest
            implied = any(other & row == other for other in by_low.get(low, ()))
            rest ^= low
        if not implied:
            kept.append(row)
            by_low.setdefault(row & -row, []).append(row)
    return tuple(kept)


def useful(columns: Sequence[Column]) -> tuple[int, ...]:
    """Return the places of the columns that aren't useless: another shows as much, costs no more, and binds no more."""
    order = sorted(
        (place for place, column in enumerate(columns) if column.shows),
        key=lambda place: (-columns[place].shows.bit_count(), columns[place].cost, place),
    )
    kept: list[int] = []
    by_bit: dict[int, list[int]] = {}
    for place in order:
        column = columns[place]
        low = column.shows & -column.shows
        if any(_as_good(columns[other], column) for other in by_bit.get(low, ())):
            continue
        kept.append(place)
        rest = column.shows
        while rest:
            bit = rest & -rest
            by_bit.setdefault(bit, []).append(place)
            rest ^= bit
    return tuple(sorted(kept))


def _as_good(one: Column, other: Column) -> bool:
    binds_no_more = one.group is None or (
        one.group == other.group and one.ends <= other.ends and one.first <= other.first
    )
    return binds_no_more and one.cost <= other.cost and one.shows & other.shows == other.shows


def cheapest(
    rows: Sequence[int],
    weights: Sequence[float],
    columns: Sequence[Column],
    setups: dict[Hashable, int],
    budget: int | None = None,
    seconds: float = SOLVE_S,
) -> Chosen:
    """Return the cheapest choice that shows every row, or within a budget [s] the one that shows most.

    `rows` are sets of column places, one bit each; a row that no column shows is left out. `setups` is what arming
    costs for each group [s].
    """
    merged = distinct(rows, weights)
    wanted = needed(merged) if budget is None else tuple(merged)
    shows = [0] * len(columns)
    for bit, row in enumerate(wanted):
        for place in _places(row):
            shows[place] |= 1 << bit
    restricted = [
        Column(shows[place], column.cost, column.group, column.ends, column.first)
        for place, column in enumerate(columns)
    ]
    kept = useful(restricted)
    solved = _solve(wanted, [merged[row] for row in wanted], restricted, kept, setups, budget, seconds)
    picked, periods, bound, proven = solved
    cost = sum(columns[place].cost for place in picked) + sum(setups[group] * n for group, n in periods.items())
    union = sum(1 << place for place in picked)
    shown = sum(weight for row, weight in merged.items() if row & union)
    return Chosen(picked, periods, cost, bound, shown, proven)


def _solve(
    wanted: Sequence[int], weights: Sequence[float], columns: Sequence[Column], kept: Sequence[int],
    setups: dict[Hashable, int], budget: int | None, seconds: float,
) -> tuple[tuple[int, ...], dict[Hashable, int], float, bool]:  # fmt: skip
    """Hand it to the solver; return columns, periods, bound, and whether that is proven."""
    if not wanted or not kept:
        return (), {}, 0.0, True
    groups = list(dict.fromkeys(columns[place].group for place in kept if columns[place].group is not None))
    at = {place: n for n, place in enumerate(kept)}
    of_group = {group: len(kept) + n for n, group in enumerate(groups)}
    inf = highspy.kHighsInf
    solver = highspy._core._Highs()  # its Python wrapper greets on standard output before it can be asked not to
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("time_limit", seconds)
    solver.setOptionValue("mip_rel_gap", 0.0)
    costs = [columns[place].cost for place in kept] + [setups[group] for group in groups]
    for n, cost in enumerate(costs):
        solver.addVar(0, 1 if n < len(kept) else len(kept))
        solver.changeColCost(n, 0 if budget is not None else cost)
        solver.changeColIntegrality(n, highspy.HighsVarType.kInteger)
    for bit, row in enumerate(wanted):
        inside = [at[place] for place in _places(row) if place in at]
        if budget is None:
            solver.addRow(1, inf, len(inside), inside, [1.0] * len(inside))
        else:
            shown = len(costs) + bit
            solver.addVar(0, 1)
            solver.changeColCost(shown, -weights[bit])
            solver.addRow(0, inf, len(inside) + 1, [*inside, shown], [1.0] * len(inside) + [-1.0])
    for group, variable in of_group.items():
        mine = [place for place in kept if columns[place].group == group]
        alone = [CAPACITY if columns[place].first and columns[place].ends else 1 for place in mine]
        for places, factors, room in (
            (mine, alone, CAPACITY),
            ([place for place in mine if columns[place].ends], None, 1),
            ([place for place in mine if columns[place].first], None, 1),
        ):
            if places:
                values = [float(each) for each in (factors or [1] * len(places))]
                solver.addRow(-inf, 0, len(places) + 1, [*map(at.__getitem__, places), variable], [*values, -room])
    if budget is not None:
        solver.addRow(-inf, budget, len(costs), list(range(len(costs))), [float(cost) for cost in costs])
    solver.run()
    values = solver.getSolution().col_value
    proven = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    if not values or solver.getInfo().primal_solution_status != 2:
        return _greedy(wanted, columns, kept, of_group, budget)
    picked = tuple(place for place in kept if values[at[place]] > 0.5)
    periods = {group: round(values[n]) for group, n in of_group.items() if values[n] > 0.5}
    bound = solver.getInfo().mip_dual_bound
    return picked, periods, -bound if budget is not None else bound, proven


def _greedy(
    wanted: Sequence[int], columns: Sequence[Column], kept: Sequence[int], groups: Iterable[Hashable],
    budget: int | None,
) -> tuple[tuple[int, ...], dict[Hashable, int], float, bool]:  # fmt: skip
    """Take the column with most for its cost, again and again, each with a period of its own; nothing is proven."""
    left, picked, known = (1 << len(wanted)) - 1, list[int](), frozenset(groups)
    while left and budget is None:
        best = max(kept, key=lambda place: (columns[place].shows & left).bit_count() / (columns[place].cost + 1))
        if not columns[best].shows & left:
            break
        picked.append(best)
        left &= ~columns[best].shows
    periods = {group: sum(columns[place].group == group for place in picked) for group in known}
    return tuple(sorted(picked)), {group: n for group, n in periods.items() if n}, 0.0, False


def _places(row: int) -> Iterable[int]:
    while row:
        low = row & -row
        yield low.bit_length() - 1
        row ^= low

"""The test plan: the quickest walk found under which every slip shows that any field test shows.

Rules of this file:
1. The set cover is solved for prices; then its tests are packed, and what a packed period really shows is found by
   running it. A slip that got lost that way may not be counted on there: its test must come first in a period of its
   own for that, and the cover is solved again, until nothing is lost.
2. No plan can take less than the bound of the first solution, in which nothing hides anything.
3. After the last round what is still lost is tried by itself, and the gap tells what that costs.
4. A wrong panel that no candidate shows is compared with the right one (`distinguishing.py`), one of each sort; what
   shows it there is one more candidate.
5. A test that calls for help or sounds a danger is never chosen: a slip that only it would show is read back. Each
   device that does so is tried once for itself, after the walk and outside its sums (`trials`).
6. Stopped early, by the user or by the clock, the best plan that was run so far is told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from zonewright.fieldwork.acting import Handle, What
from zonewright.fieldwork.candidates import candidates
from zonewright.fieldwork.fieldtests import OFF, Arming, FieldTest, Sort
from zonewright.fieldwork.panel_tests import keypad
from zonewright.fieldwork.slipped import slips_of
from zonewright.fieldwork.ways import Ways
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.panel.behaviours import Mode
from zonewright.panel.programme import Thing
from zonewright.panel.resolve import Resolved
from zonewright.testplan.cover import CAPACITY, Chosen, Column, cheapest
from zonewright.testplan.distinguishing import Comparison, SearchEnd
from zonewright.testplan.killing import Bench, NotShownBecause, Row, Variant, places_of, variants
from zonewright.testplan.packing import Rehearsal, packed, prices, setup_s, tail_s
from zonewright.testplan.sorting_out import about, as_field_test, sort_of

WHYS = {
    SearchEnd.EQUAL: NotShownBecause.EQUAL,
    SearchEnd.INDECENT: NotShownBecause.INDECENT,
    SearchEnd.STOPWATCH: NotShownBecause.STOPWATCH,
    SearchEnd.UNKNOWN: NotShownBecause.UNPROVEN,
    SearchEnd.FOUND: NotShownBecause.UNPROVEN,
    None: NotShownBecause.UNPROVEN,
}
STATION_S = 180  # to have the account put on test, and taken off and confirmed (a choice)
ROUNDS, ROUNDS_IF_MANY, MANY = 4, 2, 1000  # of solving and running, at most; fewer for many candidates
TRIALS = (Sort.TRIP, Sort.PERSON, Sort.REMOTE)
TIGHTER = 2  # more of them to meet a budget


class Stage(StrEnum):
    """How far the work is."""

    RUNNING = "running wrong panels through field tests"
    COMPARING = "comparing wrong panels with the right one"
    CHOOSING = "choosing tests"


Progress = Callable[[Stage, int, int], None]


@dataclass(frozen=True, slots=True)
class Usual:
    """The usual practice, for comparison: each zone tripped once, armed away, what always warns while off."""

    tests: int
    seconds: int
    missed: int  # slips that some test of the candidates shows, and this doesn't


@dataclass(frozen=True, slots=True)
class TestPlan:
    """What is to be done, and what it promises."""

    __test__ = False  # no test of pytest's

    ground: SiteOnTest
    bench: Bench
    periods: tuple[Rehearsal, ...]
    trials: tuple[Rehearsal, ...]  # of what calls for help, each by itself
    station_s: int  # for the account, before and after [s]
    slips: int  # all single slips
    shown: tuple[Variant, ...]
    hidden: tuple[Variant, ...]  # a test would show them, but not in this plan
    unseen: tuple[tuple[Variant, NotShownBecause], ...]  # no test shows them
    usual: Usual
    chosen: Chosen  # the last cover
    bound: float  # no set of tests costs less, hiding left aside [s]; with a budget, none shows more [weight]
    budget: int | None
    stopped: bool = False
    price: int = 0  # what the choice was priced at [s]
    before: Resolved | None = None  # of a change: the site as the panel held it

    @property
    def seconds(self) -> int:
        """Return how long the walk takes [s]."""
        return self.station_s + sum(each.period.seconds for each in self.periods)

    @property
    def gap(self) -> float:
        """Return by which share its price may be above the least, at most."""
        return max(0.0, (self.price - self.bound) / self.price) if self.price and self.budget is None else 0.0

    @property
    def tests(self) -> int:
        """Return how many tests there are."""
        return sum(len(each.period.stops) for each in self.periods)


def count(found: Iterable[Variant]) -> int:
    """Return how many slips make these wrong panels."""
    return sum(len(each.slips) for each in found)


@dataclass
class Planner:
    """The work on one plan."""

    ground: SiteOnTest
    ways: Ways = field(default_factory=Ways)
    before: Resolved | None = None
    progress: Progress | None = None
    bench: Bench = field(init=False)
    found: tuple[Variant, ...] = field(init=False)
    rows: list[Row] = field(init=False, default_factory=list)
    prices: list[int] = field(init=False)  # of each candidate [s]
    reached: tuple[Stage, int, int] | None = field(init=False, default=None)  # stage, done, of so many
    best: TestPlan | None = field(init=False, default=None)  # so far; it stays, whatever ends a run

    def run(self, budget: int | None = None) -> TestPlan:
        """Return the plan; with a budget [s] the one that shows most in that time."""
        ground = self.ground
        resolved = ground.resolved
        held = self.before.programme if self.before is not None else None
        self.bench = Bench(ground.panel, candidates(ground))
        self.prices = prices(self.bench.tests, self.ways)
        self.found = variants(ground.panel, slips_of(resolved.profile, resolved.programme, held))
        alarming = sum(1 << place for place, test in enumerate(self.bench.tests) if test.alarming)
        for n, variant in enumerate(self.found):
            self._tell(Stage.RUNNING, n, len(self.found))
            row = self.bench.row(variant)
            self.rows.append(row & ~alarming)
            if row and not row & ~alarming:
                self._whys[id(variant)] = NotShownBecause.HELP
        self._compare()
        return self._best(budget)

    def _compare(self) -> None:
        """Compare each wrong panel that no test shows with the right one, one of each sort; take the tests found."""
        left = [
            n for n, row in enumerate(self.rows) if not row and self._why(self.found[n]) is NotShownBecause.UNPROVEN
        ]
        first, verdicts = len(self.bench.tests), dict[Hashable, SearchEnd]()
        for done, n in enumerate(left):
            self._tell(Stage.COMPARING, done, len(left))
            variant = self.found[n]
            sort = sort_of(self.ground.panel, variant)
            if sort not in verdicts and not self.bench.row(variant, first):
                verdicts[sort], way = Comparison(self.ground, variant.panel, about(variant)).settled()
                if verdicts[sort] is SearchEnd.FOUND and way is not None:
                    test = as_field_test(self.ground, way)
                    if test.alarming:
                        verdicts[sort] = SearchEnd.INDECENT
                    else:
                        self.bench.add((test,))
        for n in left:
            variant = self.found[n]
            self._whys[id(variant)] = WHYS.get(
                verdicts.get(sort_of(self.ground.panel, variant)), NotShownBecause.UNPROVEN
            )
        if len(self.bench.tests) > first:
            self.prices = prices(self.bench.tests, self.ways)
            self.rows = [row | self.bench.row(each, first) for row, each in zip(self.rows, self.found, strict=True)]

    def _best(self, budget: int | None) -> TestPlan:
        station = STATION_S if self.ground.panel.setup.settings.told else 0
        room = None if budget is None else budget - station
        masked: set[tuple[int, int]] = set()  # variant, test: not to be counted on but at the start of a period
        dead: set[tuple[int, int]] = set()  # not even there
        self.best = None
        bound = 0.0
        rounds = ROUNDS if len(self.bench.tests) < MANY else ROUNDS_IF_MANY
        for round_ in range(rounds if budget is None else rounds + TIGHTER):
            self._tell(Stage.CHOOSING, round_, rounds)
            columns, options, rows = self._columns(masked, dead)
            weights = [variant.weight for variant in self.found]
            weights += [min(weights, default=1.0)] * (len(rows) - len(weights))
            chosen = cheapest(rows, weights, columns, self._setups(), room)
            bound = bound if round_ else chosen.bound
            plan = self._packed([options[n] for n in chosen.columns], chosen, bound, budget, station)
            lost = self._lost(plan)
            if budget is not None and plan.seconds > budget and room is not None:
                room -= plan.seconds - budget
                continue
            if budget is None:
                plan = self._mended(plan)
            if self.best is None or _better(plan, self.best):
                self.best = plan
            if not lost:
                break
            picked = dict(options[n] for n in chosen.columns)
            for number, place in lost:
                (dead if picked[place] and (number, place) in masked else masked).add((number, place))
        if self.best is None:
            self.best = self._packed([], Chosen((), {}, 0, 0.0, 0.0, True), bound, budget, 0)
        return self.best

    def _mended(self, plan: TestPlan) -> TestPlan:
        """Return the plan with what got lost in it tried by itself, in periods of their own."""
        numbers = {id(variant): number for number, variant in enumerate(self.found)}
        left = list(plan.hidden)
        extra: list[Rehearsal] = []
        setups = self._setups()
        tests = self.bench.tests
        costs = [cost + setups.get(test.arming, 0) for cost, test in zip(self.prices, tests, strict=True)]
        while left:
            gain: Counter[int] = Counter()
            for variant in left:
                gain.update(places_of(self.rows[numbers[id(variant)]]))
            best = max(gain, key=[gain[place] / (cost + 1) for place, cost in enumerate(costs)].__getitem__)
            (period,) = packed(
                self.ground, self.bench, self.ways, [(best, True)],
                dict.fromkeys(setups, 1), CAPACITY, keypad(self.ground),
            )  # fmt: skip
            alone = Rehearsal(self.bench, period)
            still = [variant for variant in left if not alone.shows(variant)]
            if len(still) == len(left):
                break
            left, extra = still, [*extra, alone]
        gone = {id(variant) for variant in left}
        shown = (*plan.shown, *(variant for variant in plan.hidden if id(variant) not in gone))
        cost = plan.price + sum(each.period.seconds for each in extra)
        return replace(plan, periods=(*plan.periods, *extra), shown=shown, hidden=tuple(left), price=cost)

    def _lost(self, plan: TestPlan) -> list[tuple[int, int]]:
        """Return each wrong panel that the chosen tests show one by one and the packed ones don't, with those tests."""
        chosen = sum(1 << stop.place for each in plan.periods for stop in each.period.stops)
        hidden = {id(each) for each in plan.hidden}
        return [
            (number, place)
            for number, variant in enumerate(self.found)
            if id(variant) in hidden
            for place in places_of(self.rows[number] & chosen)
        ]

    def _columns(
        self, masked: set[tuple[int, int]], dead: set[tuple[int, int]]
    ) -> tuple[list[Column], list[tuple[int, bool]], list[Row]]:
        """Return the columns, which test each is and whether first, and for each wrong panel those that show it.

        Behind the wrong panels stand the devices: each is to be tripped in some test.
        """
        tests = self.bench.tests
        shows = [0] * len(tests)
        firsts = [0] * len(tests)
        for number, row in enumerate(self.rows):
            for place in places_of(row):
                if (number, place) not in masked:
                    shows[place] |= 1 << number
                if (number, place) not in dead:
                    firsts[place] |= 1 << number
        tripping = self._tripping()
        for number, trips in enumerate(tripping, len(self.rows)):
            for place in places_of(trips):
                shows[place] |= 1 << number
                firsts[place] |= 1 << number
        columns, options = list[Column](), list[tuple[int, bool]]()
        waits = {place for _, place in masked}
        for place, test in enumerate(tests):
            group = test.arming if test.arming.armed else None
            cost = self.prices[place]
            columns.append(Column(shows[place], cost, group, test.ends))
            options.append((place, False))
            if place in waits:
                wait = cost + test.until - test.busy_s
                columns.append(Column(firsts[place], wait, group, test.ends, first=group is not None))
                options.append((place, True))
        rows = [0] * (len(self.rows) + len(tripping))
        for n, column in enumerate(columns):
            for number in places_of(column.shows):
                rows[number] |= 1 << n
        return columns, options, rows

    def _tripping(self) -> tuple[Row, ...]:
        """Return, for each zone that is tested, the tests in which its device is tripped and something comes of it.

        A cover and a battery may be as they should while the device senses nothing.
        """
        mine = {number for variant in self.found for number in about(variant)}
        rows = dict.fromkeys(sorted(mine), 0)
        for place, test in enumerate(self.bench.tests):
            handled = [act for _, act in test.acts if isinstance(act, Handle)]
            tripped = {act.zone for act in handled if act.what in (What.OPEN, What.TRIP)}
            for number in tripped & rows.keys() if self.bench.seen[place] and not test.alarming else ():
                rows[number] |= 1 << place
        return tuple(row for row in rows.values() if row)

    def _setups(self) -> dict[Hashable, int]:
        armings = {test.arming for test in self.bench.tests if test.arming.armed}
        return {arming: setup_s(self.ground, arming) + tail_s(self.ground) for arming in armings}

    def _packed(
        self, picked: Sequence[tuple[int, bool]], chosen: Chosen, bound: float, budget: int | None, station: int
    ) -> TestPlan:
        # a test chosen both ways comes first
        best = {place: any(first for other, first in picked if other == place) for place, _ in picked}
        desk = keypad(self.ground)
        made = packed(self.ground, self.bench, self.ways, list(best.items()), chosen.periods, CAPACITY, desk)
        periods = tuple(Rehearsal(self.bench, period) for period in made)
        shown, hidden, unseen = [], [], []
        for variant, row in zip(self.found, self.rows, strict=True):
            if not row and self._why(variant) in (
                NotShownBecause.UNREAD,
                NotShownBecause.ROLE,
                NotShownBecause.DAYS,
                NotShownBecause.HELP,
            ):
                unseen.append((variant, self._why(variant)))
            elif any(each.shows(variant) for each in self._likeliest(periods, row)):
                shown.append(variant)
            elif row:
                hidden.append(variant)
            else:
                unseen.append((variant, self._why(variant)))
        trials = self._trials() if periods or self.before is not None else ()
        return TestPlan(
            self.ground, self.bench, periods, trials, station if periods else 0, count(self.found), tuple(shown),
            tuple(hidden), tuple(unseen), self._usual(), chosen, bound, budget, price=chosen.cost, before=self.before,
        )  # fmt: skip

    def _trials(self) -> tuple[Rehearsal, ...]:
        """Return one trial of each device, code and button that calls for help; of a change, of what was changed."""
        if self._trials_ is None:
            touched = {slip.item.thing for variant in self.found for slip in variant.slips}
            places = [
                place
                for place, test in enumerate(self.bench.tests)
                if test.alarming and (test.sort in TRIALS or self._is_held(test))
                and (self.before is None or touched & {*test.things, *(Thing.of("zone", zone) for zone in test.zones)})
            ]  # fmt: skip
            desk = keypad(self.ground)
            each = (packed(self.ground, self.bench, self.ways, [(n, True)], {}, CAPACITY, desk) for n in places)
            self._trials_ = tuple(Rehearsal(self.bench, period) for (period,) in each)
        return self._trials_

    def _is_held(self, test: FieldTest) -> bool:
        """Return whether a test holds a detector that is looked at twice: that is how its alarm is tried."""
        zones = (self.ground.panel.setup.zone(number) for number in test.zones)
        return test.sort is Sort.HOLD and any(zone is not None and zone.verifies for zone in zones)

    _trials_: tuple[Rehearsal, ...] | None = field(init=False, default=None)

    def _likeliest(self, periods: Sequence[Rehearsal], row: Row) -> list[Rehearsal]:
        """Return periods, those first in which a test is that shows it by itself."""
        return sorted(periods, key=lambda each: not row & each.tests)

    def _why(self, variant: Variant) -> NotShownBecause:
        known = self._whys.get(id(variant))
        if known is None:
            known = self._whys[id(variant)] = self.bench.why_unseen(variant)
        return known

    _whys: dict[int, NotShownBecause] = field(init=False, default_factory=dict)
    _usual_: Usual | None = field(init=False, default=None)

    def _usual(self) -> Usual:
        if self._usual_ is None:
            every = Arming(Mode.AWAY, self.ground.can_arm(Mode.AWAY))
            tests = self.bench.tests
            armed = {test.zones: n for n, test in enumerate(tests) if test.sort is Sort.TRIP and test.arming == every}
            off = {test.zones: n for n, test in enumerate(tests) if test.sort is Sort.TRIP and test.arming == OFF}
            done = sum(1 << n for n in {**off, **armed}.values())
            missed = count(v for v, row in zip(self.found, self.rows, strict=True) if row and not row & done)
            cost = sum(self.prices[n] for n in places_of(done))
            cost += -(-len(armed) // CAPACITY) * (setup_s(self.ground, every) + tail_s(self.ground))
            self._usual_ = Usual(done.bit_count(), cost, missed)
        return self._usual_

    def _tell(self, stage: Stage, done: int, of: int) -> None:
        self.reached = stage, done, of
        if self.progress is not None:
            self.progress(stage, done, of)


def _better(one: TestPlan, other: TestPlan) -> bool:
    def worth(plan: TestPlan) -> tuple[float, int]:
        return sum(each.weight for each in plan.shown), -plan.seconds

    return worth(one) > worth(other)

"""Tests packed into periods and put in order, and each packed period run for what it shows as a whole.

Rules of this file:
1. What several tests of one period show together is never assumed: a siren that sounds, a window that runs, a count
   used up may hide the next thing. Each wrong panel is run through the whole period.
2. A period begins with all shut and quiet and ends when nothing more is to come and all is off.
3. In the run of a wrong panel the part before the first test that it can touch is the plan's own; it is left as soon as
   it stands like the planned one and no further test touches it.
4. What a timer brings is told with the test that it comes of, though the next may have begun meanwhile: how soon
   somebody goes on is their own affair. Where a test's message waits in a window that an earlier test began, its second
   depends on that, and isn't told.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field

from zonewright.behaviour.clockwork import Clockwork, TimelineEntry
from zonewright.behaviour.events import Expires, Timer
from zonewright.fieldwork.acting import Act, PanelInHouse, perform
from zonewright.fieldwork.fieldtests import Arming, FieldTest, Sort, begun
from zonewright.fieldwork.observing import TOLERANCE_S, Noticed, Observation, Unlike, observed, unlike
from zonewright.fieldwork.ways import Ways
from zonewright.fieldwork.zone_tests import MARGIN_S, SiteOnTest
from zonewright.panel.behaviours import Mode
from zonewright.testplan.killing import Bench, Row, Variant

ARM_S = 20  # to key it in, to go out and to come back; the exit time comes on top (a choice)
WORD_S = 120  # to ask the station for its word, where a test needs that (a choice)


@dataclass(frozen=True, slots=True)
class Stop:
    """One test of a period, and when it begins [s after the period's start]."""

    place: int  # among the candidates
    test: FieldTest
    at: int
    first: bool  # begun in silence, and waited for until all is told


@dataclass(frozen=True, slots=True)
class Period:
    """Tests that are done with the site set once."""

    arming: Arming
    stops: tuple[Stop, ...]
    closing: tuple[tuple[int, Act], ...]  # how all is taken off at the end
    until: int  # [s]
    setup_s: int  # to arm, before it begins [s]

    @property
    def seconds(self) -> int:
        """Return how long it takes, arming and walking with it."""
        return self.setup_s + self.until


def setup_s(ground: SiteOnTest, arming: Arming) -> int:
    """Return what it takes to arm [s]."""
    return ground.panel.setup.settings.exit_time + ARM_S if arming.armed else 0


def tail_s(ground: SiteOnTest) -> int:
    """Return how long one waits for messages at the end of a period, about [s]."""
    setup = ground.panel.setup
    return max((setup.longest_wait(zone) for zone in setup.zones), default=0) + MARGIN_S


def prices(tests: Sequence[FieldTest], ways: Ways) -> list[int]:
    """Return what each test takes [s]: its own time, the way from the nearest other place, and the station's word."""
    places = list(dict.fromkeys(test.where for test in tests))
    near = {
        place: min((ways.seconds(place, other) for other in places if other != place), default=0) for place in places
    }
    return [test.busy_s + near[test.where] + (WORD_S if test.with_word else 0) for test in tests]


def packed(
    ground: SiteOnTest, bench: Bench, ways: Ways, chosen: Sequence[tuple[int, bool]], periods: Mapping[Hashable, int],
    capacity: int, keypad: str,
) -> tuple[Period, ...]:  # fmt: skip
    """Return the chosen tests, each a place and whether it must come first, in periods."""
    made: list[Period] = []
    by_arming: dict[Arming, list[tuple[int, bool]]] = {}
    for place, first in chosen:
        by_arming.setdefault(bench.tests[place].arming, []).append((place, first))
    for arming, mine in sorted(by_arming.items(), key=lambda each: (each[0].armed, str(each[0]))):
        if not arming.armed:
            quiet = _in_order(bench, ways, keypad, [place for place, first in mine if not first])
            alone = [(place, True) for place, first in mine if first]
            made.append(_period(ground, bench, ways, keypad, arming, [*((place, False) for place in quiet), *alone]))
            continue
        ends = {place: bench.tests[place].ends for place, _ in mine}
        alone = [(place, True) for place, first in mine if first and ends[place]]
        made += [_period(ground, bench, ways, keypad, arming, [each]) for each in alone]
        firsts = [place for place, first in mine if first and not ends[place]]
        lasts = [place for place, first in mine if not first and ends[place]]
        inner = _in_order(bench, ways, keypad, [place for place, first in mine if not first and not ends[place]])
        for _ in range(max(periods[arming] - len(alone), len(firsts), len(lasts))):
            head = [(firsts.pop(0), True)] if firsts else []
            tail = [(lasts.pop(0), False)] if lasts else []
            room = capacity - len(head) - len(tail)
            middle, inner = inner[:room], inner[room:]
            if head or tail or middle:
                stops = [*head, *((place, False) for place in middle), *tail]
                made.append(_period(ground, bench, ways, keypad, arming, stops))
    return tuple(made)


def _in_order(bench: Bench, ways: Ways, keypad: str, places: list[int]) -> list[int]:
    return [places[n] for n in ways.order(keypad, [bench.tests[place].where for place in places])]


def _period(
    ground: SiteOnTest, bench: Bench, ways: Ways, keypad: str, arming: Arming, chosen: Sequence[tuple[int, bool]]
) -> Period:
    stops: list[Stop] = []
    here, now, told = keypad, 0, 0
    for place, first in chosen:
        test = bench.tests[place]
        now += ways.seconds(here, test.where) + (WORD_S if test.with_word else 0)
        now = max(now, told) if first else now
        stops.append(Stop(place, test, now, first))
        told = max(told, now + test.until)
        now += test.until if first else test.busy_s
        here = test.where
    end = max(told, now + ways.seconds(here, keypad))
    closing = ground.setting(arming.areas, Mode.DISARMED, end)
    until = end + (MARGIN_S if closing else 0)
    return Period(arming, tuple(stops), closing, until, setup_s(ground, arming))


@dataclass
class Rehearsal:
    """One period run on the planned panel, and compared with wrong ones."""

    bench: Bench
    period: Period
    tests: Row = field(init=False, default=0)  # those that are in it
    seen: Observation = field(init=False)  # all of it
    _before: list[Clockwork] = field(init=False, default_factory=list)  # the panel before each stop, then at the end
    _noticed: list[Observation] = field(init=False, default_factory=list)  # of each stop, then of the closing
    _of: list[Mapping[int, tuple[int, bool]]] = field(init=False, default_factory=list)  # by second, see `_brought`

    def __post_init__(self) -> None:
        planned = self.bench.planned
        clockwork = begun(planned, self.period.arming, self.bench.steps)
        clockwork.advance(clockwork.now + (self.period.stops[0].at if self.period.stops else 0))
        began: dict[tuple[Timer, int], int] = {}  # a timer and when it ends -> the stop in which it was started
        for n in range(len(self.period.stops) + 1):
            self._before.append(clockwork.copy())
            origin, playing = clockwork.now - self._at(n), clockwork.control.siren
            entries = self._entries(planned, clockwork, n)
            self._noticed.append(observed(planned.setup, entries, origin, planned.account, playing))
            brought: dict[int, set[tuple[int, bool]]] = {}
            for each in entries:
                brought.setdefault(each.at - origin, set()).add(self._brought(each, n, began))
            self._of.append({at: each for at, of in brought.items() for each in of if len(of) == 1})
            for ends in clockwork.due.items():
                began.setdefault(ends, n)
        self.seen = tuple(each for noticed in self._noticed for each in noticed)
        for stop in self.period.stops:
            self.tests |= 1 << stop.place

    def _brought(self, entry: TimelineEntry, now: int, began: Mapping[tuple[Timer, int], int]) -> tuple[int, bool]:
        """Return the stop that an entry comes of, and whether its second depends on that stop alone."""
        if not isinstance(entry.event, Expires):
            return now, True
        start = began.get((entry.event.timer, entry.at), now)
        about = {getattr(output, "zone", None) for output in entry.outputs}
        handled = [n for n, stop in enumerate(self.period.stops[: now + 1]) if n > start and about & stop.test.zones]
        return max(handled, default=start), not handled

    def of_stop(self, n: int) -> tuple[tuple[int | None, Noticed], ...]:
        """Return what follows from a stop, each with the seconds after its start, or None where that can't be said.

        Of the closing: what comes from then on.
        """
        found: list[tuple[int | None, Noticed]] = []
        for m in range(n, len(self._noticed)):
            for each in self._noticed[m]:
                by, exact = self._of[m].get(each.at, (m, True))
                if by == n:
                    found.append((each.at - self._at(n) if exact else None, each))
        return tuple(found)

    def shows(self, variant: Variant) -> bool:
        """Return whether a wrong panel shows in this period."""
        touched = self.bench.touched(variant.change) & self.tests
        if not touched or variant.change.nothing:
            return False
        if variant.change.standing and any(stop.test.sort is Sort.LOOK for stop in self.period.stops):
            return True
        panel = variant.panel
        touching = [n for n, stop in enumerate(self.period.stops) if touched >> stop.place & 1]
        first, last = touching[0], touching[-1]
        if self.bench.as_begun(variant.change):
            clockwork = self._before[first].copy()
            clockwork.setup = panel.setup
        else:
            first = 0
            clockwork = begun(panel, self.period.arming, self.bench.steps)
            shift = clockwork.now
            clockwork.advance(shift + self.period.stops[0].at)
        mine: Observation = ()
        right: Observation = ()
        for n in range(first, len(self.period.stops) + 1):
            mine += self._run(panel, clockwork, n)
            right += self._noticed[n]
            if mine != right and unlike(*_settled(mine, right, self._at(n + 1))) is not Unlike.NOT:
                return True
            if n >= last and n < len(self.period.stops) and _alike(clockwork, self._before[n + 1]):
                break
        return unlike(mine, right) is not Unlike.NOT

    def _at(self, n: int) -> int:
        """Return when a stop begins; the closing is the one after the last."""
        stops = self.period.stops
        if n < len(stops):
            return stops[n].at
        return self.period.closing[0][0] if n == len(stops) and self.period.closing else self.period.until

    def _run(self, panel: PanelInHouse, clockwork: Clockwork, n: int) -> Observation:
        """Do a stop, or the closing; return what is noticed till the next, with seconds after the period's start."""
        origin, playing = clockwork.now - self._at(n), clockwork.control.siren
        return observed(panel.setup, self._entries(panel, clockwork, n), origin, panel.account, playing)

    def _entries(self, panel: PanelInHouse, clockwork: Clockwork, n: int) -> list[TimelineEntry]:
        """Do a stop, or the closing; return what happens till the next."""
        if n < len(self.period.stops):
            return perform(clockwork, panel, self.period.stops[n].test.acts, self._at(n + 1) - self._at(n))
        acts = tuple((0, act) for _, act in self.period.closing)
        return perform(clockwork, panel, acts, self.period.until - self._at(n))


def _settled(one: Observation, other: Observation, upto: int) -> tuple[Observation, Observation]:
    """Return two observations without what may still even out: things noticed just before the end."""
    open_ = {(each.sense, each.text) for each in (*one, *other) if each.at > upto - 2 * TOLERANCE_S - 1}
    kept = (tuple(each for each in side if (each.sense, each.text) not in open_) for side in (one, other))
    first, second = kept
    return first, second


def _alike(one: Clockwork, other: Clockwork) -> bool:
    """Return whether two panels go on alike; timers that run for days are left aside."""
    if one.control != other.control or one.now != other.now:
        return False
    return all(one.due.get(timer) == due for timer, due in other.due.items() if not timer.kind.background)

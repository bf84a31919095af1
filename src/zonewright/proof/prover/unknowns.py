"""A draft that knows only part of the panel: it asks for the rest, one question at a time, and keeps the list.

Rules of this file:
1. A question is about one part of the control (an area, what waits, what calls for the sounder) or one fact (is this
   zone open, does this timer run). The questions are noted in order: two panels that answer alike act alike.
2. A fact is asked for once. From then on the draft has it like any other, so that one step never contradicts itself.
   Changing something without having looked at it is no question.
3. Who answers, and whether "unknown" makes two answers of it, is decided by the caller (`table.py`, `slices.py`).
4. About areas of which nothing is kept (not in `here`) it asks one question for all, whether each of them is in one of
   some places. Changes to them are forgotten, and code that only changes areas skips them (`kept`).
5. Chimes are on, the power is on, the panel isn't in installer mode, radio isn't jammed: these parts are read from the
   control, without a question.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Iterator
from dataclasses import replace
from typing import Any, cast

from zonewright.behaviour.events import Timer, TimerKind, Trouble
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import PRECEDENCE, AreaState, Control, Draft, Phase, first_pattern, people_of
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.prover.facts import ASKED_WHOLE, OF_AREAS, SETS_OF_FACTS, Fact, Mask, places
from zonewright.site.record import ZoneNumber


class View(Draft):
    """The panel while an event happens, partly unknown. `whole`: all of it is known, and questions are only noted."""

    __slots__ = (
        "asked",
        "assumed",
        "calls",
        "elsewhere",
        "ended",
        "expired",
        "here",
        "holds",
        "known",
        "outside",
        "trail",
        "whole",
    )

    def __init__(
        self,
        setup: Setup,
        control: Control,
        known: Callable[[Fact], Hashable],
        elsewhere: tuple[Pattern, ...] = (),
        here: Collection[AreaNumber] = (),
        *,
        whole: bool = False,
    ) -> None:
        self.setup, self.control, self.known, self.whole = setup, control, known, whole
        self.elsewhere = elsewhere  # patterns that other areas may call for, in order of precedence
        self.here = frozenset(setup.areas if whole else here)  # areas of which anything is kept
        self.outside: set[AreaNumber] = set()  # areas that were skipped since nothing of them is kept
        self.asked: dict[Fact, bool] = {}
        self.trail: list[Fact] = []  # every question, in order
        self.assumed: dict[str, frozenset[Any]] = {}  # in each set of facts, those that were answered with yes
        self.expired: Timer | None = None
        self.areas: AreasSeen = AreasSeen(known, self.trail, setup.areas)  # also of the sounder
        for name in SETS_OF_FACTS:
            held: frozenset[Any] = getattr(control, name) if whole else frozenset()
            setattr(self, name, held)
            self.assumed[name] = held
        self.chime_on, self.site, self.site_told = control.chime_on, control.site, control.site_told
        self.installer, self.jammed = control.installer, control.jammed
        self.starts, self.stops, self.outputs, self.back_in_use = {}, set(), [], []
        self.calls: list[tuple[Pattern, ZoneNumber]] = []  # calls for the sounder in this step
        self.holds: list[tuple[ZoneNumber, str]] = []  # messages that began to wait before it asked what waits
        self.ended: tuple[AreaNumber, ...] | None = ()  # areas whose earlier calls are over; None: all are

    def __getattr__(self, name: str) -> Any:
        """Load a part of the control when it is first looked at (Python calls this for what isn't set)."""
        if name not in ASKED_WHOLE:
            raise AttributeError(name)
        self.trail.append(("part", name))
        value: Any = getattr(self.control, name)
        if name == "waiting" and self.holds:
            value = (*value, *(each for each in self.holds if each not in value))
        setattr(self, name, value)
        return value

    def change(self, area: AreaNumber, **changes: Any) -> None:
        """Set parts of an area's state without looking at the others."""
        state: AreaState | _Area = self.areas[area]
        made = replace(state, **changes) if isinstance(state, AreaState) else state.changed(changes)
        self.areas[area] = cast("AreaState", made)

    def answer(self, fact: Fact) -> Hashable:
        """Return the answer to a question that was asked."""
        if fact[0] == "part":
            part: Hashable = getattr(self.control, str(fact[1]))
            return part
        return self.asked[fact] if fact in self.asked else self.areas.before.read[fact]

    def touched(self) -> Iterator[Fact]:
        """Give all that the step asked for or changed: zones as ("zone", n), areas that aren't kept as ("area", n).

        A reading that keeps more facts, but none about these, finds the same.
        """
        for what, about in self.trail:
            if what == "all in":
                yield from (("area", area) for area in cast("tuple[tuple[AreaNumber, ...], Mask]", about)[0])
            elif what == "any runs":
                yield from (("area", area) for area in cast("tuple[object, tuple[AreaNumber, ...]]", about)[1])
            elif what == "confirms":
                zone = self.setup.zone(cast("ZoneNumber", about))
                for area in zone.areas if zone is not None else ():
                    yield from ((("runs", Timer(TimerKind.CONFIRM, area))), ("area", area))
            else:
                yield (what, about) if what in OF_AREAS or what in ("runs", "part") else ("zone", about)
        yield from (("runs", timer) for timer in (*self.starts, *self.stops))
        for area, changes in self.areas.written().items():
            yield from ((part, area) for part in changes)
            yield "area", area
        yield from (("area", area) for area in self.outside)
        for name in SETS_OF_FACTS:
            for each in self.assumed[name] ^ getattr(self, name):
                yield "zone", each[0] if isinstance(each, tuple) else each
        yield from (("part", name) for name in ASKED_WHOLE if self.loaded(name) is not None)

    def loaded(self, name: str) -> Any:
        """Return the present value of a part that is one question; None if nobody looked at it or set it."""
        try:
            return getattr(Draft, name).__get__(self, View)
        except AttributeError:
            return None

    # Questions about a zone

    def is_open(self, zone: ZoneSetup) -> bool:
        """Return whether it is open now."""
        number = zone.number
        if self._learn(("open", number)):
            self.open |= {number}
            self.assumed["open"] |= {number}
        return number in self.open

    def is_bypassed(self, zone: ZoneSetup) -> bool:
        """Return whether it is bypassed."""
        number = zone.number
        if self._learn(("bypassed", number)):
            self.bypassed |= {number}
            self.assumed["bypassed"] |= {number}
        return number in self.bypassed

    def is_shut_out(self, zone: ZoneSetup) -> bool:
        """Return whether it is shut out; a zone whose alarms aren't counted never is."""
        limit, number = self.setup.settings.swinger_limit, zone.number
        if limit == 0 or not zone.behaviour.swinger:
            return False
        if self._learn(("shut out", number)) and (number, limit) not in self.alarms:
            others = frozenset(pair for pair in self.alarms if pair[0] != number)
            self.alarms = others | {(zone.number, limit)}
        return (number, limit) in self.alarms

    def has(self, zone: ZoneSetup, trouble: Trouble) -> bool:
        """Return whether its device has this trouble now."""
        pair = (zone.number, trouble)
        if self._learn((f"trouble {trouble.value}", zone.number)):
            self.troubles |= {pair}
            self.assumed["troubles"] |= {pair}
        return pair in self.troubles

    def stands(self, zone: ZoneSetup, name: str) -> bool:
        """Return whether an alarm or trouble of this name was reported and is not over."""
        pair = (zone.number, name)
        if self._learn((f"stands {name}", zone.number)):
            self.standing |= {pair}
            self.assumed["standing"] |= {pair}
        return pair in self.standing

    # Questions about several areas at once

    def any_in_phase(self, areas: Iterable[AreaNumber], *phases: Phase) -> bool:
        """Return whether one of these areas is in one of the phases."""
        return not self._all_in(areas, "phase", frozenset(Phase).difference(phases))

    def all_in_mode(self, areas: Iterable[AreaNumber], modes: frozenset[Mode]) -> bool:
        """Return whether each of these areas is in one of the modes."""
        return self._all_in(areas, "mode", modes)

    def in_phase(self, areas: Iterable[AreaNumber], *phases: Phase) -> frozenset[AreaNumber]:
        """Return which of these areas are in one of the phases; of those that aren't kept either all or none."""
        mine = frozenset(area for area in areas if area in self.here and self.areas[area].phase in phases)
        others = frozenset(areas) - self.here
        return mine | others if others and self._all_in(others, "phase", frozenset(phases)) else mine

    def _all_in(self, areas: Iterable[AreaNumber], part: str, values: frozenset[Any]) -> bool:
        others = []
        for area in sorted(areas):
            now = getattr(self.areas[area], part) if area in self.here else self.areas.made(area, part)
            if now is None:
                others.append(area)
            elif now not in values:
                return False
        if not others:
            return True
        mask: Mask = places(values, None) if part == "mode" else places(None, values)
        return bool(self.areas.before.ask(("all in", (tuple(others), mask))))

    def kept(self, areas: Iterable[AreaNumber]) -> list[AreaNumber]:
        """Return those of these areas of which anything is kept."""
        every = frozenset(areas)
        self.outside |= every - self.here
        return sorted(self.here & every)

    def any_runs(self, kind: TimerKind, numbers: Iterable[int]) -> bool:
        """Return whether a timer of this kind runs for one of these; one question for all areas that aren't kept."""
        every = sorted(numbers)
        others = tuple(number for number in every if not kind.of_zone and number not in self.here)
        if any(self.runs(kind, number) for number in every if number not in others):
            return True
        return bool(others) and self._is(("any runs", (kind, others)))

    def confirms(self, zone: ZoneSetup) -> bool:
        """Return whether another zone's alarm in one of its areas waits for a second one, as one question."""
        if self.whole:
            return super().confirms(zone)
        timers = {area: Timer(TimerKind.CONFIRM, area) for area in zone.areas}
        begun = [area for area, timer in timers.items() if timer in self.starts]
        if any(self.areas[area].begun_by != zone.number for area in begun):
            return True
        open_ = any(area not in begun and timer not in self.stops for area, timer in timers.items())
        return open_ and self._is(("confirms", zone.number))

    def began_window(self, area: AreaNumber, zones: Collection[ZoneNumber]) -> bool:
        """Return whether one of these zones began the last confirm window of an area; which zone did is never kept."""
        return super().began_window(area, zones) if self.whole else self._is(("began", area))

    # What sounds

    def siren(self) -> Pattern:
        """Return the pattern that the sounder plays now, for a zone here or elsewhere."""
        here = self._called_here()
        for pattern in self.elsewhere:
            if PRECEDENCE[pattern] < PRECEDENCE[here] and self._elsewhere(pattern):
                return pattern
        return here

    def sounds(self) -> bool:
        """Return whether the sounder plays anything."""
        return self.calls_for_sounder() or self._elsewhere(*self.elsewhere)

    def would_be_heard(self, pattern: Pattern) -> bool:
        """Return whether the sounder plays nothing of higher precedence than this pattern."""
        before = [each for each in self.elsewhere if PRECEDENCE[each] < PRECEDENCE[pattern]]
        if any(PRECEDENCE[each] < PRECEDENCE[pattern] for each, _ in self.calls):
            return False
        if self.ended is not None and self.areas.before.ask(("before", (pattern, self.ended))):
            return False
        return not self._elsewhere(*before)

    def _elsewhere(self, *patterns: Pattern) -> bool:
        """Return whether one of these patterns is called for elsewhere."""
        if not patterns:
            return False
        mine = frozenset(patterns)
        for (what, of), answer in self.asked.items():
            if what == "elsewhere" and (mine <= cast("frozenset[Pattern]", of) if not answer else mine >= of):  # type: ignore[operator]
                return answer
        return self._is(("elsewhere", mine))

    def _called_here(self) -> Pattern:
        before = Pattern.NONE if self.ended is None else self.areas.before.ask(("siren without", self.ended))
        return first_pattern((before, *(pattern for pattern, _ in self.calls)))

    def calls_for_sounder(self) -> bool:
        """Return whether anything here calls for the sounder."""
        return self._called_here() is not Pattern.NONE

    def call_sounder(self, pattern: Pattern, number: ZoneNumber) -> None:
        """A zone or people call for the sounder; whether they did before makes no difference."""
        self.calls.append((pattern, number))

    def end_calls(self, area: AreaNumber | None = None) -> None:
        """End all calls for the sounder, or those of one area's zones and people."""
        here = None if area is None else {people_of(area), *(zone.number for zone in self.setup.zones_of(area))}
        self.calls = [pair for pair in self.calls if here is not None and pair[1] not in here]
        self.ended = None if area is None or self.ended is None else tuple(sorted({*self.ended, area}))

    # Troubles at arming

    def bars_setting(self, area: AreaNumber, over: Right | None) -> bool:
        """Return whether a trouble stops arming, as one question, whichever it is and whoever has it."""
        if not self.setup.settings.at_setting:
            return False
        return self._is(("barred", (area, over)))

    def faults(self, area: AreaNumber) -> list[tuple[SettingFault, Right, ZoneSetup | None]]:
        """Return the troubles that stop arming now; none where not all of the panel is known."""
        return super().faults(area) if self.whole else []

    # Messages and timers

    def hold(self, number: ZoneNumber, name: str) -> None:
        """Let a message of a zone wait, without looking at what waits already."""
        if self.whole or self.loaded("waiting") is not None:
            super().hold(number, name)
        self.holds.append((number, name))

    def start_unless_running(self, kind: TimerKind, number: int, seconds: int) -> None:
        """Start a timer that doesn't run; for an area of which nothing is kept, that isn't asked."""
        if kind.of_zone or number in self.here:
            super().start_unless_running(kind, number, seconds)
        else:
            self.outside.add(AreaNumber(number))
            self.start(kind, number, seconds)

    def runs(self, kind: TimerKind, number: int) -> bool:
        """Return whether a timer runs."""
        timer = Timer(kind, number)
        if timer in self.starts:
            return True
        if timer in self.stops or timer == self.expired:
            return False
        return self._is(("runs", timer))

    def start(self, kind: TimerKind, number: int, seconds: int) -> None:
        """Start a timer, or start it again."""
        if seconds > 0:
            timer = Timer(kind, number)
            self.starts[timer] = seconds
            self.stops.discard(timer)

    def stop(self, kind: TimerKind, number: int) -> None:
        """Stop a timer if it runs; afterwards it makes no difference whether it did, so that isn't asked."""
        timer = Timer(kind, number)
        self.starts.pop(timer, None)
        if timer != self.expired:
            self.stops.add(timer)

    def expire(self, timer: Timer) -> bool:
        """Note that a timer has expired; False if it doesn't run."""
        fact: Fact = ("runs", timer)
        self._learn(fact)
        if self.asked[fact]:
            self.expired = timer
        return self.asked[fact]

    def _is(self, fact: Fact) -> bool:
        """Return whether a fact is true; it is asked for only once."""
        self._learn(fact)
        return self.asked[fact]

    def _learn(self, fact: Fact) -> bool:
        """Ask for a fact unless that was done; True if it was asked just now and is true."""
        if fact in self.asked:
            return False
        answer = self.asked[fact] = bool(self.known(fact))
        self.trail.append(fact)
        return answer


class _Before:
    """The answers about the areas' earlier states; it has no reference to who asks, which would be a cycle."""

    __slots__ = ("known", "read", "trail")

    def __init__(self, known: Callable[[Fact], Hashable], trail: list[Fact]) -> None:
        self.known, self.trail = known, trail
        self.read: dict[Fact, Any] = {}

    def ask(self, fact: Fact) -> Any:
        """Return one part of an area's state."""
        if fact not in self.read:
            self.read[fact] = self.known(fact)
            self.trail.append(fact)
        return self.read[fact]


class AreasSeen(dict[AreaNumber, AreaState]):
    """The areas' states, each looked at when it is first needed."""

    __slots__ = ("before", "every")

    def __init__(self, known: Callable[[Fact], Hashable], trail: list[Fact], every: tuple[AreaNumber, ...]) -> None:
        self.before, self.every = _Before(known, trail), every

    def __missing__(self, number: AreaNumber) -> AreaState:
        state = self[number] = cast("AreaState", _Area(self.before, number, {}))
        return state

    def __contains__(self, number: object) -> bool:
        return number in self.every

    def values(self) -> Any:
        """Return every area's state."""
        return [self[number] for number in self.every]

    def made(self, area: AreaNumber, part: str) -> Any:
        """Return what a part of an area's state was set to in this step; None if it wasn't."""
        state: AreaState | _Area | None = self.get(area)
        return state.parts.get(part) if isinstance(state, _Area) else getattr(state, part, None)

    def written(self) -> dict[AreaNumber, dict[str, Any]]:
        """Return what changed of each area, by parts; a part set without asking is included whatever it was before."""
        found, read = {}, self.before.read
        for number, state in self.items():
            known: AreaState | _Area = state
            parts = known.parts if isinstance(known, _Area) else {name: getattr(known, name) for name in OF_AREAS}
            new = {name: part for name, part in parts.items() if read.get((name, number), _UNREAD) != part}
            if new:
                found[number] = new
        return found


_UNREAD = object()


class _Area:
    """An area's state, of which each part is one question. It never changes: `changed` makes another."""

    __slots__ = ("before", "number", "parts")

    def __init__(self, before: _Before, number: AreaNumber, parts: dict[str, Any]) -> None:
        self.before, self.number, self.parts = before, number, parts

    def __getattr__(self, name: str) -> Any:
        """Return a part as it was set, or else as it was before."""
        if name in self.parts:
            return self.parts[name]
        return self.before.ask((name, self.number))

    def changed(self, parts: dict[str, Any]) -> _Area:
        """Return the state with other parts."""
        return _Area(self.before, self.number, {**self.parts, **parts})

"""Why a promise holds or fails: what the panel does wherever its case comes, and step by step while it lasts.

Rules of this file:
1. It is worked out from the same states, runs and outcomes by which the promise was judged; none of it is written by
   hand.
2. A state of a slice may stand for several of the panel: it says all that may happen in any of them.
3. What is the same is said once: modes in which the same happens, events that do nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from zonewright.behaviour.events import (
    DeviceEvent,
    Disarm,
    Expires,
    Shown,
    Siren,
    Timer,
    TimerKind,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.state import Control, Phase
from zonewright.panel.behaviours import Mode
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import cases_about, runs_of
from zonewright.proof.prover.explore import WATCH, Case
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.refine import Followed
from zonewright.proof.prover.table import Act, Elsewhere
from zonewright.proof.prover.timeset import TimeSet
from zonewright.proof.why.reasons import Rests, condition, in_words, parted, reason
from zonewright.site.record import span
from zonewright.words.telling import TIMERS, event_in_words, listed, output_in_words, sounder, timer_in_words

NOTHING = "nothing"
MOST_EVENTS = 12  # that are each described by themselves
OWN_TIME = "the time of the promise"
_PHASE = {Phase.REST: "", Phase.EXIT: ", exit time", Phase.SET: "", Phase.ENTRY: ", entry time"}
_EVERY_MODE = {"off" if mode is Mode.DISARMED else f"armed {mode.value}" for mode in Mode}
_PHASE_WORDS = {"": "set", "entry time": "entry time", "exit time": "exit time"}
_NAMED = frozenset({TimerKind.EXIT, TimerKind.ENTRY, TimerKind.ABORT, TimerKind.PERSIST})  # their starts are named


@dataclass(frozen=True, slots=True)
class ArgumentLine:
    """What may happen, what it may lead to (commonest first), and why; `does` empty: `what` is what anything may do."""

    what: str
    does: tuple[str, ...]
    since: str = ""

    @property
    def text(self) -> str:
        """Return it as one clause."""
        return (
            self.what
            + (f": {' or '.join(self.does)}" if self.does else "")
            + (f", since {self.since}" if self.since else "")
        )


@dataclass(frozen=True, slots=True)
class Situation:
    """The modes and phases of a promise's areas, in how many states of the panel, and what each event does there."""

    name: str
    states: int
    lines: tuple[ArgumentLine, ...]


@dataclass(frozen=True, slots=True)
class Argument:
    """Why a promise that lasts for some time holds."""

    begins: tuple[ArgumentLine, ...]
    lasts: str  # how long something is promised, as a sentence
    meanwhile: tuple[ArgumentLine, ...]
    too_late: tuple[str, ...]  # what can't come while it lasts, each with the reason
    else_: str  # what all other events do


@dataclass(frozen=True, slots=True)
class Reasons:
    """All that can be said about a promise, and the kinds of timers that it depends on."""

    situations: tuple[Situation, ...] = ()
    argument: Argument | None = None
    timers: frozenset[TimerKind] = frozenset()
    counts_alarms: bool = False  # whether it depends on a zone being shut out, or not


def why(setup: Setup, promise: Promise, window: Window) -> Reasons:
    """Return why a promise holds, or what its events lead to if it doesn't.

    Raises `OutOfBounds` or `TooLarge` if not all of it can be looked at.
    """
    if promise.outright is not None or promise.twin is not None:
        return Reasons()
    if promise.timed:
        followed, everything = runs_of(setup, promise, window)
        if followed is not None:
            return _Story(setup, promise, followed, everything).told()
    cases = cases_about(setup, promise)
    return Reasons(
        tuple(_situations(setup, promise, cases)),
        None,
        frozenset(timer.kind for case in cases for timer, _ in case[2].starts) & _NAMED,
        _counts(promise, (case[2] for case in cases)),
    )


def tracked_in_words(setup: Setup, timers: Iterable[str]) -> str:
    """Return which timers were followed to the second, by their names in a verdict; "" if none was."""
    names = []
    for each in timers:
        kind, _, number = each.partition(":")
        timer = Timer(TimerKind.called(kind), int(number or 0)) if each != WATCH else None
        names.append(OWN_TIME if timer is None else f"the {timer_in_words(setup, timer)}")
    return f"{listed(names)} {'were' if len(names) > 1 else 'was'} followed to the second" if names else ""


# One event at a time --------------------------------------------------------------------------------------------------


def _situations(setup: Setup, promise: Promise, cases: Iterable[Case]) -> Iterator[Situation]:
    """Give what each event leads to; modes in which everything is alike share one situation."""
    found: dict[str, dict[str, dict[int, tuple[Act, EventOutcome]]]] = {}
    states: dict[str, set[int]] = {}
    for control, act, outcome in cases:
        name = _where(promise, (control, act, outcome))
        found.setdefault(name, {}).setdefault(_event(setup, act), {})[id(outcome.effect)] = act, outcome
        states.setdefault(name, set()).add(id(control))
    alike: dict[tuple[ArgumentLine, ...], list[str]] = {}
    for name in sorted(found):
        lines: list[ArgumentLine] = []
        if len(found[name]) > MOST_EVENTS:  # too many events to name each: only what they may lead to
            some = (_does(setup, promise, out) for each in found[name].values() for _, out in each.values())
            lines = [ArgumentLine(does, ()) for does, _ in Counter(some).most_common(MOST_EVENTS)]
        for what, outcomes in found[name].items() if not lines else ():
            rests: list[tuple[Rests, str]] = [(out.assumed, _does(setup, promise, out)) for _, out in outcomes.values()]
            lines += _lines(setup, what, next(iter(outcomes.values()))[0], rests)
        alike.setdefault(tuple(_together(lines)), []).append(name)
    for told, names in alike.items():
        yield Situation(_situation(promise, names), len(set().union(*(states[name] for name in names))), told)


def _situation(promise: Promise, names: Iterable[str]) -> str:
    """Return the modes of a promise's area; if it has several, those of the first, and what the promise is about."""
    modes = _modes_in_words(names)
    if len(promise.areas) == 1:
        return modes
    also = listed([part.says for part in promise.premise.parts[1:]]) if promise.premise.parts[1:] else ""
    return f"area {min(promise.areas)} {modes}" + (f"; {also}" if also else "")


def _lines(setup: Setup, what: str, act: Act, found: Sequence[tuple[Rests, str]]) -> list[ArgumentLine]:
    """Return what one event may lead to, and under which conditions; where it does nothing comes last."""
    about = act.zone if isinstance(act, DeviceEvent) else None
    lines: dict[tuple[str, ...], list[str]] = {}
    for conditions, does in parted(found):
        lines.setdefault(does, []).append(in_words(setup, conditions, about))
    told = [(does, whens) for does, whens in lines.items() if does != (NOTHING,)]
    rest = [ArgumentLine(f"{what} in any other case" if told else what, (NOTHING,))] if (NOTHING,) in lines else []
    return [
        ArgumentLine(what + (f", where {'; or where '.join(dict.fromkeys(whens))}" if all(whens) else ""), does)
        for does, whens in told
    ] + rest


def _together(lines: Iterable[ArgumentLine]) -> Iterator[ArgumentLine]:
    """Give the lines, with those joined that lead to the same."""
    joined: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for line in lines:
        joined.setdefault((line.does, line.since), []).append(line.what)
    for (does, since), whats in joined.items():
        yield ArgumentLine("; ".join(dict.fromkeys(whats)), does, since)


def _where(promise: Promise, case: Case) -> str:
    control = case[0]
    home = next((area for area in control.areas if area.number in promise.areas), control.areas[0])
    mode = "off" if home.phase is Phase.REST else f"armed {home.mode.value}"
    return mode + _PHASE[home.phase]


def _modes_in_words(names: Iterable[str]) -> str:
    """Return the modes in which everything is alike, with the phases in each: "armed away (set and exit time)"."""
    modes: dict[str, list[str]] = {}
    for name in names:
        mode, _, phase = name.partition(", ")
        modes.setdefault(mode, []).append(phase)
    groups: dict[tuple[str, ...], list[str]] = {}
    for mode, phases in modes.items():
        groups.setdefault(tuple(phases) if mode != "off" else ("",), []).append(mode)
    whole = tuple(_PHASE_WORDS)
    if modes.keys() == _EVERY_MODE and all(each == [*whole] for mode, each in modes.items() if mode != "off"):
        return "in every mode, whatever runs"
    parts = []
    for during, alike in groups.items():
        runs = listed([_PHASE_WORDS[phase] for phase in during])
        parts.append(listed(alike) + (", whatever runs" if during == whole else f" ({runs})" if any(during) else ""))
    return "; ".join(sorted(parts, reverse=True))


def _does(setup: Setup, promise: Promise, outcome: EventOutcome) -> str:
    """Return what it does for the zones of the promise, without lines of the display."""
    mine = set(promise.zones)
    called = {sounder(pattern) for pattern, number in outcome.called if not mine or number in mine}
    parts = [f"{each} is called for" for each in sorted(called)]
    parts += [f'message "{name}" waits' for number, name in sorted(outcome.held) if not mine or number in mine]
    parts += [
        output_in_words(setup, output)
        for output in outcome.outputs
        if not isinstance(output, Siren | Shown) and (not mine or getattr(output, "zone", None) in {None, *mine})
    ]
    return ", ".join(dict.fromkeys(parts)) or NOTHING


def _event(setup: Setup, act: Act) -> str:
    if isinstance(act, Elsewhere):
        return "a zone of another area sounds"
    if isinstance(act, Expires):
        of_all = act.timer.kind.of_panel or act.timer.kind is TimerKind.LAST_TEN
        return event_in_words(setup, act) if of_all else f"the {timer_in_words(setup, act.timer)} ends"
    if isinstance(act, Disarm):
        return f"somebody disarms{f' area {act.area}' if len(setup.areas) > 1 else ''}"
    return event_in_words(setup, ZoneOpens(act.zone) if isinstance(act, ZoneTrips) else act)  # one and a closing


def _counts(promise: Promise, outcomes: Iterable[EventOutcome]) -> bool:
    return any(("shut out", number) in out.assumed for out in outcomes for number in promise.zones)


# Step by step ---------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Step:
    """One event, in all states in which it may happen while the promise lasts."""

    act: Act
    outcomes: dict[int, EventOutcome] = field(default_factory=dict)  # by their effect
    over: set[int] = field(default_factory=set)  # those with which the promise is over
    goes_on: set[int] = field(default_factory=set)
    earliest: int | None = None  # [s] since the promise began, if the event is the end of a followed timer
    latest: int | None = None


@dataclass(slots=True)
class _Story:
    """The runs that show that a promise holds, put in order."""

    setup: Setup
    promise: Promise
    followed: Followed
    everything: list[Case]
    steps: dict[str, _Step] = field(default_factory=dict)  # by the event in words
    others: set[bool] = field(default_factory=set)  # whether the promise is over with events that aren't named
    cannot: set[Timer] = field(default_factory=set)  # followed timers that can't end meanwhile
    lengths: dict[Timer, set[int]] = field(default_factory=dict)
    watch: int | None = None
    waits: bool = False  # whether something must have come before the promise's own time is over

    def told(self) -> Reasons:
        """Return the whole story."""
        begins = tuple(self._begins())
        for (number, state, watching), times in self.followed.found.times.items():
            if not (watching or self.watch is None):
                continue  # what was promised for some time has been kept already
            self._look(self.followed.found.reached[number], state, times)
        self.cannot -= {each.act.timer for each in self.steps.values() if isinstance(each.act, Expires)}
        kinds = {timer.kind for timer in self.lengths if timer in self.followed.tracked or timer.kind in _NAMED}
        outcomes = [out for step in self.steps.values() for out in step.outcomes.values()]
        argument = Argument(begins, self._lasts(), tuple(self._meanwhile()), tuple(self._too_late()), self._else())
        return Reasons((), argument, frozenset(kinds), _counts(self.promise, outcomes))

    def _begins(self) -> Iterator[ArgumentLine]:
        slice_, observer = self.followed.watched.slice, self.followed.watched.observer
        found: dict[str, dict[str, None]] = {}
        for root in self.followed.roots:
            for act, outcome in slice_.row(slice_.same(root)):
                seen = observer.begins(root, act, outcome)
                if seen is None:
                    continue
                self._note(outcome)
                found.setdefault(_event(self.setup, act), {})[self._does(outcome)] = None
                if seen.watch is not None:
                    self.watch = seen.watch
                    self.waits = self.waits or (seen.state is not None and observer.too_late(seen.state).bad)
        for what, does in found.items():
            yield ArgumentLine(what, tuple(does))

    def _note(self, outcome: EventOutcome) -> None:
        for timer, seconds in outcome.effect.leaf.change.starts:
            if timer in self.followed.tracked or timer.kind in _NAMED:
                self.lengths.setdefault(timer, set()).add(seconds)

    def _does(self, outcome: EventOutcome) -> str:
        """Return what the panel does, with the timers that it starts."""
        starts = [
            f"the {timer_in_words(self.setup, timer)} begins ({span(seconds)})"
            for timer, seconds in outcome.effect.leaf.change.starts
            if timer.kind in _NAMED and (timer in self.followed.tracked or timer.number in self.promise.areas)
        ]
        does = _does(self.setup, self.promise, outcome)
        return ", ".join([does] * (does != NOTHING or not starts) + starts)

    def _look(self, control: Control, state: str, times: list[TimeSet]) -> None:
        slice_, observer = self.followed.watched.slice, self.followed.watched.observer
        for act, outcome in slice_.row(control):
            due = [each for each in times if not isinstance(act, Expires) or act.timer not in each.clocks]
            if isinstance(act, Expires):
                ends = [at for each in times if act.timer in each.clocks and (at := each.at_expiry(act.timer))]
                if not due and not ends:
                    self.cannot.add(act.timer)
                    continue
                due += ends
            seen = observer.goes_on(state, control, act, outcome)
            over = seen.state is None or seen.unwatch
            aside = over and self._does(outcome) == NOTHING and not isinstance(act, Disarm)
            if aside or not self._is_named(act):
                self.others.add(over)
                continue
            self._note(outcome)
            step = self.steps.setdefault(_event(self.setup, act), _Step(act))
            step.outcomes[id(outcome.effect)] = outcome
            (step.over if over else step.goes_on).add(id(outcome.effect))
            if isinstance(act, Expires) and act.timer in self.followed.tracked:
                for each in due:
                    if WATCH in each.clocks and act.timer in each.clocks:
                        row = each.clocks.index(WATCH) + 1
                        soonest, last = -each.bounds[0][row], each.bounds[row][0]
                        step.earliest = soonest if step.earliest is None else min(step.earliest, soonest)
                        step.latest = last if step.latest is None else max(step.latest, last)

    def _is_named(self, act: Act) -> bool:
        """Return whether an event is described by itself: one of the promise's zones, a disarm, an area's timer."""
        if isinstance(act, ZoneOpens | ZoneTrips | ZoneCloses):
            return act.zone in self.promise.zones
        if isinstance(act, Expires):
            return act.timer in self.followed.tracked or (
                act.timer.kind in _NAMED and (act.timer.number in self.promise.areas or act.timer.kind.of_panel)
            )
        return isinstance(act, Disarm) and act.area in self.promise.areas

    def _meanwhile(self) -> Iterator[ArgumentLine]:
        lines: list[ArgumentLine] = []
        for what, step in self.steps.items():
            when = ""
            if step.earliest is not None and step.latest is not None:
                one = step.earliest == step.latest
                when = f" after {span(step.latest) if one else f'{step.earliest} to {span(step.latest)}'}"
            rests: list[tuple[Rests, str]] = []
            for each, out in step.outcomes.items():
                does = self._does(out)
                does = "it is off" if does == NOTHING and isinstance(step.act, Disarm) else does
                rests.append((out.assumed, does + self._settles(step, each)))
            for line in _lines(self.setup, what + when, step.act, rests):
                alone = line == ArgumentLine(what + when, (NOTHING,))
                lines.append(replace(line, since=self._since(step)) if alone else line)
        yield from _together(lines)

    def _settles(self, step: _Step, number: int) -> str:
        if number not in step.over:
            return ""
        return "; that settles it" if number not in step.goes_on else "; that may settle it"

    def _since(self, step: _Step) -> str:
        """Return the one condition that prevents an alarm."""
        if not isinstance(step.act, ZoneOpens | ZoneTrips):
            return ""
        zone = step.act.zone
        alarms = [
            out.assumed
            for _, act, out in self.everything
            if isinstance(act, ZoneOpens | ZoneTrips) and act.zone == zone and (out.called or out.held)
        ]
        in_use = [
            out.assumed
            for out in step.outcomes.values()
            if not any(out.is_so(what, zone) for what in ("open", "bypassed", "shut out"))
        ]
        found = reason(in_use, alarms)
        return condition(self.setup, *found, zone) if found is not None else ""

    def _lasts(self) -> str:
        if self.watch is None:
            return "It lasts until it is settled." if self.steps else "That settles it at once."
        return f"It must be settled within {span(self.watch - 1)}." if self.waits else f"It lasts {span(self.watch)}."

    def _too_late(self) -> Iterator[str]:
        for timer in sorted(self.cannot, key=str):
            name = timer_in_words(self.setup, timer)
            took = self.lengths.get(timer)
            yield f"the {name}{f' takes {span(min(took))} and' if took else ''} can't end in that time"

    def _else(self) -> str:
        if self.others == {True}:
            return "The promise doesn't cover what follows any other event."
        if self.others == {False}:
            return "No other event changes this."
        return "Any other event changes nothing, or the promise doesn't cover what follows it." if self.others else ""


def settings_of(reasons: Reasons, promise: Promise) -> tuple[str, ...]:
    """Return the names of the settings that decide it, known from its timers and limits; without entry times."""
    names = {TIMERS[kind] for kind in reasons.timers if kind is not TimerKind.ENTRY}
    if reasons.counts_alarms or promise.kind == "swinger":
        names.add("swinger limit")
    if promise.kind == "siren":
        names |= {"siren time", *({"swinger limit"} if promise.outright is not None else ())}
    if promise.kind == "delay":
        names.add("abort window")
    return tuple(sorted(names))

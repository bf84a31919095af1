"""A judge of proofs from outside: random panels, each statement of the owner's language, and long runs beside it.

Rules of this file:
1. It takes from the prover its verdicts and nothing else. What a statement means is written here a second time, from
   the documentation, for a run of the whole clockwork: no slice, no judge and no observer of the prover is used.
2. A contradiction is a text that says what was claimed and what was seen; an empty list means that none was found.
3. What it judges is what is documented: of a zone's openings and of what a timer brings later, of tampers nothing.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from zonewright.behaviour.acts import may_bypass
from zonewright.behaviour.clockwork import Clockwork, Timeline
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    CheckIn,
    Chime,
    Disarm,
    Event,
    Expires,
    Means,
    Message,
    Output,
    PanelMessage,
    Panic,
    QuickExit,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Spoken,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup, setup_of
from zonewright.behaviour.state import Control, Phase
from zonewright.panel.behaviours import ARMED, Mode, Pattern, Timing, modes_meant
from zonewright.panel.legal import random_programme
from zonewright.panel.profile_file import shipped
from zonewright.proof.promises.promise import WantedByOwner
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.refine import NOTHING_LOOKED_AT, VerdictKind
from zonewright.site.must import EffectKind, ModeWord, Statement
from zonewright.site.must import WantedEffect as Wish
from zonewright.site.names import NamedCause as Named
from zonewright.words.matrix import Cause, Cell, matrix

PANELS = ("marlow", "quill", "tern")
SETS_OF_AREAS = {"tern": ((1,), (2,), (1, 2), (1, 2)), "quill": ((1,), (2,), (1, 2), (1, 2), (1, 2, 3))}
FOUR = ((1,), (2,), (1, 2), (1, 2), (2, 3), (1, 2, 3))
KINDS: tuple[EffectKind, ...] = ("siren", "message", "any sound", "chime")
WORDS: tuple[ModeWord | None, ...] = (None, "off", "stay", "night", "away", "armed")
SIRENS = frozenset({Pattern.FIRE, Pattern.GAS, Pattern.BURGLARY, Pattern.INSIDE})  # the siren's patterns
MODES = sorted(ARMED, key=lambda each: each.value)  # in one order, so that a run is the same every time
PERSON = UserNumber(1)
DAYS_S = 3 * 24 * 3600  # in which any trouble is told
# What waited was counted when it began to wait; that a device is missing is no opening of it.
NOT_OF_ALARMS = frozenset({PanelMessage.BYPASS.value, *(trouble.value for trouble in Trouble)})
NOT_OF_DEVICES = frozenset({PanelMessage.BYPASS.value, PanelMessage.OVER_FAULT.value})  # people make these messages
NOT_OF_OPENINGS = frozenset({TimerKind.MISSING, TimerKind.ABORT, TimerKind.BATTERY})


Asked = Sequence[tuple[ZoneSetup, Statement]]


def some_panel(name: str, seed: int, zones: int = 3) -> Setup:
    """Return a random legal panel of a shipped profile, its zones spread over areas that share some of them."""
    chance = random.Random(f"{name} {seed}")
    profile = shipped(name)
    made = setup_of(random_programme(profile, chance, chance.randint(1, zones), chance.randint(0, 2)), profile)
    sets = SETS_OF_AREAS.get(name, FOUR)
    spread = tuple(replace(each, areas=frozenset(map(AreaNumber, chance.choice(sets)))) for each in made.zones)
    areas = tuple(sorted({area for each in spread for area in each.areas}))
    return replace(made, zones=spread, areas=areas)


def statements(setup: Setup, chance: random.Random, most: int | None = None) -> list[tuple[ZoneSetup, Statement]]:
    """Return every statement about these zones, or so many of them drawn at random."""
    found = []
    for zone, kind, word in product(setup.zones, KINDS, WORDS):
        of = zone.behaviour.alarm.split()[0] if zone.behaviour.alarm is not None else "fire"
        cause, narrower = Named(device=f"device {zone.number}"), kind == "message" and chance.random() < 0.3
        effect = Wish(kind, of if narrower else "")
        found.append((zone, Statement("never", cause, effect, word)))
        within = chance.choice((None, None, 0, 1, 29, 60, 200))
        found.append((zone, Statement("always", cause, effect, word, within)))
    return found if most is None or most >= len(found) else chance.sample(found, most)


# What a run shows -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Happened:
    """One event of a run of the whole panel, with the panel before and after it."""

    at: int
    before: Control
    event: Event
    after: Control
    outputs: tuple[Output, ...]


def run_of(setup: Setup, chance: random.Random, length: int) -> list[Happened]:
    """Return a long random run: people arm, leave, come back and disarm, devices speak, time passes."""
    panel = Clockwork(setup)
    found: list[Happened] = []
    given = _given(setup)

    def give(event: Event) -> None:
        before = panel.control
        entry = panel.give(event)
        found.append(Happened(entry.at, before, event, panel.control, entry.outputs))

    def wait(until: int) -> None:
        while panel.due and min(panel.due.values()) <= until:
            before = panel.control
            entry = panel.to_next()
            found.append(Happened(entry.at, before, entry.event, panel.control, entry.outputs))
        panel.advance(until)

    while len(found) < length:
        kind = chance.random()
        if kind < 0.12:  # everybody leaves, in one mode or in several
            mode = chance.choice(MODES)
            for zone in setup.zones:
                give(ZoneCloses(zone.number))
            for area in setup.areas:
                give(Disarm(area, _coded(setup, area)[0]))
                user, means = _ways(setup, area)[-1]
                give(Arm(area, mode if chance.random() < 0.8 else Mode.STAY, user, means))
            if chance.random() < 0.8:
                wait(panel.now + max(1, 2 * setup.settings.exit_time))
        elif kind < 0.55:
            wait(panel.now + chance.choice((1, 1, 2, 5, 30, 61, 200, 1000)))
        elif kind < 0.65 and panel.due:
            wait(min(panel.due.values()) - chance.choice((0, 1)))
        else:
            give(chance.choice(given))
    return found


def _given(setup: Setup) -> list[Event]:
    """Return what people and devices do, what they do most given more often."""
    found: list[Event] = []
    for zone in setup.zones:
        number = zone.number
        found += [ZoneOpens(number), ZoneCloses(number), ZoneTrips(number)] * 6
        found += [TroubleBegins(number, each) for each in (Trouble.TAMPER, Trouble.LOW_BATTERY)]
        found += [TroubleEnds(number, each) for each in (Trouble.TAMPER, Trouble.LOW_BATTERY)]
        who = next(iter(may_bypass(setup, zone)), None)
        found += [Bypass(number, who), Unbypass(number, who)] if who is not None else []
        found.append(CheckIn(number))
    for area in setup.areas:
        found += [Arm(area, mode, user, means) for mode in MODES for user, means in _ways(setup, area)]
        coded = _coded(setup, area)
        found += [Disarm(area, user) for user in coded] * 4
        found += [QuickExit(area, coded[0]), Panic(area, coded[0])]
    found += [SiteTroubleBegins(SiteTrouble.MAINS), SiteTroubleEnds(SiteTrouble.MAINS)]
    return found


def _ways(setup: Setup, area: AreaNumber) -> list[tuple[UserNumber, Means]]:
    """Return who sets an area, and by what; on nobody's site a remote comes last."""
    if setup.acts is None:
        return [(PERSON, Means.KEYPAD), (PERSON, Means.REMOTE)]
    return [(way.user, way.means) for way in setup.acts.of(area).ways]


def _coded(setup: Setup, area: AreaNumber) -> Sequence[UserNumber]:
    """Return whose code disarms an area."""
    return (PERSON,) if setup.acts is None else setup.acts.of(area).codes


# What a statement means -----------------------------------------------------------------------------------------------


def is_opening(one: Happened, zone: ZoneSetup) -> bool:
    """Return whether the zone's device says that it opens, or trips."""
    return isinstance(one.event, ZoneOpens | ZoneTrips) and one.event.zone == zone.number


def shows_effect(one: Happened, zone: ZoneSetup, effect: Wish, *, never: bool) -> bool:
    """Return whether the effect comes of the zone in this very event.

    `never`: as a `never` means it, a message also when it begins to wait, and whatever else the device tells.
    """
    began = {pattern for pattern, number in one.after.causes - one.before.causes if number == zone.number}
    rings = any(isinstance(each, Chime | Spoken) and each.zone == zone.number for each in one.outputs)
    if effect.kind == "siren":
        return bool(began & SIRENS)
    if effect.kind == "chime":
        return rings
    if effect.kind == "any sound":
        beeps = is_opening(one, zone) and any(isinstance(each, Beeps) for each in one.outputs)
        return rings or beeps or bool(began)
    names = [each.name for each in one.outputs if isinstance(each, Message) and each.zone == zone.number
             and not each.restore]  # fmt: skip
    new = set(one.after.waiting) - set(one.before.waiting)
    names += [name for number, name in new if never and number == zone.number]
    left_out = NOT_OF_DEVICES if never else NOT_OF_ALARMS
    return any(effect.of in name for name in names if name not in left_out)


def areas_in(control: Control, zone: ZoneSetup, modes: frozenset[Mode]) -> bool:
    """Return whether each area of the zone is in one of these modes."""
    return all(control.area(area).mode in modes for area in zone.areas)


def breaks_never(run: Iterable[Happened], zone: ZoneSetup, statement: Statement) -> int | None:
    """Return the second at which a run breaks a `never`, None if it doesn't."""
    modes = modes_meant(statement.while_)
    for one in run:
        every = statement.effect.kind == "message"  # of a message all is meant that the device tells
        kind = one.event.timer.kind if isinstance(one.event, Expires) else None
        later = kind is not None and (kind not in NOT_OF_OPENINGS or (every and kind is not TimerKind.ABORT))
        said = is_opening(one, zone) or (
            every and isinstance(one.event, TroubleBegins) and one.event.zone == zone.number
        )
        concerned = (later or said) and areas_in(one.before, zone, modes)
        if concerned and shows_effect(one, zone, statement.effect, never=True):
            return one.at
    return None


def breaks_always(
    setup: Setup, run: Sequence[Happened], zone: ZoneSetup, statement: Statement, until: int | None = None
) -> int | None:
    """Return the second at which a run breaks an `always`, None if it doesn't.

    It opens in earnest, all else quiet; then the effect comes in time, unless somebody disarms an area of it. Where the
    panel looks whether it lasts, it stays open. `until`: nothing happens after the run up to this second.
    """
    looks = _looks_s(setup, zone)
    modes = modes_meant(statement.while_)
    within = statement.within_s
    if within is None:
        within = (zone.entry_s if zone.behaviour.timing is Timing.DELAYED else 0) + setup.longest_wait(zone) + looks
    for place, one in enumerate(run):
        lasts = not looks or isinstance(one.event, ZoneOpens)
        if lasts and is_opening(one, zone) and _in_earnest(setup, one.before, zone, modes):
            late = _late(run[place:], zone, statement.effect, one.at + within + 1, until, stays=bool(looks))
            if late is not None:
                return late
    return None


def _looks_s(setup: Setup, zone: ZoneSetup) -> int:
    """Return how long a panel waits whether water stays, or smoke is there at a second look, at most [s]."""
    twice = setup.settings.fire_reset + setup.settings.fire_verify_window
    return setup.settings.environment_wait if zone.behaviour.persists else twice if _is_verified(setup, zone) else 0


def _is_verified(setup: Setup, zone: ZoneSetup) -> bool:
    return zone.verifies and setup.settings.fire_verify_window > 0


def _in_earnest(setup: Setup, control: Control, zone: ZoneSetup, modes: frozenset[Mode]) -> bool:
    """Return whether an opening now is one that a statement is about."""
    number, limit = zone.number, setup.settings.swinger_limit
    shut_out = limit > 0 and zone.behaviour.swinger and (number, limit) in control.alarms
    quiet = not control.causes and not control.waiting
    still = all(area.phase in (Phase.REST, Phase.SET) for area in control.areas)
    in_use = zone.behaviour.in_use and number not in control.open and number not in control.bypassed and not shut_out
    return quiet and still and in_use and areas_in(control, zone, modes)


def _late(
    run: Sequence[Happened], zone: ZoneSetup, effect: Wish, too_late: int, until: int | None, *, stays: bool
) -> int | None:
    """Return the second that is too late if nothing came by then and nobody disarmed, else None.

    `stays`: it isn't meant where the zone closes, or trips for a moment, before the effect came.
    """
    for place, one in enumerate(run):
        if one.at >= too_late:
            return too_late
        was_on = {area.number for area in one.before.areas if area.mode is not Mode.DISARMED}
        went_off = any(one.after.area(each).mode is Mode.DISARMED for each in zone.areas & was_on)
        went_off &= place > 0  # a push that turns a switch off is the opening itself
        shut = place > 0 and isinstance(one.event, ZoneCloses | ZoneTrips) and one.event.zone == zone.number
        if went_off or (stays and shut) or (isinstance(one.event, Disarm) and one.event.area in zone.areas):
            return None
        if shows_effect(one, zone, effect, never=False):
            return None
    return too_late if until is not None and until >= too_late else None


# What is claimed, held against it -------------------------------------------------------------------------------------


@dataclass(slots=True)
class Tally:
    """What was found of some panels."""

    panels: int = 0
    statements: int = 0
    events: int = 0
    results: Counter[str] = field(default_factory=Counter)
    contradictions: list[str] = field(default_factory=list)
    same_second: int = 0  # failures that rest on an order within one second that the clockwork doesn't take


def judge(name: str, seed: int, tally: Tally, *, most: int | None = 24, runs: int = 4, length: int = 250) -> None:
    """Hold what is proved of one random panel against random runs of it, its matrix and its own timelines."""
    chance = random.Random(f"statements {name} {seed}")
    setup = some_panel(name, seed)
    asked = statements(setup, chance, most)
    hold_against(f"{name} {seed}", setup, asked, [run_of(setup, chance, length) for _ in range(runs)], tally)


def hold_against(named: str, setup: Setup, asked: Asked, runs: Sequence[list[Happened]], tally: Tally) -> None:
    """Hold what is proved of these statements against these runs, the matrix and the timelines that are shown."""
    verdicts = proved(setup, asked)
    tally.panels += 1
    tally.statements += len(asked)
    tally.events += sum(map(len, runs))
    for (zone, statement), verdict in zip(asked, verdicts, strict=True):
        tally.results[verdict.settled.result.value] += 1
        says = f"{named}: zone {zone.number}: {statement}: {verdict.settled.result.value}"
        tally.contradictions += [f"{says}, but {why}" for why in against(setup, zone, statement, verdict, runs, tally)]


def proved(setup: Setup, asked: Asked) -> list[Verdict]:
    wanted = [WantedByOwner(statement, (zone.number,)) for zone, statement in asked]
    made = [each for one in wanted for each in promises(setup, wanted=[one]) if each.kind == "must"]
    assert len(made) == len(asked)
    by_promise = {id(verdict.promise): verdict for verdict in prove(setup, made)}
    return [by_promise[id(each)] for each in made]


def against(
    setup: Setup, zone: ZoneSetup, statement: Statement, verdict: Verdict, runs: Iterable[list[Happened]], tally: Tally
) -> Iterator[str]:
    """Give what speaks against one verdict."""
    settled = verdict.settled
    if settled.why == NOTHING_LOOKED_AT:
        yield "nothing was looked at"
    if settled.result is VerdictKind.HOLDS and not settled.cases:
        yield "no case is counted"
    if settled.result in (VerdictKind.HOLDS, VerdictKind.EMPTY):
        for run in runs:
            at = breaks(setup, run, zone, statement)
            if at is not None:
                yield f"a run breaks it at {at} s"
                break
        yield from _matrix_against(setup, zone, statement)
    elif settled.result is VerdictKind.FAILS and not settled.timeline:  # a sum: its trouble is let happen
        shown = [troubled(setup, zone, mode) for mode in modes_meant(statement.while_)]
        if all(breaks(setup, run, zone, statement) is None for run in shown):
            yield "no trouble of its device shows it"
    elif settled.result is VerdictKind.FAILS:
        ordered = played_again(setup, settled.timeline, in_order=False)
        end = settled.timeline[-1].at + 2000 if settled.timeline else 0
        if breaks(setup, ordered, zone, statement, end) is None:
            if breaks(setup, played_again(setup, settled.timeline, in_order=True), zone, statement, end) is None:
                yield "its timeline breaks nothing when its acts are played"
            else:
                tally.same_second += 1


def troubled(setup: Setup, zone: ZoneSetup, mode: Mode) -> list[Happened]:
    """Return what follows from each trouble of a zone's device in a mode, with days of silence behind it."""
    found: list[Happened] = []
    for trouble in Trouble:
        panel = Clockwork(setup)
        for area in sorted(zone.areas) if mode is not Mode.DISARMED else ():
            panel.give(Arm(area, mode, PERSON, Means.REMOTE))
        panel.rest()
        before = panel.control
        entry = panel.give(TroubleBegins(zone.number, trouble))
        found.append(Happened(entry.at, before, entry.event, panel.control, entry.outputs))
        while panel.due and min(panel.due.values()) < DAYS_S:
            before = panel.control
            entry = panel.to_next()
            found.append(Happened(entry.at, before, entry.event, panel.control, entry.outputs))
    return found


def breaks(
    setup: Setup, run: Sequence[Happened], zone: ZoneSetup, statement: Statement, until: int | None = None
) -> int | None:
    """Return the second at which a run breaks a statement, None if it doesn't."""
    if statement.wanted == "never":
        return breaks_never(run, zone, statement)
    return breaks_always(setup, run, zone, statement, until)


def _matrix_against(setup: Setup, zone: ZoneSetup, statement: Statement) -> Iterator[str]:
    """Give the modes in which the matrix shows what a `never` rules out."""
    if statement.wanted != "never" or statement.effect.kind not in ("siren", "message"):
        return
    table = matrix(setup, [Cause.OPENS])
    for mode in modes_meant(statement.while_):
        if matrix_shows(table.cell(zone.number, mode), zone, statement.effect):
            yield f"the matrix shows it while {mode.value}"


def matrix_shows(cell: Cell, zone: ZoneSetup, effect: Wish) -> bool:
    """Return whether a cell shows a siren, or a message of the zone; a cell that turns the setting shows neither."""
    if cell.turns is not None:
        return False
    if effect.kind == "siren":
        return cell.siren_after is not None
    return any(effect.of in each.name for _, each in cell.sent if each.zone == zone.number and not each.restore)


def played_again(setup: Setup, timeline: Timeline, *, in_order: bool) -> list[Happened]:
    """Return what the whole panel does when people and devices do what a timeline says, each at its second.

    `in_order`: of one second, as the timeline has it; else whatever is due comes first, as the clockwork has it.
    """
    panel = Clockwork(setup)
    found: list[Happened] = []

    def note(before: Control, at: int, event: Event, outputs: tuple[Output, ...]) -> None:
        found.append(Happened(at, before, event, panel.control, outputs))

    def until(second: int) -> None:
        while panel.due and min(panel.due.values()) <= second:
            before = panel.control
            entry = panel.to_next()
            note(before, entry.at, entry.event, entry.outputs)
        panel.advance(second)

    for entry in timeline:
        if isinstance(entry.event, Expires) and in_order:
            until(entry.at - 1)
            if panel.due.get(entry.event.timer) == entry.at:
                panel.advance(entry.at - 1)
                panel.now = entry.at
                before = panel.control
                done = panel.give(entry.event)
                note(before, done.at, done.event, done.outputs)
        elif not isinstance(entry.event, Expires):
            until(entry.at - 1 if in_order else entry.at)
            panel.now = entry.at
            before = panel.control
            done = panel.give(entry.event)
            note(before, done.at, done.event, done.outputs)
    until(timeline[-1].at if timeline else 0)
    return found

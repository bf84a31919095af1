"""What a panel promises of zones that guard: life safety and buttons at once in every mode, openings when armed.

Rules of this file:
1. A zone that guards always answers in the very step in which it opens, or has opened for as long as it must, whatever
   else goes on. A zone that guards when armed answers within its delay, from quiet, unless somebody disarms.
2. Of a zone that needs a second one to confirm it nothing is promised of one trip, unless no second one can trip.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.events import Bypass, DisplayLine, Expires, Message, Timer, TimerKind, ZoneOpens
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.behaviour.state import PRECEDENCE, Control, Phase
from zonewright.panel.behaviours import ALWAYS, ARMED, Mode, Pattern, Timing
from zonewright.proof.promises.by_zones import in_use, nobody_sets, opening, told
from zonewright.proof.promises.judges import (
    calls,
    counts,
    disarms,
    disarms_or_cannot,
    in_mode,
    quiet_at,
    sends,
    shows,
    some_is,
    sounds,
    tells_alarm,
    waits,
)
from zonewright.proof.promises.own_messages import Sends, own
from zonewright.proof.promises.promise import Condition, Premise, Promise, Window, about
from zonewright.proof.promises.provisos import Proviso, in_earnest
from zonewright.proof.prover.facts import places
from zonewright.proof.prover.observers import GoodWithin, Invariant, Judge, Observer
from zonewright.proof.prover.outcome import EventOutcome, stands_open
from zonewright.proof.prover.table import Act
from zonewright.site.record import span
from zonewright.words.telling import in_modes, in_modes_of


def of_alarms(setup: Setup, zone: ZoneSetup, window: Window) -> Iterator[Promise]:
    """Give what is promised of one zone's alarms."""
    behaviour = zone.behaviour
    at_once = behaviour.live == ALWAYS and behaviour.timing is Timing.INSTANT
    if zone.protects_life:
        yield from _at_once(setup, zone, "life safety")
        yield _never_bypassed(zone)
    elif not behaviour.in_use:
        return
    elif zone.crosses and setup.settings.cross_window:
        yield from _alone(setup, zone)
        return
    elif at_once:
        yield from _at_once(setup, zone, "answers")
    if not zone.protects_life and behaviour.live & ARMED:
        yield from _opening(setup, zone, window, at_once=at_once)


def _at_once(setup: Setup, zone: ZoneSetup, kind: str) -> Iterator[Promise]:
    settings, behaviour = setup.settings, zone.behaviour
    sounding = settings.siren_time > 0 and behaviour.siren is not Pattern.NONE
    sending = told(setup, zone)
    waiting = zone.message_waits and settings.abort_window > 0
    held = behaviour.abort and settings.entry_hold > 0
    if not (sounding or sending):
        return
    what = [*(["sounds"] if sounding else []), *(["sends"] if sending and not waiting else [])]
    does = " and ".join(what) or "gives its alarm"
    later = "; its message waits for the end of the abort window" if sending and waiting else ""
    later = later or ("; in an entry its message may be held" if sending and held else "")
    lasts = behaviour.persists and settings.environment_wait > 0
    verifies = zone.verifies and settings.fire_verify_window > 0
    again = (
        f", at a second trip less than {span(settings.fire_verify_window)} after it has settled clear"
        if verifies
        else ""
    )
    after = f" after {span(settings.environment_wait)} of it" if lasts else " at once"
    second, wait = Timer(TimerKind.VERIFY, zone.number), Timer(TimerKind.PERSIST, zone.number)

    if lasts:
        premise = about(
            Condition(f"the wait of {zone.label} ends", lambda _b, act, _o: act == Expires(wait)),
            Condition("with it there and in use", lambda _b, _a, out: stands_open(out.facts, zone.number)),
        )
    else:
        premise = about(opening(zone), *in_use(zone))
        if verifies:
            premise = about(*premise.parts, Condition("once more", lambda _b, _a, out: out.is_so("runs", second)))

    def missed(before: Control, act: Act, outcome: EventOutcome) -> bool:
        if lasts and isinstance(act, ZoneOpens) and act.zone == zone.number:  # shut out it need not
            begins = wait in dict(outcome.effect.leaf.change.starts)
            return counts(outcome, zone) and not begins
        return premise(before, act, outcome) and (
            (sounding and not _plays(outcome, heard_as(setup, zone, before, outcome)))
            or (sending and not sends(outcome, zone) and not ((waiting or held) and waits(outcome, zone)))
        )

    yield Promise(
        kind, kind, f"{zone.label} {does}{after} in every mode{again}{later}", (zone.number,), zone.areas,
        Invariant(missed), premise, heard=True, provisos=in_earnest(setup, zone),
    )  # fmt: skip


def heard_as(setup: Setup, zone: ZoneSetup, before: Control, outcome: EventOutcome) -> Pattern:
    """Return what a zone sounds at least: inside only, while its areas aren't set, where the panel keeps to that."""
    pattern = zone.behaviour.siren
    is_set = some_is(before, outcome, zone.areas, places(None, frozenset({Phase.SET, Phase.ENTRY})))
    inside = setup.settings.inside_when_off and pattern is Pattern.BURGLARY and not is_set
    return Pattern.INSIDE if inside else pattern


def _plays(outcome: EventOutcome, pattern: Pattern) -> bool:
    """Return whether this pattern, or one that comes before it, plays now."""
    return PRECEDENCE[outcome.control.siren] <= PRECEDENCE[pattern]


def _never_bypassed(zone: ZoneSetup) -> Promise:

    def tried(_before: Control, act: Act, _outcome: EventOutcome) -> bool:
        return isinstance(act, Bypass) and act.zone == zone.number

    asked = Condition(f"a user bypasses {zone.label}", tried, "nobody has a code for it")
    return Promise(
        "life safety", "no bypass", f"{zone.label} is bypassed by no user and by no arming", (zone.number,), zone.areas,
        Invariant(lambda _b, _a, out: shows(out, DisplayLine.BYPASSED, zone)), about(asked), heard=True,
    )  # fmt: skip


def _opening(setup: Setup, zone: ZoneSetup, window: Window, *, at_once: bool) -> Iterator[Promise]:
    """It is an opening that somebody protects, when armed."""
    settings, sending = setup.settings, told(setup, zone)
    delay = zone.entry_s if zone.behaviour.timing is Timing.DELAYED else 0
    waiting = setup.longest_wait(zone)
    if settings.siren_time and zone.behaviour.siren is Pattern.BURGLARY and not at_once:
        yield _answered(setup, zone, "sounds", zone.behaviour.live & ARMED, window.most(delay))
    if sending and (waiting or not at_once):
        modes = zone.behaviour.live if at_once else zone.behaviour.live & ARMED
        yield _answered(setup, zone, "sends", modes, window.most(delay, waiting))


def _answered(setup: Setup, zone: ZoneSetup, what: str, modes: frozenset[Mode], within: int) -> Promise:
    how = f"within {span(within)} unless disarmed" if within else "at once"
    start = quiet_opening(setup, zone, modes)
    if what == "sends":
        observer: Observer = sends_within(setup, zone, start, within)
    else:
        observer = GoodWithin(start, lambda _b, _a, out: sounds(out, zone), within, ends=disarms_or_cannot(zone))
    says = f"{zone.label} {what} {how}, {in_modes_of(zone, modes)}"
    return Promise(
        "opening", f"opening {what}", says, (zone.number,), zone.areas,
        observer, start, timed=True, provisos=in_earnest(setup, zone, Proviso.QUIET),
    )  # fmt: skip


def _alone(setup: Setup, zone: ZoneSetup) -> Iterator[Promise]:
    """Its pair is out of use: then it isn't dumb, it gives the alarm itself."""
    loud = setup.settings.siren_time > 0 and zone.behaviour.siren is not Pattern.NONE
    if not (loud or told(setup, zone)):
        return
    modes = zone.behaviour.live & ARMED
    pairs = [setup.zone(number) for number in sorted(zone.crosses)]

    def is_alarm(outcome: EventOutcome) -> bool:  # an unverified alarm is none
        names = [each.name for each in outcome.outputs if isinstance(each, Message) and each.zone == zone.number]
        return calls(outcome, zone) if loud else zone.behaviour.alarm in {*names, *(name for _, name in outcome.held)}

    def cannot(outcome: EventOutcome, pair: ZoneSetup | None) -> bool:
        facts = ("open", "bypassed", "shut out", "trouble missing")
        return pair is None or any(outcome.is_so(fact, pair.number) for fact in facts)

    premise = about(
        opening(zone),
        Condition(
            in_modes_of(zone, modes),
            lambda before, _a, out: in_mode(before, out, zone, modes),
            nobody_sets(setup, zone, modes),
        ),
        *in_use(zone),
        Condition(
            "while no zone that confirms it can trip (open, bypassed, missing, or after its last alarm)",
            lambda _b, _a, out: all(cannot(out, pair) for pair in pairs),
        ),
    )
    yield Promise(
        "opening", "alone",
        f"{zone.label} gives its alarm alone where each zone that confirms it stands open, is bypassed, missing or "
        f"after its last alarm, {in_modes_of(zone, modes)}",
        (zone.number,), zone.areas,
        Invariant(lambda before, act, out: premise(before, act, out) and not is_alarm(out)), premise,
        provisos=in_earnest(setup, zone, Proviso.QUIET), looks_at=tuple(sorted(zone.crosses)),
    )  # fmt: skip


def sends_within(setup: Setup, zone: ZoneSetup, start: Judge, within: int) -> Observer:
    """Return what sees that an alarm message of the zone leaves in time, unless somebody disarms."""
    return Sends(own(setup, zone), start, lambda _a, _o, leaving: tells_alarm(leaving), within, disarms(zone))


def quiet_opening(setup: Setup, zone: ZoneSetup, modes: frozenset[Mode]) -> Premise:
    """It opens in earnest in one of these modes, everything else at rest."""
    since = nobody_sets(setup, zone, modes)
    if not since and zone.behaviour.live:
        since = f"it guards only {in_modes(zone.behaviour.live)}"
    return about(
        opening(zone),
        Condition(in_modes(modes), lambda before, _a, out: in_mode(before, out, zone, modes), since),
        *in_use(zone),
        Condition(Proviso.QUIET.value, lambda before, _a, out: quiet_at(before, out)),
    )

"""What a panel promises of each of its zones, one event at a time: that it is noticed, silent, shut out in the end.

Rules of this file:
1. A promise follows from a zone's attributes and settings, never from the name of its behaviour.
2. Zones that act alike are promised together, for the first of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.acts import arming, can_be, disarming, may_bypass
from zonewright.behaviour.effects import may_be_bypassed
from zonewright.behaviour.events import DisplayLine, Expires, Timer, TimerKind, TroubleBegins
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import ALWAYS, ARMED, Mode, Pattern
from zonewright.proof.promises.judges import (
    gives_alarm,
    is_noticed,
    opens,
    shows,
    some_in,
)
from zonewright.proof.promises.promise import Condition, Never, Promise, about
from zonewright.proof.promises.provisos import Proviso
from zonewright.proof.prover.observers import Invariant
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.words.telling import UNCOUNTED, in_modes, nobody_can_have


def counting_ends(setup: Setup, disarmed: str) -> str:
    """Return what ends the counting of alarms: somebody disarms, or the panel forgets them by itself."""
    fails = ", a setting fails" if setup.settings.completing_act else ""
    shared = any(len(zone.areas) > 1 for zone in setup.zones)
    lowest = " (a shared zone counts in the lowest of its areas)" if shared else ""
    return f"{disarmed}{fails}, or {UNCOUNTED}{lowest}"


def of_zone(setup: Setup, zone: ZoneSetup) -> Iterator[Promise]:
    """Give what is promised of one zone."""
    behaviour = zone.behaviour
    if not zone.can_alarm:
        yield _only_announces(setup, zone)
    if not behaviour.in_use:
        return
    waits = {Expires(Timer(kind, zone.number)) for kind in (TimerKind.PERSIST, TimerKind.VERIFY_RESET)}

    def noticed(_before: Control, act: Act, outcome: EventOutcome) -> bool:
        itself = opens(act, zone) or act in waits
        return itself and any(is_noticed(each, zone) for each in outcome.outputs)

    yield Promise(
        "noticed", "noticed", f"a person can notice that {zone.label} opens", (zone.number,), zone.areas,
        Invariant(noticed),
        about(opening(zone), *in_use(zone)), wants=True,
    )  # fmt: skip
    silent = frozenset(Mode) - behaviour.live - behaviour.warns
    if zone.can_alarm and silent:
        yield _silent(zone, silent)
    if (
        behaviour.swinger
        and setup.settings.swinger_limit
        and (behaviour.siren is not Pattern.NONE or told(setup, zone))
    ):
        yield _shut_out(setup, zone)


def looks_s(setup: Setup, zone: ZoneSetup) -> int:
    """Return how long the panel looks at an opening of the zone that lasts before it is an alarm, at most [s]."""
    settings = setup.settings
    if zone.behaviour.persists:
        return settings.environment_wait
    return settings.fire_reset + settings.fire_verify_window if zone.verifies and settings.fire_verify_window else 0


def told(setup: Setup, zone: ZoneSetup) -> bool:
    """Return whether a station is told of the zone's alarms."""
    return setup.settings.told and zone.tells_alarm and zone.behaviour.alarm is not None


def opening(zone: ZoneSetup) -> Condition:
    """It opens."""
    return Condition(f"{zone.label} opens", lambda _b, act, _o: opens(act, zone))


def in_use(zone: ZoneSetup) -> tuple[Condition, ...]:
    """It opens in earnest: it was shut, nobody took it out, and it has alarms left."""
    number = zone.number
    since = "" if zone.behaviour.in_use else "the panel doesn't listen to it"
    return (
        Condition(Proviso.SHUT.value, lambda _b, _a, out: out.facts.get(("open", number)) is False, since),
        Condition(Proviso.IN_USE.value, lambda _b, _a, out: not out.is_so("bypassed", number)),
        Condition(Proviso.ALARMS_LEFT.value, lambda _b, _a, out: not out.is_so("shut out", number)),
    )


def opening_when_back(setup: Setup, area: AreaNumber) -> list[ZoneSetup]:
    """Return the zones of an area that a user can bypass and that give their alarm as soon as the bypass ends."""
    return [
        zone
        for zone in setup.zones_of(area)
        if zone.can_alarm
        and zone.behaviour.live == ALWAYS
        and may_be_bypassed(zone)
        and may_bypass(setup, zone)
        and not looks_s(setup, zone)
    ]


def nobody_sets(setup: Setup, zone: ZoneSetup, modes: frozenset[Mode]) -> str:
    """Return of which area of a zone nobody can set it in any of these armed modes; nothing where somebody can."""
    if Mode.DISARMED in modes:
        return ""
    return next((since for area in sorted(zone.areas) if (since := nobody_sets_area(setup, area, modes))), "")


def nobody_sets_area(setup: Setup, area: AreaNumber, modes: frozenset[Mode] = ARMED) -> str:
    """Return that nobody can set an area in any of these modes; nothing where somebody can, or a switch does."""
    if modes & can_be(setup, area):
        return ""
    text = nobody_can_have(f"area {area}" if len(setup.areas) > 1 else "it", modes)
    return text if any(act.mode in modes for act in arming(setup, area)) else Never(text)


def nobody_disarms(setup: Setup, area: AreaNumber) -> str:
    """Return that nobody can disarm an area; nothing where somebody can, or a switch does."""
    switched = any(each.behaviour.arms is not None for each in setup.zones_of(area))
    if switched or disarming(setup, area) is not None:
        return ""
    return f"nobody on this site can disarm {f'area {area}' if len(setup.areas) > 1 else 'it'}"


def _only_announces(setup: Setup, zone: ZoneSetup) -> Promise:
    """It is for information; but a switch arms, and a door may be one to leave by."""
    plain = zone.behaviour.arms is None and not zone.behaviour.exit_door
    says = f"{zone.label} never sounds the siren and never sends an alarm"
    watch = {Timer(kind, zone.number) for kind in (TimerKind.MISSING, TimerKind.HEARD)}  # any sign starts them again
    watched = zone.supervise and (setup.supervision_s(zone) or setup.settings.heard_before_setting)
    changes_nothing = f", and changes no mode and no timer{', but that its device was heard' if watched else ''}"

    cover = bool(zone.behaviour.tamper_alarm)  # it may be meant to: an arm switch's, when armed
    says += ", its cover aside" if cover else ""

    def of_its_cover(act: Act) -> bool:
        """Return whether an event is about its cover: what follows from it, or its message has waited long enough."""
        waited = isinstance(act, Expires) and act.timer.kind is TimerKind.ABORT
        return cover and (waited or isinstance(act, TroubleBegins))

    def does_more(_before: Control, act: Act, outcome: EventOutcome) -> bool:
        if of_its_cover(act):
            return False
        return gives_alarm(outcome, zone) or (plain and opens(act, zone) and changes(outcome))

    def changes(outcome: EventOutcome) -> bool:
        change = outcome.effect.leaf.change
        timers = {*dict(change.starts), *change.stops} - watch
        return bool(change.areas or timers)

    return Promise(
        "notice", "notice", says + changes_nothing if plain else says, (zone.number,), zone.areas,
        Invariant(does_more), about(opening(zone), *in_use(zone)),
    )  # fmt: skip


def _silent(zone: ZoneSetup, modes: frozenset[Mode]) -> Promise:
    """It is for other modes."""
    when = in_modes(modes)
    when = when.replace("when", "while any of its areas is", 1) if len(zone.areas) > 1 else when
    here = Condition(when, lambda before, _a, out: some_in(before, out, zone, modes))
    itself = opening(zone)

    def speaks(before: Control, act: Act, outcome: EventOutcome) -> bool:
        return opens(act, zone) and gives_alarm(outcome, zone) and some_in(before, outcome, zone, modes)

    return Promise(
        "silent", "silent", f"{zone.label}: its opening neither sounds nor sends {when}", (zone.number,), zone.areas,
        Invariant(speaks), about(itself, here),
    )  # fmt: skip


def _shut_out(setup: Setup, zone: ZoneSetup) -> Promise:
    """No sensor calls the neighbours all night: each alarm counts, and after the last nothing comes of it."""
    limit = setup.settings.swinger_limit
    times = "one alarm" if limit == 1 else f"{limit} alarms"
    disarmed = "any of its areas is disarmed" if len(zone.areas) > 1 else "it is disarmed"

    since = nobody_sets(setup, zone, zone.behaviour.live) or "it gives none"

    def goes_on(_before: Control, act: Act, outcome: EventOutcome) -> bool:
        if opens(act, zone) and outcome.is_so("shut out", zone.number):
            return gives_alarm(outcome, zone)
        counted = outcome.effect.leaf.change.parts.get("alarms", ())
        return shows(outcome, DisplayLine.ALARM, zone) and all(number != zone.number for number, _ in counted)

    says = f"{zone.label} gives no more after {times}, until {counting_ends(setup, disarmed)}"
    return Promise(
        "swinger", "swinger", says, (zone.number,), zone.areas, Invariant(goes_on),
        about(
            opening(zone),
            Condition(f"after {times}", lambda _b, _a, out: out.is_so("shut out", zone.number), since),
        ),
    )  # fmt: skip

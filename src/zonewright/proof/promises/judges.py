"""What one event is, judged: an opening, a call for the sounder, a message, a disarm.

Rules of this file:
1. A judge sees the panel before, the event and one outcome; what several events make together, observers watch.
2. It reads the value of a fact, never that `step` asked for it: what wasn't asked may be so.
"""

from __future__ import annotations

from collections.abc import Iterable

from zonewright.behaviour.events import (
    Beeps,
    Chime,
    DeviceEvent,
    Disarm,
    DisplayLine,
    Expires,
    Message,
    Output,
    PanelMessage,
    Shown,
    Siren,
    Spoken,
    Timer,
    TimerKind,
    Trouble,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, ZoneSetup
from zonewright.behaviour.state import Control, Phase
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.prover.facts import ANYWHERE, Mask, places
from zonewright.proof.prover.observers import Judge
from zonewright.proof.prover.other_areas import Answer, can_be, told_of_areas
from zonewright.proof.prover.outcome import EventOutcome, stands_open
from zonewright.proof.prover.table import Act
from zonewright.site.must import WantedEffect
from zonewright.site.record import ZoneNumber
from zonewright.words.telling import SIRENS, is_meant

_OF_SETTING = (
    PanelMessage.OPENING,
    PanelMessage.CLOSING,
    PanelMessage.SWITCH_OPENING,
    PanelMessage.SWITCH_CLOSING,
    PanelMessage.NOT_SET,
    PanelMessage.OVER_FAULT,
)
OF_PEOPLE = frozenset(
    each.value for each in (PanelMessage.BYPASS, *_OF_SETTING)
)  # what people do, whichever zone is named
NOT_ALARMS = OF_PEOPLE | {each.value for each in Trouble}


def opens(act: Act, zone: ZoneSetup) -> bool:
    """Return whether the event is an opening of the zone."""
    return isinstance(act, ZoneOpens | ZoneTrips) and act.zone == zone.number


def counts(outcome: EventOutcome, zone: ZoneSetup) -> bool:
    """Return whether the zone was shut, and is neither bypassed nor shut out."""
    facts = outcome.facts
    number = zone.number
    return (
        facts.get(("open", number)) is False
        and not outcome.is_so("bypassed", number)
        and not outcome.is_so("shut out", number)
    )


def sounds(outcome: EventOutcome, zone: ZoneSetup) -> bool:
    """Return whether the zone calls for the sounder."""
    return any(number == zone.number for _, number in outcome.called)


def calls(outcome: EventOutcome, zone: ZoneSetup) -> bool:
    """Return whether the zone calls for the sounder, or did so before and still does."""
    return sounds(outcome, zone) or any(number == zone.number for _, number in outcome.control.causes)


def sends(outcome: EventOutcome, zone: ZoneSetup) -> bool:
    """Return whether a message about an alarm of the zone leaves."""
    return any(is_alarm_of(output, zone) for output in outcome.outputs)


def holds_back(outcome: EventOutcome, zone: ZoneSetup) -> bool:
    """Return whether a message of the zone begins to wait."""
    return any(number == zone.number for number, _ in outcome.held)


def waits(outcome: EventOutcome, zone: ZoneSetup) -> bool:
    """Return whether a message of the zone waits afterwards, or begins to wait."""
    return holds_back(outcome, zone) or any(number == zone.number for number, _ in outcome.control.waiting)


def gives_alarm(outcome: EventOutcome, zone: ZoneSetup) -> bool:
    """Return whether the zone calls for the sounder, sends an alarm, or begins to wait with one."""
    return sounds(outcome, zone) or sends(outcome, zone) or holds_back(outcome, zone)


def shows(outcome: EventOutcome, line: DisplayLine, zone: ZoneSetup) -> bool:
    """Return whether the display says this about the zone."""
    return Shown(line, zone.number) in outcome.outputs


def left_open(outcome: EventOutcome, doors: Iterable[ZoneSetup]) -> list[ZoneSetup]:
    """Return which of these doors the outcome rests on as standing open, in use and not shut out."""
    return [door for door in doors if stands_open(outcome.facts, door.number)]


def is_alarm_of(output: Output, zone: ZoneSetup) -> bool:
    """Return whether this is a message about an alarm of the zone."""
    return (
        isinstance(output, Message)
        and output.zone == zone.number
        and not output.restore
        and output.name not in NOT_ALARMS
    )


def tells_alarm(names: Iterable[str]) -> bool:
    """Return whether one of these messages is about an alarm."""
    return any(name not in NOT_ALARMS for name in names)


def in_mode(control: Control, outcome: EventOutcome, zone: ZoneSetup, modes: frozenset[Mode]) -> bool:
    """Return whether every area of the zone may be in one of these modes, at rest or set."""
    return all_may_be(control, outcome, zone.areas, places(modes, frozenset({Phase.REST, Phase.SET})))


def may_be_in(control: Control, outcome: EventOutcome, zone: ZoneSetup, modes: frozenset[Mode]) -> bool:
    """Return whether every area of the zone may be in one of these modes."""
    return all_may_be(control, outcome, zone.areas, places(modes, None))


def mode_may_be(control: Control, outcome: EventOutcome, area: AreaNumber, modes: frozenset[Mode]) -> bool:
    """Return whether an area may be in one of these modes."""
    return all_may_be(control, outcome, {area}, places(modes, None))


def some_in(control: Control, outcome: EventOutcome, zone: ZoneSetup, modes: frozenset[Mode]) -> bool:
    """Return whether some area of the zone may be in one of these modes."""
    return some_may_be(control, outcome, zone.areas, places(modes, None))


def all_may_be(control: Control, outcome: EventOutcome, areas: Iterable[AreaNumber], mask: Mask) -> bool:
    """Return whether each of these areas may have been in one of these places before the outcome."""
    return can_be(_told(control, outcome, areas) | {(("all in", (tuple(sorted(areas)), mask)), True)})


def some_may_be(control: Control, outcome: EventOutcome, areas: Iterable[AreaNumber], mask: Mask) -> bool:
    """Return whether one of these areas may have been in one of these places before the outcome."""
    outside = ANYWHERE & ~mask
    return can_be(_told(control, outcome, areas) | {(("all in", (tuple(sorted(areas)), outside)), False)})


def some_is(control: Control, outcome: EventOutcome, areas: Iterable[AreaNumber], mask: Mask) -> bool:
    """Return whether one of these areas surely was in one of these places before the outcome."""
    return not all_may_be(control, outcome, areas, ANYWHERE & ~mask)


def _told(control: Control, outcome: EventOutcome, areas: Iterable[AreaNumber]) -> frozenset[Answer]:
    """Return what the outcome rests on of where areas are, and of these areas what the control tells."""
    told = told_of_areas(outcome.facts)
    known = {fact for fact, _ in told}
    here = [each for each in control.areas if each.number in areas]
    parts = [((what, each.number), getattr(each, what)) for each in here for what in ("mode", "phase")]
    return told | {pair for pair in parts if pair[0] not in known}


def quiet(control: Control) -> bool:
    """Return whether nothing sounds, nothing waits, and nobody is coming or going."""
    return (
        not control.causes
        and not control.waiting
        and all(area.phase in (Phase.REST, Phase.SET) for area in control.areas)
    )


def quiet_at(control: Control, outcome: EventOutcome) -> bool:
    """Return whether it is quiet, and it doesn't rest on the sounder's being on."""
    return quiet(control) and outcome.facts.get(("siren without", ()), Pattern.NONE) is Pattern.NONE


def has_effect(effect: WantedEffect, act: Act, outcome: EventOutcome, zone: ZoneSetup, *, waiting: bool) -> bool:
    """Return whether an event of the zone, or what follows from one, has the effect."""
    loud = any(number == zone.number and pattern in SIRENS for pattern, number in outcome.called)
    match effect.kind:
        case "siren":
            return loud
        case "message":
            names = [each.name for each in outcome.outputs if isinstance(each, Message) and each.zone == zone.number
                     and not each.restore]  # fmt: skip
            names += [name for number, name in outcome.held if waiting and number == zone.number]
            return any(is_meant(effect.of, name) for name in names)
        case "chime":
            return any(isinstance(each, Chime | Spoken) and each.zone == zone.number for each in outcome.outputs)
        case "any sound":
            mine = isinstance(act, DeviceEvent) and act.zone == zone.number
            beeps = mine and any(isinstance(each, Beeps) for each in outcome.outputs)
            chimes = any(isinstance(each, Chime | Spoken) and each.zone == zone.number for each in outcome.outputs)
            return beeps or chimes or sounds(outcome, zone)


def disarms(zone: ZoneSetup) -> Judge:
    """Return the judge of disarms of an area of the zone, by somebody."""
    off = _goes_off(zone)

    def judge(before: Control, act: Act, outcome: EventOutcome) -> bool:
        if isinstance(act, Disarm):
            return act.area in zone.areas
        return not isinstance(act, Expires) and off(before, act, outcome)  # a setting that fails is nobody's disarm

    return judge


def _goes_off(zone: ZoneSetup) -> Judge:
    """Return the judge of an area of the zone being off that was set, or was to be."""

    def judge(before: Control, _act: Act, outcome: EventOutcome) -> bool:
        if not outcome.effect.kept.areas:
            return False
        armed = {area.number for area in before.areas if area.mode is not Mode.DISARMED}
        return any(area.mode is Mode.DISARMED for area in outcome.control.areas if area.number in zone.areas & armed)

    return judge


def disarms_or_cannot(zone: ZoneSetup) -> Judge:
    """A disarm, a setting that fails, or what can't be: a zone is shut out only after an alarm of its own."""
    disarmed, off = disarms(zone), _goes_off(zone)

    def ends(before: Control, act: Act, outcome: EventOutcome) -> bool:
        shut_out = outcome.is_so("shut out", zone.number)
        return disarmed(before, act, outcome) or off(before, act, outcome) or shut_out

    return ends


def user_is_told(outcome: EventOutcome, zone: ZoneSetup, number: ZoneNumber) -> bool:
    """Return whether the display says that no message of this number went, or that a cancel message of the zone did."""
    cancelled = any(Shown(DisplayLine.CANCEL_SENT, area=area) in outcome.outputs for area in zone.areas)
    return cancelled or Shown(DisplayLine.NOT_SENT, number) in outcome.outputs


def starts_abort(outcome: EventOutcome, zone: ZoneSetup) -> bool:
    """Return whether a message of the zone begins to wait, and its abort window with it."""
    return holds_back(outcome, zone) and Timer(TimerKind.ABORT, zone.home) in dict(outcome.starts)


def is_noticed(output: Output, zone: ZoneSetup) -> bool:
    """Return whether a person by the keypad notices this of the zone."""
    match output:
        case Siren():
            return output.pattern is not Pattern.NONE
        case Beeps():
            return True
        case Chime() | Spoken() | Shown() | Message():
            return output.zone == zone.number

"""What the owner wants of people: that nothing somebody does ever has an effect.

Rules of this file:
1. What a person does is their own step, and every message with their name, however much later.
2. A slice forgets which zones are bypassed while an area is armed, which faults stand, and who armed it where a message
   waits. What may follow from those stands in `_unfollowed`: a statement about it is never said to hold.
3. Of that, what surely happens breaks a statement that means every mode. In which mode it happens isn't looked at.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.acts import can_be, may_bypass
from zonewright.behaviour.effects import may_be_bypassed
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    Chime,
    Disarm,
    Event,
    Message,
    PanelMessage,
    Panic,
    QuickExit,
    Spoken,
    Trouble,
    Unbypass,
)
from zonewright.behaviour.faults import Right
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import ARMED, Mode, Pattern, modes_meant
from zonewright.proof.promises.by_zones import nobody_sets, nobody_sets_area, opening_when_back, told
from zonewright.proof.promises.judges import mode_may_be
from zonewright.proof.promises.promise import Condition, Outright, OutrightVerdict, Promise, WantedByOwner, about
from zonewright.proof.prover.observers import Invariant
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.site.must import WantedEffect
from zonewright.words.telling import SIRENS, in_modes, is_meant

NO_FAULTS = "which fault stands when they insist on setting isn't looked at"
ANY_MODE = "in which mode isn't looked at"


def of_person(setup: Setup, wanted: WantedByOwner, sort: str) -> Iterator[Promise]:
    """Give a promise for each area in which somebody can do anything with their code, or for help."""
    assert wanted.person is not None
    statement, nothing = wanted.statement, True
    for area in setup.areas:
        done = frozenset(done_by(setup, wanted.person, area))
        if done:
            nothing = False
            yield _in_area(setup, wanted, sort, area, done)
    if nothing:
        why = f"no area of {statement.cause}'s has a zone, and such areas aren't looked at"
        yield Promise(
            "must", f"must {statement}", str(statement), (), frozenset(setup.areas),
            outright=Outright(OutrightVerdict.UNKNOWN, why),
        )  # fmt: skip


def _in_area(setup: Setup, wanted: WantedByOwner, sort: str, area: AreaNumber, done: frozenset[Event]) -> Promise:
    """Nothing that somebody does in an area has the effect in that very step, nor any message with their name."""
    statement, user = wanted.statement, wanted.person
    assert user is not None
    modes, meant = modes_meant(statement.while_), wanted.area or area

    def bad(before: Control, act: Act, outcome: EventOutcome) -> bool:
        theirs = act in done and _has_effect_of(statement.effect, outcome)
        return mode_may_be(before, outcome, meant, modes) and (
            theirs or _is_named(statement.effect, user, area, outcome)
        )

    plain = not statement.while_
    isnt = list(_unfollowed(setup, statement.effect, area, user, done))
    sure = next((why for why, surely in isnt if surely and plain), None)
    where = f" in area {area}" if len(setup.areas) > 1 else ""
    idle = "" if Mode.DISARMED in modes else nobody_sets_area(setup, meant, modes)
    is_so = in_modes(modes) if wanted.area is None else f"with area {meant} {in_modes(modes).removeprefix('when ')}"
    return Promise(
        "must", f"must {statement}",
        f"{statement} (what {statement.cause} does{where}, and messages with their name)",
        (), frozenset({area}), Invariant(bad),
        about(
            Condition(f"{statement.cause} does something", lambda _b, act, _o: act in done),
            Condition(is_so, lambda before, _a, out: mode_may_be(before, out, meant, modes), idle),
        ),
        heard=statement.effect.kind != "message", also=tuple(done),
        near=frozenset() if wanted.area is None else frozenset({wanted.area}),
        spoken_of=tuple(zone.number for zone in setup.zones_of(area)),
        outright=Outright(OutrightVerdict.BROKEN, sure) if sure else None,
        unfollowed="" if not isnt else isnt[0][0] if plain else f"{isnt[0][0]}; {ANY_MODE}",
        sort=sort,
    )  # fmt: skip


def done_by(setup: Setup, user: UserNumber, area: AreaNumber) -> Iterator[Event]:
    """Give all that somebody can do in an area; nothing where neither code nor button of theirs is good for it."""
    acts = setup.acts.of(area) if setup.acts is not None else None
    if acts is None or user not in (*acts.codes, *(way.user for way in acts.ways)):
        return
    mine = [way for way in acts.ways if way.user == user]
    coded = user in acts.codes
    yield from (Arm(area, mode, user, way.means) for way in mine for mode in ARMED & way.modes)
    if coded:
        yield from (Arm(area, mode, user) for mode in ARMED)
        if any(Right.USER.sets_over(right) for _, right in setup.settings.at_setting):
            yield from (Arm(area, mode, user, over=Right.USER) for mode in ARMED)
        yield from (QuickExit(area, user), Panic(area, user))
    if coded or user in acts.by_button:
        yield Disarm(area, user)
    for zone in setup.zones_of(area):
        if user in may_bypass(setup, zone):
            yield from (Bypass(zone.number, user), Unbypass(zone.number, user))


def _is_named(effect: WantedEffect, user: UserNumber, area: AreaNumber, outcome: EventOutcome) -> bool:
    """Return whether a message of an area with somebody's name has the effect: a setting of theirs that failed, say."""
    sent = [each for each in outcome.outputs if isinstance(each, Message) and not each.restore]
    mine = [each.name for each in sent if each.user == user and each.area == area]
    return effect.kind == "message" and any(is_meant(effect.of, name) for name in mine)


def _has_effect_of(effect: WantedEffect, outcome: EventOutcome) -> bool:
    match effect.kind:
        case "message":
            sent = [each for each in outcome.outputs if isinstance(each, Message) and not each.restore]
            return any(is_meant(effect.of, each.name) for each in sent)
        case "siren":
            return any(pattern in SIRENS for pattern, _ in outcome.called)
        case "chime":
            return any(isinstance(each, Chime | Spoken) for each in outcome.outputs)
        case "any sound":
            heard = any(isinstance(each, Chime | Spoken | Beeps) for each in outcome.outputs)
            return heard or bool(outcome.called)


# What no slice follows ------------------------------------------------------------------------------------------------


def _unfollowed(
    setup: Setup, effect: WantedEffect, area: AreaNumber, user: UserNumber, done: frozenset[Event]
) -> Iterator[tuple[str, bool]]:
    """Give how somebody may come to have an effect although no slice shows it, each with whether it surely happens."""
    armed = frozenset(act.mode for act in done if isinstance(act, Arm))
    told_of = effect.kind == "message" and setup.settings.told
    insists = any(isinstance(act, Arm) and act.over is not None for act in done)
    if told_of and insists and is_meant(effect.of, PanelMessage.OVER_FAULT.value):
        yield NO_FAULTS, False
    if Disarm(area, user) in done:
        if told_of and is_meant(effect.of, Trouble.TAMPER.value):
            yield from _of_covers(setup, area)
        yield from _of_bypasses_that_end(setup, effect, area)
    if told_of and armed:
        here = [zone for zone in setup.zones_of(area) if zone.tells_alarm]
        if setup.settings.forced_arming and is_meant(effect.of, PanelMessage.BYPASS.value):
            yield from _of_open_zones(setup, user, here, armed)
        if setup.settings.recent_closing and is_meant(effect.of, PanelMessage.RECENT_CLOSING.value):
            yield from _of_alarms_just_after(setup, area, here, armed)


def _of_covers(setup: Setup, area: AreaNumber) -> Iterator[tuple[str, bool]]:
    """A disarm tells of a cover that is still off, if it calls off the alarm of it."""
    for zone in setup.zones_of(area):
        modes = zone.behaviour.tamper_alarm & ARMED
        if modes and zone.tells_trouble:
            waits = zone.message_waits and bool(setup.settings.abort_window)
            surely = zone.behaviour.shown and zone.tells_alarm and waits and not nobody_sets(setup, zone, modes)
            yield f"disarming tells of a cover still off at {zone.label}, if its alarm waits", surely


def _of_bypasses_that_end(setup: Setup, effect: WantedEffect, area: AreaNumber) -> Iterator[tuple[str, bool]]:
    """A disarm ends the bypass of a zone that is watched in every mode, which has the effect if it stands open."""
    for zone in opening_when_back(setup, area):
        confirms = effect.kind == "message" and is_meant(effect.of, PanelMessage.CONFIRMED.value)
        if confirms and setup.settings.told and setup.settings.confirm_window and zone.behaviour.abort:
            yield f"ending the bypass of {zone.label} may confirm another alarm", False
        named = effect.kind == "message" and is_meant(effect.of, zone.behaviour.alarm or "")
        sounds = setup.settings.siren_time > 0 and zone.behaviour.siren is not Pattern.NONE
        heard = sounds and (effect.kind == "any sound" or (effect.kind == "siren" and zone.behaviour.siren in SIRENS))
        if heard or (named and told(setup, zone) and not (zone.message_waits and setup.settings.abort_window)):
            surely = bool(can_be(setup, area) & ARMED)
            yield f"disarming ends the bypass of {zone.label}, which gives its alarm then if it stands open", surely


def _of_open_zones(
    setup: Setup, user: UserNumber, zones: list[ZoneSetup], armed: frozenset[Mode]
) -> Iterator[tuple[str, bool]]:
    """Arming bypasses what stands open, also at the end of the exit time. Who may bypass does so by key, in a slice."""
    for zone in zones:
        if zone.behaviour.stops_arming and may_be_bypassed(zone):
            live = ARMED & zone.behaviour.live
            surely = bool(armed & live) and user not in may_bypass(setup, zone) and not nobody_sets(setup, zone, live)
            yield f"arming bypasses {zone.label} in their name, where it stands open", surely


def _of_alarms_just_after(
    setup: Setup, area: AreaNumber, zones: list[ZoneSetup], armed: frozenset[Mode]
) -> Iterator[tuple[str, bool]]:
    """An alarm soon after arming sends the name of whoever armed."""
    for zone in zones:
        if zone.behaviour.abort and zone.behaviour.alarm:
            live = ARMED & zone.behaviour.live
            waits = zone.home == area and bool(setup.longest_wait(zone))
            surely = waits and bool(armed & live) and not nobody_sets(setup, zone, live)
            yield f"an alarm of {zone.label} just after arming tells it in their name", surely

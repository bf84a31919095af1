"""What a panel promises of setting: not over a fault, not by time alone, and no siren outside while off.

Rules of this file:
1. A promise stands where the panel has the rule; of one that lacks it `lacking.py` says so.
2. Who may set over a fault sets over that fault and no other: a fault that their right isn't enough for stops it too.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.events import Arm, Beeps, DisplayLine, Expires, Means, Shown, Sound, Timer, TimerKind
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import AreaState, Control, Phase
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.promises.by_zones import nobody_sets_area
from zonewright.proof.promises.judges import some_is
from zonewright.proof.promises.promise import Condition, Promise, about, where
from zonewright.proof.prover.facts import places
from zonewright.proof.prover.observers import Invariant
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.site.record import ZoneNumber
from zonewright.words.telling import listed

_IS_SET = frozenset({Phase.SET, Phase.ENTRY})
_BURGLARY = (Pattern.BURGLARY, Pattern.INSIDE)


def on_setting(setup: Setup, area: AreaNumber) -> Iterator[Promise]:
    """Give what is promised of setting one area."""
    settings = setup.settings
    if settings.at_setting:
        yield _never_over_a_fault(setup, area)
    if settings.completing_act and settings.exit_time:
        yield _never_by_time_alone(setup, area)
    if settings.inside_when_off and settings.siren_time:
        yield _inside_when_off(setup, area)


def _never_over_a_fault(setup: Setup, area: AreaNumber) -> Promise:
    fact = "barred", (area, None)
    asked = Condition("somebody sets it", lambda _b, _a, out: fact in out.facts, nobody_sets_area(setup, area))
    stands = Condition("while a fault stands that stops it", lambda _b, _a, out: out.is_so(*fact))
    premise = about(asked, stands)

    def is_set(before: Control, act: Act, outcome: EventOutcome) -> bool:
        was, now = before.area(area).mode, outcome.control.area(area).mode
        newly = now not in (Mode.DISARMED, was) and not isinstance(act, Expires)
        over = act.over if isinstance(act, Arm) and act.means is Means.KEYPAD else None
        return newly and outcome.facts.get(("barred", (area, over))) is not False

    faults = listed(sorted(fault.value.replace("-", " ") for fault, _ in setup.settings.at_setting))
    says = f"nobody begins to set it, a quick exit aside, while a fault stands ({faults}), unless whoever may says so"
    return Promise(
        "setting", "never over a fault", says + where(setup, frozenset({area})), (), frozenset({area}),
        Invariant(is_set), premise, heard=True,
    )  # fmt: skip


def _never_by_time_alone(setup: Setup, area: AreaNumber) -> Promise:
    end = Expires(Timer(TimerKind.EXIT, area))
    ends = Condition("the exit time ends", lambda _b, act, _o: act == end)
    away = Condition("and it was begun for away at a keypad", lambda before, _a, _o: _away_at_keypad(before.area(area)))
    premise = about(ends, away)

    def is_set(before: Control, act: Act, outcome: EventOutcome) -> bool:
        off = outcome.control.area(area).phase is Phase.REST
        said = Shown(DisplayLine.NOT_SET, area=area) in outcome.outputs and Beeps(Sound.REFUSED) in outcome.outputs
        return premise(before, act, outcome) and not (off and said)

    says = "an exit time begun at a keypad never sets away by time alone, and who fails to set hears it"
    return Promise(
        "setting", "completing act", says + where(setup, frozenset({area})), (), frozenset({area}),
        Invariant(is_set), premise, acts=(end,), heard=True,
    )  # fmt: skip


def _away_at_keypad(area: AreaState) -> bool:
    return area.mode is Mode.AWAY and area.by_keypad and area.phase is Phase.EXIT


def _inside_when_off(setup: Setup, area: AreaNumber) -> Promise:
    mine = frozenset({area})

    def begins(outcome: EventOutcome, *patterns: Pattern) -> bool:
        return any(pattern in patterns and _is_off(setup, area, number, outcome) for pattern, number in outcome.called)

    premise = about(
        Condition("a burglary alarm begins", lambda _b, _a, out: any(each in _BURGLARY for each, _ in out.called)),
        Condition("with its areas off", lambda _b, _a, out: begins(out, *_BURGLARY)),
    )
    says = "what begins to sound while off sounds inside only, fire and gas aside"
    return Promise(
        "setting", "inside when off", says + where(setup, mine), (), mine,
        Invariant(lambda _b, _a, out: begins(out, Pattern.BURGLARY)), premise, heard=True,
    )  # fmt: skip


def _is_off(setup: Setup, area: AreaNumber, number: ZoneNumber, outcome: EventOutcome) -> bool:
    """Return whether what calls is of this area, and none of its areas is set afterwards."""
    zone = setup.zone(number)
    areas = zone.areas if zone is not None else frozenset({AreaNumber(-number)})  # its people call
    written = outcome.effect.leaf.change.areas.items()
    after = {number: state["phase"] for number, state in written if "phase" in state}
    after |= {state.number: state.phase for state in outcome.control.areas}
    if area not in areas or any(after.get(each) in _IS_SET for each in areas):
        return False
    return not some_is(outcome.control, outcome, areas - after.keys(), places(None, _IS_SET))

"""What a panel promises as a whole or area by area: the siren ends, fire comes first, a code always disarms."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.acts import disarming
from zonewright.behaviour.events import (
    Beeps,
    DeviceEvent,
    Disarm,
    DisplayLine,
    Expires,
    Shown,
    Siren,
    Sound,
    Timer,
    TimerKind,
)
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import PRECEDENCE, Control, Phase, people_of
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.promises.by_zones import opening_when_back
from zonewright.proof.promises.promise import Condition, Outright, OutrightVerdict, Promise, Window, about, where
from zonewright.proof.prover.alike import nobodies
from zonewright.proof.prover.observers import GoodWithin, Invariant
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.site.record import span
from zonewright.words.telling import listed, sounder

NO_CODES = "the site file names nobody with a code"
NO_CODE_HERE = "nobody's code disarms it"


def of_panel(setup: Setup, window: Window) -> Iterator[Promise]:
    """Give what is promised of the sounder and of each area."""
    siren = Timer(TimerKind.SIREN, 0)
    loud = [zone for zone in setup.zones if zone.behaviour.siren is not Pattern.NONE]
    if setup.settings.siren_time and loud:
        within = window.most(setup.settings.siren_time)

        def starts(_before: Control, _act: Act, outcome: EventOutcome) -> bool:
            return siren in dict(outcome.starts)

        for areas in sorted({frozenset({area}) for zone in loud for area in zone.areas}, key=sorted):
            here = where(setup, areas)
            says = f"a siren that is called for{here} ends within {span(within)} of the last cause in any area"
            says = says if here else f"the siren ends within {span(within)} of its last cause"
            yield Promise(
                "siren", "siren ends", says, (), areas,
                GoodWithin(starts, lambda _b, _a, out: not out.control.causes, within, again=starts),
                about(Condition("something calls for the siren", starts)), timed=True,
                root=lambda control: siren not in control.running, heard=True,
            )  # fmt: skip
    for pattern in (Pattern.FIRE, Pattern.GAS):
        if setup.settings.siren_time:
            sounding = {area for zone in setup.zones if zone.behaviour.siren is pattern for area in zone.areas}
            yield from (_not_silenced(setup, pattern, area) for area in sorted(sounding))
    for area in setup.areas:
        yield _always_disarms(setup, area)
        yield _never_refused(setup, area)


def _not_silenced(setup: Setup, pattern: Pattern, area: AreaNumber) -> Promise:
    switches = {zone.number for zone in setup.zones if zone.behaviour.arms is not None}

    def sounding(before: Control, act: Act, _outcome: EventOutcome) -> bool:
        disarmed = isinstance(act, Disarm) or (isinstance(act, DeviceEvent) and act.zone in switches)
        ended = disarmed or (isinstance(act, Expires) and act.timer.kind is TimerKind.SIREN)
        return before.siren is pattern and not ended

    def given_up(before: Control, act: Act, outcome: EventOutcome) -> bool:
        heard = [output.pattern for output in outcome.outputs if isinstance(output, Siren)]
        if not heard and outcome.control.causes == before.causes:
            return False
        left = any(PRECEDENCE[each] > PRECEDENCE[pattern] for each in (outcome.control.siren, *heard))
        return left and sounding(before, act, outcome)

    areas = frozenset({area})
    first = [sounder(each) for each in Pattern if PRECEDENCE[each] < PRECEDENCE[pattern]]
    others = listed([*first, "a disarm", "its cut-off"]).replace(" and its", " or its")
    says = f"{sounder(pattern)} gives way to nothing but {others}{where(setup, areas)}"
    premise = about(Condition(f"{sounder(pattern)} is on", sounding))
    return Promise(
        "life safety", f"{pattern.value} first", says, (), areas, Invariant(given_up), premise, heard=True,
        states=lambda control: control.siren is pattern,
    )  # fmt: skip


def code(area: AreaNumber) -> Condition:
    """Somebody disarms."""
    return Condition("a code is given", lambda _b, act, _o: isinstance(act, Disarm) and act.area == area)


def nobodys(setup: Setup, area: AreaNumber) -> Outright | None:
    """Return what can be said at once of a promise about an area's codes: whether there are any."""
    if setup.acts is None or setup.acts.of(area).coded:
        return None
    if not setup.acts.anybody:
        return Outright(OutrightVerdict.IDLE, NO_CODES)
    return Outright(OutrightVerdict.BROKEN, NO_CODE_HERE)


def _always_disarms(setup: Setup, area: AreaNumber) -> Promise:
    here = {zone.number for zone in (*setup.zones_of(area), *nobodies(setup, setup.zones_of(area)))}
    here.add(people_of(area))
    given, act = code(area), disarming(setup, area)

    def goes_on(before: Control, act: Act, outcome: EventOutcome) -> bool:
        if not given.met(before, act, outcome):
            return False
        after = outcome.control
        state = after.area(area)
        left = {Timer(kind, area) for kind in (TimerKind.EXIT, TimerKind.ENTRY)} & after.running
        calls = any(number in here for _, number in after.causes)
        return bool(state.mode is not Mode.DISARMED or state.phase is not Phase.REST or left or calls)

    back = [zone.label for zone in opening_when_back(setup, area) if zone.behaviour.siren is not Pattern.NONE]
    aside = f"; {listed(back)} may sound then, where it was bypassed and stands open" if back else ""
    says = f"a code always disarms and silences{where(setup, frozenset({area}))}{aside}"
    return Promise(
        "disarm", "always disarms", says, (), frozenset({area}), Invariant(goes_on), about(given), heard=True,
        acts=() if act is None else (act,), outright=nobodys(setup, area),
    )  # fmt: skip


def _never_refused(setup: Setup, area: AreaNumber) -> Promise:
    """The panel model has no wrong codes and no lock-out; what it has are states."""
    given, act = code(area), disarming(setup, area)

    def refused(before: Control, act: Act, outcome: EventOutcome) -> bool:
        return given.met(before, act, outcome) and (
            Beeps(Sound.REFUSED) in outcome.outputs or Shown(DisplayLine.DISARMED, area=area) not in outcome.outputs
        )

    says = f"no state refuses every code, and none locks people out{where(setup, frozenset({area}))}"
    return Promise(
        "disarm", "never refused", says, (), frozenset({area}), Invariant(refused), about(given), heard=True,
        acts=() if act is None else (act,), outright=nobodys(setup, area),
    )  # fmt: skip

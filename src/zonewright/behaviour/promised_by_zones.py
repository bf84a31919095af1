"""What a panel promises of each of its zones: that it is noticed, sounds, sends, or is silent.

Rules of this file:
1. A promise follows from a zone's attributes and settings, never from the name of its behaviour.
2. Zones that act alike are promised together, for the first of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.events import Arm, DeviceEvent, Timer, TimerKind, ZoneCloses
from zonewright.behaviour.judges import (
    counts,
    disarms,
    disarms_or_cannot,
    holds_back,
    in_mode,
    is_noticed,
    may_be_in,
    opening_of,
    opens,
    quiet_at,
    sends,
    sounds,
    starts_abort,
)
from zonewright.behaviour.observers import Answer, Invariant, Quiet
from zonewright.behaviour.outcome import Outcome
from zonewright.behaviour.promise import Promise, Window
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.behaviour.state import PRECEDENCE, Control
from zonewright.behaviour.table import Act
from zonewright.behaviour.telling import in_modes, span
from zonewright.panel.behaviours import ARMED, Mode, Pattern, Timing

STAY = frozenset({Mode.STAY})


def of_zone(setup: Setup, zone: ZoneSetup, window: Window) -> Iterator[Promise]:
    """Give what is promised of one zone."""
    behaviour, settings = zone.behaviour, setup.settings
    name, numbers = zone.label, (zone.number,)
    about = opening_of(zone)
    told = settings.told and zone.tells_alarm and behaviour.alarm is not None
    if not zone.can_alarm:
        yield Promise(
            "notice", "notice", f"{name} never sounds the siren and never sends an alarm", numbers, zone.areas,
            Invariant(lambda _b, _a, out: sounds(out, zone) or sends(out, zone) or holds_back(out, zone)), about,
        )  # fmt: skip
    if not behaviour.in_use:
        return
    yield Promise(
        "noticed", "noticed", f"a person can notice that {name} opens", numbers, zone.areas,
        Invariant(lambda _b, act, out: opens(act, zone) and any(is_noticed(each, zone) for each in out.outputs)),
        about, wants=True,
    )  # fmt: skip
    if behaviour.life_safety:
        yield from _life_safety(setup, zone, told=told)
    elif (
        behaviour.siren is Pattern.BURGLARY
        and behaviour.live & ARMED
        and not (zone.crosses and settings.cross_window)  # one trip of a pair promises nothing
    ):
        yield from _opening(setup, zone, window, told=told)
    if behaviour.live and Mode.STAY not in behaviour.live:
        yield Promise(
            "interior", "interior", f"{name} neither sounds nor sends while armed stay", numbers, zone.areas,
            Invariant(
                lambda before, act, out: opens(act, zone) and may_be_in(before, out, zone, STAY)
                and (sounds(out, zone) or sends(out, zone) or holds_back(out, zone))
            ),
            lambda before, act, out: opens(act, zone) and may_be_in(before, out, zone, STAY),
        )  # fmt: skip
    if behaviour.swinger and settings.swinger_limit and (behaviour.siren is not Pattern.NONE or told):
        limit = settings.swinger_limit
        times = "one alarm" if limit == 1 else f"{limit} alarms"
        yield Promise(
            "swinger", "swinger", f"{name} gives no more after {times} of one armed period", numbers, zone.areas,
            Invariant(
                lambda _b, act, out: opens(act, zone) and out.is_so("shut out", zone.number)
                and (sounds(out, zone) or sends(out, zone) or holds_back(out, zone))
            ),
            lambda _b, act, out: opens(act, zone) and out.is_so("shut out", zone.number),
        )  # fmt: skip
    if told and zone.message_waits and window.least(settings.abort_window) > 1:
        within = window.least(settings.abort_window) - 1
        yield Promise(
            "abort", "abort", f"{name}: disarmed within {span(within)} of its alarm, no message of it leaves", numbers,
            zone.areas,
            Quiet(
                lambda _b, _a, out: starts_abort(out, zone),
                lambda _b, _a, out: sends(out, zone),
                within,
                ends=lambda _b, act, _o: isinstance(act, Arm) or (
                    isinstance(act, DeviceEvent) and act.zone == zone.number and not isinstance(act, ZoneCloses)
                ),
                settled=disarms(zone),
            ),
            lambda _b, _a, out: starts_abort(out, zone),
            timed=True, focus=frozenset({("waiting", zone.number)}), root=lambda control: not control.waiting,
        )  # fmt: skip


def _life_safety(setup: Setup, zone: ZoneSetup, *, told: bool) -> Iterator[Promise]:
    sounding = setup.settings.siren_time > 0 and zone.behaviour.siren is not Pattern.NONE
    what = " and ".join([*(["sounds"] if sounding else []), *(["sends"] if told else [])])
    if not what:
        return
    verifies = zone.verifies and setup.settings.fire_verify_window > 0
    again = ", at its second trip" if verifies else ""
    second = Timer(TimerKind.VERIFY, zone.number)

    def about(_before: Control, act: Act, outcome: Outcome) -> bool:
        return opens(act, zone) and counts(outcome, zone) and (not verifies or outcome.is_so("runs", second))

    def missed(before: Control, act: Act, outcome: Outcome) -> bool:
        return about(before, act, outcome) and (
            (sounding and not _plays(outcome, zone.behaviour.siren)) or (told and not sends(outcome, zone))
        )

    yield Promise(
        "life safety",
        "life safety",
        f"{zone.label} {what} at once in every mode{again}",
        (zone.number,),
        zone.areas,
        Invariant(missed),
        about,
        heard=True,
    )


def _plays(outcome: Outcome, pattern: Pattern) -> bool:
    """Return whether this pattern, or one that comes before it, plays now."""
    return PRECEDENCE[outcome.control.siren] <= PRECEDENCE[pattern]


def _opening(setup: Setup, zone: ZoneSetup, window: Window, *, told: bool) -> Iterator[Promise]:
    """It is an opening that somebody protects."""
    settings = setup.settings
    modes = zone.behaviour.live & ARMED
    delay = zone.entry_s if zone.behaviour.timing is Timing.DELAYED else 0

    def start(before: Control, act: Act, outcome: Outcome) -> bool:
        return (
            opens(act, zone)
            and counts(outcome, zone)
            and quiet_at(before, outcome)
            and in_mode(before, outcome, zone, modes)
        )

    if settings.siren_time:
        within = window.most(delay)
        how = f"within {span(within)} unless disarmed" if within else "at once"
        yield Promise(
            "opening", "opening sounds", f"{zone.label} sounds {how}, {in_modes(modes)}", (zone.number,), zone.areas,
            Answer(start, lambda _b, _a, out: sounds(out, zone), within, ends=disarms_or_cannot(zone)), start,
            timed=True,
        )  # fmt: skip
    if told:
        within = window.most(delay, setup.longest_wait(zone))
        how = f"within {span(within)} unless disarmed" if within else "at once"
        yield Promise(
            "opening", "opening sends", f"{zone.label} sends {how}, {in_modes(modes)}", (zone.number,), zone.areas,
            Answer(start, lambda _b, _a, out: sends(out, zone), within, ends=disarms_or_cannot(zone)), start,
            timed=True,
            focus=frozenset({("waiting", zone.number)}),
        )  # fmt: skip

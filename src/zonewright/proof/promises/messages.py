"""What a panel promises of its messages: called off in time none leaves, called back it says so, and none comes twice.

Rules of this file:
1. What is called off is told to whoever disarms; what has left and is called back is told to the station and to them.
2. One opening sends one alarm, however long it stands open, unless somebody arms or leaves again.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.events import (
    Arm,
    DeviceEvent,
    Disarm,
    DisplayLine,
    Expires,
    Message,
    PanelMessage,
    QuickExit,
    Shown,
    Timer,
    TimerKind,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import Mode
from zonewright.proof.promises.by_zones import in_use, nobody_disarms, nobody_sets, opening, told
from zonewright.proof.promises.judges import (
    NOT_ALARMS,
    disarms,
    may_be_in,
    opens,
    quiet_at,
    starts_abort,
    tells_alarm,
    user_is_told,
)
from zonewright.proof.promises.own_messages import CalledOff, Sends, SendsOnce, own
from zonewright.proof.promises.promise import Condition, Outright, OutrightVerdict, Promise, Window, about, where
from zonewright.proof.promises.provisos import Proviso, counted
from zonewright.proof.prover.observers import Reply
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.site.record import span


def of_messages(setup: Setup, zone: ZoneSetup, window: Window) -> Iterator[Promise]:
    """Give what is promised of one zone's messages."""
    if not told(setup, zone) or not zone.behaviour.in_use:
        return
    settings = setup.settings
    if zone.message_waits and window.least(settings.abort_window) > 1 and settings.abort_window:
        yield _called_off(setup, zone, window.least(settings.abort_window) - 1)
    yield _once(setup, zone)
    if zone.behaviour.exit_door and zone.entry_s and settings.exit_error and settings.exit_time:
        yield _exit_error_told(setup, zone, window)


def of_cancelling(setup: Setup, area: AreaNumber, window: Window) -> Iterator[Promise]:
    """Give what is promised of messages of an area that are called back."""
    here = [zone for zone in setup.zones_of(area) if zone.behaviour.abort]
    mine = {zone.number for zone in here} | {setup.nobody(zone.areas) for zone in here}  # shared zones, too
    cancel = setup.settings.cancel_window
    if not any(told(setup, zone) for zone in here) or not cancel or window.least(cancel) < 2:
        return
    within = window.least(cancel) - 1
    cannot = [nobody_sets(setup, zone, zone.behaviour.live) for zone in here]
    since = cannot[0] if all(cannot) else ""
    warnings = {zone.behaviour.warning for zone in here}  # these are no alarms
    idle = nobody_disarms(setup, area)

    def leaves(_before: Control, _act: Act, outcome: EventOutcome) -> bool:
        return any(
            isinstance(each, Message) and each.zone in mine and not each.restore
            and each.name not in NOT_ALARMS and each.name not in warnings
            for each in outcome.outputs
        )  # fmt: skip

    def called_back(before: Control, act: Act, outcome: EventOutcome) -> bool:
        switched = isinstance(act, DeviceEvent) and before.area(area).mode is not Mode.DISARMED
        off = switched and outcome.control.area(area).mode is Mode.DISARMED  # an arm switch disarms as a code does
        return off or (isinstance(act, Disarm) and act.area == area)

    def is_told(_before: Control, _act: Act, outcome: EventOutcome) -> bool:
        station = any(isinstance(each, Message) and each.name == PanelMessage.CANCEL.value for each in outcome.outputs)
        return station and Shown(DisplayLine.CANCEL_SENT, area=area) in outcome.outputs

    yield Promise(
        "cancel", "cancel",
        f"disarmed within {span(within)} of an alarm message that may be called off, a cancel message goes and the "
        f"keypad says so{where(setup, frozenset({area}))}",
        (), frozenset({area}), Reply(leaves, called_back, is_told, Timer(TimerKind.CANCEL, area), cancel, within),
        about(Condition("an alarm message leaves", leaves, since)), timed=True, root=lambda _control: True,
        outright=Outright(OutrightVerdict.IDLE, idle) if idle else None,
    )  # fmt: skip


def _called_off(setup: Setup, zone: ZoneSetup, within: int) -> Promise:
    since = nobody_sets(setup, zone, zone.behaviour.live)
    cannot = [nobody_disarms(setup, area) for area in sorted(zone.areas)]
    idle = cannot[0] if all(cannot) else ""
    begins = Condition(f"an alarm of {zone.label} begins to wait", lambda _b, _a, out: starts_abort(out, zone), since)
    return Promise(
        "abort", "abort",
        f"{zone.label}: disarmed within {span(within)} of its alarm, no alarm message of it leaves, and the keypad "
        "says so, or that one that had left was cancelled",
        (zone.number,), zone.areas,
        CalledOff(
            own(setup, zone), begins.met, tells_alarm, disarms(zone),
            lambda outcome, number: user_is_told(outcome, zone, number), within,
            ends=lambda _b, act, _o: isinstance(act, Arm)
            or (isinstance(act, DeviceEvent) and act.zone == zone.number and not isinstance(act, ZoneCloses)),
        ),
        about(begins), timed=True, root=lambda control: not control.waiting,
        outright=Outright(OutrightVerdict.IDLE, idle) if idle else None,
        provisos=(Proviso.NOTHING_WAITS, Proviso.NOT_AGAIN),
    )  # fmt: skip


def _once(setup: Setup, zone: ZoneSetup) -> Promise:
    disarmed = disarms(zone)

    def ends(before: Control, act: Act, outcome: EventOutcome) -> bool:
        shut = isinstance(act, ZoneCloses | ZoneTrips) and act.zone == zone.number
        shut |= opens(act, zone) and outcome.facts.get(("open", zone.number)) is False  # meanwhile
        again = isinstance(act, Arm | QuickExit) and act.area in zone.areas
        return shut or again or disarmed(before, act, outcome)

    stays = Condition("and stays open", lambda _b, act, _o: isinstance(act, ZoneOpens))
    calm = Condition(Proviso.QUIET.value, lambda before, _a, out: quiet_at(before, out))  # no earlier message is due
    start = about(opening(zone), stays, *in_use(zone), calm)
    name = str(zone.behaviour.alarm)
    idle = nobody_sets(setup, zone, zone.behaviour.live)
    return Promise(
        "once", "once", f'one opening of {zone.label} sends one "{name}" at most', (zone.number,), zone.areas,
        SendsOnce(own(setup, zone), name, start, ends), start, timed=True,
        outright=Outright(OutrightVerdict.IDLE, idle) if idle else None,
        provisos=(Proviso.QUIET, Proviso.NOBODY_ARMS),
    )  # fmt: skip


def _exit_error_told(setup: Setup, zone: ZoneSetup, window: Window) -> Promise:
    """Nobody put it right: the station hears that somebody left badly, with the alarm or when its window ends."""
    home, within = zone.home, window.most(setup.longest_wait(zone))
    ends = Expires(Timer(TimerKind.ENTRY, home))

    def of_exit_error(before: Control, _act: Act, _outcome: EventOutcome) -> bool:
        area = before.area(home)
        return zone.number in area.left_open and zone.number in area.entry_by

    premise = about(
        Condition(
            "the entry time ends", lambda _b, act, _o: act == ends, nobody_sets(setup, zone, zone.behaviour.live)
        ),
        Condition(f"that began with {zone.label} left open", of_exit_error),
        Condition("alarms left to give", lambda _b, _a, out: not out.is_so("shut out", zone.number)),
        Condition("armed", lambda before, _a, out: may_be_in(before, out, zone, zone.behaviour.live)),
    )
    how = f"within {span(within)} of its alarm, unless called off" if within else "with its alarm"
    return Promise(
        "leaving", "exit error sent",
        f'{zone.label} left open when the exit time ends: not disarmed, "exit error" goes {how}',
        (zone.number,), zone.areas,
        Sends(
            own(setup, zone), premise, lambda _a, _o, leaving: PanelMessage.EXIT_ERROR.value in leaving,
            within, disarms(zone),
        ),
        premise, timed=True, root=lambda _control: True,
        provisos=(Proviso.ALARMS_LEFT,) if counted(setup, zone) else (),
    )  # fmt: skip

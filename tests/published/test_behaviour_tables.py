"""What each shipped behaviour does in each mode, and what may be done to it, row by row.

Source: common practice, no source, but for two columns: fire is exempt from the abort window (ANSI/SIA CP-01, seen
second-hand) and comes before every other signal (NFPA 72-2007 ch. 11, seen second-hand). Panels differ: a profile's own
record wins. The rows are written by hand; what is compared is what the model does, never the record itself.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from tests.behaviour.house import (
    CP01,
    IDA,
    arm,
    armed_then,
    disarm,
    house,
    messages,
    outputs,
    sirens,
    when,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import (
    Bypass,
    DisplayLine,
    Means,
    Siren,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import Setup
from zonewright.panel.behaviours import SHIPPED, Mode, Pattern
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import Cause, Mark, matrix

D, S, N, A = Mode.DISARMED, Mode.STAY, Mode.NIGHT, Mode.AWAY
ARMED = frozenset({S, N, A})
EVERY = frozenset({D, S, N, A})
IT, DOOR = ZoneNumber(1), ZoneNumber(2)
BURGLARY, FIRE, GAS, MEDICAL, TROUBLE, NONE = (
    Pattern.BURGLARY,
    Pattern.FIRE,
    Pattern.GAS,
    Pattern.MEDICAL,
    Pattern.TROUBLE,
    Pattern.NONE,
)


class Acts(NamedTuple):
    """Live in; alarm during the exit time; during the entry time; pattern; message; shown; while off if it warns."""

    live: frozenset[Mode]
    exit_alarm: bool
    entry_alarm: bool
    pattern: Pattern
    message: str | None
    shown: bool = True
    warning: str | None = None


TABLE_A = {
    "entry-door": Acts(ARMED, False, False, BURGLARY, "entry door alarm"),
    "perimeter": Acts(ARMED, True, True, BURGLARY, "perimeter alarm"),
    "on-route": Acts(frozenset({A}), False, False, BURGLARY, "interior alarm"),
    "interior": Acts(frozenset({A}), False, True, BURGLARY, "interior alarm"),
    "24-hour-audible": Acts(EVERY, True, True, BURGLARY, "24-hour alarm"),
    "24-hour-silent": Acts(EVERY, True, True, NONE, "24-hour alarm"),
    "holdup": Acts(EVERY, True, True, NONE, "hold-up alarm", shown=False),
    "medical": Acts(EVERY, True, True, MEDICAL, "medical alarm"),
    "fire": Acts(EVERY, True, True, FIRE, "fire alarm"),
    "fire-trouble": Acts(EVERY, True, True, TROUBLE, "fire supervisory"),
    "final-door": Acts(ARMED, False, False, BURGLARY, "entry door alarm"),
    "day-night": Acts(ARMED, True, True, BURGLARY, "day-night alarm", warning="day-night trouble"),
    "carbon-monoxide": Acts(EVERY, True, True, GAS, "carbon monoxide alarm"),
    "gas": Acts(EVERY, True, True, GAS, "gas alarm"),
    "panic-audible": Acts(EVERY, True, True, BURGLARY, "panic alarm"),
    "environment": Acts(EVERY, True, True, TROUBLE, "environment alarm"),
    "notice": Acts(frozenset(), False, False, NONE, None, shown=False),
    "arm-switch": Acts(frozenset(), False, False, NONE, None, shown=False),
    "unused": Acts(frozenset(), False, False, NONE, None, shown=False),
}


class Handled(NamedTuple):
    """May wait in the abort window; user bypass; open stops arming; is shut out; modes where a tamper is an alarm."""

    waits: bool
    bypass: bool
    stops: bool
    swinger: bool
    tamper: frozenset[Mode]


NEVER: frozenset[Mode] = frozenset()
TABLE_B = {
    "entry-door": Handled(True, True, True, True, ARMED),
    "perimeter": Handled(True, True, True, True, ARMED),
    "on-route": Handled(True, True, True, True, ARMED),
    "interior": Handled(True, True, True, True, ARMED),
    "24-hour-audible": Handled(True, False, True, True, EVERY),
    "24-hour-silent": Handled(False, False, True, False, NEVER),
    "holdup": Handled(False, False, False, False, NEVER),
    "medical": Handled(False, False, False, False, NEVER),
    "fire": Handled(False, False, False, False, NEVER),
    "fire-trouble": Handled(False, False, False, False, NEVER),
    "final-door": Handled(True, True, True, True, ARMED),
    "day-night": Handled(True, True, True, True, ARMED),
    "carbon-monoxide": Handled(False, False, False, False, NEVER),
    "gas": Handled(False, False, False, False, NEVER),
    "panic-audible": Handled(False, False, False, False, NEVER),
    "environment": Handled(False, True, False, True, NEVER),
    "notice": Handled(False, True, False, False, NEVER),
    "arm-switch": Handled(False, False, False, False, ARMED),
    "unused": Handled(False, False, False, False, NEVER),
}


DELAYED = ("entry-door", "final-door")
SILENT_TAMPER = ("24-hour-silent", "holdup")
ORDER = [
    "medical", "fire", "fire-trouble", "panic-audible", "holdup", "perimeter", "interior", "on-route",
    "24-hour-audible", "24-hour-silent", "entry-door", "final-door", "day-night", "gas", "environment",
    "carbon-monoxide", "notice", "arm-switch", "unused",
]  # fmt: skip


def alone(behaviour: str) -> Setup:
    """It, and a door to come in by."""
    return house(zone(IT, behaviour), zone(DOOR, "entry-door"))


def test_every_shipped_behaviour_has_its_rows() -> None:
    assert set(TABLE_A) == set(TABLE_B) == set(SHIPPED)


def test_the_behaviours_stand_in_the_order_of_their_message_codes() -> None:
    assert list(SHIPPED) == ORDER


@pytest.mark.parametrize("mode", list(Mode))
@pytest.mark.parametrize("behaviour", SHIPPED)
def test_it_is_live_in_these_modes_and_does_this(behaviour: str, mode: Mode) -> None:
    row = TABLE_A[behaviour]
    cell = matrix(alone(behaviour), [Cause.OPENS]).cell(IT, mode)
    live = mode in row.live
    warns = not live and row.warning is not None
    assert cell.pattern is (row.pattern if live else TROUBLE if warns else NONE)
    assert cell.message == (row.message if live else row.warning)
    assert (DisplayLine.ALARM in [shown.line for _, shown in cell.shown]) is (live and row.shown)
    if behaviour == "holdup":
        assert cell.mark is Mark.SILENT_SENT
        assert cell.shown == ()


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_only_a_door_to_come_in_by_is_delayed(behaviour: str) -> None:
    cell = matrix(alone(behaviour), [Cause.OPENS]).cell(IT, A)
    expected = None if TABLE_A[behaviour].pattern in (NONE, MEDICAL, TROUBLE) else 0
    assert cell.siren_after == (30 if behaviour in DELAYED else expected)


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_during_exit_time(behaviour: str) -> None:
    timeline = run(alone(behaviour), [(0, arm()), (10, ZoneTrips(IT))], until=59)
    assert (
        bool(sirens(timeline) or when(timeline, DisplayLine.ALARM) or messages(timeline))
        is TABLE_A[behaviour].exit_alarm
    )


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_during_entry_time(behaviour: str) -> None:
    timeline = armed_then(alone(behaviour), A, (0, ZoneTrips(DOOR)), (10, ZoneTrips(IT)), until=29)
    assert (
        bool(sirens(timeline) or when(timeline, DisplayLine.ALARM) or messages(timeline))
        is TABLE_A[behaviour].entry_alarm
    )


def test_a_second_door_never_lengthens_the_entry_time() -> None:
    setup = house(zone(1, "entry-door", entry_s=30), zone(2, "entry-door", entry_s=60))
    for first, second, ends in ((IT, DOOR, 30), (DOOR, IT, 60)):
        timeline = armed_then(setup, A, (0, ZoneOpens(first)), (20, ZoneOpens(second)))
        assert sirens(timeline)[0] == (ends, BURGLARY)
        assert messages(timeline) == [(ends + 30, "entry door alarm")] * 2  # each door is owed its own


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_abort_window_holds_its_message(behaviour: str) -> None:
    row, setup = TABLE_B[behaviour], alone(behaviour)
    timeline = armed_then(setup, A, (0, ZoneOpens(IT)))
    if TABLE_A[behaviour].message is not None:
        sounded = 30 if behaviour in DELAYED else 0
        assert messages(timeline)[0][0] - sounded == (30 if row.waits else 0)


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_user_may_bypass(behaviour: str) -> None:
    timeline = run(alone(behaviour), [(0, Bypass(IT, IDA)), (1, arm(A)), (70, ZoneOpens(IT))])
    may = TABLE_B[behaviour].bypass
    assert when(timeline, DisplayLine.BYPASSED) == ([0] if may else [])
    assert when(timeline, DisplayLine.CANT_BYPASS) == ([] if may else [0])
    noticed = [at for at, _ in outputs(timeline) if at >= 70]
    assert bool(noticed) is (not may and behaviour not in ("arm-switch", "unused"))


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_open_stops_arming(behaviour: str) -> None:
    setup = with_settings(alone(behaviour), siren_time=1, abort_window=0)
    timeline = run(setup, [(0, ZoneOpens(IT)), (10, arm(A))])
    assert bool(when(timeline, DisplayLine.CANT_ARM)) is TABLE_B[behaviour].stops
    assert bool(when(timeline, DisplayLine.ARMED_AWAY)) is not TABLE_B[behaviour].stops


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_it_is_shut_out_by_its_count(behaviour: str) -> None:
    trips = [(1000 * n, ZoneTrips(IT)) for n in range(4)]
    timeline = armed_then(alone(behaviour), A, *trips)
    if TABLE_A[behaviour].message is not None:
        assert len(messages(timeline)) == (2 if TABLE_B[behaviour].swinger else 4)


@pytest.mark.parametrize("mode", list(Mode))
@pytest.mark.parametrize("behaviour", SHIPPED)
def test_tamper_is_an_alarm_in_these_modes_and_a_trouble_in_the_others(behaviour: str, mode: Mode) -> None:
    cell = matrix(alone(behaviour), [Cause.TAMPER]).cell(IT, mode, Cause.TAMPER)
    if behaviour == "unused":
        assert cell.outcome == ()
    elif mode in TABLE_B[behaviour].tamper:
        assert cell.message == "tamper alarm"
        assert cell.siren_after == 0
    else:
        assert cell.message == "tamper"
        assert cell.siren_after is None
        assert cell.words == ("silent, shown" if behaviour in SILENT_TAMPER else "trouble tone")


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_low_battery_and_lost_contact_are_troubles_everywhere(behaviour: str) -> None:
    setup = house(zone(IT, behaviour, supervise=True))
    cells = matrix(setup, [Cause.LOW_BATTERY, Cause.MISSING])
    for mode in Mode:
        if behaviour == "unused":
            assert cells.cell(IT, mode, Cause.LOW_BATTERY).outcome == ()
            assert cells.cell(IT, mode, Cause.MISSING).outcome == ()
            continue
        assert cells.cell(IT, mode, Cause.LOW_BATTERY).looks_like == (Mark.TONE, "trouble tone", "low battery", 0)
        missing = cells.cell(IT, mode, Cause.MISSING)
        assert missing.looks_like == (Mark.TONE, "trouble tone after 12 h", "missing", CP01.supervision_window)


def test_precedence_is_fire_gas_burglary_medical_trouble() -> None:
    names = ["fire", "gas", "panic-audible", "medical", "environment"]
    zones = [zone(number, name) for number, name in enumerate(names, start=1)]
    ranked = [FIRE, GAS, BURGLARY, MEDICAL, TROUBLE]
    for i, first in enumerate(zones):
        for j, second in enumerate(zones):
            if i != j:
                timeline = run(house(*zones), [(0, ZoneOpens(first.number)), (5, ZoneOpens(second.number))])
                playing = [output.pattern for at, output in outputs(timeline) if isinstance(output, Siren) and at <= 5]
                assert playing[-1] is ranked[min(i, j)]


def test_an_exit_door_may_be_open_at_the_key_press_where_arming_is_forced() -> None:
    setup = with_settings(alone("perimeter"), forced_arming=True)
    timeline = run(setup, [(0, ZoneOpens(DOOR)), (5, arm(means=Means.KEYPAD)), (20, ZoneCloses(DOOR))])
    assert when(timeline, DisplayLine.ARMED_AWAY) == [65]
    assert when(timeline, DisplayLine.BYPASSED) == []


def test_fire_is_silenced_by_a_code_and_sounds_again() -> None:
    setup = alone("fire")
    timeline = run(
        setup, [(0, ZoneOpens(IT)), (20, disarm()), (30, ZoneCloses(IT)), (40, ZoneOpens(IT)), (50, disarm())]
    )
    assert sirens(timeline) == [(0, FIRE), (20, NONE), (40, FIRE), (50, NONE)]
    assert when(timeline, DisplayLine.STILL_OPEN) == [20, 50]

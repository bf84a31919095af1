"""Mains, battery, siren circuit, line, jamming; power back after a total loss; the installer's hands."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given as given_
from hypothesis import strategies as st

from tests.behaviour.house import (
    COTTAGE,
    DOOR,
    GATE,
    HALL,
    IDA,
    LOUNGE,
    SMOKE,
    WAIT_OF,
    WINDOW,
    Given,
    arm,
    armed_then,
    disarm,
    house,
    lines,
    messages,
    outputs,
    restores,
    sirens,
    when,
    with_settings,
    zone,
)
from tests.behaviour.test_step_properties import acts, some_house, walk
from zonewright.behaviour.clockwork import Clockwork, run
from zonewright.behaviour.events import (
    Beeps,
    Bypass,
    Chime,
    Disarm,
    DisplayLine,
    InstallerMode,
    Message,
    Panic,
    PowerReturns,
    Shown,
    Siren,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Sound,
    Spoken,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import Phase
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import ALWAYS, Mode, Pattern
from zonewright.site.record import ZoneNumber

MINUTE, HOUR, DAY = 60, 3600, 86_400
NAMES = {
    SiteTrouble.MAINS: "mains lost",
    SiteTrouble.PANEL_BATTERY: "panel battery low",
    SiteTrouble.SIREN_CIRCUIT: "siren circuit",
    SiteTrouble.AUXILIARY: "auxiliary supply",
    SiteTrouble.LINE: "line lost",
    SiteTrouble.JAMMING: "jamming",
}


def watching(trouble: SiteTrouble, wait: int | None) -> Setup:
    return with_settings(COTTAGE, troubles=True, **{WAIT_OF[trouble]: wait})


# Troubles of the panel ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("trouble", SiteTrouble)
@pytest.mark.parametrize(("over", "told"), [(899, False), (900, True), (901, True)])
def test_it_is_told_when_it_has_stood_for_its_wait(trouble: SiteTrouble, over: int, told: bool) -> None:
    """Mains 15 min to 6 h: common practice, no source."""
    timeline = run(watching(trouble, 900), [(0, SiteTroubleBegins(trouble)), (over, SiteTroubleEnds(trouble))])
    assert messages(timeline) == ([(900, NAMES[trouble])] if told else [])
    assert restores(timeline) == ([(over, NAMES[trouble])] if told else [])
    assert [at for at, out in outputs(timeline) if out == Beeps(Sound.TROUBLE)] == ([900] if told else [])
    assert when(timeline, DisplayLine[trouble.name]) == ([900] if told else [])


@pytest.mark.parametrize("trouble", SiteTrouble)
def test_a_wait_of_nought_is_at_once_and_no_wait_is_not_looked_for(trouble: SiteTrouble) -> None:
    begins = SiteTroubleBegins(trouble)
    assert messages(run(watching(trouble, 0), [(7, begins)])) == [(7, NAMES[trouble])]
    panel = Clockwork(watching(trouble, None))
    before = panel.control
    assert panel.give(begins).outputs == ()
    assert replace(panel.control, jammed=False) == before


def test_it_is_told_once_and_shown_daily() -> None:
    begins = SiteTroubleBegins(SiteTrouble.MAINS)
    given: Given = [(0, begins), (50, begins), (2 * DAY + HOUR, SiteTroubleEnds(SiteTrouble.MAINS))]
    timeline = run(watching(SiteTrouble.MAINS, 60), given, until=4 * DAY)
    assert messages(timeline) == [(60, "mains lost")]
    assert when(timeline, DisplayLine.MAINS) == [60, 60 + DAY, 60 + 2 * DAY]
    assert sirens(timeline) == []


def test_it_is_about_the_whole_panel() -> None:
    timeline = run(watching(SiteTrouble.LINE, 0), [(0, SiteTroubleBegins(SiteTrouble.LINE))])
    told = next(out for _, out in outputs(timeline) if isinstance(out, Message))
    assert (told.area, told.zone, told.user) == (0, None, None)


@pytest.mark.parametrize("changes", [{"told": False}, {"troubles": False}])
def test_it_is_shown_where_the_station_is_not_told(changes: dict[str, bool]) -> None:
    setup = with_settings(watching(SiteTrouble.MAINS, 0), **changes)
    given: Given = [(0, SiteTroubleBegins(SiteTrouble.MAINS)), (9, SiteTroubleEnds(SiteTrouble.MAINS))]
    timeline = run(setup, given)
    assert messages(timeline) + restores(timeline) == []
    assert when(timeline, DisplayLine.MAINS) == [0]


def test_it_does_not_stop_arming_and_is_shown_at_it() -> None:
    given: Given = [(0, SiteTroubleBegins(SiteTrouble.MAINS)), (1, arm()), (2, disarm())]
    timeline = run(watching(SiteTrouble.MAINS, 0), given)
    assert when(timeline, DisplayLine.MAINS) == [0, 1]
    assert when(timeline, DisplayLine.ARMING) == [1]
    waiting = run(watching(SiteTrouble.MAINS, 60), given, until=60)
    assert when(waiting, DisplayLine.MAINS) == [60]


# Power back after a total loss ----------------------------------------------------------------------------------------

DARK = with_settings(COTTAGE, warm_up=60, troubles=True)


@pytest.mark.parametrize("mode", list(Mode))
def test_the_same_modes_and_bypasses(mode: Mode) -> None:
    """CP-01, seen in a committee draft."""
    panel = Clockwork(DARK)
    panel.give(Bypass(WINDOW, IDA))
    if mode is not Mode.DISARMED:
        panel.give(arm(mode))
        panel.rest()
    before = panel.control
    panel.give(PowerReturns())
    assert panel.control.areas == before.areas
    assert panel.control.bypassed == {WINDOW}


@pytest.mark.parametrize(("at", "heard"), [(59, False), (60, True), (61, True)])
def test_sensors_are_ignored_until_they_have_warmed_up(at: int, heard: bool) -> None:
    """60 s at least, CP-01, seen in a committee draft."""
    timeline = armed_then(DARK, Mode.AWAY, (0, PowerReturns()), (at, ZoneTrips(LOUNGE)))
    assert bool(sirens(timeline)) is heard
    assert when(timeline, DisplayLine.WARMING_UP) == [0]
    assert when(timeline, DisplayLine.WATCHING) == [60]


def test_without_the_setting_nothing_is_ignored() -> None:
    setup = with_settings(DARK, warm_up=0)
    assert sirens(armed_then(setup, Mode.AWAY, (0, PowerReturns()), (0, ZoneTrips(LOUNGE))))[0][0] == 0


def test_a_chime_is_ignored_too() -> None:
    timeline = run(DARK, [(0, PowerReturns()), (30, ZoneTrips(GATE)), (90, ZoneTrips(GATE))])
    assert [at for at, out in outputs(timeline) if isinstance(out, Chime | Spoken)] == [90]


def test_smoke_that_came_meanwhile_is_an_alarm_then_and_a_window_from_its_next_opening() -> None:
    given: Given = [(0, PowerReturns()), (30, ZoneOpens(SMOKE)), (31, ZoneOpens(WINDOW))]
    timeline = armed_then(DARK, Mode.AWAY, *given)
    assert messages(timeline) == [(0, "restart"), (60, "fire alarm")]
    assert when(timeline, DisplayLine.ALARM) == [60]


def test_smoke_that_was_told_before_is_not_told_twice() -> None:
    timeline = run(DARK, [(0, ZoneOpens(SMOKE)), (100, PowerReturns())])
    assert messages(timeline) == [(0, "fire alarm"), (100, "restart")]
    gone = run(DARK, [(0, ZoneOpens(SMOKE)), (100, PowerReturns()), (130, ZoneCloses(SMOKE))])
    assert restores(gone) == [(130, "fire alarm")]


def test_an_exit_time_is_over_and_the_area_is_armed() -> None:
    panel = Clockwork(DARK)
    panel.give(arm())
    panel.give(arm(Mode.STAY))
    panel.give(PowerReturns())
    assert panel.control.areas[0].phase is Phase.SET
    assert {timer.kind for timer in panel.due} == {TimerKind.WARM_UP}


def test_an_entry_time_begins_again_since_its_door_is_owed_an_alarm() -> None:
    timeline = armed_then(DARK, Mode.AWAY, (0, ZoneTrips(DOOR)), (20, PowerReturns()))
    assert when(timeline, DisplayLine.ALARM) == [50]
    in_time = armed_then(DARK, Mode.AWAY, (0, ZoneTrips(DOOR)), (20, PowerReturns()), (49, disarm()))
    assert when(in_time, DisplayLine.ALARM) == []


@pytest.mark.parametrize("warm_up", [60, 0])
def test_what_opened_while_nobody_could_notice_is_shown_and_guarded_from_then_on(warm_up: int) -> None:
    setup = with_settings(DARK, warm_up=warm_up)
    panel = Clockwork(setup)
    panel.give(arm())
    panel.rest()
    if warm_up:
        panel.give(PowerReturns())
        panel.give(ZoneOpens(WINDOW))
        said = [out for entry in panel.rest() for out in entry.outputs]
    else:
        panel.control = replace(panel.control, open=frozenset({WINDOW}))  # it opened in the dark
        said = list(panel.give(PowerReturns()).outputs)
    assert Shown(DisplayLine.LEFT_OPEN, WINDOW) in said
    assert not [out for out in said if isinstance(out, Siren) and out.pattern is Pattern.BURGLARY]
    panel.give(ZoneCloses(WINDOW))
    assert Shown(DisplayLine.ALARM, WINDOW) in panel.give(ZoneOpens(WINDOW)).outputs


def test_what_stands_open_by_day_is_not_shown_when_power_is_back() -> None:
    timeline = run(DARK, [(0, ZoneOpens(WINDOW)), (100, PowerReturns())])
    assert when(timeline, DisplayLine.LEFT_OPEN) == []


def test_the_alarm_memory_outlives_the_dark() -> None:
    timeline = armed_then(DARK, Mode.AWAY, (0, ZoneTrips(WINDOW)), (100, PowerReturns()), (200, disarm()))
    assert when(timeline, DisplayLine.MEMORY) == [200]


def test_a_message_that_waited_goes_at_once() -> None:
    timeline = armed_then(DARK, Mode.AWAY, (0, ZoneTrips(WINDOW)), (10, PowerReturns()), (20, disarm()))
    assert messages(timeline) == [(10, "restart"), (10, "perimeter alarm"), (20, "cancel")]
    assert sirens(timeline) == [(0, Pattern.BURGLARY), (10, Pattern.NONE)]


def test_supervision_counts_and_waits_begin_again() -> None:
    setup = with_settings(house(zone(1, "perimeter", supervise=True)), mains_wait=600, warm_up=60)
    one = ZoneNumber(1)
    panel = Clockwork(setup)
    for at, event in (
        (100, TroubleBegins(one, Trouble.LOW_BATTERY)),
        (200, SiteTroubleBegins(SiteTrouble.MAINS)),
        (300, arm()),
        (400, ZoneTrips(one)),
        (500, PowerReturns()),
    ):
        panel.advance(at)
        panel.give(event)
    ends = {timer.kind: at - 500 for timer, at in panel.due.items()}
    assert ends == {
        TimerKind.MISSING: 12 * HOUR,
        TimerKind.BATTERY: DAY,
        TimerKind.MAINS: 600,
        TimerKind.SWINGER_RESET: 48 * HOUR,
        TimerKind.WARM_UP: 60,
    }


def test_a_missing_device_stays_missing_until_it_is_heard() -> None:
    setup = house(zone(1, "perimeter", supervise=True))
    timeline = run(setup, [(13 * HOUR, PowerReturns())], until=40 * HOUR)
    assert messages(timeline) == [(12 * HOUR, "missing")]


# Installer mode -------------------------------------------------------------------------------------------------------

IN, OUT = InstallerMode(True), InstallerMode(False)


def test_in_installer_mode_nothing_that_opens_counts_fire_too() -> None:
    given: Given = [(0, IN), *((n, ZoneTrips(ZoneNumber(n))) for n in range(1, 8)), (10, OUT)]
    timeline = run(with_settings(COTTAGE, troubles=True), given)
    assert lines(timeline) == [(0, DisplayLine.INSTALLER), (10, DisplayLine.INSTALLER_ENDS)]
    assert messages(timeline) == [(0, "installer mode"), (10, "installer mode ended")]
    assert sirens(timeline) == []


def test_it_begins_with_every_area_disarmed_only() -> None:
    timeline = armed_then(DARK, Mode.STAY, (0, IN), (5, ZoneTrips(WINDOW)))
    assert when(timeline, DisplayLine.INSTALLER_NOT_NOW) == [0]
    assert when(timeline, DisplayLine.ALARM) == [5]


def test_nothing_is_armed_in_it() -> None:
    timeline = run(COTTAGE, [(0, IN), (5, arm()), (10, OUT), (20, arm())])
    assert (5, Beeps(Sound.REFUSED)) in outputs(timeline)
    assert when(timeline, DisplayLine.ARMED_AWAY) == [80]


def test_it_silences_and_calls_off() -> None:
    setup = house(zone(1, "24-hour-audible"))
    timeline = run(setup, [(0, ZoneTrips(ZoneNumber(1))), (10, IN)])
    assert sirens(timeline) == [(0, Pattern.BURGLARY), (10, Pattern.NONE)]
    assert when(timeline, DisplayLine.NOT_SENT) == [10]
    assert messages(timeline) == []


def test_a_cover_taken_off_in_it_is_no_alarm_and_other_troubles_are_told() -> None:
    setup = house(zone(1, "24-hour-audible"))
    given: Given = [(0, IN), (5, TroubleBegins(ZoneNumber(1), Trouble.TAMPER))]
    timeline = run(setup, [*given, (6, TroubleBegins(ZoneNumber(1), Trouble.LOW_BATTERY))])
    assert sirens(timeline) == []
    assert messages(timeline) == [(5, "tamper"), (6, "low battery")]


def test_smoke_that_stands_when_it_ends_is_an_alarm_then() -> None:
    timeline = run(COTTAGE, [(0, IN), (5, ZoneOpens(SMOKE)), (6, ZoneOpens(HALL)), (90, OUT)])
    assert messages(timeline) == [(90, "fire alarm")]


def test_what_was_looked_into_is_forgotten() -> None:
    setup = with_settings(house(zone(1, "environment")), environment_wait=60)
    assert messages(run(setup, [(0, ZoneOpens(ZoneNumber(1))), (30, IN), (40, ZoneCloses(ZoneNumber(1)))])) == []
    for ends in (40, 90):
        timeline = run(setup, [(0, ZoneOpens(ZoneNumber(1))), (30, IN), (ends, OUT)])
        assert messages(timeline) == [(ends + 60, "environment alarm")]


def test_twice_in_or_out_is_once() -> None:
    timeline = run(COTTAGE, [(0, OUT), (1, IN), (2, IN), (3, OUT), (4, OUT)])
    assert lines(timeline) == [(1, DisplayLine.INSTALLER), (3, DisplayLine.INSTALLER_ENDS)]


def test_it_outlives_a_loss_of_power_and_the_warm_up_ends_in_silence() -> None:
    timeline = run(DARK, [(0, IN), (10, PowerReturns()), (20, ZoneOpens(SMOKE)), (100, OUT)])
    assert when(timeline, DisplayLine.WATCHING) == []
    assert [at for at, name in messages(timeline) if name == "fire alarm"] == [100]
    early = run(DARK, [(0, IN), (10, PowerReturns()), (20, ZoneOpens(SMOKE)), (30, OUT)])
    assert [at for at, name in messages(early) if name == "fire alarm"] == [70]


# In every house -------------------------------------------------------------------------------------------------------


@given_(some_house(), acts)
def test_power_back_keeps_modes_bypasses_openings_and_what_stands(setup: Setup, given: Given) -> None:
    before = walk(setup, given)[-1].done.control
    after = step(setup, before, PowerReturns()).control
    assert [(area.number, area.mode, area.user) for area in after.areas] == [
        (area.number, area.mode, area.user) for area in before.areas
    ]
    for was, now in zip(before.areas, after.areas, strict=True):
        assert now.memory[: len(was.memory)] == was.memory  # what is still there may give its alarm again
    assert after.bypassed == before.bypassed
    assert after.open == before.open
    assert after.troubles == before.troubles
    assert after.waiting == ()
    still_there = [
        zone.behaviour.siren for zone in setup.zones if zone.behaviour.live == ALWAYS and zone.number in before.open
    ]
    if setup.settings.inside_when_off and Pattern.BURGLARY in still_there:
        still_there.append(Pattern.INSIDE)  # of an area that is off
    assert after.siren is Pattern.NONE or after.siren in still_there


@given_(some_house(), acts, st.booleans())
def test_while_the_panel_is_deaf_no_opening_is_heard_seen_or_told(setup: Setup, given: Given, lost: bool) -> None:
    control = walk(setup, given)[-1].done.control
    if not lost:
        for area in setup.areas:
            control = step(setup, control, Disarm(area, IDA)).control
    control = step(setup, control, PowerReturns() if lost else IN).control
    if not control.installer and Timer(TimerKind.WARM_UP, 0) not in control.running:
        return
    for one in setup.zones:
        done = step(setup, control, ZoneTrips(one.number))
        assert all(isinstance(out, Message) and out.restore for out in done.outputs)
        assert done.control.areas == control.areas


@given_(some_house(), acts)
def test_troubles_of_the_panel_never_sound_and_never_change_a_mode(setup: Setup, given: Given) -> None:
    for moment in walk(setup, given):
        if isinstance(moment.event, SiteTroubleBegins | SiteTroubleEnds):
            assert not [out for out in moment.done.outputs if isinstance(out, Siren)]
            assert all(out.zone is None for out in moment.done.outputs if isinstance(out, Shown | Message))
            assert moment.done.control.areas == moment.before.areas


@pytest.mark.parametrize("warm_up", [0, 60])
def test_smoke_that_is_still_there_sounds_again_when_power_is_back(warm_up: int) -> None:
    """Its siren ended in the dark; that it was told before is no reason to be silent now."""
    setup = with_settings(COTTAGE, warm_up=warm_up)
    timeline = run(setup, [(0, ZoneOpens(SMOKE)), (60, PowerReturns())], until=200)
    assert [(at, pattern) for at, pattern in sirens(timeline) if at >= 60] == [
        (60, Pattern.NONE), (60 + warm_up, Pattern.FIRE),
    ]  # fmt: skip
    gone = run(setup, [(0, ZoneOpens(SMOKE)), (30, ZoneCloses(SMOKE)), (60, PowerReturns())], until=200)
    assert [pattern for at, pattern in sirens(gone) if at > 60 or (pattern is Pattern.FIRE and at == 60)] == []


def test_a_call_for_help_while_the_installer_works_is_refused_and_said() -> None:
    timeline = run(COTTAGE, [(0, InstallerMode(True)), (10, Panic(AreaNumber(1), IDA))])
    shown = [out for at, out in outputs(timeline) if at == 10]
    assert shown == [Beeps(Sound.REFUSED), Shown(DisplayLine.INSTALLER)]

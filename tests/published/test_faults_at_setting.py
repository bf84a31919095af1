"""A fault stops setting, unless somebody who may sets all the same.

Source: EN 50131-1 8.3.5, from memory: a cover off, a device out of contact and faults of supply, path and siren prevent
setting; who may override goes by level and grade (the table of levels was not seen: each panel says its own). How long
ago a radio device may have been heard for the last time, by grade 1 to 4: 60 min, 20 min, 60 s, 10 s (EN 50131-1 and
EN 50131-5-3:2005, from memory).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    COTTAGE,
    DOOR,
    GATE,
    IDA,
    SMOKE,
    WAIT_OF,
    WINDOW,
    Given,
    arm,
    disarm,
    house,
    lines,
    messages,
    outputs,
    when,
    with_settings,
    zone,
)
from zonewright.behaviour.clockwork import Timeline, run
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    CheckIn,
    DisplayLine,
    Event,
    Means,
    Message,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Sound,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneCloses,
    ZoneOpens,
)
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber

TROUBLES: dict[
    SiteTrouble, tuple[SettingFault, int]
] = {  # what each is at setting, and how long it stands before it is told
    SiteTrouble.MAINS: (SettingFault.SUPPLY, 900),
    SiteTrouble.PANEL_BATTERY: (SettingFault.SUPPLY, 60),
    SiteTrouble.SIREN_CIRCUIT: (SettingFault.SIREN_CIRCUIT, 30),
    SiteTrouble.AUXILIARY: (SettingFault.SUPPLY, 20),
    SiteTrouble.LINE: (SettingFault.LINE, 300),
    SiteTrouble.JAMMING: (SettingFault.JAMMING, 60),
}
WAITS = {WAIT_OF[trouble]: wait for trouble, (_, wait) in TROUBLES.items()}
BEGINS: dict[str, tuple[Event, Event, SettingFault, DisplayLine, int]] = {
    "cover off": (TroubleBegins(WINDOW, Trouble.TAMPER), TroubleEnds(WINDOW, Trouble.TAMPER), SettingFault.TAMPER,
                  DisplayLine.TAMPER, 0),
    "missing": (TroubleBegins(WINDOW, Trouble.MISSING), CheckIn(WINDOW), SettingFault.MISSING, DisplayLine.MISSING, 0),
    **{
        trouble.value: (SiteTroubleBegins(trouble), SiteTroubleEnds(trouble), fault, trouble.line, wait)
        for trouble, (fault, wait) in TROUBLES.items()
    },
}  # fmt: skip


def test_every_trouble_of_the_panel_is_tried() -> None:
    assert set(TROUBLES) == set(SiteTrouble)


def barring(*rules: tuple[SettingFault, Right], setup: Setup = COTTAGE) -> Setup:
    """A house whose window is supervised, and where these faults stop setting."""
    watched = tuple(replace(each, supervise=each.number == WINDOW) for each in setup.zones)
    settings = {**WAITS, "at_setting": frozenset(rules), "restores": False}
    return with_settings(replace(setup, zones=watched), **settings)


def insists(right: Right | None, mode: Mode = Mode.AWAY, means: Means = Means.KEYPAD) -> Arm:
    return Arm(AreaNumber(1), mode, IDA, means, over=right)


def is_set(timeline: Timeline) -> bool:
    shown = [line for _, line in lines(timeline)]
    return DisplayLine.ARMING in shown


def refused(timeline: Timeline) -> bool:
    return any(out == Beeps(Sound.REFUSED) for _, out in outputs(timeline)) and DisplayLine.FAULT in {
        line for _, line in lines(timeline)
    }


@pytest.mark.parametrize("name", BEGINS)
def test_a_fault_that_stands_stops_setting_until_it_is_put_right(name: str) -> None:
    begins, ends, fault, line, wait = BEGINS[name]
    setup = barring((fault, Right.USER))
    stopped = run(setup, [(0, begins), (wait + 1, arm(means=Means.KEYPAD))], until=wait + 90)
    assert refused(stopped)
    assert not is_set(stopped)
    assert when(stopped, line)[-1] == wait + 1
    assert is_set(run(setup, [(0, begins), (wait + 1, ends), (wait + 2, arm(means=Means.KEYPAD))], until=wait + 90))


@pytest.mark.parametrize("name", BEGINS)
@pytest.mark.parametrize("by", [-1, 0, 1])
def test_a_trouble_of_the_panel_stops_setting_from_the_second_in_which_it_is_told(name: str, by: int) -> None:
    begins, _, fault, _, wait = BEGINS[name]
    if wait:
        timeline = run(
            barring((fault, Right.USER)), [(0, begins), (wait + by, arm(means=Means.KEYPAD))], until=wait + 90
        )
        assert is_set(timeline) is (by < 0)


@pytest.mark.parametrize("name", BEGINS)
def test_a_fault_that_the_panel_does_not_ask_for_is_only_shown(name: str) -> None:
    begins, _, fault, line, wait = BEGINS[name]
    others = [(each, Right.NOBODY) for each in SettingFault if each is not fault]
    timeline = run(barring(*others), [(0, begins), (wait + 1, arm(means=Means.KEYPAD))], until=wait + 90)
    assert is_set(timeline)
    assert when(timeline, line)[-1] == wait + 1


@pytest.mark.parametrize(
    ("rule", "over", "sets"),
    [
        (Right.USER, None, False),
        (Right.USER, Right.USER, True),
        (Right.USER, Right.INSTALLER, True),
        (Right.INSTALLER, Right.USER, False),
        (Right.INSTALLER, Right.INSTALLER, True),
        (Right.NOBODY, Right.USER, False),
        (Right.NOBODY, Right.INSTALLER, False),
        (Right.NOBODY, Right.NOBODY, False),
    ],
)
def test_who_may_sets_over_it_and_the_station_hears_of_it(rule: Right, over: Right | None, sets: bool) -> None:
    cover = TroubleBegins(WINDOW, Trouble.TAMPER)
    timeline = run(barring((SettingFault.TAMPER, rule)), [(0, cover), (1, insists(over))], until=90)
    assert is_set(timeline) is sets
    assert refused(timeline) is not sets
    told = Message("armed over a fault", AreaNumber(1), WINDOW, IDA)
    assert ((1, told) in outputs(timeline)) is sets
    assert (when(timeline, DisplayLine.OVER_FAULT) == [1]) is sets


def test_of_several_faults_each_must_be_set_over_and_each_is_told() -> None:
    both: Given = [(0, TroubleBegins(WINDOW, Trouble.TAMPER)), (0, SiteTroubleBegins(SiteTrouble.LINE))]
    mixed = barring((SettingFault.TAMPER, Right.USER), (SettingFault.LINE, Right.INSTALLER))
    assert not is_set(run(mixed, [*both, (300, insists(Right.USER))], until=400))
    timeline = run(mixed, [*both, (300, insists(Right.INSTALLER))], until=400)
    assert [name for at, name in messages(timeline) if at == 300].count("armed over a fault") == 2


def test_only_at_a_keypad_and_only_for_this_once() -> None:
    setup = barring((SettingFault.TAMPER, Right.USER))
    off = (0, TroubleBegins(WINDOW, Trouble.TAMPER))
    assert not is_set(run(setup, [off, (1, insists(Right.USER, means=Means.REMOTE))], until=90))
    once = run(setup, [off, (1, insists(Right.USER)), (100, disarm()), (101, arm())], until=200)
    assert when(once, DisplayLine.FAULT) == [101]


def test_without_a_fault_nobody_need_insist_and_nothing_is_told() -> None:
    timeline = run(barring((SettingFault.TAMPER, Right.USER)), [(0, insists(Right.USER))], until=90)
    assert is_set(timeline)
    assert messages(timeline) == []
    assert when(timeline, DisplayLine.OVER_FAULT) == []


def test_a_bypass_does_not_hide_a_fault_and_another_area_is_not_asked() -> None:
    rule = SettingFault.TAMPER, Right.NOBODY
    off = (0, TroubleBegins(WINDOW, Trouble.TAMPER))
    assert not is_set(run(barring(rule), [off, (0, Bypass(WINDOW, IDA)), (1, arm())], until=90))
    apart = house(zone(WINDOW, "perimeter"), zone(DOOR, "entry-door", areas=[2]))
    assert is_set(run(barring(rule, setup=apart), [off, (1, arm(area=2))], until=90))


def test_every_means_and_every_mode_is_stopped_a_switch_too() -> None:
    switch = zone(8, "arm-switch")
    setup = barring((SettingFault.TAMPER, Right.USER), setup=house(*COTTAGE.zones, switch))
    off = (0, TroubleBegins(SMOKE, Trouble.TAMPER))
    for mode in (Mode.STAY, Mode.NIGHT, Mode.AWAY):
        for means in Means:
            assert not is_set(run(setup, [off, (1, arm(mode, means))], until=90))
    assert not is_set(run(setup, [off, (1, ZoneOpens(switch.number)), (5, ZoneCloses(switch.number))], until=90))
    stays = run(setup, [(0, arm(Mode.STAY)), (70, TroubleBegins(GATE, Trouble.TAMPER)), (80, arm(Mode.AWAY))], until=90)
    assert when(stays, DisplayLine.FAULT) == [80]
    assert when(stays, DisplayLine.DISARMED) == []


def test_a_fault_that_begins_in_the_exit_time_stops_nothing_more() -> None:
    setup = barring((SettingFault.MISSING, Right.NOBODY))
    timeline = run(setup, [(0, arm()), (30, TroubleBegins(WINDOW, Trouble.MISSING))], until=90)
    assert when(timeline, DisplayLine.ARMED_AWAY) == [60]


@pytest.mark.parametrize("limit", [3_600, 1_200, 60, 10])  # grades 1 to 4
@pytest.mark.parametrize("by", [-1, 0, 1])
def test_a_device_must_have_been_heard_lately(limit: int, by: int) -> None:
    """At the very second the limit is over: expiries come first (a choice of the clockwork)."""
    setup = with_settings(barring((SettingFault.MISSING, Right.USER)), heard_before_setting=limit)
    heard: Given = [(7, CheckIn(WINDOW)), (7 + limit + by, arm())]
    assert is_set(run(setup, heard, until=limit + 100)) is (by < 0)
    again: Given = [*heard[:1], (7 + limit, CheckIn(WINDOW)), heard[1]]
    assert is_set(run(setup, again, until=limit + 100))


def test_a_device_that_nobody_watches_need_not_be_heard_and_at_power_up_all_count_as_heard() -> None:
    setup = with_settings(barring((SettingFault.MISSING, Right.USER)), heard_before_setting=60)
    assert is_set(run(setup, [(59, arm())], until=200))
    assert not is_set(run(setup, [(61, arm())], until=200))
    alone = replace(setup, zones=tuple(each for each in setup.zones if each.number != WINDOW))
    assert is_set(run(alone, [(61, arm())], until=200))


@pytest.mark.parametrize("over", [None, Right.USER])
def test_that_a_device_was_not_heard_lately_is_shown_and_is_not_called_missing(over: Right | None) -> None:
    """Set over it, the keypad showed no fault; refused, it said the same as of a missing device."""
    setup = with_settings(barring((SettingFault.MISSING, Right.USER)), heard_before_setting=60)
    timeline = run(setup, [(70, insists(over))], until=100)
    assert when(timeline, DisplayLine.NOT_HEARD_LATELY) == [70]
    assert when(timeline, DisplayLine.MISSING) == []
    assert when(timeline, DisplayLine.FAULT if over is None else DisplayLine.OVER_FAULT) == [70]
    missing = run(setup, [(0, TroubleBegins(WINDOW, Trouble.MISSING)), (70, insists(over))], until=100)
    assert when(missing, DisplayLine.NOT_HEARD_LATELY) == []
    assert when(missing, DisplayLine.MISSING) == [0, 70]


def test_low_battery_alone_stops_nothing() -> None:
    setup = barring(*((fault, Right.NOBODY) for fault in SettingFault))
    assert is_set(run(setup, [(0, TroubleBegins(ZoneNumber(WINDOW), Trouble.LOW_BATTERY)), (1, arm())], until=90))

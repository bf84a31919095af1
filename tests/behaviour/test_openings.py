"""What must last, what must come twice, what only warns, and what arms: each at its limit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.behaviour.house import (
    IDA,
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
from zonewright.behaviour.clockwork import Clockwork, Timeline, run
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    CheckIn,
    Disarm,
    DisplayLine,
    Event,
    Expires,
    InstallerMode,
    Message,
    Shown,
    Sound,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.panel.behaviours import SHIPPED, Mode, Pattern
from zonewright.site.record import ZoneNumber

ONE, TWO, THREE = (ZoneNumber(number) for number in (1, 2, 3))


def changed(plain: ZoneSetup, **attributes: object) -> ZoneSetup:
    """The zone with other attributes of its behaviour, as a profile may write them."""
    return replace(plain, behaviour=plain.behaviour.model_copy(update=attributes))


def alarms(timeline: Timeline) -> list[tuple[int, ZoneNumber | None]]:
    return [(at, out.zone) for at, out in outputs(timeline) if isinstance(out, Shown) and out.line is DisplayLine.ALARM]


# Day-night ------------------------------------------------------------------------------------------------------------

SHOP_WINDOW = house(zone(ONE, "day-night", "shop window"), zone(TWO, "entry-door", "shop door"))


def test_by_day_it_sounds_the_trouble_tone_and_tells_a_trouble() -> None:
    timeline = run(SHOP_WINDOW, [(0, ZoneOpens(ONE)), (100, ZoneCloses(ONE))])
    assert sirens(timeline) == [(0, Pattern.TROUBLE), (240, Pattern.NONE)]
    assert lines(timeline) == [(0, DisplayLine.WARNING)]
    assert messages(timeline) == [(0, "day-night trouble")]
    assert restores(timeline) == [(100, "day-night trouble")]


def test_by_day_a_code_ends_the_tone_and_there_is_nothing_to_cancel() -> None:
    timeline = run(SHOP_WINDOW, [(0, ZoneTrips(ONE)), (5, disarm())])
    assert sirens(timeline) == [(0, Pattern.TROUBLE), (5, Pattern.NONE)]
    assert [name for _, name in messages(timeline)] == ["day-night trouble"]
    assert when(timeline, DisplayLine.MEMORY) == []


def test_by_night_it_is_an_alarm_that_can_be_called_off() -> None:
    timeline = armed_then(SHOP_WINDOW, Mode.NIGHT, (0, ZoneTrips(ONE)), (29, disarm()))
    assert sirens(timeline)[0] == (0, Pattern.BURGLARY)
    assert messages(timeline) == []


def test_a_warning_is_not_counted_and_comes_as_often_as_it_must() -> None:
    timeline = run(SHOP_WINDOW, [(n, ZoneTrips(ONE)) for n in range(0, 100, 10)])
    assert len(when(timeline, DisplayLine.WARNING)) == 10


def test_a_warning_is_told_where_its_troubles_are() -> None:
    setup = house(zone(ONE, "day-night", tells_trouble=False))
    assert messages(run(setup, [(0, ZoneOpens(ONE)), (1, ZoneCloses(ONE))])) == []
    setup = house(zone(ONE, "day-night", tells_alarm=False))
    assert messages(run(setup, [(0, ZoneTrips(ONE))])) == [(0, "day-night trouble")]


def test_a_shut_out_one_does_not_warn() -> None:
    """No shipped behaviour is shut out while off; a profile may make one."""
    setup = house(changed(zone(ONE, "day-night"), tamper_alarm=frozenset(Mode)))
    tampers: list[Event] = [TroubleBegins(ONE, Trouble.TAMPER), TroubleEnds(ONE, Trouble.TAMPER)] * 2
    given: Given = [*enumerate(tampers), (500, ZoneTrips(ONE))]
    assert when(run(setup, given), DisplayLine.ALARM) == [0, 2]
    assert when(run(setup, given), DisplayLine.WARNING) == []


def test_a_bypassed_one_does_not_warn() -> None:
    assert sirens(run(SHOP_WINDOW, [(0, Bypass(ONE, IDA)), (5, ZoneTrips(ONE))])) == []


def test_a_shared_one_warns_while_any_of_its_areas_is_off() -> None:
    setup = house(zone(ONE, "day-night", areas=(1, 2)), zone(TWO, "perimeter", areas=(2,)))
    off, half = run(setup, [(0, ZoneTrips(ONE))]), run(setup, [(0, arm()), (100, ZoneTrips(ONE))])
    assert when(off, DisplayLine.WARNING) == [0]
    assert when(half, DisplayLine.WARNING) == [100]
    both = run(setup, [(0, arm()), (0, arm(area=2)), (100, ZoneTrips(ONE))])
    assert when(both, DisplayLine.WARNING) == []
    assert when(both, DisplayLine.ALARM) == [100]


# Unused ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mode", list(Mode))
def test_an_unused_number_changes_nothing_whatever_it_sends(mode: Mode) -> None:
    setup = house(zone(ONE, "unused", supervise=True, chime="two notes"), zone(TWO, "perimeter"))
    panel = Clockwork(setup)
    assert panel.due == {}
    if mode is not Mode.DISARMED:
        panel.give(arm(mode))
        panel.rest()
    before = panel.control
    events: list[Event] = [
        ZoneOpens(ONE),
        ZoneCloses(ONE),
        ZoneTrips(ONE),
        CheckIn(ONE),
        *(TroubleBegins(ONE, trouble) for trouble in Trouble),
    ]
    for event in events:
        assert panel.give(event).outputs == ()
        assert panel.control == before


# What must last -------------------------------------------------------------------------------------------------------

CELLAR = with_settings(house(zone(ONE, "environment", "cellar water")), environment_wait=60)


@pytest.mark.parametrize(("closes", "sounds"), [(59, False), (60, True), (61, True)])
def test_water_counts_when_it_was_there_for_the_whole_wait(closes: int, sounds: bool) -> None:
    """30 s to 5 min: common practice, no source."""
    timeline = run(CELLAR, [(0, ZoneOpens(ONE)), (closes, ZoneCloses(ONE))])
    assert sirens(timeline)[:1] == ([(60, Pattern.TROUBLE)] if sounds else [])
    assert messages(timeline) == ([(60, "environment alarm")] if sounds else [])
    assert restores(timeline) == ([(max(closes, 60), "environment alarm")] if sounds else [])


def test_its_wait_begins_again_with_each_opening() -> None:
    given: Given = [(0, ZoneOpens(ONE)), (50, ZoneCloses(ONE)), (55, ZoneOpens(ONE))]
    assert messages(run(CELLAR, given)) == [(115, "environment alarm")]


def test_a_code_does_not_end_the_wait() -> None:
    assert messages(run(CELLAR, [(0, ZoneOpens(ONE)), (10, disarm())])) == [(60, "environment alarm")]


def test_bypassed_meanwhile_it_is_nothing() -> None:
    assert sirens(run(CELLAR, [(0, ZoneOpens(ONE)), (10, Bypass(ONE, IDA))])) == []


WATER = with_settings(CELLAR, environment_wait=0)


def test_without_the_setting_it_counts_at_once() -> None:
    assert messages(run(WATER, [(0, ZoneTrips(ONE))])) == [(0, "environment alarm")]


@pytest.mark.parametrize("ends", [[(20, Unbypass(ONE, IDA))], [(15, arm()), (20, disarm())]])
def test_water_that_came_while_bypassed_is_an_alarm_when_the_bypass_ends(ends: Given) -> None:
    """It was lost: shown neither then nor later."""
    given: Given = [(0, Bypass(ONE, IDA)), (10, ZoneOpens(ONE)), *ends]
    assert sirens(run(WATER, given))[0] == (20, Pattern.TROUBLE)
    assert messages(run(WATER, given)) == [(0, "zone bypass"), (20, "environment alarm")]
    assert when(run(CELLAR, given), DisplayLine.ALARM) == [80]
    assert when(run(WATER, [*given[:-1], (19, ZoneCloses(ONE)), *ends[-1:]]), DisplayLine.ALARM) == []


def test_water_that_was_told_before_it_was_bypassed_is_not_told_again() -> None:
    given: Given = [(0, ZoneOpens(ONE)), (5, Bypass(ONE, IDA)), (20, Unbypass(ONE, IDA))]
    assert messages(run(WATER, given)) == [(0, "environment alarm"), (5, "zone bypass")]


FLOOD = house(zone(ONE, "environment", "cellar water"), zone(TWO, "perimeter"), zone(THREE, "day-night"))


def test_a_trouble_tone_keeps_no_siren_on() -> None:
    """Water ten seconds before the cut-off kept the siren on for another four minutes."""
    timeline = armed_then(FLOOD, Mode.AWAY, (0, ZoneOpens(TWO)), (230, ZoneOpens(ONE)))
    assert sirens(timeline) == [(0, Pattern.BURGLARY), (240, Pattern.NONE)]
    assert when(timeline, DisplayLine.ALARM) == [0, 230]


def test_a_trouble_tone_is_begun_again_by_another_and_taken_over_by_a_siren() -> None:
    timeline = run(FLOOD, [(0, ZoneOpens(ONE)), (200, ZoneOpens(THREE))])
    assert sirens(timeline) == [(0, Pattern.TROUBLE), (200, Pattern.TROUBLE), (440, Pattern.NONE)]
    timeline = armed_then(FLOOD, Mode.AWAY, (0, ZoneOpens(ONE)), (200, ZoneOpens(TWO)))
    assert sirens(timeline) == [(0, Pattern.TROUBLE), (200, Pattern.BURGLARY), (440, Pattern.NONE)]


def test_a_trouble_tone_below_a_siren_that_is_silenced_is_heard_for_the_rest_of_its_time() -> None:
    two = house(zone(ONE, "environment"), zone(TWO, "perimeter", areas=(2,)))
    given: Given = [(0, arm(area=2)), (60, ZoneOpens(TWO)), (200, ZoneOpens(ONE)), (210, disarm(area=2))]
    assert sirens(run(two, given)) == [(60, Pattern.BURGLARY), (210, Pattern.TROUBLE), (300, Pattern.NONE)]


def test_a_bypass_that_ends_in_the_installers_hands_tells_of_water_when_they_go() -> None:
    given: Given = [(0, Bypass(ONE, IDA)), (10, ZoneOpens(ONE)), (12, InstallerMode(True)), (20, Unbypass(ONE, IDA))]
    assert when(run(WATER, [*given, (30, InstallerMode(False))]), DisplayLine.ALARM) == [30]


def test_a_window_that_was_opened_while_bypassed_is_guarded_from_its_next_opening_on() -> None:
    setup = house(zone(ONE, "24-hour-audible"), zone(TWO, "perimeter"))
    given: Given = [(0, Bypass(TWO, IDA)), (10, ZoneOpens(TWO)), (15, arm()), (99, disarm())]
    assert when(run(setup, given), DisplayLine.ALARM) == []


def test_a_profile_may_ask_it_of_a_window_which_disarming_frees() -> None:
    setup = with_settings(house(changed(zone(ONE, "perimeter"), persists=True)), environment_wait=10)
    assert when(armed_then(setup, Mode.STAY, (0, ZoneOpens(ONE))), DisplayLine.ALARM) == [10]
    assert when(armed_then(setup, Mode.STAY, (0, ZoneOpens(ONE)), (9, disarm())), DisplayLine.ALARM) == []


# Fire verification ----------------------------------------------------------------------------------------------------

LANDING = with_settings(house(zone(ONE, "fire", "landing", verifies=True)), fire_reset=12, fire_verify_window=90)


def test_the_first_trip_of_a_wired_detector_is_looked_into() -> None:
    timeline = run(LANDING, [(0, ZoneTrips(ONE))])
    assert lines(timeline) == [(0, DisplayLine.VERIFYING)]
    assert messages(timeline) == []
    assert sirens(timeline) == []


@pytest.mark.parametrize(("again", "alarm_at"), [(11, None), (12, 12), (13, 13), (101, 101), (102, None), (103, None)])
def test_the_second_trip_inside_the_window_is_the_alarm(again: int, alarm_at: int | None) -> None:
    """Reset 10 to 15 s, window 60 s to 2 min: common practice, no source."""
    timeline = run(LANDING, [(0, ZoneTrips(ONE)), (again, ZoneTrips(ONE))], until=110)
    assert messages(timeline) == ([] if alarm_at is None else [(alarm_at, "fire alarm")])


def test_smoke_that_is_still_there_after_the_reset_is_the_alarm() -> None:
    timeline = run(LANDING, [(0, ZoneOpens(ONE))])
    assert messages(timeline) == [(12, "fire alarm")]
    assert sirens(timeline)[0] == (12, Pattern.FIRE)


def test_a_code_does_not_end_the_verification() -> None:
    timeline = run(LANDING, [(0, ZoneTrips(ONE)), (5, disarm()), (30, ZoneTrips(ONE))])
    assert messages(timeline) == [(30, "fire alarm")]


def test_each_detector_is_verified_by_itself() -> None:
    setup = with_settings(
        house(zone(ONE, "fire", verifies=True), zone(TWO, "fire", verifies=True)), fire_reset=12, fire_verify_window=90
    )
    assert messages(run(setup, [(0, ZoneTrips(ONE)), (20, ZoneTrips(TWO))])) == []


def test_one_that_is_not_verified_is_an_alarm_at_once() -> None:
    setup = with_settings(house(zone(ONE, "fire")), fire_reset=12, fire_verify_window=90)
    assert messages(run(setup, [(0, ZoneTrips(ONE))])) == [(0, "fire alarm")]
    assert messages(run(with_settings(LANDING, fire_verify_window=0), [(0, ZoneTrips(ONE))])) == [(0, "fire alarm")]


@pytest.mark.parametrize(("clears", "alarm_at"), [(89, None), (90, 90), (None, 90)])
def test_where_power_is_not_reset_smoke_is_never_lost(clears: int | None, alarm_at: int | None) -> None:
    setup = with_settings(LANDING, fire_reset=0)
    given: Given = [(0, ZoneOpens(ONE)), *([(clears, ZoneCloses(ONE))] if clears is not None else [])]
    assert messages(run(setup, given)) == ([] if alarm_at is None else [(alarm_at, "fire alarm")])
    assert messages(run(setup, [(0, ZoneTrips(ONE)), (5, ZoneTrips(ONE))])) == [(5, "fire alarm")]


def test_after_the_alarm_the_next_trip_is_a_first_one_again() -> None:
    given: Given = [(0, ZoneTrips(ONE)), (20, ZoneTrips(ONE)), (40, ZoneTrips(ONE))]
    assert messages(run(LANDING, given)) == [(20, "fire alarm")]


# Cross-zoning ---------------------------------------------------------------------------------------------------------

PAIR = with_settings(
    house(
        zone(ONE, "interior", "hall", crosses=frozenset({TWO})),
        zone(TWO, "interior", "lounge", crosses=frozenset({ONE})),
        zone(THREE, "perimeter", "window"),
    ),
    cross_window=60,
    abort_window=0,
)


def test_a_trip_alone_is_shown_and_told_as_unverified() -> None:
    timeline = armed_then(PAIR, Mode.AWAY, (0, ZoneTrips(ONE)))
    assert sirens(timeline) == []
    assert lines(timeline)[-1] == (0, DisplayLine.UNVERIFIED)
    assert messages(timeline) == [(0, "unverified alarm")]
    assert restores(timeline) == []


@pytest.mark.parametrize("second", [ONE, TWO])
@pytest.mark.parametrize(("later", "confirmed"), [(59, True), (60, False), (61, False)])
def test_its_pair_or_itself_within_the_window_is_the_alarm(second: ZoneNumber, later: int, confirmed: bool) -> None:
    """Window 30 s to 5 min: common practice, no source."""
    timeline = armed_then(PAIR, Mode.AWAY, (0, ZoneTrips(ONE)), (later, ZoneTrips(second)))
    assert alarms(timeline) == ([(later, second)] if confirmed else [])
    assert messages(timeline)[1:] == [(later, "interior alarm" if confirmed else "unverified alarm")]
    assert bool(sirens(timeline)) is confirmed


def test_an_unverified_alarm_is_never_over() -> None:
    timeline = armed_then(with_settings(PAIR, abort_window=30), Mode.AWAY, (0, ZoneTrips(ONE)))
    assert messages(timeline) == [(30, "unverified alarm")]
    assert restores(timeline) == []


def test_a_zone_outside_the_pair_confirms_nothing_and_needs_nobody() -> None:
    timeline = armed_then(PAIR, Mode.AWAY, (0, ZoneTrips(THREE)), (10, ZoneTrips(ONE)))
    assert alarms(timeline) == [(0, THREE)]


def test_an_unverified_alarm_can_be_called_off() -> None:
    setup = with_settings(PAIR, abort_window=30)
    timeline = armed_then(setup, Mode.AWAY, (0, ZoneTrips(ONE)), (29, disarm()))
    assert messages(timeline) == []
    assert when(timeline, DisplayLine.NOT_SENT) == [29]


def test_a_trip_alone_counts_so_that_a_faulty_sensor_falls_silent() -> None:
    trips = [(1000 * n, ZoneTrips(ONE)) for n in range(1, 5)]
    timeline = armed_then(PAIR, Mode.AWAY, *trips)
    assert when(timeline, DisplayLine.UNVERIFIED) == [1000, 2000]
    assert [at for at, _ in messages(timeline)] == [1000, 2000]


def test_disarming_ends_the_window() -> None:
    given: Given = [(0, arm()), (100, ZoneTrips(ONE)), (110, disarm())]
    setup = with_settings(PAIR, exit_time=10)
    assert alarms(run(setup, [*given, (120, arm()), (140, ZoneTrips(TWO))])) == []


def test_without_the_setting_each_trip_is_an_alarm() -> None:
    timeline = armed_then(with_settings(PAIR, cross_window=0), Mode.AWAY, (0, ZoneTrips(ONE)))
    assert alarms(timeline) == [(0, ONE)]


def test_what_an_entry_time_ends_in_needs_no_second_zone() -> None:
    door = changed(zone(ONE, "entry-door", crosses=frozenset({TWO})), cross=True)
    setup = with_settings(house(door, zone(TWO, "perimeter", crosses=frozenset({ONE}))), cross_window=60)
    assert alarms(armed_then(setup, Mode.AWAY, (0, ZoneTrips(ONE)))) == [(30, ONE)]


# Arm switch -----------------------------------------------------------------------------------------------------------


def switched(**attributes: object) -> Setup:
    switch = changed(zone(ONE, "arm-switch", "key switch"), **attributes)
    return with_settings(house(switch, zone(TWO, "perimeter", "window"), zone(THREE, "entry-door")), openings=True)


def modes(setup: Setup, *events: Event) -> list[Mode]:
    """The mode after each event and the quiet after it."""
    panel = Clockwork(setup)
    seen = []
    for event in events:
        panel.give(event)
        panel.rest()
        seen.append(panel.control.areas[0].mode)
    return seen


def test_a_switch_kept_on_arms_away_and_turned_off_disarms() -> None:
    assert modes(switched(), ZoneOpens(ONE), ZoneCloses(ONE)) == [Mode.AWAY, Mode.DISARMED]
    timeline = run(switched(), [(0, ZoneOpens(ONE)), (100, ZoneCloses(ONE))])
    told = [(at, out.name, out.zone, out.user) for at, out in outputs(timeline) if isinstance(out, Message)]
    assert told == [(0, "closing by switch", ONE, None), (100, "opening by switch", ONE, None)]
    assert when(timeline, DisplayLine.ARMED_AWAY) == [60]
    assert when(timeline, DisplayLine.NOBODY_LEFT) == []


def test_a_pushed_switch_turns_the_setting_over() -> None:
    pushes = [ZoneTrips(ONE)] * 4
    assert modes(switched(momentary=True), *pushes) == [Mode.AWAY, Mode.DISARMED] * 2
    assert modes(switched(momentary=True), arm(Mode.STAY), ZoneTrips(ONE)) == [Mode.STAY, Mode.DISARMED]


def test_a_profile_says_what_the_switch_arms() -> None:
    assert modes(switched(arms=Mode.NIGHT), ZoneOpens(ONE)) == [Mode.NIGHT]


def test_a_switch_is_refused_like_a_code_and_must_be_turned_again() -> None:
    assert modes(switched(), ZoneOpens(TWO), ZoneOpens(ONE), ZoneCloses(TWO), ZoneCloses(ONE), ZoneOpens(ONE)) == [
        *[Mode.DISARMED] * 4,
        Mode.AWAY,
    ]
    timeline = run(switched(), [(0, ZoneOpens(TWO)), (5, ZoneOpens(ONE))])
    assert (5, Beeps(Sound.REFUSED)) in outputs(timeline)
    assert when(timeline, DisplayLine.CANT_ARM) == [5]


def test_a_switch_silences_and_cancels_without_a_name() -> None:
    timeline = run(switched(), [(0, ZoneOpens(ONE)), (100, ZoneOpens(TWO)), (140, ZoneCloses(ONE))])
    cancel = next(out for _, out in outputs(timeline) if isinstance(out, Message) and out.name == "cancel")
    assert cancel.user is None
    assert sirens(timeline)[-1] == (140, Pattern.NONE)


def test_a_shared_switch_arms_each_of_its_areas() -> None:
    setup = house(zone(ONE, "arm-switch", areas=(1, 2)), zone(TWO, "perimeter"), zone(THREE, "perimeter", areas=(2,)))
    panel = Clockwork(setup)
    panel.give(ZoneOpens(ONE))
    panel.rest()
    assert [area.mode for area in panel.control.areas] == [Mode.AWAY] * 2
    panel.give(ZoneCloses(ONE))
    assert [area.mode for area in panel.control.areas] == [Mode.DISARMED] * 2


def test_a_pushed_shared_switch_disarms_if_any_of_its_areas_is_armed() -> None:
    switch = changed(zone(ONE, "arm-switch", areas=(1, 2)), momentary=True)
    setup = house(switch, zone(TWO, "perimeter"), zone(THREE, "perimeter", areas=(2,)))
    panel = Clockwork(setup)
    panel.give(Arm(AreaNumber(2), Mode.STAY, IDA))
    panel.give(ZoneTrips(ONE))
    assert [area.mode for area in panel.control.areas] == [Mode.DISARMED] * 2


def test_the_tamper_of_a_switch_is_an_alarm_while_armed() -> None:
    timeline = armed_then(switched(), Mode.AWAY, (5, TroubleBegins(ONE, Trouble.TAMPER)))
    assert sirens(timeline)[0] == (5, Pattern.BURGLARY)
    assert sirens(run(switched(), [(5, TroubleBegins(ONE, Trouble.TAMPER))])) == []


# A profile's own attributes -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("behaviour", ["holdup", "24-hour-silent"])
def test_a_silent_tamper_is_told_and_shown_without_a_tone(behaviour: str) -> None:
    tamper = TroubleBegins(ONE, Trouble.TAMPER)
    timeline = run(house(zone(ONE, behaviour)), [(0, tamper)])
    assert outputs(timeline) == [(0, Shown(DisplayLine.TAMPER, ONE)), (0, Message("tamper", AreaNumber(1), ONE))]
    loud = house(changed(zone(ONE, behaviour), tamper_silent=False))
    assert (0, Beeps(Sound.TROUBLE)) in outputs(run(loud, [(0, tamper)]))
    alarming = house(changed(zone(ONE, behaviour), tamper_alarm=frozenset(Mode)))
    assert sirens(run(alarming, [(0, tamper)])) == []


def test_a_zone_may_be_given_a_warning_of_its_own() -> None:
    setup = house(changed(zone(ONE, "perimeter"), warns=frozenset({Mode.DISARMED}), warning="window trouble"))
    assert messages(run(setup, [(0, ZoneTrips(ONE))])) == [(0, "window trouble")]


def test_life_safety_devices_may_have_a_shorter_supervision_window() -> None:
    setup = house(*(zone(n, name, supervise=True) for n, name in ((1, "fire"), (2, "perimeter"))))
    setup = with_settings(setup, life_safety_supervision_window=14_400)
    timeline = run(setup, [], until=43_200)
    assert [entry.at for entry in timeline if entry.event == Expires(Timer(TimerKind.MISSING, 1))] == [14_400]
    assert [entry.at for entry in timeline if entry.event == Expires(Timer(TimerKind.MISSING, 2))] == [43_200]
    plain = with_settings(setup, life_safety_supervision_window=0)
    assert messages(run(plain, [], until=43_199)) == []


def test_the_trouble_of_a_fire_system_never_sounds_the_fire_siren() -> None:
    timeline = run(house(zone(ONE, "fire-trouble")), [(0, ZoneOpens(ONE))])
    assert sirens(timeline)[0] == (0, Pattern.TROUBLE)
    assert SHIPPED["fire-trouble"].life_safety
    assert when(run(house(zone(ONE, "fire-trouble")), [(0, Bypass(ONE, IDA))]), DisplayLine.CANT_BYPASS) == [0]


def test_a_disarm_of_another_area_ends_no_window_of_the_pair() -> None:
    setup = with_settings(house(*PAIR.zones, zone(4, "perimeter", areas=(2,))), cross_window=60, abort_window=0)
    given: Given = [(0, ZoneTrips(ONE)), (10, Disarm(AreaNumber(2), IDA)), (20, ZoneTrips(TWO))]
    assert alarms(armed_then(setup, Mode.AWAY, *given)) == [(20, TWO)]


@pytest.mark.parametrize(
    "silent",
    [
        (Bypass(TWO, IDA), arm()),
        (arm(Mode.STAY),),
        (arm(), ZoneOpens(TWO)),
        (TroubleBegins(TWO, Trouble.MISSING), arm()),
    ],
    ids=["bypassed", "not live in this mode", "open", "missing"],
)
def test_a_zone_whose_pair_cannot_trip_gives_the_alarm_alone(silent: tuple[Event, ...]) -> None:
    window = zone(THREE, "perimeter", "window", crosses=frozenset({TWO}))
    lounge = zone(TWO, "interior", "lounge", crosses=frozenset({THREE}), supervise=True)
    setup = with_settings(house(window, lounge), cross_window=60, supervision_window=7200)
    timeline = run(setup, [*((n, event) for n, event in enumerate(silent)), (1000, ZoneTrips(THREE))])
    assert alarms(timeline) == [(1000, THREE)]


def test_a_zone_whose_pair_is_free_while_somebody_leaves_waits_for_it() -> None:
    window = zone(THREE, "perimeter", "window", crosses=frozenset({TWO}))
    setup = with_settings(house(window, zone(TWO, "interior", crosses=frozenset({THREE}))), cross_window=60)
    timeline = run(setup, [(0, arm()), (20, ZoneTrips(THREE)), (70, ZoneTrips(TWO))])
    assert when(timeline, DisplayLine.UNVERIFIED) == [20]
    assert alarms(timeline) == [(70, TWO)]


def test_a_zone_whose_pair_used_up_its_alarms_gives_the_alarm_alone() -> None:
    trips = [(1000 * n, ZoneTrips(TWO)) for n in (1, 2, 3)]
    assert alarms(armed_then(PAIR, Mode.AWAY, *trips, (9000, ZoneTrips(ONE)))) == [(9000, ONE)]


def test_a_zone_paired_with_one_that_is_not_on_the_panel_gives_the_alarm_alone() -> None:
    setup = house(zone(ONE, "interior", crosses=frozenset({ZoneNumber(40)})), settings=PAIR.settings)
    assert alarms(armed_then(setup, Mode.AWAY, (0, ZoneTrips(ONE)))) == [(0, ONE)]


def test_a_zone_with_one_partner_left_waits_for_it() -> None:
    three = (zone(n, "interior", crosses=frozenset({ONE, TWO, THREE} - {n})) for n in (ONE, TWO, THREE))
    setup = house(*three, settings=PAIR.settings)
    given: Given = [(0, Bypass(TWO, IDA)), (1, arm()), (100, ZoneTrips(ONE)), (110, ZoneTrips(THREE))]
    assert alarms(run(setup, given)) == [(110, THREE)]

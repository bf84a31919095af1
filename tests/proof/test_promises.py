"""Each promise holds of a house that keeps it, and is broken, with a readable timeline, by one that doesn't.

Where no programming can break it, the model is broken for the test: a promise must not rest on the model's being right.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterable
from dataclasses import replace

import pytest

from tests.behaviour.house import (
    CP01,
    DOOR,
    GATE,
    HALL,
    LOUNGE,
    SMOKE,
    WINDOW,
    house,
    with_settings,
    zone,
)
from zonewright.behaviour import arming, disarming, effects
from zonewright.behaviour.clockwork import Clockwork, Timeline
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    Disarm,
    DisplayLine,
    Event,
    Expires,
    Means,
    Message,
    PanelMessage,
    Shown,
    Siren,
    Sound,
    TroubleBegins,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, UserNumber, ZoneSetup
from zonewright.behaviour.state import AreaState, Draft, Phase
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import SHIPPED, Mode, Pattern
from zonewright.panel.profile import Listing
from zonewright.proof.promises.promise import Condition, Premise, Promise, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.promises.sums import TotalDelay, limit_of, total_delay
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.prover.unknowns import View
from zonewright.words.matrix import at_rest
from zonewright.words.telling import event_in_words

STEP = sys.modules["zonewright.behaviour.step"]  # in the room the name is the function's
HOME = ZoneRoute("home", DOOR, (HALL,), walk_s=29)
IDA, MADE_TO = UserNumber(1), UserNumber(2)
AREA = AreaNumber(1)
QUIET = replace(CP01, supervision_window=0)
BUTTON = 7
BARS = frozenset({(SettingFault.TAMPER, Right.USER), (SettingFault.MISSING, Right.NOBODY)})


def cottage(*others: ZoneSetup, settings: Settings = QUIET, **changed: ZoneSetup) -> Setup:
    """A door, the hall behind it, a window and the lounge; any of them may be programmed otherwise."""
    plain = {
        "door": zone(DOOR, "entry-door", "door"),
        "hall": zone(HALL, "on-route", "hall"),
        "window": zone(WINDOW, "perimeter", "window"),
        "lounge": zone(LOUNGE, "interior", "lounge"),
    }
    return house(*(plain | changed).values(), *others, settings=settings)


def as_if(number: int, name: str, **attributes: object) -> ZoneSetup:
    """A zone of a shipped behaviour of which a profile changed some attributes."""
    return replace(zone(number, name), behaviour=SHIPPED[name].model_copy(update=attributes))


def verdicts(setup: Setup, aspect: str, of: Setup | None = None) -> list[Verdict]:
    """What becomes of the promises of this sort; `of`: as another setup makes them."""
    asked = [each for each in promises(of or setup, (HOME,)) if each.aspect == aspect]
    assert asked, aspect
    return list(prove(setup, asked))


def holds(setup: Setup, aspect: str) -> bool:
    return {each.settled.result for each in verdicts(setup, aspect)} == {VerdictKind.HOLDS}


def broken(setup: Setup, aspect: str, of: Setup | None = None) -> Timeline:
    """The timeline that breaks a promise of this sort."""
    found = [each for each in verdicts(setup, aspect, of) if each.settled.result is VerdictKind.FAILS]
    assert found, aspect
    timeline = found[0].settled.timeline
    assert timeline
    assert all(event_in_words(setup, entry.event) for entry in timeline)
    assert [entry.at for entry in timeline] == sorted(entry.at for entry in timeline)
    return timeline


def events(timeline: Timeline) -> list[Event]:
    return [entry.event for entry in timeline]


def last(timeline: Timeline) -> Event:
    """What happened last that a person or a device did."""
    return next(each for each in reversed(events(timeline)) if not isinstance(each, Expires))


# Zones ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "wait"), [("24-hour-audible", 0), ("holdup", 0), ("environment", 60)])
def test_what_is_watched_in_every_mode_answers_at_once_or_when_it_has_lasted(name: str, wait: int) -> None:
    settings = replace(QUIET, environment_wait=wait)
    assert holds(cottage(zone(BUTTON, name), settings=settings), "answers")
    free = cottage(as_if(BUTTON, name, in_exit="free"), settings=settings)
    timeline = broken(free, "answers")
    assert any(isinstance(each, Arm) for each in events(timeline))
    assert any(isinstance(each, ZoneOpens | ZoneTrips) and each.zone == BUTTON for each in events(timeline))


def test_a_zone_is_silent_in_the_modes_that_it_is_not_for(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(cottage(), "silent")
    monkeypatch.setattr(Draft, "every_mode", lambda *_: True)
    assert isinstance(last(broken(cottage(), "silent")), ZoneOpens | ZoneTrips)


def test_alarms_that_are_not_counted_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(cottage(), "swinger")
    monkeypatch.setattr(effects, "count_alarm", lambda *_: None)
    assert broken(cottage(), "swinger")


def test_nobody_bypasses_a_smoke_alarm_but_where_it_is_programmed_as_something_else() -> None:
    assert holds(cottage(zone(SMOKE, "fire")), "no bypass")
    loose = cottage(as_if(SMOKE, "fire", life_safety=False, user_bypass=True))
    assert last(broken(loose, "no bypass")) == Bypass(SMOKE, IDA)


# Messages -------------------------------------------------------------------------------------------------------------


def test_whoever_calls_an_alarm_off_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(cottage(), "abort")
    mute = effects.call_off_waiting
    monkeypatch.setattr(disarming, "call_off_waiting", lambda d, area: mute(d, area) & frozenset())
    assert isinstance(last(broken(cottage(), "abort")), Disarm)


def test_a_message_that_left_is_called_back_within_the_window_and_no_longer() -> None:
    assert holds(cottage(), "cancel")
    short = with_settings(cottage(), cancel_window=60)
    timeline = broken(short, "cancel", of=cottage())
    assert isinstance(last(timeline), Disarm)
    assert "cancel" not in {out.name for entry in timeline for out in entry.outputs if isinstance(out, Message)}


def test_one_opening_sends_one_alarm(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(cottage(), "once")
    ends = disarming.when_abort_window_ends

    def twice(d: Draft, area: AreaNumber) -> None:
        waiting = d.waiting
        ends(d, area)
        d.waiting = waiting
        ends(d, area)

    monkeypatch.setattr(STEP, "when_abort_window_ends", twice)
    sent = [out.name for entry in broken(cottage(), "once") for out in entry.outputs if isinstance(out, Message)]
    assert any(sent.count(name) > 1 for name in sent)


# Leaving --------------------------------------------------------------------------------------------------------------


def test_a_way_out_left_open_is_warned_of_at_once() -> None:
    assert holds(cottage(), "left open")
    silent = cottage(door=as_if(DOOR, "entry-door", siren=Pattern.NONE))
    timeline = broken(silent, "left open")
    assert ZoneOpens(DOOR) in events(timeline)
    assert isinstance(timeline[-1].event, Expires)


def test_an_exit_error_is_told_with_the_alarm(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(cottage(), "exit error sent")
    tell = effects.tell

    def forgets(d: Draft, one: ZoneSetup, name: str, held: int = 0) -> None:
        if name != PanelMessage.EXIT_ERROR.value:
            tell(d, one, name, held)

    monkeypatch.setattr(effects, "tell", forgets)
    timeline = broken(cottage(), "exit error sent")
    assert ZoneOpens(DOOR) in events(timeline)


def test_where_nobody_leaves_it_says_that_it_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(cottage(), "nobody left")
    ends = arming.when_exit_time_runs_out

    def mute(d: Draft, area: object) -> None:
        ends(d, area)  # type: ignore[arg-type]  # it is an area's state
        d.outputs = [out for out in d.outputs if not (isinstance(out, Shown) and out.line is DisplayLine.NOBODY_LEFT)]

    monkeypatch.setattr(STEP, "when_exit_time_runs_out", mute)
    timeline = broken(cottage(), "nobody left")
    assert any(isinstance(each, Arm) and each.means is Means.KEYPAD for each in events(timeline))


# Setting --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fault", [SettingFault.TAMPER, SettingFault.MISSING])
def test_nothing_is_set_while_a_fault_stops_it(fault: SettingFault, monkeypatch: pytest.MonkeyPatch) -> None:
    watched = replace(zone(WINDOW, "perimeter", "window"), supervise=True)
    setup = cottage(zone(GATE, "arm-switch", "lock"), settings=replace(CP01, at_setting=BARS), window=watched)
    (found,) = verdicts(with_settings(setup, at_setting=frozenset({(fault, Right.NOBODY)})), "never over a fault")
    assert found.settled.result is VerdictKind.HOLDS
    assert not found.settled.why
    monkeypatch.setattr(arming, "refuse_for_faults", start_anyway)
    timeline = broken(setup, "never over a fault")
    assert isinstance(timeline[0].event, TroubleBegins)
    assert isinstance(last(timeline), Arm | ZoneOpens | ZoneTrips)


def test_a_zone_that_only_announces_may_tell_that_it_was_heard() -> None:
    gate = replace(zone(GATE, "notice", "gate"), supervise=True)
    assert holds(cottage(gate, settings=replace(CP01, at_setting=BARS, heard_before_setting=3_600)), "notice")


def test_a_panel_that_does_not_ask_for_faults_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(View, "bars_setting", lambda *_: False)
    assert isinstance(last(broken(cottage(settings=replace(QUIET, at_setting=BARS)), "never over a fault")), Arm)


def test_whose_right_is_not_enough_sets_over_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """To insist is an act, too: a panel that lets whoever insists set over any fault is found."""
    setup = cottage(settings=replace(QUIET, at_setting=BARS))
    assert holds(setup, "never over a fault")
    asked, on_the_panel = View.bars_setting, Draft.bars_setting

    def not_who_insists(view: View, area: AreaNumber, over: Right | None) -> bool:
        return over is None and asked(view, area, over)

    def nor_on_the_panel(d: Draft, area: AreaNumber, over: Right | None) -> bool:
        return over is None and on_the_panel(d, area, over)

    monkeypatch.setattr(View, "bars_setting", not_who_insists)
    monkeypatch.setattr(Draft, "bars_setting", nor_on_the_panel)
    found = last(broken(setup, "never over a fault"))
    assert isinstance(found, Arm)
    assert found.over is Right.USER


def last_door() -> Setup:
    settings = replace(QUIET, completing_act=True, inside_when_off=True)
    strip = zone(BUTTON, "panic-audible", "panic strip")
    return cottage(strip, settings=settings, door=zone(DOOR, "final-door", "door"))


def test_who_fails_to_set_hears_it_and_nothing_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(last_door(), "completing act")
    assert holds(last_door(), "route home out")
    monkeypatch.setattr(arming, "fails_to_set", arming.is_set)
    timeline = broken(last_door(), "completing act")
    assert isinstance(timeline[-1].event, Expires)
    assert any(isinstance(each, Arm) and each.means is Means.KEYPAD for each in events(timeline))


def test_a_door_that_completes_nothing_leaves_the_house_off() -> None:
    timeline = broken(replace(last_door(), zones=cottage().zones), "route home out")
    assert Shown(DisplayLine.NOT_SET, area=AREA) in timeline[-1].outputs


def test_a_siren_that_is_to_keep_inside_while_off_does(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(last_door(), "inside when off")
    assert holds(last_door(), "answers")
    assert holds(last_door(), "opening sounds")
    monkeypatch.setattr(effects, "as_heard", lambda _d, _areas, pattern: pattern)
    timeline = broken(last_door(), "inside when off")
    assert Siren(Pattern.BURGLARY) in timeline[-1].outputs


def start_anyway(d: Draft, area: AreaNumber) -> None:
    d.put(AreaState(area, Mode.AWAY, Phase.EXIT))
    arming.leave(d, d.areas[area])


# Routes ---------------------------------------------------------------------------------------------------------------


def test_going_out_by_the_route_is_quiet_and_arms_away() -> None:
    assert holds(cottage(), "route home out")
    watched = cottage(hall=zone(HALL, "perimeter", "hall"))
    assert last(broken(watched, "route home out")) in {ZoneOpens(HALL), ZoneTrips(HALL)}


def test_a_route_by_a_door_that_nobody_is_taken_to_leave_by_ends_armed_stay() -> None:
    wrong = cottage(zone(GATE, "final-door", "garden door"), door=as_if(DOOR, "entry-door", exit_door=False))
    timeline = broken(wrong, "route home out")
    assert Shown(DisplayLine.NOBODY_LEFT, area=AREA) in timeline[-1].outputs


def test_whoever_leaves_the_way_is_heard_at_once() -> None:
    assert holds(cottage(), "route home off the way")
    slow = cottage(lounge=as_if(LOUNGE, "interior", persists=True), settings=replace(QUIET, environment_wait=20))
    assert last(broken(slow, "route home off the way")) in {ZoneOpens(LOUNGE), ZoneTrips(LOUNGE)}


@pytest.mark.parametrize("aspect", ["route home too late", "route home too late sends"])
def test_overstaying_sounds_and_sends_in_its_time(aspect: str) -> None:
    assert holds(cottage(), aspect)
    slow = cottage(door=replace(zone(DOOR, "entry-door", "door"), entry_s=45))
    assert broken(slow, aspect, of=cottage())


def test_a_route_by_a_door_that_guards_armed_stay_alone_is_found() -> None:
    assert broken(cottage(door=as_if(DOOR, "entry-door", live=frozenset({Mode.STAY}))), "route home too late")


def test_a_route_by_a_door_without_entry_time_sounds_before_anybody_can_disarm() -> None:
    timeline = broken(cottage(door=zone(DOOR, "perimeter", "door")), "route home in time")
    assert last(timeline) in {ZoneOpens(DOOR), ZoneTrips(DOOR)}


# Codes ----------------------------------------------------------------------------------------------------------------


def made_to(setup: Setup) -> Setup:
    return replace(setup, duress=frozenset({MADE_TO}))


def test_a_duress_code_is_told_and_nobody_in_the_house_can_tell(monkeypatch: pytest.MonkeyPatch) -> None:
    setup = made_to(cottage())
    assert holds(setup, "duress")
    assert last(broken(with_settings(setup, told=False), "duress")) == Disarm(AREA, MADE_TO)
    disarmed = disarming.when_disarmed

    def betrays(d: Draft, area: object, user: UserNumber) -> None:
        disarmed(d, area, user)  # type: ignore[arg-type]  # it is an area's state
        if user == MADE_TO:
            d.say(Beeps(Sound.CONFIRM))

    monkeypatch.setattr(STEP, "when_disarmed", betrays)
    timeline = broken(setup, "duress")
    assert last(timeline) == Disarm(AREA, MADE_TO)
    assert Message(PanelMessage.DURESS.value, AREA, user=MADE_TO) in timeline[-1].outputs


def test_no_state_refuses_every_code(monkeypatch: pytest.MonkeyPatch) -> None:
    assert holds(cottage(), "never refused")
    disarmed = disarming.when_disarmed

    def locked(d: Draft, area: object, user: UserNumber) -> None:
        if d.siren() is Pattern.BURGLARY:
            d.say(Beeps(Sound.REFUSED))
        else:
            disarmed(d, area, user)  # type: ignore[arg-type]  # it is an area's state

    monkeypatch.setattr(STEP, "when_disarmed", locked)
    timeline = broken(cottage(), "never refused")
    assert isinstance(last(timeline), Disarm)
    assert Beeps(Sound.REFUSED) in timeline[-1].outputs


# Sums -----------------------------------------------------------------------------------------------------------------


def of_delays(setup: Setup, limit: TotalDelay | None) -> list[Verdict]:
    return list(prove(setup, [each for each in promises(setup, limit=limit) if each.kind == "delay"]))


def test_entry_time_and_abort_window_together_keep_the_limit_or_somebody_agreed() -> None:
    plain = cottage()
    assert total_delay(plain, plain.zones[0]) == 60
    assert total_delay(plain, plain.zones[2]) == 0
    for limit, expected in ((60, VerdictKind.HOLDS), (59, VerdictKind.FAILS)):
        (found,) = of_delays(plain, limit_of(Listing(entry_plus_abort=limit)))
        assert found.settled.result is expected
        assert "30 s entry time + 30 s abort window = 60 s" in found.settled.why
    (found,) = of_delays(plain, limit_of(Listing(entry_plus_abort=59), {DOOR: "accepted by Ida"}))
    assert found.settled.result is VerdictKind.AGREED
    assert "accepted by Ida" in found.settled.why


@pytest.mark.parametrize("abort", [0, 30])
@pytest.mark.parametrize(("hold", "least"), [(0, 0), (30, 0), (30, 120), (45, 60)])
@pytest.mark.parametrize("entry", [30, 90])
def test_every_sum_of_a_door_says_the_same_seconds(entry: int, abort: int, hold: int, least: int) -> None:
    """What it sends within, what the limit is held against, and when its message really leaves."""
    settings = replace(QUIET, abort_window=abort, entry_hold=hold, entry_hold_least=least)
    plain = cottage(door=replace(zone(DOOR, "entry-door", "door"), entry_s=entry), settings=settings)
    asked = promises(plain, limit=limit_of(Listing(entry_plus_abort=500)))
    sends = next(each for each in asked if each.aspect == "opening sends" and each.zones == (DOOR,))
    (total,) = (each for each in asked if each.kind == "delay")
    seconds = total_delay(plain, plain.zones[0])
    assert f"sends within {seconds} s" in sends.says
    assert total.outright is not None
    assert (f"= {seconds} s" if seconds > entry else f"{seconds} s entry time;") in total.outright.why
    panel = at_rest(plain, frozenset({AREA}), Mode.AWAY)
    start = panel.now
    panel.give(ZoneOpens(DOOR))
    sent = [entry.at - start for entry in panel.rest() for each in entry.outputs if isinstance(each, Message)]
    assert sent[0] == seconds


def test_a_panel_whose_profile_states_no_limit_has_none_to_keep() -> None:
    slow = cottage(door=replace(zone(DOOR, "entry-door", "door"), entry_s=240))
    (found,) = of_delays(slow, limit_of(Listing()))
    assert found.settled.result is VerdictKind.ABSENT
    assert "ANSI/SIA CP-01" in found.settled.why
    assert "from memory" in found.settled.why


def longest_sound(setup: Setup, given: Iterable[tuple[int, Event]]) -> int:
    """How long the siren sounds without a break [s]."""
    panel = Clockwork(setup)
    timeline = []
    for at, event in given:
        timeline += [*panel.advance(at), panel.give(event)]
    timeline += panel.rest()
    began, longest = None, 0
    control = Clockwork(setup).control
    for entry in timeline:
        control = step(setup, control, entry.event).control
        if control.causes and began is None:
            began = entry.at
        if not control.causes and began is not None:
            longest, began = max(longest, entry.at - began), None
    return longest


def test_the_siren_sounds_as_long_as_the_sum_says_and_never_longer() -> None:
    setup = cottage(settings=replace(QUIET, siren_time=20, exit_time=10, abort_window=5))
    (promise,) = [each for each in promises(setup) if each.aspect == "siren in all"]
    assert promise.outright is not None
    assert promise.outright.why.startswith(
        "9 alarms of 20 s at most, if each counts"
    )  # four zones, twice each, and the reminder at the exit
    assert "180 s" in promise.says
    away = Arm(AREA, Mode.AWAY, IDA, Means.REMOTE)
    trips = [ZoneTrips(number) for number in (WINDOW, LOUNGE, HALL, WINDOW, LOUNGE, HALL)]
    one_after_another = [(28 + 19 * n, trip) for n, trip in enumerate(trips)]
    assert longest_sound(setup, [(0, away), (1, ZoneOpens(DOOR)), *one_after_another]) > 120
    for seed in range(150):
        chance = random.Random(seed)
        at = 0
        given: list[tuple[int, Event]] = [(0, away)]
        for _ in range(40):
            at += chance.choice((0, 1, 5, 15, 19, 20, 30))
            given.append((at, chance.choice((ZoneOpens, ZoneTrips))(chance.choice((DOOR, HALL, WINDOW, LOUNGE)))))
        assert longest_sound(setup, given) <= 180, seed


def test_zones_without_end_are_named_beside_the_sum() -> None:
    setup = cottage(zone(BUTTON, "panic-audible", "panic strip"))
    (promise,) = [each for each in promises(setup) if each.aspect == "siren in all"]
    assert promise.outright is not None
    assert "panic strip aside" in promise.outright.why


# What is not there ----------------------------------------------------------------------------------------------------


def test_what_the_panel_lacks_is_said() -> None:
    bare = cottage(settings=Settings(told=True))
    found = {each.promise.aspect: each.settled for each in prove(bare, promises(bare, (HOME,)))}
    lacking = {"siren", "shut out", "called off", "called back", "exit time", "duress", "route home out",
               "total delay", "never over a fault"}  # fmt: skip
    assert {aspect for aspect, settled in found.items() if settled.result is VerdictKind.ABSENT} == lacking
    assert all(found[aspect].why for aspect in lacking)
    mute = cottage(settings=Settings(exit_time=10))
    found = {each.promise.aspect: each.settled for each in prove(mute, promises(mute))}
    assert {"alarms sent", "exit error", "unvacated"} <= {a for a, s in found.items() if s.result is VerdictKind.ABSENT}


def test_a_case_that_never_comes_is_told_with_how_far_it_gets() -> None:
    unused = cottage(zone(GATE, "unused", "gate"))
    (found,) = verdicts(unused, "notice")
    assert found.settled.result is VerdictKind.EMPTY
    far = '"gate opens" can happen, "it was shut before" then never: the panel doesn\'t listen to it'
    assert found.settled.why == far


def _late(promise: Promise) -> Promise:
    return replace(promise, premise=Premise((*promise.premise.parts, Condition("at last", lambda *_: False))))


@pytest.mark.parametrize("aspect", ["opening sounds", "left open", "route home out"])
def test_the_last_thing_that_can_be_reached_is_one_that_was_run(aspect: str) -> None:
    setup = cottage()
    asked = next(each for each in promises(setup, (HOME,)) if each.aspect == aspect)
    (found,) = prove(setup, [_late(asked)])
    assert found.settled.result is VerdictKind.EMPTY
    says = " ".join(part.says for part in asked.premise.parts)
    assert found.settled.why == f'"{says}" can happen, "at last" then never'


def test_whoever_leaves_by_a_last_door_shuts_it_behind_them() -> None:
    """An open last door completes nothing: that is no way out in time, whether its areas are all set or not."""
    settings = replace(QUIET, completing_act=True)
    for areas in ((1,), (1, 2)):
        door = zone(DOOR, "final-door", "door", areas=areas)
        others = [zone(GATE, "perimeter", "gate", areas=(2,))] if len(areas) > 1 else []
        assert holds(cottage(*others, door=door, settings=settings), "route home out")

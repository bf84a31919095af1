"""What holds in every house, whatever happens in whatever order."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from hypothesis import assume, given
from hypothesis import strategies as st

from tests.behaviour.house import IDA, WAIT_OF, Given, zone
from zonewright.behaviour.clockwork import Clockwork, bookkeeping_faults
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    CheckIn,
    Chime,
    ChimeSwitch,
    DeviceEvent,
    Disarm,
    DisplayLine,
    Event,
    Expires,
    InstallerMode,
    Means,
    Message,
    PanelMessage,
    Panic,
    PowerReturns,
    QuickExit,
    Shown,
    Siren,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Spoken,
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
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, ZoneSetup
from zonewright.behaviour.state import PRECEDENCE, Control, Phase, Response
from zonewright.behaviour.step import step
from zonewright.panel.behaviours import SHIPPED, Mode, Pattern
from zonewright.site.record import ZoneNumber

LENGTHS = st.sampled_from([0, 1, 2, 3, 11, 30])
WAITS = st.sampled_from([None, 0, 1, 11])
AREAS = [frozenset({AreaNumber(1)}), frozenset({AreaNumber(2)}), frozenset({AreaNumber(1), AreaNumber(2)})]
ZONES = [ZoneNumber(number) for number in range(1, 6)]


@st.composite
def some_settings(draw: st.DrawFn) -> Settings:
    yes = st.booleans()
    drawn = Settings(
        exit_time=draw(LENGTHS),
        exit_restart=draw(yes),
        exit_error=draw(yes),
        unvacated_stay=draw(yes),
        completing_act=draw(yes),
        inside_when_off=draw(yes),
        forced_arming=draw(yes),
        abort_window=draw(LENGTHS),
        entry_hold=draw(LENGTHS),
        entry_hold_least=draw(LENGTHS),
        cancel_window=draw(LENGTHS),
        swinger_limit=draw(st.integers(0, 3)),
        siren_time=draw(LENGTHS),
        supervision_window=draw(LENGTHS),
        low_battery_wait=draw(LENGTHS),
        recent_closing=draw(yes),
        cross_window=draw(LENGTHS),
        fire_reset=draw(LENGTHS),
        fire_verify_window=draw(LENGTHS),
        environment_wait=draw(LENGTHS),
        warm_up=draw(LENGTHS),
        life_safety_supervision_window=draw(LENGTHS),
        confirm_window=draw(LENGTHS),
        at_setting=draw(st.frozensets(st.tuples(st.sampled_from(SettingFault), st.sampled_from(Right)), max_size=2)),
        heard_before_setting=draw(LENGTHS),
        told=draw(st.sampled_from([True, True, False])),
        restores=draw(yes),
        openings=draw(yes),
        troubles=draw(yes),
    )
    waits = {wait: draw(WAITS) for wait in WAIT_OF.values()}
    return replace(drawn, **waits)  # type: ignore[arg-type]  # replace refuses a name that isn't a field


@st.composite
def some_zone(draw: st.DrawFn, number: ZoneNumber) -> ZoneSetup:
    plain = zone(number, draw(st.sampled_from(list(SHIPPED))))
    return replace(
        plain,
        areas=draw(st.sampled_from(AREAS)),
        entry_s=draw(LENGTHS),
        chime=draw(st.sampled_from(["none", "two notes", "spoken"])),
        tells_alarm=draw(st.booleans()),
        tells_trouble=draw(st.booleans()),
        supervise=draw(st.booleans()),
        message_waits=plain.behaviour.abort and draw(st.booleans()),
        verifies=plain.behaviour.verify and draw(st.booleans()),
    )


@st.composite
def some_house(draw: st.DrawFn) -> Setup:
    zones = [draw(some_zone(number)) for number in ZONES[: draw(st.integers(1, len(ZONES)))]]
    pairs = [one for one in zones if one.behaviour.cross]
    if len(pairs) > 1 and draw(st.booleans()):
        for one, other in (pairs[:2], pairs[1::-1]):
            zones[zones.index(one)] = replace(one, crosses=frozenset({other.number}))
    duress = frozenset({IDA} if draw(st.booleans()) else ())
    return Setup(tuple(zones), (AreaNumber(1), AreaNumber(2)), draw(some_settings()), duress)


numbers = st.sampled_from(ZONES)
areas = st.sampled_from([AreaNumber(1), AreaNumber(2)])
arming = st.builds(Arm, areas, st.sampled_from(Mode), st.just(IDA), st.sampled_from(Means), st.booleans(),
                   st.sampled_from([None, *Right]))  # fmt: skip
events: st.SearchStrategy[Event] = st.one_of(
    st.builds(ZoneOpens, numbers),
    st.builds(ZoneCloses, numbers),
    st.builds(ZoneTrips, numbers),
    arming,
    arming,
    st.builds(Disarm, areas, st.just(IDA)),
    st.builds(QuickExit, areas, st.just(IDA)),
    st.builds(Panic, areas, st.just(IDA)),
    st.builds(Bypass, numbers, st.just(IDA)),
    st.builds(Unbypass, numbers, st.just(IDA)),
    st.builds(CheckIn, numbers),
    st.builds(TroubleBegins, numbers, st.sampled_from(Trouble)),
    st.builds(TroubleEnds, numbers, st.sampled_from(Trouble)),
    st.builds(ChimeSwitch, st.booleans()),
    st.builds(SiteTroubleBegins, st.sampled_from(SiteTrouble)),
    st.builds(SiteTroubleEnds, st.sampled_from(SiteTrouble)),
    st.just(PowerReturns()),
    st.builds(InstallerMode, st.booleans()),
)
timers = st.builds(Timer, st.sampled_from(TimerKind), st.integers(0, 6))
strange: st.SearchStrategy[Event] = st.one_of(
    st.builds(Expires, timers),
    st.builds(ZoneOpens, st.just(ZoneNumber(99))),
    st.builds(Bypass, st.just(ZoneNumber(99)), st.just(IDA)),
    st.builds(Arm, st.just(AreaNumber(7)), st.sampled_from(Mode), st.just(IDA)),
    st.builds(Disarm, st.just(AreaNumber(7)), st.just(IDA)),
    st.builds(QuickExit, st.just(AreaNumber(7)), st.just(IDA)),
)
acts = st.lists(st.tuples(st.sampled_from([0, 0, 1, 2, 9, 30, 90_000]), events), min_size=1, max_size=30)


@dataclass(frozen=True)
class Moment:
    """One step of a walk."""

    at: int
    before: Control
    event: Event
    done: Response


def walk(setup: Setup, given: Given) -> list[Moment]:
    """Let these things happen, each so long after the one before, with every expiry between them."""
    panel = Clockwork(setup)
    moments = []
    for wait, event in given:
        until = panel.now + wait
        while panel.due and min(panel.due.values()) <= until:
            before = panel.control
            entry = panel.to_next()
            moments.append(Moment(entry.at, before, entry.event, step(setup, before, entry.event)))
        panel.advance(until)
        moments.append(Moment(panel.now, panel.control, event, step(setup, panel.control, event)))
        panel.give(event)
    return moments


def disarms(moment: Moment) -> bool:
    """A code, or a switch."""
    return any(isinstance(out, Shown) and out.line is DisplayLine.DISARMED for out in moment.done.outputs)


def silences(moment: Moment) -> bool:
    """A disarming, the cut-off, and what begins the panel's quiet again."""
    ended = moment.event == Expires(Timer(TimerKind.SIREN, 0))
    return ended or disarms(moment) or isinstance(moment.event, PowerReturns | InstallerMode)


@given(some_house(), acts)
def test_the_books_are_right_after_every_step(setup: Setup, given: Given) -> None:
    for moment in walk(setup, given):
        assert bookkeeping_faults(setup, moment.before, moment.event, moment.done) == []


@given(some_house(), acts, st.lists(st.one_of(events, strange), max_size=5))
def test_every_event_has_an_answer_in_every_state(setup: Setup, given: Given, any_: list[Event]) -> None:
    control = walk(setup, given)[-1].done.control
    for event in any_:
        done = step(setup, control, event)
        assert bookkeeping_faults(setup, control, event, done) == []
        assert done == step(setup, control, event)
        assert hash(done.control) == hash(step(setup, control, event).control)
        control = done.control


@given(some_house(), acts, strange)
def test_what_means_nothing_changes_nothing(setup: Setup, given: Given, event: Event) -> None:
    control = walk(setup, given)[-1].done.control
    if not (isinstance(event, Expires) and event.timer in control.running):
        assert step(setup, control, event) == Response(control)


@given(some_house(), acts)
def test_a_notice_zone_never_sounds_never_sends_and_changes_nothing(setup: Setup, given: Given) -> None:
    notices = {one.number for one in setup.zones if one.behaviour == SHIPPED["notice"]}
    for moment in walk(setup, given):
        assert not {number for _, number in moment.done.control.causes} & notices
        if isinstance(moment.event, ZoneOpens | ZoneTrips) and moment.event.zone in notices:
            over = [out for out in moment.done.outputs if isinstance(out, Message) and out.restore]
            assert all(out.name == "missing" for out in over)
            assert all(isinstance(out, Chime | Spoken | Shown) or out in over for out in moment.done.outputs)
            assert moment.done.control.areas == moment.before.areas
            watch = {Timer(kind, moment.event.zone) for kind in (TimerKind.MISSING, TimerKind.HEARD)}
            assert {timer for timer, _ in moment.done.starts} <= watch
            assert moment.done.stops == frozenset()
        trips = [
            out
            for out in moment.done.outputs
            if isinstance(out, Message) and out.zone in notices and out.name not in {t.value for t in Trouble}
        ]
        assert all(out.name == PanelMessage.BYPASS.value for out in trips)


@given(some_house(), acts, areas)
def test_disarm_always_disarms_and_silences(setup: Setup, given: Given, area: AreaNumber) -> None:
    """What was bypassed, stands open and is always watched may sound then, as the promise says, too."""
    control = walk(setup, given)[-1].done.control
    assume(not control.bypassed & control.open)
    here = {one.number for one in setup.zones_of(area)}
    done = step(setup, control, Disarm(area, IDA)).control
    assert done.area(area).mode is Mode.DISARMED
    assert done.area(area).phase is Phase.REST
    assert not {number for _, number in done.causes} & here
    assert not {number for number, _ in done.waiting} & here
    ended = (TimerKind.EXIT, TimerKind.ENTRY, TimerKind.LAST_TEN, TimerKind.RECENT, TimerKind.CANCEL)
    assert not {Timer(kind, area) for kind in ended} & done.running
    everywhere = step(setup, done, Disarm(AreaNumber(3 - area), IDA)).control
    assert everywhere.siren is Pattern.NONE


@given(some_house(), acts)
def test_a_louder_pattern_never_gives_way(setup: Setup, given: Given) -> None:
    for moment in walk(setup, given):
        if not silences(moment):
            before, after = moment.before.siren, moment.done.control.siren
            assert PRECEDENCE[after] <= PRECEDENCE[before]
            heard = [out.pattern for out in moment.done.outputs if isinstance(out, Siren)]
            assert all(PRECEDENCE[pattern] <= PRECEDENCE[before] for pattern in heard)
            if after is not before:
                assert heard[-1] is after


@given(some_house(), acts)
def test_no_zone_gives_more_alarms_in_an_armed_period_than_its_limit(setup: Setup, given: Given) -> None:
    limit = setup.settings.swinger_limit
    given_alarms: Counter[ZoneNumber] = Counter()
    for moment in walk(setup, given):
        counted_again = isinstance(moment.event, Expires) and moment.event.timer.kind is TimerKind.SWINGER_RESET
        if counted_again or disarms(moment):
            given_alarms.clear()
        for out in moment.done.outputs:
            if isinstance(out, Shown) and out.line is DisplayLine.ALARM and out.zone is not None:
                given_alarms[out.zone] += 1
        for one in setup.zones:
            if limit and one.behaviour.swinger:
                assert given_alarms[one.number] <= limit


@given(some_house(), acts)
def test_a_message_is_not_sent_twice_before_its_restore(setup: Setup, given: Given) -> None:
    all_told = replace(setup, settings=replace(setup.settings, told=True, restores=True))
    once = {t.value for t in Trouble} | {one.behaviour.alarm for one in setup.zones} | {PanelMessage.TAMPER_ALARM.value}
    standing: set[tuple[ZoneNumber, str]] = set()
    for moment in walk(all_told, given):
        told = [out for out in moment.done.outputs if isinstance(out, Message)]
        left_badly = {
            out.zone for out in told if out.name == PanelMessage.EXIT_ERROR.value
        }  # once more by a door still open
        standing -= {(number, name) for number, name in standing if number in left_badly}
        for out in told:
            if out.name in once and out.zone is not None:  # people may call again
                if out.restore:
                    assert (out.zone, out.name) in standing
                    standing.remove((out.zone, out.name))
                else:
                    assert (out.zone, out.name) not in standing
                    standing.add((out.zone, out.name))


@given(some_house(), acts, st.permutations(ZONES))
def test_zone_numbers_mean_nothing(setup: Setup, given: Given, order: list[ZoneNumber]) -> None:
    new = dict(zip(ZONES, order, strict=True))

    def moved(one: ZoneSetup) -> ZoneSetup:
        return replace(one, number=new[one.number], crosses=frozenset(new[pair] for pair in one.crosses))

    renamed = Setup(
        tuple(sorted((moved(one) for one in setup.zones), key=lambda one: one.number)),
        setup.areas,
        setup.settings,
        setup.duress,
    )

    def rename(event: Event) -> Event:
        if isinstance(event, DeviceEvent | Bypass | Unbypass):
            return replace(event, zone=new[event.zone])
        return event

    def heard(moments: list[Moment], names: dict[ZoneNumber, ZoneNumber]) -> dict[int, Counter[str]]:
        by_second: dict[int, Counter[str]] = {}
        for moment in moments:
            for out in moment.done.outputs:
                if isinstance(out, Chime | Spoken | Shown | Message) and out.zone is not None:
                    out = replace(out, zone=names[out.zone])  # noqa: PLW2901 - the same output, renamed
                by_second.setdefault(moment.at, Counter())[repr(out)] += 1
        return by_second

    same = {number: number for number in ZONES}
    there = walk(renamed, [(wait, rename(event)) for wait, event in given])
    assert heard(there, same) == heard(walk(setup, given), new)


@given(some_house(), acts)
def test_the_panel_comes_to_rest(setup: Setup, given: Given) -> None:
    panel = Clockwork(setup)
    for wait, event in given:
        panel.advance(panel.now + wait)
        panel.give(event)
    panel.rest()
    assert panel.at_rest
    assert panel.control.siren is Pattern.NONE
    assert panel.control.waiting == ()
    assert all(area.phase in (Phase.REST, Phase.SET) for area in panel.control.areas)

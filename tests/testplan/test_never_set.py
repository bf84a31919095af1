"""An area that nobody can set: leaving it out changes nothing where it is said so, and something where it isn't."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zonewright.behaviour.clockwork import Timeline, run
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    Disarm,
    Event,
    InstallerMode,
    Means,
    PowerReturns,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.fieldwork.acting import panel_of
from zonewright.fieldwork.candidates import candidates, ground_of
from zonewright.fieldwork.slipped import slips_of
from zonewright.panel.behaviours import SHIPPED, Mode
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Item, Value
from zonewright.site.record import ZoneNumber
from zonewright.testplan.killing import Bench, NotShownBecause, variants
from zonewright.testplan.never_set import never_asked, never_set, without_never_set

BAKERY = open_site(Path(__file__).parents[2] / "src/zonewright/cli/demo_files/bakery.yaml")
PANEL = panel_of(BAKERY.profile, BAKERY.programme)
ONE, TWO, NEVER = AreaNumber(1), AreaNumber(2), AreaNumber(3)
IT = ZoneNumber(1)
WINDOW = ZoneSetup(ZoneNumber(2), "window", frozenset({ONE}), SHIPPED["perimeter"], tells_alarm=True)
DOOR = ZoneSetup(ZoneNumber(3), "door", frozenset({ONE, TWO}), SHIPPED["entry-door"], entry_s=30, tells_alarm=True)
OWNER = UserNumber(1)


def zone_of(behaviour: str, areas: frozenset[AreaNumber]) -> ZoneSetup:
    return ZoneSetup(
        IT, "it", areas, SHIPPED[behaviour], 30, "bell", tells_alarm=True, tells_trouble=True, supervise=True,
        message_waits=SHIPPED[behaviour].abort,
    )  # fmt: skip


def of(zone: ZoneSetup) -> Setup:
    """Return a panel with it, a window and a shared door, all features of the bakery's and more."""
    had = PANEL.setup.settings
    told = replace(had, confirm_window=600, swinger_limit=2, forced_arming=True, warm_up=20, environment_wait=30)
    areas = tuple(sorted({ONE, TWO, *zone.areas}))
    return Setup((zone, WINDOW, DOOR), areas, told, frozenset({UserNumber(4)}))


def events() -> st.SearchStrategy[Event]:
    zones = st.sampled_from([IT, IT, IT, WINDOW.number, DOOR.number])
    areas, users = st.sampled_from([ONE, TWO]), st.sampled_from([OWNER, UserNumber(4)])
    troubles = st.sampled_from(list(Trouble))
    return st.one_of(
        st.builds(ZoneOpens, zones), st.builds(ZoneCloses, zones), st.builds(ZoneTrips, zones),
        st.builds(Arm, areas, st.sampled_from([Mode.STAY, Mode.AWAY]), users, st.sampled_from([*Means])),
        st.builds(Disarm, areas, users), st.builds(TroubleBegins, zones, troubles),
        st.builds(TroubleEnds, zones, troubles), st.builds(Bypass, zones, users),
        st.builds(InstallerMode, st.booleans()), st.just(PowerReturns()),
    )  # fmt: skip


def told(timeline: Timeline) -> list[tuple[int, object]]:
    return [(entry.at, output) for entry in timeline for output in entry.outputs]


NEVER_ASK = sorted(name for name in SHIPPED if never_asked(zone_of(name, frozenset({ONE}))))


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(NEVER_ASK), st.sampled_from([{ONE}, {TWO}, {ONE, TWO}]),
    st.lists(st.tuples(st.sampled_from([0, 1, 20, 45, 90, 300]), events()), max_size=14),
)  # fmt: skip
def test_a_zone_that_never_asks_does_the_same_with_an_area_more_that_stays_off(
    behaviour: str, areas: set[AreaNumber], waits: list[tuple[int, Event]]
) -> None:
    zone = zone_of(behaviour, frozenset(areas))
    given_, now = [], 0
    for wait, event in waits:
        now += wait
        given_.append((now, event))
    with_it = of(replace(zone, areas=zone.areas | {NEVER}))
    assert told(run(with_it, given_, until=now + 600)) == told(run(of(zone), given_, until=now + 600))


@pytest.mark.parametrize(
    ("behaviour", "what"),
    [
        ("perimeter", (Arm(ONE, Mode.AWAY, OWNER), ZoneOpens(IT))),
        ("entry-door", (Arm(ONE, Mode.AWAY, OWNER), ZoneOpens(IT))),
        ("environment", (Arm(ONE, Mode.AWAY, OWNER), Bypass(IT, OWNER))),
        ("day-night", (Arm(ONE, Mode.AWAY, OWNER), ZoneOpens(IT))),
        ("arm-switch", (ZoneOpens(IT),)),
    ],
)
def test_a_zone_that_asks_does_otherwise(behaviour: str, what: tuple[Event, ...]) -> None:
    zone = zone_of(behaviour, frozenset({ONE}))
    assert not never_asked(zone)
    given_ = [(n * 100, event) for n, event in enumerate(what)]
    with_it = of(replace(zone, areas=frozenset({ONE, NEVER})))
    assert told(run(with_it, given_, until=900)) != told(run(of(zone), given_, until=900))


def test_an_area_is_set_by_rights_by_a_remote_or_where_a_panel_asks_nobody() -> None:
    wrong = PANEL.slipped({Item("zone/13/area"): Value("2+3")})
    assert never_set(wrong) == {NEVER}
    assert without_never_set(wrong) == PANEL.setup
    for item, value in (("user/2/areas", "2+3"), ("remote/1/area", "2+3")):
        assert never_set(replace(wrong, changes={**wrong.changes, Item(item): Value(value)})) == frozenset()
    assert never_set(replace(wrong, people=())) == frozenset()
    assert without_never_set(PANEL) is PANEL.setup


def test_area_slips_that_no_test_shows_are_settled_in_words() -> None:
    ground = ground_of(BAKERY)
    some = {ZoneNumber(5), ZoneNumber(13), ZoneNumber(14)}
    bench = Bench(ground.panel, tuple(test for test in candidates(ground) if test.zones & some))
    slips = [each for each in slips_of(BAKERY.profile, BAKERY.programme) if each.item.endswith("/area")]
    mine = [each for each in variants(ground.panel, slips) if {zone.number for zone in each.change.zones} & some]
    left = [each for each in mine if not bench.full_row(each)]
    why = {(slip.item, slip.given): bench.why_unseen(each) for each in left for slip in each.slips}
    assert {each for each, reason in why.items() if reason is NotShownBecause.NEVER_SET} == {
        (f"zone/{zone}/area", areas) for zone in (5, 13) for areas in ("2+3", "2+4", "2+3+4")
    }
    assert 0 < len(left) < len(mine)

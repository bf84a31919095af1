"""The messages that a site's station is to expect: those of the model's own runs, no more and no less."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.behaviour.house import arm, disarm, house, outputs, with_settings, zone
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import Message, PanelMessage
from zonewright.behaviour.setup import AreaNumber, UserNumber
from zonewright.desk.results.messages import Dc03EventPart, line_of
from zonewright.panel.opening import open_site
from zonewright.reporting.expected import ExpectedMessage, encoded, expected
from zonewright.reporting.table import TABLE
from zonewright.signals import dc03, dc05
from zonewright.site.record import ZoneNumber

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"


def found() -> tuple[ExpectedMessage, ...]:
    return expected(open_site(DEMO), "4021")


def test_every_message_is_a_right_one_in_both_formats() -> None:
    for each in found():
        assert dc05.decode(each.dc05.digits) == each.dc05
        assert isinstance(dc03.decode(each.dc03), dc03.Dc03)


def test_a_notice_zone_sends_its_troubles_and_nothing_when_it_opens() -> None:
    assert {each.message.name for each in found() if each.message.zone == 7} == {"tamper", "low battery", "missing"}


def test_people_cancel_only_where_they_may_disarm() -> None:
    cancels = {(each.label, each.message.area) for each in found() if each.message.name == "cancel"}
    assert cancels == {("Ida", 1), ("Ida", 2), ("Bertil", 1)}


def test_a_door_left_open_tells_exit_error_and_a_bypass_is_told() -> None:
    names = {each.message.name for each in found()}
    assert {"exit error", "zone bypass"} <= names


def test_each_is_listed_once() -> None:
    digits = [each.dc05.digits for each in found()]
    assert len(digits) == len(set(digits))


# What the station reads of it -----------------------------------------------------------------------------------------


def read_back(message: Message) -> tuple[dc05.Dc05, Dc03EventPart]:
    """Return a message as the station reads it: its digits, and the one event of its payload with its meaning."""
    sent = encoded(message, "4021", "")
    digits, events = dc05.decode(sent.dc05.digits), line_of(sent.dc03).events
    assert isinstance(digits, dc05.Dc05)
    assert events is not None
    assert len(events) == 1
    return digits, events[0]


@pytest.mark.parametrize("number", [7, 99, 100, 123, 999])
def test_a_zone_is_told_by_its_whole_number_in_both_formats(number: int) -> None:
    digits, event = read_back(Message("perimeter alarm", AreaNumber(1), ZoneNumber(number)))
    assert (digits.ccc, event.number) == (f"{number:03}", f"{number:03}")
    whole = expected(open_site(DEMO), "4021", house(zone(number, "perimeter")))
    assert {each.dc05.ccc for each in whole if each.message.zone} == {f"{number:03}"}


ARMING = [
    (PanelMessage.OPENING, "1", "opening"),
    (PanelMessage.CLOSING, "3", "closing"),
    (PanelMessage.SWITCH_OPENING, "1", "opening by keyswitch"),
    (PanelMessage.SWITCH_CLOSING, "3", "closing by keyswitch"),
]


@pytest.mark.parametrize(("told", "qualifier", "meaning"), ARMING, ids=[row[0].value for row in ARMING])
def test_the_station_reads_a_closing_as_a_closing_and_an_opening_as_an_opening(
    told: PanelMessage, qualifier: str, meaning: str
) -> None:
    by_switch = told in (PanelMessage.SWITCH_OPENING, PanelMessage.SWITCH_CLOSING)
    who, zone_ = (None, ZoneNumber(8)) if by_switch else (UserNumber(2), None)
    digits, event = read_back(Message(told.value, AreaNumber(1), zone_, who))
    assert (digits.event, digits.qualifier.value) == ("409" if by_switch else "401", qualifier)
    assert (event.meaning, event.area) == (meaning, "1")


def test_a_recent_closing_after_a_switch_names_nobody_in_either_format() -> None:
    """The zone's number stood where both formats have a person's, and that person had not set anything."""
    digits, event = read_back(Message(PanelMessage.RECENT_CLOSING.value, AreaNumber(1), ZoneNumber(2)))
    assert digits.ccc == "000"
    assert encoded(Message(PanelMessage.RECENT_CLOSING.value, AreaNumber(1), ZoneNumber(2)), "4021", "").dc03.endswith(
        "CR000"
    )
    assert "002" not in dict(event).values()


def test_arming_and_disarming_reach_the_station_as_closing_and_opening() -> None:
    """From the act to the words that an operator reads, where the panel tells of both."""
    setup = with_settings(house(zone(1, "perimeter")), openings=True)
    timeline = run(setup, [(0, arm()), (1000, disarm())])
    sent = [out for _, out in outputs(timeline) if isinstance(out, Message)]
    assert [(digits.qualifier.value, digits.ccc, event.meaning) for digits, event in map(read_back, sent)] == [
        ("3", "001", "closing"),
        ("1", "001", "opening"),
    ]


def test_no_restore_is_listed_where_the_panel_tells_of_none() -> None:
    for restores in (True, False):
        setup = with_settings(house(zone(1, "perimeter"), zone(2, "fire")), restores=restores)
        assert any(each.message.restore for each in expected(open_site(DEMO), "4021", setup)) is restores


def test_a_restore_is_read_as_over_in_both_formats_wherever_there_is_one() -> None:
    for name, row in TABLE.items():
        if not row.over:
            continue
        message = Message(name, AreaNumber(1), ZoneNumber(4))
        (begun, first), (over, last) = read_back(message), read_back(replace(message, restore=True))
        assert (begun.qualifier.value, over.qualifier.value) == ("1", "3")
        assert last.meaning != first.meaning, name
        assert last.code == row.over


def test_a_recent_closing_names_who_armed_and_not_the_zone() -> None:
    digits, event = read_back(Message(PanelMessage.RECENT_CLOSING.value, AreaNumber(1), ZoneNumber(4), UserNumber(2)))
    assert (digits.event, digits.ccc, event.number) == ("459", "002", "002")


def test_a_button_that_is_screwed_to_a_wall_tells_its_cover_and_one_that_is_carried_has_none(tmp_path: Path) -> None:
    bakery = DEMO.with_name("bakery.yaml").read_text(encoding="utf-8").replace("plan: bakery-plan.yaml\n", "")

    def told(fixed: str) -> set[str]:
        site = tmp_path / f"{fixed}.yaml"
        site.write_text(bakery.replace("fixed: yes", f"fixed: {fixed}"), encoding="utf-8")
        return {each.message.name for each in expected(open_site(site), "6391") if each.label == "till button"}

    assert "tamper" in told("yes")
    assert "tamper" not in told("no")

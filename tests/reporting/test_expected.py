"""The messages that a site's station is to expect: those of the model's own runs, no more and no less."""

from __future__ import annotations

from pathlib import Path

from zonewright.panel.opening import open_site
from zonewright.reporting.expected import Expected, expected
from zonewright.signals import dc03, dc05

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"


def found() -> tuple[Expected, ...]:
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

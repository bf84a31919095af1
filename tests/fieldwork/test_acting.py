"""An act at a device reaches the zones programmed for it, and no others; what is noticed is compared fairly."""

from __future__ import annotations

from pathlib import Path

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Disarm, ZoneOpens
from zonewright.behaviour.setup import AreaNumber, UserNumber
from zonewright.fieldwork.acting import Handle, PanelInHouse, PressButton, Set, What, panel_of, perform
from zonewright.fieldwork.observing import Noticed, Unlike, observed, unlike
from zonewright.panel.behaviours import Mode
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Item, Value
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import at_rest

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
HOUSE, BAKERY, ROWAN = (open_site(FILES / f"{name}.yaml") for name in ("larkfield", "bakery", "rowan"))


def panel(site: object = HOUSE, **changes: str) -> PanelInHouse:
    held = {Item(name.replace("__", "/").replace("_", "-")): Value(value) for name, value in changes.items()}
    return panel_of(site.profile, site.programme, site.programme.changed(held))  # type: ignore[attr-defined]


def test_as_planned_each_device_is_heard_by_its_own_zone() -> None:
    for site in (HOUSE, BAKERY):
        right = panel(site)
        for zone in right.setup.zones:
            assert right.hearing(zone.number) == (zone.number,)


def test_a_misread_number_is_heard_by_nobody_and_a_neighbour_s_by_both() -> None:
    assert panel(zone__3__number="904768").hearing(ZoneNumber(3)) == ()
    other = HOUSE.programme[Item("zone/4/number")]
    assert panel(zone__3__number=other).hearing(ZoneNumber(4)) == (3, 4)


def test_the_wrong_input_is_another_device() -> None:
    swapped = panel(zone__9__input="wire")
    assert swapped.hearing(ZoneNumber(10)) == (9, 10)
    assert swapped.hearing(ZoneNumber(9)) == ()


def test_a_loop_with_other_resistors_stands_in_trouble() -> None:
    assert list(panel(BAKERY).standing()) == []
    (standing,) = panel(BAKERY, zone__1__resistor="single").standing()
    assert standing.zone == 1  # type: ignore[union-attr]


def test_a_slot_sets_only_its_areas() -> None:
    bertil = Set(AreaNumber(2), Mode.AWAY, UserNumber(2))
    assert not panel().allows(bertil)
    assert panel(user__2__areas="1+2").allows(bertil)


def test_the_buttons_of_a_remote_do_what_they_are_programmed_for_in_its_areas() -> None:
    """Tomas carries the second remote: away by its first button, disarmed by its second, in both areas."""
    right = panel(ROWAN)
    clockwork = Clockwork(right.setup)
    for button, wanted in (("first-button", Mode.AWAY), ("second-button", Mode.DISARMED)):
        perform(clockwork, right, [(0, PressButton(2, button))], 300)
        assert [area.mode for area in clockwork.control.areas] == [wanted, wanted]
    perform(clockwork, right, [(0, PressButton(1, "first-button"))], 300)
    assert [area.mode for area in clockwork.control.areas] == [Mode.AWAY, Mode.DISARMED]
    slipped = panel(ROWAN, remote__1__second_button="arm stay")
    assert not [each for each in slipped.events(PressButton(1, "second-button")) if isinstance(each, Disarm)]


def test_acts_happen_at_their_seconds() -> None:
    right = panel()
    clockwork: Clockwork = at_rest(right.setup, {AreaNumber(1)}, Mode.AWAY)
    start = clockwork.now
    entries = perform(clockwork, right, [(5, Handle(What.OPEN, ZoneNumber(3)))], 60)
    assert entries[0].event == ZoneOpens(ZoneNumber(3))
    seen = observed(right.setup, entries, start, "4021")
    assert Noticed(5, "all over the house", "siren sounds") in seen
    assert any(each.at == 35 and "account 4021" in each.text for each in seen)
    assert clockwork.now == start + 60


def test_observations_differ_by_things_by_times_or_not() -> None:
    one = (Noticed(5, "at the keypad", "a"), Noticed(9, "at the keypad", "b"))
    assert unlike(one, one[::-1]) is Unlike.NOT
    assert unlike(one, (Noticed(7, "at the keypad", "a"), one[1])) is Unlike.NOT
    assert unlike(one, (Noticed(8, "at the keypad", "a"), one[1])) is Unlike.TIMES
    assert unlike(one, one[:1]) is Unlike.THINGS
    assert unlike(one, (Noticed(5, "at the station", "a"), one[1])) is Unlike.THINGS

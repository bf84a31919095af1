"""What is said before a panel that was read is keyed: whose codes stay, and which zones go."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.checks.taken_over import beware_of_panel
from zonewright.panel.opening import open_site
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value
from zonewright.panel.resolve import Resolved

SITE = """
site: Brindle Lane
revision: 1
panel: marlow
{station}areas: {{shed: {{}}}}
people:
  Ada: {{role: owner, slot: 1}}
  Cy: {{role: user, slot: 2}}
  Ada pressed: {{role: user, slot: 3, duress: yes}}
devices:
  door:
    kind: contact
    number: {{printed: "204 917"}}
    zone: {{number: 1, area: shed, behaviour: entry-door, called: door}}
"""


def site(tmp_path: Path, station: str = 'station: {account: "0417"}\n') -> Resolved:
    path = tmp_path / "brindle.yaml"
    path.write_text(SITE.format(station=station), encoding="utf-8")
    return open_site(path)


def held(new: Resolved, **others: str) -> Programme:
    """Return what the panel holds: the plan, with these items instead (`zone_9_label`)."""
    found = {Item(name.replace("_", "/").replace("+", "-")): Value(value) for name, value in others.items()}
    return new.programme.changed(found)


def test_whose_codes_stay_is_said_and_that_a_duress_code_is_not_tried(tmp_path: Path) -> None:
    new = site(tmp_path)
    (says,) = beware_of_panel(held(new, user_2_code=UNKNOWN), new)
    assert "Ada (slot 1) and Ada pressed (slot 3)" in says
    assert "Cy" not in says  # the sheet keys that one
    assert "Not Ada pressed (slot 3): that calls for help" in says
    assert "`user/1/code: unknown`" in says


def test_nothing_is_said_of_codes_that_are_all_keyed(tmp_path: Path) -> None:
    new = site(tmp_path)
    assert beware_of_panel(held(new, user_1_code=UNKNOWN, user_2_code=UNKNOWN, user_3_code=UNKNOWN), new) == ()


@pytest.mark.parametrize(
    ("behaviour", "says"),
    [
        ("fire", "It is fire: see that something else warns of that there"),
        ("holdup", "It is holdup: nobody can call for help by it any more"),
        (UNKNOWN, "What it is for was not read"),
        ("perimeter", "take its device down. Tell the station"),
    ],
)
def test_a_zone_that_goes_is_named_with_what_it_is_for(tmp_path: Path, behaviour: str, says: str) -> None:
    new = site(tmp_path)
    *_, last = beware_of_panel(held(new, zone_9_label="old thing", zone_9_behaviour=behaviour), new)
    assert last.startswith("Zone 9 old thing is taken out: take its device down.")
    assert says in last


def test_no_word_of_a_station_where_there_is_none(tmp_path: Path) -> None:
    new = site(tmp_path, station="")
    assert "station, whose list" not in " ".join(beware_of_panel(held(new, zone_9_behaviour="fire"), new))


def test_codes_that_go_are_told_since_nobody_knows_whose_they_are(tmp_path: Path) -> None:
    new = site(tmp_path)
    said = beware_of_panel(held(new, user_7_code="set", user_7_role="user"), new)
    assert said[1].startswith("The codes in slot 7 are taken out, and open nothing from then on.")

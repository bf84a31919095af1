"""What the people of a site can do: by their codes, by what their remotes' buttons do, each in their own areas."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.behaviour.acts import Acts, acts_of, coded, disarming, may_bypass, users, with_acts
from zonewright.behaviour.events import Disarm, Means
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, setup_of
from zonewright.behaviour.state import NOBODY
from zonewright.panel.behaviours import ARMED, Mode
from zonewright.panel.opening import open_site

SITE = """
site: Boathouse
panel: marlow
station: {account: "1234"}
settings: {exit time: 60 s, entry time: 30 s}
areas: {boats: {}, club: {}}
keypads: {keypad: {area: club}}
devices:
  slip-door:
    kind: contact
    number: {printed: 60 31 18}
    zone: {number: 1, area: boats, behaviour: entry-door, called: slip door}
  hatch:
    kind: contact
    number: {printed: 60 31 42}
    zone: {number: 2, area: [boats, club], behaviour: perimeter, called: yard hatch}
"""
PEOPLE = """people:
  Ann: {role: owner}
  Ben: {role: user, may: [boats]}
  Cara: {role: user, duress: yes}
"""
RING = """remotes:
  ring:
    number: {printed: 66 12 08}
    carried by: WHO
    area: boats
    first button: FIRST
    second button: SECOND
"""
BOATS, CLUB = AreaNumber(1), AreaNumber(2)
ANN, BEN, CARA = UserNumber(1), UserNumber(2), UserNumber(3)


def setup_with(folder: Path, people: str = PEOPLE, ring: str = "") -> Setup:
    (folder / "site.yaml").write_text(SITE + people + ring, encoding="utf-8")
    site = open_site(folder / "site.yaml")
    return with_acts(setup_of(site.programme, site.profile), site)


def acts(setup: Setup) -> Acts:
    assert setup.acts is not None
    return setup.acts


def ring(who: str = "Ben", first: str = "arm away", second: str = "disarm") -> str:
    return RING.replace("WHO", who).replace("FIRST", first).replace("SECOND", second)


def test_a_remote_sets_and_disarms_its_own_areas_as_its_buttons_say(tmp_path: Path) -> None:
    setup = setup_with(tmp_path, ring=ring())
    boats, club = acts(setup).of(BOATS), acts(setup).of(CLUB)
    assert boats.by_button == (NOBODY,)
    assert [(way.user, way.modes) for way in boats.ways if way.means is Means.REMOTE] == [
        (NOBODY, frozenset({Mode.AWAY}))
    ]
    assert club.by_button == ()
    assert all(way.means is Means.KEYPAD and way.modes == ARMED for way in club.ways)


@pytest.mark.parametrize("second", ["panic", "arm stay"])
def test_a_remote_without_a_button_for_it_disarms_nothing(tmp_path: Path, second: str) -> None:
    assert acts(setup_with(tmp_path, ring=ring(second=second))).of(BOATS).by_button == ()


def test_where_nobody_has_a_code_for_an_area_its_remote_disarms_it(tmp_path: Path) -> None:
    people = "people: {Ann: {role: owner, may: [club]}, Ben: {role: user, may: [club]}}\n"
    setup = setup_with(tmp_path, people, ring())
    assert disarming(setup, BOATS) == Disarm(BOATS, NOBODY)
    assert disarming(setup, CLUB) == Disarm(CLUB, ANN)
    assert coded(setup, BOATS) is None
    assert users(setup, BOATS) == (NOBODY,)
    assert disarming(setup_with(tmp_path, people), BOATS) is None


def test_a_code_for_duress_does_what_any_code_does_where_no_other_is_good(tmp_path: Path) -> None:
    people = "people: {Ann: {role: owner, may: [boats]}, Cara: {role: user, may: [club], duress: yes}}\n"
    setup = setup_with(tmp_path, people)
    assert (acts(setup).of(CLUB).coded, acts(setup).of(CLUB).forced) == ((), (UserNumber(2),))
    assert disarming(setup, CLUB) == Disarm(CLUB, UserNumber(2))


def test_a_shared_zone_is_bypassed_by_whoever_may_set_all_of_its_areas(tmp_path: Path) -> None:
    setup = setup_with(tmp_path)
    assert [may_bypass(setup, zone) for zone in setup.zones] == [(ANN, BEN, CARA), (ANN, CARA)]


def test_a_setup_without_its_site_lets_everybody_do_everything(tmp_path: Path) -> None:
    (tmp_path / "site.yaml").write_text(SITE + PEOPLE, encoding="utf-8")
    site = open_site(tmp_path / "site.yaml")
    plain = setup_of(site.programme, site.profile)
    assert plain.acts is None
    assert acts_of(site).anybody
    assert disarming(plain, CLUB) == Disarm(CLUB, ANN)

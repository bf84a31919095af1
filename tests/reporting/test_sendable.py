"""`messages` is what the clockwork sends: long random runs send nothing else, and each line was sent by some run."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.generated import opened, site_texts
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.devices import covered, with_cells
from zonewright.behaviour.events import (
    Event,
    InstallerMode,
    Message,
    PowerReturns,
    QuickExit,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import Setup, ZoneSetup, setup_of
from zonewright.panel.behaviours import Mode
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.reporting.expected import encoded, expected
from zonewright.reporting.people import Hands, hands_of
from zonewright.site.record import ZoneNumber

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
Code = tuple[str, str]


def code(message: Message) -> Code:
    made = encoded(message, "1234", "")
    return made.dc05.digits, made.dc03


def listed(resolved: Resolved, setup: Setup | None = None) -> dict[Code, Message]:
    return {(each.dc05.digits, each.dc03): each.message for each in expected(resolved, "1234", setup)}


def one(rng: Random, events: Sequence[Event]) -> list[Event]:
    return [rng.choice(events)] if events else []


def random_event(
    rng: Random, setup: Setup, hands: Hands, covers: frozenset[ZoneNumber], often: Sequence[ZoneSetup]
) -> list[Event]:
    """Something that somebody or something of this site can do, often with these zones; sometimes several at once."""
    area = rng.choice(setup.areas)
    zone = rng.choice(often if often and rng.random() < 0.6 else setup.zones)
    dice = rng.random()
    if dice < 0.42:
        other = rng.choice(setup.zones_of(area) or setup.zones)
        what = rng.choice((ZoneOpens, ZoneCloses, ZoneTrips, ZoneCloses))
        return [what(rng.choice((zone, other)).number)]
    if dice < 0.50:
        mode = rng.choice((Mode.STAY, Mode.AWAY))
        arms = [rng.choice(ways) for each in setup.areas if (ways := [a for a in hands.arming(each) if a.mode is mode])]
        doors = [door.number for each in setup.areas for door in setup.exit_doors(each)[:1]]
        shut = rng.random() < 0.7
        return [*arms, *map(ZoneOpens, doors), *(map(ZoneCloses, doors) if shut else ())]
    if dice < 0.60:
        return one(rng, [*hands.arming(area), *hands.over_faults(area)])
    if dice < 0.74:
        return one(rng, list(hands.disarming(area)))
    if dice < 0.80:
        acts = list(hands.bypassing(setup, zone))
        by = rng.choice(acts) if acts else None
        return [rng.choice((by, Unbypass(by.zone, by.user)))] if by is not None else []
    if dice < 0.88:
        ill = [Trouble.TAMPER] * (zone.number in covers) + [Trouble.LOW_BATTERY] * (zone.number in with_cells(setup))
        return [rng.choice((TroubleBegins, TroubleEnds))(zone.number, rng.choice(ill))] if ill else []
    if dice < 0.92:
        trouble = rng.choice(list(SiteTrouble))
        return [rng.choice((SiteTroubleBegins, SiteTroubleEnds))(trouble)]
    if dice < 0.95:
        return [InstallerMode(on=rng.random() < 0.4)]
    if dice < 0.96:
        return [PowerReturns()]
    if dice < 0.98:
        return [QuickExit(area, user) for user in hands.coded(area)[:1]]
    return one(rng, list(hands.panic(area)))


def sent_at_random(
    resolved: Resolved, seed: int, steps: int, setup: Setup | None = None, about: Iterable[Message] = ()
) -> set[Code]:
    setup = setup_of(resolved.programme, resolved.profile) if setup is None else setup
    numbers = {message.zone for message in about}
    often = [zone for zone in setup.zones if zone.number in numbers]
    hands, covers, rng = hands_of(resolved), covered(resolved), Random(seed)
    panel = Clockwork(setup)
    sent: set[Message] = set()
    for _ in range(steps):
        wait = rng.choices((0, 1, 3, 20, 70, 400, 5_000, 50_000), (3, 6, 6, 4, 6, 1, 0.3, 0.1))[0]
        entries = panel.advance(panel.now + wait)
        entries += [panel.give(each) for each in random_event(rng, setup, hands, covers, often)]
        sent |= {each for entry in entries for each in entry.outputs if isinstance(each, Message)}
    return set(map(code, sent))


@cache
def demo(name: str) -> Resolved:
    return open_site(FILES / f"{name}.yaml")


@pytest.mark.parametrize("name", ["larkfield", "larkfield-before", "larkfield-wrong", "rowan", "bakery"])
def test_a_random_run_of_a_demo_sends_nothing_that_is_not_listed(name: str) -> None:
    known = listed(demo(name))
    for seed in range(3):
        unlisted = sent_at_random(demo(name), seed, 4_000) - known.keys()
        assert not unlisted


@pytest.mark.deep
@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_every_message_that_is_listed_for_a_demo_is_sent_in_some_random_run(name: str) -> None:
    left = listed(demo(name))
    for seed in range(60):
        sent = sent_at_random(demo(name), seed, 6_000, about=left.values())
        left = {each: told for each, told in left.items() if each not in sent}
        if not left:
            break
    assert not left


@given(text=site_texts(), seed=st.integers(0, 10_000))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_a_random_run_of_a_small_site_sends_what_is_listed(text: str, seed: int) -> None:
    site = opened(text)
    known = listed(site)
    unlisted = sent_at_random(site, seed, 1_500) - known.keys()
    assert not unlisted


@pytest.mark.deep
@given(text=site_texts(), seed=st.integers(0, 10_000))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_a_panel_that_tells_of_arming_and_of_alarms_soon_after_it_sends_what_is_listed(text: str, seed: int) -> None:
    site = opened(text)
    plain = setup_of(site.programme, site.profile)
    setup = replace(plain, settings=replace(plain.settings, openings=True, recent_closing=True))
    unlisted = sent_at_random(site, seed, 1_500, setup) - listed(site, setup).keys()
    assert not unlisted


def names(text: str) -> set[str]:
    return {each.message.name for each in expected(opened(text), "1234")}


SITE = """site: Made
panel: marlow
areas: {shop: {}, flat: {}}
station: {account: "6391", by: dc-09}
settings: {exit time: 60 s, entry time: 30 s, abort window: 15 s, confirm window: 30 min, tamper at setting: user}
loops:
  door1: {zone: 1, area: shop, behaviour: entry-door, called: door 1, delay: entry time, resistor: double}
  door2: {zone: 2, area: shop, behaviour: entry-door, called: door 2, delay: entry time, resistor: single}
  pane: {zone: 3, area: shop, behaviour: perimeter, called: pane, resistor: double}
  hall: {zone: 4, area: shop, behaviour: perimeter, called: hall, resistor: double, confirmed by: pane}
people:
  Ann: {role: owner, may: [shop, flat]}
"""


def test_pairs_confirmed_alarms_both_doors_errors_faults_and_the_installer_are_listed() -> None:
    assert names(SITE) >= {
        "unverified alarm", "confirmed alarm", "exit error", "armed over a fault", "installer mode",
        "installer mode ended", "panic alarm", "cancel", "restart",
    }  # fmt: skip
    found = expected(opened(SITE), "1234")
    assert {each.message.zone for each in found if each.message.name == "exit error"} == {1, 2}
    assert {each.message.zone for each in found if each.message.name == "armed over a fault"} == {1, 2, 3, 4}


def test_everybody_with_a_code_may_have_set_over_a_fault_of_the_panel() -> None:
    """Only the first of them was named, so that another's message came unexpected."""
    two = SITE.replace("tamper at setting: user", "line at setting: installer")
    two = two.replace("may: [shop, flat]}", "may: [shop, flat], slot: 1}\n  Bo: {role: user, may: [shop], slot: 2}")
    found = [each.label for each in expected(opened(two), "1234") if each.message.name == "armed over a fault"]
    assert found == ["Ann or Bo"]


def test_a_wired_loop_has_no_battery_and_tells_tamper_only_by_its_resistors() -> None:
    """With a resistor a short of the wire at least is noticed as tamper; without one nothing is."""
    for resistor, zones in (("single", {1, 2, 3, 4}), ("none", {1, 3, 4})):
        text = SITE.replace("resistor: single", f"resistor: {resistor}")
        assert "low battery" not in names(text)
        found = expected(opened(text), "1234")
        assert {each.message.zone for each in found if each.message.name == "tamper"} == zones


def test_nobody_sends_from_an_area_that_nobody_may_set() -> None:
    nobody = SITE.replace("may: [shop, flat]", "may: [flat]")
    assert {each.message.name for each in expected(opened(nobody), "1234") if each.message.zone == 1} == {"tamper"}


def test_a_pair_across_areas_sends_what_is_listed_and_tells_of_a_trip_alone() -> None:
    text = SITE.replace("hall: {zone: 4, area: shop", "hall: {zone: 4, area: flat")
    assert text != SITE
    known = listed(opened(text))
    assert {each.zone for each in known.values() if each.name == "unverified alarm"} == {3, 4}
    for seed in range(3):
        assert not sent_at_random(opened(text), seed, 3_000) - known.keys()

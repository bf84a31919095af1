"""Every slip is one wrong answer that the panel would take, and the panel then holds a legal Programme."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from zonewright.entry.sheets.sheet import delta
from zonewright.entry.slips.misreading import SlipKind, wrong_values
from zonewright.fieldwork.slipped import slips_of
from zonewright.panel.answers import any_value, refuses
from zonewright.panel.legal import random_change, random_programme, why_illegal
from zonewright.panel.opening import open_site
from zonewright.panel.profile import Style
from zonewright.panel.profile_file import shipped_profile
from zonewright.panel.programme import Item, Value

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
PANELS = ("tern", "marlow", "quill")


@pytest.mark.parametrize("panel", PANELS)
def test_each_slip_is_legal_differs_from_the_plan_and_comes_once(panel: str) -> None:
    profile = shipped_profile(panel).usable()
    planned = random_programme(profile, random.Random(panel), 4, users=2, remotes=min(1, profile.limits.remotes))
    found = list(slips_of(profile, planned))
    assert len({(slip.item, slip.given) for slip in found}) == len(found)
    for slip in found:
        assert slip.programme.values != planned.values
        assert why_illegal(profile, slip.programme) == []
        assert {item for item, _, _ in slip.changed} >= {slip.item}


@pytest.mark.parametrize("panel", PANELS)
def test_of_a_change_only_what_had_to_be_keyed_can_be_wrong(panel: str) -> None:
    profile = shipped_profile(panel).usable()
    rng = random.Random(7)
    before = random_programme(profile, rng, 4)
    planned = random_change(profile, rng, before, 3)
    sheet = delta(profile, before, planned)
    keyed = {step.item for job in sheet.jobs for step in job.steps if step.changes}
    keyed |= {item for item in planned if item not in before}
    found = list(slips_of(profile, planned, before))
    assert {slip.item for slip in found} <= keyed
    for slip in found:
        if slip.kind is SlipKind.LEFT:
            rule = profile.rule_of(slip.item)
            assert slip.given in (before.get(slip.item), rule.default if rule is not None else None)


@pytest.mark.parametrize("panel", PANELS)
def test_every_wrong_value_is_one_that_the_panel_takes(panel: str) -> None:
    profile = shipped_profile(panel).usable()
    rng = random.Random(3)
    for answer in profile.answers.values():
        for _ in range(20):
            value = any_value(answer, rng)
            wrong = list(wrong_values(answer, value))
            assert all(other != value and refuses(answer, other) is None for _, other in wrong)
            if answer.style in (Style.FLAG, Style.OFFER, Style.TRIP):
                assert wrong


def test_a_wrong_behaviour_takes_its_delay_with_it() -> None:
    site = open_site(FILES / "larkfield.yaml")
    slip = next(
        each
        for each in slips_of(site.profile, site.programme)
        if each.item == "zone/1/behaviour" and each.programme[Item("zone/1/delay")] == "none"
    )
    assert ("zone/1/delay", "entry time", "none") in slip.changed


def test_what_falls_back_and_is_keyed_again_as_it_was_can_be_wrong() -> None:
    """On Marlow another behaviour sets the delay back, so the second entry time is keyed though it stays."""
    profile = shipped_profile("marlow").usable()
    site = open_site(FILES / "bakery.yaml")
    zone = next(n for n in site.programme.numbers("zone") if site.programme.fields("zone", n)["delay"] == "entry time")
    delay, behaviour = Item(f"zone/{zone}/delay"), Item(f"zone/{zone}/behaviour")
    before = site.programme.changed({delay: Value("second entry time"), behaviour: Value("entry-door")})
    planned = before.changed({behaviour: Value("final-door")})
    found = {(slip.item, slip.given) for slip in slips_of(profile, planned, before)}
    assert (delay, "entry time") in found


def test_exchanged_devices_leave_every_answer_of_the_zone_keyed_again_to_be_wrong() -> None:
    """Zone 1 is taken out, so that zone 2 may have its device, and keyed from nothing."""
    site = open_site(FILES / "larkfield.yaml")
    one, two = Item("zone/1/number"), Item("zone/2/number")
    before = site.programme.changed({one: site.programme[two], two: site.programme[one]})
    found = list(slips_of(site.profile, site.programme, before))
    whole = list(slips_of(site.profile, site.programme))
    assert {str(slip) for slip in found if slip.item.startswith("zone/1/")} == {
        str(slip) for slip in whole if slip.item.startswith("zone/1/")
    }
    assert {slip.item for slip in found if slip.item.startswith("zone/2/")} == {two}

"""What was never keyed and stayed as shipped, and all that may be the matter with a remote, are among the causes."""

from __future__ import annotations

import pytest

from tests.diagnosis.sites import FILES, SITES, case, says, seen
from zonewright.fieldwork.slipped import slips_of
from zonewright.panel.legal import as_shipped
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Item, Value

KEY_RING = "arm away by baker's key ring"


@pytest.mark.parametrize("site", SITES)
def test_each_setting_may_have_stayed_as_shipped(site: str) -> None:
    resolved = open_site(FILES / f"{site}.yaml")
    given = {(slip.item, slip.given) for slip in slips_of(resolved.profile, resolved.programme)}
    shipped, rules = as_shipped(resolved.profile), resolved.profile.rule_of
    asked = [item for item in shipped if resolved.profile.answer_of(item)]
    left = {item: (rule.default if (rule := rules(item)) else None) or shipped[item] for item in asked}
    keyed = {item for item in asked if left[item] != resolved.programme[item]}
    assert keyed
    assert {(item, left[item]) for item in keyed} <= given


def test_an_account_that_was_never_keyed_is_a_cause_of_silence_at_the_station() -> None:
    diagnosis = seen("arm away by Pia; leave by shop-door; +2 h shop-front opens: siren, not message", site="bakery")
    assert "station: account is 0000 in place of 6391" in says(diagnosis)


def test_settings_of_which_none_was_keyed_are_one_cause() -> None:
    assert "setting isn't keyed: 3 answers are as shipped" in [str(each) for each in case("bakery").hypotheses]


def test_what_exists_only_since_a_change_stayed_as_its_default() -> None:
    resolved = open_site(FILES / "larkfield.yaml")
    before = resolved.programme.changed({Item("station/told"): Value("no"), Item("station/account"): Value("0000")})
    given = {(slip.item, slip.given) for slip in slips_of(resolved.profile, resolved.programme, before)}
    assert ("station/account", "0000") in given


@pytest.mark.parametrize(
    "cause",
    [
        "remote 1: its cell is flat",
        "remote 1: its two buttons are exchanged",
        "remote 1: area is 1 in place of 2",
        "remote 1: number is 661280 in place of 661208",
    ],
)
def test_a_remote_that_does_not_arm_has_each_of_its_causes(cause: str) -> None:
    diagnosis = seen(f"{KEY_RING}; +2 min yard-door opens: not entry beeps, not siren", site="bakery")
    assert cause in says(diagnosis)


def test_a_remote_that_arms_is_well() -> None:
    found = says(seen(f"{KEY_RING}; +2 min yard-door opens: entry beeps, siren", site="bakery"))
    assert "remote 1: its cell is flat" not in found
    assert "remote 1: its two buttons are exchanged" not in found
    assert "remote 1: area is 1+2 in place of 2" in found


def test_a_remote_of_another_area_arms_that_one() -> None:
    found = says(seen(f"{KEY_RING}; +2 min yard-door opens; shop-front opens: siren, not entry beeps", site="bakery"))
    assert "remote 1: area is 1 in place of 2" in found
    assert "remote 1: its cell is flat" not in found


def test_exchanged_buttons_are_mended_by_keying_both() -> None:
    (cause,) = (each for each in case("rowan").hypotheses if str(each) == "remote 1: its two buttons are exchanged")
    assert cause.cure.keys == ("remote/1/first-button", "remote/1/second-button")


def test_two_remotes_learnt_as_each_other_are_a_cause_where_they_differ() -> None:
    assert any(
        "each was learnt as the other" in str(each) and "remote" in str(each) for each in case("rowan").hypotheses
    )

"""From what a panel holds to what the model reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

import pytest

from tests.demos import demo
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, UnknownValues, UnusableValues, UserNumber, setup_of
from zonewright.panel.behaviours import SHIPPED
from zonewright.panel.fixed import NAMED_BY_ZONES, SETTING_KINDS, STATION_FLAGS, Written
from zonewright.panel.profile import Kind, Profile
from zonewright.panel.profile_file import shipped
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of

STUB = Profile.model_validate(
    {
        "panel": "stub",
        "edition": "1",
        "display": {"lines": 1, "columns": 16},
        "keys": {"rows": [["a", "b"]]},
        "back": "b",
        "times out": {"after": 60},
        "limits": {"zones": 9, "areas": 2, "users": 2},
        "behaviours": {"perimeter": {}, "entry-door": {}, "notice": {}},
        "kinds": {},
        "fixed": {"setting/low-battery-wait": "5 min", "zone/*/tells-trouble": "yes", "setting/exit-error": "yes"},
        "answers": {
            "s": {"style": "digits", "unit": "s"},
            "min": {"style": "digits", "unit": "min"},
            "n": {"style": "digits"},
        },
        "items": {
            "setting/exit-time": {"how": "s"},
            "setting/entry-time": {"how": "s"},
            "setting/siren-time": {"how": "min"},
            "setting/cancel-window": {"how": "n"},
            "setting/swinger-limit": {"how": "n"},
        },
        "script": {"rest": {"ways in": {"a": "rest"}}},
    }
)
DOOR = {"zone/1/behaviour": "entry-door", "zone/1/delay": "entry time", "setting/entry-time": "45"}


def held(values: Mapping[str, str]) -> Programme:
    return Programme("stub", {Item(item): Value(value) for item, value in values.items()})


def read(values: Mapping[str, str]) -> Setup:
    return setup_of(held(values), STUB)


def test_every_setting_of_the_model_is_read_from_an_item() -> None:
    """A setting that no item fills would stay absent on every panel, and nobody would notice."""
    rights = {name for name, kind in SETTING_KINDS.items() if kind is Written.RIGHT}
    assert rights == {f"{fault.value}-at-setting" for fault in SettingFault}
    read_by_name = SETTING_KINDS.keys() - rights - NAMED_BY_ZONES | set(STATION_FLAGS)
    assert {name.replace("-", "_") for name in read_by_name} == {each.name for each in fields(Settings)} - {
        "at_setting"
    }


def test_what_the_panel_lacks_is_absent() -> None:
    assert read({}).settings == Settings(exit_error=True, low_battery_wait=300)
    zone = read({"zone/1/behaviour": "perimeter"}).zones[0]
    assert (zone.label, zone.behaviour, zone.entry_s) == ("zone 1", SHIPPED["perimeter"], 0)
    assert zone.areas == {1}
    assert (zone.chime, zone.tells_alarm, zone.tells_trouble, zone.supervise) == ("none", False, True, False)


def test_times_take_the_unit_of_their_answer() -> None:
    settings = read({"setting/exit-time": "60", "setting/siren-time": "4", "setting/cancel-window": "5 min"}).settings
    assert (settings.exit_time, settings.siren_time, settings.cancel_window) == (60, 240, 300)


def test_a_zone_is_read_whole() -> None:
    values = {
        **DOOR,
        "zone/1/place": "porch",
        "zone/1/label": "front door",
        "zone/1/area": "1+2",
        "zone/1/chime": "two notes",
        "zone/1/tells-alarm": "yes",
        "zone/1/tells-trouble": "no",
        "zone/1/message-delay": "abort window",
        "zone/1/supervise": "yes",
        "zone/1/number": UNKNOWN,
    }
    zone = read(values).zones[0]
    assert zone.label == "porch front door"
    assert zone.areas == {1, 2}
    assert zone.home == 1
    assert zone.entry_s == 45
    assert (zone.chime, zone.tells_alarm, zone.tells_trouble, zone.supervise) == ("two notes", True, False, True)
    assert zone.message_waits


def test_what_may_not_wait_does_not() -> None:
    zone = read({"zone/1/behaviour": "notice", "zone/1/message-delay": "abort window"}).zones[0]
    assert not zone.message_waits


def test_every_unknown_value_is_named_at_once() -> None:
    values = {**DOOR, "setting/exit-time": UNKNOWN, "zone/1/chime": UNKNOWN, "zone/2/behaviour": UNKNOWN}
    with pytest.raises(UnknownValues) as unknown:
        read(values)
    assert unknown.value.items == ("setting/exit-time", "zone/1/chime", "zone/2/behaviour")
    assert str(unknown.value) == "not known: setting/exit-time, zone/1/chime, zone/2/behaviour"


def test_an_unknown_entry_time_is_named_once() -> None:
    values = {**DOOR, "zone/2/behaviour": "entry-door", "zone/2/delay": "entry time", "setting/entry-time": UNKNOWN}
    with pytest.raises(UnknownValues) as unknown:
        read(values)
    assert unknown.value.items == ("setting/entry-time",)


def test_every_unusable_value_is_named_at_once() -> None:
    values = {
        "setting/exit-time": "soon",
        "setting/cancel-window": "5",
        "setting/swinger-limit": "-1",
        "setting/exit-restart": "perhaps",
        "zone/1/behaviour": "trapdoor",
        "zone/2/behaviour": "perimeter",
        "zone/2/area": "both",
        "zone/3/label": "hatch",
    }
    with pytest.raises(UnusableValues) as unusable:
        read(values)
    assert list(unusable.value.reasons) == [
        "setting/cancel-window",
        "setting/exit-restart",
        "setting/exit-time",
        "setting/swinger-limit",
        "zone/1/behaviour",
        "zone/2/area",
        "zone/3/behaviour",
    ]
    assert unusable.value.reasons[Item("setting/cancel-window")] == '"5" has no unit, and the profile gives none'


@pytest.mark.parametrize("name", ["tern"])
def test_a_shipped_profile_as_shipped_is_read(name: str) -> None:
    profile = shipped(name)
    values = {Item(item): Value(rule.default) for item, rule in profile.items.items() if rule.default is not None}
    settings = setup_of(Programme(name, values), profile).settings
    assert settings.exit_time == 60
    assert settings.cancel_window == 300
    assert settings.siren_time == 240
    assert settings.supervision_window == 12 * 3600
    assert settings.exit_error
    assert not settings.told


# Features that a panel may have ---------------------------------------------------------------------------------------


def test_settings_of_the_further_features() -> None:
    values = {
        "setting/cross-window": "60 s",
        "setting/fire-reset": "12 s",
        "setting/fire-verify-window": "90 s",
        "setting/environment-wait": "2 min",
        "setting/warm-up": "60 s",
        "setting/life-safety-supervision-window": "4 h",
        "setting/mains-wait": "30 min",
        "setting/panel-battery-wait": "0",
        "setting/siren-circuit-wait": "0",
        "setting/line-wait": "3 min",
        "station/troubles": "yes",
    }
    assert read(values).settings == Settings(
        exit_error=True,
        low_battery_wait=300,
        cross_window=60,
        fire_reset=12,
        fire_verify_window=90,
        environment_wait=120,
        warm_up=60,
        life_safety_supervision_window=14_400,
        mains_wait=1800,
        panel_battery_wait=0,
        siren_circuit_wait=0,
        line_wait=180,
        jamming_wait=None,
        troubles=True,
    )


def test_faults_that_stop_setting_are_read_with_who_may_set_over_them() -> None:
    values = {
        "setting/tamper-at-setting": "user",
        "setting/missing-at-setting": "installer",
        "setting/line-at-setting": "nobody",
        "setting/supply-at-setting": "none",
        "setting/heard-before-setting": "20 min",
        "setting/completing-act": "yes",
        "setting/inside-when-off": "yes",
    }
    settings = read(values).settings
    stops = {
        (SettingFault.TAMPER, Right.USER),
        (SettingFault.MISSING, Right.INSTALLER),
        (SettingFault.LINE, Right.NOBODY),
    }
    assert settings.at_setting == stops
    assert settings.heard_before_setting == 1_200
    assert settings.completing_act
    assert settings.inside_when_off
    with pytest.raises(UnusableValues) as unusable:
        read({"setting/jamming-at-setting": "anybody"})
    assert unusable.value.reasons == {
        "setting/jamming-at-setting": '"anybody" is none of none, user, installer, nobody'
    }


def test_an_unknown_wait_is_named() -> None:
    with pytest.raises(UnknownValues) as unknown:
        read({"setting/mains-wait": UNKNOWN})
    assert unknown.value.items == ("setting/mains-wait",)


def pairs(values: Mapping[str, str]) -> dict[int, set[int]]:
    zones = {f"zone/{n}/behaviour": "perimeter" for n in (1, 2, 3)} | {"zone/4/behaviour": "notice"}
    return {zone.number: {*map(int, zone.crosses)} for zone in read({**zones, **values}).zones}


def test_a_pair_written_at_one_end_is_known_at_both() -> None:
    assert pairs({"zone/1/crosses": "2", "zone/3/crosses": "none"}) == {1: {2}, 2: {1}, 3: set(), 4: set()}
    assert pairs({"zone/1/crosses": "2", "zone/2/crosses": "3"}) == {1: {2}, 2: {1, 3}, 3: {2}, 4: set()}


def test_only_zones_that_may_be_paired_are() -> None:
    assert pairs({"zone/1/crosses": "4"}) == {1: set(), 2: set(), 3: set(), 4: set()}


def test_a_pair_with_itself_or_nothing_is_unusable() -> None:
    with pytest.raises(UnusableValues) as unusable:
        pairs({"zone/1/crosses": "1", "zone/3/crosses": "hall"})
    assert dict(unusable.value.reasons) == {
        "zone/1/crosses": '"1" is not the number of another zone',
        "zone/3/crosses": '"hall" is not the number of another zone',
    }


WIRED = STUB.model_copy(
    update={
        "behaviours": {"fire": SHIPPED["fire"]},
        "kinds": {"wired smoke": Kind(link="wired"), "radio smoke": Kind(link="radio")},
    }
)


@pytest.mark.parametrize(
    ("fields", "verified"),
    [
        ({"kind": "wired smoke"}, True),
        ({"kind": "radio smoke"}, False),
        ({"kind": "wired smoke", "verify": "no"}, False),
        ({"kind": "wired smoke", "verify": "yes"}, True),
        ({"resistor": "single"}, True),
        ({}, False),
    ],
)
def test_only_wired_detectors_are_verified(fields: Mapping[str, str], verified: bool) -> None:
    """A radio detector's power can't be switched: common practice, no source."""
    zone = {"zone/1/behaviour": "fire", **{f"zone/1/{field}": value for field, value in fields.items()}}
    has = setup_of(held({**zone, "setting/fire-verify-window": "90 s"}), WIRED)
    assert has.zones[0].verifies is verified
    assert not setup_of(held(zone), WIRED).zones[0].verifies


def test_an_unknown_kind_matters_only_where_it_decides() -> None:
    zone = {"zone/1/behaviour": "fire", "zone/1/kind": UNKNOWN}
    assert not setup_of(held(zone), WIRED).zones[0].verifies
    with pytest.raises(UnknownValues) as unknown:
        setup_of(held({**zone, "setting/fire-verify-window": "90 s"}), WIRED)
    assert unknown.value.items == ("zone/1/kind",)


def test_a_duress_slot_is_marked_at_the_person() -> None:
    assert read({"user/1/duress": "no", "user/2/duress": "yes", "user/3/role": "user"}).duress == {2}


def test_who_may_set_which_areas_is_read_where_the_panel_holds_it() -> None:
    zones = {"zone/1/behaviour": "perimeter"}
    setup = read({**zones, "user/1/areas": "1+2", "user/2/areas": "2", "user/3/areas": UNKNOWN})
    one, two = AreaNumber(1), AreaNumber(2)
    assert setup.may == {(UserNumber(1), frozenset({one, two})), (UserNumber(2), frozenset({two}))}
    assert setup.may_set(UserNumber(1), frozenset({one, two}))
    assert not setup.may_set(UserNumber(2), frozenset({one, two}))
    assert setup.may_set(UserNumber(3), frozenset({one}))  # what isn't known restricts nobody


def test_a_zone_paired_with_one_that_is_not_there_is_paired_with_nobody() -> None:
    """Nobody could confirm it, so it gives its alarm alone: what a misread number of a pair comes to."""
    site = demo("bakery")
    misread = site.programme.changed({item_of("zone", 2, "crosses"): Value("60")})
    assert setup_of(misread, site.profile) == setup_of(site.programme, site.profile)

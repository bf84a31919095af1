"""From what a panel holds to what the model reads."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from zonewright.behaviour import setup_of
from zonewright.behaviour.setup import Settings, Setup, UnknownValues, UnusableValues
from zonewright.panel.behaviours import SHIPPED
from zonewright.panel.profile import Profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value
from zonewright.panel.reading import shipped

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

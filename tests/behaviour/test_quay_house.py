"""Scenes of one invented house with two areas, a shared hall, a pair and three people, each with its answer beside it.

The answers were written down from the trade's rules, not from a run.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.behaviour.events import Message, Shown, Siren
from zonewright.behaviour.setup import setup_of
from zonewright.panel.behaviours import Pattern
from zonewright.panel.opening import open_site
from zonewright.words.scenario import played, read_scenario
from zonewright.words.telling import output_in_words

SITE = open_site(Path(__file__).parent / "quay_house.yaml")
SETUP = setup_of(SITE.programme, SITE.profile)
HOUR = 3600
ALL_AWAY = "arm away by Runa; +5 s leave by hall-door; at 1 h; "  # both areas are set from 60 s on

# scene, what must be seen or sent at which second, what must never be
SCENES: dict[str, tuple[str, list[tuple[int, str]], list[str]]] = {
    "a door of the shop opens in an entry that the flat's owner ends": (
        ALL_AWAY + "hall-door trips; +3 s shop-door opens; +10 s disarm flat by Nils",
        [(HOUR + 30, 'display: "shop door alarm"'), (HOUR + 30, "siren sounds"),
         (HOUR + 45, 'message "entry door alarm", shop door')],
        ['display: "hall door alarm"'],
    ),
    "the flat's owner comes home, and the shop stays guarded without beeps": (
        ALL_AWAY + "hall-door trips; +10 s disarm flat by Nils; +30 s shop-eye trips; +5 s stock-eye trips",
        [(HOUR + 10, 'display: "area 1 armed away"'), (HOUR + 45, 'display: "stock room alarm"')],
        ["fast entry beeps"],
    ),
    "a shared zone's message is cancelled by the flat's owner": (
        ALL_AWAY + "skylight trips; +60 s disarm flat by Nils",
        [(HOUR + 15, 'message "perimeter alarm", skylight'), (HOUR + 60, 'message "cancel", user 2'),
         (HOUR + 60, 'display: "area 2 a cancel message was sent"')],
        [],
    ),
    "a shop alarm is not cancelled by the flat's owner": (
        ALL_AWAY + "shop-door opens; +60 s disarm flat by Nils",
        [(HOUR + 45, 'message "entry door alarm", shop door')],
        ['message "cancel", user 2'],
    ),
    "one of a pair is bypassed": (
        "bypass stock-eye by Runa; " + ALL_AWAY + "shop-eye trips",
        [(HOUR, 'display: "shop floor alarm"'), (HOUR, "siren sounds")],
        ['display: "shop floor tripped alone"'],
    ),
    "one of a pair is out of contact": (
        ALL_AWAY + "stock-eye missing; +1 min shop-eye trips",
        [(HOUR + 60, 'display: "shop floor alarm"')],
        ['display: "shop floor tripped alone"'],
    ),
    "both of a pair are there": (
        ALL_AWAY + "shop-eye trips",
        [(HOUR, 'display: "shop floor tripped alone"')],
        ["siren sounds"],
    ),
    "two areas are armed in one go and left by the door of one": (
        "arm away by Runa; +10 s leave by shop-door; +80 s; at 1 h flat-eye trips",
        [(60, 'display: "area 1 armed away"'), (60, 'display: "area 2 armed away"'), (HOUR, "siren sounds")],
        ['display: "area 2 nobody left, armed stay"'],
    ),
    "two people arm an area each, and one of them leaves": (
        "arm away shop by Edda; arm away flat by Nils; +10 s leave by shop-door",
        [(60, 'display: "area 1 armed away"'), (60, 'display: "area 2 nobody left, armed stay"')],
        [],
    ),
    "armed with smoke still there": (
        "stairs-smoke opens; +10 s disarm flat by Nils; +60 s arm stay flat by Nils",
        [(70, 'display: "stairs still in alarm"'), (70, "trouble tone")],
        [],
    ),
    "a cover stays off when its alarm is called off": (
        ALL_AWAY + "shop-door cover off; +5 s disarm by Runa; +60 s disarm by Runa; +60 s shop-door cover on",
        [(HOUR + 5, 'message "tamper", shop door'), (HOUR + 65, 'display: "shop door tamper"'),
         (HOUR + 125, 'message "tamper" is over, shop door')],
        ['message "tamper alarm", shop door'],
    ),
    "a window opens while power is just back": (
        ALL_AWAY + "power returns; +5 s skylight opens; +10 min skylight closes; +5 s skylight opens",
        [(HOUR + 60, 'display: "skylight open while armed"'), (HOUR + 610, 'display: "skylight alarm"')],
        [],
    ),
    "a window opens while the air is jammed": (
        ALL_AWAY + "jamming begins; +5 min skylight opens",
        [(HOUR + 60, 'display: "radio jammed"')],
        ['display: "skylight alarm"', "siren sounds"],
    ),
    "the air is clear again": (
        ALL_AWAY + "jamming begins; +5 min skylight trips; +5 min jamming ends; +5 min skylight trips",
        [(HOUR + 900, 'display: "skylight alarm"')],
        ['display: "skylight missing"'],
    ),
    "a guest bypasses a door of the flat": (
        "bypass flat-door by Edda; arm away by Runa; +5 s leave by hall-door; at 1 h flat-door opens",
        [(0, 'display: "flat door not with this code"'), (HOUR + 45, 'display: "flat door alarm"')],
        ['display: "flat door bypassed"'],
    ),
    "a remote arms and disarms its own area": (
        "arm away by Nils's key ring; at 1 h disarm by Nils's key ring; at 2 h flat-eye trips",
        [(60, 'display: "area 2 armed away"'), (HOUR, 'display: "area 2 disarmed"')],
        ["siren sounds", 'display: "area 1 disarmed"'],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", SCENES)
def test_the_scene_goes_as_written_down(name: str) -> None:
    script, wanted, never = SCENES[name]
    scenario, slips = read_scenario(script, name, SITE)
    assert not slips, slips
    seen = [(each.at, output_in_words(SETUP, out)) for each in played(SETUP, scenario) for out in each.outputs]
    assert [each for each in wanted if each not in seen] == []
    assert [text for text in never if text in [said for _, said in seen]] == []


def test_every_alarm_that_is_seen_sounds() -> None:
    for script, _, _ in SCENES.values():
        scenario, _ = read_scenario(script, "scene", SITE)
        for entry in played(SETUP, scenario):
            loud = any(isinstance(out, Siren) and out.pattern is not Pattern.NONE for out in entry.outputs)
            alarms = [out for out in entry.outputs if isinstance(out, Shown) and out.line.value == "alarm"]
            assert loud or not alarms
            assert all(out.name for out in entry.outputs if isinstance(out, Message))

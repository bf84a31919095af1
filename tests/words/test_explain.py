"""Sentences and explanations: word for word, since people read them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tests.behaviour.house import COTTAGE, DOOR, GATE, IDA, SMOKE, WINDOW, arm, disarm, house, with_settings, zone
from tests.behaviour.test_openings import CELLAR, LANDING, PAIR, switched
from tests.demos import demo
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    CheckIn,
    ChimeSwitch,
    Event,
    Expires,
    InstallerMode,
    Means,
    PowerReturns,
    QuickExit,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup, setup_of
from zonewright.behaviour.state import NOBODY
from zonewright.panel.behaviours import SHIPPED, Mode
from zonewright.site.record import ZoneNumber, span
from zonewright.words.explain import explain
from zonewright.words.matrix import matrix, site_troubles
from zonewright.words.sentence import sentence
from zonewright.words.strips import site_trouble_in_words
from zonewright.words.telling import UNCOUNTED, event_in_words, in_modes, output_in_words

ONE = ZoneNumber(1)


def said(setup: Setup) -> str:
    return sentence(matrix(setup), ONE)


def test_a_notice_zone() -> None:
    setup = house(zone(1, "notice", "side gate", chime="two notes", supervise=True))
    assert said(setup) == (
        "Side gate: two notes in every mode; never the siren, never a message when it opens; flat battery or lost"
        " contact is reported within 12 h."
    )


def test_a_notice_zone_nobody_hears_of() -> None:
    setup = house(zone(1, "notice", "side gate", chime="two notes", tells_trouble=False))
    assert said(setup) == (
        "Side gate: two notes in every mode; never the siren, never a message when it opens; flat battery is shown at"
        " the keypad at once, not reported; lost contact is never noticed."
    )


def test_an_entry_door() -> None:
    assert said(house(zone(1, "entry-door", "front door", chime="spoken", supervise=True))) == (
        'Front door: siren after 30 s when armed, message "entry door alarm" 30 s later; says its label when off;'
        " flat battery or lost contact is reported within 12 h."
    )


def test_movement_inside() -> None:
    assert said(house(zone(1, "interior", "hall", tells_trouble=False, supervise=True))) == (
        'Hall: siren at once when armed away, message "interior alarm" 30 s later; nothing when off, or armed stay or'
        " night; flat battery or lost contact is shown at the keypad within 12 h, not reported."
    )


def test_a_zone_that_sounds_and_tells_nobody() -> None:
    text = said(house(zone(1, "24-hour-audible", "safe", tells_alarm=False)))
    assert text.startswith("Safe: siren at once in every mode; never a message when it opens;")


def test_a_zone_that_tells_without_a_sound() -> None:
    text = said(house(zone(1, "holdup", "till button")))
    assert text.startswith('Till button: silent in every mode, message "hold-up alarm"; never the siren;')


@pytest.mark.parametrize(
    ("behaviour", "starts"),
    [
        ("fire", 'It: fire siren at once in every mode, message "fire alarm";'),
        ("fire-trouble", 'It: trouble tone in every mode, message "fire supervisory"; never the siren;'),
        ("carbon-monoxide", 'It: gas siren at once in every mode, message "carbon monoxide alarm";'),
        ("gas", 'It: gas siren at once in every mode, message "gas alarm";'),
        ("day-night", 'It: siren at once when armed, message "day-night alarm" 30 s later; trouble tone when off,'),
        ("final-door", 'It: siren after 30 s when armed, message "entry door alarm" 30 s later; nothing when off; its'),
        ("arm-switch", "It: arms away when off, or armed stay or night; nothing when armed away; its closing disarms;"),
    ],
)
def test_each_of_the_others(behaviour: str, starts: str) -> None:
    assert said(house(zone(1, behaviour, "it"))).startswith(starts)


def test_an_unused_number_is_never_noticed() -> None:
    assert said(house(zone(1, "unused", "spare", supervise=True))) == (
        "Spare: nothing in every mode; never the siren, never a message when it opens; flat battery or lost contact is"
        " never noticed."
    )


def test_a_pushed_switch() -> None:
    assert said(switched(momentary=True)).startswith(
        'Key switch: arms away when off, message "closing by switch"; disarms when armed, message "opening by switch";'
        " never the siren;"
    )


def test_what_must_last_tells_when() -> None:
    assert said(CELLAR).startswith('Cellar water: trouble tone after 60 s in every mode, message "environment alarm";')


def test_smoke_that_is_looked_into_tells_when() -> None:
    assert said(LANDING).startswith('Landing: fire siren after 12 s in every mode, message "fire alarm";')
    by_situation = {part.situation: part.lines for part in explain(LANDING, ONE).paragraphs}
    assert by_situation["It trips for a moment, away"] == ('at once: display: "landing being verified"',)
    second = by_situation["It trips a second time within 90 s of settling clear"]
    assert second[0].startswith('at once: fire siren sounds, display: "landing alarm", message "fire alarm", landing')


def test_a_pair_never_claims_that_it_never_sounds() -> None:
    assert said(PAIR).startswith(
        'Hall: silent, shown when armed away, message "unverified alarm"; nothing when off, or armed stay or night;'
        " siren if lounge trips too within 60 s; flat battery"
    )
    by_situation = {part.situation: part.lines for part in explain(PAIR, ONE).paragraphs}
    assert by_situation["It trips within 60 s after lounge, away"][0].startswith(
        'at once: siren sounds, display: "hall'
    )
    assert by_situation["It trips a second time within 60 s, away"][0].startswith(
        'at once: siren sounds, display: "hall'
    )
    assert by_situation["It opens again and again, away, each time from quiet"] == (
        f"it gives 2 unverified alarms, then nothing until disarmed, or {UNCOUNTED}",
    )


def test_the_long_form_of_a_switch_and_of_a_final_door() -> None:
    by_situation = {part.situation: part.lines for part in explain(switched(), ONE).paragraphs}
    assert by_situation["It closes again, away"] == (
        'at once: display: "disarmed", message "opening by switch", key switch',
    )
    assert "It closes again, away" not in {p.situation for p in explain(switched(momentary=True), ONE).paragraphs}
    leaving = "It opens and closes while somebody leaves (exit time, away)"
    final_door = house(zone(1, "final-door"))
    assert "; its closing completes setting;" in said(final_door)
    final = {part.situation: part.lines for part in explain(final_door, ONE).paragraphs}
    assert final[leaving] == ('at once: display: "armed away"',)


def test_troubles_of_the_panel() -> None:
    setup = with_settings(COTTAGE, troubles=True, mains_wait=900, line_wait=0)
    assert [site_trouble_in_words(row) for row in site_troubles(setup)] == [
        'Mains lost: trouble tone after 15 min, message "mains lost".',
        "Panel battery low: never noticed.",
        "Siren circuit in trouble: never noticed.",
        "Auxiliary supply overloaded: never noticed.",
        'Line lost: trouble tone, message "line lost".',
        "Radio jammed: never noticed.",
    ]
    assert site_trouble_in_words(site_troubles(with_settings(setup, told=False))[0]) == (
        "Mains lost: trouble tone after 15 min, not reported."
    )


@pytest.mark.parametrize("behaviour", SHIPPED)
def test_the_sentence_is_computed_and_not_taken_from_a_name(behaviour: str) -> None:
    """A behaviour of the same attributes under any other description is told alike."""
    plain = zone(1, behaviour, "thing", chime="two notes")
    renamed = replace(plain, behaviour=plain.behaviour.model_copy(update={"says": "something else entirely"}))
    assert said(house(plain)) == said(house(renamed))


def test_the_sentence_follows_the_settings() -> None:
    setup = house(zone(1, "entry-door", "front door", entry_s=45))
    assert "siren after 45 s when armed, message" in said(setup)
    assert 'message "entry door alarm";' in said(with_settings(setup, abort_window=0))


def test_no_sentence_about_a_zone_that_is_not_there() -> None:
    with pytest.raises(KeyError):
        sentence(matrix(COTTAGE), ZoneNumber(99))
    with pytest.raises(KeyError):
        explain(COTTAGE, ZoneNumber(99))


def test_the_long_form_of_an_entry_door() -> None:
    assert explain(COTTAGE, DOOR).text() == (
        "Zone 1, front door\n"
        "\n"
        "It opens and stays open, when off:\n"
        '  at once: chime: two notes, display: "front door open"\n'
        "\n"
        "It opens and stays open, when armed:\n"
        "  at once: entry beeps\n"
        "  after 20 s (last ten seconds begin): fast entry beeps\n"
        '  after 30 s (entry time ends): siren sounds, display: "front door alarm"\n'
        '  after 60 s (abort window ends): message "entry door alarm", front door\n'
        "  after 270 s (siren time ends): it is silent\n"
        "\n"
        "It opens and closes while somebody leaves (exit time, away):\n"
        "  nothing happens\n"
        "\n"
        "Away, and somebody disarms as soon as it sounds:\n"
        '  at once: display: "disarmed", display: "front door no message sent", it is silent,'
        ' display: "front door still open"\n'
        "\n"
        "It opens again and again, away:\n"
        f"  it gives 2 alarms, then nothing until disarmed, or {UNCOUNTED}"
    )


def test_the_long_form_tells_of_the_entry_time() -> None:
    by_situation = {part.situation: part.lines for part in explain(COTTAGE, WINDOW).paragraphs}
    assert by_situation["It opens while somebody comes in (entry time, by front door)"] == (
        'at once: siren sounds, display: "kitchen window alarm"',
        'after 30 s (abort window ends): message "perimeter alarm", kitchen window',
        "after 270 s (siren time ends): it is silent",
    )
    assert "It opens again and again, away" not in {part.situation for part in explain(COTTAGE, SMOKE).paragraphs}


def test_a_second_door_in_an_entry_time_sounds_and_shows_when_that_ends() -> None:
    """It is no silent alarm, though the entry time was another door's."""
    site = demo("larkfield")
    told = {p.situation: p.lines for p in explain(setup_of(site.programme, site.profile), ZoneNumber(2)).paragraphs}
    assert told["It opens while somebody comes in (entry time, by hall front door)"] == (
        'after 30 s (area 1: entry time ends): siren sounds, display: "kitchen back door alarm"',
        'after 60 s (area 1: abort window ends): message "entry door alarm", kitchen back door',
        "after 270 s (siren time ends): it is silent",
    )


def test_the_long_form_of_a_notice_zone_has_neither_siren_nor_message() -> None:
    text = explain(COTTAGE, GATE).text()
    assert 'panel says "side gate"' in text
    assert not re.search("siren|message", text)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "0 s"),
        (30, "30 s"),
        (599, "599 s"),
        (600, "10 min"),
        (14_700, "4 h 5 min"),
        (43_200, "12 h"),
        (3661, "1 h 1 min 1 s"),
    ],
)
def test_times_in_words(seconds: int, words: str) -> None:
    assert span(seconds) == words


@pytest.mark.parametrize(
    ("modes", "words"),
    [
        (list(Mode), "in every mode"),
        ([Mode.STAY, Mode.NIGHT, Mode.AWAY], "when armed"),
        ([Mode.DISARMED], "when off"),
        ([Mode.AWAY], "when armed away"),
        ([Mode.DISARMED, Mode.STAY], "when off, or armed stay"),
    ],
)
def test_modes_in_words(modes: list[Mode], words: str) -> None:
    assert in_modes(modes) == words


EVENTS: list[tuple[Event, str]] = [
    (ZoneOpens(DOOR), "front door opens"),
    (ZoneCloses(DOOR), "front door closes"),
    (ZoneTrips(DOOR), "front door trips"),
    (CheckIn(DOOR), "front door checks in"),
    (TroubleBegins(DOOR, Trouble.TAMPER), "front door: cover off"),
    (TroubleEnds(DOOR, Trouble.MISSING), "front door: heard again"),
    (arm(Mode.NIGHT, silent=True), "area 1 armed night by remote, silent exit, user 1"),
    (QuickExit(AreaNumber(1), IDA), "quick exit from area 1, user 1"),
    (disarm(), "area 1 disarmed, user 1"),
    (Bypass(DOOR, IDA), "front door bypassed, user 1"),
    (Unbypass(DOOR, IDA), "front door taken back into use, user 1"),
    (ChimeSwitch(False), "chime switched off"),
    (Expires(Timer(TimerKind.ENTRY, 1)), "entry time ends"),
    (Expires(Timer(TimerKind.MISSING, 1)), "front door: not heard for the supervision window"),
    (ZoneOpens(ZoneNumber(99)), "zone 99 opens"),
    (Arm(AreaNumber(1), Mode.AWAY, NOBODY, Means.SWITCH), "area 1 armed away by arm switch"),
    (SiteTroubleBegins(SiteTrouble.JAMMING), "radio jammed"),
    (SiteTroubleEnds(SiteTrouble.MAINS), "mains back"),
    (PowerReturns(), "power returns after a total loss"),
    (InstallerMode(False), "installer mode ends"),
    (Expires(Timer(TimerKind.CROSS, 1)), "front door: no second trip came"),
]


@pytest.mark.parametrize(("event", "words"), EVENTS)
def test_events_in_words(event: Event, words: str) -> None:
    assert event_in_words(COTTAGE, event) == words


def test_outputs_in_words() -> None:
    timeline = run(COTTAGE, [(0, ZoneOpens(SMOKE)), (5, ZoneCloses(SMOKE)), (9, disarm())])
    words = [output_in_words(COTTAGE, output) for entry in timeline for output in entry.outputs]
    assert words == [
        "fire siren sounds",
        'display: "landing smoke alarm"',
        'message "fire alarm", landing smoke',
        'message "fire alarm" is over, landing smoke',
        'display: "disarmed"',
        "it is silent",
        'display: "landing smoke was in alarm"',
    ]

"""What a promise takes for granted stands in its sentence, and who can make it untrue is found."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.behaviour.house import COTTAGE, CP01, DOOR, GATE, WINDOW, house, with_settings, zone
from zonewright.behaviour import effects
from zonewright.behaviour.acts import acts_of, arming, with_acts
from zonewright.behaviour.events import Arm, Bypass, Means, Message
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup, setup_of
from zonewright.behaviour.state import Draft
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.promises.provisos import Proviso
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.why.undoing import undoings

FILES = Path(__file__).resolve().parents[2] / "src/zonewright/cli/demo_files"

SHED = """
site: Shed
panel: marlow
station: {account: "1234"}
settings: {exit time: 60 s, entry time: 30 s}
areas: {shed: {}, yard: {}}
keypads: {keypad: {area: shed}}
devices:
  door:
    kind: contact
    number: {printed: 60 31 18, learnt: "603118"}
    zone: {number: 1, area: shed, behaviour: entry-door, called: shed door, supervise: yes}
  hatch:
    kind: contact
    number: {printed: 60 31 42, learnt: "603142"}
    zone: {number: 2, area: yard, behaviour: perimeter, called: yard hatch, supervise: yes}
REMOTES
PEOPLE
routes: {coming in: {by: door, to: keypad}}
must:
  - always: door causes message while armed
"""
ANN_AND_BEN = "people: {Ann: {role: owner}, Ben: {role: guest, may: [shed]}}"
RING = """
remotes:
  ring:
    number: {printed: 66 12 08, learnt: "661208"}
    carried by: Ben
    area: shed
    first button: arm stay
    second button: disarm
"""


def shed(folder: Path, people: str = ANN_AND_BEN, remotes: str = "", more: str = "") -> Resolved:
    site = folder / "shed.yaml"
    text = SHED.replace("REMOTES", remotes).replace("PEOPLE", people) + more
    site.write_text(text, encoding="utf-8")
    return open_site(site)


def setup_at(site: Resolved) -> Setup:
    return with_acts(setup_of(site.programme, site.profile), site)


def verdicts(site: Resolved, kind: str) -> list[Verdict]:
    setup = setup_at(site)
    return list(prove(setup, [each for each in asked_of(site, setup, Window()) if each.kind == kind]))


def of(setup: Setup, aspect: str, number: int) -> Promise:
    return next(each for each in promises(setup) if each.aspect == aspect and each.zones == (number,))


# What is taken for granted --------------------------------------------------------------------------------------------


def test_a_sentence_says_all_that_its_judge_passes_over() -> None:
    said = of(COTTAGE, "opening sounds", DOOR).sentence
    assert said.endswith(
        "unless disarmed, when armed; if the panel hears it, it was shut before, it isn't bypassed, it isn't shut out "
        "after its last alarm and all else is quiet"
    )


def test_what_can_never_be_otherwise_is_not_said() -> None:
    uncounted = with_settings(COTTAGE, swinger_limit=0)
    assert Proviso.ALARMS_LEFT not in of(uncounted, "opening sounds", DOOR).provisos
    smoke = of(COTTAGE, "life safety", 5)
    assert smoke.provisos == (Proviso.HEARD, Proviso.SHUT)


def test_what_holds_whatever_is_bypassed_takes_nothing_for_granted() -> None:
    assert not of(COTTAGE, "notice", GATE).provisos
    assert not of(COTTAGE, "silent", WINDOW).provisos


def test_a_siren_for_other_areas_is_no_excuse(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing in the sentence excuses a gas alarm that is silent while fire sounds for another area."""
    quick = replace(CP01, supervision_window=0)
    two = house(zone(1, "gas", "gas"), zone(2, "fire", "smoke", areas=(2,)), settings=quick)
    promise = of(two, "life safety", 1)
    assert [each.settled.result for each in prove(two, [promise])] == [VerdictKind.HOLDS]
    sounds = effects.sound

    def silent_while_fire_sounds(d: Draft, one: ZoneSetup, pattern: Pattern) -> None:
        if d.siren() is not Pattern.FIRE:
            sounds(d, one, pattern)

    monkeypatch.setattr(effects, "sound", silent_while_fire_sounds)
    assert VerdictKind.HOLDS not in [each.settled.result for each in prove(two, [promise])]


# Who can make it untrue -----------------------------------------------------------------------------------------------


def told(site: Resolved, proviso: Proviso) -> list[str]:
    setup = setup_at(site)
    return [each.says for each in undoings(site, setup, asked_of(site, setup, Window())) if each.proviso is proviso]


def test_whoever_can_bypass_a_zone_is_named(tmp_path: Path) -> None:
    site = shed(tmp_path)
    assert told(site, Proviso.IN_USE) == [
        "shed door: user 1 and user 2 can bypass it while off, for one armed period",
        "yard hatch: user 1 can bypass it while off, for one armed period",
    ]


def test_whoever_is_made_to_can_bypass_too(tmp_path: Path) -> None:
    """A code for duress does all that any code does."""
    made_to = "people: {Ann: {role: owner, may: [yard]}, Ben: {role: guest, may: [shed], duress: yes}}"
    (shed_door,) = [each for each in told(shed(tmp_path, people=made_to), Proviso.IN_USE) if "door" in each]
    assert shed_door == "shed door: user 2 can bypass it while off, for one armed period"


def test_an_always_that_somebody_can_bypass_says_so(tmp_path: Path) -> None:
    site = shed(tmp_path)
    (found,) = verdicts(site, "must")
    assert found.settled.result is VerdictKind.HOLDS
    assert "it isn't bypassed" in found.promise.sentence
    assert "it isn't shut out after its last alarm" in found.promise.sentence


def test_silence_after_the_last_alarm_and_devices_out_of_contact_are_found(tmp_path: Path) -> None:
    site = shed(tmp_path, more="")
    (silent,) = told(site, Proviso.ALARMS_LEFT)
    assert silent.startswith("shed door and yard hatch: silent after 2 alarms of one armed period, until somebody ")
    assert silent.endswith("disarms, or for 48 h no counted zone of its area trips while guarding or shut out")
    (heard,) = told(site, Proviso.HEARD)
    assert "a device out of contact can't be heard; within" in heard


# Only what this site has ----------------------------------------------------------------------------------------------


def events_of(found: list[Verdict]) -> list[object]:
    return [entry.event for each in found for entry in each.settled.timeline]


def test_nobody_arms_by_a_remote_where_there_is_none(tmp_path: Path) -> None:
    acts = acts_of(shed(tmp_path))
    assert {way.means for way in acts.of(AreaNumber(1)).ways} == {Means.KEYPAD}
    with_ring = acts_of(shed(tmp_path, remotes=RING)).of(AreaNumber(1))
    assert [(way.means, way.user) for way in with_ring.ways] == [(Means.KEYPAD, 1), (Means.REMOTE, 0)]
    assert with_ring.ways[1].modes == {Mode.STAY}


def test_a_failing_timeline_is_done_by_somebody_who_may(tmp_path: Path) -> None:
    site = shed(tmp_path, people="people: {Ann: {role: owner, may: [yard]}, Ben: {role: guest, may: [shed]}}",
                more="  - never: door causes siren\n")  # fmt: skip
    failed = [each for each in verdicts(site, "must") if each.settled.result is VerdictKind.FAILS]
    arms = [event for event in events_of(failed) if isinstance(event, Arm)]
    assert [(event.means, event.user) for event in arms] == [(Means.KEYPAD, 2)]


def test_what_nobody_can_set_holds_only_because_nobody_can(tmp_path: Path) -> None:
    site = shed(tmp_path, people="people: {Ben: {role: guest, may: [shed]}}")
    hatch = [each for each in verdicts(site, "opening") if each.promise.zones == (2,)]
    assert {each.settled.result for each in hatch} == {VerdictKind.EMPTY}
    assert all("nobody on this site can have area 2 armed" in each.settled.why for each in hatch)
    assert {each.settled.result for each in verdicts(site, "opening") if each.promise.zones == (1,)} == {
        VerdictKind.HOLDS
    }


@pytest.mark.parametrize("kind", ["disarm", "opening", "route", "leaving", "abort", "cancel"])
def test_on_a_site_without_people_what_is_about_codes_never_comes(kind: str, tmp_path: Path) -> None:
    site = shed(tmp_path, people="")
    found = verdicts(site, kind)
    assert found
    assert {each.settled.result for each in found} == {VerdictKind.EMPTY}


def test_where_the_means_makes_no_difference_the_keypad_stands_for_all(tmp_path: Path) -> None:
    setup = setup_at(shed(tmp_path, remotes=RING))
    assert setup.settings.asks_for_keypad
    both = [act.means for act in arming(setup, AreaNumber(1)) if act.mode is Mode.STAY]
    assert both == [Means.KEYPAD, Means.REMOTE]
    plain = with_settings(setup, unvacated_stay=False, completing_act=False)
    assert {act.means for act in arming(plain, AreaNumber(1))} == {Means.KEYPAD}


@pytest.mark.deep
@pytest.mark.parametrize("name", ["larkfield.yaml", "bakery.yaml", "rowan.yaml", "larkfield-wrong.yaml"])
def test_every_timeline_of_a_demo_is_of_acts_that_its_site_has(name: str) -> None:
    site = open_site(FILES / name)
    setup = setup_at(site)
    acts = acts_of(site)
    for each in prove(setup, asked_of(site, setup, Window())):
        for entry in each.settled.timeline:
            match entry.event:
                case Arm(area, mode, user, means):
                    ways = acts.of(area).ways
                    assert any((way.means, way.user) == (means, user) and mode in way.modes for way in ways)
                case Bypass(number, user):
                    shared = setup.zone(number)
                    assert shared is not None
                    assert all(user in acts.of(area).coded for area in shared.areas)
                case _:
                    pass
            assert all(not isinstance(out, Message) or out.user in (None, *site.users) for out in entry.outputs)


def test_on_a_route_nothing_else_may_happen_and_it_says_so() -> None:
    route = ZoneRoute("home", DOOR, (), 20)
    in_time = next(each for each in promises(COTTAGE, (route,)) if each.aspect == "route home in time")
    assert Proviso.ALONE in in_time.provisos
    assert Proviso.IN_USE in in_time.provisos  # by a bypassed door nobody's entry time begins

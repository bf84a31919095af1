"""What the owner may say: of areas, people and troubles; and never means every cause."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.behaviour.house import CP01, house, zone
from zonewright.behaviour.acts import with_acts
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, Bypass, Message, Panic, Trouble, TroubleBegins, ZoneOpens
from zonewright.behaviour.setup import AreaNumber, UserNumber, ZoneSetup, setup_of
from zonewright.checks.check import check
from zonewright.panel.behaviours import Mode
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Item, Value
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import WantedByOwner, Window
from zonewright.proof.promises.to_owner import BESIDES_ARMING, of_owner
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.must import Statement, WantedEffect
from zonewright.site.names import NamedCause
from zonewright.site.record import ZoneNumber

HOLDS, FAILS, EMPTY = VerdictKind.HOLDS, VerdictKind.FAILS, VerdictKind.EMPTY
SITE = """
site: Vet
panel: marlow
station: {account: "1234"}
settings: {exit time: 60 s, entry time: 30 s, abort window: 30 s, supervision window: 4 h}
areas: {surgery: {}, flat: {}}
keypads: {keypad: {area: surgery}}
devices:
  store:
    kind: contact
    number: {printed: 60 31 18, learnt: "603118"}
    zone: {number: 1, area: surgery, behaviour: perimeter, called: store door, supervise: yes}
  gate:
    kind: contact
    number: {printed: 60 31 42, learnt: "603142"}
    zone: {number: 2, area: flat, behaviour: notice, called: gate, report: nothing, supervise: no}
  stairs:
    kind: contact
    number: {printed: 60 34 42, learnt: "603442"}
    zone: {number: 3, area: [surgery, flat], behaviour: perimeter, called: stairs, supervise: yes}
people:
  Ann: {role: owner}
  cleaner: {role: guest, may: [surgery]}
must:
"""


def site_with(folder: Path, *statements: str) -> Resolved:
    file = folder / "vet.yaml"
    file.write_text(SITE + "".join(f"  - {each}\n" for each in statements), encoding="utf-8")
    return open_site(file)


def settled(folder: Path, statement: str) -> list[Verdict]:
    site = site_with(folder, statement)
    setup = with_acts(setup_of(site.programme, site.profile), site)
    return list(prove(setup, [each for each in asked_of(site, setup, Window()) if each.kind == "must"]))


def broken_for_check(folder: Path, statement: str) -> bool:
    return any(each.code == "MUST-01" for each in check(site_with(folder, statement)).findings)


@pytest.mark.parametrize(
    ("statement", "wanted"),
    [
        ("never: store causes tamper message", FAILS),
        ("never: store causes tamper message while off", FAILS),
        ("never: store causes trouble message", FAILS),
        ("never: store causes low battery message", FAILS),
        ("never: store causes missing message while away", FAILS),
        ("never: gate causes any message", HOLDS),
        ("never: gate causes message", HOLDS),
        ("never: gate causes trouble message", HOLDS),
        ("never: store causes fire message", HOLDS),
    ],
)
def test_never_a_message_means_whatever_the_device_tells(statement: str, wanted: VerdictKind, tmp_path: Path) -> None:
    assert [each.settled.result for each in settled(tmp_path, statement)] == [wanted]
    assert broken_for_check(tmp_path, statement) == (wanted is FAILS)


@pytest.mark.parametrize(
    ("statement", "wanted"),
    [
        ("never: stairs causes siren while surgery disarmed", HOLDS),
        ("never: stairs causes siren while flat armed", FAILS),
        ("never: store causes siren while surgery armed away", FAILS),
        ("never: store causes siren while flat disarmed", FAILS),
        ("never: store causes siren while flat armed night", FAILS),
        ("always: store causes siren while surgery armed", HOLDS),
        ("always: store causes siren while flat armed", FAILS),
        ("never: gate causes siren while flat away", HOLDS),
    ],
)
def test_a_statement_may_name_the_area_whose_mode_it_means(statement: str, wanted: VerdictKind, tmp_path: Path) -> None:
    assert [each.settled.result for each in settled(tmp_path, statement)] == [wanted]


@pytest.mark.parametrize(
    ("statement", "wanted"),
    [
        ("never: store cover off causes siren", FAILS),
        ("never: store cover off causes siren while off", HOLDS),
        ("always: store cover off causes message", HOLDS),
        ("always: store cover off causes siren", FAILS),
        ("always: store cover off causes siren while armed", HOLDS),
        ("always: store battery low causes trouble message", HOLDS),
        ("always: store battery low causes siren", FAILS),
        ("always: store missing causes missing message within 5 s", FAILS),
        ("always: store missing causes missing message within 24 h", HOLDS),
        ("always: gate missing causes message", EMPTY),
        ("never: gate cover off causes message", HOLDS),
        ("never: gate cover off causes any sound", FAILS),
    ],
)
def test_a_statement_may_be_about_a_trouble(statement: str, wanted: VerdictKind, tmp_path: Path) -> None:
    assert [each.settled.result for each in settled(tmp_path, statement)] == [wanted]


def test_a_cover_that_sounds_the_siren_is_shown_by_its_timeline(tmp_path: Path) -> None:
    (found,) = settled(tmp_path, "never: store cover off causes siren")
    assert TroubleBegins(ZoneNumber(1), Trouble.TAMPER) in [entry.event for entry in found.settled.timeline]


@pytest.mark.parametrize(
    ("statement", "wanted", "kind"),
    [
        ("never: cleaner causes bypass message", FAILS, Bypass),
        ("never: cleaner causes panic message", FAILS, Panic),
        ("never: cleaner causes siren", FAILS, Panic),
        ("never: cleaner causes duress message", HOLDS, None),
    ],
)
def test_a_statement_may_be_about_a_person(
    statement: str, wanted: VerdictKind, kind: type | None, tmp_path: Path
) -> None:
    """Of the cleaner, who may set the surgery alone, nothing is asked in the flat."""
    (found,) = settled(tmp_path, statement)
    assert found.settled.result is wanted
    if kind is not None:
        last = found.settled.timeline[-1].event
        assert isinstance(last, kind)
        assert getattr(last, "user", None) == 2


def test_a_person_stands_after_never_alone(tmp_path: Path) -> None:
    with pytest.raises(Exception, match="a person can only be written after never"):
        site_with(tmp_path, "always: cleaner causes message")


@pytest.mark.parametrize(("within", "wanted"), [(29, FAILS), (30, HOLDS), (31, HOLDS)])
def test_within_has_its_last_second_in_it_for_proofs_and_for_check(
    within: int, wanted: VerdictKind, tmp_path: Path
) -> None:
    statement = f"always: store causes message while armed within {within} s"  # its abort window takes 30 s
    assert [each.settled.result for each in settled(tmp_path, statement)] == [wanted]
    assert broken_for_check(tmp_path, statement) == (wanted is FAILS)


def test_a_statement_about_a_cover_says_that_it_was_on(tmp_path: Path) -> None:
    (found,) = settled(tmp_path, "always: store cover off causes siren while armed")
    assert found.settled.result is HOLDS
    assert "it was on before" in found.promise.sentence


TWO_INPUTS = """  box:
    kind: contact with a second input
    number: {printed: 60 34 88}
    inputs:
      reed: {zone: 4, area: flat, behaviour: 24-hour-silent, called: safe}
      wire: {zone: 5, area: flat, behaviour: 24-hour-audible, called: drawer}
people:
"""


@pytest.mark.parametrize("device", ["box", "box reed", "box wire"])
def test_a_cover_is_that_of_all_zones_of_its_device(device: str, tmp_path: Path) -> None:
    file = tmp_path / "vet.yaml"
    text = SITE.replace("people:\n", TWO_INPUTS)
    file.write_text(f"{text}  - never: {device} cover off causes siren\n", encoding="utf-8")
    site = open_site(file)
    setup = with_acts(setup_of(site.programme, site.profile), site)
    asked = [each for each in asked_of(site, setup, Window()) if each.kind == "must"]
    found = {each.promise.zones: each.settled.result for each in prove(setup, asked)}
    assert found == {(ZoneNumber(4),): HOLDS, (ZoneNumber(5),): FAILS}
    assert all("'s share" in each.says for each in asked)


@pytest.mark.parametrize("effect", ["message", "environment message"])
def test_that_somebody_bypasses_a_device_is_none_of_its_messages(effect: str, tmp_path: Path) -> None:
    """Whoever bypasses the tank before the water has lasted keeps it from being told."""
    tank = """  tank:
    kind: water
    number: {printed: 60 44 18, learnt: "604418"}
    zone: {number: 4, area: surgery, behaviour: environment, called: tank}
people:"""
    file = tmp_path / "vet.yaml"
    text = SITE.replace("people:", tank) + f"  - always: tank causes {effect} within 30 s\n"
    file.write_text(text, encoding="utf-8")
    site = open_site(file)
    setup = with_acts(setup_of(site.programme, site.profile), site)
    slow = replace(setup, settings=replace(setup.settings, environment_wait=20))
    (verdict,) = prove(slow, [each for each in asked_of(site, slow, Window()) if each.kind == "must"])
    assert verdict.settled.result is FAILS
    assert any(isinstance(entry.event, Bypass) for entry in verdict.settled.timeline)


def verdicts_with(folder: Path, setting: str, statement: str) -> list[Verdict]:
    file = folder / "vet.yaml"
    text = SITE.replace("supervision window: 4 h}", f"supervision window: 4 h, {setting}}}")
    file.write_text(f"{text}  - {statement}\n", encoding="utf-8")
    site = open_site(file)
    setup = with_acts(setup_of(site.programme, site.profile), site)
    return list(prove(setup, [each for each in asked_of(site, setup, Window()) if each.kind == "must"]))


def test_arming_over_what_stands_open_bypasses_it_in_somebodys_name(tmp_path: Path) -> None:
    """The stairs are shared with an area that the cleaner's code isn't good for: the cleaner can't bypass them."""
    statement = "never: cleaner causes bypass message"
    (verdict,) = verdicts_with(tmp_path, "forced arming: yes", statement)
    assert verdict.settled.result is FAILS
    assert "in their name" in verdict.settled.why
    file = tmp_path / "vet.yaml"
    setup = setup_of(open_site(file).programme, open_site(file).profile)
    panel = Clockwork(setup)
    surgery, flat = AreaNumber(1), AreaNumber(2)
    panel.give(ZoneOpens(ZoneNumber(3)))
    panel.give(Arm(flat, Mode.AWAY, UserNumber(1)))
    panel.rest()
    entries = [panel.give(Arm(surgery, Mode.AWAY, UserNumber(2))), *panel.rest()]
    sent = [out for entry in entries for out in entry.outputs if isinstance(out, Message)]
    assert any((out.name, out.user) == ("zone bypass", UserNumber(2)) for out in sent)


@pytest.mark.parametrize("kind", ["interor", "xyz", "perimeter alarms"])
def test_a_message_that_no_panel_sends_is_never_said_not_to_go(kind: str, tmp_path: Path) -> None:
    for statement in (f"never: store causes {kind} message", f"never: cleaner causes {kind} message"):
        (verdict,) = settled(tmp_path, statement)
        assert verdict.settled.result is VerdictKind.UNDECIDED
        assert f'called "{kind}"' in verdict.settled.why
        codes = {each.code for each in check(site_with(tmp_path, statement)).findings}
        assert "MUST-02" in codes


def test_a_closing_just_before_an_alarm_is_told_in_the_name_of_whoever_armed(tmp_path: Path) -> None:
    site = site_with(tmp_path, "never: cleaner causes recent closing message")
    fixed = {**site.profile.fixed, Item("setting/recent-closing"): Value("yes")}
    site = replace(site, profile=site.profile.model_copy(update={"fixed": fixed}))
    setup = with_acts(setup_of(site.programme, site.profile), site)
    waits = tuple(replace(zone, message_waits=zone.number == 1) for zone in setup.zones)
    setup = replace(setup, zones=waits, settings=replace(setup.settings, recent_closing=True))
    (verdict,) = (
        each for each in prove(setup, asked_of(site, setup, Window())) if "recent closing" in each.promise.says
    )
    assert verdict.settled.result is FAILS
    assert "in their name" in verdict.settled.why


@pytest.mark.parametrize(
    ("statement", "why"),
    [
        ("never: store causes bypass message", 'no device causes the message "zone bypass"; name a person instead'),
        ("never: store causes cancel message", 'no device causes the message "cancel"; name a person instead'),
        ("never: store causes over a fault message", "name a person instead"),
        ("never: store causes mains lost message", "the panel sends it of itself"),
        ("never: cleaner causes restart message", "the panel sends it of itself"),
        ("never: store causes exit message", ""),
        ("never: cleaner causes closing message", 'no message that is called "closing"'),
        ("never: cleaner causes recent closing message", 'no message that is called "recent closing"'),
        ("never: store causes closing by switch message", "this panel sends no message"),
        ("never: store causes auxiliary supply message", "this panel sends no message"),
        ("never: cleaner causes failed to set message", 'no message that is called "failed to set"'),
        (
            "never: cleaner causes perimeter message",
            'no person causes the message "perimeter alarm"; name a device instead',
        ),
        (
            "never: store missing causes tamper message",
            'of a device missing the panel sends "missing" and nothing else',
        ),
        ("never: store battery low causes siren", "no panel sounds a siren of a device battery low"),
        ("never: cleaner causes tamper message", ""),
    ],
)
def test_a_statement_names_a_message_that_its_cause_can_bring_about(statement: str, why: str, tmp_path: Path) -> None:
    """The panel of this site has no switch, tells no opening, and looks for no auxiliary supply."""
    (verdict,) = settled(tmp_path, statement)
    found = [each.says for each in check(site_with(tmp_path, statement)).findings if each.code == "MUST-02"]
    if why:
        assert verdict.settled.result is VerdictKind.UNDECIDED
        assert why in verdict.settled.why
        assert len(found) == 1
        assert why in found[0]
    else:
        assert verdict.settled.result in (HOLDS, FAILS) or verdict.promise.unfollowed
        assert not found


LOCK, WET = zone(1, "arm-switch", "lock"), zone(2, "environment", "wet")


@pytest.mark.parametrize(
    ("effect", "others", "told", "wanted"),
    [
        (WantedEffect("message", "cancel"), (), {}, VerdictKind.UNDECIDED),
        (WantedEffect("message", "bypass"), (), {}, VerdictKind.UNDECIDED),
        (WantedEffect("message", "tamper"), (), {}, FAILS),
        (WantedEffect("message"), (), {"openings": True}, FAILS),
        (WantedEffect("message", "environment"), (WET,), {}, VerdictKind.UNDECIDED),
        (WantedEffect("message", "environment"), (), {}, HOLDS),
        (WantedEffect("message", "cancel"), (), {"told": False}, HOLDS),
        (WantedEffect("message", "recent closing"), (), {"recent_closing": True}, VerdictKind.UNDECIDED),
        (WantedEffect("siren"), (), {}, HOLDS),
        (WantedEffect("siren"), (zone(2, "24-hour-audible", "safe"),), {}, VerdictKind.UNDECIDED),
        (WantedEffect("chime"), (WET,), {}, HOLDS),
    ],
)
def test_what_a_switch_does_besides_arming_is_never_said_not_to_happen(
    effect: WantedEffect, others: tuple[ZoneSetup, ...], told: dict[str, bool], wanted: VerdictKind
) -> None:
    others = tuple(replace(each, behaviour=each.behaviour.model_copy(update={"user_bypass": True})) for each in others)
    setup = house(LOCK, *others, settings=replace(CP01, **told))  # type: ignore[arg-type]  # flags alone
    statement = Statement("never", NamedCause(device="lock"), effect)
    (found,) = prove(setup, of_owner(setup, WantedByOwner(statement, (LOCK.number,)), Window()))
    assert found.settled.result is wanted
    if wanted is VerdictKind.UNDECIDED:
        assert found.settled.why == BESIDES_ARMING

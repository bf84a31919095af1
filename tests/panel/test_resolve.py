"""From a site file to what the panel holds, and what the panel refuses."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.entry.sheets.sheet import replay, whole
from zonewright.panel.legal import why_illegal
from zonewright.panel.profile import ItemRule
from zonewright.panel.profile_file import SHIPPED, profile_of, shipped_profile
from zonewright.panel.programme import Item
from zonewright.panel.resolve import Resolved, resolve
from zonewright.site.model import Site
from zonewright.site.reading import read_as

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"
TEXT = DEMO.read_text(encoding="utf-8")


def resolved(text: str) -> Resolved:
    read = read_as(Site, text, "larkfield.yaml")
    assert read.record is not None, read.findings
    profile = shipped_profile("tern")
    return resolve(read.record, read.places, profile.usable(), profile.places)


def test_the_demo_house_is_legal() -> None:
    made = resolved(TEXT)
    assert made.findings == ()
    assert why_illegal(made.profile, made.programme) == []


def test_next_free_is_the_lowest_number_that_nobody_has() -> None:
    assert resolved(TEXT).zones[7].device == "side-gate"


def test_a_notice_holds_no_delay_and_tells_no_alarm() -> None:
    gate = resolved(TEXT).programme.fields("zone", 7)
    assert (gate["behaviour"], gate["delay"], gate["tells-alarm"], gate["message-delay"]) == (
        "notice",
        "none",
        "no",
        "none",
    )


@pytest.mark.parametrize("panel", ["tern", "marlow", "quill"])
def test_an_older_name_of_a_behaviour_is_refused_with_its_name_now_at_its_line(panel: str) -> None:
    older = TEXT.replace("behaviour: on-route", "behaviour: interior-follower")
    (found,) = [each for each in on(panel, older).findings if "interior-follower" in each.says]
    line = next(n for n, each in enumerate(older.splitlines(), start=1) if "interior-follower" in each)
    assert found.place is not None
    assert found.place.line == line
    assert found.says == 'the behaviour "interior-follower" is now called on-route'
    assert found.nearest == "on-route"


def test_a_light_is_held_by_its_number_and_0_where_a_zone_has_none() -> None:
    held = resolved(TEXT).programme
    assert (held.fields("zone", 1)["light"], held.fields("zone", 3)["light"]) == ("1", "0")


def test_a_light_past_the_last_one_and_lights_on_a_panel_without_any_are_refused() -> None:
    (past,) = resolved(TEXT.replace("light: 4", "light: 13")).findings
    assert (past.code, past.says.partition(" (")[0]) == ("PAN-16", "light can't be 13: it is 0 to 12")
    says = "this panel has no lights that show which zone is open"
    assert [each.says.partition(" (")[0] for each in on("quill", TEXT).findings].count(says) == 4
    assert says not in str(on("quill", TEXT.replace(", light: 4", ", light: 0")).findings[-1])


def test_a_panel_that_asks_whether_a_device_was_used_before_is_told() -> None:
    text = (SHIPPED / "tern.yaml").read_text(encoding="utf-8")
    asked = "  used: {says: Used before, ask: zone/*/used-before, then: place, back: previous}"
    for before, after in (
        ("  zone/*/place: {", "  zone/*/used-before: {how: yes or no}\n  zone/*/place: {"),
        ("then: place, back: previous}", f"then: used, back: previous}}\n{asked}"),
    ):
        assert text.count(before) == 1
        text = text.replace(before, after)
    profile, read = profile_of(text, "own.yaml"), read_as(Site, TEXT, "larkfield.yaml")
    assert read.record is not None
    held = resolve(read.record, read.places, profile.usable(), profile.places).programme
    assert [held.fields("zone", zone)["used-before"] for zone in (3, 4)] == ["no", "yes"]


REMOTE = """remotes:
  key ring: {number: {printed: 770 1820}, carried by: Ida, area: house, second button: panic}
people:"""


def on(panel: str, text: str) -> Resolved:
    """Return the house on another panel, with the labels that it has."""
    read = read_as(Site, text.replace("panel: tern", f"panel: {panel}"), "larkfield.yaml")
    assert read.record is not None, read.findings
    profile = shipped_profile(panel)
    return resolve(read.record, read.places, profile.usable(), profile.places)


def test_a_remote_is_held_with_its_number_its_areas_and_its_buttons() -> None:
    held = on("quill", TEXT.replace("people:", REMOTE)).programme.fields("remote", 1)
    assert held == {"number": "701820", "area": "1", "first-button": "arm away", "second-button": "panic"}


def test_a_remote_is_refused_by_a_panel_that_has_none_and_with_a_number_that_can_t_be() -> None:
    assert [found.code for found in resolved(TEXT.replace("people:", REMOTE)).findings] == ["PAN-17"]
    wrong = on("quill", TEXT.replace("people:", REMOTE.replace("770 1820", "77O 182"))).findings
    assert [
        (found.code, found.place.line if found.place else 0) for found in wrong if found.thing == "remote key ring"
    ] == [("PAN-12", TEXT[: TEXT.index("people:")].count("\n") + 2)]


def test_a_button_that_the_panel_does_not_know_is_refused_with_the_nearest() -> None:
    found = on("quill", TEXT.replace("people:", REMOTE.replace("panic", "arm awy"))).findings
    (wrong,) = [each for each in found if each.thing == "remote key ring"]
    assert (wrong.code, wrong.nearest) == ("PAN-16", "arm away")


@pytest.mark.parametrize(
    ("field", "feature"), [("confirmed by: hall-movement", "confirmation"), ("verify: yes", "verif")]
)
def test_what_this_panel_can_t_confirm_or_verify_is_refused(field: str, feature: str) -> None:
    found = resolved(TEXT.replace("called: big window,", f"called: big window, {field},")).findings
    assert [(each.code, feature in each.says) for each in found] == [("PAN-08", True)]


def test_nobody_gets_a_duress_slot_by_default() -> None:
    read = read_as(Site, TEXT, "larkfield.yaml")
    tern = shipped_profile("tern")
    items = {**tern.usable().items, Item("user/*/duress"): ItemRule(how="yes or no")}
    profile = tern.usable().model_copy(update={"items": items})
    profile.__dict__.pop("groups", None)  # worked out before, from fewer items
    assert read.record is not None
    assert resolve(read.record, read.places, profile, tern.places).programme.fields("user", 1)["duress"] == "no"


def test_the_kind_says_which_printed_digits_count() -> None:
    assert resolved(TEXT).programme.fields("zone", 7)["number"] == "904827"


def test_two_inputs_of_one_device_share_its_number() -> None:
    programme = resolved(TEXT).programme
    assert programme.fields("zone", 9)["number"] == programme.fields("zone", 10)["number"] == "911203"
    assert programme.fields("zone", 10)["input"] == "wire"


REFUSED = [
    ("PAN-01", "areas: {house: {}, workshop: {}}", "areas: {house: {}, workshop: {}, shed: {}}"),
    ("PAN-03", "exit time: 60 s", "exit tyme: 60 s"),
    ("PAN-04", "supervision window: 12 h", "supervision window: 90 min"),
    ("PAN-06", "zone: 10,", "zone: 241,"),
    ("PAN-09", "kind: water", "kind: watter"),
    ("PAN-10", "      wire: {zone", "      wrie: {zone"),
    ("PAN-11", "    number: {printed: 51 9048 27 C}", "    #"),
    ("PAN-12", "51 9048 27 C", "51 9O48 27 C"),
    ("PAN-12", "51 9048 27 C", "51 9048 2 C"),
    ("PAN-13", "51 9048 27 C", "51 9061 17 C"),
    ("PAN-14", "may: [house], slot: 2", "may: [house], slot: 9"),
    ("PAN-15", "called: side gate,", "called: side gate, delay: entry time,"),
    ("PAN-15", "report: troubles", "report: everything"),
    ("PAN-16", "behaviour: notice", "behaviour: notise"),
    ("PAN-16", "called: side gate", "called: side gatte"),
    ("PAN-16", "exit time: 60 s", "exit time: 62 s"),
    ("PAN-16", 'account: "4021"', 'account: "40217"'),
    ("PAN-16", "room: porch", "room: conservatory"),
    ("PAN-02", "exit time: 60 s", "exit time: 60 s, exit error: no"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "before", "after"), REFUSED, ids=[f"{row[0]} {row[2][:24]}" for row in REFUSED])
def test_what_the_panel_cannot_do_is_refused_with_both_lines(code: str, before: str, after: str) -> None:
    assert before in TEXT
    findings = resolved(TEXT.replace(before, after, 1)).findings
    assert [finding.code for finding in findings] == [code]
    told = f"{findings[0].says} {findings[0].allowed or ''}"
    assert findings[0].place is not None
    assert findings[0].place.file == "larkfield.yaml"
    assert "(profile tern.yaml:" in told


def test_the_nearest_words_of_the_vocabulary_are_named() -> None:
    (finding,) = resolved(TEXT.replace("called: side gate", "called: side gatte", 1)).findings
    assert (finding.nearest or "").startswith("gate")


BAKERY = """
site: Crumb and Crust
panel: PANEL
station: {account: "0417"}
areas: {shop: {}, bakehouse: {}}
loops:
  front: {zone: 1, area: [shop, bakehouse], behaviour: entry-door, called: shop door, resistor: double}
  back: {zone: 2, area: bakehouse, behaviour: perimeter, called: back door, resistor: double, report: everything}
devices:
  till-button:
    kind: button
    number: {printed: "007213"}
    at: {room: counter}
    zone: {number: 9, area: shop, behaviour: holdup, called: till, report: everything}
people: {Odile: {role: owner}, Fenn: {role: user, may: [bakehouse]}}
"""


def baked(panel: str) -> Resolved:
    read = read_as(Site, BAKERY.replace("PANEL", panel), "bakery.yaml")
    assert read.record is not None, read.findings
    profile = shipped_profile(panel)
    return resolve(read.record, read.places, profile.usable(), profile.places)


def test_a_small_shop_with_loops_a_shared_door_and_a_holdup_button_is_legal_on_marlow() -> None:
    made = baked("marlow")
    assert made.findings == ()
    assert why_illegal(made.profile, made.programme) == []
    front, till = made.programme.fields("zone", 1), made.programme.fields("zone", 9)
    assert (front["kind"], front["resistor"], front["number"], front["area"]) == ("wired loop", "double", "none", "1+2")
    assert (till["number"], till["resistor"], till["behaviour"]) == ("007213", "none", "holdup")


def test_the_sheet_of_that_shop_gives_it_back() -> None:
    made = baked("marlow")
    assert dict(replay(whole(made.profile, made.programme)).values) == dict(made.programme.values)


def test_loops_are_refused_by_a_panel_without_wires() -> None:
    assert {finding.code for finding in baked("quill").findings} == {
        "PAN-09",
        "PAN-12",
        "PAN-16",
    }  # no wires, other labels, no hold-up


# What a panel lacks ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("panel", "has_it"), [("marlow", True), ("quill", False), ("tern", False)])
def test_a_duress_slot_is_refused_by_a_panel_without_one(panel: str, has_it: bool) -> None:
    asked = TEXT.replace("Bertil: {role: user,", "Bertil: {role: user, duress: yes,")
    line = 1 + TEXT[: TEXT.index("Bertil: {role")].count("\n")
    found = [each for each in on(panel, asked).findings if each.thing == "person Bertil"]
    assert [(each.code, each.place.line if each.place else 0) for each in found] == (
        [] if has_it else [("PAN-08", line)]
    )
    assert all("call nobody" in each.says and "profile " in each.says for each in found)


LESS = [
    ("user/*/areas", "person Bertil", "which areas"),
    ("user/*/role", "person Gerda", "what a person may do"),
    ("remote/*/area", "remote key ring", "area"),
    ("remote/*/second-button", "remote key ring", "second button"),
    ("station/told", "station", "nobody would be told"),
    ("station/account", "station account", "account number"),
    ("zone/*/chime", "zone 7 side gate", "chime"),
]


@pytest.mark.parametrize(("item", "thing", "says"), LESS, ids=[row[0] for row in LESS])
def test_no_field_of_the_file_is_left_out_in_silence(item: str, thing: str, says: str) -> None:
    """Each time a panel like one that is shipped, but for one item that it hasn't."""
    text = TEXT.replace("people:", REMOTE).replace("  Bertil:", "  Gerda: {role: guest}\n  Bertil:")
    read = read_as(Site, text.replace("panel: tern", "panel: quill"), "larkfield.yaml")
    quill = shipped_profile("quill")
    items = {name: rule for name, rule in quill.usable().items.items() if name != item}
    assert len(items) + 1 == len(quill.usable().items)
    profile = quill.usable().model_copy(update={"items": items})
    profile.__dict__.pop("groups", None)  # worked out before, from more items
    assert read.record is not None
    before = resolve(read.record, read.places, quill.usable(), quill.places).findings
    new = [each for each in resolve(read.record, read.places, profile, quill.places).findings if each not in before]
    assert {each.code for each in new} == {"PAN-08"}
    assert thing in {each.thing for each in new}
    assert all(says in each.says for each in new)


def test_a_zone_that_is_to_confirm_itself_is_refused() -> None:
    asked = TEXT.replace("called: movement,", "called: movement, confirmed by: hall-movement,", 1)
    assert "PAN-18" in [each.code for each in on("marlow", asked).findings]


# One number, two zones ------------------------------------------------------------------------------------------------

GATE = """    kind: wide-gap contact
    number: {printed: 51 9048 27 C}"""
GATES_ZONE = "    zone: {number: next free, area: house, behaviour: notice,"
WORKSHOP = "51 9112 03 A"  # whose reed is zone 9, and whose wire is zone 10
CLASHES = [
    ("wide-gap contact", "", 2),  # it names no input: the panel can tell it from neither of the two
    ("contact with a second input", "reed", 1),
    ("contact with a second input", "wire", 1),
]


@pytest.mark.parametrize(("kind", "by", "clashes"), CLASHES, ids=[f"{kind} {by}" for kind, by, _ in CLASHES])
def test_a_number_that_another_zone_has_learnt_is_refused_with_that_zone(kind: str, by: str, clashes: int) -> None:
    """Whichever input of a device with two is learnt a second time, or if one zone names an input and one none."""
    start, end = TEXT.index(GATES_ZONE), TEXT.index("people:")
    one = TEXT[start:end].replace("number: next free", "zone: 7")
    zone = f"    inputs:\n      {by}: {one.strip().removeprefix('zone: ')}\n\n" if by else TEXT[start:end]
    text = TEXT[:start] + zone + TEXT[end:]
    text = text.replace(GATE, f"    kind: {kind}\n    number: {{printed: {WORKSHOP}}}")
    found = [each for each in resolved(text).findings if each.code == "PAN-13"]
    assert [each.thing for each in found] == ["device workshop-door"] * clashes
    assert all("its number 911203 is that of side-gate (zone 7)" in each.says for each in found)


def test_of_three_zones_with_one_number_each_later_one_is_refused_with_the_first() -> None:
    text = TEXT.replace("51 9048 27 C", "51 9061 17 C").replace("51 9047 66 E", "51 9061 17 C")
    says = [each.says for each in resolved(text.replace('learnt: "904766"', 'learnt: "906117"')).findings]
    assert len(says) == 2
    assert len({each[each.index("is that of") :] for each in says}) == 1

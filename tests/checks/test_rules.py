# ruff: noqa: E501 - an edit is read best beside what it replaces
"""Each rule on one site that breaks it and on one near miss that it must pass in silence."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from zonewright.behaviour.setup import setup_of
from zonewright.checks.check import Judged, check, rules
from zonewright.checks.job import Design
from zonewright.checks.times import nothing_completes_setting
from zonewright.panel.behaviours import SHIPPED as SHIPPED_BEHAVIOURS
from zonewright.panel.profile import Profile
from zonewright.panel.reading import SHIPPED, profile_of, shipped_profile
from zonewright.panel.resolve import Resolved, resolve
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.edits import edited as edited_at
from zonewright.site.plan import read_plan_text
from zonewright.site.reading import Read
from zonewright.site.sitefile import read_site_text

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"
TEXT = DEMO.read_text(encoding="utf-8")
Edit = tuple[str, str]

# code -> (edits that break the rule, edits that nearly do)
EXAMPLES: dict[str, tuple[list[Edit], list[Edit]]] = {
    "NUM-01": ([('learnt: "904731"', 'learnt: "904781"')], []),
    "NUM-02": ([('51 9048 27 C', '51 9047 66 C'), ('{printed: 51 9047 66 E, learnt: "904766"}', '{printed: 51 9047 68 E}')],
               [('51 9048 27 C', '51 9047 60 C'), ('{printed: 51 9047 66 E, learnt: "904766"}', '{printed: 51 9047 62 E}')]),
    "NUM-03": ([], [("number: next free", "number: 7")]),
    "NUM-04": ([("    fitted: 2023-06-02\n", "")], [("    fitted: 2023-06-02\n    used before: yes\n", "")]),
    "LAB-01": ([("called: big window", "called: small window"), ("room: lounge}\n    guards: the bay", "room: kitchen}\n    guards: the bay")],
               [("called: big window", "called: small window")]),
    "LAB-02": ([("called: side gate", "called: outer side gate")], [("called: side gate", "called: left side gate")]),
    "DEL-01": ([("entry time: 30 s", "entry time: 35 s")], [("entry time: 30 s", "entry time: 30 s"), ("delay: second entry time", "delay: entry time")]),
    "DEL-02": ([("exit time: 60 s", "exit time: 40 s")], [("exit time: 60 s", "exit time: 45 s")]),
    "DEL-03": ([("exit time: 60 s", "exit time: 55 s")], [("exit time: 60 s", "exit time: 60 s")]),
    "DEL-04": ([("abort window: 30 s", "abort window: 0 s")], [("abort window: 30 s", "abort window: 15 s")]),
    "DEL-05": ([("called: small window,", "called: small window, message delay: none,")], [("called: small window,", "called: small window, message delay: abort window,")]),
    "DEL-06": ([("abort window: 30 s", "abort window: 30 s, siren time: 3 min")], [("abort window: 30 s", "abort window: 30 s, siren time: 4 min")]),
    "DEL-13": ([("to: hall-keypad}", "to: hall-keypad, takes: 30 s}")], [("to: hall-keypad}", "to: hall-keypad, takes: 29 s}")]),
    "ARM-01": ([("abort window: 30 s", "abort window: 30 s, forced arming: yes")], [("abort window: 30 s", "abort window: 30 s, forced arming: no")]),
    "ARM-02": ([("abort window: 30 s", "abort window: 30 s, unvacated stay: no")],
               [("abort window: 30 s", "abort window: 30 s, unvacated stay: no"), ("behaviour: on-route", "behaviour: notice"), ("behaviour: interior,", "behaviour: notice,"), *[("called: movement, report: everything", "called: movement, chime: two notes, report: troubles")] * 2]),
    "ARM-03": ([("abort window: 30 s", "abort window: 30 s, exit restart: no")], [("abort window: 30 s", "abort window: 30 s, exit restart: yes")]),
    "ARM-04": ([("abort window: 30 s", "abort window: 30 s, swinger limit: 1")], [("abort window: 30 s", "abort window: 30 s, swinger limit: 3")]),
    "BEH-01": ([("chime: two notes, report: troubles", "report: troubles")], [("chime: two notes, report: troubles", "chime: spoken, report: troubles")]),
    "BEH-02": ([("behaviour: entry-door, called: door, chime: two notes, report: everything,\n             supervise: yes, delay: second entry time", "behaviour: perimeter, called: door, report: everything, supervise: yes")],
               [("behaviour: entry-door, called: back door", "behaviour: perimeter, called: back door"), ("chime: two notes, report: everything,\n           supervise: yes, delay: entry time, light: 2}\n  kitchen", "report: everything, supervise: yes}\n  kitchen")]),
    "BEH-03": ([("behaviour: on-route", "behaviour: interior")], [("through: [hall-movement]", "through: []"), ("behaviour: on-route", "behaviour: interior")]),
    "BEH-04": ([("area: house, behaviour: on-route", "area: workshop, behaviour: on-route"), ("behaviour: entry-door, called: door, chime: two notes, report: everything,\n             supervise: yes, delay: second entry time", "behaviour: perimeter, called: door, report: everything, supervise: yes")],
               [("area: house, behaviour: on-route", "area: workshop, behaviour: on-route")]),
    "BEH-05": ([("behaviour: interior,", "behaviour: perimeter,")], [("behaviour: interior,", "behaviour: on-route,")]),
    "BEH-06": ([("behaviour: entry-door, called: door, chime: two notes, report: everything,\n             supervise: yes, delay: second entry time", "behaviour: interior, called: door, report: everything, supervise: yes"), ("behaviour: perimeter, called: window", "behaviour: interior, called: window")],
               [("behaviour: perimeter, called: window", "behaviour: interior, called: window")]),
    "LAB-03": ([("called: big window", "called: big movement")], [("called: big window", "called: big glass")]),
    "LAB-05": ([("light: 3", "light: 1")], [("light: 2", "light: 1")]),
    "LAB-04": ([("called: side gate,", "called: side gate, place: lane,")], [("called: side gate,", "called: side gate, place: porch,")]),
    "ARM-05": ([("abort window: 30 s", "abort window: 30 s, completing act: yes")], [("abort window: 30 s", "abort window: 30 s, completing act: no")]),
    "ARM-06": ([("behaviour: perimeter, called: window", "behaviour: interior, called: window")],
               [("behaviour: perimeter, called: window", "behaviour: interior, called: window"), ("room: hall}, area: house}}", "room: hall}, area: [house, workshop]}}")]),
    "CNF-02": ([("behaviour: interior,", "behaviour: notice,"), ("called: movement, report: everything", "called: movement, chime: two notes, report: troubles"), ("called: movement, report: everything", "called: movement, chime: two notes, report: troubles")], []),
    "CNF-01": ([], [("behaviour: interior,", "behaviour: notice,"), ("called: movement, report: everything", "called: movement, chime: two notes, report: troubles"), ("called: movement, report: everything", "called: movement, chime: two notes, report: troubles")]),
    "NUM-05": ([("fitted: 2023-06-02", "fitted: 2021-06-02")], [("fitted: 2023-06-02", "fitted: 2021-12-02")]),
    "DEL-07": ([("second entry time: 60 s", "second entry time: 30 s")], [("second entry time: 60 s", "second entry time: 35 s")]),
    "DEL-08": ([("abort window: 30 s", "abort window: 10 s")], [("abort window: 30 s", "abort window: 15 s")]),
    "DEL-09": ([("entry time: 30 s", "entry time: 25 s")], [("entry time: 30 s", "entry time: 30 s")]),
    "DEL-10": ([("abort window: 30 s", "abort window: 30 s, cancel window: 4 min")], [("abort window: 30 s", "abort window: 30 s, cancel window: 5 min")]),
    "DEL-11": ([("abort window: 30 s", "abort window: 30 s, siren time: 16 min")], [("abort window: 30 s", "abort window: 30 s, siren time: 15 min")]),
    "ARE-01": ([("areas: {house: {}, workshop: {}}", "areas: {house: {}, workshop: {}, shed: {}}"), *[("may: [house, workshop]", "may: [house, workshop]")]], [("areas: {house: {}, workshop: {}}", "areas: {house: {}, workshop: {number: 2}}")]),
    "KIND-01": ([("behaviour: environment", "behaviour: 24-hour-audible")], [("behaviour: environment", "behaviour: environment")]),
    "DEL-12": ([("exit time: 60 s", "exit time: 130 s")], [("exit time: 60 s", "exit time: 125 s")]),
    "PWR-04": ([("standard: household burglary", "standard: grade 3 told"), ('station: {account: "4021", by: dc-09, telephone: 555-0170}\n', "")], [("standard: household burglary", "standard: grade 3 told")]),
    "BEH-08": ([("behaviour: perimeter, called: small window", "behaviour: interior, called: small window")], [("behaviour: perimeter, called: small window", "behaviour: entry-door, called: small window")]),
    "BEH-09": ([("behaviour: interior,", "behaviour: entry-door,")], [("behaviour: interior,", "behaviour: perimeter,")]),
    "BEH-10": ([("behaviour: perimeter, called: small window", "behaviour: 24-hour-audible, called: small window")], [("behaviour: perimeter, called: small window", "behaviour: 24-hour-silent, called: small window")]),
    "BEH-11": ([("kind: wide-gap contact", "kind: button"), ("behaviour: notice, called: side gate, chime: two notes, report: troubles", "behaviour: perimeter, called: side gate, report: everything")], [("kind: wide-gap contact", "kind: button")]),
    "CHI-01": ([("called: movement, report: everything", "called: movement, chime: spoken, report: everything")], [("called: movement, report: everything", "called: movement, chime: none, report: everything")]),
    "REP-04": ([("behaviour: perimeter, called: small window, report: everything", "behaviour: 24-hour-silent, called: small window, report: troubles")], [("behaviour: perimeter, called: small window, report: everything", "behaviour: 24-hour-silent, called: small window, report: alarms")]),
    "REP-06": ([("    siren: {standby: 5 mA, alarm: 450 mA}\n", "")], [("    siren: {", "    outside sounder: {")]),
    "REP-05": ([('account: "4021"', 'account: "1234"')], [('account: "4021"', 'account: "1243"')]),
    "SUP-04": ([("supervision window: 12 h", "supervision window: 36 h")], [("supervision window: 12 h", "supervision window: 24 h")]),
    "SUP-05": ([("behaviour: perimeter, called: window, report: everything, supervise: yes", "behaviour: perimeter, called: window, report: everything, supervise: no")], [("called: small window, report: everything, supervise: yes", "called: small window, report: everything, supervise: no")]),
    "NUM-06": ([("may: [house], slot: 2}", "may: [house]}")], [("people:\n  Ida: {role: owner, may: [house, workshop], slot: 1}\n  Bertil: {role: user, may: [house], slot: 2}\n", "people:\n  Ida: {role: owner}\n")]),
    "PPL-03": ([("  Bertil: {role: user, may: [house], slot: 2}\n", "")], [("Bertil: {role: user, may: [house], slot: 2}", "Bertil: {role: guest}")]),
    "PPL-04": ([("people:\n  Ida: {role: owner, may: [house, workshop], slot: 1}\n  Bertil: {role: user, may: [house], slot: 2}\n", "")], [("  Bertil: {role: user, may: [house], slot: 2}\n", "")]),
    "PWR-01": ([("battery: 2.3 Ah", "battery: 1.2 Ah")], [("battery: 2.3 Ah", "battery: 2.1 Ah")]),
    "PWR-02": ([("standard: household burglary", "standard: household burglery")], [("standard: household burglary", "standard: grade 1")]),
    "PWR-03": ([(", alarm: 260 mA", ""), (", alarm: 90 mA", ""), (", alarm: 450 mA", "")], [(", alarm: 260 mA", ""), (", alarm: 90 mA", "")]),
    "MUST-01": ([("never: side-gate causes siren", "always: side-gate causes message")], [("never: side-gate causes siren", "always: side-gate causes chime within 1 s")]),
    "MUST-02": ([("never: side-gate causes siren", "never: side-gate causes perimiter message")], [("never: side-gate causes siren", "never: side-gate causes perimeter message")]),
    "REP-01": ([("called: small window, report: everything", "called: small window, report: troubles")], [("called: small window, report: everything", "called: small window, report: alarms")]),
    "REP-02": ([('station: {account: "4021", by: dc-09, telephone: 555-0170}\n', "")],
               [('station: {account: "4021", by: dc-09, telephone: 555-0170}\n', ""), *[(", report: everything", "")] * 9, (", report: troubles", ", report: nothing")]),
    "REP-03": ([("abort window: 30 s", "abort window: 30 s, restores: no")], [("abort window: 30 s", "abort window: 30 s, restores: yes")]),
    "SUP-01": ([("called: small window, report: everything, supervise: yes", "called: small window, report: everything, supervise: no")],
               [("chime: two notes, report: troubles,\n           supervise: yes", "chime: two notes, report: troubles,\n           supervise: no")]),
    "SUP-02": ([("kind: wide-gap contact", "kind: button")], [("kind: wide-gap contact", "kind: button"), ("report: troubles,\n           supervise: yes", "report: troubles,\n           supervise: no")]),
    "SUP-03": ([("report: troubles", "report: nothing")], [("report: troubles,\n           supervise: yes", "report: nothing,\n           supervise: no")]),
    "PPL-01": ([("Ida: {role: owner", "Ida: {role: user")], [("Bertil: {role: user", "Bertil: {role: guest")]),
    "PPL-02": ([("may: [house, workshop]", "may: [house]")], [("Bertil: {role: user, may: [house]", "Bertil: {role: user, may: [workshop]")]),
}  # fmt: skip

# The same of other demos, which have what the first one lacks: code -> demo, edits of the site file or of its plan.
ELSEWHERE: dict[str, tuple[str, list[Edit], list[Edit]]] = {
    "KIND-02": ("larkfield", [], [("behaviour: notice, called: side gate", "behaviour: environment, called: side gate")]),
    "AGE-01": ("rowan", [("{printed: 414 2216}\n    fitted: 2026-11-25", "{printed: 414 2216}\n    fitted: 2016-11-01")],
               [("{printed: 414 2216}\n    fitted: 2026-11-25", "{printed: 414 2216}\n    fitted: 2016-12-20")]),
    "AGE-02": ("rowan", [("{printed: 415 0360}\n", "{printed: 415 0360}\n    used before: yes\n")], [("{printed: 415 0360}\n", "{printed: 415 0360}\n    used before: no\n")]),
    "BTN-01": ("bakery", [("rule: BTN-01, for: till-button", "rule: BEH-10, for: till-button")], [("behaviour: holdup", "behaviour: 24-hour-audible")]),
    "KIND-03": ("bakery", [("devices: [roof-light-reed, yard-window-reed]", "devices: [roof-light-reed]"), ("devices: [oven-gas-head]", "devices: [oven-gas-head, yard-window-reed]")], []),
    "KIND-04": ("bakery", [("kind: button", "kind: contact")], []),
    "BTN-02": ("rowan", [("number: {printed: 418 0252}", "number: {printed: 418 0245}")], []),
    "PPL-06": ("rowan", [("Tomas: {role: user, may: [house, garage], ", "Tomas: {role: user, may: [house], ")],
               [("Tomas: {role: user, may: [house, garage], ", "Tomas: {role: user, may: [house], "), ("area: [house, garage]\n    first button", "area: house\n    first button")]),
    "PPL-07": ("bakery", [("Pia: {role: owner, ", "Pia: {role: owner, duress: yes, ")], [("Lena: {role: user, ", "Lena: {role: user, duress: yes, ")]),
    "PPL-05": ("bakery", [("Lena: {role: user, may: [shop], ", "Lena: {role: user, may: [shop], duress: yes, "), ("Pia: {role: owner, may: [shop, bakehouse], ", "Pia: {role: owner, may: [bakehouse], "), ("cleaner: {role: guest, may: [shop, bakehouse], ", "cleaner: {role: guest, may: [bakehouse], ")],
               [("Lena: {role: user, may: [shop], ", "Lena: {role: user, may: [shop], duress: yes, ")]),
    "BEH-12": ("bakery", [("rule: BEH-12, for: hall", "rule: BEH-10, for: hall")], [("area: [shop, bakehouse], behaviour: interior", "area: shop, behaviour: interior")]),
    "LOOP-01": ("bakery", [("resistor: single", "resistor: none")], []),
    "PAIR-01": ("bakery", [("called: shop floor}", "called: shop floor, confirmed by: hall}"), ("hall-eye: {kind: movement, at: {storey: ground, room: hall", "hall-eye: {kind: movement, at: {storey: ground, room: shop")],
                [("called: shop floor}", "called: shop floor, confirmed by: hall}")]),
    "ROUTE-01": ("bakery", [("through: [shop-movement]", "through: []")], []),
    "PLAN-02": ("bakery", [("at: {storey: ground, room: bakehouse, height: 5 ft}", "at: {storey: ground, room: bakehuose, height: 5 ft}")], []),
    "PLAN-03": ("bakery", [("at: {storey: ground, room: bakehouse, height: 5 ft}", "at: {storey: ground, room: hall, height: 5 ft}")], [("oven-co: [1.6, 33]", "oven-co: [1.6, 27]")]),
    "PLAN-04": ("bakery", [("roof-light-reed: [12, 41]", "roof-light-reed: [12, 36]")], [("roof-light-reed: [12, 41]", "roof-light-reed: [12, 40]")]),
    "PLAN-05": ("bakery", [("- {kind: window, at: [24, 40], wide: 4}", "- {kind: window, at: [24, 40], wide: 4}\n      - {kind: window, at: [38, 32], wide: 2}")],
                [("- {kind: window, at: [24, 40], wide: 4}", "- {kind: window, at: [24, 40], wide: 4}\n      - {kind: window, at: [38, 22], wide: 2}")]),
}  # fmt: skip

# What Tern can't be set to, a panel like it can: its own limits wider for these rules.
WIDER: dict[str, Edit] = {
    "KIND-02": ("  notice: {}", "  notice: {siren: burglary}"),
    "plays medical": ("environment: {}", "environment: {siren: medical}"),
    "plays burglary": ("environment: {}", "environment: {siren: burglary}"),
    "ARM-05": ("forced-arming", "completing-act"),
    "CNF-02": ("setting/warm-up: 60 s", 'setting/warm-up: 60 s\n  setting/cross-window: 60 s\n  zone/5/crosses: "6"'),
    "CNF-01": ("setting/warm-up: 60 s", 'setting/warm-up: 60 s\n  setting/cross-window: 60 s\n  zone/5/crosses: "6"'),
    "DEL-10": ("width: 2, from: 5, to: 60, step: 5, unit: min", "width: 2, from: 1, to: 60, unit: min"),
    "DEL-11": ("from: 1, to: 15, unit: min", "from: 1, to: 30, unit: min"),
    "SUP-04": ('"24": 24 hours', '"24": 24 hours, "36": 36 hours'),
    "ARE-01": ('choices: {"1": first, "2": second, "1+2": both}', 'choices: {"1": first, "2": second, "1+2": both, "3": third}'),
}  # fmt: skip


def profile_for(code: str) -> Read[Profile]:
    text = (SHIPPED / "tern.yaml").read_text("utf-8")
    if code not in WIDER:
        return shipped_profile("tern")
    before, after = WIDER[code]
    assert before in text
    return profile_of(text.replace(before, after).replace("areas: 2", "areas: 3"), "tern.yaml")


def edited(edits: list[Edit]) -> str:
    text = re.sub(r"accept:\n(  .*\n)*", "", TEXT)
    for before, after in edits:
        assert before in text, before
        text = text.replace(before, after, 1)
    return text


def judged_elsewhere(code: str, edits: list[Edit], accept: str = "") -> Judged:
    """Judge another demo with its plan, both edited; with these acceptances in place of its own, if there are any."""
    name = ELSEWHERE[code][0]
    site, plan = ((DEMO.parent / f"{name}{end}.yaml").read_text("utf-8") for end in ("", "-plan"))
    for before, after in edits:
        assert before in site + plan, before
        site, plan = site.replace(before, after, 1), plan.replace(before, after, 1)
    site = re.sub(r"^accept:\n(  .*\n)*", "", site, flags=re.MULTILINE) + accept if accept else site
    read = read_site_text(site, f"{name}.yaml").usable()
    profile = shipped_profile(read.panel)
    text = WIDER.get(code)
    if text is not None:
        profile = profile_of((SHIPPED / f"{read.panel}.yaml").read_text("utf-8").replace(*text), "wider.yaml")
    resolved = resolve(read, read_site_text(site, f"{name}.yaml").places, profile.usable(), profile.places)
    assert resolved.findings == (), [finding.says for finding in resolved.findings]
    return check(resolved, read_plan_text(plan, f"{name}-plan.yaml", read).usable())


@pytest.mark.parametrize("code", ELSEWHERE)
def test_the_failing_example_elsewhere_is_found_and_the_near_miss_passes(code: str) -> None:
    _, breaks, passes = ELSEWHERE[code]
    found = [finding for finding in judged_elsewhere(code, breaks).findings if finding.code == code]
    assert found
    assert all(each.says and each.why and each.fix and each.source and each.subject for each in found)
    assert code not in {finding.code for finding in judged_elsewhere(code, passes).findings}


def judged(text: str, code: str = "") -> Judged:
    return check(resolved_of(text, code))


def resolved_of(text: str, code: str = "") -> Resolved:
    read = read_site_text(text, "larkfield.yaml")
    assert read.record is not None, [finding.says for finding in read.findings]
    profile = profile_for(code)
    resolved = resolve(read.record, read.places, profile.usable(), profile.places)
    assert resolved.findings == (), [finding.says for finding in resolved.findings]
    return resolved


def test_every_rule_has_its_examples() -> None:
    assert EXAMPLES.keys() | ELSEWHERE.keys() == rules().keys()


@pytest.mark.parametrize("code", EXAMPLES)
def test_the_failing_example_is_found(code: str) -> None:
    found = [finding for finding in judged(edited(EXAMPLES[code][0]), code).findings if finding.code == code]
    assert found
    for finding in found:
        assert finding.says
        assert finding.why
        assert finding.fix
        assert finding.source
        assert finding.subject


@pytest.mark.parametrize("code", EXAMPLES)
def test_the_near_miss_is_passed_in_silence(code: str) -> None:
    assert code not in {finding.code for finding in judged(edited(EXAMPLES[code][1]), code).findings}


@pytest.mark.parametrize("code", [code for code, rule in rules().items() if re.match("set `[a-z ]+: ", rule.fix)])
def test_writing_what_a_finding_offers_mends_it(code: str) -> None:
    text = edited(EXAMPLES[code][0])
    found = [each for each in judged(text, code).findings if each.code == code]
    offered = {each.mending.path: each.mending.value for each in found if each.mending is not None}
    assert offered
    assert len(offered) == len(found)
    mended = edited_at(text, "larkfield.yaml", offered)
    assert code not in {each.code for each in judged(mended, code).findings}


def test_a_misread_number_is_told_place_by_place() -> None:
    (finding,) = [f for f in judged(edited(EXAMPLES["NUM-01"][0])).findings if f.code == "NUM-01"]
    assert "place 5: printed 3, learnt 8 (they look alike: a misread)" in finding.says


def test_a_last_door_completes_the_setting_of_its_areas_alone() -> None:
    resolved = resolved_of(edited(EXAMPLES["ARM-05"][0]), "ARM-05")
    setup = setup_of(resolved.programme, resolved.profile)
    last = replace(setup.zones[0], behaviour=SHIPPED_BEHAVIOURS["final-door"])
    told = nothing_completes_setting(Design(resolved, replace(setup, zones=(last, *setup.zones[1:]))))
    assert ["area workshop" in doubt.says for doubt in told] == [True]


ACCEPT = "accept:\n  - {rule: %s, for: %s, by: I. Thorne, on: 2026-11-25, because: agreed with the owner}\n"


def test_an_acceptance_takes_one_finding_about_one_thing() -> None:
    made = judged(edited([]) + ACCEPT % ("DEL-01", "workshop-door"))
    assert "DEL-01" not in {finding.code for finding in made.findings}
    assert [(word.finding.code, word.by) for word in made.accepted] == [("DEL-01", "I. Thorne")]


def test_an_acceptance_of_another_thing_takes_nothing() -> None:
    made = judged(edited([]) + ACCEPT % ("DEL-01", "front-door"))
    assert {"DEL-01", "ACC-02"} <= {finding.code for finding in made.findings}


def test_an_acceptance_of_no_rule_names_the_nearest() -> None:
    (finding,) = [f for f in judged(edited([]) + ACCEPT % ("DEL-1", "front-door")).findings if f.code == "ACC-01"]
    assert "did you mean DEL-" in finding.says


def test_a_statement_that_is_broken_is_accepted_by_its_own_text_and_no_other_with_it() -> None:
    one, other = "never: Bertil causes siren", "never: Bertil causes bypass message"
    text = edited([("  - never: side-gate causes siren\n", f"  - {one}\n  - {other}\n")])
    assert {f.subject for f in judged(text).findings if f.code == "MUST-01"} == {one, other}
    accepted = judged(text + ACCEPT % ("MUST-01", f'"{other}"'))
    assert {f.subject for f in accepted.findings if f.code == "MUST-01"} == {one}
    assert "must statement" in read_site_text(text + ACCEPT % ("MUST-01", "Bertil"), "site").findings[0].says


@pytest.mark.parametrize("code", rules())
def test_whatever_a_rule_finds_can_be_accepted(code: str) -> None:
    """A thing that acceptances don't know (`OF_SITE` in `site/crosscheck.py`) could never be agreed with the owner."""
    found = {finding.subject for finding in failing(code).findings if finding.code == code}
    agreed = "by: I. Thorne, on: 2026-11-25, because: agreed with the owner"
    words = "".join(f"  - {{rule: {code}, for: {json.dumps(subject)}, {agreed}}}\n" for subject in sorted(found))
    accepted = {word.finding.subject for word in failing(code, f"accept:\n{words}").accepted}
    assert found == accepted


def failing(code: str, accept: str = "") -> Judged:
    """Judge the failing example of a rule, with these acceptances in place of its own."""
    if code in EXAMPLES:
        return judged(edited(EXAMPLES[code][0]) + accept, code)
    return judged_elsewhere(code, ELSEWHERE[code][1], accept)


def test_titles_and_codes_are_told_once_each() -> None:
    assert len({rule.title for rule in rules().values()}) == len(rules())
    assert all(rule.title and not rule.title.endswith(".") for rule in rules().values())


@pytest.mark.parametrize(("plays", "sounds"), [("medical", False), ("burglary", True)])
def test_checking_and_proving_mean_the_same_by_a_siren(plays: str, sounds: bool) -> None:
    # A medical call sounds at the keypad only: two judges of one statement once disagreed about it.
    resolved = resolved_of(edited([("behaviour: notice", "behaviour: environment")]), f"plays {plays}")
    says = [finding.says for finding in check(resolved).findings if finding.code == "MUST-01"]
    assert any("causes siren" in each for each in says) == sounds

    setup = setup_of(resolved.programme, resolved.profile)
    said = "never: side-gate causes siren"
    asked = [each for each in asked_of(resolved, setup, Window()) if each.says.startswith(said)]
    (verdict,) = prove(setup, asked)
    assert (verdict.settled.result is VerdictKind.FAILS) == sounds


@pytest.mark.parametrize(("area", "off"), [("workshop", True), ("house", False)])
def test_a_statement_about_another_area_is_broken_while_the_zones_own_is_off(area: str, off: bool) -> None:
    """`prove` said so, and `check` was silent: while the workshop is armed the house may be off."""
    must = f"always: kitchen-window causes siren while {area} armed"
    says = [f.says for f in judged(edited([("never: side-gate causes siren", must)])).findings if f.code == "MUST-01"]
    assert any("kitchen-window" in each and "off" in each for each in says) == off


@pytest.mark.parametrize(("person", "broken"), [("Bertil", True), ("Ida", True)])
def test_a_statement_about_a_person_is_broken_by_what_they_may_do(person: str, broken: bool) -> None:
    """`prove` said so, while the sheet was printed as ready to key."""
    text = edited([("never: side-gate causes siren", f"never: {person} causes bypass message")])
    says = [f.says for f in judged(text).findings if f.code == "MUST-01"]
    assert any("kitchen small window" in each and "bypass" in each for each in says) == broken
    text = edited([("never: side-gate causes siren", f"never: {person} causes hold-up message")])
    assert not [f for f in judged(text).findings if f.code == "MUST-01"]


@pytest.mark.parametrize("code", EXAMPLES)
def test_a_finding_names_the_field_at_its_place(code: str) -> None:
    text = edited(EXAMPLES[code][0])
    places = read_site_text(text, "larkfield.yaml").places
    for each in judged(text, code).findings:
        if each.place is not None and each.place.path:
            assert places[each.place.path] == each.place or places.key(each.place.path) == each.place

"""Each rule on its own example, which it must find, and on a near miss, which it must pass in silence."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from textwrap import dedent

import pytest

from pages.worked import example_files, example_job, found_by, found_in_example
from zonewright.behaviour.setup import setup_of
from zonewright.checks.catalogue import Example, rule
from zonewright.checks.check import Judged, rules
from zonewright.checks.job import Design, Doubt
from zonewright.checks.times import nothing_completes_setting
from zonewright.desk.job import Job, open_text
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.behaviours import SHIPPED as SHIPPED_BEHAVIOURS
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.edits import edited

# code -> lines that are laid over the rule's own example, so that it finds nothing any more
NEAR_MISSES: dict[str, str] = {
    "NUM-01": 'devices: {front-door: {number: {learnt: "904731"}}}',
    "NUM-02": """
        devices:
          kitchen-window: {number: {printed: 51 9047 62 E, learnt: (left out)}}
          side-gate: {number: {printed: 51 9047 60 C}}
    """,
    "NUM-03": "devices: {side-gate: {zone: {number: 7}}}",
    "NUM-04": "devices: {lounge-window: {used before: (left out)}}",
    "NUM-05": "devices: {lounge-window: {fitted: 2021-12-02}}",
    "NUM-06": "people: {Ida: {slot: (left out)}, Bertil: (left out)}",
    "LAB-01": "devices: {lounge-window: {zone: {place: (left out)}}}",
    "LAB-02": "devices: {side-gate: {zone: {called: left side gate}}}",
    "LAB-03": "devices: {lounge-window: {zone: {called: big glass}}}",
    "LAB-04": "devices: {side-gate: {zone: {place: porch}}}",
    "LAB-05": """
        devices:
          workshop-door: {inputs: {reed: {light: 3}}}
          back-door: {zone: {light: 1}}
    """,
    "DEL-01": """
        settings: {entry time: 30 s}
        devices: {workshop-door: {inputs: {reed: {delay: entry time}}}}
    """,
    "DEL-02": "settings: {exit time: 45 s}",
    "DEL-03": "settings: {exit time: 60 s}",
    "DEL-04": "settings: {abort window: 15 s}",
    "DEL-05": "devices: {kitchen-window: {zone: {message delay: abort window}}}",
    "DEL-06": "settings: {siren time: 4 min}",
    "DEL-07": "settings: {second entry time: 35 s}",
    "DEL-08": "settings: {abort window: 15 s}",
    "DEL-09": "settings: {entry time: 30 s}",
    "DEL-10": "settings: {cancel window: 5 min}",
    "DEL-11": "settings: {siren time: 15 min}",
    "DEL-12": "settings: {exit time: 125 s}",
    "DEL-13": "routes: {coming home: {takes: 29 s}}",
    "ARM-01": "settings: {forced arming: no}",
    "ARM-02": """
        devices:
          hall-movement: {zone: {behaviour: notice, chime: two notes, report: troubles}}
          lounge-movement: {zone: {behaviour: notice, chime: two notes, report: troubles}}
    """,
    "ARM-03": "settings: {exit restart: yes}",
    "ARM-04": "settings: {swinger limit: 3}",
    "ARM-05": "settings: {completing act: no}",
    "ARM-06": "keypads: {hall-keypad: {area: [house, workshop]}}",
    "BEH-01": "devices: {side-gate: {zone: {chime: spoken}}}",
    "BEH-02": """
        devices:
          back-door: {zone: {behaviour: perimeter, delay: (left out)}}
          workshop-door: {inputs: {reed: {behaviour: entry-door, delay: second entry time}}}
    """,
    "BEH-03": "routes: {coming home: {through: []}}",
    "BEH-04": "devices: {workshop-door: {inputs: {reed: {behaviour: entry-door, delay: second entry time}}}}",
    "BEH-05": "devices: {lounge-movement: {zone: {behaviour: on-route}}}",
    "BEH-06": "devices: {workshop-door: {inputs: {reed: {behaviour: entry-door, delay: second entry time}}}}",
    "BEH-08": "devices: {kitchen-window: {zone: {behaviour: entry-door}}}",
    "BEH-09": "devices: {lounge-movement: {zone: {behaviour: perimeter}}}",
    "BEH-10": "devices: {kitchen-window: {zone: {behaviour: 24-hour-silent}}}",
    "BEH-11": "devices: {desk-button: {zone: {chime: one note}}}",
    "BEH-12": "loops: {hall: {area: shop}}",
    "CHI-01": "devices: {hall-movement: {zone: {chime: none}}}",
    "CNF-01": "devices: {shop-movement: {zone: {confirmed by: delivery-gate}}}",
    "CNF-02": "devices: {shop-movement: {zone: {confirmed by: hall}}}",
    "KIND-01": "devices: {sink-water: {zone: {behaviour: environment}}}",
    "KIND-02": "devices: {side-gate: {zone: {behaviour: environment}}}",
    "KIND-03": """
        loops:
          bakehouse-openings: {devices: [roof-light-reed, yard-window-reed]}
          oven-gas: {devices: [oven-gas-head]}
    """,
    "KIND-04": "devices: {till-button: {zone: {behaviour: perimeter}}}",
    "AGE-01": "devices: {stairs-smoke: {fitted: 2016-12-20}}",
    "AGE-02": "devices: {boiler-co: {used before: no}}",
    "BTN-01": "devices: {till-button: {zone: {behaviour: 24-hour-audible}}}",
    "BTN-02": "remotes: {Tomas's key ring: {number: {printed: 418 0246}}}",
    "LOOP-01": "loops: {oven-gas: {resistor: single}}",
    "PAIR-01": "devices: {hall-eye: {at: {room: hall}}}",
    "ARE-01": "devices: {skylight: {zone: {area: shed}}}",
    "PWR-01": "power: {battery: 2.1 Ah}",
    "PWR-02": "power: {standard: grade 1}",
    "PWR-03": "power: {loads: {siren: {alarm: 450 mA}}}",
    "PWR-04": 'station: {account: "4021", by: dc-09, telephone: 555-0170}',
    "REP-01": "devices: {kitchen-window: {zone: {report: alarms}}}",
    "REP-02": """
        devices:
          front-door: {zone: {report: (left out)}}
          back-door: {zone: {report: (left out)}}
          kitchen-window: {zone: {report: (left out)}}
          lounge-window: {zone: {report: (left out)}}
          hall-movement: {zone: {report: (left out)}}
          lounge-movement: {zone: {report: (left out)}}
          workshop-door: {inputs: {reed: {report: (left out)}, wire: {report: (left out)}}}
          sink-water: {zone: {report: (left out)}}
          side-gate: {zone: {report: nothing}}
    """,
    "REP-03": "settings: {restores: yes}",
    "REP-04": "devices: {kitchen-window: {zone: {report: alarms}}}",
    "REP-05": 'station: {account: "1243"}',
    "REP-06": "power: {loads: {outside sounder: {standby: 5 mA, alarm: 450 mA}}}",
    "SUP-01": "devices: {kitchen-window: {zone: {supervise: yes}}, side-gate: {zone: {supervise: no}}}",
    "SUP-02": "devices: {desk-button: {zone: {supervise: no}}}",
    "SUP-03": "devices: {side-gate: {zone: {supervise: no}}}",
    "SUP-04": "settings: {supervision window: 24 h}",
    "SUP-05": "devices: {workshop-door: {inputs: {reed: {supervise: no}}}}",
    "PPL-01": "people: {Ida: {role: owner}, Bertil: {role: guest}}",
    "PPL-02": "people: {Bertil: {may: [workshop]}}",
    "PPL-03": "people: {Bertil: {role: guest}}",
    "PPL-04": "people: {Ida: {role: owner}}",
    "PPL-05": "people: {Pia: {may: [shop, bakehouse]}}",
    "PPL-06": "remotes: {Tomas's key ring: {area: house}}",
    "PPL-07": "people: {Pia: {duress: no}, Lena: {duress: yes}}",
    "MUST-01": """
        must:
          - always: side-gate causes chime within 1 s
    """,
    "MUST-02": """
        must:
          - never: side-gate causes perimeter message
    """,
    "ROUTE-01": "routes: {opening the shop: {through: [shop-movement]}}",
    "PLAN-02": "devices: {oven-co: {at: {room: bakehouse}}}",
    "PLAN-03": """
        devices: {oven-co: {at: {room: bakehouse}}}
        plan: {storeys: {ground: {places: {oven-co: [1.6, 27]}}}}
    """,
    "PLAN-04": "plan: {storeys: {ground: {places: {roof-light-reed: [12, 40]}}}}",
    "PLAN-05": "plan: {storeys: {ground: {places: {delivery-gate: [31, 27]}}}}",
}
WIDEST, MOST = 70, 6  # columns and lines of an example: what `rules CODE` and the page of rules can show


def larkfield(*lines: str) -> Job:
    """Return the first demo, without what it has accepted, with these lines laid over it."""
    return example_job(Example("larkfield.yaml", ()), *lines)


def found(code: str, job: Job) -> list[Finding]:
    return [each for each in job.judged.findings if each.code == code]


def failing(code: str, accept: str = "") -> Judged:
    """Judge a rule's example, with these acceptances."""
    example = rules()[code].example
    files = example_files(example)
    return open_text({**files, example.site_file: files[example.site_file] + accept}, example.site_file).judged


def test_every_rule_has_its_near_miss() -> None:
    assert NEAR_MISSES.keys() == rules().keys()


@pytest.mark.parametrize("code", rules())
def test_the_example_is_found(code: str) -> None:
    told = found_in_example(rules()[code])
    assert told
    for finding in told:
        assert finding.code == code
        assert finding.says
        assert finding.why
        assert finding.fix
        assert finding.source
        assert finding.subject


@pytest.mark.parametrize("code", NEAR_MISSES)
def test_the_near_miss_is_passed_in_silence(code: str) -> None:
    judging = rules()[code]
    assert found_by(judging, example_job(judging.example, dedent(NEAR_MISSES[code]))) == ()


@pytest.mark.parametrize("code", rules())
def test_an_example_is_a_few_short_lines(code: str) -> None:
    lines = rules()[code].example.lines
    assert len(lines) <= MOST
    assert all(len(line) <= WIDEST for line in lines)


TOLD = """It is so.

    Why: for this reason.
    Fix: leave it.
    Source: none.
    Example: larkfield with
        settings: {exit time: 40 s}
    """


@pytest.mark.parametrize(
    ("missing", "says"),
    [
        ("Why: for this reason.", "lacks Why"),
        ("Source: none.", "lacks Source"),
        ("Example: larkfield with\n        settings: {exit time: 40 s}", "lacks Example"),
        ("    settings: {exit time: 40 s}", "no demo with lines, or as it is"),
        ("with", "no demo with lines, or as it is"),
    ],
)
def test_a_rule_that_does_not_tell_all_of_itself_is_not_entered(missing: str, says: str) -> None:
    def untold(job: Design) -> list[Doubt]:
        return []

    untold.__doc__ = TOLD.replace(missing, "")
    with pytest.raises(AssertionError, match=says):
        rule("XXX-01", severity=Severity.ADVICE, topic="none")(untold)
    assert "XXX-01" not in rules()


@pytest.mark.parametrize("code", [code for code, rule in rules().items() if re.match("set `[a-z ]+: ", rule.fix)])
def test_writing_what_a_finding_offers_mends_it(code: str) -> None:
    example = rules()[code].example
    files = example_files(example)
    told = found_in_example(rules()[code])
    offered = {each.mending.path: each.mending.value for each in told if each.mending is not None}
    assert offered
    assert len(offered) == len(told)
    mended = edited(files[example.site_file], example.site_file, offered)
    assert found_by(rules()[code], open_text({**files, example.site_file: mended}, example.site_file)) == ()


def test_a_misread_number_is_told_place_by_place() -> None:
    (finding,) = found_in_example(rules()["NUM-01"])
    assert "place 5: printed 3, learnt 8 (they look alike: a misread)" in finding.says


def test_a_last_door_completes_the_setting_of_its_areas_alone() -> None:
    resolved = example_job(rules()["ARM-05"].example).resolved
    setup = setup_of(resolved.programme, resolved.profile)
    last = replace(setup.zones[0], behaviour=SHIPPED_BEHAVIOURS["final-door"])
    told = nothing_completes_setting(Design(resolved, replace(setup, zones=(last, *setup.zones[1:]))))
    assert ["area bakehouse" in doubt.says for doubt in told] == [True]


def accepting(code: str, subject: str) -> str:
    """Return the lines that accept one rule's findings about one thing."""
    agreed = "by: I. Thorne, on: 2026-11-25, because: agreed with the owner"
    return f"accept:\n  - {{rule: {code}, for: {json.dumps(subject)}, {agreed}}}\n"


def test_an_acceptance_takes_one_finding_about_one_thing() -> None:
    made = larkfield(accepting("DEL-01", "workshop-door")).judged
    assert "DEL-01" not in {finding.code for finding in made.findings}
    assert [(word.finding.code, word.by) for word in made.accepted] == [("DEL-01", "I. Thorne")]


def test_an_acceptance_of_another_thing_takes_nothing() -> None:
    made = larkfield(accepting("DEL-01", "front-door")).judged
    assert {"DEL-01", "ACC-02"} <= {finding.code for finding in made.findings}


def test_an_acceptance_of_no_rule_names_the_nearest() -> None:
    (finding,) = found("ACC-01", larkfield(accepting("DEL-1", "front-door")))
    assert "did you mean DEL-" in finding.says


def test_a_statement_that_is_broken_is_accepted_by_its_own_text_and_no_other_with_it() -> None:
    one, other = "never: Bertil causes siren", "never: Bertil causes bypass message"
    must = f"must:\n  - {one}\n  - {other}\n"
    assert {each.subject for each in found("MUST-01", larkfield(must))} == {one, other}
    assert {each.subject for each in found("MUST-01", larkfield(must, accepting("MUST-01", other)))} == {one}
    with pytest.raises(BadInput) as refused:
        larkfield(must, accepting("MUST-01", "Bertil"))
    assert "must statement" in refused.value.findings[0].says


@pytest.mark.parametrize("code", rules())
def test_whatever_a_rule_finds_can_be_accepted(code: str) -> None:
    """A thing that acceptances don't know (`OF_SITE` in `site/crosscheck.py`) could never be agreed with the owner."""
    subjects = {finding.subject for finding in found_in_example(rules()[code])}
    words = "".join(accepting(code, subject).removeprefix("accept:\n") for subject in sorted(subjects))
    accepted = {word.finding.subject for word in failing(code, f"accept:\n{words}").accepted}
    assert subjects == accepted


def test_titles_and_codes_are_told_once_each() -> None:
    assert len({rule.title for rule in rules().values()}) == len(rules())
    assert all(rule.title and not rule.title.endswith(".") for rule in rules().values())


@pytest.mark.parametrize(("plays", "sounds"), [("medical", False), ("burglary", True)])
def test_checking_and_proving_mean_the_same_by_a_siren(plays: str, sounds: bool) -> None:
    # A medical call sounds at the keypad only: two judges of one statement once disagreed about it.
    panel = f"panel: {{behaviours: {{environment: {{siren: {plays}}}}}}}"
    job = larkfield(panel, "devices: {side-gate: {zone: {behaviour: environment}}}")
    assert any("causes siren" in finding.says for finding in found("MUST-01", job)) == sounds

    said = "never: side-gate causes siren"
    asked = [each for each in asked_of(job.resolved, job.setup, Window()) if each.says.startswith(said)]
    (verdict,) = prove(job.setup, asked)
    assert (verdict.settled.result is VerdictKind.FAILS) == sounds


@pytest.mark.parametrize(("area", "off"), [("workshop", True), ("house", False)])
def test_a_statement_about_another_area_is_broken_while_the_zones_own_is_off(area: str, off: bool) -> None:
    """`prove` said so, and `check` was silent: while the workshop is armed the house may be off."""
    job = larkfield(f"must:\n  - always: kitchen-window causes siren while {area} armed")
    told = found("MUST-01", job)
    assert any("kitchen-window" in finding.says and "off" in finding.says for finding in told) == off


@pytest.mark.parametrize(("person", "broken"), [("Bertil", True), ("Ida", True)])
def test_a_statement_about_a_person_is_broken_by_what_they_may_do(person: str, broken: bool) -> None:
    """`prove` said so, while the sheet was printed as ready to key."""
    told = found("MUST-01", larkfield(f"must:\n  - never: {person} causes bypass message"))
    assert any("kitchen small window" in finding.says and "bypass" in finding.says for finding in told) == broken
    assert not found("MUST-01", larkfield(f"must:\n  - never: {person} causes hold-up message"))


@pytest.mark.parametrize("code", rules())
def test_a_finding_names_the_field_at_its_place(code: str) -> None:
    written = example_job(rules()[code].example).resolved.written
    for each in found_in_example(rules()[code]):
        if each.place is not None and each.place.path:
            assert written[each.place.path] == each.place or written.key(each.place.path) == each.place

"""A diagnosis never loses the true cause, says what is left, and tells why nothing is."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.diagnosing import AFTER, FIRST, drawn, measured
from tests.diagnosis.sites import SITES, case, seen
from zonewright.behaviour.faults import SettingFault
from zonewright.cli.diagnosis_text import cause_lines
from zonewright.desk.results.diagnoses import OtherCauses, diagnosis_of
from zonewright.diagnosis.belief import gain, normalised
from zonewright.diagnosis.case import Case, CureGroup, Diagnosis, case_of
from zonewright.diagnosis.curing import sheet_of_cure
from zonewright.diagnosis.evidence import Answered
from zonewright.diagnosis.questions import Look, ReadBack, Trial
from zonewright.diagnosis.reach import QuestionReach
from zonewright.diagnosis.statements import block_text, one_line, read_statements
from zonewright.panel.opening import open_site


def first(diagnosis: Diagnosis) -> list[str]:
    return [str(cause.hypotheses[0]) for cause in diagnosis.causes()]


@pytest.mark.parametrize("site", SITES)
def test_what_a_hypothesis_does_not_touch_it_does_not_change(site: str) -> None:
    rng = random.Random(site)
    tried = 0
    while tried < 1500:
        hypothesis, question = rng.choice(case(site).hypotheses), rng.choice(case(site).questions)
        if not question.touched_by(hypothesis):
            tried += 1
            shown = question.answers(case(site).names, hypothesis)
            assert shown == pytest.approx(case(site).answers(0, question)), (str(hypothesis), question.name)


FOUNDRY = """
site: Bell Foundry
revision: 1
panel: marlow
station: {account: "0417"}
settings: {}
areas: {shed: {}}
people: {Ada: {role: owner, slot: 1}, Bo: {role: user, slot: 2}}
sirens: {s: {at: {room: yard}, outdoors: yes}}
keypads: {k: {at: {room: hall}}}
devices:
  door:
    kind: contact
    number: {printed: "204 917"}
    at: {room: hall}
    zone: {number: 1, area: shed, behaviour: entry-door, called: door}
  left:
    kind: movement
    number: {printed: "771 230"}
    at: {room: hall}
    zone: {number: 2, area: shed, behaviour: interior, called: left movement, confirmed by: right}
  right:
    kind: movement
    number: {printed: "640 552"}
    at: {room: store}
    zone: {number: 3, area: shed, behaviour: interior, called: right movement, confirmed by: left}
"""
SEEN_THERE = (
    "arm away by Ada; leave by door; +2 h left opens: siren",
    "arm away by Ada; leave by door; +2 h left opens: no siren",
    'arm away by Ada; nobody leaves: no display "arming"',
)


@pytest.fixture(scope="module", params=["none", "installer"])
def foundry(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Case:
    """Return a site with two movements that confirm each other; a device that isn't heard may stop setting there."""
    path = tmp_path_factory.mktemp("foundry") / "foundry.yaml"
    settings_ = f"settings: {{missing at setting: {request.param}}}"
    path.write_text(FOUNDRY.replace("settings: {}", settings_), encoding="utf-8")
    return case_of(open_site(path))


@pytest.mark.parametrize("line", SEEN_THERE)
def test_what_happens_at_a_partner_touches_its_pair_and_a_missing_device_touches_setting(
    foundry: Case, line: str
) -> None:
    observed, slips = one_line(foundry, line, "--saw")
    assert observed is not None, slips
    planned = foundry.answers(0, observed)
    for hypothesis in foundry.hypotheses:
        if not observed.touched_by(hypothesis):
            assert observed.answers(foundry.names, hypothesis) == pytest.approx(planned), str(hypothesis)


@pytest.mark.parametrize("why", ["somebody bypassed it", "shut out after"])
def test_a_single_alarm_of_a_pair_may_come_from_a_partner_that_cannot_trip(foundry: Case, why: str) -> None:
    assert any("right movement" in each and why in each for each in causes_of(foundry, SEEN_THERE[0]))


@pytest.mark.parametrize("why", ["battery is flat", "is dead", "out of range"])
def test_a_device_that_is_not_heard_gives_its_pair_a_single_alarm_or_stops_setting(foundry: Case, why: str) -> None:
    found = [
        any("right movement" in each and why in each for each in causes_of(foundry, SEEN_THERE[n])) for n in (0, 2)
    ]
    stops = foundry.hypotheses[0].panel.stops_setting(SettingFault.MISSING)
    assert found == [not stops, stops]


def test_a_cover_left_off_is_found_by_what_the_display_shows(foundry: Case) -> None:
    line = 'arm away by Ada; nobody leaves: display "left movement tamper"'
    assert any("left movement: a cover is off" in each for each in causes_of(foundry, line))


def causes_of(made: Case, line: str) -> list[str]:
    observed, slips = one_line(made, line, "--saw")
    assert observed is not None, slips
    return [str(each) for cause in Diagnosis(made).given(observed).causes() for each in cause.hypotheses]


@pytest.mark.parametrize("site", SITES)
def test_hypotheses_that_share_a_run_show_the_same(site: str) -> None:
    rng = random.Random(site)
    alike: dict[int, list[int]] = {}
    for place in range(len(case(site).hypotheses)):
        alike.setdefault(case(site).first_alike(place), []).append(place)
    shared = [places for places in alike.values() if len(places) > 1]
    assert sum(map(len, shared)) > 0.1 * len(case(site).hypotheses)
    asked = [each for each in case(site).questions if isinstance(each, Trial | Look)]
    for places in rng.sample(shared, 20):
        mine = [each for each in asked if any(each.touched_by(case(site).hypotheses[place]) for place in places)]
        for question in rng.sample(mine, min(3, len(mine))):
            apart = [replace(case(site).hypotheses[place]) for place in rng.sample(places, 2)]
            one, two = (question.answers(case(site).names, each) for each in apart)
            assert one == two, (question.name, *map(str, apart))


@pytest.mark.parametrize("site", SITES)
def test_no_question_tells_more_than_its_reach(site: str) -> None:
    rng = random.Random(site)
    for _ in range(30):
        places = rng.sample(range(len(case(site).hypotheses)), rng.choice((2, 5, 20)))
        hypotheses = [case(site).hypotheses[n] for n in places]
        shares, cures = normalised(rng.random() ** 3 for _ in places), [case(site).cures[n] for n in places]
        reach = QuestionReach(hypotheses, cures, shares)
        touching = [each for each in case(site).questions if any(map(each.touched_by, hypotheses))]
        for question in rng.sample(touching, min(10, len(touching))):
            told = gain(cures, shares, [case(site).answers(n, question) for n in places])
            assert told <= reach.most_gain(question) + 1e-9, question.name


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(SITES), st.integers(0, 2**32))
def test_truthful_answers_never_exclude_the_true_cause(site: str, seed: int) -> None:
    rng = random.Random(seed)
    place = rng.randrange(len(case(site).hypotheses))
    true = case(site).hypotheses[place]
    touching = [each for each in case(site).questions if each.touched_by(true)] or list(case(site).questions)
    diagnosis = Diagnosis(case(site))
    for _ in range(4):
        question = rng.choice(touching)
        answer = drawn(case(site).answers(place, question), rng)
        diagnosis = diagnosis.given(Answered(question, answer, sure=rng.random() < 0.7))
        assert diagnosis.weights[place] > 0
        assert sum(normalised(diagnosis.weights)) == pytest.approx(1)
        assert sum(cause.share for cause in diagnosis.causes()) == pytest.approx(1)


@pytest.mark.parametrize("site", SITES)
def test_planted_causes_come_among_the_first_three(site: str) -> None:
    told, unseen = measured(case(site), 8, random.Random(7))
    assert len(told) > unseen
    assert sum(each.rank <= FIRST for each in told) >= 0.8 * len(told), AFTER
    assert max(each.questions for each in told) <= 8


def test_as_planned_remains_when_all_shows_as_planned() -> None:
    diagnosis = Diagnosis(case())
    for question in case().questions:
        if isinstance(question, Trial | ReadBack) and diagnosis.remaining[0] != [0]:
            (answer,) = case().answers(0, question)
            diagnosis = diagnosis.given(Answered(question, answer))
    assert diagnosis.causes()[0].cure.nothing
    assert diagnosis.causes()[0].share > 0.9


def test_silence_in_the_garden_excludes_little() -> None:
    at_the_keypad = seen("back door opens: nothing")
    in_the_garden = seen("back door opens: nothing, from the garden")
    assert len(in_the_garden.remaining[0]) > 5 * len(at_the_keypad.remaining[0])


def test_that_all_is_as_planned_is_found_only_by_what_speaks_for_it() -> None:
    planned = "all is as planned"
    for line in (
        "back door opens: nothing, from the garden",  # nearly everything is silent there
        "back door opens: nothing, not sure",  # it speaks against it
        "back door opens: nothing",  # it excludes it
    ):
        assert planned not in first(seen(line)), line
    assert planned not in first(Diagnosis(case()))
    assert planned in first(seen("back door opens: chime"))
    assert planned in first(seen("back door opens: nothing, not sure", "back door opens: chime, from the room"))


def test_whoever_is_not_sure_excludes_nothing_and_the_plan_is_still_weighed() -> None:
    diagnosis = seen("back door opens: nothing, not sure")
    assert diagnosis.remaining[0][0] == 0
    assert sum(cause.share for cause in diagnosis.causes()) == pytest.approx(1)


def test_a_flat_battery_is_told_from_a_misread_number_by_a_new_one() -> None:
    diagnosis = seen("back door opens: nothing")
    named = {each.name: each for each in case().questions}
    head = "zone 2 kitchen back door: "
    for name, answer in (
        ("look at the display", 'display: "kitchen back door missing"'),
        (head + "trip it beside the panel", "nothing"),
        (head + "trip it with a new battery", 'chime: two notes; display: "kitchen back door open"'),
    ):
        diagnosis = diagnosis.given(Answered(named[name], answer))
    assert first(diagnosis) == [head + "the device's battery is flat"]
    assert diagnosis.next_question() is None
    assert sheet_of_cure(case().resolved, diagnosis.causes()[0]) is None


def test_a_wrong_answer_ends_in_the_sheet_that_keys_it_again() -> None:
    diagnosis = seen("side gate opens: not chime, display side gate, not spoken", "back door opens: chime")
    keyed = [each for each in diagnosis.causes() if each.cure.keys]
    assert {each.cure.keys[0].rpartition("/")[0] for each in keyed} == {"zone/7"}
    back = next(each for each in case().questions if each.name == "read back zone 7 porch side gate")
    diagnosis = diagnosis.given(Answered(back, "not as planned: behaviour"))
    (cause,) = diagnosis.causes()
    assert cause.cure.keys == ("zone/7/behaviour",)
    sheet = sheet_of_cure(case().resolved, cause)
    assert sheet is not None
    assert [job.job.number for job in sheet.jobs] == [7]


def test_several_values_with_one_cure_are_keyed_from_the_unknown() -> None:
    cause = next(each for each in seen("back door opens: nothing").causes() if each.cure.keys == ("zone/2/number",))
    assert len(cause.hypotheses) > 5
    sheet = sheet_of_cure(case().resolved, cause)
    assert sheet is not None
    assert sheet.old["zone/2/number"] == "?"  # type: ignore[index]


def test_what_one_wrong_key_led_astray_is_keyed_again_as_a_whole() -> None:
    causes = [each for each in Diagnosis(case()).causes() if len(each.cure.keys) > 1 and len(each.hypotheses) > 1]
    causes += [replace(each, hypotheses=each.hypotheses[:1]) for each in causes]
    assert any("zone 9 workshop door isn't keyed" in str(one) for each in causes for one in each.hypotheses)
    for cause in causes:
        sheet = sheet_of_cure(case().resolved, cause)
        assert sheet is not None
        assert {job.job.number for job in sheet.jobs} >= {
            int(item.split("/")[1]) for item in cause.cure.keys if item.count("/") > 1
        }


def test_who_keyed_on_past_a_wrong_key_keys_again_all_that_went_wrong() -> None:
    led_on = [each for each in case().hypotheses if str(each).startswith("keyed on past one wrong key")]
    assert len(led_on) > 30
    for each in led_on[::5]:
        sheet = sheet_of_cure(case().resolved, CureGroup(each.cure, 1.0, (each,)))
        assert sheet is not None
        assert each.panel.held.values != case().resolved.programme.values
        assert {item for item in each.changes if item.count("/") > 1} <= set(each.cure.keys)
        numbers = {tuple(item.split("/")[:2]) for item in each.changes if item.count("/") > 1}
        assert {(job.job.group, str(job.job.number)) for job in sheet.jobs if job.job.group} == numbers


def test_what_nothing_explains_is_said_with_what_excludes_it() -> None:
    diagnosis = seen("small window opens: siren", "small window opens: nothing")
    assert diagnosis.contradictory
    assert diagnosis.causes() == ()
    assert diagnosis.next_question() is None
    doubtful = diagnosis.doubtful()
    assert len(doubtful) == 3
    assert all(against for _, against in doubtful)
    assert diagnosis.ask_again() == diagnosis.evidence[0]
    assert not diagnosis.without(diagnosis.evidence[0]).contradictory


def test_two_faults_are_found_on_request() -> None:
    diagnosis = seen("front door opens: nothing", "side gate opens: not chime, display side gate, not spoken",
                     "back door opens: chime")  # fmt: skip
    assert diagnosis.contradictory
    wider = diagnosis.with_pairs()
    assert not wider.contradictory
    assert all(len(each.says) == 2 for cause in wider.causes() for each in cause.hypotheses)


def test_what_was_answered_reads_back_from_its_blocks() -> None:
    diagnosis = seen("back door opens: nothing, not sure")
    asked = diagnosis.next_question()
    assert asked is not None
    diagnosis = diagnosis.given(Answered(asked.question, asked.meaning[0][0], sure=False))
    text = "\n".join(block_text(each) for each in diagnosis.evidence)
    again, findings = read_statements(text, "seen.txt", case())
    assert findings == []
    assert again.weights == pytest.approx(diagnosis.weights)


def test_every_slip_of_a_file_is_told_with_its_line() -> None:
    text = (
        "done: back dor opens\nnoticed: chim\n\ntset: x\n\ntest: look at the displai\nanswer: nothing\nsure: perhaps\n"
    )
    _, findings = read_statements(text, "seen.txt", case())
    assert [(each.place.line, each.nearest) for each in findings if each.place is not None] == [
        (4, "test"), (1, "back-door"), (1, "chime"), (8, None), (6, "look at the display"),
    ]  # fmt: skip


def test_a_site_with_one_zone(tmp_path: Path) -> None:
    site = tmp_path / "one.yaml"
    site.write_text(
        "site: One\npanel: tern\nareas: {house: {}}\nsettings: {exit time: 60 s, entry time: 30 s}\ndevices:\n"
        "  front-door:\n    kind: contact\n    number: {printed: 51 9047 31 A}\n    fitted: 2026-11-25\n"
        "    at: {room: hall}\n    zone: {number: 1, area: house, behaviour: entry-door, called: front door,\n"
        "           chime: two notes, supervise: yes, delay: entry time}\n"
    )
    one = case_of(open_site(site))
    observed, slips = one_line(one, "front door opens: nothing", "--saw")
    assert observed is not None, slips
    diagnosis = Diagnosis(one).given(observed)
    assert diagnosis.next_question() is not None
    assert any("battery" in each for each in first(diagnosis))


def test_a_zone_that_is_shut_out_is_told_from_a_dead_one_by_trying_it_while_off() -> None:
    diagnosis = seen("arm away by Ida; leave by front door; +2 h small window opens: not siren, not message")
    says = "zone 3 kitchen small window: shut out after 2 alarms in this armed period"
    assert says in first(diagnosis)
    named = {each.name: each for each in case().questions}
    place = next(n for n, each in enumerate(case().hypotheses) if str(each) == says)
    for name in ("zone 3 kitchen small window: take its cover off and put it on again", "look at the display"):
        (answer,) = case().answers(place, named[name])
        diagnosis = diagnosis.given(Answered(named[name], answer))
    assert says in first(diagnosis)
    cause = next(each for each in diagnosis.causes() if str(each.hypotheses[0]) == says)
    assert cause.cure.mends == ("disarm, and find why zone 3 kitchen small window trips by itself",)
    assert "zone 3 kitchen small window: the device's battery is flat" not in first(diagnosis)


def test_who_is_said_to_arm_away_is_asked_whether_anybody_left() -> None:
    """Else a panel that is right, and set itself to stay, would be taken for a wrong one."""
    observed, (slip,) = one_line(case(), "arm away; +2 h lounge movement trips: siren", "--saw")
    assert observed is None
    assert "leave by hall front door" in slip.fix
    assert first(seen("arm away; leave by front door; +2 h lounge movement trips: siren"))[0] == "all is as planned"
    assert first(seen("arm away; nobody leaves; +2 h lounge movement trips: nothing"))[0] == "all is as planned"
    stays = "zone 1 hall front door: the device's battery is flat"  # nobody is heard to leave
    assert stays in first(seen("arm away; leave by front door; +2 h lounge movement trips: not siren"))


def test_what_is_left_aside_is_told_and_nothing_is_over_while_much_of_it_is() -> None:
    """Thousands of unlikely causes together are likelier than the likeliest: a large site is not well unasked."""
    few = replace(Diagnosis(case()), speaks_for_plan=True)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("zonewright.diagnosis.case.MOST_WEIGHED", 5)
        many = replace(Diagnosis(case()), speaks_for_plan=True)
        places, shares = many.remaining
        assert len(places) <= 5
        assert sum(shares) == pytest.approx(sum(cause.share for cause in few.causes()[: len(many.causes())]), abs=1e-3)
        assert many.next_question() is not None
        lines = list(cause_lines(many, 80))
        assert lines[-1].endswith(f"{len(set(many.case.cures)) - min(len(many.causes()), 8):,} others")
        others = diagnosis_of(many, None).other_causes
        assert others == OtherCauses(causes=many.beside(), share=others.share)
        assert others.share == pytest.approx(1 - sum(shares), abs=1e-4)
        assert float(lines[-1].split("%")[0]) == pytest.approx(100 * (1 - sum(shares)), abs=1)


def test_of_how_many_causes_pairs_are_made_is_told() -> None:
    wider = seen("front door opens: nothing", "back door opens: chime").with_pairs()
    assert wider.paired is not None
    made, of = wider.paired
    assert 0 < made <= 120 < of
    assert f"pairs of the {made} single causes that explain most, of {of}" in " ".join(cause_lines(wider, 300))

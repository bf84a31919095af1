"""What calls for help is never a test among others: found by what the panel does, tried by itself, with a caution."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.demos import plan
from tests.yard import yard
from zonewright.behaviour.events import Means, Message, Panic, Siren
from zonewright.behaviour.setup import AreaNumber
from zonewright.behaviour.state import NOBODY
from zonewright.diagnosis.belief import gain
from zonewright.diagnosis.case import Diagnosis, case_of
from zonewright.diagnosis.statements import one_line
from zonewright.fieldwork.acting import PressButton
from zonewright.fieldwork.calling import Call
from zonewright.fieldwork.candidates import candidates, ground_of
from zonewright.fieldwork.fieldtests import Sort, begun, entries_of
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.panel.behaviours import Pattern
from zonewright.panel.opening import open_site
from zonewright.testplan.killing import NotShownBecause
from zonewright.testplan.planner import Planner
from zonewright.testplan.walking import DANGER, SIREN, WORD, told
from zonewright.words.tracks import names_of

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
HELP = {"fire alarm", "panic alarm", "hold-up alarm", "carbon monoxide alarm", "gas alarm", "medical alarm", "duress"}


def with_a_panic_button(folder: Path) -> SiteOnTest:
    text = (FILES / "rowan.yaml").read_text(encoding="utf-8").replace("plan: rowan-plan.yaml\n", "")
    one, other = "area: [house, garage]\n    first button: arm away", "area: [house, garage]\n    first button: panic"
    assert one in text
    (folder / "rowan.yaml").write_text(text.replace(one, other), encoding="utf-8")
    return ground_of(open_site(folder / "rowan.yaml"))


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_no_test_of_a_walk_calls_for_help_or_sounds_a_danger(name: str) -> None:
    for rehearsal in plan(name).periods:
        for stop in rehearsal.period.stops:
            bench = rehearsal.bench
            for entry in entries_of(bench.planned, begun(bench.planned, stop.test.arming), stop.test):
                for output in entry.outputs:
                    assert not (isinstance(output, Message) and output.name in HELP and not output.restore), stop
                    assert output not in (Siren(Pattern.FIRE), Siren(Pattern.GAS)), stop


@pytest.mark.parametrize(("name", "devices"), [
    ("larkfield", set()), ("rowan", {"stairs-smoke", "landing-smoke", "boiler-co", "desk-button"}),
    ("bakery", {"till-button", "bakehouse-heat", "hall-smoke", "oven-co", "oven-gas-head"}),
])  # fmt: skip
def test_each_device_that_calls_for_help_is_tried_once_by_itself_with_the_station_s_word(
    name: str, devices: set[str]
) -> None:
    made = plan(name)
    stops = [trial.period.stops for trial in made.trials]
    assert all(len(each) == 1 for each in stops)
    assert {stop.test.where for (stop,) in stops} == devices
    assert len(stops) == len(devices)
    names = names_of(made.ground.resolved)
    for trial in made.trials:
        caution = told(made.ground, trial, 0, names).caution
        calls = trial.period.stops[0].test.calls
        assert caution.startswith(WORD)
        assert (DANGER in caution) == (Call.DANGER in calls)
        assert (SIREN in caution) == (Call.SIREN in calls)


@pytest.mark.deep
def test_a_smoke_detector_that_is_looked_at_twice_is_tried_by_smoke_that_stays_with_the_stations_word() -> None:
    """A moment of smoke calls nobody, but smoke doesn't clear when somebody says so: it isn't a harmless test."""
    made = Planner(ground_of(yard("never: door causes duress message"))).run()
    tests = [test for test in made.bench.tests if 6 in test.zones and test.sort in {Sort.TRIP, Sort.HOLD}]
    assert {test.sort for test in tests} == {Sort.HOLD}
    assert all(Call.HELP in test.calls for test in tests)
    tried = [trial.period.stops[0].test for trial in made.trials]
    assert [test for test in tried if 6 in test.zones and test.sort is Sort.HOLD]


def test_a_wrong_answer_that_only_a_call_for_help_would_show_is_to_be_read_back() -> None:
    made = plan("rowan")
    whys = {slip.item: why for variant, why in made.unseen for slip in variant.slips}
    assert whys["zone/18/behaviour"] is NotShownBecause.HELP  # type: ignore[index]


def test_a_cover_that_is_taken_off_a_smoke_detector_is_no_call_for_help() -> None:
    ground = ground_of(open_site(FILES / "rowan.yaml"))
    covers = [test for test in candidates(ground) if test.sort is Sort.COVER and test.where == "stairs-smoke"]
    assert [test.calls for test in covers] == [frozenset()]


def test_a_panic_button_of_a_remote_does_what_the_panel_does(tmp_path: Path) -> None:
    ground = with_a_panic_button(tmp_path)
    slot = next(slot for slot, name in ground.resolved.remotes.items() if name == "Tomas's key ring")
    assert list(ground.panel.events(PressButton(slot, "first-button"))) == [Panic(AreaNumber(1), NOBODY, Means.REMOTE)]
    pressed = [test for test in candidates(ground) if test.sort is Sort.REMOTE and test.things >= {f"remote/{slot}"}]
    alone = [test for test in pressed if test.alarming]
    assert [[act for _, act in test.acts if isinstance(act, PressButton)] for test in alone] == [
        [PressButton(slot, "first-button")]
    ]
    assert len(pressed) == 2  # the other button is tried among the others
    assert alone[0].with_word


def test_a_remote_arms_under_nobodys_name() -> None:
    ground = ground_of(open_site(FILES / "rowan.yaml"))
    slot = next(slot for slot, name in ground.resolved.remotes.items() if name == "Mara's key ring")
    (arms,) = ground.panel.events(PressButton(slot, "first-button"))
    assert (arms.user, arms.means) == (NOBODY, Means.REMOTE)  # type: ignore[union-attr]


@pytest.mark.parametrize("saw", ["till-button trips: nothing", "hall-smoke opens: nothing", "shop-door opens: nothing"])
def test_a_diagnosis_asks_for_no_call_for_help_while_something_else_tells_more(saw: str) -> None:
    case = case_of(open_site(FILES / "bakery.yaml"))
    observed, slips = one_line(case, saw, "--saw")
    assert observed is not None, slips
    diagnosis = Diagnosis(case).given(observed)
    harmless = 0
    while (asked := diagnosis.next_question()) is not None and not asked.question.calls and harmless < 8:
        diagnosis = diagnosis.skipping(asked.question)
        harmless += 1
    assert harmless
    if asked is not None and asked.question.calls:
        left = [each for each in case.questions if not each.calls and each.name not in diagnosis.skipped]
        places, shares = diagnosis.remaining
        cures = [case.cures[n] for n in places]
        assert all(gain(cures, shares, [case.answers(n, each) for n in places]) < 1e-6 for each in left)

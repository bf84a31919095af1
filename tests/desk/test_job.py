"""A job is opened once and handed on; two of them never meet."""

from __future__ import annotations

import pickle
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from shutil import copy
from typing import TypeVar

import pytest

from zonewright.behaviour.setup import setup_of
from zonewright.desk.diagnoses import case_at, noticed
from zonewright.desk.job import Job, older_job, open_job, open_text
from zonewright.desk.progress import Cancelled
from zonewright.desk.results.diagnoses import diagnosis_of
from zonewright.desk.results.findings import findings_of
from zonewright.desk.results.keyed import sheet_result
from zonewright.desk.results.matrices import matrix_data
from zonewright.desk.results.proofs import Verdicts, verdicts_of
from zonewright.desk.results.test_plan import plan_result
from zonewright.desk.sheets import keying
from zonewright.desk.test_plans import planner_of
from zonewright.desk.verdicts import Proving
from zonewright.entry.sheets.practise import along, free
from zonewright.findings import BadInput
from zonewright.panel.profile_file import SHIPPED
from zonewright.words.matrix import matrix

T = TypeVar("T")
FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


def test_what_follows_from_a_job_is_worked_out_once() -> None:
    job = open_job(FILES / "rowan.yaml")
    assert job.setup == setup_of(job.resolved.programme, job.resolved.profile)
    assert job.setup is job.setup
    assert job.plan is job.plan is not None
    assert job.judged is job.judged
    assert job.files == (FILES / "rowan.yaml", FILES / "rowan-plan.yaml")


def test_a_plan_outside_the_folder_is_refused_unless_it_is_allowed(tmp_path: Path) -> None:
    here = tmp_path / "job"
    here.mkdir()
    copy(FILES / "larkfield-plan.yaml", tmp_path / "plan.yaml")
    text = (FILES / "larkfield.yaml").read_text(encoding="utf-8")
    (here / "site.yaml").write_text(text.replace("plan: larkfield-plan.yaml", "plan: ../plan.yaml"), encoding="utf-8")
    with pytest.raises(BadInput, match="leads out of the folder"):
        _ = open_job(here / "site.yaml").plan
    assert open_job(here / "site.yaml", outside=True).plan is not None


def test_an_older_job_is_of_the_same_panel() -> None:
    job = open_job(FILES / "larkfield.yaml")
    assert older_job(open_job(FILES / "larkfield-before.yaml"), job).resolved.profile == job.resolved.profile
    with pytest.raises(BadInput, match="it is for the panel"):
        older_job(open_job(FILES / "rowan.yaml"), job)


def texts(*names: str) -> dict[str, str]:
    return {name: (FILES / name).read_text(encoding="utf-8") for name in names}


@pytest.mark.parametrize("site", ["larkfield", "rowan", "bakery"])
def test_a_job_from_texts_is_the_job_of_its_folder(site: str) -> None:
    sent, there = (
        open_text(texts(f"{site}.yaml", f"{site}-plan.yaml"), f"{site}.yaml"),
        open_job(FILES / f"{site}.yaml"),
    )
    assert sent.file == f"{site}.yaml"
    assert sent.resolved.programme == there.resolved.programme
    assert (sent.plan, sent.setup) == (there.plan, there.setup)
    assert keying(sent).sheet == keying(there).sheet


def test_a_job_from_texts_reads_nothing_else(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> None:
        raise AssertionError("a file was read")

    sent = texts("larkfield.yaml")
    monkeypatch.setattr("zonewright.site.files.read_text", never)
    with pytest.raises(BadInput, match="no such file among those that were handed over"):
        _ = open_text(sent, "larkfield.yaml").plan
    with pytest.raises(BadInput, match="no such file among those"):
        open_text(sent, "larkfeild.yaml")
    for name in ("../larkfield-plan.yaml", "/etc/plan.yaml", "..\\plan.yaml"):
        led = {"site.yaml": sent["larkfield.yaml"].replace("plan: larkfield-plan.yaml", f"plan: '{name}'")}
        with pytest.raises(BadInput, match="leads out of the folder"):
            _ = open_text(led, "site.yaml").plan


def test_a_profile_among_the_texts_is_read_once_and_again_when_it_changes() -> None:
    profile = (SHIPPED / "tern.yaml").read_text(encoding="utf-8")
    site = texts("larkfield.yaml")["larkfield.yaml"].replace("panel: tern", "panel: ./own.yaml")
    one = open_text({"site.yaml": site, "./own.yaml": profile}, "site.yaml")
    again = open_text({"site.yaml": site, "./own.yaml": profile}, "site.yaml")
    assert one.resolved.profile is again.resolved.profile
    changed = {"site.yaml": site, "./own.yaml": f"{profile}\n# changed"}
    assert open_text(changed, "site.yaml").resolved.profile is not one.resolved.profile


@pytest.mark.parametrize("site", ["larkfield", "rowan", "bakery"])
def test_all_that_is_handed_to_a_worker_goes_there_and_back(site: str) -> None:
    job = open_job(FILES / f"{site}.yaml")
    keys = keying(job)
    handed = (
        job.resolved.programme, job.resolved.profile, job.setup, job.acting, job.judged, job.plan, job.names,
        job.matrix, keys.sheet, keys.beware, findings_of(job.judged), matrix_data(job),
        sheet_result(keys.sheet, (), keys.beware), free(job.resolved.profile, job.resolved.programme),
    )  # fmt: skip
    for each in handed:
        assert there_and_back(each) == each
    again = there_and_back(job)
    assert keying(again).sheet == keys.sheet
    assert again.judged == job.judged
    practice = along(keys.sheet)
    assert there_and_back(practice) == practice


def there_and_back(each: T) -> T:
    back: T = pickle.loads(pickle.dumps(each))
    return back


def test_promises_go_to_a_worker_with_what_was_found_and_it_goes_on_from_there() -> None:
    proving = Proving(open_job(FILES / "larkfield.yaml"), only="gate")

    def ends(_doing: str, done: int, _of: int) -> None:
        if done == 2:
            raise Cancelled

    with pytest.raises(Cancelled):
        proving.run(ends)
    again = there_and_back(proving)
    assert [each.name for each in again.asked] == [each.name for each in proving.asked]
    assert (told(again), again.effort, again.known) == (told(proving), proving.effort, proving.known)
    assert again.how_far == proving.how_far
    again.run()
    proving.run()
    assert told(again) == told(proving)
    assert len(again.verdicts) == len(again.asked)


def told(proving: Proving) -> Verdicts:
    undone = proving.undoings(each.promise for each in proving.verdicts)
    return there_and_back(verdicts_of(proving.job.acting, proving.verdicts, proving.job.names, undone))


def test_a_test_plan_and_a_diagnosis_go_to_a_worker_and_on_from_there() -> None:
    job = open_job(FILES / "larkfield.yaml")
    planner = planner_of(job, older_job(open_job(FILES / "larkfield-before.yaml"), job))
    sent = there_and_back(planner)
    plan = planner.run()
    assert plan_result(there_and_back(plan), job.names) == there_and_back(plan_result(plan, job.names))
    assert plan_result(sent.run(), job.names) == plan_result(plan, job.names)
    diagnosis = noticed(case_at(job), "", "seen.txt", ["back door opens: nothing"], "typed")
    again = there_and_back(diagnosis)
    assert diagnosis_of(again, again.next_question()) == diagnosis_of(diagnosis, diagnosis.next_question())


def test_two_jobs_in_two_threads_are_each_told_as_themselves() -> None:
    sites = ("larkfield", "bakery")

    def told(site: str) -> tuple[object, object, object]:
        job: Job = open_job(FILES / f"{site}.yaml")
        return matrix(job.setup), keying(job).sheet, job.judged

    alone = [told(site) for site in sites]
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(told, sites * 4))
    assert found == alone * 4


def test_what_is_wrong_with_a_file_comes_out_of_a_worker() -> None:
    with pytest.raises(BadInput) as wrong:
        open_text({"site.yaml": "site: Mill\n"}, "site.yaml")
    again: BadInput = pickle.loads(pickle.dumps(wrong.value))
    assert again.findings == wrong.value.findings
    assert str(again) == str(wrong.value)

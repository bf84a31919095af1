"""A job is opened once and handed on; two of them never meet."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from shutil import copy

import pytest

from zonewright.behaviour.matrix import matrix
from zonewright.behaviour.setup import setup_of
from zonewright.desk.job import Job, older_job, open_job
from zonewright.desk.sheets import keying
from zonewright.findings import BadInput

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
    assert older_job(FILES / "larkfield-before.yaml", job).resolved.profile == job.resolved.profile
    with pytest.raises(BadInput, match="it is for the panel"):
        older_job(FILES / "rowan.yaml", job)


def test_two_jobs_in_two_threads_are_each_told_as_themselves() -> None:
    sites = ("larkfield", "bakery")

    def told(site: str) -> tuple[object, object, object]:
        job: Job = open_job(FILES / f"{site}.yaml")
        return matrix(job.setup), keying(job).sheet, job.judged

    alone = [told(site) for site in sites]
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(told, sites * 4))
    assert found == alone * 4

"""Long work ends when whoever waits wants it to, wherever it is just then, and leaves nothing behind that hinders."""

from __future__ import annotations

import multiprocessing
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from zonewright.desk.comparing import since, with_proofs
from zonewright.desk.diagnoses import case_at
from zonewright.desk.job import Job, older_job, open_job
from zonewright.desk.job_pack import job_pack
from zonewright.desk.progress import Cancelled, Progress
from zonewright.desk.test_plans import planner_of
from zonewright.desk.verdicts import Proving

DEMOS = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


def compared(job: Job, progress: Progress) -> object:
    old = older_job(open_job(DEMOS / "larkfield-before.yaml"), job)
    return with_proofs(since(job, old), job, old, progress)


LONG: dict[str, Callable[[Job, Progress], object]] = {
    "prove": lambda job, progress: Proving(job, afresh=True).run(progress),
    "plan a walk": lambda job, progress: planner_of(job, None, progress).run(),
    "begin a diagnosis": lambda job, progress: case_at(job, None, progress),
    "compare": compared,
    "pack": lambda job, progress: job_pack(job, proving=Proving(job, afresh=True), progress=progress),
}


@pytest.fixture(scope="module")
def job() -> Job:
    return open_job(DEMOS / "larkfield.yaml")


@pytest.mark.parametrize("after", [1, 2, 40])
@pytest.mark.parametrize("what", LONG)
def test_cancelled_it_ends_at_once_and_can_be_done_again(
    what: str, after: int, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ZONEWRIGHT_CACHE", "off")
    told: list[tuple[str, int, int]] = []

    def enough(doing: str, done: int, of: int) -> None:
        told.append((doing, done, of))
        if len(told) == after:
            raise Cancelled

    threads = threading.active_count()
    with pytest.raises(Cancelled):
        LONG[what](job, enough)
    assert len(told) == after  # nothing went on after that
    assert not multiprocessing.active_children()
    assert threading.active_count() <= threads
    assert all(0 <= done <= of for _, done, of in told)

"""What is proved of a job stays, whatever ends it, and the next run goes on from there."""

from __future__ import annotations

import multiprocessing
from pathlib import Path

import pytest

from zonewright.desk import cores
from zonewright.desk.job import open_job
from zonewright.desk.progress import Cancelled
from zonewright.desk.verdicts import Proving, is_about

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


@pytest.mark.parametrize("processes", [1, 2])
@pytest.mark.parametrize("after", [1, 20, 60])
def test_who_ends_it_has_what_was_found_and_the_next_run_goes_on(
    processes: int, after: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cores, "available", lambda: processes)
    monkeypatch.setenv("ZONEWRIGHT_CACHE", str(tmp_path / "kept"))
    job = open_job(FILES / "larkfield.yaml")

    def ends(_doing: str, done: int, _of: int) -> None:
        if done == after:
            raise Cancelled

    proving = Proving(job)
    with pytest.raises(Cancelled):
        proving.run(ends)
    assert not multiprocessing.active_children()
    assert len(proving.verdicts) == after
    assert proving.how_far.startswith(f"{after} of {len(proving.asked)} settled")

    again = Proving(job)
    sums = sum(each.promise.outright is not None for each in proving.verdicts)  # found out as quickly, so never kept
    assert again.known >= after - sums - 1  # the reason of a verdict may have a name in it
    again.run()
    monkeypatch.setenv("ZONEWRIGHT_CACHE", "off")
    whole = Proving(job)
    whole.run()
    results = {each.promise.name: each.settled.result for each in whole.verdicts}
    assert {each.promise.name: each.settled.result for each in again.verdicts} == results
    assert {each.promise.name: each.settled.result for each in proving.verdicts}.items() <= results.items()


def test_only_what_is_asked_is_proved() -> None:
    job = open_job(FILES / "larkfield.yaml")
    few = Proving(job, only="route")
    assert 0 < len(few.asked) < len(Proving(job).asked)
    assert all(is_about(each, "route") for each in few.asked)
    few.run()
    assert len(few.verdicts) == len(few.asked)

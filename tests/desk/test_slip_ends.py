"""Ends that several processes find are those that one finds, in the same order."""

from __future__ import annotations

import multiprocessing
import random

import pytest

from zonewright.desk import cores, slip_ends
from zonewright.entry.keypad.drive import drive
from zonewright.entry.slips.astray import astray
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.profile_file import shipped_profile


@pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="no process can be copied here")
@pytest.mark.parametrize("panel", ["tern", "marlow", "quill"])
def test_ends_found_by_two_processes_are_those_that_one_finds(panel: str, monkeypatch: pytest.MonkeyPatch) -> None:
    profile = shipped_profile(panel).usable()
    driven = drive(profile, as_shipped(profile), random_programme(profile, random.Random(panel), 6))
    monkeypatch.setattr(cores, "available", lambda: 2)
    monkeypatch.setattr(slip_ends, "WORTH_SHARING", 2)
    assert len(driven) > slip_ends.TOGETHER
    assert list(slip_ends.ends_of(profile, driven)) == list(astray(profile, driven))


def test_few_jobs_are_keyed_by_this_process_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    profile = shipped_profile("tern").usable()
    driven = drive(profile, as_shipped(profile), random_programme(profile, random.Random(3), 1))
    monkeypatch.setattr(cores, "available", lambda: 2)
    monkeypatch.setattr(slip_ends, "WORTH_SHARING", len(driven) + 1)
    monkeypatch.setattr(multiprocessing, "get_context", lambda _: pytest.fail("another process was begun"))
    assert list(slip_ends.ends_of(profile, driven)) == list(astray(profile, driven))

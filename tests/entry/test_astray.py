"""Ends of a sheet led astray are those that the keypad gives, without what later jobs key right."""

from __future__ import annotations

import random

import pytest

from zonewright.entry.astray import astray
from zonewright.entry.drive import drive
from zonewright.entry.slips import slips
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.reading import shipped_profile


@pytest.mark.parametrize("panel", ["tern", "marlow", "quill"])
def test_a_sheet_of_one_job_ends_as_each_slip_ends_that_is_tried(panel: str) -> None:
    profile = shipped_profile(panel).usable()
    planned = random_programme(profile, random.Random(panel), 1)
    driven = drive(profile, as_shipped(profile), planned)[:1]
    found = list(astray(profile, driven))
    assert {each.gives for each in found} == {slip.gives for slip in slips(profile, driven) if slip.gives}
    assert all(0 < each.share <= 1 for each in found)


@pytest.mark.parametrize("panel", ["tern", "marlow", "quill"])
def test_what_a_later_job_keys_is_not_wrong(panel: str) -> None:
    profile = shipped_profile(panel).usable()
    planned = random_programme(profile, random.Random(panel), 4)
    driven = drive(profile, as_shipped(profile), planned)
    last = {f"{done.job.group}/{done.job.number}": place for place, done in enumerate(driven) if done.job.group}
    for each in astray(profile, driven):
        assert all(last.get(item.rpartition("/")[0], 0) <= each.step[0] for item, _ in each.gives)
        assert all(planned.get(item) != value for item, value in each.gives)

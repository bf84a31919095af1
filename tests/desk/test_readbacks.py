"""What a readback lets one tell comes in records, and every zone is in one of them."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.entry.taking_over import answers, typed_in
from zonewright.desk.explaining import explained, sentences
from zonewright.desk.job import open_job
from zonewright.desk.readbacks import judged_readback, read_explained, read_matrix, read_sentences
from zonewright.findings import BadInput
from zonewright.panel.programme import UNKNOWN, Item, Value
from zonewright.panel.readback_file import OpenedReadback
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import Cause

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


def opened(site: str, share: float, changes: dict[Item, Value | None] | None = None) -> OpenedReadback:
    job = open_job(FILES / f"{site}.yaml")
    profile = job.resolved.profile
    typed, _ = answers(profile, job.resolved.programme, random.Random(3), share)
    return OpenedReadback(typed_in(profile, typed).readback.changed(changes or {}), profile, {}, "panel.yaml")


@pytest.mark.parametrize("share", [0.0, 0.1, 0.4])
@pytest.mark.parametrize("site", ["larkfield", "bakery"])
def test_each_zone_is_told_or_it_is_said_what_it_needs(site: str, share: float) -> None:
    read = opened(site, share)
    numbers = set(read.programme.numbers("zone"))
    made, texts = read_matrix(read), read_sentences(read)
    for cause, matrix in made.told.items():
        told = {cell.zone for cell in matrix.cells}
        assert told | {zone for zone, causes in made.untold.needs.items() if cause in causes} == numbers
    assert texts.told.keys() | texts.untold.needs.keys() == numbers
    assert not texts.told.keys() & texts.untold.needs.keys()
    assert made.untold.labels.keys() == made.untold.needs.keys()


def test_a_whole_readback_is_told_as_its_site_is() -> None:
    read, job = opened("larkfield", 0.0), open_job(FILES / "larkfield.yaml")
    told, site = read_sentences(read).told, sentences(job)
    assert told.keys() == site.keys()
    for zone, text in explained(job, "front-door").items():
        assert read_explained(read, str(zone)).told[zone].splitlines()[0] == text.splitlines()[0]


def test_what_is_not_known_comes_first_if_most_rules_need_it() -> None:
    wanted = judged_readback(opened("larkfield", 0.4)).wanted
    counts = [len(codes) for codes in wanted.values()]
    assert counts == sorted(counts, reverse=True)
    assert all(len(set(codes)) == len(codes) for codes in wanted.values())


def test_one_unknown_value_is_named_where_it_is_needed() -> None:
    read = opened("larkfield", 0.0, {Item("zone/1/chime"): UNKNOWN})
    found = read_explained(read, "1")
    assert found.told == {}
    assert dict(found.untold.needs[next(iter(found.untold.needs))]) == {Cause.OPENS: (Item("zone/1/chime"),)}


def test_what_is_needed_of_other_zones_is_told_in_their_order() -> None:
    read = opened("larkfield", 0.4)
    for zone in read.programme.numbers("zone"):
        for items in read_explained(read, str(zone)).untold.needs[ZoneNumber(zone)].values():
            numbers = [item.number for item in items if item.number is not None and item.number != zone]
            assert numbers == sorted(numbers, key=int)


def test_a_zone_that_is_not_there_is_refused() -> None:
    with pytest.raises(BadInput, match="no such zone or label"):
        read_explained(opened("larkfield", 0.0), "99")

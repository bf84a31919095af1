"""Which keying, which promises and which observations somebody means."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.entry.taking_over import answers, typed_in
from zonewright.desk.diagnoses import case_at, noticed, restated
from zonewright.desk.job import older_job, open_job
from zonewright.desk.playing import scenario_played
from zonewright.desk.sheets import keying, keying_asked, keying_from, keying_of_one
from zonewright.desk.verdicts import Proving, promises_meant
from zonewright.desk.zones import zone_meant
from zonewright.findings import BadInput
from zonewright.panel.programme import Item
from zonewright.panel.readback_file import OpenedReadback

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
JOB = open_job(FILES / "larkfield.yaml")
BEFORE = older_job(open_job(FILES / "larkfield-before.yaml"), JOB)
GATE = zone_meant(JOB.resolved, "side-gate")


def read_before() -> OpenedReadback:
    """The panel before the gate, and one person more, whose code goes."""
    profile = JOB.resolved.profile
    typed, _ = answers(profile, BEFORE.resolved.programme, random.Random(1), 0.0)
    readback = typed_in(profile, typed).readback
    more = {Item(f"user/6/{item.field}"): value for item, value in readback.values.items() if item.thing == "user/2"}
    return OpenedReadback(readback.changed(more), profile, {}, "panel.yaml")


def test_what_is_known_of_the_panel_decides_what_is_keyed() -> None:
    assert keying_asked(JOB) == keying(JOB)
    assert keying_asked(JOB, BEFORE) == keying_asked(JOB, BEFORE, zone=GATE) == keying(JOB, BEFORE)
    assert keying_asked(JOB, zone=GATE).sheet == keying_of_one(JOB, GATE).sheet
    assert keying_asked(JOB, opened=read_before()).sheet == keying_from(JOB, read_before()).sheet


def test_a_householder_is_told_nothing_of_the_codes_of_others() -> None:
    read = read_before()
    assert keying_asked(JOB, opened=read).beware
    assert keying_asked(JOB, opened=read, zone=GATE).beware == ()
    assert keying_asked(JOB, opened=read, zone=GATE).sheet == keying_asked(JOB, opened=read).sheet


def test_a_device_with_two_zones_is_not_one_zone() -> None:
    with pytest.raises(BadInput, match="a guide is for one"):
        zone_meant(JOB.resolved, "workshop-door")


def test_a_whole_name_means_one_promise_and_a_word_each_that_has_it() -> None:
    asked = Proving(JOB).asked
    assert promises_meant(asked, asked[0].name) == [asked[0]]
    meant = promises_meant(asked, "side gate")
    assert len(meant) > 1
    assert all("side-gate" in each.name for each in meant)
    assert promises_meant(asked, "no such word") == []


def test_what_is_said_again_replaces_what_was_said() -> None:
    case = case_at(JOB, BEFORE)
    first, second = (
        noticed(case, "", "seen.txt", [f"side gate opens: {what}"], "typed").evidence[0]
        for what in ("chime", "nothing")
    )
    diagnosis = restated(restated(noticed(case, "", "seen.txt"), first), second)
    assert diagnosis.evidence == (second,)
    with pytest.raises(BadInput) as wrong:
        noticed(case, "done: zzz\nnoticed: nothing\n", "seen.txt", ["no colon"], "typed")
    assert {each.place.file for each in wrong.value.findings if each.place is not None} == {"seen.txt", "typed"}


def test_a_run_tells_what_its_scenario_left_open() -> None:
    assert scenario_played(JOB, "arm away", "scenario").doors
    left = scenario_played(JOB, "arm away; +10 s leave by front door", "scenario")
    assert (left.doors, left.no_people) == ((), False)
    with pytest.raises(BadInput):
        scenario_played(JOB, "nothing that is known", "scenario")

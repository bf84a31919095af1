"""Slips: tried by pressing, so a few that anybody can check by hand."""

from __future__ import annotations

import random

import pytest

from tests.entry.house import after, before
from zonewright.entry.keypad.drive import drive
from zonewright.entry.slips.invited import Noticed, Slip, silent_steps, slip_table, slips
from zonewright.entry.slips.misreading import SlipKind
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.profile_file import shipped
from zonewright.panel.programme import Item


def all_slips() -> list[Slip]:
    return list(slips(after().profile, drive(after().profile, before().programme, after().programme)))


def test_a_flipped_flag_is_silent_for_both_readers() -> None:
    found = [s for s in all_slips() if s.kind is SlipKind.FLIPPED and s.item == "zone/7/supervise"]
    assert [(s.plain, s.careful, s.gives) for s in found] == [
        (Noticed.NEVER, Noticed.NEVER, ((Item("zone/7/supervise"), "no"),))
    ]


def test_one_offer_too_many_is_seen_only_by_who_looks_before_taking_it() -> None:
    found = [s for s in all_slips() if s.kind is SlipKind.ONE_TOO_MANY and s.item == "zone/7/chime"]
    assert [(s.plain, s.careful, s.gives) for s in found] == [
        (Noticed.NEVER, Noticed.IN_STEP, ((Item("zone/7/chime"), "spoken"),))
    ]


def test_a_wrong_digit_in_a_word_never_gives_another_word() -> None:
    found = [s for s in all_slips() if s.kind is SlipKind.OTHER_WORD and s.item == "zone/7/label"]
    assert {s.careful for s in found} <= {Noticed.REFUSED, Noticed.IN_STEP}
    assert Noticed.REFUSED in {s.careful for s in found}


def test_another_device_is_seen_at_the_ending() -> None:
    found = [s for s in all_slips() if s.kind is SlipKind.OTHER_DEVICE]
    assert found
    assert all(s.plain in (Noticed.IN_STEP, Noticed.ENDING) for s in found)


@pytest.mark.parametrize("seed", range(6))
def test_silent_steps_are_those_of_the_silent_slips(seed: int) -> None:
    tern, rng = shipped("tern"), random.Random(seed)
    driven = drive(tern, as_shipped(tern), random_programme(tern, rng, 6, 2))
    silent: list[set[int]] = [set() for _ in driven]
    for slip in slips(tern, driven):
        if slip.careful is Noticed.NEVER:
            silent[slip.job].add(slip.step)
    assert silent_steps(tern, driven) == [frozenset(steps) for steps in silent]


def test_the_table_counts_every_slip_once() -> None:
    table = slip_table(all_slips())
    assert set(table) == {
        "keys, plain reader",
        "keys, careful reader",
        "answers, plain reader",
        "answers, careful reader",
    }
    assert all(abs(sum(shares.values()) - 1) < 1e-9 for shares in table.values())
    assert table["keys, careful reader"][Noticed.NEVER] < table["keys, plain reader"][Noticed.NEVER]

"""The rules on a readback: what a rule finds there stands whatever the panel holds; what it can't judge is said."""

from __future__ import annotations

import random

import pytest

from zonewright.checks.check import rules
from zonewright.checks.readbacks import judge
from zonewright.panel.legal import completion, random_programme
from zonewright.panel.profile_file import shipped, shipped_names
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value
from zonewright.panel.readback import Readback
from zonewright.panel.readback_file import OpenedReadback

ALL = frozenset({"zone", "user", "remote"})


def opened(name: str, held: Programme, no_more: frozenset[str] = ALL) -> OpenedReadback:
    return OpenedReadback(Readback(name, held.values, no_more), shipped(name), {}, "panel.yaml")


@pytest.mark.parametrize("name", shipped_names())
def test_what_is_found_is_found_in_each_panel_that_it_may_be(name: str) -> None:
    profile, found, unjudged = shipped(name), 0, 0
    for seed in range(6):
        rng = random.Random(seed)
        held = random_programme(profile, rng, 4, 2)
        answered = [
            item for item in held if profile.answer_of(item) is not None and not item.endswith(("label", "place"))
        ]
        known = held.changed(dict.fromkeys(rng.sample(answered, rng.choice([1, 2, 3])), UNKNOWN))
        judged = judge(opened(name, known))
        for _ in range(3):
            whole = judge(opened(name, completion(profile, rng, known)))
            assert whole.unjudged == {}
            assert set(judged.findings) <= set(whole.findings), seed
            missed = {finding.code for finding in whole.findings if finding not in judged.findings}
            assert missed <= set(judged.unjudged)
        found += len(judged.findings)
        unjudged += len(judged.unjudged)
    assert found
    assert unjudged


def test_a_list_that_is_not_whole_leaves_its_rules_unjudged() -> None:
    held = random_programme(shipped("tern"), random.Random(1), 0, 1)
    assert "PPL-03" in {finding.code for finding in judge(opened("tern", held)).findings}
    judged = judge(opened("tern", held, ALL - {"user"}))
    assert judged.unjudged["PPL-03"] == ("user",)
    assert "PPL-03" not in {finding.code for finding in judged.findings}
    assert judge(opened("tern", held, ALL - {"zone"})).unjudged["BTN-02"] == ("zone",)


def test_an_unknown_setting_is_named_by_the_rules_that_need_it() -> None:
    held = random_programme(shipped("tern"), random.Random(1), 1, 1)
    judged = judge(opened("tern", held.changed({Item("setting/forced-arming"): UNKNOWN})))
    assert judged.unjudged["ARM-01"] == ("setting/forced-arming",)
    certain = judge(opened("tern", held.changed({Item("setting/forced-arming"): Value("yes")})))
    assert "ARM-01" in {finding.code for finding in certain.findings}
    assert set(judged.unjudged) < set(rules())

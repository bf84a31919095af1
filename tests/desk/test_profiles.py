"""What is said of a profile, and what a transcript showed."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.desk.profiles import profile_named, sound, tried
from zonewright.desk.results.profiles import profile_facts
from zonewright.findings import BadInput
from zonewright.panel.profile_file import SHIPPED, shipped_names
from zonewright.site.files import Texts

GOOD = "no no 7 -> Your code | ----\n2468 -> A device? |\nback -> All quiet |\n"


@pytest.mark.parametrize("name", shipped_names())
def test_the_facts_are_those_of_the_walk(name: str) -> None:
    found = sound(profile_named(name, Texts({})))
    facts = profile_facts(found)
    assert facts.states == found.reached.states > 0
    assert facts.codes_one_digit_apart == found.near_codes
    assert found.saves_at


def test_a_profile_may_come_as_a_text() -> None:
    text = (SHIPPED / "tern.yaml").read_text("utf-8")
    assert profile_named("./own.yaml", Texts({"./own.yaml": text})) == profile_named("tern", Texts({}))
    with pytest.raises(BadInput, match="no such file"):
        profile_named("./own.yaml", Texts({}))


def test_each_transcript_is_tried_once_and_told_by_its_file(tmp_path: Path) -> None:
    good, bad = tmp_path / "good.txt", tmp_path / "bad.txt"
    good.write_text(GOOD, encoding="utf-8")
    bad.write_text(GOOD.replace("All quiet", "Bye"), encoding="utf-8")
    ran = tried(profile_named("tern", Texts({})), [good, bad, good])
    assert [(each.file, each.presses, len(each.differences)) for each in ran] == [(good, 8, 0), (bad, 8, 1)]

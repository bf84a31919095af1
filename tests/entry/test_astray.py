"""Ends of a sheet led astray are those that the keypad gives, without what later jobs key right."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest

from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.standing import KeypadState
from zonewright.entry.keypad.strokes import Act, Driven
from zonewright.entry.slips.astray import astray, differing
from zonewright.entry.slips.invited import altered, slips
from zonewright.entry.slips.keyed_on import parts_of, printed
from zonewright.panel.legal import as_shipped, random_programme
from zonewright.panel.profile import Profile
from zonewright.panel.profile_file import shipped_profile


@pytest.mark.parametrize("panel", ["tern", "marlow", "quill"])
def test_a_sheet_of_one_job_ends_as_each_slip_ends_that_is_tried(panel: str) -> None:
    profile = shipped_profile(panel).usable()
    planned = random_programme(profile, random.Random(panel), 1)
    driven = drive(profile, as_shipped(profile), planned)[:1]
    found = list(astray(profile, driven))
    assert {each.gives for each in found} == {parts_of(slip.gives) for slip in slips(profile, driven) if slip.gives}
    assert all(0 < each.share <= 1 for each in found)


@pytest.mark.parametrize("panel", ["tern", "marlow", "quill"])
def test_what_a_later_job_keys_is_not_wrong(panel: str) -> None:
    profile = shipped_profile(panel).usable()
    planned = random_programme(profile, random.Random(panel), 4)
    driven = drive(profile, as_shipped(profile), planned)
    last = {f"{done.job.group}/{done.job.number}": place for place, done in enumerate(driven) if done.job.group}
    for each in astray(profile, driven):
        assert all(last.get(item.rpartition("/")[0], 0) <= each.step[0] for part in each.gives for item, _ in part)
        assert all(planned.get(item) != value for part in each.gives for item, value in part)


def keyed_to_the_end(
    profile: Profile, driven: Sequence[Driven], place: int, step: int, state: KeypadState
) -> KeypadState:
    """Press every key that follows, in this job and the later ones."""
    *_, state = printed(profile, driven[place].strokes[step + 1 :], state)
    for done in driven[place + 1 :]:
        begins = done.strokes[0].before
        if state.node != begins.node:
            state = begins._replace(held=state.held)
        *_, state = printed(profile, done.strokes, state)
    return state


@pytest.mark.parametrize(("panel", "things"), [("tern", 6), ("marlow", 3), ("quill", 3)])
def test_who_keys_on_past_a_wrong_key_leaves_what_the_keypad_holds_after_every_key(panel: str, things: int) -> None:
    rng = random.Random(panel)
    profile = shipped_profile(panel).usable()
    planned = random_programme(profile, rng, things)
    driven = drive(profile, as_shipped(profile), planned)
    found: dict[tuple[int, int], set[object]] = {}
    for each in astray(profile, driven):
        found.setdefault(each.step, set()).add(each.keyed_on)
    steps = [
        (place, step)
        for place, done in enumerate(driven)
        for step, stroke in enumerate(done.strokes)
        if stroke.act not in (Act.WAY_IN, Act.CODE)
    ]
    several = 0
    for place, step in rng.sample(steps, min(len(steps), 12)):
        for _, act in rng.sample(list(altered(profile, driven[place].strokes[step])), 4):
            end = keyed_to_the_end(profile, driven, place, step, act()[0])
            gives = parts_of(differing(end.held, planned.values))
            several += len(gives) > 1
            assert not gives or gives in found[place, step]
    assert several or panel != "tern"

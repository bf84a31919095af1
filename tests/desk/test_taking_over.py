"""A take-over goes on from what its file says, and tells how far it has come."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from tests.cli.one_door import HABITS, PEOPLE, ZONE
from zonewright.desk.taking_over import SoFar, TakeOver, answered, take_over, written
from zonewright.findings import BadInput
from zonewright.panel.profile_file import SHIPPED


def after(taken: TakeOver, *lines: str) -> TakeOver:
    for line in lines:
        taken = answered(taken, line)
    return taken


def kept(taken: TakeOver, file: Path) -> TakeOver:
    file.write_text(taken.text(file.name), encoding="utf-8")
    return written(taken)


def test_what_was_answered_is_unwritten_until_its_file_says_it(tmp_path: Path) -> None:
    begun = take_over("tern", tmp_path / "panel.yaml")
    assert not begun.unwritten
    assert not after(begun, "/help", "/back", "/x").unwritten
    read = after(begun, *ZONE)
    assert read.unwritten
    assert not kept(read, tmp_path / "panel.yaml").unwritten


def test_it_goes_on_at_the_question_at_which_it_was_left(tmp_path: Path) -> None:
    file = tmp_path / "panel.yaml"
    left = kept(after(take_over("tern", file), *ZONE[:6]), file)
    again = take_over("tern", file)
    assert again == left
    whole = after(again, *ZONE[6:], *PEOPLE, *HABITS)
    assert whole.review.at is None
    assert whole.so_far == SoFar(29, 2, 0, ())


def test_how_far_it_has_come_names_what_nobody_said(tmp_path: Path) -> None:
    so_far = after(take_over("tern", tmp_path / "panel.yaml"), *ZONE, "/none").so_far
    assert so_far.unsaid == ("user",)
    assert so_far.left > 0


def test_it_goes_to_another_process_and_on_from_there(tmp_path: Path) -> None:
    taken = after(take_over("tern", tmp_path / "panel.yaml"), *ZONE[:3])
    again = pickle.loads(pickle.dumps(taken))
    assert again == taken
    assert after(again, *ZONE[3:]) == after(taken, *ZONE[3:])


def test_a_profile_outside_the_folder_of_the_file_is_refused_unless_it_is_allowed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("own.yaml").write_text((SHIPPED / "tern.yaml").read_text("utf-8"), encoding="utf-8")
    with pytest.raises(BadInput, match="leads out of the folder"):
        take_over("own.yaml", Path("job/panel.yaml"))
    assert take_over("own.yaml", Path("job/panel.yaml"), outside=True).review.readback.panel == "../own.yaml"

"""The tutorial is what it says: each profile sound, its transcript agreeing with the last, a sheet at the end."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest

from zonewright.cli import main

PAGE = (Path(__file__).parents[2] / "docs" / "describe-your-panel.md").read_text(encoding="utf-8")


def fenced(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", PAGE, flags=re.DOTALL | re.MULTILINE)


PROFILES = fenced("yaml")


@pytest.mark.parametrize("step", range(1, len(PROFILES) + 1))
def test_the_profile_after_each_step_is_sound(step: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "wren.yaml").write_text(PROFILES[step - 1], encoding="utf-8")
    assert main(["profile", "check", str(tmp_path / "wren.yaml")]) == 0, capsys.readouterr().err
    assert "Wren, edition W1: sound" in capsys.readouterr().out


def test_each_step_adds_to_the_one_before() -> None:
    assert len(PROFILES) == 4
    for before, after in itertools.pairwise(PROFILES):
        lost = {line.partition(":")[0] for line in before.splitlines()} - {
            line.partition(":")[0] for line in after.splitlines()
        }
        assert lost == set()


def test_transcript_and_sheet_work_with_the_last_profile(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (transcript,), (site,) = fenced("transcript"), fenced("site")
    (tmp_path / "wren.yaml").write_text(PROFILES[-1], encoding="utf-8")
    (tmp_path / "first-zone.txt").write_text(transcript, encoding="utf-8")
    (tmp_path / "shed.yaml").write_text(site, encoding="utf-8")
    tried = main(["profile", "try", str(tmp_path / "wren.yaml"), str(tmp_path / "first-zone.txt"), "--all"])
    assert tried == 0, capsys.readouterr().out
    assert main(["enter", str(tmp_path / "shed.yaml")]) == 0
    out = capsys.readouterr().out
    assert "Garden shed" in out
    assert "DOOR?" in out


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("go: wait,", "go: waits,", "is no node of this script"),
        ("how: wait,", "how: waits,", "no answer of this profile"),
        ("next: skip, take: go, choices: {contact", "next: skip, take: ok, choices: {contact", "the keypad has no key"),
        ("then: {if: {behaviour: [entry-door]}, go: wait, else: watch}", "then: watch", "can never be reached"),
        ('"3": edition', '"3": leave', "is never asked and shown nowhere"),
        ("then: {if: {behaviour: [entry-door]}", "then: {if: {behaviour: [perimeter]}", "is asked although"),
        ("when: {behaviour: [entry-door]}", "when: {behaviour: [perimeter]}", "keeps without ever asking for"),
        ("if: {behaviour: [entry-door]}", "if: {behaviour: [entry-door, perimeter, interior]}", "never goes on to"),
        ("ask: zone/*/delay, then: watch", "ask: zone/*/delay, then: acts", "is asked twice before it is kept"),
        ("ask: setting/second-entry-time, keeps: all", "ask: setting/second-entry-time", "is lost on every way on"),
        ("goes on: go, then: top, back: top", "goes on: go, then: edition", "once here, no key leads to rest"),
        ("says: Enter long", "says: Enter by the long way", "signs long, the display shows 16"),
        ("second entry time: LONG", "second entry time: SHORT", "two choices show as"),
        ('{how: seconds, default: "30"}', '{how: seconds, default: "35"}', "which its answer never gives"),
    ],
)  # fmt: skip
def test_what_check_says_stands_in_the_table_of_errors(
    before: str, after: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert before in PROFILES[-1]
    (tmp_path / "wren.yaml").write_text(PROFILES[-1].replace(before, after), encoding="utf-8")
    assert main(["profile", "check", str(tmp_path / "wren.yaml")]) == 2
    assert said in " ".join(capsys.readouterr().err.split())
    assert said in re.sub(r"\d+ signs", "signs", PAGE)

"""The verb `diagnose`: what it prints, what it asks at a terminal, how it is stopped."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from zonewright.cli import main
from zonewright.cli.diagnose_talk import STOPPED, Talk, answer_meant
from zonewright.cli.terminal import Screen
from zonewright.diagnosis.case import Diagnosis, case_of
from zonewright.diagnosis.statements import read_statements
from zonewright.panel.opening import open_site

DEMO = Path(__file__).resolve().parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"


def talk(tmp_path: Path, *lines: str, broken: bool = False) -> tuple[int, str, Path]:
    """Type these lines at a terminal; then Ctrl-C, or the end of the input."""

    def typed() -> Iterator[str]:
        yield from (f"{line}\n" for line in lines)
        if broken:
            raise KeyboardInterrupt
        yield ""

    following, out = typed(), io.StringIO()
    file = tmp_path / "seen.txt"
    screen = Screen(out, 80, colour=False, encoding="utf-8")
    code = Talk(screen, Diagnosis(case_of(open_site(DEMO))), file, lambda: next(following)).held()
    return code, out.getvalue(), file


def test_without_a_terminal_it_prints_the_list_and_the_next_question(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", str(DEMO), "--saw", "back door opens: nothing"]) == 0
    told = capsys.readouterr().out
    assert "zone 2 kitchen back door: the device's battery is flat" in told
    assert "NEXT, 18 s: look at the display" in told
    assert "At worst" in told
    assert all(len(line) <= 80 for line in told.splitlines())


@pytest.mark.parametrize(("noticed", "asks"), [("nothing", True), ("nothing, not message", False)])
def test_nothing_where_the_station_gets_a_message_asks_for_its_word(
    noticed: str, asks: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    bakery = str(DEMO.with_name("bakery.yaml"))
    assert main(["diagnose", bakery, "--saw", f"till button opens: {noticed}"]) == 0
    assert ("leaves out what the station got" in capsys.readouterr().out) == asks


def test_a_message_that_only_a_wrong_panel_sends_can_be_told(capsys: pytest.CaptureFixture[str]) -> None:
    """No zone of the plan sends it, and so it was refused as no message at all."""
    told = "side gate opens: siren, message perimeter alarm"
    plain = DEMO.read_text(encoding="utf-8")
    assert "day-night" not in plain
    assert main(["diagnose", str(DEMO), "--saw", told.replace("perimeter", "24-hour")]) in (0, 1)
    assert "no message has" not in capsys.readouterr().err
    assert main(["diagnose", str(DEMO), "--saw", told.replace("perimeter", "unheard-of")]) == 2


def test_a_zone_that_is_keyed_again_may_be_wrong_in_what_stays_as_it_was(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two doors exchanged their transmitters: zone 1 is taken out and keyed again, its behaviour with it."""
    front, back = '51 9047 31 A, learnt: "904731"', '51 9052 08 K, learnt: "905208"'
    text = DEMO.read_text(encoding="utf-8").replace(front, "FRONT").replace(back, front).replace("FRONT", back)
    site = tmp_path / "exchanged.yaml"
    site.write_text(text, encoding="utf-8")
    saw = "arm away house by Ida; leave by front door; +2 h front door opens: siren, not entry beeps"
    assert main(["diagnose", str(site), "--since", str(DEMO), "--json", "--saw", saw]) == 0
    found = json.loads(capsys.readouterr().out)
    assert any("front door: behaviour is perimeter" in each for cause in found["causes"] for each in cause["says"])


def test_the_same_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", str(DEMO), "--json", "--saw", "back door opens: nothing"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert sum(each["share"] for each in found["causes"]) == pytest.approx(1, abs=1e-2)
    assert found["next"]["answers"][0]["leaves"]


def test_unknown_words_are_told_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", str(DEMO), "--saw", "back dor opens: chim"]) == 2
    told = capsys.readouterr().err
    assert "did you mean  back-door" in told
    assert "did you mean  chime" in told


def test_what_nothing_explains_ends_with_code_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", str(DEMO), "--saw", "small window opens: siren"]) == 1
    told = capsys.readouterr().out
    assert "excluded by" in told
    assert "--two" in told


def test_a_talk_ends_in_the_keys(tmp_path: Path) -> None:
    code, told, file = talk(
        tmp_path,
        "side gate opens",
        "not chime, not spoken, display side gate",
        "back door opens",
        "chime, from the room",
        "",
        "3",
    )
    assert code == 0
    assert "Put the account on test" in told
    assert "IT IS: zone 7 porch side gate: behaviour is environment in place of notice" in told
    assert "only announces?" in told
    assert file.read_text(encoding="utf-8").count("done: ") == 2


def test_ctrl_c_keeps_and_tells_what_was_answered(tmp_path: Path) -> None:
    code, told, file = talk(tmp_path, "back door opens", "nothing", "", "1~", broken=True)
    assert code == STOPPED
    assert "stopped; answered so far" in told
    assert "look at the display: nothing (not sure)" in told
    assert "test: look at the display\nanswer: nothing\nsure: no" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "lines",
    [
        ("back door opens", "nothing", "", "?"),
        ("back door opens", "nothing", "", "1~", "?"),
        ("back door opens", "nothing", "back door opens", "nothing, from the room", "back door opens", "nothing", ""),
        ("front door opens", "nothing, not sure", "", "?", "?", "1"),
    ],
)
def test_a_talk_that_is_taken_up_again_comes_to_the_same_question(tmp_path: Path, lines: tuple[str, ...]) -> None:
    _, told, file = talk(tmp_path, *lines, "/stop")
    put = [line for line in told.splitlines() if line.startswith("NEXT")][-1]
    again, slips = read_statements(file.read_text(encoding="utf-8"), "seen.txt", case_of(open_site(DEMO)))
    assert not slips
    asked = again.next_question()
    assert asked is not None
    assert put.endswith(f": {asked.question.name}")


def test_something_else_is_a_contradiction_that_can_be_put_right(tmp_path: Path) -> None:
    code, told, _ = talk(tmp_path, "back door opens", "nothing", "", "0", "/again", "1", "?", "/stop")
    assert code == 0
    assert "Nothing that is known here explains all of that" in told
    assert "Ask this one again: look at the display: something else" in told


def test_an_answer_is_its_number_its_words_or_their_beginning() -> None:
    answers = ["nothing", "chime: two notes", "chime: bell"]
    assert answer_meant("2", answers) == "chime: two notes"
    assert answer_meant("0", answers) == "something else"
    assert answer_meant("NOTH", answers) == "nothing"
    assert answer_meant("chime", answers) is None
    assert answer_meant("9", answers) is None


@pytest.mark.parametrize("how", [[], ["--json"]])
def test_a_file_that_is_not_there_is_a_mistake(
    how: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["diagnose", str(DEMO), str(tmp_path / "sen.txt"), "--saw", "back door opens: chime", *how]) == 2
    assert "sen.txt:thereisnosuchfile" in "".join(capsys.readouterr().err.split())


def test_at_a_terminal_it_is_begun_and_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Keyboard(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr(sys, "stdin", Keyboard("back door opens\nnothing\n"))
    seen = tmp_path / "seen.txt"
    assert main(["diagnose", str(DEMO), str(seen)]) == 0
    told = "".join(capsys.readouterr().out.split())
    assert "".join(["seen.txt", "isn't", "there;", "it", "is", "begun", "with", "the", "first", "answer"]) in told
    assert "done: back door opens" in seen.read_text(encoding="utf-8")

"""The verb `prove`."""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.interrupts import heard
from zonewright.behaviour.setup import setup_of
from zonewright.cli import main
from zonewright.cli.prove import prove as verb
from zonewright.panel.opening import open_site
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window

DEMO = Path(__file__).resolve().parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"
SITE = open_site(DEMO)
ASKED = len(asked_of(SITE, setup_of(SITE.programme, SITE.profile), Window()))  # how many promises


def test_what_the_owner_wants_of_the_demo_house_holds(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--only", "must", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["verdicts"]
    assert [each["verdict"] for each in found] == ["holds", "holds", "holds"]


def test_a_broken_statement_ends_with_its_timeline(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = DEMO.read_text(encoding="utf-8").replace(
        "never: side-gate causes siren", "never: lounge-window causes siren"
    )
    site = tmp_path / "wrong.yaml"
    site.write_text(wrong, encoding="utf-8")
    assert main(["prove", str(site), "--only", "lounge-window"]) == 1
    told = capsys.readouterr().out
    assert "Fails: never: lounge-window causes siren" in told
    assert "lounge big window opens" in told
    assert "siren sounds" in told


def test_a_word_that_is_nowhere_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--only", "unicorn"]) == 2
    assert "unicorn" in capsys.readouterr().err


@pytest.mark.parametrize("how", [[], ["--afresh"]])
def test_stopped_by_ctrl_c_it_tells_what_it_settled_and_goes_on_from_there(
    how: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A real process and a real signal, sent when the twentieth promise is in hand."""
    monkeypatch.setenv("ZONEWRIGHT_CACHE", str(tmp_path / "kept"))
    program = f"""
import sys, threading
import zonewright.cli.prove as verb
from zonewright.cli import main

seen = []
told = verb.ProgressBar.show
def show(self, *how_far):
    told(self, *how_far)
    seen.append(how_far)
    if len(seen) == 20:
        print("twentieth", file=sys.stderr, flush=True)
        threading.Event().wait(30)
verb.ProgressBar.show = show
sys.exit(main(["prove", {str(DEMO)!r}, "--json", *{how!r}]))
"""
    with subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        preexec_fn=heard,  # noqa: PLW1509 - there are no threads here
    ) as running:  # fmt: skip
        assert running.stderr is not None
        assert running.stderr.readline() == "twentieth\n"
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=30)
    assert running.returncode == 130
    assert len(json.loads(out)["verdicts"]) == 20
    assert json.loads(out)["stopped"] is True
    assert err == f"\nstopped: 20 of {ASKED} settled; kept, and the next run goes on from there\n"
    assert main(["prove", str(DEMO)]) == 0
    known = re.search(r"(\d+) known from before", capsys.readouterr().out)
    assert known is not None
    assert 5 < int(known[1]) <= 20  # a reason in which a label may stand isn't kept, nor any sum


def test_stopped_where_nothing_is_kept_it_says_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(*_how_far: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setenv("ZONEWRIGHT_CACHE", "off")
    monkeypatch.setattr("zonewright.cli.prove.ProgressBar.show", stopped)
    assert main(["prove", str(DEMO)]) == 130
    told = capsys.readouterr()
    assert told.err == f"\nstopped: 1 of {ASKED} settled; nothing new was kept\n"
    assert "\n1 holds; timers exact. All of it with the power on" in told.out


def test_each_promise_has_a_name_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--json"]) == 0
    names = [each["name"] for each in json.loads(capsys.readouterr().out)["verdicts"]]
    assert len(set(names)) == len(names)
    assert "always-disarms-area-1" in names


def test_a_held_promise_is_explained_mode_by_mode_with_what_it_rests_on(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--explain", "never-side-gate-causes-siren"]) == 0
    said = capsys.readouterr().out
    assert "in every mode" in said
    assert "chime: two notes" in said
    assert "siren is called for" not in said
    assert "zone 7 behaviour: notice" in said
    assert "larkfield.yaml:92" in said


def test_a_broken_promise_is_explained_with_its_timeline(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(["prove", str(DEMO.with_name("larkfield-wrong.yaml")), "--explain", "never-side-gate-causes-siren"]) == 1
    )
    said = capsys.readouterr().out
    assert "The shortest way to break it" in said
    assert "siren is called for" in said
    assert "behaviour: perimeter" in said


def test_names_are_listed_and_an_unknown_one_is_told_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--names"]) == 0
    names = capsys.readouterr().out.split()
    assert len(set(names)) == len(names) == ASKED
    assert main(["prove", str(DEMO), "--names", "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)["promises"]
    assert [each["name"] for each in listed] == names
    assert {"name", "promise_kind", "says"} == set(listed[0])
    assert main(["prove", str(DEMO), "--explain", "notice-zone-8"]) == 2
    assert "notice-zone-7" in capsys.readouterr().err


def test_what_is_too_large_is_told_and_what_was_settled_stays(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["prove", str(DEMO), "--json"]) == 0
    usual = {each["name"]: each["verdict"] for each in json.loads(capsys.readouterr().out)["verdicts"]}
    monkeypatch.setattr("zonewright.proof.prover.explore.MOST_SETS", 30)
    assert main(["prove", str(DEMO), "--json"]) == 1  # a script must not take for proved what is left open
    bounded = {each["name"]: each["verdict"] for each in json.loads(capsys.readouterr().out)["verdicts"]}
    assert bounded.keys() == usual.keys()
    undecided = {name for name, verdict in bounded.items() if verdict == "undecided"}
    assert undecided
    assert len(undecided) < len(usual)
    assert all(verdict == usual[name] for name, verdict in bounded.items() if name not in undecided)


def test_a_message_that_waits_is_told_in_plain_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO.with_name("larkfield-wrong.yaml")), "--only", "answers"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "kitchen water sounds at once in every mode; its message waits for the end of the abort window" in said


def test_the_way_to_break_a_route_rests_on_no_single_second(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO.with_name("larkfield-wrong.yaml")), "--only", "coming home"]) == 1
    said = capsys.readouterr().out
    assert "same moment" not in said
    assert "62 s  hall front door opens" in said


def test_the_examples_of_the_help_run_on_the_demo(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(DEMO.parent)
    examples = [line.split()[1:] for line in str(verb.help).splitlines() if line.strip().startswith("zonewright ")]
    assert len(examples) == 3
    for arguments in examples:
        assert main(arguments) == 0, capsys.readouterr().err


def test_a_word_of_several_promises_offers_them_with_what_they_say(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--explain", "never-side-gate"]) == 2
    assert (
        '2 promises have "never-side-gate" in them; name one:\n'
        "  must-never-side-gate-causes-siren-zone-7\n"
        "      never: side-gate causes siren (porch side gate opens)\n"
    ) in capsys.readouterr().err
    assert main(["prove", str(DEMO), "--explain", "disarmed within"]) == 2
    assert "the keypad says so in workshop\n" in capsys.readouterr().err
    assert main(["prove", str(DEMO), "--explain", "coming home: disarmed within"]) == 0
    assert "route-coming-home-in-time" in capsys.readouterr().out


def explained(name: str, capsys: pytest.CaptureFixture[str], site: Path = DEMO, code: int = 0) -> str:
    """What is said of one promise, line breaks aside."""
    assert main(["prove", str(site), "--explain", name]) == code
    return " ".join(capsys.readouterr().out.split())


def test_a_timed_promise_is_argued_step_by_step(capsys: pytest.CaptureFixture[str]) -> None:
    said = explained("route-coming-home-in-time", capsys)
    assert "the entry time of house and the time of the promise were followed to the second" in said
    assert "It begins: hall front door opens: entry beeps, the entry time of house begins (30 s)." in said
    assert "It lasts 22 s. Meanwhile:" in said
    assert "hall movement opens: nothing, since house is in its entry time" in said
    assert "the entry time of house takes 30 s and can't end in that time" in said
    assert "entry:1" not in said
    assert "tracked" not in said


def test_the_argument_is_of_the_site_at_hand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "other.yaml"
    text = DEMO.read_text(encoding="utf-8").replace("entry time: 30 s,", "entry time: 45 s,", 1)
    other.write_text(text.replace("to: hall-keypad}", "to: hall-keypad, takes: 44 s}"), "utf-8")
    said = explained("route-coming-home-in-time", capsys, other)
    assert "It lasts 44 s. Meanwhile:" in said
    assert "the entry time of house takes 45 s and can't end in that time" in said
    assert "entry time: 45 s other.yaml:19" in said.replace(f"{tmp_path}/", "")


def test_what_must_come_is_told_with_when_it_comes(capsys: pytest.CaptureFixture[str]) -> None:
    said = explained("opening-sounds-zone-1", capsys)
    assert "It must be settled within 30 s. Meanwhile:" in said
    assert "the entry time of house ends after 30 s" in said
    assert "somebody disarms house, where the cancel window of house is not running: it is off; that settles it" in said


def test_modes_of_which_all_is_alike_are_told_once_and_outcomes_with_when_they_come(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said = explained("must-never-side-gate-causes-siren", capsys)
    assert (
        "in every mode, whatever runs (69 states): porch side gate opens, where it was shut, it is in use and nothing "
        "sounds yet: chime: two notes porch side gate opens in any other case: nothing"
    ) in said


def test_settings_that_decide_it_are_listed_with_their_place(capsys: pytest.CaptureFixture[str]) -> None:
    said = explained("opening-sends-zone-1", capsys)
    assert "abort window: 30 s" in said
    assert "larkfield.yaml:19" in said
    assert "swinger limit: 2 as shipped" in said
    assert "siren time: 4 min as shipped" in explained("siren-ends-area-1", capsys)
    never = explained("must-never-side-gate-causes-siren", capsys)
    assert "entry time:" not in never
    assert "abort window:" not in never


def test_a_broken_promise_tells_which_single_field_would_mend_it(capsys: pytest.CaptureFixture[str]) -> None:
    wrong = DEMO.with_name("larkfield-wrong.yaml")
    said = explained("route-coming-home-in-time", capsys, wrong, 1)
    assert "It would hold, with this alone changed: zone 5 behaviour: entry-door or on-route or notice" in said
    assert "(now interior, " in said


@pytest.mark.parametrize("kind", ["notice", "answers", "once", "cancel", "delay", "siren", "disarm", "leaving"])
def test_every_kind_of_promise_is_explained(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--only", kind, "--names"]) == 0
    name = capsys.readouterr().out.split()[0] if kind != "leaving" else "left-open-area-1"
    said = explained(name, capsys)
    assert name in said
    assert "states looked at" in said or kind == "delay"


def test_what_fails_for_want_of_people_is_no_matter_of_fields(capsys: pytest.CaptureFixture[str]) -> None:
    said = explained("always-disarms-area-2", capsys, DEMO.with_name("larkfield-wrong.yaml"), 1)
    assert "fails (nobody's code disarms it)" in said
    assert "mend" not in said


@pytest.mark.parametrize("name", ["coming home: disarmed within", "never-side-gate-causes-siren"])
def test_an_explanation_can_be_had_as_data(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = DEMO.with_name("larkfield-wrong.yaml")
    assert main(["prove", str(wrong), "--explain", name, "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found["verdict"].startswith("fails")
    assert found["would_hold_with"]
    assert any(each["place"].endswith(tuple("0123456789")) for each in found["rests_on"])
    assert main(["prove", str(DEMO), "--explain", name, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["situations"] or found["step_by_step"]["meanwhile"]

"""`explain --since` on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.yard import YARD
from zonewright.cli import main
from zonewright.desk.job import open_job
from zonewright.desk.verdicts import Proving
from zonewright.entry.sheets.practise import AS_BEFORE, along, differences, enter
from zonewright.entry.sheets.sheet import delta
from zonewright.panel.held_before import as_held
from zonewright.panel.opening import open_site
from zonewright.panel.programme import UNKNOWN, item_of
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.prove import prove
from zonewright.proof.why.apart import Group, proofs_apart

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
NEW, OLD, WRONG, OTHER = (
    str(FILES / f"{name}.yaml") for name in ("larkfield", "larkfield-before", "larkfield-wrong", "rowan")
)


def test_the_gate_is_told_as_new(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", NEW, "--since", OLD]) == 0
    said = capsys.readouterr().out
    assert "Zone 7 porch side gate\n  it is new:" in said
    assert main(["explain", NEW, "--since", OLD, "--json"]) == 0
    (changed,) = json.loads(capsys.readouterr().out)["changed"]
    assert changed["thing"] == "zone 7 porch side gate"
    assert main(["explain", NEW, "--since", NEW]) == 0
    assert "Nothing that happens is different." in capsys.readouterr().out


def test_proofs_are_compared_zone_by_zone_and_what_fails_now_comes_first(capsys: pytest.CaptureFixture[str]) -> None:
    """In the wrong house the lounge movement acts as the windows do: of these nothing else can be proved."""
    assert main(["explain", WRONG, "--since", NEW, "--proofs"]) == 0
    said = capsys.readouterr().out
    proofs = said[said.index("Fails now:") :]
    # nobody can set the workshop of the wrong house, so that nobody notices its window: one more than was written wrong
    assert " ".join(proofs.partition("\n\n")[0].split()).count("(holds before)") == 6
    assert "window" not in proofs.replace("abort window", "").replace("workshop window", "")
    assert "each of" not in proofs
    assert "in area 1" not in proofs
    assert "siren on for 1 h 8 min at most in house" in " ".join(proofs.split())
    assert main(["explain", NEW, "--since", WRONG, "--proofs", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["proofs"]
    assert [each["promise"].partition(":")[0] for each in found if each["group"] == "No longer fails"] == [
        "a person can notice that workshop window opens", "a code always disarms and silences in workshop",
        "no state refuses every code, and none locks people out in workshop",
        "coming home", "never", "never",
    ]  # fmt: skip
    assert [each["group"] for each in found] == sorted(
        (each["group"] for each in found), key=[each.value for each in Group].index
    )


@pytest.mark.parametrize("site", ["larkfield", "rowan"])
def test_each_zone_by_itself_is_settled_as_it_is_together_with_others(site: str) -> None:
    job = open_job(FILES / f"{site}.yaml")
    resolved, setup, proving = job.resolved, job.setup, Proving(job)
    proving.run()
    together = proving.verdicts
    apart = proofs_apart(resolved, setup, together)
    asked = asked_of(resolved, setup, Window(), apart=True)
    assert len(apart) == len(asked) > len(together)
    assert not any("each of" in each.says for each in asked)
    some = [each for each in asked if each.kind in ("answers", "silent", "delay", "route")]
    alone = {each.promise.name: each.settled.result.value for each in prove(setup, some)}
    assert alone == {each.name: apart[each.aspect, each.zones or each.areas].verdict for each in some}


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([NEW, "--since", OTHER], "it is for the panel Quill"),
        ([NEW, "--proofs"], "--proofs belongs to"),
        ([NEW, "side-gate", "--since", OLD], "give a ZONE, or"),
        ([NEW, "--since", "nowhere.yaml"], "nowhere.yaml"),
    ],
)
def test_wrong_use_is_told(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", *arguments]) == 2
    assert says in " ".join(capsys.readouterr().err.split())


def test_a_number_used_again_and_a_hazard_no_longer_watched_are_told_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = Path(NEW).read_text("utf-8")
    start, end = text.index("  sink-water:"), text.index("  side-gate:")
    gate = text[end : text.index("people:")].replace("number: next free", "number: 11")
    assert "zone: {number: 11" in text[start:end]
    changed = tmp_path / "changed.yaml"
    changed.write_text(text[:start] + gate + text[text.index("people:") :], "utf-8")
    plan = (FILES / "larkfield-plan.yaml").read_text("utf-8").splitlines(keepends=True)
    (tmp_path / "larkfield-plan.yaml").write_text("".join(each for each in plan if "sink-water" not in each), "utf-8")
    assert main(["explain", str(changed), "--since", OLD]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.startswith(
        "Before you key it: - Zone 11 was sink-water and is now side-gate: the number is used again,"
    )
    for verb in (["enter"], ["pack", "--no-proofs", "--no-walk"]):  # who keys it has no other paper at hand
        assert main([verb[0], str(changed), "--since", OLD, *verb[1:]]) == 0
        told = capsys.readouterr().out if verb == ["enter"] else changed.with_suffix(".html").read_text("utf-8")
        assert "Tell the station, whose list still has the old name" in " ".join(told.split())
    capsys.readouterr()
    assert "Nothing watches for water in the kitchen any more; it is watched nowhere else." in said
    assert main(["explain", str(changed), "--since", OLD, "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["beware"]) == 2
    assert main(["explain", NEW, "--since", OLD]) == 0
    assert "Before you key it" not in capsys.readouterr().out


def changed(folder: Path, old: str, new: str) -> tuple[str, str]:
    """Return the paths of a demo site and of the same with one line changed."""
    text = (FILES / "rowan.yaml").read_text(encoding="utf-8").replace("plan: rowan-plan.yaml\n", "")
    assert text.count(old) >= 1
    (folder / "before.yaml").write_text(text, encoding="utf-8")
    (folder / "now.yaml").write_text(text.replace(old, new, 1), encoding="utf-8")
    return str(folder / "before.yaml"), str(folder / "now.yaml")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "second button: disarm",
            "second button: nothing",
            "second-button (Mara's key ring): disarm before, now nothing",
        ),
        (
            "Oda: {role: guest, may: [house], ",
            "Oda: {role: guest, may: [house, garage], ",
            "areas (Oda): 1 before, now 1+2",
        ),
    ],
)
def test_an_answer_that_no_zone_shows_is_never_called_no_difference(
    old: str, new: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, now = changed(tmp_path, old, new)
    assert main(["explain", now, "--since", before]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert says in said
    assert "Nothing that happens is different." not in said
    assert main(["explain", now, "--since", before, "--json"]) == 0
    assert says in " ".join(json.loads(capsys.readouterr().out)["answers"])


@pytest.mark.parametrize(
    ("old", "new", "parts", "beware"),
    [
        ("Oda: {", "Ulla: {", ["person 3 Ulla"], ["Person 3 was Oda and is now Ulla, who keys a code of their own"]),
        (
            "slot: 2}\n  Oda: {role: guest, may: [house], slot: 3}",
            "slot: 3}\n  Oda: {role: guest, may: [house], slot: 2}",
            ["person 2 Oda", "person 3 Tomas"],
            [
                "Person 2 was Tomas and is now Oda",
                "To let them keep theirs, write slot: 3 for Oda and slot: 2 for Tomas.",
            ],
        ),
        ("  Oda: {role: guest, may: [house], slot: 3}\n", "", ["person 3: take out"], ["Person 3 Oda is taken out"]),
    ],
)
def test_no_code_is_handed_on_from_one_person_to_another(
    old: str, new: str, parts: list[str], beware: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A code that stands in a slot is its old owner's: whoever has the slot now keys one, or it is taken out."""
    before, now = changed(tmp_path, old, new)
    assert main(["enter", now, "--since", before, "--json"]) == 0
    sheet = json.loads(capsys.readouterr().out)
    assert [part["title"] for part in sheet["jobs"] if part["title"].startswith("person")] == parts
    for part in sheet["jobs"]:
        own = [row["item"] for row in part["rows"] if row["press"] is None and row["item"] is not None]
        assert part["title"].endswith("take out") or [item for item in own if item.endswith("/code")]
    said = " ".join(" ".join(sheet["beware"]).split())
    assert all(each in said for each in beware)
    assert bool(sheet["beware"]) == bool(beware)


def test_a_scene_that_goes_otherwise_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before, now = changed(tmp_path, "exit time: 60 s", "exit time: 60 s, exit restart: no")
    assert main(["explain", now, "--since", before]) == 0
    assert "Everyday scenes (play --scenes)\n  back for the umbrella:" in capsys.readouterr().out


def test_what_is_told_of_one_of_two_plans_only_is_not_called_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A smoke detector that is no longer looked at twice sounds at once when it trips for a moment."""
    text = YARD.replace("MUST", "never: door causes duress message").replace("ACT", "no")
    (tmp_path / "before.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "now.yaml").write_text(text.replace("verify: yes", "verify: no"), encoding="utf-8")
    assert main(["explain", str(tmp_path / "now.yaml"), "--since", str(tmp_path / "before.yaml")]) == 0
    told = capsys.readouterr().out
    moment = told[told.index("It trips for a moment, away:") :][:200]
    assert "nothing happens" not in moment
    assert "not told separately" in moment


def test_a_walk_after_something_was_taken_out_says_what_to_look_up_and_claims_no_proof(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, now = changed(tmp_path, "  Oda: {role: guest, may: [house], slot: 3}\n", "")
    assert main(["walk", now, "--since", before]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Nothing that is keyed shows in a test." in said
    assert "Proved" not in said
    assert "[ ] person 3: gone; it had role guest" in said
    assert main(["walk", now, "--since", before, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["by_hand"][-1]["rows"] == [
        {"name": "person 3", "what": "gone; it had role guest"}
    ]


def test_a_code_that_is_keyed_in_a_change_is_tried_since_no_display_shows_whose_it_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, now = changed(tmp_path, "Oda: {", "Ulla: {")
    assert main(["enter", now, "--since", before]) == 0
    sheet = " ".join(capsys.readouterr().out.split())
    assert "No display shows whose code was keyed. With person 3: the new code disarms" in sheet
    assert "the one before it opens nothing; everybody else's code still disarms (don't try one for duress)." in sheet
    assert main(["walk", now, "--since", before]) == 0
    walk = " ".join(capsys.readouterr().out.split())
    assert "[ ] person 3: Ulla's code opens; the one before it opens nothing" in walk
    assert "[ ] all others: the code of Mara and Tomas still opens" in walk
    assert main(["enter", now]) == 0
    assert "No display shows whose code was keyed" not in capsys.readouterr().out


def test_a_code_keyed_over_that_of_somebody_else_is_no_plan(tmp_path: Path) -> None:
    """The panel holds a code there as before, and nobody but its owner could tell that it is another one."""
    before, now = (open_site(Path(path)) for path in changed(tmp_path, "Oda: {", "Ulla: {"))
    sheet = delta(now.profile, as_held(before, now).programme, now.programme, now.users)
    practice = along(sheet)
    assert differences(practice) == [("user/3/code", UNKNOWN, "set")]
    for mark in practice.way:
        practice = enter(practice, mark.next)
    assert practice.finished
    assert differences(practice) == []
    over = delta(now.profile, now.programme.changed({item_of("user", 2, "code"): UNKNOWN}), now.programme, now.users)
    practice = enter(practice, "wait")
    for mark in along(over).way:
        practice = enter(practice, mark.next)
    assert differences(practice) == [("user/2/code", "set", AS_BEFORE)]


DESK = """site: Desk
panel: marlow
station: {account: "6391", by: dc-09}
areas: {house: {}}
keypads: {kp: {area: house}}
devices:
  door:
    kind: contact
    number: {printed: 60 20 01}
    zone: {number: 1, area: house, behaviour: entry-door, called: hall door}
  push:
    kind: button
    number: {printed: 60 20 17}
    zone: {number: 2, area: house, behaviour: holdup, called: desk push, report: everything}
people:
  Ann: {role: owner, slot: 1}
  Bea: {role: user, duress: yes, slot: 2}
"""
PUSH = DESK[DESK.index("  push:") : DESK.index("people:")]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (PUSH, "", "gone; it had label desk push; it called for help: set it off only with the station's word"),
        (
            "Bea:",
            "Cara:",
            "Cara's code opens; the one before it opens nothing; it is for duress and calls for help: only",
        ),
    ],
)
def test_what_calls_for_help_is_tried_after_a_change_only_with_the_station_s_word(
    old: str, new: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A duress code that is keyed, a push that was taken out: after a slip it is still live."""
    (tmp_path / "old.yaml").write_text(DESK, encoding="utf-8")
    (tmp_path / "new.yaml").write_text(DESK.replace(old, new), encoding="utf-8")
    paths = [str(tmp_path / "new.yaml"), "--since", str(tmp_path / "old.yaml")]
    assert main(["walk", *paths]) == 0
    walk = " ".join(capsys.readouterr().out.split())
    assert says in walk
    assert "Put the account on test." in walk
    assert "Take the account off test" in walk
    assert main(["enter", *paths]) == 0
    calls = "A code for duress calls for help: only with the station's word." in " ".join(
        capsys.readouterr().out.split()
    )
    assert calls == (new == "Cara:")

"""What is kept of proofs from run to run: it changes no verdict, names nobody, and trusts no byte."""

from __future__ import annotations

import json
import os
import random
from pathlib import Path

import pytest

from zonewright.behaviour.setup import setup_of
from zonewright.cli import main
from zonewright.desk.kept_proofs import KeptProofs, _plain_verdict, _verdict
from zonewright.panel.opening import open_site
from zonewright.proof.promises.promise import ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.prover.refine import Settled, VerdictKind
from zonewright.site.record import ZoneNumber
from zonewright.words.scenes import play_scenes

DEMOS = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
WRONG = str(DEMOS / "larkfield-wrong.yaml")
KNOWN = "known from before"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    kept = tmp_path / "kept"
    monkeypatch.setenv("ZONEWRIGHT_CACHE", str(kept))
    return kept


def proved(capsys: pytest.CaptureFixture[str], *more: str) -> str:
    main(["prove", WRONG, "--only", "gate", *more])
    return capsys.readouterr().out


def test_the_second_run_says_the_same_and_that_it_knew(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first, second = proved(capsys), proved(capsys)
    assert KNOWN not in first
    assert KNOWN in second
    assert second.rpartition("\n\n")[0] == first.rpartition("\n\n")[0]  # all but the sum
    assert KNOWN not in proved(capsys, "--afresh")
    assert KNOWN not in proved(capsys, "--tolerance")  # timers within some per cent are another question
    told = json.loads(proved(capsys, "--json"))
    assert told == json.loads(proved(capsys, "--json", "--afresh"))
    file = next(folder.iterdir())
    assert not file.stat().st_mode & 0o077
    text = file.read_text(encoding="utf-8").casefold()
    assert not any(word in text for word in ("gate", "ida", "bertil", "kitchen", "larkfield"))


def test_what_it_rests_on_decides(folder: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    site = tmp_path / "site.yaml"
    text = (DEMOS / "larkfield.yaml").read_text(encoding="utf-8").replace("plan: larkfield-plan.yaml\n", "")
    for changed, known in (
        (text, False),
        (text, True),
        (text.replace("abort window: 30 s", "abort window: 20 s"), False),
        (text.replace("555-", "555-0"), True),
        (_swapped(text, "front-door", "back-door"), False),
    ):
        site.write_text(changed, encoding="utf-8")
        main(["prove", str(site), "--only", "gate"])
        assert (KNOWN in capsys.readouterr().out) is known


def _swapped(text: str, one: str, other: str) -> str:
    """Call two devices by each other's names where they stand, and nowhere else: routes then begin elsewhere."""
    return text.replace(f"  {one}:", "  @:").replace(f"  {other}:", f"  {one}:").replace("  @:", f"  {other}:")


def test_two_promises_whose_names_run_together_are_told_apart(folder: Path) -> None:
    setup = setup_of((site := open_site(DEMOS / "larkfield.yaml")).programme, site.profile)
    routes = [ZoneRoute(name, ZoneNumber(1), (), 20) for name in ("way in", "way-in")]
    one, other = (each for each in promises(setup, routes) if each.aspect.endswith("in time"))
    assert one.name == other.name
    kept = KeptProofs(folder, "0" * 64)
    kept.add(one, Settled(VerdictKind.HOLDS))
    assert kept.of(one) == Settled(VerdictKind.HOLDS)
    assert kept.of(other) is None


def test_only_files_of_its_own_are_let_go(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("zonewright.desk.kept_proofs.MOST_FILES", 1)
    folder.mkdir(mode=0o700)
    (folder / "mine.json").write_text("{}", encoding="utf-8")
    (folder / ("0" * 64 + ".json")).write_text("{}", encoding="utf-8")
    os.utime(folder / ("0" * 64 + ".json"), (0, 0))
    proved(capsys)
    left = {each.name for each in folder.iterdir()}
    assert "mine.json" in left
    assert "0" * 64 + ".json" not in left
    assert len(left) == 2


@pytest.mark.parametrize(
    "spoilt",
    [b"", b"\xff\xfe", b"[]", b'{"a": 1}', b"[" * 100_000, b'{"x": {"result": "HOLDS"}}'],
)
def test_a_spoilt_file_is_passed_over(folder: Path, capsys: pytest.CaptureFixture[str], spoilt: bytes) -> None:
    first = proved(capsys)
    for file in folder.iterdir():
        file.write_bytes(spoilt)
    assert proved(capsys) == first
    assert KNOWN in proved(capsys)  # it was written again


def test_of_a_file_with_one_other_byte_nothing_is_believed(tmp_path: Path) -> None:
    """Each byte of a file in turn, 3,000 of them, each by another value: none of its verdicts is taken."""
    chance = random.Random(11)
    setup = setup_of((site := open_site(DEMOS / "larkfield.yaml")).programme, site.profile)
    asked = promises(setup)[:12]
    tmp_path.chmod(0o700)
    kept = KeptProofs(tmp_path, "0" * 64)
    for each in asked:
        kept.add(each, Settled(VerdictKind.HOLDS, 12, 3, ("entry:1",), cases=4))
    kept.write()
    (file,) = tmp_path.iterdir()
    whole = file.read_bytes()
    assert any(KeptProofs(tmp_path, "0" * 64).of(each) for each in asked)
    for _ in range(3000):
        place = chance.randrange(len(whole))
        other = (whole[place] + chance.randrange(1, 256)) % 256
        file.write_bytes(whole[:place] + bytes([other]) + whole[place + 1 :])
        spoilt = KeptProofs(tmp_path, "0" * 64)
        assert not any(spoilt.of(each) for each in asked), place


def test_what_was_kept_of_another_programme_is_not_believed_under_this_name(tmp_path: Path) -> None:
    setup = setup_of((site := open_site(DEMOS / "larkfield.yaml")).programme, site.profile)
    one = promises(setup)[0]
    tmp_path.chmod(0o700)
    kept = KeptProofs(tmp_path, "0" * 64)
    kept.add(one, Settled(VerdictKind.HOLDS, cases=1))
    kept.write()
    (tmp_path / ("0" * 64 + ".json")).rename(tmp_path / ("1" * 64 + ".json"))
    assert KeptProofs(tmp_path, "1" * 64).of(one) is None


def test_a_new_label_leaves_what_was_proved(folder: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    site = tmp_path / "site.yaml"
    text = (DEMOS / "larkfield.yaml").read_text(encoding="utf-8").replace("plan: larkfield-plan.yaml\n", "")
    renamed = text.replace("called: small window", "called: lower window")
    assert renamed != text
    site.write_text(text, encoding="utf-8")
    main(["prove", str(site), "--only", "window"])
    assert KNOWN not in capsys.readouterr().out
    site.write_text(renamed, encoding="utf-8")
    main(["prove", str(site), "--only", "window"])
    assert KNOWN in capsys.readouterr().out


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="no such rights here")
def test_what_another_user_kept_is_not_believed(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    proved(capsys)
    assert KNOWN in proved(capsys)
    mine = os.getuid()
    monkeypatch.setattr(os, "getuid", lambda: mine + 1)
    assert KNOWN not in proved(capsys)


def test_no_folder_is_made_in_a_home_that_is_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("ZONEWRIGHT_CACHE", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "nobody"))
    assert "holds" in proved(capsys)
    assert not (tmp_path / "nobody").exists()


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="no such rights here")
def test_no_folder_is_made_in_the_home_of_another_user(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("ZONEWRIGHT_CACHE", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    mine = os.getuid()
    monkeypatch.setattr(os, "getuid", lambda: mine + 1)
    assert "holds" in proved(capsys)
    assert not (tmp_path / ".cache").exists()


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="no such rights here")
def test_what_others_could_have_written_is_passed_over(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    proved(capsys)
    (file,) = folder.iterdir()
    file.chmod(0o666)
    assert KNOWN not in proved(capsys)
    assert KNOWN in proved(capsys)
    folder.chmod(0o777)
    assert KNOWN not in proved(capsys)


def test_nowhere_to_write_is_no_matter(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    monkeypatch.setenv("ZONEWRIGHT_CACHE", str(tmp_path / "file" / "folder"))
    assert "holds" in proved(capsys)


@pytest.mark.parametrize("name", ["larkfield", "rowan", "bakery"])
def test_every_timeline_comes_back_as_it_was(name: str) -> None:
    resolved = open_site(DEMOS / f"{name}.yaml")
    for played in play_scenes(resolved, setup_of(resolved.programme, resolved.profile)):
        settled = Settled(VerdictKind.FAILS, 3, 4, ("entry:1",), played.timeline)
        assert _verdict(json.loads(json.dumps(_plain_verdict(settled)))) == settled

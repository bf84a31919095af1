"""What is kept of proofs from run to run: it changes no verdict, names nobody, and trusts no byte."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from zonewright.behaviour.scenes import play_scenes
from zonewright.behaviour.setup import setup_of
from zonewright.cli import main
from zonewright.cli.kept_proofs import KeptProofs, _plain_verdict, _verdict
from zonewright.panel.opening import open_site
from zonewright.proof.promise import Route
from zonewright.proof.properties import promises
from zonewright.proof.refine import Result, Settled
from zonewright.site.record import ZoneNumber

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
    routes = [Route(name, ZoneNumber(1), (), 20) for name in ("way in", "way-in")]
    one, other = (each for each in promises(setup, routes) if each.aspect.endswith("in time"))
    assert one.name == other.name
    kept = KeptProofs(folder, "0" * 64)
    kept.add(one, Settled(Result.HOLDS))
    assert kept.of(one) == Settled(Result.HOLDS)
    assert kept.of(other) is None


def test_only_files_of_its_own_are_let_go(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("zonewright.cli.kept_proofs.MOST_FILES", 1)
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
    assert KNOWN in proved(capsys)  # it was written anew


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
        settled = Settled(Result.FAILS, 3, 4, ("entry:1",), played.timeline)
        assert _verdict(json.loads(json.dumps(_plain_verdict(settled)))) == settled

"""Every verb that reads a file answers a hostile one with findings: a place, what to do, and nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.site.test_hostile import HOSTILE
from zonewright.cli import main

SITE = (Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml").read_text("utf-8")
KINDS = ("brackets", "aliases", "one long text", "control characters", "escapes", "tabs", "commas")
READERS = {
    "the plan": ("pack", "planned.yaml"),
    "the profile beside a site": ("check", "panelled.yaml"),
    "a profile": ("profile", "check", "bad.yaml"),
    "the older site": ("enter", "good.yaml", "--since", "bad.yaml"),
    "a schedule": ("import", "bad.yaml", "made.yaml"),
    "a site to prove": ("prove", "bad.yaml"),
}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_hostile_file_is_answered_by_findings(
    kind: str, reader: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("bad.yaml").write_text(HOSTILE[kind](), encoding="utf-8")
    Path("good.yaml").write_text(SITE, encoding="utf-8")
    Path("planned.yaml").write_text(SITE.replace("larkfield-plan.yaml", "bad.yaml"), encoding="utf-8")
    Path("panelled.yaml").write_text(SITE.replace("panel: tern ", "panel: bad.yaml "), encoding="utf-8")
    before = sorted(tmp_path.iterdir())
    assert main(list(READERS[reader])) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "bad.yaml:" in said.err
    assert len(said.err) < 100_000
    assert sorted(tmp_path.iterdir()) == before


def test_broken_bytes_are_told_with_their_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "site.yaml"
    path.write_bytes(SITE.encode().replace(b"Cottage", b"Cott\xffge"))
    for verb in (["check"], ["profile", "check"]):
        assert main([*verb, str(path)]) == 2
        assert "site.yaml" in capsys.readouterr().err
    assert main(["decode", "--file", str(path)]) == 1  # a line that is no message is told, the next one is read

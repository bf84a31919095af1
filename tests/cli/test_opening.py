"""What a file names stays in its folder, an older site is of the same panel, and no input is ever an output."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from shutil import copy

import pytest

from zonewright.cli import main
from zonewright.desk.results.findings import Findings
from zonewright.desk.slip_ends import ends_of
from zonewright.entry.keypad.drive import drive
from zonewright.entry.slips.astray import SheetJobs
from zonewright.panel.legal import as_shipped
from zonewright.panel.opening import open_site
from zonewright.panel.profile_file import SHIPPED

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the demo's files, one level below others."""
    here = tmp_path / "job"
    here.mkdir()
    for file in FILES.glob("*.yaml"):
        copy(file, here)
    (tmp_path / "panel.yaml").write_text((SHIPPED / "tern.yaml").read_text("utf-8"), "utf-8")
    copy(FILES / "larkfield-plan.yaml", tmp_path / "plan.yaml")
    monkeypatch.chdir(here)
    return here


def site_with(folder: Path, before: str, after: str) -> str:
    text = (FILES / "larkfield.yaml").read_text("utf-8")
    assert before in text
    (folder / "site.yaml").write_text(text.replace(before, after), "utf-8")
    return "site.yaml"


@pytest.mark.parametrize("verb", [["check"], ["matrix"], ["prove"], ["enter"], ["walk"], ["pack"], ["messages"]])
def test_a_profile_outside_the_folder_is_refused_at_its_line(
    verb: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site = site_with(folder, "panel: tern", "panel: ../panel.yaml")
    assert main([*verb, site]) == 2
    said = capsys.readouterr().err
    assert "leads out of the folder" in said
    assert "site.yaml:" in said
    assert "--outside" in said


def test_links_are_followed_before_it_is_judged_and_the_flag_allows_it(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "near.yaml").symlink_to("../panel.yaml")
    site = site_with(folder, "panel: tern", "panel: near.yaml")
    assert main(["matrix", site]) == 2
    assert main(["--outside", "matrix", site]) == 0
    copy(folder.parent / "panel.yaml", folder / "own.yaml")
    site_with(folder, "panel: tern", "panel: own.yaml")
    assert main(["matrix", site]) == 0
    capsys.readouterr()


def test_a_plan_outside_the_folder_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site = site_with(folder, "plan: larkfield-plan.yaml", "plan: ../plan.yaml")
    assert main(["pack", site, "--no-proofs", "--no-walk"]) == 2
    assert "leads out of the folder" in capsys.readouterr().err
    assert not (folder / "site.pdf").exists()


def test_a_readback_of_a_panel_elsewhere_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert main(["readback", "../panel.yaml", "panel-now.yaml"]) == 2
    assert "leads out of the folder" in capsys.readouterr().err
    assert not (folder / "panel-now.yaml").exists()


SINCE = {
    "enter": ["enter", "larkfield.yaml"],
    "practise": ["practise", "larkfield.yaml"],
    "pack": ["pack", "larkfield.yaml", "--no-proofs", "--no-walk"],
    "walk": ["walk", "larkfield.yaml"],
    "diagnose": ["diagnose", "larkfield.yaml"],
    "explain": ["explain", "larkfield.yaml"],
}


def test_since_of_another_panel_is_refused_in_the_same_words_by_every_verb(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = set()
    for verb in SINCE.values():
        assert main([*verb, "--since", "rowan.yaml"]) == 2
        printed = capsys.readouterr()
        assert printed.out == ""
        said.add(printed.err)
    assert len(said) == 1
    assert "rowan.yaml" in next(iter(said))


@pytest.mark.parametrize(
    "verb",
    [
        ["pack", "larkfield.yaml", "--no-proofs", "--no-walk", "--out", "larkfield.yaml"],
        ["pack", "larkfield.yaml", "--no-proofs", "--no-walk", "--out", "larkfield-plan.yaml"],
        ["enter", "larkfield.yaml", "--out", "larkfield.yaml"],
        ["enter", "larkfield.yaml", "--since", "larkfield-before.yaml", "--out", "larkfield-before.yaml"],
        ["play", "larkfield.yaml", "--scene", "umbrella", "--svg", "larkfield.yaml"],
    ],
    ids=" ".join,
)
def test_a_verb_never_writes_over_what_it_reads(
    verb: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert main([*verb, "--force"]) == 2
    assert "is read by this command" in capsys.readouterr().err
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_a_pack_whose_page_would_be_its_pdf_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pack", "larkfield.yaml", "--no-proofs", "--no-walk", "--out", "x.html"]) == 2
    assert "two files would be written there" in capsys.readouterr().err
    assert not (folder / "x.html").exists()


@pytest.mark.parametrize("typed", [["check", "\x1b[31m.yaml"], ["\x1b[31mchekc"], ["check", "--\x1b[2J"]])
def test_escape_signs_that_somebody_typed_never_reach_the_terminal(
    typed: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(typed) == 2
    printed = capsys.readouterr()
    assert "\x1b" not in printed.out + printed.err


def test_escape_signs_in_json_are_written_as_json_writes_them(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from zonewright.cli.plain_data import json_text

    assert json_text({"name": "a\x7fb"}) == '{\n  "name": "a\\u007fb"\n}'
    assert json_text({"name": "a\x9b31m\u202eb\nü"}) == '{\n  "name": "a\\u009b31m\\u202eb\\nü"\n}'


def test_two_jobs_in_two_threads_each_get_their_own_ends() -> None:
    sites = [open_site(FILES / f"{name}.yaml") for name in ("larkfield", "rowan")]
    jobs = [(each.profile, list(drive(each.profile, as_shipped(each.profile), each.programme))[:14]) for each in sites]
    alone = [list(SheetJobs(profile, driven).all_ends()) for profile, driven in jobs]
    together = threading.Barrier(2)

    def ends(profile: object, driven: object) -> object:
        together.wait()
        return list(ends_of(profile, driven))  # type: ignore[arg-type]

    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda job: ends(*job), jobs))
    assert found == alone


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a system without fork")
def test_the_end_by_the_system_is_quiet_with_all_workers(folder: Path) -> None:
    """The whole group is told to end, as at a shut-down, once the workers are there."""
    code = (
        "import os, signal, sys, time\n"
        "from zonewright.cli import main\n"
        "from zonewright.desk import cores\n"
        "import click\n"
        "def act():\n"
        "    with cores.copies(2) as pool:\n"
        "        found = pool.map_async(time.sleep, [30, 30])\n"
        "        pool.apply_async(print, ('begun',), callback=lambda _: None)\n"
        "        print('begun', flush=True)\n"
        "        found.get()\n"
        "group = click.Group('zonewright')\n"
        "group.add_command(click.Command('act', callback=act))\n"
        "sys.argv[1:] = ['act']\n"
        "sys.exit(main(program=group))\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline() == "begun\n"
        os.killpg(process.pid, signal.SIGTERM)
        said = process.stderr.read()
    assert (process.returncode, said) == (143, "\nstopped; nothing was written\n")


@pytest.mark.parametrize(("ends", "code", "says"), [(True, 143, "\nstopped; nothing was written\n"), (False, 1, None)])
def test_the_end_while_a_library_is_loaded_is_as_quiet_as_any_other(ends: bool, code: int, says: str | None) -> None:
    """A library may turn what stops it into an ImportError; one that nobody stopped is a mistake of ours."""
    act = (
        "import click, os, signal, sys\n"
        "from zonewright.cli import main\n"
        "def act():\n"
        "    try:\n"
        f"        os.kill(os.getpid(), signal.SIGTERM) if {ends} else None\n"
        "    finally:\n"
        "        raise ImportError('half a library')\n"
        "group = click.Group('zonewright')\n"
        "group.add_command(click.Command('act', callback=act))\n"
        "sys.argv[1:] = ['act']\n"
        "sys.exit(main(program=group))\n"
    )
    done = subprocess.run([sys.executable, "-c", act], capture_output=True, text=True, check=False)
    assert done.returncode == code
    assert done.stderr == says if says else "ImportError: half a library" in done.stderr


@pytest.mark.parametrize("verb", ["prove", "play", "enter", "messages", "number"])
def test_a_readback_is_taken_for_one_where_a_site_file_is_wanted(
    verb: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "panel.yaml"
    file.write_text("readback: 1\npanel: tern\n", encoding="utf-8")
    assert main([verb, str(file)]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert "it is a readback, and this takes a site file" in said
    assert "zonewright new FILE --from" in said


def test_what_is_wrong_with_the_input_is_json_where_that_was_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "site.yaml"
    file.write_text("site: Weir\npanel: tern\nareas: {house: {}}\nsettings: {exit tyme: 60 s}\n", encoding="utf-8")
    assert main(["check", str(file), "--json"]) == 2
    said = capsys.readouterr()
    (found,) = Findings.model_validate_json(said.out).findings
    assert (found.code, found.nearest, found.path) == ("PAN-03", "exit time", ("settings", "exit tyme"))
    assert "exit tyme" in said.err
    assert main(["check", str(file)]) == 2
    assert capsys.readouterr().out == ""

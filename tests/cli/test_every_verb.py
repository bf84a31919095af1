"""What holds of every verb: its help is whole, each of its examples runs, and wrong use is told plainly.

The list of verbs drives it, so that a new one can't be forgotten.
"""

from __future__ import annotations

import io
import json
import shlex
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from jsonschema import Draft202012Validator

from tests.cli.example_files import TYPED, lay_out
from zonewright.cli import main
from zonewright.cli.verbs import VERBS, Verbs
from zonewright.desk.schemas import RESULTS, schema_for

GROUP = Verbs("zonewright")
READS_NO_FILE = {"rules", "schema", "encode", "demo"}
NO_SUCH_FILE = {*READS_NO_FILE, "new", "decode"}  # these take the name of a new file, and lines
WRITTEN = {"new": ["larkfield.yaml"], "readback": ["larkfield-panel.yaml"]}  # by the examples, so not there yet


def commands() -> Iterator[tuple[str, click.Command]]:
    """Give every verb with its command, those below `profile` by both words."""
    context = click.Context(GROUP)
    for name in VERBS:
        command = GROUP.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group):
            yield from ((f"{name} {below}", each) for below, each in command.commands.items())
        else:
            yield name, command


def examples() -> Iterator[str]:
    """Give the examples that stand in the helps."""
    for name, command in commands():
        lines = [line.strip() for line in (command.help or "").splitlines() if line.strip().startswith("zonewright ")]
        assert lines or name == "demo", f"{name} has no example"
        yield from (line.partition("  ")[0] for line in lines)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with what the examples name."""
    lay_out(tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO(TYPED))
    return tmp_path


@pytest.mark.parametrize("name", [name for name, _ in commands()])
def test_every_help_is_whole(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*name.split(), "--help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith(f"Usage: zonewright {name} ")
    assert all(len(line) <= 80 for line in lines if not line.strip().startswith("zonewright "))


@pytest.mark.parametrize("example", list(examples()))
def test_every_example_of_a_help_runs(example: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = shlex.split(example.partition(" > ")[0])[1:]
    for name in WRITTEN.get(words[0], ()):
        if "--from" not in words or name == "larkfield.yaml":
            (folder / name).unlink()
    code = main(words)
    told = capsys.readouterr()
    assert code in (0, 1), told.err


def gives_json(example: str) -> bool:
    """Return whether the verb of an example prints its result as JSON, too."""
    words = shlex.split(example)[1:]
    of = [command for name, command in commands() if words[: len(name.split())] == name.split()]
    return any("--json" in parameter.opts for command in of for parameter in command.params)


@pytest.mark.parametrize("example", [each for each in examples() if gives_json(each)])
def test_json_is_what_the_schema_of_its_kind_says(
    example: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = shlex.split(example.partition(" > ")[0])[1:]
    code = main([*words, "--json"])
    out, err = capsys.readouterr()
    assert code in (0, 1), err
    written = words[words.index("--out") + 1] if "--out" in words else None
    data = json.loads(Path(written).read_text("utf-8") if written else out)
    assert list(data)[:2] == ["kind", "version"]
    assert data["kind"] in RESULTS
    found = Draft202012Validator(schema_for(data["kind"])).iter_errors(data)
    assert [f"{error.json_path}: {error.message}" for error in found] == []
    assert {key for key in every_key(data) if not key.islower() or " " in key} == set()


def every_key(data: object) -> Iterator[str]:
    """Give every key in plain data, at any depth."""
    if isinstance(data, dict):
        yield from data
    for part in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from every_key(part)


@pytest.mark.parametrize("name", [name for name, _ in commands()])
def test_every_verb_tells_wrong_use_plainly(name: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*name.split(), "--no-such-option"]) == 2
    assert "--no-such-option" in capsys.readouterr().err


@pytest.mark.parametrize("name", [name for name, _ in commands() if name.split()[0] not in NO_SUCH_FILE])
def test_every_verb_that_reads_a_file_names_one_that_is_not_there(
    name: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path: path.read_bytes() for path in folder.iterdir()}
    code = main([*name.split(), "nowhere.yaml"])
    told = capsys.readouterr().err
    assert code == 2
    assert "nowhere.yaml" in told or "Missing argument" in told
    assert {path: path.read_bytes() for path in folder.iterdir()} == before

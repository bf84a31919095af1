"""Every command on a page runs, and what a page shows of its output is what comes out.

Rules of this file:
1. A command is a line of a block (after `$ ` where output is shown, too), or code in a sentence or a table that begins
   with `zonewright`. Words in capitals are filled in from `FILLED`; what is in square brackets is tried with the rest.
2. A command that isn't run stands in `SKIPPED` with its reason. One that no page has any more may not stand there.
"""

from __future__ import annotations

import io
import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

import ready
from tests.cli.example_files import TYPED, lay_out
from tests.cli.one_door import HABITS, PEOPLE, ZONE
from zonewright.cli import main

ROOT = Path(ready.ROOT)
PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").rglob("*.md"))]
BEGINNINGS = ("zonewright ", "./zonewright ", "./dev ", "python -m benchmarks.")
FILLED = {
    "SITE": "larkfield.yaml",
    "OLDER": "larkfield-before.yaml",
    "DEVICE": "side-gate",
    "ZONE": "side-gate",
    "PANEL": "tern",
    "SCHEDULE": "schedule.csv",
    "TRANSCRIPT": "first-zone.txt",
    "LINE": "1234181131010158",
    "KIND": "verdicts",
    "CODE": "SUP-01",
    "VERB": "check",
}
FILE = {"profile": "./my-panel.yaml"}  # what FILE is, where it isn't a new one
MINUTES = "takes minutes; tests/tools/test_benchmarks.py runs each benchmark in small"
SKIPPED = {
    "./zonewright demo": "CI runs it in a fresh clone; tests/cli/test_demo.py runs the verb",
    "./dev test": "it would run this test",
    "zonewright demo": "tests/cli/test_demo.py runs the verb",
    "zonewright --outside": "an option before any verb; tests/cli/test_opening.py uses it",
    "zonewright profile try": "only names the verb, which needs a file; other examples give one",
    "zonewright pack": "only names the verb, which needs a file; other examples give one",
    "zonewright check": "only names the verb, which needs a file; other examples give one",
    "zonewright messages": "only names the verb, which needs a file; other examples give one",
    "zonewright number": "only names the verb, which needs a file; other examples give one",
    "python -m benchmarks.growing": MINUTES,
    "python -m benchmarks.irregular": MINUTES,
    "python -m benchmarks.long_runs [SITES] [SECONDS-OF-PROVING-EACH] [EVENTS-EACH]": MINUTES,
    "python -m benchmarks.spin [--limit SECONDS] [--memory MB]": MINUTES,
}


@dataclass(frozen=True, slots=True)
class Example:
    """A command on a page, and what the page shows of its output; nothing if it shows none."""

    page: Path
    command: str
    shown: str = ""

    def __str__(self) -> str:
        return f"{self.page.stem}: {self.command}"


def examples(page: Path) -> Iterator[Example]:
    """Give the commands of a page in its order, each once."""
    text = page.read_text(encoding="utf-8")
    found = [*in_blocks(page, text), *(Example(page, command) for command in in_sentences(text))]
    yield from {each.command: each for each in reversed(found)}.values()


def in_blocks(page: Path, text: str) -> Iterator[Example]:
    """Give the commands of fenced blocks with their output, and those of indented lines."""
    for block in re.findall(r"^```(?:sh|console|)\n(.*?)^```", text, re.DOTALL | re.MULTILINE):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, shown = part.partition("\n")
            yield Example(page, command, shown)
        if not block.startswith("$ "):
            yield from (Example(page, line) for line in block.splitlines() if line.startswith(BEGINNINGS))
    for line in unfenced(text).splitlines():
        if line.startswith("    ") and line.strip().startswith(BEGINNINGS):
            yield Example(page, line.strip())


def in_sentences(text: str) -> list[str]:
    """Return the commands that stand as code in sentences and tables."""
    return re.findall(r"`(zonewright [^`]+)`", unfenced(text))


def unfenced(text: str) -> str:
    """Return a page without its fenced blocks."""
    return re.sub(r"^```.*?^```", "", text, flags=re.DOTALL | re.MULTILINE)


EXAMPLES = [example for page in PAGES for example in examples(page)]


def words_of(command: str) -> list[str]:
    """Return the arguments of a command, what it leaves open filled in."""
    plain = re.sub(r"[\[\]]", "", command.partition(" > ")[0])
    verb, *rest = shlex.split(plain)[1:]
    filled = {**FILLED, "FILE": FILE.get(verb, "begun.yaml")}
    return [filled.get(word, word) for word in (verb, *rest)]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the files that examples name."""
    lay_out(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def lay_out_for(page: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Put there what this page alone has made before."""
    match page.name:
        case "take-over.md":
            monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in (*ZONE, *PEOPLE, *HABITS))))
            assert main(["readback", "tern", "panel.yaml"]) == 0
        case "describe-your-panel.md":
            text = page.read_text(encoding="utf-8")
            for name, kind in (("wren.yaml", "yaml"), ("first-zone.txt", "transcript"), ("shed.yaml", "site")):
                *_, last = re.findall(rf"^```{kind}\n(.*?)^```", text, re.DOTALL | re.MULTILINE)
                (folder / name).write_text(last, encoding="utf-8")
        case _:
            pass


@pytest.mark.parametrize("example", [each for each in EXAMPLES if each.command not in SKIPPED], ids=str)
def test_every_command_of_a_page_runs(
    example: Example, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lay_out_for(example.page, folder, monkeypatch)
    capsys.readouterr()
    monkeypatch.setattr("sys.stdin", io.StringIO(TYPED))
    words = words_of(example.command)
    if words[0] == "new" and "--from" in words:
        (folder / words[1]).unlink()
    code = main(words)
    printed = capsys.readouterr()
    assert code in (0, 1), printed.err
    if example.page.name == "README.md":  # parts of what comes out: every line, in this order
        place, said = 0, printed.out.splitlines()
        for line in filter(str.strip, example.shown.splitlines()):
            place = said.index(line, place) + 1
    elif example.shown:
        assert printed.out.strip() == example.shown.strip()


def test_what_is_skipped_stands_on_a_page() -> None:
    assert set(SKIPPED) <= {example.command for example in EXAMPLES}


def test_commands_are_found_wherever_they_stand(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text(
        "Say `zonewright rules`:\n\n    zonewright check a.yaml\n\n```sh\nzonewright enter a.yaml\n```\n\n"
        "```console\n$ zonewright walk a.yaml\n31 tests\n$ zonewright rules\n```\n"
    )
    assert [(each.command, each.shown) for each in sorted(examples(page), key=lambda each: each.command)] == [
        ("zonewright check a.yaml", ""),
        ("zonewright enter a.yaml", ""),
        ("zonewright rules", ""),
        ("zonewright walk a.yaml", "31 tests\n"),
    ]

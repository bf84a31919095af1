"""The developer's tasks."""

from __future__ import annotations

from pathlib import Path

import pytest

import dev


def test_the_tests_are_the_last_gate_and_take_the_further_arguments() -> None:
    steps = dev.test(["-k", "site"])
    assert steps[-1].command == (*dev.PYTEST, "-k", "site")
    assert len(steps) == 5


def test_quick_looks_at_all_and_tests_the_rooms_on_which_the_others_stand() -> None:
    *looks, tests = dev.quick(["-x"])
    assert looks == dev.gates()
    folders = [word for word in tests.command if word.startswith("tests/")]
    assert folders == ["tests/site", "tests/panel", "tests/behaviour"]
    assert tests.command[-1] == "-x"


def test_quick_tests_the_rooms_that_are_named() -> None:
    *_, tests = dev.quick(["checks", "desk", "-k", "words"])
    assert tests.command[-4:] == ("tests/checks", "tests/desk", "-k", "words")


def test_a_task_stops_at_the_first_failure(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    steps = [
        dev.Step("one", ("-c", "print('ran one')")),
        dev.Step("two", ("-c", "raise SystemExit(3)")),
        dev.Step("three", ("-c", "print('ran three')")),
    ]
    assert dev.run(steps, tmp_path) == 3
    printed, told = capfd.readouterr()
    assert "== one" in printed
    assert "ran one" in printed
    assert "three" not in printed
    assert "two: failed" in told


def test_run_is_locked_to_what_dev_chose_and_no_address_is_written() -> None:
    made = dev.lock([])
    assert "dev.txt" in made[0].headline
    assert made[1].command[made[1].command.index("-c") + 1] == "requirements/dev.txt"
    assert all({"--generate-hashes", "--no-emit-index-url", "--no-header"} <= set(step.command) for step in made)


def test_docs_writes_pages_and_where_asked_builds_or_serves_the_site() -> None:
    assert [step.command[0] for step in dev.docs([])] == ["tools/docs.py"]
    assert dev.docs(["--site"])[1:] == [dev.Step("site in build/docs", (*dev.SITE, "build", "--strict", "--quiet"))]
    assert "serve" in dev.docs(["--serve"])[-1].command
    with pytest.raises(SystemExit):
        dev.docs(["--sight"])


@pytest.mark.parametrize(("arguments", "code"), [([], 2), (["--help"], 0), (["tset"], 2)])
def test_without_a_known_task_they_are_listed(
    arguments: list[str], code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert dev.main(arguments) == code
    printed, told = capsys.readouterr()
    assert all(f"./dev {name}" in printed + told for name in dev.TASKS)

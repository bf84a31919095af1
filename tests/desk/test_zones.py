"""Zones and files as people name them."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.cli import main

DEMOS = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"


@pytest.mark.parametrize(
    ("site", "wrote", "meant"),
    [
        ("larkfield", "side-gaet", "side-gate"),
        ("bakery", "gatee", "delivery-gate"),
        ("bakery", "dor", "shop-door, yard-door"),
        ("larkfield", "smal window", "kitchen-window"),  # by its label
    ],
)
def test_a_mistyped_zone_is_told_with_the_likeliest(
    site: str, wrote: str, meant: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["explain", str(DEMOS / f"{site}.yaml"), wrote]) == 2
    assert f"did you mean  {meant}\n" in capsys.readouterr().err


def test_a_word_that_is_like_nothing_gets_no_guess(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", str(DEMOS / "larkfield.yaml"), "unicorn"]) == 2
    assert "did you mean" not in capsys.readouterr().err


@pytest.mark.parametrize("verb", ["prove", "check", "pack", "matrix", "walk"])
def test_an_empty_name_of_a_file_is_no_folder(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([verb, ""]) == 2
    told = capsys.readouterr().err
    assert "'SITE': it is empty; name a file" in told
    assert "folder" not in told


def test_all_about_a_zone_calls_areas_by_their_names(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", str(DEMOS / "bakery.yaml"), "shop-door"]) == 0
    said = capsys.readouterr().out
    assert "(shop: entry time ends)" in said
    assert "area 1" not in said

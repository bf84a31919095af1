"""Where a rule speaks of seconds: it is silent at its limit, and found one second beyond it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from zonewright.behaviour.setup import Setup, setup_of
from zonewright.checks import reporting, times
from zonewright.checks.catalogue import Check
from zonewright.checks.job import Design, Doubt
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/larkfield.yaml"

# rule, setting, values at which it is silent, values at which it is found
SETTINGS: list[tuple[Check, str, tuple[int, ...], tuple[int, ...]]] = [
    (times.exit_time_out_of_range, "exit_time", (45, 255), (44, 256)),
    (times.no_abort_window, "abort_window", (1,), (0,)),
    (times.abort_window_out_of_range, "abort_window", (0, 15, 45), (14, 46)),  # none is another rule's
    (times.siren_too_short, "siren_time", (0, 240), (1, 239)),
    (times.siren_too_long, "siren_time", (900,), (901,)),
    (times.cancel_window_too_short, "cancel_window", (300, 301), (0, 299)),
    (times.one_alarm_and_out, "swinger_limit", (0, 2), (1,)),
    (times.silent_exit_is_cut, "exit_time", (127,), (128,)),
]
ROWS = [
    (rule, name, value, found)
    for rule, name, silent, told in SETTINGS
    for values, found in ((silent, False), (told, True))
    for value in values
]


@cache
def site() -> tuple[Resolved, Setup]:
    resolved = open_site(DEMO)
    return resolved, setup_of(resolved.programme, resolved.profile)


def told(rule: Check, setup: Setup) -> list[Doubt]:
    return list(rule(Design(site()[0], setup)))


def with_setting(name: str, value: int) -> Setup:
    setup = site()[1]
    return replace(setup, settings=replace(setup.settings, **{name: value}))  # type: ignore[arg-type]  # by name


def with_entry_times(seconds: int) -> Setup:
    setup = site()[1]
    return replace(setup, zones=tuple(replace(each, entry_s=seconds if each.entry_s else 0) for each in setup.zones))


@pytest.mark.parametrize(("rule", "name", "value", "found"), ROWS, ids=[f"{row[0].__name__}-{row[2]}" for row in ROWS])
def test_a_setting_at_its_limit_is_passed_and_beyond_it_is_found(
    rule: Check, name: str, value: int, found: bool
) -> None:
    assert bool(told(rule, with_setting(name, value))) is found


@pytest.mark.parametrize(("seconds", "found"), [(29, True), (30, False), (240, False), (241, True)])
def test_an_entry_time_at_its_limit_is_passed_and_beyond_it_is_found(seconds: int, found: bool) -> None:
    assert bool(told(times.entry_time_out_of_range, with_entry_times(seconds))) is found


@pytest.mark.parametrize(("seconds", "found"), [(30, False), (31, True)])
def test_entry_time_and_abort_window_may_come_to_all_of_the_limit(seconds: int, found: bool) -> None:
    """The demo's listing allows 60 s, and its abort window has 30 s."""
    assert bool(told(times.entry_and_abort_too_long, with_entry_times(seconds))) is found


@pytest.mark.parametrize(("seconds", "found"), [(60, False), (61, True)])
def test_as_long_in_as_out_is_passed_and_a_second_longer_in_is_found(seconds: int, found: bool) -> None:
    assert site()[1].settings.exit_time == 60
    assert bool(told(times.longer_in_than_out, with_entry_times(seconds))) is found


def test_a_cancel_window_that_is_off_is_said_to_be_off() -> None:
    (doubt,) = told(times.cancel_window_too_short, with_setting("cancel_window", 0))
    assert doubt.says == "it is off"


def test_an_exit_time_as_long_as_the_walk_is_passed_and_a_second_less_is_found() -> None:
    resolved = site()[0]
    walks = [walk for name in resolved.site.routes if (walk := resolved.walk_s(name)) is not None]
    assert walks
    assert not told(times.shorter_than_the_walk, with_setting("exit_time", max(walks)))
    found = told(times.shorter_than_the_walk, with_setting("exit_time", max(walks) - 1))
    assert any(doubt.says.endswith("s to go out") for doubt in found)


@pytest.mark.parametrize("somebody", [True, False])
def test_restores_that_are_off_matter_only_where_somebody_is_told(somebody: bool) -> None:
    setup = with_setting("restores", False)
    setup = replace(setup, settings=replace(setup.settings, told=somebody))
    assert bool(told(reporting.station_never_hears_the_end, setup)) is somebody

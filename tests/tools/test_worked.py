"""The lines of an example are laid over those of a demo as the head of the rules' catalogue says."""

from __future__ import annotations

import pytest

from pages.worked import Lines, example_files, example_job, laid_over, stood_before
from zonewright.checks.catalogue import Example
from zonewright.findings import BadInput

OWN: Lines = {"site": "Larkfield", "areas": {"house": {"number": "1"}, "shed": {}}, "may": ["house", "shed"]}


def test_maps_are_joined_and_a_text_or_a_list_stands_in_place_of_the_old_one() -> None:
    changes: Lines = {"site": "Rowan", "areas": {"house": {"name": "all"}}, "may": ["shed"]}
    assert laid_over(changes, OWN) == {
        "site": "Rowan",
        "areas": {"house": {"number": "1", "name": "all"}, "shed": {}},
        "may": ["shed"],
    }


def test_what_is_left_out_is_gone_wherever_it_stands() -> None:
    changes: Lines = {"site": "(left out)", "areas": {"house": {"number": "(left out)"}, "shed": "(left out)"}}
    assert laid_over(changes, OWN) == {"areas": {"house": {}}, "may": ["house", "shed"]}


def test_lines_below_plan_and_panel_change_those_files() -> None:
    lines = ("plan: {storeys: {ground: {places: {oven-co: [2, 40]}}}}", "panel: {limits: {areas: 2}}")
    job = example_job(Example("bakery.yaml", lines))
    assert job.plan is not None
    assert job.plan.storeys["ground"].places["oven-co"] == pytest.approx((2 * 0.3048, 40 * 0.3048))
    assert job.resolved.profile.limits.areas == 2
    assert example_job(Example("bakery.yaml", ())).resolved.profile.limits.areas == 4


def test_what_is_accepted_is_left_out() -> None:
    assert "accept" not in example_files(Example("bakery.yaml", ()))["bakery.yaml"]
    assert not example_job(Example("bakery.yaml", ())).judged.accepted


def test_what_the_lines_take_the_place_of_is_told_once() -> None:
    lines = (
        "settings: {entry time: 35 s, siren time: 3 min}",
        "station: (left out)",
        "people: {Ida: {may: [house]}}",
        "devices: {front-door: {zone: {report: nothing}}, back-door: {zone: {report: nothing}}}",
    )
    before = ("entry time: 30 s", "may: [house, workshop]", "report: everything")
    assert stood_before(Example("larkfield.yaml", lines)) == before


def test_lines_that_no_panel_can_hold_are_refused() -> None:
    with pytest.raises(BadInput):
        example_job(Example("larkfield.yaml", ("settings: {siren time: 16 min}",)))

"""Two panels compared: a way that is found shows them differ, equal ones are proven so, and a bound is told as one."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.fieldwork.candidates import ground_of
from zonewright.fieldwork.fieldtests import begun, seen_in
from zonewright.fieldwork.observing import Unlike, unlike
from zonewright.fieldwork.slipped import slips_of
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.panel.opening import open_site
from zonewright.panel.programme import Item, Value
from zonewright.testplan import distinguishing
from zonewright.testplan.distinguishing import Comparison, SearchEnd, ShowingActs
from zonewright.testplan.killing import Variant, variants
from zonewright.testplan.sorting_out import about, as_field_test

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
GATE = (
    "site: Gate\npanel: tern\nareas: {house: {}}\nsettings: {exit time: 60 s, entry time: 30 s, abort window: 30 s}\n"
    "devices:\n  side-gate:\n    kind: wide-gap contact\n    number: {printed: 51 9048 27 C}\n"
    "    fitted: 2026-11-25\n    at: {room: porch}\n"
    "    zone: {number: 1, area: house, behaviour: notice, called: side gate, chime: two notes, supervise: no}\n"
)


def of_slip(ground: SiteOnTest, item: str, given: str) -> Variant:
    slips = slips_of(ground.resolved.profile, ground.resolved.programme)
    (variant,) = variants(ground.panel, [each for each in slips if (each.item, each.given) == (item, given)])
    return variant


def compared(ground: SiteOnTest, variant: Variant) -> tuple[SearchEnd, ShowingActs | None]:
    return Comparison(ground, ground.panel.slipped(variant.changes), about(variant)).settled()


@pytest.mark.parametrize(
    ("site", "item", "given"),
    [("rowan", "zone/13/area", "1+2+3"), ("bakery", "setting/confirm-window", "60"),
     ("larkfield", "zone/3/message-delay", "none")],
)  # fmt: skip
def test_a_way_that_is_found_is_a_field_test_that_shows_the_slip(site: str, item: str, given: str) -> None:
    ground = ground_of(open_site(FILES / f"{site}.yaml"))
    variant = of_slip(ground, item, given)
    verdict, way = compared(ground, variant)
    assert verdict is SearchEnd.FOUND
    assert way is not None
    test = as_field_test(ground, way)
    right, wrong = (
        seen_in(panel, begun(panel, test.arming), test)
        for panel in (ground.panel, ground.panel.slipped(variant.changes))
    )
    assert unlike(right, wrong) is not Unlike.NOT


def test_what_only_a_flat_battery_shows_is_no_decent_test(tmp_path: Path) -> None:
    text = (FILES / "bakery.yaml").read_text(encoding="utf-8").replace("plan: bakery-plan.yaml\n", "")
    carried = tmp_path / "carried.yaml"  # a button that is carried has no cover to take off
    carried.write_text(text.replace("fixed: yes", "fixed: no"), encoding="utf-8")
    ground = ground_of(open_site(carried))
    verdict, way = compared(ground, of_slip(ground, "zone/9/label", "new"))
    assert verdict is SearchEnd.INDECENT
    assert way is not None


def test_a_setting_that_no_zone_reads_is_proven_equal_and_a_bound_is_no_proof(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = tmp_path / "gate.yaml"
    site.write_text(GATE, encoding="utf-8")
    ground = ground_of(open_site(site))
    wrong = ground.panel.slipped({Item("setting/abort-window"): Value("45")})
    assert wrong.setup.settings != ground.panel.setup.settings
    comparison = Comparison(ground, wrong, frozenset({ground.panel.setup.zones[0].number}))
    monkeypatch.setattr(distinguishing, "MOST_PAIRS", 10)
    assert comparison.settled() == (SearchEnd.UNKNOWN, None)
    monkeypatch.setattr(distinguishing, "MOST_PAIRS", 10_000)
    monkeypatch.setattr(Comparison, "_rare", lambda *_: ())  # a matter of minutes with it
    assert comparison.settled() == (SearchEnd.EQUAL, None)

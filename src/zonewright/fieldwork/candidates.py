"""Every field test that is decent at a site, made from the plan alone.

Rules of this file:
1. The same acts after the same arming come once.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.fieldwork.acting import panel_of
from zonewright.fieldwork.fieldtests import FieldTest
from zonewright.fieldwork.panel_tests import tests_of_panel
from zonewright.fieldwork.zone_tests import SiteOnTest, tests_of_ways_in, tests_of_zone
from zonewright.panel.resolve import Resolved


def ground_of(resolved: Resolved) -> SiteOnTest:
    """Return the planned panel in its house.

    Raises `UnknownValues` or `UnusableValues` as `setup_of` does.
    """
    return SiteOnTest(resolved, panel_of(resolved.profile, resolved.programme))


def candidates(ground: SiteOnTest) -> tuple[FieldTest, ...]:
    """Return all field tests that may be chosen."""
    found: dict[object, FieldTest] = {}
    for test in _all(ground):
        found.setdefault((test.arming, test.acts, test.until), test)
    return tuple(found.values())


def _all(ground: SiteOnTest) -> Iterator[FieldTest]:
    yield from map(ground.cautioned, tests_of_panel(ground))
    for zone in ground.panel.setup.zones:
        yield from tests_of_zone(ground, zone)
    yield from tests_of_ways_in(ground)

"""Wrong panels sorted for comparison, and a way that was found turned into a field test.

Rules of this file:
1. Of wrong panels of one sort one comparison is enough; what only the name of a thing tells apart is of one sort.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace

from zonewright.behaviour.setup import ZoneSetup
from zonewright.fieldwork.acting import Handle, PanelInHouse, PressButton, Set, What
from zonewright.fieldwork.fieldtests import FieldTest, Sort, last_act
from zonewright.fieldwork.panel_tests import keypad
from zonewright.fieldwork.zone_tests import MARGIN_S, STEP_S, SiteOnTest
from zonewright.panel.behaviours import Mode
from zonewright.site.record import ZoneNumber
from zonewright.testplan.distinguishing import ShowingActs
from zonewright.testplan.killing import Variant
from zonewright.words.telling import label


def about(variant: Variant) -> frozenset[ZoneNumber]:
    """Return the zones that a wrong panel is about."""
    change = variant.change
    return frozenset({zone.number for zone in change.zones} | {zone for zone, _ in change.hearing} | change.standing)


def sort_of(right: PanelInHouse, variant: Variant) -> Hashable:
    """Return what wrong panels have in common of which one comparison is enough.

    Another label is another label; an area that the right panel hasn't is like another that it hasn't: nobody sets it.
    """
    known = frozenset(right.setup.areas)

    def read(zone: ZoneSetup) -> Hashable:
        planned = right.setup.zone(zone.number)
        new = planned is None or zone.label != planned.label
        areas = zone.areas & known, zone.areas <= known, min(zone.areas)
        return replace(zone, label=str(new), areas=frozenset()), areas

    change = variant.change
    return replace(change, zones=frozenset()), frozenset(map(read, change.zones))


def as_field_test(ground: SiteOnTest, way: ShowingActs) -> FieldTest:
    """Return a way as a field test: all that was opened is shut in the end, and what was set is taken off."""
    acts = tuple((at, act) for at, act in way.done if isinstance(act, Handle | Set | PressButton))
    last = last_act(acts)
    undone = {What.OPEN: What.CLOSE, What.COVER_OFF: What.COVER_ON}
    left: dict[tuple[What, ZoneNumber], Handle] = {}
    for _, act in acts:
        if isinstance(act, Handle) and act.what in undone:
            left[undone[act.what], act.zone] = Handle(undone[act.what], act.zone)
        elif isinstance(act, Handle):
            left.pop((act.what, act.zone), None)
    acts += tuple((last + STEP_S, act) for act in left.values())
    areas = way.arming.areas | {act.area for _, act in acts if isinstance(act, Set)}
    until = max(ground.waits(way.arming, acts)[0], last_act(acts)) + MARGIN_S
    acts += ground.setting(areas, Mode.DISARMED, until)
    until += MARGIN_S
    zone = next((act.zone for _, act in acts if isinstance(act, Handle)), None)
    where = ground.device(zone) if zone is not None else keypad(ground)
    name = label(ground.panel.setup, zone) if zone is not None else "keypad"
    test = FieldTest(Sort.COMPARED, way.arming, acts, until, until, name, where, ends=way.arming.armed)
    return ground.cautioned(test)

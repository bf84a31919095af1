"""Areas that nobody can ever set: a wrong panel that has a zone in one besides its own does nothing otherwise for it.

An area that is in nobody's rights, at no remote and under no switch stays off for ever: it is never armed, left,
entered or disarmed, and no timer of it ever runs. All that the panel asks about a zone's areas is then what it asks
about the others, but for whether *every* area is in one of some modes, and whether all are armed. `never_asked` tells
which zones these questions are nothing to. Leaving such an area out is then the same panel, step by step.

Rules of this file:
1. It is an argument about `step`, and a test holds it to runs of it: random events, with the area and without.
2. The lowest of a zone's areas is never left out, since its messages name it.
"""

from __future__ import annotations

from dataclasses import replace

from zonewright.behaviour.effects import may_be_bypassed
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.fieldwork.acting import PanelInHouse
from zonewright.panel.behaviours import ALWAYS, Mode, Timing
from zonewright.panel.programme import UNKNOWN, areas_in


def never_set(panel: PanelInHouse) -> frozenset[AreaNumber]:
    """Return the areas that no person, remote or switch can set; a panel without people asks nobody."""
    if not panel.people:
        return frozenset()
    found = {area for zone in panel.setup.zones if zone.behaviour.arms is not None for area in zone.areas}
    for item in {**panel.planned.values, **panel.changes}:
        if item.group != "zone" and item.field in ("area", "areas"):
            value = panel.holds(item)
            if value == UNKNOWN:
                return frozenset()
            found |= set(map(AreaNumber, areas_in(value)))
    return frozenset(panel.setup.areas) - found


def never_asked(zone: ZoneSetup) -> bool:
    """Return whether it is all one to a zone that one more of its areas is off, as long as that stays off.

    It alarms in every mode, its tamper does so while off too, or never; it starts no entry time, sets nothing, and
    can't be taken out of use (which is refused only while all its areas are armed).
    """
    behaviour = zone.behaviour
    tamper = not behaviour.tamper_alarm or behaviour.life_safety or Mode.DISARMED in behaviour.tamper_alarm
    delayed = behaviour.timing is Timing.DELAYED and zone.entry_s > 0
    always = zone.can_alarm and behaviour.live == ALWAYS
    return always and tamper and not delayed and behaviour.arms is None and not may_be_bypassed(zone)


def without_never_set(panel: PanelInHouse) -> Setup:
    """Return what a panel does, zones taken out of areas that nobody can set where that is all one."""
    setup = panel.setup
    never = never_set(panel)
    if not never:
        return setup
    zones = tuple(
        replace(zone, areas=zone.areas - never)
        if zone.areas & never and zone.home not in never and never_asked(zone) else zone
        for zone in setup.zones
    )  # fmt: skip
    areas = tuple(sorted({area for zone in zones for area in zone.areas}))
    return replace(setup, zones=zones, areas=areas)

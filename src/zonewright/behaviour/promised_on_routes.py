"""What a panel promises on the walks of the site file: in time nothing sounds, too late it always does."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.events import Expires, ZoneCloses, ZoneOpens, ZoneTrips
from zonewright.behaviour.judges import (
    counts,
    disarms,
    disarms_or_cannot,
    holds_back,
    in_mode,
    opens,
    quiet_at,
    sends,
    sounds,
)
from zonewright.behaviour.observers import Answer, Quiet
from zonewright.behaviour.outcome import Outcome
from zonewright.behaviour.promise import Promise, Route, Window
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import Control
from zonewright.behaviour.table import Act
from zonewright.behaviour.telling import span
from zonewright.panel.behaviours import Mode


def of_route(setup: Setup, route: Route, window: Window) -> Iterator[Promise]:
    """Give what is promised on one walk."""
    door = setup.zone(route.door)
    if door is None or door.entry_s == 0:
        return
    way = [zone for number in (route.door, *route.through) if (zone := setup.zone(number)) is not None]
    numbers = {zone.number for zone in way}

    def start(before: Control, act: Act, outcome: Outcome) -> bool:
        return (
            opens(act, door) and counts(outcome, door) and quiet_at(before, outcome)
            and in_mode(before, outcome, door, frozenset({Mode.AWAY}))
        )  # fmt: skip

    def strays(_before: Control, act: Act, _outcome: Outcome) -> bool:
        walking = isinstance(act, ZoneOpens | ZoneCloses | ZoneTrips) and act.zone in numbers
        return not (walking or isinstance(act, Expires) or disarms(door)(_before, act, _outcome))

    within = window.least(door.entry_s) - 1
    areas = frozenset[AreaNumber]().union(*(zone.areas for zone in way))
    if within > 0:
        yield Promise(
            "route", f"route {route.name} in time",
            f"{route.name}: disarmed within {span(within)}, nothing sounds and nothing is sent",
            tuple(sorted(numbers)), areas,
            Quiet(
                start, lambda _b, _a, out: any(sounds(out, z) or sends(out, z) or holds_back(out, z) for z in way),
                within, ends=strays, settled=disarms(door),
            ),
            start, timed=True,
        )  # fmt: skip
    if setup.settings.siren_time:
        late = window.most(door.entry_s)
        yield Promise(
            "route", f"route {route.name} too late",
            f"{route.name}: not disarmed, it sounds within {span(late)}", tuple(sorted(numbers)), areas,
            Answer(start, lambda _b, _a, out: sounds(out, door), late, ends=disarms_or_cannot(door)), start,
            timed=True,
        )  # fmt: skip

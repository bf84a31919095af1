"""Steps that are kept: what one event does is worked out once for all panels that are alike in what it looks at.

Rules of this file:
1. A kept step is the step itself. What `step` looked at of a Setup is noted while it is worked out; it is given again
   only to a panel that is the same in all of that. Tests hold this to fresh steps.
2. What a panel has otherwise is told beside a first one, `planned`. A zone's label is left aside: no step reads it.
3. A zone or a setting is looked at by itself; an area is looked at with all its zones.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields, replace

from zonewright.behaviour.events import Event
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, ZoneSetup
from zonewright.behaviour.state import Control, Response
from zonewright.behaviour.step import step
from zonewright.site.record import ZoneNumber

Look = tuple[str, object]  # what may be looked at: ("zone", 3), ("area", 1), ("setting", "exit_time"), ("duress", "")
Otherwise = tuple[tuple[Look, int], ...]  # what a panel has otherwise, and a number for how
Known = dict[frozenset[Look], dict[tuple[int, ...], Response]]  # by what was looked at, then by how that is otherwise

SETTINGS = frozenset(each.name for each in fields(Settings))
WHOLE = frozenset({"zones", "areas", "duress", "may", "acts"})  # parts of a Setup that are looked at as a whole


class _NotedSettings(Settings):
    """Settings that note which of them are looked at."""

    __slots__ = ("_looks",)
    _looks: set[Look]

    def __getattribute__(self, name: str) -> object:
        if name in SETTINGS:
            self._looks.add(("setting", name))
        return object.__getattribute__(self, name)


class _NotedSetup(Setup):
    """A Setup that notes which of its parts a step looks at; it has no other way to look at one."""

    __slots__ = ("_looks", "_of")
    _of: Setup
    _looks: set[Look]

    def __init__(self, of: Setup) -> None:
        settings, looks = object.__new__(_NotedSettings), set[Look]()
        for name in SETTINGS:
            object.__setattr__(settings, name, getattr(of.settings, name))
        object.__setattr__(settings, "_looks", looks)
        object.__setattr__(self, "settings", settings)
        object.__setattr__(self, "_of", of)
        object.__setattr__(self, "_looks", looks)

    def __getattribute__(self, name: str) -> object:
        if name in WHOLE:
            self._looks.add((name, ""))
            return getattr(self._of, name)
        return object.__getattribute__(self, name)

    def looked_at(self) -> frozenset[Look]:
        """Return what was looked at since this was asked last."""
        looked = frozenset(self._looks)
        self._looks.clear()
        return looked

    def zone(self, number: ZoneNumber) -> ZoneSetup | None:
        self._looks.add(("zone", number))
        return self._of.zone(number)

    def zones_of(self, area: AreaNumber) -> tuple[ZoneSetup, ...]:
        self._looks.add(("area", area))
        return self._of.zones_of(area)

    def exit_doors(self, area: AreaNumber) -> tuple[ZoneSetup, ...]:
        self._looks.update({("area", area), ("setting", "completing_act")})
        return self._of.exit_doors(area)


@dataclass(eq=False, slots=True)
class _Panel:
    """A panel that was asked about."""

    setup: Setup
    noted: _NotedSetup  # the same, noting what is looked at
    otherwise: Otherwise

    def of(self, looked: frozenset[Look]) -> tuple[int, ...]:
        """Return how that is otherwise which was looked at."""
        return tuple([number for look, number in self.otherwise if look in looked])


@dataclass(eq=False)
class KeptSteps:
    """Steps of a planned panel, and of others that are otherwise in little."""

    planned: Setup
    fresh: int = 0  # how many were worked out, for benchmarks
    _panels: dict[int, _Panel] = field(init=False, default_factory=dict)  # by the id of its setup, which it keeps
    _numbers: dict[tuple[Look, object], int] = field(init=False, default_factory=dict)
    _rows: dict[Control, tuple[Control, dict[Event, Known]]] = field(init=False, default_factory=dict)
    _by_id: dict[int, dict[Event, Known]] = field(init=False, default_factory=dict)  # of the controls kept in `_rows`

    def __reduce__(self) -> tuple[type[KeptSteps], tuple[Setup]]:
        """Go to another process without what is kept: it is kept by ids, which mean nothing there."""
        return KeptSteps, (self.planned,)

    def __call__(self, setup: Setup, control: Control, event: Event) -> Response:
        """Return what `step` does."""
        panel = self._panels.get(id(setup)) or self._panel(setup)
        row = self._by_id.get(id(control))
        if row is None:
            row = self._row(control)[1]
        known = row.get(event)
        if known is None:
            known = row[event] = {}
        for looked, steps in known.items():
            done = steps.get(panel.of(looked))
            if done is not None:
                return done
        done = step(panel.noted, control, event)
        done = replace(done, control=self._row(done.control)[0])  # each control is one object, known by its id
        self.fresh += 1
        looked = panel.noted.looked_at()
        known.setdefault(looked, {})[panel.of(looked)] = done
        return done

    def _panel(self, setup: Setup) -> _Panel:
        numbers = self._numbers
        has = tuple((each[0], numbers.setdefault(each, len(numbers))) for each in otherwise(self.planned, setup))
        panel = self._panels[id(setup)] = _Panel(setup, _NotedSetup(setup), has)
        return panel

    def _row(self, control: Control) -> tuple[Control, dict[Event, Known]]:
        found = self._rows.get(control)
        if found is None:
            found = self._rows[control] = (control, {})
            self._by_id[id(control)] = found[1]
        return found


def otherwise(planned: Setup, setup: Setup) -> Iterator[tuple[Look, object]]:
    """Give each part in which a panel differs from the planned one and that a step may look at, with its value."""
    if setup is planned:
        return
    if setup.settings is not planned.settings:
        for name in sorted(SETTINGS):
            if getattr(setup.settings, name) != getattr(planned.settings, name):
                yield ("setting", name), getattr(setup.settings, name)
    for name in sorted(WHOLE - {"zones"}):
        if getattr(setup, name) != getattr(planned, name):
            yield (name, ""), getattr(setup, name)
    changed = _changed_zones(planned, setup)
    areas: dict[AreaNumber, set[tuple[ZoneNumber, ZoneSetup | None]]] = {}
    for number, zone in changed:
        yield ("zone", number), zone
        for area in {each for one in (planned.zone(number), zone) if one is not None for each in one.areas}:
            areas.setdefault(area, set()).add((number, zone))
    for area in sorted(areas):
        yield ("area", area), frozenset(areas[area])
    if changed:
        yield ("zones", ""), tuple(changed)


def _changed_zones(planned: Setup, setup: Setup) -> list[tuple[ZoneNumber, ZoneSetup | None]]:
    """Return the zones that are otherwise, each as it is, without a label; None for one that isn't there."""
    if setup.zones is planned.zones:
        return []
    found: list[tuple[ZoneNumber, ZoneSetup | None]] = []
    for zone in setup.zones:
        before = planned.zone(zone.number)
        if zone is not before and (before is None or zone != before):
            unnamed = replace(zone, label="")
            if before is None or unnamed != replace(before, label=""):
                found.append((zone.number, unnamed))
    found += [(zone.number, None) for zone in planned.zones if setup.zone(zone.number) is None]
    return found

"""A cache of steps: what one event does is worked out once for all panels that agree in what the step reads.

Rules of this file:
1. A kept step is what `step` returned. What it read of the Setup is noted while it is worked out, and its result is
   used only for panels that are the same in all of that. Tests compare this with fresh steps.
2. Of each panel only the differences from a first one, `planned`, are noted. Labels are ignored: no step reads them.
3. A zone or a setting is read by itself; an area is read with all its zones.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields, replace

from zonewright.behaviour.events import Event
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, ZoneSetup
from zonewright.behaviour.state import Control, Response
from zonewright.behaviour.step import step
from zonewright.site.record import ZoneNumber

Look = tuple[str, object]  # a part that may be read: ("zone", 3), ("area", 1), ("setting", "exit_time"), ("duress", "")
Differences = tuple[tuple[Look, int], ...]  # the parts in which a panel differs, each with a number for its value
Known = dict[frozenset[Look], dict[tuple[int, ...], Response]]  # by the parts read, then by how those differ

SETTINGS = frozenset(each.name for each in fields(Settings))
WHOLE = frozenset({"zones", "areas", "duress", "may", "acts"})  # parts of a Setup that are read as a whole


class _NotedSettings(Settings):
    """Settings that note which of them are read."""

    __slots__ = ("_looks",)
    _looks: set[Look]

    def __getattribute__(self, name: str) -> object:
        if name in SETTINGS:
            self._looks.add(("setting", name))
        return object.__getattribute__(self, name)


class _NotedSetup(Setup):
    """A Setup that notes which of its parts a step reads; the step can read them in no other way."""

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
        """Return what was read since the last call."""
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
    noted: _NotedSetup  # the same, noting what is read
    differences: Differences

    def of(self, looked: frozenset[Look]) -> tuple[int, ...]:
        """Return how this panel differs in the parts that were read."""
        return tuple([number for look, number in self.differences if look in looked])


@dataclass(eq=False)
class KeptSteps:
    """Steps of a planned panel, and of others that differ from it in little."""

    planned: Setup
    fresh: int = 0  # how many were worked out, for benchmarks
    _panels: dict[int, _Panel] = field(init=False, default_factory=dict)  # by the id of the setup, kept alive by it
    _numbers: dict[tuple[Look, object], int] = field(init=False, default_factory=dict)
    _rows: dict[Control, tuple[Control, dict[Event, Known]]] = field(init=False, default_factory=dict)
    _by_id: dict[int, dict[Event, Known]] = field(init=False, default_factory=dict)  # of the controls kept in `_rows`

    def __reduce__(self) -> tuple[type[KeptSteps], tuple[Setup]]:
        """Go to another process without the cache: its keys are ids, which mean nothing there."""
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
        has = tuple((each[0], numbers.setdefault(each, len(numbers))) for each in differences(self.planned, setup))
        panel = self._panels[id(setup)] = _Panel(setup, _NotedSetup(setup), has)
        return panel

    def _row(self, control: Control) -> tuple[Control, dict[Event, Known]]:
        found = self._rows.get(control)
        if found is None:
            found = self._rows[control] = (control, {})
            self._by_id[id(control)] = found[1]
        return found


def differences(planned: Setup, setup: Setup) -> Iterator[tuple[Look, object]]:
    """Give each part that a step may read and in which a panel differs from the planned one, with its value."""
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
    """Return the zones that differ, each without its label; None for one that this panel lacks."""
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

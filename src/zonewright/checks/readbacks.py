"""The rules held against a panel that was read back: what can be said of it, and what would have to be known.

Rules of this file:
1. A rule that looked at a setting, a person or a list that isn't wholly known isn't judged; nothing is guessed.
2. A rule that looked at unknown fields of some zones is judged once more without those zones: only what it finds both
   ways stands. What it says of no single thing doesn't stand either, where zones may be missing.
3. A readback says nothing of rooms, routes, wishes and printed numbers: rules about those find nothing here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from zonewright.behaviour.events import Output
from zonewright.checks.catalogue import Rule
from zonewright.checks.check import rules
from zonewright.checks.job import Design, JobZone
from zonewright.findings import Finding
from zonewright.panel.behaviours import Mode
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of
from zonewright.panel.readback_file import OpenedReadback
from zonewright.panel.resolve import Resolved
from zonewright.panel.resolve_zones import ZoneOrigin
from zonewright.site.model import DeviceZone, Site
from zonewright.site.names import NamedCause as Named
from zonewright.site.nodes import Places
from zonewright.site.record import AreaName, ZoneNumber
from zonewright.words.known_matrix import HalfKnown, KnownMatrix, half_known, known_matrix
from zonewright.words.matrix import Cause


@dataclass(frozen=True, slots=True)
class JudgedReadback:
    """What the catalogue says of a panel as far as it was read."""

    findings: tuple[Finding, ...]
    unjudged: Mapping[str, tuple[str, ...]]  # rule -> items and groups to be known before all of it can be judged

    @property
    def wanted(self) -> dict[Item, list[str]]:
        """Return what isn't known with the rules that need it, first what most of them need."""
        rules_of: dict[Item, list[str]] = {}
        for code, items in self.unjudged.items():
            for item in dict.fromkeys(items):
                rules_of.setdefault(Item(item), []).append(code)
        return dict(sorted(rules_of.items(), key=lambda each: -len(each[1])))


def judge(opened: OpenedReadback) -> JudgedReadback:
    """Judge a readback by every rule; raises `UnusableValues` as `setup_of` does."""
    bench = _Bench(opened)
    findings: list[Finding] = []
    unjudged: dict[str, tuple[str, ...]] = {}
    for rule in rules().values():
        found, needed = bench.judged(rule)
        findings += found
        if needed:
            unjudged[rule.code] = needed
    return JudgedReadback(tuple(findings), unjudged)


class _Bench:
    """One readback, laid out for rule after rule."""

    def __init__(self, opened: OpenedReadback) -> None:
        self.opened = opened
        self.half = half_known(opened.programme, opened.profile)
        self.openings = known_matrix(self.half, (Cause.OPENS,))
        self.resolved = _resolved(opened, self.half)
        untold = {item for items in self.half.untold.values() for item in items}
        self.zones_missing = (*sorted(untold), *(() if "zone" in opened.readback.no_more else ("zone",)))

    def judged(self, rule: Rule) -> tuple[list[Finding], tuple[str, ...]]:
        """Return what a rule surely finds, and what it needs for the rest."""
        job = self.job(self.half)
        found, needed = self.half.needs(lambda: list(rule.findings(job)))
        zones = {item.number for item in needed if item.group == "zone"}
        if None in zones or any(item.group != "zone" for item in needed):  # None: zones that nobody has read
            return [], needed
        if zones:
            kept = tuple(zone for zone in self.half.setup.zones if zone.number not in zones)
            without = replace(self.half, setup=replace(self.half.setup, zones=kept))
            others, more = self.half.needs(lambda: list(rule.findings(self.job(without))))
            if more:
                return [], (*needed, *more)
            found = [each for each in others if each in found]
        if not job.looked_at_zones or not self.zones_missing:
            return found, needed
        return [each for each in found if each.place is not None], (*needed, *self.zones_missing)

    def job(self, half: HalfKnown) -> _HalfJob:
        """Return a fresh copy of the job, so that each look is noted for the rule that looks."""
        return _HalfJob(self.resolved, half, self.openings)


class _HalfJob(Design):
    """A job of which the model's answers may be stand-ins; each such answer is noted."""

    def __init__(self, resolved: Resolved, half: HalfKnown, openings_: KnownMatrix) -> None:
        super().__init__(resolved, half.setup)
        self._half, self._openings = half, openings_
        self.looked_at_zones = False

    def __getattribute__(self, name: str) -> Any:
        if name in ("zones", "setup"):
            object.__setattr__(self, "looked_at_zones", True)
        return super().__getattribute__(name)

    def opened(self, zone: JobZone, mode: Mode) -> tuple[tuple[int, Output], ...]:
        """Return what follows from a zone's opening, as in the matrix of what can be told."""
        needed = self._openings.needed.get(zone.setup.number, {}).get(Cause.OPENS, ())
        self._half.notes.update(needed)
        return () if needed else self._openings.told[Cause.OPENS].cell(zone.setup.number, mode, Cause.OPENS).outcome


class _NotingFields(dict[str, Value]):
    """The fields of one thing; a look at an unknown one is noted."""

    def __init__(self, plain: Mapping[str, Value], start: str, notes: set[Item]) -> None:
        super().__init__(plain)
        self.start, self.notes = start, notes

    def __getitem__(self, name: str) -> Value:
        self._look(name)
        return super().__getitem__(name)

    def get(self, name: str, default: Any = None) -> Any:
        """Return a field's value, or the default where there is no such field."""
        self._look(name)
        return super().get(name, default)

    def _look(self, name: str) -> None:
        if super().get(name) == UNKNOWN:
            self.notes.add(Item(f"{self.start}/{name}"))


class _NotingProgramme(Programme):
    """What was read; a look at what isn't known, or at a list that isn't whole, is noted."""

    __slots__ = ("notes", "whole_groups")
    notes: set[Item]
    whole_groups: frozenset[str]

    def numbers(self, group: str) -> tuple[int, ...]:
        """Return the numbers that were read."""
        if group not in self.whole_groups:
            self.notes.add(Item(group))
        return super().numbers(group)

    def fields(self, group: str, number: int) -> dict[str, Value]:
        """Return the fields of one thing as they were read."""
        return _NotingFields(super().fields(group, number), f"{group}/{number}", self.notes)


def _resolved(opened: OpenedReadback, half: HalfKnown) -> Resolved:
    """Return the readback as a site would stand there: the same panel, nothing else said."""
    held = _NotingProgramme(opened.profile.panel, opened.programme.values)
    object.__setattr__(held, "notes", half.notes)
    object.__setattr__(held, "whole_groups", opened.readback.no_more)
    areas = {f"area {number}": int(number) for number in half.setup.areas}
    zones = {
        int(zone.number): ZoneOrigin(
            ZoneNumber(zone.number),
            Named(device=f"zone {zone.number}"),
            ("holds",),
            DeviceZone(
                number=zone.number,
                area=tuple(AreaName(f"area {number}") for number in sorted(zone.areas)),
                behaviour=opened.programme[item_of("zone", zone.number, "behaviour")],
                called=zone.label,
            ),
        )
        for zone in half.setup.zones
    }
    site = Site(site=opened.file, panel=opened.readback.panel)
    users = {number: f"person {number}" for number in opened.programme.numbers("user")}
    nowhere = Places(None, opened.file)
    remotes = {number: f"remote {number}" for number in opened.programme.numbers("remote")}
    return Resolved(site, opened.profile, held, zones, users, remotes, areas, opened.places, nowhere, ())

"""What an event does to a slice: where it leads, what the panel does, and which facts that depends on."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from zonewright.behaviour.acts import FIRST
from zonewright.behaviour.events import Bypass, DeviceEvent, Expires, Output, Timer, TimerKind, Unbypass
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import Pattern
from zonewright.proof.prover.facts import Fact
from zonewright.proof.prover.memory import Kept
from zonewright.proof.prover.table import Act, Leaf
from zonewright.site.record import ZoneNumber

PERSON = FIRST  # who acts in a slice of a panel without a site


Outputs = tuple[Output, ...]
Called = frozenset[tuple[Pattern, ZoneNumber]]  # zones that began to call for the sounder
Held = frozenset[tuple[ZoneNumber, str]]  # messages that began to wait


@dataclass(frozen=True, slots=True, eq=False)
class LeafReport:
    """What judges see of a leaf; effects with different reports are never taken as one."""

    outputs: Outputs
    called: Called
    held: Held
    facts: dict[Fact, Hashable]


@dataclass(frozen=True, slots=True, eq=False)
class LeafEffect:
    """A leaf as a reading sees it that forgets what it doesn't keep."""

    leaf: Leaf
    report: LeafReport
    kept: Kept
    key: int  # effects of one event with the same key are one


class EventOutcome(NamedTuple):
    """One thing that an event may do."""

    control: Control
    effect: LeafEffect
    stops: frozenset[Timer]  # timers that ran before

    @property
    def starts(self) -> tuple[tuple[Timer, int], ...]:
        """Timers started, or started again."""
        return self.effect.kept.starts

    @property
    def outputs(self) -> tuple[Output, ...]:
        """What the panel does, in order."""
        return self.effect.report.outputs

    @property
    def facts(self) -> dict[Fact, Hashable]:
        """The facts it depends on that a judge may read."""
        return self.effect.report.facts

    @property
    def assumed(self) -> dict[Fact, Hashable]:
        """All facts that this run of `step` depends on; other runs with the same effect may depend on others."""
        return self.effect.leaf.facts

    def is_so(self, what: str, about: Hashable) -> bool:
        """Return whether it depends on this being true."""
        return self.facts.get((what, about)) is True

    @property
    def called(self) -> frozenset[tuple[Pattern, ZoneNumber]]:
        """Zones that began to call for the sounder."""
        return self.effect.report.called

    @property
    def held(self) -> frozenset[tuple[ZoneNumber, str]]:
        """Messages that began to wait."""
        return self.effect.report.held


Cases = tuple[tuple[LeafEffect, frozenset[Timer], bool], ...]  # which timers stop; whether nothing changes


def whole_effect(leaf: Leaf) -> LeafEffect:
    """Return a leaf as a reading sees it that forgets nothing."""
    change = leaf.change
    kept = Kept(
        change.parts, (), change.lost, change.gained, change.areas, change.starts, (), change.called, change.ended,
        still=False,
    )  # fmt: skip
    return LeafEffect(leaf, LeafReport(leaf.outputs, change.called, change.held, leaf.facts), kept, 0)


def stands_open(facts: Mapping[Fact, Hashable], zone: ZoneNumber) -> bool:
    """Return whether these facts say that a zone is open, and not that it is bypassed or shut out.

    A fact that wasn't asked for counts as not so: a judge reads the value of a fact, never whether it was asked for.
    """
    so = [facts.get((what, zone)) is True for what in ("open", "bypassed", "shut out")]
    return so == [True, False, False]


def zone_of(act: Act) -> Hashable:
    """Return the zone whose device speaks, or whose timer ends."""
    if isinstance(act, Expires) and act.timer.kind.of_zone:
        return act.timer.number
    return act.zone if isinstance(act, DeviceEvent) else None


def shown_of(act: Act) -> Hashable:
    """Return the zone about which the display is read: the one that speaks, is bypassed or is taken back."""
    return act.zone if isinstance(act, Bypass | Unbypass) else zone_of(act)


def ends_exit(act: Act) -> bool:
    """Return whether an exit time ends."""
    return isinstance(act, Expires) and act.timer.kind is TimerKind.EXIT

"""The standby battery of one site: what its standard asks, what its loads draw, and whether the fitted one is enough.

Rules of this file:
1. The sum is printed line by line, so that a technician can check it with a meter and a pencil.
"""

from __future__ import annotations

from dataclasses import dataclass

from zonewright.physics.standby import (
    REQUIREMENTS,
    Requirement,
    charge_current,
    cold_factor,
    next_block,
    standby_capacity,
)
from zonewright.site.model import Site

RECHARGE_H = 72.0  # EN 50131-6 grades 1 and 2, from memory; NFPA 72 asks 48 h


@dataclass(frozen=True, slots=True)
class LoadLine:
    """One line of the sum; currents are for all its pieces together [A]."""

    name: str
    count: int
    standby_a: float
    alarm_a: float


@dataclass(frozen=True, slots=True)
class BatterySum:
    """The whole sum."""

    requirement: Requirement
    loads: tuple[LoadLine, ...]
    standby_a: float
    alarm_a: float
    warm_ah: float  # at 25 degrees C [Ah]
    celsius: float
    cold: float  # factor
    needed_ah: float
    fitted_ah: float
    block_ah: float | None  # the next common block that is large enough
    charge_a: float  # to bring the fitted battery to 80 % in `RECHARGE_H`

    @property
    def enough(self) -> bool:
        """Return whether the fitted battery holds what is needed."""
        return self.fitted_ah >= self.needed_ah


def battery_sum(site: Site) -> BatterySum | None:
    """Return the sum of a site; None if it says nothing about its battery or names an unknown standard."""
    power = site.power
    requirement = REQUIREMENTS.get(power.standard) if power is not None else None
    if power is None or requirement is None:
        return None
    loads = tuple(
        LoadLine(
            name,
            each.count,
            each.standby * each.count,
            (each.standby if each.alarm is None else each.alarm) * each.count,
        )
        for name, each in power.loads.items()
    )
    standby, alarm = sum(line.standby_a for line in loads), sum(line.alarm_a for line in loads)
    warm = standby_capacity(standby, alarm, requirement.quiet_h, requirement.alarm_h, requirement.ageing)
    cold = cold_factor(max(power.coldest, -20.0))
    needed = warm * cold
    return BatterySum(
        requirement, loads, standby, alarm, warm, power.coldest, cold, needed, power.battery, next_block(needed),
        charge_current(power.battery, RECHARGE_H),
    )  # fmt: skip

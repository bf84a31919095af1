"""The standby battery: how long it must last, how large it must be, what it does cold, fast and old.

Rules of this file:
1. Every function is a sum that a technician could do by hand; the source stands beside it, and whether it was read.
2. No standard was read whole; the local code, the insurer and the equipment's listing come first.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Requirement:
    """What one rule asks of the battery; the alarm time lies behind the standby, or `within` it."""

    name: str
    standby_h: float
    alarm_h: float
    within: bool  # the alarm is part of the standby hours
    ageing: float
    source: str
    told: bool = False  # whether it may be so short only because a loss of mains is told to somebody

    @property
    def quiet_h(self) -> float:
        """Return the hours at the standby load alone [h]."""
        return self.standby_h - self.alarm_h if self.within else self.standby_h


# Alarm minutes inside the EN hours and the factors are our choice, as `trade` 4.2 tells.
REQUIREMENTS: dict[str, Requirement] = {
    each.name: each
    for each in (
        Requirement(
            "household fire", 24, 4 / 60, False, 1.25, "NFPA 72-2007 11.6.2, later chapter 29, seen second-hand"
        ),
        Requirement(
            "protected premises fire",
            24,
            5 / 60,
            False,
            1.2,
            "NFPA 72 10.6.7, seen second-hand; factor common practice",
        ),
        Requirement("household burglary", 4, 4 / 60, False, 1.25, "UL 1023, from memory"),
        Requirement("grade 1", 12, 0.25, True, 1.25, "EN 50131-6 ed. 2 type A, seen second-hand"),
        Requirement("grade 2", 12, 0.25, True, 1.25, "EN 50131-6 ed. 2 type A, seen second-hand"),
        Requirement("grade 3", 60, 0.25, True, 1.25, "EN 50131-6 ed. 2 type A, seen second-hand"),
        Requirement("grade 3 told", 30, 0.25, True, 1.25, "EN 50131-6 ed. 2, half if told, seen second-hand", True),
        Requirement("grade 4", 60, 0.25, True, 1.25, "EN 50131-6 ed. 2 type A, seen second-hand"),
    )
}

# Capacity multiplier for lead-acid by temperature [degrees C]; IEEE 485 table 1 as a sizing page gives it, seen.
COLD = ((-20, 1.59), (-10, 1.35), (0, 1.19), (10, 1.11), (15, 1.07), (20, 1.04), (25, 1.00))
COMMON_BLOCKS_AH = (1.2, 2.1, 2.3, 3.2, 3.4, 4.0, 4.5, 7.0, 7.2, 12.0, 17.0, 18.0)  # common practice


def standby_capacity(
    quiescent_a: float, alarm_a: float, standby_h: float, alarm_h: float, ageing: float = 1.25
) -> float:
    """Return the battery capacity needed to ride out a mains failure, at the 20-hour rate [Ah].

    `quiescent_a`, `alarm_a`: load in standby and in alarm [A]; `standby_h`, `alarm_h`: durations [h]; `ageing`: factor
    for capacity lost before replacement, 1.25 for a battery changed at 80 % (common practice, IEEE 485-class habit).

    Raises ValueError if a load or a duration is negative or not finite, or `ageing` below 1.
    Check value: 65 mA, 450 mA, 24 h and 4 min, 1.25 give 1.9875 Ah (computed).
    """
    for value in (quiescent_a, alarm_a, standby_h, alarm_h):
        if not (math.isfinite(value) and value >= 0):
            raise ValueError("loads and durations are numbers, zero or more")
    if not (math.isfinite(ageing) and ageing >= 1):
        raise ValueError("the ageing factor is 1 or more")
    return ageing * (quiescent_a * standby_h + alarm_a * alarm_h)


def cold_factor(celsius: float) -> float:
    """Return how much more capacity a lead-acid battery needs at a temperature [degrees C]; straight lines between.

    Below -20 ValueError: the table ends there. From 25 on 1.
    """
    if celsius < COLD[0][0]:
        raise ValueError("the table ends at -20 degrees C")
    if celsius >= COLD[-1][0]:
        return 1.0
    place = bisect_left([each for each, _ in COLD], celsius)
    if COLD[place][0] == celsius:
        return COLD[place][1]
    (low, high_factor), (high, low_factor) = COLD[place - 1], COLD[place]
    return high_factor + (low_factor - high_factor) * (celsius - low) / (high - low)


def hours_at(current_a: float, capacity_ah: float, rate_h: float = 20.0, exponent: float = 1.15) -> float:
    """Return how long a battery lasts at a steady current [h], by Peukert's law.

    `capacity_ah` holds at the `rate_h`-hour rate; `exponent` 1.05 to 1.15 for glass mat, seen; 1.15 our choice. Below
    the rated current the rated capacity is taken, never more.
    Check value: 7 Ah at 1 A gives 5.980 h (computed).
    """
    if current_a <= capacity_ah / rate_h:
        return capacity_ah / current_a
    return rate_h * math.pow(capacity_ah / (current_a * rate_h), exponent)


def charge_current(capacity_ah: float, hours: float, share: float = 0.8, efficiency: float = 0.85) -> float:
    """Return the current that recharges a share of a battery in so many hours [A].

    `efficiency`: coulombic, 0.85 seen on a battery page. Check value: 7 Ah in 72 h gives 0.0915 A (computed).
    """
    return share * capacity_ah / (efficiency * hours)


def float_life(years_at_20: float, celsius: float) -> float:
    """Return the float life at a temperature [years]: halved for each 10 K above 20 degrees C (common practice).

    Check value: five years at 33 degrees C are 2.031 (computed).
    """
    return years_at_20 * math.exp2((20 - celsius) / 10)


def next_block(capacity_ah: float) -> float | None:
    """Return the smallest common block that holds so much [Ah]; None where none does."""
    return next((block for block in COMMON_BLOCKS_AH if block >= capacity_ah - 1e-9), None)

"""What a panel promises of setting: never while a fault stops it, unless somebody who may says so.

Rules of this file:
1. A promise stands where the panel has the rule; of one that lacks it `promised_lacking.py` says so.
2. Nobody insists here (`slices.py`, rule 6): who may set over a fault sets over that fault and no other, which tests
   hold `step` to.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.events import Expires
from zonewright.behaviour.observers import Invariant
from zonewright.behaviour.outcome import Outcome
from zonewright.behaviour.promise import Part, Promise, about, where
from zonewright.behaviour.setup import AreaNumber, Setup
from zonewright.behaviour.state import Control
from zonewright.behaviour.table import Act
from zonewright.behaviour.telling import listed
from zonewright.panel.behaviours import Mode


def on_setting(setup: Setup, area: AreaNumber) -> Iterator[Promise]:
    """Give what is promised of setting one area."""
    if setup.settings.at_setting:
        yield _never_over_a_fault(setup, area)


def _never_over_a_fault(setup: Setup, area: AreaNumber) -> Promise:
    fact = "barred", (area, None)
    asked = Part("somebody sets it", lambda _b, _a, out: fact in out.facts)
    stands = Part("while a fault stands that stops it", lambda _b, _a, out: out.is_so(*fact))
    premise = about(asked, stands)

    def is_set(before: Control, act: Act, outcome: Outcome) -> bool:
        was, now = before.area(area).mode, outcome.control.area(area).mode
        newly = now not in (Mode.DISARMED, was) and not isinstance(act, Expires)
        return newly and outcome.facts.get(fact) is not False

    faults = listed(sorted(fault.value.replace("-", " ") for fault, _ in setup.settings.at_setting))
    says = f"it is never set while a fault stands ({faults}), unless whoever may says so"
    return Promise(
        "setting", "never over a fault", says + where(setup, frozenset({area})), (), frozenset({area}),
        Invariant(is_set), premise, heard=True,
    )  # fmt: skip

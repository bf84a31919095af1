"""Every promise of a site, settled, for the verbs that print more than proofs."""

from __future__ import annotations

import gc

from zonewright.behaviour.asked import asked_of
from zonewright.behaviour.promise import Window
from zonewright.behaviour.prove import Effort, Verdict, prove
from zonewright.behaviour.setup import Setup
from zonewright.panel.resolve import Resolved


def verdicts_of(resolved: Resolved, setup: Setup, effort: Effort | None = None) -> list[Verdict]:
    """Return the verdict on each promise, in the order in which they are asked; timers exact."""
    asked = asked_of(resolved, setup, Window())
    gc.disable()  # much is kept to the end, and looking through it over and over takes a third of the time
    try:
        found = {verdict.promise: verdict for verdict in prove(setup, asked, effort=effort)}
    finally:
        gc.enable()
    return [found[promise] for promise in asked]

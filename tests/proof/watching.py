"""Promises watched by their own observers while the whole panel runs."""

from __future__ import annotations

from zonewright.behaviour.setup import Setup
from zonewright.proof.promise import Promise


def shows_alike(setup: Setup, promise: Promise) -> bool:
    """Return whether the whole panel shows an observer what a slice shows it.

    A zone that gives its alarm `alone` is watched for a siren that begins. Of one that sounds already for this zone
    none begins, though the alarm is given; a slice that leaves the siren out takes it for one that begins.
    """
    return promise.aspect != "alone" or not setup.settings.siren_time

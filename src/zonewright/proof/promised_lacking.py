"""What a panel can't promise, since it lacks the feature: said of the panel once, never passed over."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.setup import Setup
from zonewright.panel.behaviours import Pattern
from zonewright.proof.promise import Promise, lacking


def what_it_lacks(setup: Setup) -> Iterator[Promise]:
    """Give a promise for each feature that the panel hasn't, or that is switched off, and that some zone could use."""
    settings = setup.settings
    burglary = any(zone.behaviour.abort for zone in setup.zones)
    loud = any(zone.behaviour.siren is not Pattern.NONE for zone in setup.zones)
    doors = any(setup.exit_doors(area) for area in setup.areas)
    alarms = any(zone.behaviour.alarm is not None for zone in setup.zones)
    features = (
        (alarms and not settings.told, "opening", "alarms sent", "alarms reach a station", "it tells no station"),
        (loud and not settings.siren_time, "siren", "siren", "alarms sound and the siren ends", "it has no siren"),
        (burglary and not settings.swinger_limit, "swinger", "shut out", "no zone gives alarms without end",
         "it counts no alarms"),
        (burglary and settings.told and not settings.abort_window, "abort", "called off", "alarms are called off",
         "it has no abort window, or it is off"),
        (burglary and settings.told and not settings.cancel_window, "cancel", "called back",
         "a message that left is called back", "it has no cancel window, or it is off"),
        (doors and not settings.exit_time, "leaving", "exit time", "people leave in their exit time",
         "it has no exit time: it is armed at once"),
        (doors and bool(settings.exit_time) and not settings.exit_error, "leaving", "exit error",
         "a way out left open is warned of", "it has no exit error"),
        (doors and bool(settings.exit_time) and not settings.unvacated_stay, "leaving", "unvacated",
         "where nobody leaves it is armed stay", "it has no such setting, or it is off"),
        (doors and bool(settings.exit_time) and not settings.completing_act, "setting", "completing act",
         "it is never set away by time alone", "an exit time that runs out sets it"),
        (loud and bool(settings.siren_time) and not settings.inside_when_off, "setting", "inside when off",
         "the outside siren is silent while off", "it drives the outside siren in every mode"),
        (burglary and not settings.at_setting, "setting", "never over a fault",
         "it is never set while a fault stands", "faults are shown and stop nothing"),
        (not setup.duress, "duress", "duress", "a duress code tells the station and nobody else",
         "no slot is one for duress"),
    )  # fmt: skip
    for lacks, kind, aspect, says, why in features:
        if lacks:
            yield lacking(setup, kind, aspect, says, why)

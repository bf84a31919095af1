"""What a panel doesn't promise as it is set: said once, never passed over.

Rules of this file:
1. Whether the panel lacks a feature or somebody left it off is read from the Programme (`as_set`): only what no setting
   could give is "not on this panel"; all else is "not in use here", with the setting and where it is written.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import PurePath

from zonewright.behaviour.faults import SettingFault
from zonewright.behaviour.setup import Setup
from zonewright.panel.behaviours import Pattern
from zonewright.panel.programme import Item
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.promise import Outright, OutrightVerdict, Promise, lacking

_DURESS = "user/*/duress"
_AT_SETTING = tuple(f"setting/{fault.value}-at-setting" for fault in SettingFault)


def what_it_lacks(setup: Setup) -> Iterator[Promise]:
    """Give a promise for each feature that the panel hasn't, or that is switched off, and that some zone could use."""
    settings = setup.settings
    burglary = any(zone.behaviour.abort for zone in setup.zones)
    loud = any(zone.behaviour.siren is not Pattern.NONE for zone in setup.zones)
    doors = any(setup.exit_doors(area) for area in setup.areas)
    alarms = any(zone.behaviour.alarm is not None for zone in setup.zones)
    features: tuple[tuple[bool, str, str, str, str, tuple[str, ...]], ...] = (
        (alarms and not settings.told, "opening", "alarms sent", "alarms reach a station", "it tells no station",
         ("station/told",)),
        (loud and not settings.siren_time, "siren", "siren", "alarms sound and the siren ends", "no siren sounds",
         ("setting/siren-time",)),
        (burglary and not settings.swinger_limit, "swinger", "shut out", "no zone gives alarms without end",
         "alarms aren't counted", ("setting/swinger-limit",)),
        (burglary and settings.told and not settings.abort_window, "abort", "called off", "alarms are called off",
         "there is no abort window", ("setting/abort-window",)),
        (burglary and settings.told and not settings.cancel_window, "cancel", "called back",
         "a message that left is called back", "there is no cancel window", ("setting/cancel-window",)),
        (doors and not settings.exit_time, "leaving", "exit time", "people leave in their exit time",
         "it is armed at once", ("setting/exit-time",)),
        (doors and bool(settings.exit_time) and not settings.exit_error, "leaving", "exit error",
         "a way out left open is warned of", "nobody is warned of it", ("setting/exit-error",)),
        (doors and bool(settings.exit_time) and not settings.unvacated_stay, "leaving", "unvacated",
         "where nobody leaves it is armed stay", "it is armed away whoever stays", ("setting/unvacated-stay",)),
        (doors and bool(settings.exit_time) and not settings.completing_act, "setting", "completing act",
         "it is never set away by time alone", "an exit time that runs out sets it", ("setting/completing-act",)),
        (loud and bool(settings.siren_time) and not settings.inside_when_off, "setting", "inside when off",
         "the outside siren is silent while off", "it drives the outside siren in every mode",
         ("setting/inside-when-off",)),
        (burglary and not settings.at_setting, "setting", "never over a fault",
         "it is never set while a fault stands", "faults are shown and stop nothing", _AT_SETTING),
        (not setup.duress, "duress", "duress", "a duress code tells the station and nobody else",
         "no slot is one for duress", (_DURESS,)),
    )  # fmt: skip
    for lacks, kind, aspect, says, why, items in features:
        if lacks:
            yield lacking(setup, kind, aspect, says, why, *items)


def as_set(resolved: Resolved, promise: Promise) -> Promise:
    """Return a promise that the panel doesn't make, with the setting by which it could, and where that is written."""
    outright = promise.outright
    if outright is None or outright.what is not OutrightVerdict.LACKING:
        return promise
    held = resolved.profile.items
    could = [item for item in outright.items if item in held]
    if not could:
        return promise
    told = "; ".join(filter(None, (_in_words(resolved, item) for item in could[:1])))
    more = f", and {len(could) - 1} settings like it" if len(could) > 1 else ""
    return replace(promise, outright=Outright(OutrightVerdict.OFF, f"{outright.why}; {told}{more}"))


def _in_words(resolved: Resolved, item: Item) -> str:
    """Return a setting as it is, with its place in the site file."""
    if item == "station/told":
        return "the site file names no station"
    if item == _DURESS:
        return "nobody of the site file has duress: yes"
    name, value = item.words, resolved.programme.get(item)
    answer, place = resolved.profile.answer_of(item), resolved.places.get(item)
    if value is None:
        return f"setting {name}: not asked, as the rest is set"
    unit = f" {answer.unit}" if answer is not None and answer.unit is not None and value.isdigit() else ""
    where = f"{PurePath(place.file).name}:{place.line}" if place is not None else "as shipped"
    return f"setting {name}: {value}{unit}, {where}"

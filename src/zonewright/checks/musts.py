"""The owner's own rules: the `must` statements of the site file, as far as one event can break them.

Rules of this file:
1. A statement is held against each zone's opening in each mode, all else quiet. What breaks it there breaks it; what
   doesn't is not yet proved.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.events import Beeps, Chime, Message, Output, Siren, Spoken
from zonewright.behaviour.telling import SIRENS
from zonewright.checks.catalogue import rule
from zonewright.checks.job import Doubt, Job, JobZone
from zonewright.findings import Severity
from zonewright.panel.behaviours import Mode, Pattern, modes_meant
from zonewright.site.must import Effect, Statement, statements


@rule("MUST-01", severity=Severity.PROBLEM, topic="must")
def broken_at_once(job: Job) -> Iterator[Doubt]:
    """Something that must never happen does, or something that always must doesn't.

    Why: the owner said so, and one opening of one zone shows the opposite.
    Fix: change the zone's behaviour, chime or report, or the statement.
    Source: the site file's own `must`; found on the panel model.
    """
    for place, statement in enumerate(statements(job.site)):
        for zone in job.zones:
            if not zone.origin.is_meant_by(statement.cause):
                continue
            broken = [
                mode for mode in Mode if mode in modes_meant(statement.while_) and _breaks(job, statement, zone, mode)
            ]
            if broken:
                told = ", ".join(mode.value for mode in broken)
                says = f'"{statement}" doesn\'t hold: {zone.thing} opens, {told}'
                yield Doubt(str(statement.cause), f"must {place + 1}", says, job.resolved.written["must", place])


def _breaks(job: Job, statement: Statement, zone: JobZone, mode: Mode) -> bool:
    when = [after for after, output in job.opened(zone, mode) if _is_effect(statement.effect, output)]
    if statement.wanted == "never":
        return bool(when)
    return not when or (statement.within_s is not None and min(when) > statement.within_s)


def _is_effect(effect: Effect, output: Output) -> bool:
    match effect.kind, output:
        case "siren", Siren(pattern=pattern):
            return pattern in SIRENS
        case "chime", Chime() | Spoken():
            return True
        case "any sound", Chime() | Spoken() | Beeps():
            return True
        case "any sound", Siren(pattern=pattern):
            return pattern is not Pattern.NONE
        case "message", Message(name=name, restore=False):
            return effect.of in name
        case _:
            return False

"""Rules about the standby battery."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt
from zonewright.findings import Severity, nearest
from zonewright.physics.standby import REQUIREMENTS
from zonewright.survey.power import battery_sum

TOPIC = "power"


@rule("PWR-01", severity=Severity.PROBLEM, topic=TOPIC)
def battery_too_small(job: Design) -> Iterator[Doubt]:
    """The standby battery doesn't last as long as the site's standard asks.

    Why: in a long mains failure the system dies with the lights, and somebody may be waiting for that.
    Fix: fit a larger battery, or take load off; measure the currents on site before you decide.
    Source: the site's own `power: standard`, with the source that the sum names.
    Example: larkfield with
        power: {battery: 1.2 Ah}
    """
    made = battery_sum(job.site)
    if made is not None and not made.enough:
        says = f"{made.needed_ah:.2f} Ah needed, {made.fitted_ah:g} Ah fitted ({made.requirement.name})"
        yield Doubt("battery", "standby battery", says, job.resolved.written["power", "battery"])


@rule("PWR-02", severity=Severity.PROBLEM, topic=TOPIC)
def standard_unknown(job: Design) -> Iterator[Doubt]:
    """The site names a standard for its battery that no sum is known for.

    Why: nobody can tell whether the battery is large enough.
    Fix: name one of the standards known, or work the sum out by hand and accept this.
    Source: the table of `physics.standby`.
    Example: larkfield with
        power: {standard: household burglery}
    """
    power = job.site.power
    if power is not None and power.standard not in REQUIREMENTS:
        near = nearest(power.standard, REQUIREMENTS)
        hint = f"; did you mean {near[0]}" if near else ""
        says = f"{power.standard} is none of {', '.join(REQUIREMENTS)}{hint}"
        yield Doubt("battery", "standby battery", says, job.resolved.written["power", "standard"])


@rule("PWR-03", severity=Severity.ADVICE, topic=TOPIC)
def loads_left_out(job: Design) -> Iterator[Doubt]:
    """The battery sum has no load that draws more in alarm than at rest.

    Why: a siren, a relay or a communicator was forgotten, and the sum comes out too good.
    Fix: add each of them with its alarm current.
    Source: common practice, no source.
    Example: larkfield with
        power:
          loads:
            panel and communicator: {alarm: (left out)}
            hall keypad: {alarm: (left out)}
            siren: {alarm: (left out)}
    """
    power = job.site.power
    if power is not None and not any((load.alarm or load.standby) > load.standby for load in power.loads.values()):
        says = f"{len(power.loads)} loads, none of them larger in alarm"
        yield Doubt("battery", "standby battery", says, job.resolved.written["power", "loads"])


@rule("PWR-04", severity=Severity.PROBLEM, topic=TOPIC)
def halved_though_nobody_is_told(job: Design) -> Iterator[Doubt]:
    """The battery is sized as if somebody were told of a mains failure, and nobody is.

    Why: the shorter time assumes that somebody hears of it and comes; here the battery just runs flat.
    Fix: size it for the full time, or give the site a station that is told when mains is lost.
    Source: EN 50131-6 ed. 2, half the time where the loss is told, seen second-hand.
    Example: larkfield with
        station: (left out)
        power: {standard: grade 3 told}
    """
    power, settings = job.site.power, job.setup.settings
    requirement = REQUIREMENTS.get(power.standard) if power is not None else None
    if requirement is None or not requirement.told:
        return
    lacks = (
        "the site has no station" if not settings.told
        else "this panel doesn't tell its own troubles" if not settings.troubles
        else "this panel doesn't watch its mains" if settings.mains_wait is None
        else ""
    )  # fmt: skip
    if lacks:
        says = f"{requirement.standby_h:g} h assume that a loss of mains is told, and {lacks}"
        yield Doubt("battery", "standby battery", says, job.resolved.written["power", "standard"])

"""A test plan in sentences, whoever prints it: what it takes and promises, and what it can't show, and why.

Rules of this file:
1. Every number is counted from the plan; nothing is rounded in its favour.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.entry.keypad.review import called as thing_called
from zonewright.panel.fixed import tells_station
from zonewright.panel.programme import Item
from zonewright.site.record import span
from zonewright.testplan.killing import NotShownBecause
from zonewright.testplan.planner import STATION_S, TestPlan, count
from zonewright.words.telling import count_of, ranges

NOTICED = {"all over the house": "house", "at the keypad": "keypad", "at the station": "station"}
INSTEAD = {
    NotShownBecause.UNREAD: "read it back at the panel, if it matters",
    NotShownBecause.ROLE: "read it back at the panel",
    NotShownBecause.DAYS: "read it back at the panel; only hours of silence would show it",
    NotShownBecause.STOPWATCH: "read it back at the panel",
    NotShownBecause.NEVER_SET: "read it back at the panel; it matters when somebody may set that area one day",
    NotShownBecause.EQUAL: "read it back at the panel, if it matters",
    NotShownBecause.HELP: "read it back at the panel",
    NotShownBecause.INDECENT: "read it back at the panel",
    NotShownBecause.UNPROVEN: "read it back at the panel",
}


def sums(plan: TestPlan) -> Iterator[str]:
    """Give what the plan takes and promises, a sentence each."""
    if plan.budget is not None and not plan.periods:
        yield (
            f"No test fits into {minutes(plan.budget)}: to have the account put on test and taken off again takes "
            f"{minutes(STATION_S)}, and each test its own time besides. Give it more, or read it all back at the panel."
        )
        return
    if not plan.slips:
        yield "Nothing that is keyed shows in a test."
        return
    if not plan.ground.panel.people:
        yield "The site names nobody: user 1 stands for whoever has a code, and may do everything."
    shown, hidden = count(plan.shown), count(v for v, _ in plan.unseen)
    took = count_of(-(-plan.seconds // 60), "minute")
    besides = f" and {minutes(plan.station_s)} for the station" if plan.station_s else ""
    tests, periods = count_of(plan.tests, "test"), count_of(len(plan.periods), "period")
    yield f"{tests} in {periods}, about {took} with walking{besides}."
    yield f"{shown} of {count_of(plan.slips, 'single slip')} show in it; {hidden} show in no field test."
    if plan.trials:
        lasts = minutes(sum(each.period.seconds for each in plan.trials))
        trials = count_of(len(plan.trials), "trial")
        yield f"Besides, {trials} of what calls for help, about {lasts}, listed behind the tests."
    if plan.hidden:
        yield f"Left out: {count_of(count(plan.hidden), 'slip')} that some test would show."
    yield plan_proof(plan)
    usual = f"{count_of(plan.usual.tests, 'test')}, about {count_of(-(-plan.usual.seconds // 60), 'minute')}"
    missed = f"would miss {plan.usual.missed} of those that can be shown"
    yield f"The usual practice, each zone tripped once ({usual}), {missed}."


def is_told(plan: TestPlan) -> bool:
    """Return whether a monitoring station hears of what is tried here, or did before the change."""
    site, before = plan.ground.resolved, plan.before
    return tells_station(site.profile, site.programme, *([before.programme] if before is not None else []))


def compared(plan: TestPlan) -> str:
    """Return what is asked of the station once all is tried."""
    if plan.ground.panel.setup.settings.told:
        return "Compare the station's list with the lines marked station."
    return "Ask the station for its list: nothing of this may have come."


def minutes(seconds: int) -> str:
    """Return about how long a period takes: 8 min, 1 h 44 min."""
    whole = -(-seconds // 60)
    return span(whole * 60) if whole >= 10 else f"{whole} min"


def plan_proof(plan: TestPlan) -> str:
    """Return what is proved of the choice, in a sentence."""
    if plan.budget is not None:
        kind = "no choice of tests at these prices shows more" if plan.chosen.proven else "not proved to be the most"
        return f"Chosen for {minutes(plan.budget)}: {kind}."
    if plan.gap <= 0:
        return "Proved: no choice of tests at these prices takes less, walking and waiting priced on average."
    return (
        f"No choice of tests at these prices takes less than {plan.bound / 60:.1f} minutes; this one is priced at "
        f"{plan.price / 60:.1f}, so it is at most {plan.gap:.1%} above the least."
    )


def unshown(plan: TestPlan) -> Iterator[tuple[str, str]]:
    """Give each reason for which slips aren't shown, with what to do instead, and the fields that it is about."""
    by_reason: dict[str, list[Item]] = {}
    for variant, why in plan.unseen:
        by_reason.setdefault(f"{why.value}: {INSTEAD[why]}", []).extend(slip.item for slip in variant.slips)
    if plan.hidden:
        hidden = by_reason.setdefault("left out of this plan: read it back, or allow more time", [])
        hidden.extend(slip.item for each in plan.hidden for slip in each.slips)
    for reason, items in by_reason.items():
        yield reason[:1].upper() + reason[1:] + ".", "; ".join(in_fields(items))


def in_fields(items: list[Item]) -> list[str]:
    """Return items, fields of several things together: "zones 1–9: light"."""
    found: dict[tuple[str, str], list[int]] = {}
    for item in dict.fromkeys(items):
        if item.number is not None:
            found.setdefault((thing_called(item.group), item.words), []).append(item.number)
        else:
            found.setdefault((item.words, ""), [])
    texts = []
    for (group, name), numbers in found.items():
        several = f"{_plural(group) if len(numbers) > 1 else group} {ranges(numbers)}" if numbers else group
        texts.append(f"{several}: {name}" if name else group)
    return texts


def _plural(group: str) -> str:
    return "people" if group == "person" else f"{group}s"

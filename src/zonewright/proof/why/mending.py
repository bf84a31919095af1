"""Which single field would make a broken promise hold: each change is tried by a proof of that one promise.

Rules of this file:
1. Only what the panel could hold is tried, a few values for each field of the promise's zones and each setting that it
   depends on. A value with which the promise holds only because its case never comes isn't offered.
2. Zones that are promised together are changed together.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from zonewright.behaviour.acts import acts_of, with_acts
from zonewright.behaviour.clockwork import Timeline
from zonewright.behaviour.setup import Setup, UnusableValues, ZoneSetup, setup_of
from zonewright.panel.answers import refuses
from zonewright.panel.legal import settled
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, Value, item_of, setting_item
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import looked_at, prove
from zonewright.proof.prover.alike import signature
from zonewright.proof.prover.observers import Awaited
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.prover.replay import breaks_again
from zonewright.proof.prover.slices import whole_panel
from zonewright.site.record import ZoneNumber

OF_ITSELF = frozenset({"route", "must"})  # kinds of promises that name zones, whichever zones act like them
MOST_TRIED = 80


@dataclass(frozen=True, slots=True)
class Mend:
    """One field of these zones, or one setting, and the value with which the promise would hold."""

    items: tuple[Item, ...]
    value: str


def mends(
    resolved: Resolved, setup: Setup, promise: Promise, broken: Timeline, settings: Iterable[str], window: Window
) -> Iterator[Mend]:
    """Give every single change, of those that are tried, with which a promise would hold.

    `broken` is the timeline that breaks it; if it still does after a change, there is no need to prove anything.
    """
    tried = 0
    for mend in _changes(resolved, setup, promise, settings):
        if tried == MOST_TRIED:
            return
        programme = resolved.programme.changed(dict.fromkeys(mend.items, Value(mend.value)))
        programme = Programme(programme.panel, settled(resolved.profile, programme.values))
        other = replace(resolved, programme=programme)
        try:
            made = with_acts(setup_of(programme, resolved.profile), resolved)
        except UnusableValues:
            continue
        same = next((each for each in asked_of(other, made, window) if each.name == promise.name), None)
        if same is None or len(looked_at(made, same)) > len(looked_at(setup, promise)):
            continue  # it would be about more areas than before: that takes long to prove, and says little
        tried += 1
        observer = Awaited(same.observer, same.root) if same.timed else same.observer
        if not same.wants and breaks_again(whole_panel(made), broken, observer):
            continue
        (verdict,) = prove(made, [same], window)
        if verdict.settled.result is VerdictKind.HOLDS:
            yield mend


def _changes(resolved: Resolved, setup: Setup, promise: Promise, settings: Iterable[str]) -> Iterator[Mend]:
    profile, programme, acts = resolved.profile, resolved.programme, acts_of(resolved)
    for number in promise.zones:
        zone = setup.zone(number)
        if zone is None:
            continue
        numbers = _together(setup, promise, zone)
        for field, values in (
            ("behaviour", _behaviours(profile, zone)),
            ("delay", _offered(profile, number, "delay")),
            ("area", tuple(str(area) for area in setup.areas if acts.of(area).ways)),
            ("chime", _offered(profile, number, "chime")),
            ("tells-alarm", ("yes", "no")),
            ("message-delay", _offered(profile, number, "message-delay")),
        ):
            items = tuple(item_of("zone", each, field) for each in numbers)
            held = programme.get(items[0])
            if held is not None:
                yield from (Mend(items, value) for value in values if value != held)
    for name in settings:
        item = setting_item(name)
        yield from (Mend((item,), value) for value in _times(profile, item, programme.get(item)))


def _together(setup: Setup, promise: Promise, zone: ZoneSetup) -> tuple[ZoneNumber, ...]:
    if promise.kind in OF_ITSELF:
        return (zone.number,)
    return tuple(each.number for each in setup.zones if signature(each) == signature(zone))


def _behaviours(profile: Profile, zone: ZoneSetup) -> tuple[str, ...]:
    """Return what else a zone might do: it stays in use, and a life-safety zone stays one."""
    answer = profile.answer_of(item_of("zone", zone.number, "behaviour"))
    return tuple(
        name
        for name, behaviour in profile.behaviours.items()
        if behaviour.in_use
        and behaviour.arms is None
        and behaviour.life_safety == zone.behaviour.life_safety
        and (answer is None or refuses(answer, name) is None)
    )


def _offered(profile: Profile, number: ZoneNumber, field: str) -> tuple[str, ...]:
    answer = profile.answer_of(item_of("zone", number, field))
    return tuple(answer.choices) if answer is not None else ()


def _times(profile: Profile, item: Item, held: str | None) -> Iterator[str]:
    """Give the half, the double, the least and the most of a number."""
    answer = profile.answer_of(item)
    if answer is None or held is None or not held.isdigit():
        return
    some = [int(held) // 2, int(held) * 2, answer.least, answer.most_value]
    for value in dict.fromkeys(str(each) for each in some if each is not None):
        if value != held and refuses(answer, value) is None:
            yield value

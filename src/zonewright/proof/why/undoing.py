"""What can make untrue what promises take for granted: who or what, and how, each as a finding of its own.

Rules of this file:
1. It says something only about provisos that some promise has, and about the zones of those promises.
2. Who can do it is read from the site: nobody is named whose code doesn't work for the zone's areas.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from zonewright.behaviour.acts import may_bypass
from zonewright.behaviour.setup import Setup, UserNumber, ZoneSetup
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.by_zones import counting_ends
from zonewright.proof.promises.promise import Promise
from zonewright.proof.promises.provisos import Proviso
from zonewright.site.record import ZoneNumber, span
from zonewright.words.telling import listed


@dataclass(frozen=True, slots=True)
class Undoing:
    """One way in which a proviso of some zones can be untrue."""

    proviso: Proviso
    zones: tuple[ZoneNumber, ...]
    says: str


def undoings(resolved: Resolved, setup: Setup, promises: Iterable[Promise]) -> tuple[Undoing, ...]:
    """Return all that can make untrue what these promises take for granted."""
    asked: dict[Proviso, set[ZoneNumber]] = {}
    for promise in promises:
        for proviso in promise.provisos:
            asked.setdefault(proviso, set()).update(promise.spoken_of or promise.zones)
    found: list[Undoing] = []
    for proviso in Proviso:
        zones = [zone for zone in setup.zones if zone.number in asked.get(proviso, ())]
        if proviso in asked:
            found += _of(resolved, setup, proviso, zones)
    return tuple(found)


def _of(resolved: Resolved, setup: Setup, proviso: Proviso, zones: list[ZoneSetup]) -> Iterator[Undoing]:
    numbers = tuple(zone.number for zone in zones)
    match proviso:
        case Proviso.HEARD:
            yield from _unheard(resolved, setup, zones)
        case Proviso.IN_USE:
            yield from _bypassed(setup, [zone for zone in zones if zone.behaviour.user_bypass])
        case Proviso.ALARMS_LEFT:
            limit = setup.settings.swinger_limit
            times = "one alarm" if limit == 1 else f"{limit} alarms"
            some = [zone for zone in zones if zone.behaviour.swinger]
            silent = f"silent after {times} of one armed period, until {counting_ends(setup, 'somebody disarms')}"
            yield from _grouped(proviso, some, lambda _zone: silent)
        case _:
            yield Undoing(proviso, numbers, _OTHERS[proviso])


_OTHERS = {
    Proviso.SHUT: "whoever leaves it open: what is open already can't open until it is shut",
    Proviso.ON: "a cover that is off already: it can't come off again until it is put on",
    Proviso.QUIET: "anybody who is coming in or leaving, a siren that sounds, a message that waits: `zonewright play` "
    "shows what happens then",
    Proviso.NOTHING_WAITS: "an earlier alarm: its message waits already, and leaves at its own time",
    Proviso.ALONE: "a second person who opens something else meanwhile",
    Proviso.NOT_AGAIN: "whoever opens it once more, or arms, in the same seconds",
    Proviso.NOBODY_ARMS: "whoever arms or leaves again while it is open: that may report it again",
    Proviso.NOT_TOLD: "a trouble that is there already, or is put right in time; a battery reported low within a day",
    Proviso.NOT_DISARMED: "whoever disarms in the meantime: then nothing more is due",
}  # fmt: skip


def _unheard(resolved: Resolved, setup: Setup, zones: list[ZoneSetup]) -> Iterator[Undoing]:
    """A device out of contact, or a wire that is cut."""

    def how(zone: ZoneSetup) -> str:
        if zone.number not in resolved.zones or resolved.zones[zone.number].cause.loop is not None:
            return "a cut, shorted or bridged wire keeps the panel from hearing it"
        settings = setup.settings
        own = settings.life_safety_supervision_window if zone.behaviour.life_safety else 0
        window = own or settings.supervision_window
        if zone.supervise and window:
            return f"a device out of contact can't be heard; within {span(window)} the panel names the missing device"
        return "a device out of contact can't be heard, and nobody notices, since it isn't supervised"

    yield from _grouped(Proviso.HEARD, zones, how)


def _bypassed(setup: Setup, zones: list[ZoneSetup]) -> Iterator[Undoing]:
    """Somebody bypasses it before arming, or arming does."""

    def who(zone: ZoneSetup) -> str:
        people = may_bypass(setup, zone) if setup.acts is not None else ()
        return f"{_people(people)} can bypass it while off, for one armed period" if people else ""

    def forced(zone: ZoneSetup) -> str:
        sees_to_doors = setup.settings.exit_error and zone.behaviour.exit_door
        bypasses = setup.settings.forced_arming and zone.behaviour.stops_arming and not sees_to_doors
        return "whoever arms while it is open bypasses it for that armed period" if bypasses else ""

    yield from _grouped(Proviso.IN_USE, zones, who)
    yield from _grouped(Proviso.IN_USE, zones, forced)


def _grouped(proviso: Proviso, zones: list[ZoneSetup], how: Callable[[ZoneSetup], str]) -> Iterator[Undoing]:
    """Give one finding for all zones about which the same is said; none where nothing is."""
    groups: dict[str, list[ZoneSetup]] = {}
    for zone in zones:
        groups.setdefault(how(zone), []).append(zone)
    for says, some in groups.items():
        if says:
            told = says.replace(" it ", " any of them ") if len(some) > 1 else says
            yield Undoing(proviso, tuple(zone.number for zone in some), f"{_labels(some)}: {told}")


def _labels(zones: list[ZoneSetup]) -> str:
    return listed([zone.label for zone in zones])


def _people(people: Iterable[UserNumber]) -> str:
    return listed([f"user {each}" for each in people])

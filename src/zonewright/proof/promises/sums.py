"""What follows from a panel's times by arithmetic, without looking at what it does.

Rules of this file:
1. A sum is worked out here once; `check` and the proofs take it from here.
2. A limit is the profile's: editions and listings differ, so that a panel which states none has none to keep.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.panel.behaviours import Pattern, Timing
from zonewright.panel.profile import Listing
from zonewright.proof.promises.by_zones import counting_ends, told
from zonewright.proof.promises.promise import Outright, OutrightVerdict, Promise, Window, lacking, where
from zonewright.site.record import ZoneNumber, span
from zonewright.words.telling import listed

RULE_OF_TOTAL_DELAY = "DEL-01"  # of `check`, which judges the same sum; what is accepted there is accepted here
NO_LIMIT = "its profile states no limit; in ANSI/SIA CP-01 household set-ups it is 60 s, from memory"


@dataclass(frozen=True, slots=True)
class TotalDelay:
    """How long entry time and abort window may be together by a panel's listing [s], and for whom more was agreed."""

    seconds: int
    agreed: Mapping[ZoneNumber, str] | None = None  # zone -> who accepted it, and why


def limit_of(listing: Listing, agreed: Mapping[ZoneNumber, str] | None = None) -> TotalDelay | None:
    """Return the limit of a profile's listing, if it states one."""
    return None if listing.entry_plus_abort is None else TotalDelay(listing.entry_plus_abort, agreed)


def total_delay(setup: Setup, zone: ZoneSetup) -> int:
    """Return the longest time from a door's opening until its alarm leaves [s]; 0 for a zone without entry time."""
    if zone.behaviour.timing is not Timing.DELAYED or not zone.entry_s:
        return 0
    return zone.entry_s + setup.longest_wait(zone)


def of_waiting(setup: Setup, zone: ZoneSetup) -> str:
    """Return what a door's message waits for after its entry time; empty where it goes at once."""
    wait = setup.longest_wait(zone)
    if not wait:
        return ""
    by_window = zone.message_waits and wait == setup.settings.abort_window
    return f"{wait} s abort window" if by_window else f"{wait} s in which an entry's alarm is held"


def of_delays(setup: Setup, limit: TotalDelay | None, *, apart: bool = False) -> Iterator[Promise]:
    """Give one promise for all doors of which the same is to be said; `apart`, one for each door."""
    delayed = [(zone, total_delay(setup, zone)) for zone in setup.zones if told(setup, zone)]
    delayed = [(zone, seconds) for zone, seconds in delayed if seconds]
    if limit is None:
        if delayed:
            says = "entry time and abort window together keep a limit"
            yield lacking(setup, "delay", "total delay", says, NO_LIMIT)
        return
    groups: dict[tuple[int, str, str | None, ZoneNumber | None], list[ZoneSetup]] = {}
    for zone, seconds in delayed:
        agreed = (limit.agreed or {}).get(zone.number) if seconds > limit.seconds else None
        alone = zone.number if apart else None
        groups.setdefault((seconds, of_waiting(setup, zone), agreed, alone), []).append(zone)
    for (seconds, waits, agreed, _), zones in groups.items():
        entry = zones[0].entry_s
        terms = f"{entry} s entry time + {waits}" if waits else f"{entry} s entry time"
        what = (
            OutrightVerdict.KEPT
            if seconds <= limit.seconds
            else OutrightVerdict.BROKEN
            if agreed is None
            else OutrightVerdict.AGREED
        )
        why = f"{terms} = {seconds} s" if waits else terms
        listing = f"limit {limit.seconds} s: the panel's listing"
        yield Promise(
            "delay", "total delay",
            f"{listed([zone.label for zone in zones])}: entry time and message's wait are {limit.seconds} s at most",
            tuple(zone.number for zone in zones), frozenset[AreaNumber]().union(*(zone.areas for zone in zones)),
            outright=Outright(what, f"{why}; {agreed or listing}"),
        )  # fmt: skip


def of_siren_sum(setup: Setup, window: Window) -> Iterator[Promise]:
    """Give how long the siren can sound without a break, left alone: causes may follow each other.

    Each alarm counts (`swinger`), each is cut off (`siren ends`), and ways out left open sound before that, once for
    the end of each exit time: the area's own, and those of areas that share a way out with it.
    """
    settings = setup.settings
    if not settings.siren_time or not settings.swinger_limit:
        return
    for area in setup.areas:
        loud = [zone for zone in setup.zones_of(area) if zone.behaviour.siren is Pattern.BURGLARY]
        counted = [zone for zone in loud if zone.behaviour.swinger]
        if not counted:
            continue
        leaving = frozenset[AreaNumber]().union(*(door.areas for door in setup.exit_doors(area)))
        reminders = len(leaving) if settings.exit_error and settings.exit_time else 0
        times = len(counted) * settings.swinger_limit + reminders
        whole = times * window.most(settings.siren_time)
        others = [zone.label for zone in loud if not zone.behaviour.swinger]
        besides = f"; {listed(others)} aside, which may call for it again and again" if others else ""
        yield Promise(
            "siren", "siren in all",
            f"left alone, counted zones by themselves keep the siren on for {span(whole)} at most"
            f"{where(setup, frozenset({area}))}, until {counting_ends(setup, 'somebody disarms')}",
            (), frozenset({area}), spoken_of=tuple(zone.number for zone in loud),
            rests_on=frozenset({"swinger", "siren"}),
            outright=Outright(
                OutrightVerdict.KEPT,
                f"{times} alarms of {span(window.most(settings.siren_time))} at most, if each counts and is cut off, "
                f"which is promised above{besides}",
            ),
        )  # fmt: skip

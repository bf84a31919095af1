"""What follows from a panel's times by arithmetic, without looking at what it does.

Rules of this file:
1. A sum is worked out here once; `check` and the proofs take it from here.
2. Where the profile states no limit, the published one is taken, and its source is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from zonewright.behaviour.promise import Promise, Reckoned, Reckoning, Window, where
from zonewright.behaviour.promised_by_zones import told
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.telling import listed, span
from zonewright.panel.behaviours import Pattern, Timing
from zonewright.panel.profile import Listing
from zonewright.site.record import ZoneNumber

RULE_OF_TOTAL_DELAY = "DEL-01"  # of `check`, which judges the same sum; what is accepted there is accepted here
CP01_TOTAL_S = 60  # entry time and abort window together, ANSI/SIA CP-01 household set-up, from memory


@dataclass(frozen=True, slots=True)
class TotalDelay:
    """How long entry time and abort window may be together [s], who says so, and for which zones more was agreed."""

    seconds: int = CP01_TOTAL_S
    source: str = "ANSI/SIA CP-01, from memory; the profile states no limit"
    agreed: Mapping[ZoneNumber, str] | None = None  # zone -> who accepted it, and why


def limit_of(listing: Listing, agreed: Mapping[ZoneNumber, str] | None = None) -> TotalDelay:
    """Return the limit of a profile's listing, or the published one."""
    if listing.entry_plus_abort is None:
        return TotalDelay(agreed=agreed)
    return TotalDelay(listing.entry_plus_abort, "the panel's listing", agreed)


def total_delay(setup: Setup, zone: ZoneSetup) -> int:
    """Return the time from a door's opening until its alarm leaves, an entry hold aside [s]; 0 for a zone without."""
    if zone.behaviour.timing is not Timing.DELAYED or not zone.entry_s:
        return 0
    return zone.entry_s + (setup.settings.abort_window if zone.message_waits else 0)


def of_delays(setup: Setup, limit: TotalDelay) -> Iterator[Promise]:
    """Give one promise for all doors of which the same is to be said."""
    groups: dict[tuple[int, bool, str | None], list[ZoneSetup]] = {}
    for zone in setup.zones:
        if told(setup, zone) and (seconds := total_delay(setup, zone)):
            agreed = (limit.agreed or {}).get(zone.number) if seconds > limit.seconds else None
            groups.setdefault((seconds, zone.message_waits, agreed), []).append(zone)
    for (seconds, waits, agreed), zones in groups.items():
        abort = setup.settings.abort_window if waits else 0
        terms = f"{seconds - abort} s entry time + {abort} s abort window" if abort else f"{seconds} s entry time"
        what = Reckoning.KEPT if seconds <= limit.seconds else Reckoning.BROKEN if agreed is None else Reckoning.AGREED
        why = f"{terms} = {seconds} s" if abort else terms
        source = f"; limit {limit.seconds} s: {limit.source}"
        yield Promise(
            "delay", "total delay",
            f"{listed([zone.label for zone in zones])}: entry time and abort window are {limit.seconds} s at most",
            tuple(zone.number for zone in zones), frozenset[AreaNumber]().union(*(zone.areas for zone in zones)),
            reckoned=Reckoned(what, why + (f"; {agreed}" if agreed else source)),
        )  # fmt: skip


def of_siren_sum(setup: Setup, window: Window) -> Iterator[Promise]:
    """Give how long the siren can sound without a break, left alone: causes may follow each other.

    Each alarm counts (`swinger`), each is cut off (`siren ends`), and a way out left open sounds once before it counts.
    """
    settings = setup.settings
    if not settings.siren_time or not settings.swinger_limit:
        return
    for area in setup.areas:
        loud = [zone for zone in setup.zones_of(area) if zone.behaviour.siren is Pattern.BURGLARY]
        counted = [zone for zone in loud if zone.behaviour.swinger]
        if not counted:
            continue
        reminder = 1 if settings.exit_error and settings.exit_time and setup.exit_doors(area) else 0
        times = len(counted) * settings.swinger_limit + reminder
        whole = times * window.most(settings.siren_time)
        others = [zone.label for zone in loud if not zone.behaviour.swinger]
        besides = f"; {listed(others)} aside, which may call for it again and again" if others else ""
        yield Promise(
            "siren", "siren in all",
            f"left alone, counted zones keep the siren on for {span(whole)} at most{where(setup, frozenset({area}))}",
            (), frozenset({area}),
            reckoned=Reckoned(
                Reckoning.KEPT,
                f"{times} alarms of {span(window.most(settings.siren_time))} at most, if each counts and is cut off, "
                f"which is promised above{besides}",
            ),
        )  # fmt: skip

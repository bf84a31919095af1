"""What a good panel promises, in plain words, each with what watches it.

Rules of this file:
1. A promise follows from a zone's attributes, from a route or from the owner's words; never from a behaviour's name.
2. Here they are only gathered; each stands in the file of what it is about.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import replace

from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.proof.promises.alarms import of_alarms
from zonewright.proof.promises.by_panel import of_panel
from zonewright.proof.promises.by_zones import of_zone
from zonewright.proof.promises.lacking import what_it_lacks
from zonewright.proof.promises.messages import of_cancelling, of_messages
from zonewright.proof.promises.on_leaving import on_leaving
from zonewright.proof.promises.on_routes import of_route
from zonewright.proof.promises.on_setting import on_setting
from zonewright.proof.promises.promise import KINDS, Promise, WantedByOwner, Window, ZoneRoute
from zonewright.proof.promises.sums import TotalDelay, of_delays, of_siren_sum
from zonewright.proof.promises.to_owner import of_owner
from zonewright.proof.promises.under_duress import of_duress
from zonewright.proof.prover.alike import signature
from zonewright.words.telling import each_of


def promises(
    setup: Setup,
    routes: Iterable[ZoneRoute] = (),
    wanted: Iterable[WantedByOwner] = (),
    window: Window | None = None,
    limit: TotalDelay | None = None,
    *,
    apart: bool = False,
) -> tuple[Promise, ...]:
    """Return everything that the panel should keep; `limit` is that of entry time and abort window, if any.

    Zones that act alike are promised together, unless `apart`: then each has promises of its own, for comparing.
    """
    exact = window or Window()
    made = [
        *_of_zones(setup, exact, apart=apart),
        *of_delays(setup, limit, apart=apart),
        *of_panel(setup, exact),
        *of_siren_sum(setup, exact),
        *(promise for area in setup.areas for promise in of_cancelling(setup, area, exact)),
        *(promise for area in setup.areas for promise in of_duress(setup, area)),
        *(promise for area in setup.areas for promise in on_setting(setup, area)),
        *(promise for area in setup.areas for promise in on_leaving(setup, area)),
        *what_it_lacks(setup),
        *(promise for route in routes for promise in of_route(setup, route, exact, apart=apart)),
        *(promise for one in wanted for promise in of_owner(setup, one, exact)),
    ]
    order = list(KINDS)
    return tuple(sorted(made, key=lambda promise: order.index(promise.kind)))


def _of_zones(setup: Setup, window: Window, *, apart: bool) -> Iterator[Promise]:
    for zones in [[each] for each in setup.zones] if apart else _alike(setup):
        zone = replace(zones[0], label=each_of([each.label for each in zones]))
        numbers = tuple(each.number for each in zones)
        made = (*of_zone(setup, zone), *of_alarms(setup, zone, window), *of_messages(setup, zone, window))
        yield from (replace(each, spoken_of=numbers) for each in made)


def _alike(setup: Setup) -> list[list[ZoneSetup]]:
    """Return the zones in groups that act alike."""
    groups: dict[Hashable, list[ZoneSetup]] = {}
    for zone in setup.zones:
        groups.setdefault(signature(zone), []).append(zone)
    return list(groups.values())

"""Settings that nothing at a site reads: with another value the panel is the same, step by step.

Each line is an argument about `step` and the files it calls: which zones a setting is asked for. Where there is no such
zone, neither as planned nor as held, the setting is left aside.

Rules of this file:
1. A setting that isn't in the table counts as read. What a keypad's panic needs (siren, sounder inside) always is.
2. A test holds the table to long random runs of both panels.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType

from zonewright.behaviour.setup import Settings, ZoneSetup

Asks = Callable[[ZoneSetup], bool]


def _tells(zone: ZoneSetup) -> bool:
    return zone.behaviour.abort and zone.tells_alarm


ASKED_FOR: Mapping[str, Asks] = MappingProxyType({
    "cross_window": lambda zone: bool(zone.crosses),
    "fire_reset": lambda zone: zone.verifies,
    "fire_verify_window": lambda zone: zone.verifies,
    "abort_window": lambda zone: zone.message_waits,
    "cancel_window": _tells,
    "confirm_window": _tells,
    "entry_hold": lambda zone: zone.behaviour.abort,
    "recent_closing": _tells,
    "swinger_limit": lambda zone: zone.behaviour.swinger,
    "environment_wait": lambda zone: zone.behaviour.persists,
    "forced_arming": lambda zone: zone.behaviour.stops_arming,
    "exit_restart": lambda zone: zone.behaviour.exit_door,
    "exit_error": lambda zone: zone.behaviour.exit_door,
    "unvacated_stay": lambda zone: zone.behaviour.exit_door,
})  # fmt: skip


def as_read(settings: Settings, zones: Iterable[ZoneSetup]) -> Settings:
    """Return settings without those that none of these zones asks for."""
    zones = tuple(zones)
    plain = Settings()
    unread = {name: getattr(plain, name) for name, asks in ASKED_FOR.items() if not any(map(asks, zones))}
    return replace(settings, **unread)

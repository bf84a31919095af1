"""What is asked of a resolved site: the promises of its panel, with the routes and statements of its site file."""

from __future__ import annotations

from zonewright.behaviour.properties import Promise, Route, Wanted, Window, promises
from zonewright.behaviour.setup import Setup
from zonewright.panel.resolve import Resolved
from zonewright.site.must import statements
from zonewright.site.record import ZoneNumber


def asked_of(resolved: Resolved, setup: Setup, window: Window) -> tuple[Promise, ...]:
    """Return every promise of a resolved site."""
    routes = []
    for name, route in resolved.site.routes.items():
        doors = _called(resolved, route.by)
        through = tuple(number for each in route.through for number in _called(resolved, each))
        routes += [Route(name, door, through) for door in doors]
    wanted = [
        Wanted(
            statement,
            tuple(
                ZoneNumber(number)
                for number, origin in resolved.zones.items()
                if origin.device in (statement.cause.device, statement.cause.loop)
                and statement.cause.input in (None, origin.cause.input)
            ),
        )
        for statement in statements(resolved.site)
    ]
    return promises(setup, routes, wanted, window)


def _called(resolved: Resolved, name: str) -> list[ZoneNumber]:
    """Return the zones that a route means by a device's name or a label."""
    return [
        ZoneNumber(number)
        for number, origin in resolved.zones.items()
        if name in (origin.device, resolved.programme.fields("zone", number).get("label"))
    ]

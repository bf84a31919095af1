"""What is asked of a resolved site: the promises of its panel, with the routes and statements of its site file."""

from __future__ import annotations

from zonewright.behaviour.acts import with_acts
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.lacking import as_set
from zonewright.proof.promises.promise import Promise, WantedByOwner, Window, ZoneRoute
from zonewright.proof.promises.properties import promises
from zonewright.proof.promises.sums import RULE_OF_TOTAL_DELAY, limit_of
from zonewright.site.must import Statement, statements
from zonewright.site.record import ZoneNumber
from zonewright.words.message_kinds import no_such_message


def asked_of(resolved: Resolved, setup: Setup, window: Window, *, apart: bool = False) -> tuple[Promise, ...]:
    """Return every promise of a resolved site; `apart`, of each zone by itself, also of zones that act alike."""
    routes = []
    for name, route in resolved.site.routes.items():
        through = tuple(number for each in route.through for number in resolved.called(each))
        routes += [ZoneRoute(name, door, through, resolved.walk_s(name)) for door in resolved.called(route.by)]
    wanted = [_wanted(resolved, setup, statement) for statement in statements(resolved.site)]
    limit = limit_of(resolved.profile.listing, _agreed(resolved))
    found = promises(with_acts(setup, resolved), routes, wanted, window, limit, apart=apart)
    return tuple(as_set(resolved, each) for each in found)


def _wanted(resolved: Resolved, setup: Setup, statement: Statement) -> WantedByOwner:
    cause = statement.cause
    meant = [ZoneNumber(number) for number, origin in resolved.zones.items() if origin.is_meant_by(cause)]
    switches = [zone for zone in setup.zones if zone.number in meant and zone.behaviour.arms is not None]
    return WantedByOwner(
        statement,
        tuple(meant),
        frozenset(ZoneNumber(number) for number, origin in resolved.zones.items() if origin.cause.loop is not None),
        AreaNumber(resolved.areas[statement.area]) if statement.area is not None else None,
        next((UserNumber(number) for number, name in resolved.users.items() if name == cause.person), None),
        no_such_message(resolved.profile, statement, of_switch=bool(switches)),
    )


def _agreed(resolved: Resolved) -> dict[ZoneNumber, str]:
    """Return the zones of which somebody accepted that they take longer than the limit, by whom and why."""
    words = {word.for_: word for word in resolved.site.accept if word.rule == RULE_OF_TOTAL_DELAY}
    return {
        ZoneNumber(number): f"accepted by {word.by}, {word.on}: {word.because}"
        for number, origin in resolved.zones.items()
        if (word := words.get(origin.device)) is not None
    }

"""What the owner wants: the `must` statements of the site file, as promises about each zone that they mean."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.behaviour.events import Expires, TimerKind
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.behaviour.telling import in_modes
from zonewright.panel.behaviours import Mode, Timing, modes_meant
from zonewright.proof.judges import disarms, has_effect, may_be_in, opens
from zonewright.proof.observers import Invariant
from zonewright.proof.outcome import Outcome
from zonewright.proof.own_messages import Names, Sends, own
from zonewright.proof.promise import Part, Promise, Wanted, Window, about
from zonewright.proof.promised_alarms import quiet_opening
from zonewright.proof.promised_by_zones import opening
from zonewright.proof.provisos import Proviso, in_earnest
from zonewright.proof.table import Act
from zonewright.site.must import Statement


def of_owner(setup: Setup, wanted: Wanted, window: Window) -> Iterator[Promise]:
    """Give a promise for each zone that a statement means."""
    statement = wanted.statement
    modes = modes_meant(statement.while_)
    for number in wanted.zones:
        zone = setup.zone(number)
        if zone is not None:
            if statement.wanted == "never":
                yield _owner_never(zone, statement, modes)
            else:
                yield _owner_always(setup, zone, statement, modes, window)


def _owner_never(zone: ZoneSetup, statement: Statement, modes: frozenset[Mode]) -> Promise:
    def bad(before: Control, act: Act, outcome: Outcome) -> bool:
        later = isinstance(act, Expires) and act.timer.kind is not TimerKind.MISSING  # that it is missing is no opening
        own = opens(act, zone) or later
        here = own and may_be_in(before, outcome, zone, modes)
        return here and has_effect(statement.effect, act, outcome, zone, waiting=True)

    return Promise(
        "must", f"must {statement}", f"{statement} ({zone.label} opens)", (zone.number,), zone.areas, Invariant(bad),
        about(opening(zone), Part(in_modes(modes), lambda before, _a, out: may_be_in(before, out, zone, modes))),
        sort=_sort(statement),
    )  # fmt: skip


def _owner_always(
    setup: Setup, zone: ZoneSetup, statement: Statement, modes: frozenset[Mode], window: Window
) -> Promise:
    delay = zone.entry_s if zone.behaviour.timing is Timing.DELAYED else 0
    wait = setup.longest_wait(zone)
    within = statement.within_s if statement.within_s is not None else window.most(delay, wait)

    start = quiet_opening(setup, zone, modes)

    def good(act: Act, outcome: Outcome, leaving: Names) -> bool:
        if statement.effect.kind == "message":
            return any(statement.effect.of in name for name in leaving)
        return has_effect(statement.effect, act, outcome, zone, waiting=False)

    return Promise(
        "must", f"must {statement}", f"{statement} ({zone.label} opens)", (zone.number,), zone.areas,
        Sends(own(setup, zone), start, good, within, disarms(zone)), start, timed=True,
        sort=_sort(statement),
        provisos=in_earnest(setup, zone, Proviso.QUIET, *((Proviso.NOT_DISARMED,) if within else ())),
    )  # fmt: skip


def _sort(statement: Statement) -> str:
    """Return what is wanted, but for what brings it about."""
    return f"must {statement.wanted}: {statement.effect}, {statement.while_}, {statement.within_s}"

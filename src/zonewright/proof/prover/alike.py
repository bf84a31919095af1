"""Which zones act alike, which areas affect each other, and the smaller panel on which promises are settled.

Rules of this file:
1. Zones that differ only in number and label can stand for one another: exchanging two of them in any run gives a run.
   (No zone takes precedence by its number; a test holds `step` to that.)
2. A smaller panel has each named zone, one more of its kind if there is one, and one of each other kind. For each set
   of areas it also has a zone without a device, used for any zone with these areas where it doesn't matter which.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import replace

from zonewright.behaviour.effects import may_be_bypassed
from zonewright.behaviour.setup import NO_CHIME, AreaNumber, Setup, ZoneSetup
from zonewright.panel.behaviours import Behaviour, Pattern, Timing
from zonewright.site.record import ZoneNumber

_PLAIN = Behaviour(live=frozenset())
_NOBODY = Behaviour(  # `abort`: its messages wait, and can be called back once sent, like all that wait
    live=frozenset(), chimes=frozenset(), stops_arming=False, user_bypass=False, shown=False, abort=True
)  # fmt: skip


_QUIET: dict[str, object] = {
    "siren": Pattern.NONE, "warns": frozenset(), "chimes": frozenset(), "swinger": False, "abort": False,
    "shown": False, "persists": False, "tamper_alarm": frozenset(),
}  # fmt: skip


_UNHEARD_SOUNDS: dict[str, object] = {"siren": Pattern.NONE, "chimes": frozenset(), "shown": False}
_UNHEARD_MESSAGES: dict[str, object] = {
    "alarm": None, "warning": None, "chimes": frozenset(), "shown": False, "abort": False,
}  # fmt: skip


def signature(zone: ZoneSetup) -> Hashable:
    """Return all that decides what a zone does except number, label and supervision, while radio isn't jammed."""
    plain = replace(zone, number=ZoneNumber(0), label="", supervise=False, radio=False, behaviour=_PLAIN)
    return plain, _frozen(zone.behaviour)


def _frozen(behaviour: Behaviour) -> Hashable:
    return tuple((name, getattr(behaviour, name)) for name in type(behaviour).model_fields if name != "says")


def kind_anywhere(zone: ZoneSetup) -> Hashable:
    """Return all that decides what a zone does, except its areas."""
    return signature(replace(zone, areas=frozenset()))


def moves_alike(zone: ZoneSetup, *, heard: bool) -> Hashable:
    """Return all of a zone that decides to which states it leads, if no judge looks at the zone itself.

    `heard`: in a slice that listens to the sounder, not one that reads messages. A door stands only for itself: which
    doors are taken together is decided in `doors.py`.
    """
    if is_door(zone):
        return zone.number
    behaviour = zone.behaviour.model_copy(update=_UNHEARD_MESSAGES if heard else _UNHEARD_SOUNDS)
    plain = replace(zone, chime=NO_CHIME, behaviour=behaviour)
    if heard:
        plain = replace(plain, tells_alarm=False, tells_trouble=False, message_waits=False)
    return signature(plain), zone.can_alarm, zone.protects_life


def is_door(zone: ZoneSetup) -> bool:
    """Return whether people come in or leave by it."""
    behaviour = zone.behaviour
    return behaviour.exit_door or behaviour.completes_exit or behaviour.timing is Timing.DELAYED or zone.entry_s > 0


def in_the_way_alike(zone: ZoneSetup) -> Hashable:
    """Return all of a zone that matters if it is open while another one acts, apart from lines of the display.

    An open zone stops arming, or arming bypasses it. An exit door's entry time matters, too, so each is its own kind.
    """
    itself = zone.number if zone.behaviour.exit_door else None
    return itself, zone.areas, zone.behaviour.stops_arming, zone.behaviour.live, may_be_bypassed(zone)


def smaller(
    whole: Setup,
    areas: frozenset[AreaNumber],
    named: frozenset[ZoneNumber],
    others_told: frozenset[AreaNumber] = frozenset(),
    others_moving: frozenset[AreaNumber] = frozenset(),
) -> Setup:
    """Return the panel of these areas with few zones of each kind; other areas only if they share zones with these.

    If something is kept of other areas (`others_told`), the panel also has the zones that change it: switches, and
    doors if more than the mode is kept (`others_moving`).
    """
    mine = [zone for zone in whole.zones if zone.areas & areas]
    moving = [
        mover(zone)
        for zone in whole.zones
        if not zone.areas & areas and zone.areas & others_told and _moves(zone, doors=bool(zone.areas & others_moving))
    ]
    chosen = {zone.number for zone in mine if zone.number in named}
    others: dict[Hashable, ZoneNumber] = {}
    for zone in (*mine, *moving):
        if zone.number not in chosen:
            others.setdefault(signature(zone), zone.number)
    chosen |= set(others.values())
    kept = [zone for zone in (*mine, *moving) if zone.number in chosen]
    told = areas.union(*(zone.areas for zone in (*mine, *moving)))
    return replace(whole, zones=(*kept, *nobodies(whole, mine)), areas=tuple(sorted(told)))


def mover(zone: ZoneSetup) -> ZoneSetup:
    """Return a zone of other areas that lets people in and out there, or arms, without what it sounds and sends."""
    behaviour = zone.behaviour.model_copy(update=_QUIET)
    return replace(zone, chime=NO_CHIME, tells_alarm=False, tells_trouble=False, message_waits=False, supervise=False,
                   crosses=frozenset(), verifies=False, behaviour=behaviour)  # fmt: skip


def _moves(zone: ZoneSetup, *, doors: bool) -> bool:
    """Return whether a zone arms its areas, or with `doors`, lets people in or out."""
    return zone.behaviour.arms is not None or (doors and is_door(zone))


def with_pairs(setup: Setup, areas: frozenset[AreaNumber]) -> frozenset[AreaNumber]:
    """Return areas with those of every zone paired with one of theirs: without the pair they would act differently."""
    if not setup.settings.cross_window:
        return areas
    while True:
        pairs = {number for zone in setup.zones if zone.areas & areas for number in zone.crosses}
        homes = {zone.home for zone in setup.zones if zone.number in pairs and not zone.areas & areas}
        if not homes:
            return areas
        areas |= homes


def nobodies(whole: Setup, zones: Iterable[ZoneSetup]) -> list[ZoneSetup]:
    """Return a zone without a device for each set of areas that zones have."""
    sets = sorted({zone.areas for zone in zones}, key=sorted)
    return [ZoneSetup(whole.nobody(areas), "another zone", areas, _NOBODY) for areas in sets]


def has_device(zone: ZoneSetup) -> bool:
    """Return whether a zone of a smaller panel is a real one of the whole panel."""
    return zone.behaviour is not _NOBODY


def sounds_apart(whole: Setup, areas: frozenset[AreaNumber]) -> tuple[Pattern, ...]:
    """Return the patterns that zones of other areas may call for, in order of precedence."""
    if not whole.settings.siren_time:
        return ()
    patterns = {zone.behaviour.siren for zone in whole.zones if not zone.areas & areas}
    if not areas.issuperset(whole.areas):
        patterns.add(Pattern.BURGLARY)  # somebody there calls for help
    if Pattern.BURGLARY in patterns and whole.settings.inside_when_off:
        patterns.add(Pattern.INSIDE)
    return tuple(each for each in Pattern if each in patterns - {Pattern.NONE})

"""The tests of a panel's settings, people and remotes: leaving, coming back, calling off late, who may set what.

Rules of this file:
1. The rules of `zone_tests.py` hold here. A setting is tried at every door or zone at which it may show; which of them
   is quickest is for the plan to find.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from zonewright.behaviour.setup import AreaNumber, UserNumber, ZoneSetup
from zonewright.fieldwork.acting import ARMS, BUTTONS, PANIC, Act, Handle, PressButton, Set, What
from zonewright.fieldwork.fieldtests import OFF, Arming, FieldTest, Sort, last_act, trips
from zonewright.fieldwork.zone_tests import MARGIN_S, STEP_S, SiteOnTest
from zonewright.panel.behaviours import ALWAYS, Mode, Timing
from zonewright.panel.programme import Item, item_of

Acts = tuple[tuple[int, Act], ...]

TAMPER_AT_SETTING = Item("setting/tamper-at-setting")
PANEL = "panel"  # where one stands if the site has no keypad
STOPWATCH_S = 3  # just before or after a time: more than a stopwatch may be wrong


def tests_of_panel(ground: SiteOnTest) -> Iterator[FieldTest]:
    """Give every test that is about no single zone."""
    yield FieldTest(Sort.LOOK, OFF, (), 1, 5, "keypad", keypad(ground))
    for door in ground.panel.setup.zones:
        leads_out = door.behaviour.exit_door and door.number in ground.resolved.zones
        if leads_out and all(map(ground.has_code, door.areas)):
            yield from _leaving(ground, door)
    seen: set[frozenset[AreaNumber]] = set()
    for zone in ground.panel.setup.zones:
        if zone.areas not in seen and zone.number in ground.resolved.zones and _sounds_armed(zone):
            seen.add(zone.areas)
            yield from _late(ground, zone)
    for zone in ground.panel.setup.zones:  # by a door where nothing else gives an alarm
        if zone.areas not in seen and zone.number in ground.resolved.zones and _sounds_later(zone):
            seen.add(zone.areas)
            yield from _late(ground, zone)
    if ground.panel.planned.get(TAMPER_AT_SETTING) is not None:
        fixed = [zone for zone in ground.panel.setup.zones if zone.number in ground.resolved.zones]
        covered = {zone.areas: zone for zone in reversed(fixed) if ground.has_own_cover(zone.number)}
        yield from (_uncovered(ground, zone) for zone in covered.values())
    for area in ground.panel.setup.areas:
        if ground.has_code(area):
            yield _nobody_leaves(ground, area)
    for slot in ground.panel.planned.numbers("user"):
        yield _person(ground, UserNumber(slot))
    for remote in ground.panel.planned.numbers("remote"):
        yield from _remote(ground, remote)


def keypad(ground: SiteOnTest) -> str:
    """Return the name of the first keypad."""
    return next(iter(ground.resolved.site.keypads), PANEL)


def _sounds_armed(zone: ZoneSetup) -> bool:
    behaviour = zone.behaviour
    return behaviour.abort and behaviour.timing is Timing.INSTANT and behaviour.live != ALWAYS and not zone.crosses


def _sounds_later(zone: ZoneSetup) -> bool:
    behaviour = zone.behaviour
    return behaviour.abort and behaviour.timing is Timing.DELAYED and behaviour.live != ALWAYS and not zone.crosses


def _leaving(ground: SiteOnTest, door: ZoneSetup) -> Iterator[FieldTest]:
    """Leave by a door: once; twice; with it left open."""
    settings = ground.panel.setup.settings
    momentary = ground.momentary(door.number)
    time = settings.exit_time
    set_ = ground.setting(door.areas, Mode.AWAY, 0)
    early = max(1, time // 6)
    once = (*set_, *trips(door.number, momentary=momentary, at=early))
    yield _until_armed(ground, Sort.LEAVE, once, door)
    twice = (*once, *trips(door.number, momentary=momentary, at=early + 10))
    yield _until_armed(ground, Sort.COME_BACK, twice, door)
    if not momentary:
        left = (*set_, (early, Handle(What.OPEN, door.number)))
        yield _until_armed(ground, Sort.LEFT_OPEN, left, door, ((0, Handle(What.CLOSE, door.number)),))


def _until_armed(
    ground: SiteOnTest,
    sort: Sort,
    acts: tuple[tuple[int, Act], ...],
    door: ZoneSetup,
    then: tuple[tuple[int, Act], ...] = (),
) -> FieldTest:
    """Wait for all that follows from it, put things right, disarm."""
    told, _, _ = ground.waits(OFF, acts)
    end = max(told, last_act(acts)) + MARGIN_S
    acts += tuple((end + after, act) for after, act in then) + ground.setting(door.areas, Mode.DISARMED, end + 1)
    until = end + MARGIN_S
    return FieldTest(sort, OFF, acts, until, until, door.label, ground.device(door.number))


def _nobody_leaves(ground: SiteOnTest, area: AreaNumber) -> FieldTest:
    acts = ground.setting([area], Mode.AWAY, 0)
    end = ground.waits(OFF, acts)[0] + MARGIN_S
    acts += ground.setting([area], Mode.DISARMED, end)
    until = end + MARGIN_S
    return FieldTest(Sort.STAY_IN, OFF, acts, until, until, f"area {area}", keypad(ground))


def _late(ground: SiteOnTest, zone: ZoneSetup) -> Iterator[FieldTest]:
    """Disarm late, let the siren run out, arm with the zone open, trip it just after the exit time."""
    settings = ground.panel.setup.settings
    once = trips(zone.number, momentary=ground.momentary(zone.number))
    mode = Mode.STAY if Mode.STAY in zone.behaviour.live else Mode.AWAY
    if not zone.areas <= ground.can_arm(mode):
        return
    arming = Arming(mode, zone.areas)
    told = ground.waits(arming, once)[0]
    if settings.told and settings.cancel_window > 0:
        soon = ground.setting(zone.areas, Mode.DISARMED, told + MARGIN_S)
        yield ground.test(Sort.CANCEL, arming, (*once, *soon), zone, off=True)
        for at in (-STOPWATCH_S, STOPWATCH_S):
            end = ground.setting(zone.areas, Mode.DISARMED, told + settings.cancel_window + at)
            yield ground.test(Sort.CANCEL_LATE, arming, (*once, *end), zone, off=True)
    if settings.siren_time > 0:
        end = ground.setting(zone.areas, Mode.DISARMED, zone.entry_s + settings.siren_time + MARGIN_S)
        yield ground.test(Sort.CUT_OFF, arming, (*once, *end), zone, off=True)
    if not ground.momentary(zone.number):
        open_, shut = Handle(What.OPEN, zone.number), Handle(What.CLOSE, zone.number)
        set_ = ground.setting(zone.areas, mode, 2)
        off = ground.setting(zone.areas, Mode.DISARMED, 8)
        acts = ((0, open_), *set_, *off, (9, shut))
        yield FieldTest(Sort.ARM_OPEN, OFF, acts, 9 + MARGIN_S, 9 + MARGIN_S, zone.label, ground.device(zone.number))
    armed = settings.exit_time + MARGIN_S
    acts = ground.setting(zone.areas, mode, 0)
    acts += trips(zone.number, momentary=ground.momentary(zone.number), at=armed)
    over = max(ground.waits(OFF, acts)[0], armed) + MARGIN_S
    acts += ground.setting(zone.areas, Mode.DISARMED, over)
    until = over + MARGIN_S
    yield FieldTest(Sort.JUST_ARMED, OFF, acts, until, until, zone.label, ground.device(zone.number))


def _uncovered(ground: SiteOnTest, zone: ZoneSetup) -> FieldTest:
    """Arm with a device's cover off: a panel may refuse."""
    off, on = Handle(What.COVER_OFF, zone.number), Handle(What.COVER_ON, zone.number)
    set_, unset = ground.setting(zone.areas, Mode.AWAY, 2), ground.setting(zone.areas, Mode.DISARMED, 8)
    acts, until = ((0, off), *set_, *unset, (9, on)), 9 + MARGIN_S
    return FieldTest(Sort.ARM_UNCOVERED, OFF, acts, until, until, zone.label, ground.device(zone.number))


def _person(ground: SiteOnTest, slot: UserNumber) -> FieldTest:
    """Each area in turn, also those that they may not set."""
    acts: list[tuple[int, Act]] = []
    for n, area in enumerate(ground.panel.setup.areas):
        acts += [
            (n * 2 * STEP_S, Set(area, Mode.AWAY, slot)),
            (n * 2 * STEP_S + STEP_S, Set(area, Mode.DISARMED, slot)),
        ]
    until = last_act(acts) + MARGIN_S
    name = ground.resolved.users.get(slot, f"user {slot}")
    return FieldTest(Sort.PERSON, OFF, tuple(acts), until, until, name, keypad(ground))


def _remote(ground: SiteOnTest, remote: int) -> Iterator[FieldTest]:
    """One button after the other, each with the time to see what it comes to; then all is taken off.

    A button that calls for help is pressed in a test of its own.
    """
    does = {button: ground.panel.planned.get(item_of("remote", remote, button)) for button in BUTTONS}
    stays = not ground.ends(remote)  # what is armed with it then can't be disarmed again
    calm = [
        button
        for button in BUTTONS
        if does[button] != PANIC and not (stays and ARMS.get(does[button] or "", Mode.DISARMED) is not Mode.DISARMED)
    ]
    for buttons in (calm, *([button] for button in BUTTONS if does[button] == PANIC)):
        if buttons:
            yield _pressed(ground, remote, buttons)


def _pressed(ground: SiteOnTest, remote: int, buttons: Sequence[str]) -> FieldTest:
    wait = ground.panel.setup.settings.exit_time + MARGIN_S
    acts: list[tuple[int, Act]] = []
    at = 0
    for button in buttons:
        acts.append((at, PressButton(remote, button)))
        does = ground.panel.planned.get(item_of("remote", remote, button))
        at += wait if ARMS.get(does or "", Mode.DISARMED) is not Mode.DISARMED else STEP_S
    acts += ground.setting(ground.panel.setup.areas, Mode.DISARMED, at)
    until = at + MARGIN_S
    name = ground.resolved.remotes[remote]
    return FieldTest(Sort.REMOTE, OFF, tuple(acts), until, until, name, keypad(ground))

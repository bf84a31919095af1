"""A test plan in words, for the person who walks with it: what to do where, and what must be noticed, and when.

Rules of this file:
1. What must be noticed is what the planned panel did when the whole period was run; nothing is written by hand.
2. A test trips one device of a loop; that each of them is on it is shown by tripping each (`by_hand`).
3. Times of a test count from its own start, also of what comes when the next one has begun; "later" depends on when
   the test before was begun.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, ZoneTrips
from zonewright.behaviour.setup import AreaNumber, ZoneSetup
from zonewright.entry.keypad.review import called as thing_called
from zonewright.fieldwork.acting import Act, Handle, PressButton, Set, What
from zonewright.fieldwork.calling import Call
from zonewright.fieldwork.fieldtests import Arming, FieldTest, Sort
from zonewright.fieldwork.observing import Sense
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.panel.behaviours import Mode
from zonewright.panel.programme import Programme, Value, item_of
from zonewright.panel.resolve import Resolved
from zonewright.panel.zones_kept import zones_kept
from zonewright.site.kept import loop_changes, remotes_kept
from zonewright.site.record import DeviceName, ZoneNumber, span
from zonewright.testplan.packing import Rehearsal, Stop
from zonewright.testplan.standing import in_words, stands
from zonewright.words.telling import label, listed
from zonewright.words.tracks import Names, called

WORD = "Only with the station's word: get it first, and their name. A call for help that nobody expects sends people."
SIREN = "It sounds the siren: warn whoever is near, and protect your ears."
IF_WRONG = (
    "Where the resistor of its loop is keyed wrong, this looks like an opening and calls for help: get the station's "
    "word before, and tell all who are there."
)
DANGER = (
    "By its maker's test button or a listed aerosol, never a flame or a gas not made for it. Warn all who are there."
)
BE_INSIDE = "Be inside, out of its sight, before the exit time is over: it is another test once a door was opened."
CLEARS = "It is over when the detector has cleared, a while after the second that is told."
_HOW = {
    What.OPEN: "trip {0} and keep it so", What.CLOSE: "put {0} back", What.TRIP: "trip {0}",
    What.COVER_OFF: "take the cover of {0} off", What.COVER_ON: "put the cover of {0} on again",
}  # fmt: skip
MANY_AREAS = 4  # from so many on nobody wants to read all their names
_DOOR = {What.OPEN: "open {0}", What.CLOSE: "shut {0}"}


@dataclass(frozen=True, slots=True)
class ToldTest:
    """One test, told."""

    title: str
    where: str
    stands: str  # who stands where, if it takes several
    leans: str  # that its result comes of tests before it
    caution: str
    do: tuple[tuple[int, str], ...]  # seconds from the test's start
    expect: tuple[tuple[int | None, str, str], ...]  # seconds from the test's start, who notices it, what

    @property
    def notes(self) -> tuple[str, ...]:
        """Return what is to be known before it begins."""
        return tuple(filter(None, (self.stands, self.leans, self.caution)))

    @property
    def steps(self) -> tuple[tuple[int | None, str, str], ...]:
        """Return what is done (with an empty sense) and what is noticed, in the order of time; "later" comes last."""
        do = [(at, "", text) for at, text in self.do]
        return tuple(sorted([*do, *self.expect], key=lambda each: (each[0] is None, each[0] or 0, each[1] != "")))

    def when(self, at: int | None) -> str:
        """Return such a time in words."""
        return "later" if at is None else span(at) if at else "now"


def told(ground: SiteOnTest, rehearsal: Rehearsal, number: int, names: Names) -> ToldTest:
    """Return one test of a period in words."""
    stop = rehearsal.period.stops[number]
    test = stop.test
    return ToldTest(
        f"{called(test.about, names)}: {test.sort.value}",
        test.where,
        in_words(stands(ground, test, ground.ways)),
        _leans(rehearsal, number),
        " ".join([*_cautions(ground, test), *unseen(ground, test), *_inside(ground, test)]),
        tuple(_in_words(ground, test.acts, names)),
        (*_expected(rehearsal, number, names), *_refused(ground, test, names)),
    )


def closing(ground: SiteOnTest, rehearsal: Rehearsal, names: Names) -> ToldTest | None:
    """Return how a period ends, in words; None where there is nothing to take off."""
    period = rehearsal.period
    if not period.closing:
        return None
    do = tuple(_in_words(ground, [(0, act) for _, act in period.closing], names))
    return ToldTest("the end", "", "", "", "", do, _expected(rehearsal, len(period.stops), names))


LEANS = "What it shows depends on the tests before it in this period: keep their order, leave none out."
PACE = "Begin it about {} after the test before it was begun."


def _leans(rehearsal: Rehearsal, number: int) -> str:
    """Return that a test by itself would be noticed otherwise, if it would, and how soon it is to be begun."""
    alone = Counter((each.sense, each.text) for each in rehearsal.bench.seen[rehearsal.period.stops[number].place])
    here = Counter((each.sense, each.text) for _, each in rehearsal.of_stop(number))
    if alone == here:
        return ""
    stops = rehearsal.period.stops
    return f"{LEANS} {PACE.format(span(stops[number].at - stops[number - 1].at))}" if number else LEANS


def _refused(ground: SiteOnTest, test: FieldTest, names: Names) -> Iterator[tuple[int | None, str, str]]:
    """Give a line for each try of somebody who may not: it must change nothing."""
    for after, act in test.acts:
        if isinstance(act, Set) and not ground.panel.allows(act):
            who, area = called(f"user {act.user}", names), called(f"area {act.area}", names)
            why = f"{who} may not set it" if act.area in ground.panel.setup.areas else "it has no zone"
            yield after, Sense.KEYPAD.value, f"{area} stays as it is, since {why}"


def _expected(rehearsal: Rehearsal, number: int, names: Names) -> tuple[tuple[int | None, str, str], ...]:
    return tuple((at, each.sense, called(each.text, names)) for at, each in rehearsal.of_stop(number))


def _in_words(ground: SiteOnTest, acts: Iterable[tuple[int, Act]], names: Names) -> Iterator[tuple[int, str]]:
    """Give what is to be done and when; areas that one person sets alike at once come in one line."""
    for (after, _), group in groupby(acts, key=_at_once):
        same = [act for _, act in group]
        first = same[0]
        if isinstance(first, Set):
            yield after, _setting(ground, first, [act.area for act in same if isinstance(act, Set)], names)
        else:
            yield from ((after, act_in_words(ground, act, names)) for act in same)


def _at_once(done: tuple[int, Act]) -> tuple[int, object]:
    after, act = done
    return after, (act.user, act.mode) if isinstance(act, Set) else None


def _setting(ground: SiteOnTest, act: Set, areas: Sequence[AreaNumber], names: Names) -> str:
    who, which = called(f"user {act.user}", names), _areas(ground, areas, names)
    return f"{who}: disarm {which}" if act.mode is Mode.DISARMED else f"{who}: arm {act.mode.value} {which}"


def _areas(ground: SiteOnTest, areas: Iterable[AreaNumber], names: Names) -> str:
    """Return areas by their names; all of many by their number."""
    areas = sorted(areas)
    if len(areas) >= MANY_AREAS and ground.every_area.issubset(areas):
        return f"all {len(areas)} areas"
    return ", ".join(called(f"area {area}", names) for area in areas)


def act_in_words(ground: SiteOnTest, act: Act, names: Names) -> str:
    """Return what is to be done, as one clause."""
    match act:
        case Handle():
            thing = label(ground.panel.setup, act.zone)
            devices = ground.devices(act.zone)
            thing += f" (any of {', '.join(devices)})" if len(devices) > 1 else ""
            opening = ground.senses(act.zone) == "opening"
            return (_DOOR.get(act.what, _HOW[act.what]) if opening else _HOW[act.what]).format(thing)
        case Set():
            return _setting(ground, act, [act.area], names)
        case PressButton():
            return f"press the {act.button.replace('-', ' ')} of {ground.resolved.remotes[act.remote]}"


def _cautions(ground: SiteOnTest, test: FieldTest) -> Iterator[str]:
    if test.with_word:
        yield WORD
    elif any(map(ground.panel.calls_if_loop_is_wrong, _covers_taken_off(test))):
        yield IF_WRONG
    if Call.DANGER in test.calls:
        yield DANGER
        yield CLEARS
    if Call.SIREN in test.calls:
        yield SIREN


def _covers_taken_off(test: FieldTest) -> Iterator[ZoneNumber]:
    return (act.zone for _, act in test.acts if isinstance(act, Handle) and act.what is What.COVER_OFF)


def unseen(ground: SiteOnTest, test: FieldTest) -> Iterator[str]:
    """Whoever is in a room with an armed movement detector gives an alarm more than the test expects."""
    site, arming = ground.resolved.site, test.arming

    def rooms(zone: ZoneNumber) -> set[tuple[str | None, str]]:
        devices = [site.devices.get(DeviceName(name)) for name in ground.devices(zone)]
        return {(each.at.storey, each.at.room) for each in devices if each is not None and each.at is not None}

    here = {room for zone in test.zones for room in rooms(zone)}
    watch = [
        f"zone {zone.number} {zone.label}"
        for zone in ground.panel.setup.zones
        if zone.number not in test.zones and ground.senses(zone.number) == "movement" and here & rooms(zone.number)
        if zone.areas <= arming.areas and arming.mode in zone.behaviour.live
    ]
    if watch:
        yield f"Stay out of sight of {listed(watch)}, or do it from outside: no such alarm is expected here."


def _inside(ground: SiteOnTest, test: FieldTest) -> Iterator[str]:
    """Whoever comes in by a door first begins an entry time, in which a detector on the way may be silent."""
    movement = any(ground.senses(zone) == "movement" for zone in test.zones)
    doors = any(zone.entry_s and zone.areas & test.arming.areas for zone in ground.panel.setup.zones)
    if test.arming.armed and movement and doors and not test.sets and test.sort not in _BY_THE_DOOR:
        yield BE_INSIDE


_BY_THE_DOOR = frozenset({Sort.WALK_IN, Sort.STRAY_IN})


def trials(told: bool) -> str:
    """Return what is said before the trials of what calls for help; `told`: there is a station."""
    by = "with the station's word" if told else "when everybody in the house knows"
    return (
        "Each of these calls for help or sounds the warning of fire or gas, so no test above uses it: what was keyed "
        f"about it is read back at the panel. Try each once for the device itself, by itself, and only {by}."
    )


def begins(ground: SiteOnTest, rehearsal: Rehearsal, names: Names) -> str:
    """Return how the site is set for a period, in words."""
    arming = rehearsal.period.arming
    if not arming.armed:
        return "Everything off and shut"
    by_code = arming.areas & ground.can_arm(arming.mode, by_code=True)
    doors = ways_out(ground, Arming(arming.mode, by_code))
    out = f"then open and shut {listed([door.label for door in doors])}; " if doors else ""
    holders = {ground.holder(area) for area in by_code}
    code = f" with one code ({called(f'user {min(holders)}', names)})" if len(holders) == 1 < len(by_code) else ""
    said = [f"Arm {arming.mode.value}{code}: {_areas(ground, by_code, names)}"] if by_code else []
    others = sorted(arming.areas - by_code)
    buttons = dict.fromkeys(ground.remote(area, f"arm {arming.mode.value}") for area in others)
    said += [act_in_words(ground, button, names) for button in buttons if button is not None]
    begin = "; ".join(said)
    quiet = "all shut, everybody out of the way, wait until the exit time is over"
    return f"{begin[:1].upper()}{begin[1:]}; {out}{quiet}"


def ways_out(ground: SiteOnTest, arming: Arming) -> tuple[ZoneSetup, ...]:
    """Return the doors that somebody must use in the exit time for it to be armed so at a keypad: the fewest."""
    setup = ground.panel.setup
    doors = {area: setup.exit_doors(area)[:1] for area in sorted(arming.areas)}
    first = list(dict.fromkeys(door for some in doors.values() for door in some))
    wanted = [area.mode for area in ground.begun(arming).control.areas]
    for chosen in ((), *((door,) for door in first), tuple(first)):
        clockwork = Clockwork(setup)
        for area in sorted(arming.areas):
            clockwork.give(Arm(area, arming.mode, ground.holder(area)))
        clockwork.advance(1)
        for door in chosen:
            clockwork.give(ZoneTrips(door.number))
        clockwork.rest()
        if [area.mode for area in clockwork.control.areas] == wanted:
            return chosen
    return tuple(first)


def waits(stop: Stop) -> str:
    """Return what is to be waited for before a test that needs silence; empty for others."""
    return "First let everything be quiet and all messages be in, and wait likewise after it." if stop.first else ""


@dataclass(frozen=True, slots=True)
class ByHand:
    """What is tried besides the tests: why and how, and a name and a text to be ticked for each."""

    title: str
    note: str
    rows: tuple[tuple[str, str], ...]


LOOPS = (
    "Trip each device of a loop by hand once, and see that the panel shows the zone: the panel can't tell them apart, "
    "and one that isn't on its loop guards nothing. Tick those that a test above tripped; the others aren't in the "
    "minutes."
)


BY_ITS_WAY = ", by its maker's test button or a listed aerosol, with the station's word"
BOXES = (
    "A device with several inputs has one cover for all its zones. Take it off once, with all disarmed, and see that "
    "the panel names each of them; then put it on again. This isn't in the minutes."
)


GONE = (
    "What was taken out leaves nothing to test, and a slip there takes out something else: look each up at the panel, "
    "and see that it is gone and all else is still there. Set off what still hangs, with the account on test: nothing "
    "must come of it, but after a slip it does all that it did before."
)
MOVED = (
    "It stays in use under its new number, and is tried by that: look each old number up at the panel, and see that it "
    "is gone and all else is still there."
)
OFF_LOOP = (
    "Set off what still hangs there, with the account on test: its old zone must not show, and the loop's other "
    "devices still show theirs. What is on the panel no more must do nothing."
)
WORD_FIRST = "only with the station's word"
CODES = (
    "No display tells whose code was keyed, so each is tried at a keypad: it arms and disarms, and a message of that, "
    "where one goes, has the number. What was there before must open nothing, and everybody else's code must still do."
)
TAKEN_OUT = {"zone": "label", "user": "role", "remote": "number"}  # and what is told of it


def by_hand(ground: SiteOnTest, before: Resolved | None = None) -> tuple[ByHand, ...]:
    """Return what the tests leave out.

    That is each device of a loop, the cover of each device with several inputs, and what a change took out, or whose
    code it has keyed; of a change only what it touches. A loop is touched, too, where other devices hang on it.
    """
    touched = _touched(ground, before)
    rewired = _rewired(ground.resolved, before) if before is not None else {}
    loops = tuple(
        (zone.label, device + _by_its_way(ground, zone.number))
        for zone, devices in _looped(ground)
        if zone.number in rewired or (zone.number in touched and len(devices) > 1)
        for device in devices
    )
    off_loop = tuple(
        (
            label(ground.panel.setup, zone),
            f"{device} is off its loop{_now_at(ground, device)}{_by_its_way(ground, zone)}",
        )
        for zone, devices in rewired.items()
        for device in devices
    )
    boxes = tuple(_boxes(ground, touched))
    gone = tuple(_gone(ground.resolved, before)) if before is not None else ()
    moved = tuple(_moved(ground.resolved, before)) if before is not None else ()
    codes = tuple(_codes(ground.resolved, before.programme)) if before is not None else ()
    parts = (
        ByHand("Every device of a loop", LOOPS, loops),
        ByHand("Every device taken off a loop", OFF_LOOP, off_loop),
        ByHand("Every cover that several zones share", BOXES, boxes),
        ByHand("All that was taken out", GONE, gone),
        ByHand("All that has another number", MOVED, moved),
        ByHand("Every code that was keyed", CODES, codes),
    )
    return tuple(each for each in parts if each.rows)


def _now_at(ground: SiteOnTest, device: str) -> str:
    """Return which zone a device shows that left its loop; nothing where it shows none."""
    for zone in ground.panel.setup.zones:
        if zone.number in ground.resolved.zones and device in ground.devices(zone.number):
            return f", and shows zone {zone.number} {zone.label} now"
    return ""


def _by_its_way(ground: SiteOnTest, zone: ZoneNumber) -> str:
    return BY_ITS_WAY if ground.alarming(zone) else ""


def _rewired(now: Resolved, before: Resolved) -> dict[ZoneNumber, list[str]]:
    """Return the loops on which other devices hang than before, each with those that hang there no more."""
    zones = {zone.device: ZoneNumber(number) for number, zone in now.zones.items() if zone.device in now.site.loops}
    changed = ((zones[each.loop], each) for each in loop_changes(before.site, now.site))
    return {zone: list(each.off) for zone, each in changed}


def _codes(now: Resolved, before: Programme) -> Iterator[tuple[str, str]]:
    """Give each person whose code is keyed, and one line for all others."""
    codes = {slot: item_of("user", slot, "code") for slot in now.users}
    keyed = [slot for slot, item in codes.items() if now.programme.get(item) != before.get(item)]
    made_to = {slot for slot, name in now.users.items() if now.site.people[name].duress}
    for slot in keyed:
        there = "; the one before it opens nothing" if codes[slot] in before else ""
        word = f"; it is for duress and calls for help: {WORD_FIRST}" if slot in made_to else ""
        yield f"person {slot}", f"{now.users[slot]}'s code opens{there}{word}"
    others = [now.users[slot] for slot in now.users if slot not in keyed and slot not in made_to]
    if keyed and others:
        yield "all others", f"the code of {listed(others)} still opens"


def _gone(now: Resolved, before: Resolved) -> Iterator[tuple[str, str]]:
    """Give each zone, person and remote that was there and isn't."""
    for group, number, had, moved in _left_numbers(now, before):
        if moved is None:
            yield f"{thing_called(group)} {number}", f"gone; {_had(group, had)}{_care(now, had)}"


def _moved(now: Resolved, before: Resolved) -> Iterator[tuple[str, str]]:
    """Give each zone, person and remote that left its number to none, and has another."""
    for group, number, had, moved in _left_numbers(now, before):
        if moved is not None:
            yield f"{thing_called(group)} {number}", f"{_had(group, had)}; it is {thing_called(group)} {moved} now"


def _had(group: str, had: Mapping[str, Value]) -> str:
    field = TAKEN_OUT[group]
    return f"it had {field} {had.get(field, 'as shipped')}"


def _left_numbers(now: Resolved, before: Resolved) -> Iterator[tuple[str, int, Mapping[str, Value], int | None]]:
    """Give each number that nothing has any more: its group, itself, what it had, and the number of that now."""
    for group in TAKEN_OUT:
        for number in sorted({*before.programme.numbers(group)} - {*now.programme.numbers(group)}):
            yield group, number, before.programme.fields(group, number), _number_now(now, before, group, number)


def _number_now(now: Resolved, before: Resolved, group: str, number: int) -> int | None:
    """Return by which number a thing is known now that had another one; None where it is gone."""
    if group == "zone":
        return zones_kept(before, now).get(number)
    if group == "remote":
        name = remotes_kept(before.site, now.site).get(before.remotes[number])
        return next((slot for slot, each in now.remotes.items() if each == name), None)
    return next((slot for slot, each in now.users.items() if each == before.users[number]), None)


def _care(now: Resolved, had: Mapping[str, Value]) -> str:
    """Return how to set off what was taken out, where a slip would have it warn of fire or call for help."""
    behaviour = now.profile.behaviours.get(had.get("behaviour", ""))
    if behaviour is not None and behaviour.protects_life:
        return f"; set off{BY_ITS_WAY}"
    calls = behaviour is not None and behaviour.calls_at_once
    panic = any(value == "panic" for name, value in had.items() if name.endswith("-button"))
    return f"; it called for help: set it off {WORD_FIRST}" if calls or panic or had.get("duress") == "yes" else ""


def _looped(ground: SiteOnTest) -> Iterator[tuple[ZoneSetup, tuple[str, ...]]]:
    """Give each zone with the devices at its terminals."""
    for zone in ground.panel.setup.zones:
        if zone.number in ground.resolved.zones:
            yield zone, ground.devices(zone.number)


def _touched(ground: SiteOnTest, before: Resolved | None) -> frozenset[ZoneNumber]:
    """Return the zones that a change touches; all of them where there was nothing before."""
    now = ground.resolved.programme
    zones = (zone.number for zone in ground.panel.setup.zones)
    return frozenset(n for n in zones if before is None or before.programme.fields("zone", n) != now.fields("zone", n))


def _boxes(ground: SiteOnTest, touched: frozenset[ZoneNumber]) -> Iterator[tuple[str, str]]:
    """Give each device with a cover that several zones share, with these zones."""
    zones = [zone for zone in ground.panel.setup.zones if zone.number in ground.resolved.zones]
    for zone in zones:
        mates = ground.resolved.of_same_device(zone.number)
        if (
            len(mates) > 1
            and zone.number == min(mates)
            and touched.intersection(mates)
            and ground.has_cover(zone.number)
        ):
            labels = [f"zone {each.number} {each.label}" for each in zones if each.number in mates]
            yield ground.device(zone.number), listed(labels)

"""What can be asked to distinguish causes: try a device, run a field test, look, read back, measure.

Rules of this file:
1. A question is put to somebody at the keypad who has the station on the telephone.
2. What the display repeats about troubles of things that aren't handled doesn't count in a trial: the look at the
   display asks for that. So a flat battery elsewhere changes no trial.
3. An answer is one line of text, the same whoever gives it; the clockwork finds what a hypothesis would show.
4. Minutes are choices of ours, except for the waits, which the field test knows; half a minute to walk, and arming by
   its exit time.
5. A life-safety device is tripped only by its maker's way, and a hold-up only with the station's word: the question
   says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations

from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.diagnosis.belief import Answers
from zonewright.diagnosis.faults import named
from zonewright.diagnosis.hypotheses import Hypothesis
from zonewright.diagnosis.noticing import NOTHING, in_words
from zonewright.fieldwork.acting import Act, Handle, PanelInHouse, PressButton, Set, What
from zonewright.fieldwork.conditions import ALL_WELL, Channel, Help
from zonewright.fieldwork.fieldtests import OFF, FieldTest, Sort, trips
from zonewright.fieldwork.surroundings import ArmedBy
from zonewright.fieldwork.zone_tests import SiteOnTest
from zonewright.panel.behaviours import Mode
from zonewright.panel.profile import Style
from zonewright.panel.programme import Programme, Thing
from zonewright.site.record import ZoneNumber, span
from zonewright.words.telling import listed
from zonewright.words.tracks import Names, called

WALK_MIN = 0.5
LOOK_MIN, READ_BACK_MIN = 0.3, 2.0
BESIDE_MIN, NEW_BATTERY_MIN, COVER_MIN = 1.0, 3.0, 1.0
NOBODYS: frozenset[ZoneNumber] = frozenset()  # if no device is handled
ALL_SEEN = 0.5  # how often somebody waits for every line of a display that alternates: a choice
MOST_ALTERNATING = 4  # lines; up to so many, any of them may be seen without the others
LONG = 0.5  # how likely a trouble has lasted for longer than the panel waits before it reports it
YES, NO, AS_PLANNED, DARK = "yes", "no", "all as planned", "the display is dark"
ON_TEST = "account on test, everybody in the building told"
LIFE = "what protects life is tripped only by its maker's way, never by fire, smoke or gas; ask the local code"
WORD = "only with the station's word: a hold-up or duress signal sends people"


@dataclass(frozen=True)
class Question:
    """One thing to do or to look at."""

    name: str  # never changes: a file of answers names it
    do: str
    minutes: float
    zones: frozenset[ZoneNumber]  # the zones whose devices are handled
    things: frozenset[Thing] = frozenset()  # what it is about
    cautions: tuple[str, ...] = ()

    @property
    def calls(self) -> bool:
        """Return whether somebody drives because of it, or it sounds fire or gas."""
        return False

    def touched_by(self, hypothesis: Hypothesis) -> bool:
        """Return whether a hypothesis may show something else than the plan."""
        return touches(hypothesis, self.zones, self.things)

    def answers(self, names: Names, hypothesis: Hypothesis) -> Answers:
        """Return what it shows if a hypothesis is right, each answer with its probability."""
        raise NotImplementedError


@dataclass(frozen=True)
class Trial(Question):
    """Something done at devices, keypads or remotes, and noticed."""

    test: FieldTest = field(kw_only=True)
    helps: Help = Help.NONE
    armed_by: ArmedBy = ()  # whose code arms before it, if not everybody may

    @property
    def calls(self) -> bool:
        """Return whether somebody drives because of it, or it sounds fire or gas."""
        return self.test.alarming

    def likeness(self, setup: Setup) -> object:
        """Return a key that trials share if they differ only in which of several like zones they handle."""
        order = {zone: n for n, zone in enumerate(sorted(self.zones))}
        acts = tuple(
            (after, act.what, order[act.zone]) if isinstance(act, Handle) else (after, act)
            for after, act in self.test.acts
        )
        alike = [
            replace(zone, number=ZoneNumber(0), label="") if (zone := setup.zone(number)) is not None else None
            for number in order
        ]
        return self.test.arming, self.armed_by, self.helps, acts, self.test.until, tuple(alike)

    def answers(self, names: Names, hypothesis: Hypothesis) -> Answers:
        """Run it, in each world of the hypothesis."""
        found: dict[str, float] = {}
        for share, around in hypothesis.worlds:
            around = around.helped(self.zones, self.helps)  # noqa: PLW2901
            house = hypothesis.house(around, self.zones)
            for part, long in ((share * LONG, True), (share * (1 - LONG), False)) if house.slow else ((share, False),):
                start, entries = house.run(
                    self.test.acts, self.test.until, self.test.arming, long=long, by=self.armed_by
                )
                noticed = house.noticeable(entries, self.zones)
                text = in_words(hypothesis.panel.setup, hypothesis.panel.right, noticed, start, names)
                found[text] = found.get(text, 0.0) + part
        return found


@dataclass(frozen=True)
class Look(Question):
    """What the display shows while nobody does anything; if lines alternate, somebody may see only some of them."""

    @property
    def calls(self) -> bool:
        """Return whether somebody drives because of it, or it sounds fire or gas."""
        return False

    def touched_by(self, hypothesis: Hypothesis) -> bool:
        """Return whether its surroundings or its items may change the display."""
        around = any(around != ALL_WELL for _, around in hypothesis.worlds)
        return around or bool(hypothesis.changes and hypothesis.zones)

    def answers(self, names: Names, hypothesis: Hypothesis) -> Answers:
        """Return what the display shows."""
        found: dict[str, float] = {}
        for share, around in hypothesis.worlds:
            house = hypothesis.house(around, NOBODYS)
            for part, long in ((share * LONG, True), (share * (1 - LONG), False)) if house.slow else ((share, False),):
                lines = (DARK,) if Channel.DISPLAY in around.dead else house.display(long=long) or (NOTHING,)
                for seen, chance in seen_of(lines).items():
                    found[seen] = found.get(seen, 0.0) + part * chance
        return found


def seen_of(lines: tuple[str, ...]) -> dict[str, float]:
    """Return what somebody may see of a display that alternates between some lines, with how likely that is.

    They see all lines as often as only one, or some if there are few lines: a choice, no source.
    """
    few = len(lines) <= MOST_ALTERNATING
    sizes = range(1, len(lines)) if few else range(1, min(2, len(lines)))
    some = ["; ".join(each) for size in sizes for each in combinations(lines, size)]
    whole = {"; ".join(lines): ALL_SEEN if some else 1.0}
    return whole | {each: (1 - ALL_SEEN) / len(some) for each in some}


@dataclass(frozen=True)
class ReadBack(Question):
    """All answers about one thing, compared with the sheet; a number that is only heard can't be read."""

    @property
    def calls(self) -> bool:
        """Return whether somebody drives because of it, or it sounds fire or gas."""
        return False

    def touched_by(self, hypothesis: Hypothesis) -> bool:
        """Return whether an answer about the thing differs, or none can be read."""
        return not hypothesis.things.isdisjoint(self.things) or is_dark(hypothesis)

    def answers(self, names: Names, hypothesis: Hypothesis) -> Answers:
        """Return what differs from the sheet."""
        if is_dark(hypothesis):
            return {DARK: 1.0}
        (thing,) = self.things
        differs = []
        for item in hypothesis.by_thing.get(thing, ()):
            answer = hypothesis.right.profile.answer_of(item)
            hidden = answer is None or answer.style in (Style.TRIP, Style.SECRET)
            if not hidden and hypothesis.changes[item] != hypothesis.right.planned.get(item):
                differs.append(item.words)
        return {f"not as planned: {', '.join(differs)}" if differs else AS_PLANNED: 1.0}


@dataclass(frozen=True)
class Inspect(Question):
    """One thing to look at, measure or ask, which confirms one cause or rules it out."""

    @property
    def calls(self) -> bool:
        """Return whether somebody drives because of it, or it sounds fire or gas."""
        return False

    def touched_by(self, hypothesis: Hypothesis) -> bool:
        """Return whether this look is about one of its faults."""
        return self.do in hypothesis.looks

    def answers(self, names: Names, hypothesis: Hypothesis) -> Answers:
        """Return yes or no."""
        return {YES if self.do in hypothesis.looks else NO: 1.0}


def is_dark(hypothesis: Hypothesis) -> bool:
    """Return whether nothing can be read at the keypad."""
    return all(Channel.DISPLAY in around.dead for _, around in hypothesis.worlds)


def touches(hypothesis: Hypothesis, zones: frozenset[ZoneNumber], things: frozenset[Thing]) -> bool:
    """Return whether a hypothesis may change anything if these devices are handled and these people act."""
    return hypothesis.everywhere or not hypothesis.zones.isdisjoint(zones) or not hypothesis.things.isdisjoint(things)


def questions(ground: SiteOnTest, tests: tuple[FieldTest, ...], causes: tuple[Hypothesis, ...]) -> tuple[Question, ...]:
    """Return everything that can be asked at a site, each under a name of its own."""
    found: dict[str, Question] = {}
    for question in (*_of_devices(ground), *_field_tests(ground, tests), *_looks(ground, causes)):
        found.setdefault(question.name, question)
    return tuple(found.values())


def _looks(ground: SiteOnTest, causes: tuple[Hypothesis, ...]) -> Iterator[Question]:
    setup = ground.panel.setup
    yield Look("look at the display", "look at the keypad at rest: what does it show?", LOOK_MIN, frozenset())
    for thing in _things(ground.panel.planned):
        group, number = thing.group, thing.number
        zone = setup.zone(ZoneNumber(number)) if group == "zone" and number is not None else None
        name = named(zone) if zone is not None else _THING.get(group, group) + (f" {number}" if number else "")
        zones = frozenset({zone.number}) if zone is not None else frozenset[ZoneNumber]()
        yield ReadBack(
            f"read back {name}", f"read every answer of {name} at the keypad, change nothing: as on the sheet?",
            READ_BACK_MIN, zones, frozenset({thing}),
        )  # fmt: skip
    for cause in causes:
        for look in sorted(cause.looks):
            yield Inspect(look, look, cause.look_minutes, cause.zones)


_THING = {"user": "person", "setting": "the settings", "station": "the station's settings"}


def _things(planned: Programme) -> list[Thing]:
    return list(dict.fromkeys(item.thing for item in planned if item.group != "panel"))


def _of_devices(ground: SiteOnTest) -> Iterator[Question]:
    """Give the trials of one device with all areas off: next to the panel, with a new battery."""
    for zone in ground.panel.setup.zones:
        if zone.number not in ground.resolved.zones or not zone.behaviour.in_use:
            continue
        acts = trips(zone.number, momentary=ground.momentary(zone.number))
        trip = ground.test(Sort.TRIP, OFF, acts, zone)
        radio = zone.number in ground.panel.sends
        if radio and not _life(zone):
            yield _trial(ground, f"{named(zone)}: trip it beside the panel", trip, BESIDE_MIN, Help.BESIDE)
            yield _trial(ground, f"{named(zone)}: trip it with a new battery", trip, NEW_BATTERY_MIN, Help.NEW_BATTERY)


def _field_tests(ground: SiteOnTest, tests: tuple[FieldTest, ...]) -> Iterator[Question]:
    setup = ground.panel.setup
    for test in tests:
        if test.sort is Sort.LOOK:
            continue  # it is asked by `_looks`
        zones = sorted(test.zones)
        head = f"{_name(setup, zones[0]) if zones else test.about}: {test.sort.value}"
        where = ""
        if test.arming.armed:
            areas = listed([called(f"area {area}", ground.names) for area in sorted(test.arming.areas)])
            where = f", {areas} armed {test.arming.mode.value}"
        yield _trial(ground, head + where, test, WALK_MIN, Help.NONE)


def _trial(ground: SiteOnTest, name: str, test: FieldTest, minutes: float, helps: Help) -> Trial:
    setup = ground.panel.setup
    arms = setup.settings.exit_time + 10 if test.arming.armed else 0
    cautions = [ON_TEST]
    zones = test.zones
    involved = [zone for number in zones if (zone := setup.zone(number)) is not None]
    cautions += [LIFE] if any(map(_life, involved)) else []
    cautions += [WORD] if test.with_word else []
    armed_by = _armed_by(ground, test)
    do = done_in_words(setup, test, helps, ground.names, armed_by)
    things = (
        test.things | {Thing.of("zone", number) for number in zones} | {Thing.of("user", user) for _, user in armed_by}
    )
    minutes = round(minutes + (arms + test.until) / 60, 2)
    return Trial(
        name, do, minutes, zones, things, tuple(cautions), test=test, helps=helps, armed_by=armed_by
    )  # fmt: skip


def _armed_by(ground: SiteOnTest, test: FieldTest) -> ArmedBy:
    """Return who arms each area before a test, if it makes a difference who does."""
    areas = test.arming.areas
    if not areas or not rights_differ(ground.panel, areas):
        return ()
    return tuple((area, ground.holder(area)) for area in sorted(areas))


def rights_differ(right: PanelInHouse, areas: frozenset[AreaNumber]) -> bool:
    """Return whether somebody may arm all of these areas, and somebody else may not."""
    return len({right.setup.may_set(UserNumber(slot), areas) for slot in right.people}) > 1


def _life(zone: ZoneSetup) -> bool:
    return zone.behaviour.life_safety


_DO = {
    What.OPEN: "open", What.CLOSE: "close", What.TRIP: "trip", What.COVER_OFF: "take the cover off",
    What.COVER_ON: "put the cover on",
}  # fmt: skip


def done_in_words(setup: Setup, test: FieldTest, helps: Help, names: Names, armed_by: ArmedBy = ()) -> str:
    """Return what is done in a test, step by step, with its seconds."""
    steps = []
    if test.arming.armed:
        areas = listed([called(f"area {area}", names) for area in sorted(test.arming.areas)])
        who = {user: f"user {user}" for _, user in armed_by}
        by = f" as {listed([called(each, names) for each in who.values()])}" if who else ""
        steps.append(f"arm {test.arming.mode.value} {areas}{by}, leave as usual, wait for the end of the exit time")
    else:
        steps.append("all off and shut")
    helped = sorted(test.zones) if helps is not Help.NONE else []
    steps += [f"have the device of {_name(setup, zone)} {helps.value}" for zone in helped]
    before = 0
    for after, act in test.acts:
        wait = f"after {span(after - before)} " if after > before else ""
        steps.append(wait + _act_in_words(setup, act, names))
        before = after
    steps.append(f"watch and listen for {span(max(test.until - before, 1))}")
    return "; ".join(steps)


def _act_in_words(setup: Setup, act: Act, names: Names) -> str:
    match act:
        case Handle():
            return f"{_DO[act.what]} {_name(setup, act.zone)}"
        case Set():
            who = called(f"user {act.user}", names)
            area = called(f"area {act.area}", names)
            what = f"disarm {area}" if act.mode is Mode.DISARMED else f"arm {act.mode.value} {area}"
            return f"{what} as {who}"
        case PressButton():
            return f"press the {act.button.replace('-', ' ')} of remote {act.remote}"


def _name(setup: Setup, number: ZoneNumber) -> str:
    zone = setup.zone(number)
    return named(zone) if zone is not None else f"zone {number}"

"""Everyday scenes that should go well at any site: coming home, a child at the window, a power cut, a burglar.

Rules of this file:
1. A scene is a scenario in the site's own names, made from what the site has; where it lacks a part, the scene says so.
2. What is wished of it is judged on the timeline alone. A scene is one run: it shows, a proof proves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import partial

from zonewright.behaviour.clockwork import Timeline
from zonewright.behaviour.effects import ARMED_IN
from zonewright.behaviour.events import (
    Arm,
    Chime,
    Disarm,
    Message,
    Output,
    PanelMessage,
    Shown,
    Siren,
    SiteTrouble,
    Spoken,
    Trouble,
)
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.panel.behaviours import Mode, Pattern, Timing
from zonewright.panel.resolve import Resolved
from zonewright.site.record import ZoneNumber, span
from zonewright.words.quoting import quoted
from zonewright.words.scenario import Scenario, played, read_scenario
from zonewright.words.telling import SIRENS, listed

_NO_ALARMS = frozenset(
    {
        *(trouble.value for trouble in Trouble),
        *(trouble.value for trouble in SiteTrouble),
        *(
            each.value
            for each in PanelMessage
            if each
            not in (PanelMessage.EXIT_ERROR, PanelMessage.TAMPER_ALARM, PanelMessage.DURESS, PanelMessage.UNVERIFIED)
        ),
    }
)


class Came(Enum):
    """How a scene went."""

    WISHED = "as wished"
    OTHERWISE = "not as wished"
    LACKS = "can't be played here"


@dataclass(frozen=True, slots=True)
class Played:
    """A scene at a site: its script in the site's names, what came of it, and why it isn't as wished."""

    name: str
    wish: str
    came: Came
    why: str = ""
    script: str = ""
    timeline: Timeline = ()


@dataclass(frozen=True, slots=True)
class _Scene:
    name: str
    wish: str
    script: Callable[[_Stage], str]  # raises _Lacks
    amiss: Callable[[_Stage, Timeline], str]  # what isn't as wished; empty if all is
    sets: bool = True  # whether all that is armed in it must be set before it is disarmed


class _Lacks(Exception):
    """The site has no such part; the text says which."""


class _Stage:
    """The parts of a site that scenes ask for, each by the name that a scenario understands."""

    def __init__(self, resolved: Resolved, setup: Setup) -> None:
        self.resolved, self.setup = resolved, setup

    def zone(self, what: str, fits: Callable[[ZoneSetup], bool]) -> ZoneSetup:
        """Return the first zone that fits."""
        found = next((zone for zone in self.setup.zones if fits(zone)), None)
        if found is None:
            raise _Lacks(f"no {what}")
        return found

    @property
    def door(self) -> ZoneSetup:
        """Return the door by which people come in: that of the first route, else the first with an entry time."""
        ways = [n for route in self.resolved.site.routes.values() for n in self.resolved.called(route.by)]
        first = next((zone for n in ways if (zone := self.setup.zone(n)) is not None and zone.entry_s), None)
        return first or self.zone("door with an entry time", lambda zone: zone.entry_s > 0)

    @property
    def window(self) -> ZoneSetup:
        """Return a window: what sounds at once, stay and away, and stays shut by day."""
        return self.zone(
            "window that is guarded in stay",
            lambda zone: (
                zone.behaviour.timing is Timing.INSTANT
                and zone.behaviour.siren is Pattern.BURGLARY
                and Mode.STAY in zone.behaviour.live
                and Mode.DISARMED not in zone.behaviour.live
            ),
        )

    @property
    def inside(self) -> ZoneSetup:
        """Return a sensor that is live away and free in stay."""
        return self.zone(
            "sensor inside",
            lambda zone: Mode.AWAY in zone.behaviour.live and Mode.STAY not in zone.behaviour.live,
        )

    @property
    def smoke(self) -> ZoneSetup:
        """Return a fire detector."""
        return self.zone("fire detector", lambda zone: zone.behaviour.siren is Pattern.FIRE)

    @property
    def announcer(self) -> ZoneSetup:
        """Return a zone that only announces."""
        return self.zone(
            "zone that only announces",
            lambda zone: zone.behaviour.alarm is None and zone.behaviour.siren is Pattern.NONE and zone.chime != "none",
        )

    def word(self, zone: ZoneSetup) -> str:
        """Return what a scenario calls a zone: its device, with the input where there are several, or its loop."""
        return quoted(str(self.resolved.zones[zone.number].cause))

    def owner(self, zone: ZoneSetup) -> str:
        """Return by whom the areas of a zone may be set; nothing where the site names nobody at all."""
        if not self.resolved.site.people:
            return ""
        areas = {name for name, number in self.resolved.areas.items() if number in zone.areas}
        people = [(name, each) for name, each in self.resolved.site.people.items() if not each.duress]
        name = next((name for name, person in people if areas <= set(person.may or self.resolved.areas)), None)
        if name is None:
            raise _Lacks(f"nobody whose everyday code sets all areas of {zone.label}")
        return f" by {quoted(name)}"

    def guest(self, zone: ZoneSetup) -> str:
        """Return by whom with the least rights the areas of a zone may be set."""
        areas = {name for name, number in self.resolved.areas.items() if number in zone.areas}
        ranks = {"guest": 0, "user": 1, "owner": 2}
        people = [
            (ranks[person.role.value], name)
            for name, person in self.resolved.site.people.items()
            if areas <= set(person.may or self.resolved.areas) and person.role.value != "owner" and not person.duress
        ]
        if not people:
            raise _Lacks(f"nobody with fewer rights than an owner has an everyday code for {listed(sorted(areas))}")
        return f" by {quoted(min(people)[1])}"

    def area(self, zone: ZoneSetup) -> str:
        """Return the lowest area of a zone by its name."""
        return next(quoted(name) for name, number in self.resolved.areas.items() if number == zone.home)

    def armed(self, zone: ZoneSetup, mode: str, who: str) -> str:
        """Return the lines that arm every area of a zone, and the time until it is set.

        Away, people leave by a quick walk through a door, since an unused exit would leave it armed stay; where the
        last door sets, by that of each area.
        """
        wait = 2 * self.setup.settings.exit_time + 60
        doors = [] if mode != "away" else self.last_doors(zone) if self.last_door_sets else [self.exit_door(zone)]
        leave = "".join(f"; +5 s {self.word(door)} trips" for door in doors)
        return "; ".join(f"arm {mode} {name}{who}" for name in _names(self, zone)) + leave + f"; +{wait} s"

    @property
    def last_door_sets(self) -> bool:
        """Return whether an exit time that runs out sets nothing."""
        return self.setup.settings.completing_act and self.setup.settings.exit_time > 0

    def last_doors(self, zone: ZoneSetup) -> list[ZoneSetup]:
        """Return the doors whose closing, one after the other, sets the areas of a zone."""
        doors: dict[ZoneNumber, ZoneSetup] = {}
        for name, number in self.resolved.areas.items():
            if number in zone.areas:
                fits = partial(_completes, area=AreaNumber(number))
                door = self.zone(f"last door that sets {name}, which time alone doesn't", fits)
                doors[door.number] = door
        return list(doors.values())

    def exit_door(self, zone: ZoneSetup) -> ZoneSetup:
        """Return a door by which people leave the areas of a zone."""
        return self.zone("door to leave by", lambda each: each.behaviour.exit_door and bool(each.areas & zone.areas))


def _completes(zone: ZoneSetup, area: AreaNumber) -> bool:
    return zone.behaviour.completes_exit and area in zone.areas


def scenes() -> tuple[tuple[str, str], ...]:
    """Return the name of each scene and what is wished of it."""
    return tuple((scene.name, scene.wish) for scene in _SCENES)


def play_scene(resolved: Resolved, setup: Setup, name: str) -> Played:
    """Play one scene at a site; raises StopIteration for a name that no scene has."""
    return _play(_Stage(resolved, setup), next(scene for scene in _SCENES if scene.name == name))


def play_scenes(resolved: Resolved, setup: Setup) -> Iterator[Played]:
    """Play every scene at a site."""
    stage = _Stage(resolved, setup)
    return (_play(stage, scene) for scene in _SCENES)


def _play(stage: _Stage, scene: _Scene) -> Played:
    try:
        script = scene.script(stage)
    except _Lacks as lacks:
        return Played(scene.name, scene.wish, Came.LACKS, str(lacks))
    scenario, slips = read_scenario(script, scene.name, stage.resolved)
    assert not slips, slips  # the scripts below hold for any site
    timeline = played(stage.setup, Scenario(scenario.given))
    amiss = (_never_set(stage, timeline) if scene.sets else "") or scene.amiss(stage, timeline)
    return Played(scene.name, scene.wish, Came.OTHERWISE if amiss else Came.WISHED, amiss, script, timeline)


# Scripts --------------------------------------------------------------------------------------------------------------


def _coming_home(stage: _Stage) -> str:
    door, late = stage.door, max(1, stage.door.entry_s - 5)
    who = stage.owner(door)
    numbers = [n for route in stage.resolved.site.routes.values() for each in route.through
               if door.number in stage.resolved.called(route.by) for n in stage.resolved.called(each)]  # fmt: skip
    through = [zone for number in dict.fromkeys(numbers) if (zone := stage.setup.zone(ZoneNumber(number))) is not None]
    walk = "".join(f"; +2 s {stage.word(zone)} trips" for zone in through)
    rest = max(1, late - 2 * len(through))
    off = "; ".join(f"disarm {name}{who}" for name in _names(stage, door))
    home = f"{stage.armed(door, 'away', who)}; +2 h {stage.word(door)} opens{walk}"
    return f"{home}; +{rest} s {off}; +20 s {stage.word(door)} closes"


def _back_for_the_umbrella(stage: _Stage) -> str:
    door = stage.exit_door(stage.door)
    who = stage.owner(door)
    arm = "; ".join(f"arm away {name}{who}" for name in _names(stage, door))
    off = "; ".join(f"disarm {name}{who}" for name in _names(stage, door))
    early = max(2, stage.setup.settings.exit_time // 3)
    out = f"{arm}; +{early} s {stage.word(door)} opens; +3 s {stage.word(door)} closes"
    return f"{out}; +{early // 2} s {stage.word(door)} opens; +4 s {stage.word(door)} closes; +5 s {off}"


def _nobody_left(stage: _Stage) -> str:
    inside = stage.inside
    who = stage.owner(inside)
    arm = "; ".join(f"arm away {name}{who}" for name in _names(stage, inside))
    return f"{arm}; +{2 * stage.setup.settings.exit_time + 60} s {stage.word(inside)} trips"


def _child_at_the_window(stage: _Stage) -> str:
    window = stage.window
    who = stage.owner(window)
    off = "; ".join(f"disarm {name}{who}" for name in _names(stage, window))
    late = max(1, stage.setup.settings.abort_window - 5)
    night = f"{stage.armed(window, 'stay', who)}; +3 h {stage.word(window)} opens"
    return f"{night}; +{late} s {off}; +1 min {stage.word(window)} closes"


def _parcel(stage: _Stage) -> str:
    gate = stage.announcer
    who = stage.owner(gate)
    return f"{stage.armed(gate, 'away', who)}; +1 h {stage.word(gate)} opens; +30 s {stage.word(gate)} closes"


def _power_cut(stage: _Stage) -> str:
    door = stage.door
    return f"{stage.armed(door, 'away', stage.owner(door))}; +1 h mains lost; +6 h mains back"


def _fewer_rights(stage: _Stage) -> str:
    door = stage.door
    who, owner = stage.guest(door), stage.owner(door)
    off = "; ".join(f"disarm {name}{who}" for name in _names(stage, door))
    in_ = f"{stage.armed(door, 'away', owner)}; +2 h {stage.word(door)} opens; +5 s {stage.word(door)} closes"
    return f"{in_}; +5 s {off}; +2 h {stage.armed(door, 'away', who)}"


def _dog(stage: _Stage) -> str:
    inside = stage.inside
    night = stage.armed(inside, "stay", stage.owner(inside))
    return f"{night}; +1 h {stage.word(inside)} trips; +10 s {stage.word(inside)} trips"


def _burglar_by_the_window(stage: _Stage) -> str:
    window = stage.window
    return f"{stage.armed(window, 'away', stage.owner(window))}; +4 h {stage.word(window)} opens"


def _burglar_by_the_door(stage: _Stage) -> str:
    door = stage.door
    return f"{stage.armed(door, 'away', stage.owner(door))}; +4 h {stage.word(door)} opens"


def _smoke(stage: _Stage) -> str:
    return f"at 5 min {stage.word(stage.smoke)} opens"


def _flat_battery(stage: _Stage) -> str:
    watched = stage.zone("supervised sensor", lambda zone: zone.supervise)
    return f"at 5 min {stage.word(watched)} battery low"


def _names(stage: _Stage, zone: ZoneSetup) -> list[str]:
    return [quoted(name) for name, number in stage.resolved.areas.items() if number in zone.areas]


# Wishes ---------------------------------------------------------------------------------------------------------------


def _outputs(timeline: Timeline) -> Iterator[tuple[int, Output]]:
    return ((entry.at, output) for entry in timeline for output in entry.outputs)


def _sounds(timeline: Timeline, patterns: frozenset[Pattern] = SIRENS) -> list[int]:
    """Return when the siren begins."""
    return [at for at, each in _outputs(timeline) if isinstance(each, Siren) and each.pattern in patterns]


def _alarms_sent(timeline: Timeline) -> list[tuple[int, str]]:
    """Return when which alarm is sent."""
    sent = ((at, each) for at, each in _outputs(timeline) if isinstance(each, Message) and not each.restore)
    return [(at, each.name) for at, each in sent if each.name not in _NO_ALARMS]


def _never_set(stage: _Stage, timeline: Timeline) -> str:
    """Return which area isn't set as it was asked for, so that the scene isn't played at all; empty if none."""
    asked: dict[AreaNumber, Mode] = {}
    for entry in timeline:
        if isinstance(entry.event, Disarm) and entry.event.area in asked:
            break
        if isinstance(entry.event, Arm):
            asked[entry.event.area] = entry.event.mode
        shown = {(each.area, each.line) for each in entry.outputs if isinstance(each, Shown)}
        asked = {area: mode for area, mode in asked.items() if (area, ARMED_IN[mode]) not in shown}
    names = [
        f"{name} is never armed {asked[AreaNumber(n)].value}" for name, n in stage.resolved.areas.items() if n in asked
    ]
    return next(iter(names), "")


def _quiet(_stage: _Stage, timeline: Timeline) -> str:
    if sounds := _sounds(timeline):
        return f"the siren sounds at {span(sounds[0])}"
    if sent := _alarms_sent(timeline):
        return f'"{sent[0][1]}" is sent at {span(sent[0][0])}'
    return ""


def _nothing_sent(_stage: _Stage, timeline: Timeline) -> str:
    sent = _alarms_sent(timeline)
    return f'"{sent[0][1]}" is sent at {span(sent[0][0])}, though somebody disarmed' if sent else ""


def _sounds_and_sends(stage: _Stage, timeline: Timeline) -> str:
    if stage.setup.settings.siren_time and not _sounds(timeline):
        return "the siren never sounds"
    if stage.setup.settings.told and not _alarms_sent(timeline):
        return "no alarm is sent"
    return ""


def _announces(stage: _Stage, timeline: Timeline) -> str:
    chimes = any(isinstance(each, Chime | Spoken) for _, each in _outputs(timeline))
    return _quiet(stage, timeline) or ("" if chimes else "nothing announces it")


def _battery_told(stage: _Stage, timeline: Timeline) -> str:
    named = [each for _, each in _outputs(timeline) if isinstance(each, Message) and each.name == "low battery"]
    told = named if stage.setup.settings.told else list(_outputs(timeline))
    return "" if told else "nobody is told"


_SCENES = (
    _Scene("coming home with shopping", "nothing sounds, no alarm is sent", _coming_home, _quiet),
    _Scene("back for the umbrella", "nothing sounds, no alarm is sent", _back_for_the_umbrella, _quiet, sets=False),
    _Scene("nobody left after all", "moving about inside sounds nothing", _nobody_left, _quiet, sets=False),
    _Scene("child opens a window at night", "disarmed in time, no alarm is sent", _child_at_the_window, _nothing_sent),
    _Scene("parcel at the gate while armed", "it announces, and nothing else", _parcel, _announces),
    _Scene("power cut of six hours while armed", "nothing sounds, no alarm is sent", _power_cut, _quiet),
    _Scene("somebody with fewer rights, by their own code", "nothing sounds, no alarm is sent", _fewer_rights, _quiet),
    _Scene("dog on the stairs at night", "armed stay, nothing inside sounds", _dog, _quiet),
    _Scene("burglar by a window", "it sounds, and an alarm is sent", _burglar_by_the_window, _sounds_and_sends),
    _Scene("burglar by the door", "it sounds, and an alarm is sent", _burglar_by_the_door, _sounds_and_sends),
    _Scene("smoke by day, all off", "it sounds, and an alarm is sent", _smoke, _sounds_and_sends),
    _Scene("a sensor's battery is low", "somebody is told", _flat_battery, _battery_told),
)

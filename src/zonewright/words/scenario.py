"""What happens at a site, written in plain lines, and read into events of the panel.

    arm away by Ida
    +10 s    leave by front door
    +2 h     front door opens
    +5 s     front door closes
    +10 s    disarm by Ida

Rules of this file:
1. One line, or one part between semicolons, is one event, perhaps with its time before it: `+20 s` after the line
   before, `at 5 min` since the start. Without a time it happens at the same moment. A time alone only waits.
2. The grammar is closed; names are those of the site file: devices, inputs, loops, labels, areas, people, remotes. A
   name with a sign or a word that would part the line is put between double quotes (`quoting.py`).
3. All slips of a scenario are told at once, each with its line; nothing is guessed. Where nobody is named, the first
   person acts who may.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from zonewright.behaviour.acts import buttons_of
from zonewright.behaviour.clockwork import Timeline
from zonewright.behaviour.devices import is_wired, tells_tamper
from zonewright.behaviour.events import (
    Arm,
    Bypass,
    CheckIn,
    ChimeSwitch,
    DeviceEvent,
    Disarm,
    DisplayLine,
    Event,
    FallsSilent,
    InstallerMode,
    Means,
    Panic,
    PowerReturns,
    QuickExit,
    Shown,
    SiteTrouble,
    SiteTroubleBegins,
    SiteTroubleEnds,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.faults import Right
from zonewright.behaviour.presence import lived
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.behaviour.state import NOBODY
from zonewright.findings import Finding, Place, Severity, nearest
from zonewright.panel.behaviours import Mode
from zonewright.panel.programme import areas_in, item_of
from zonewright.panel.resolve import Resolved
from zonewright.site.names import causes
from zonewright.site.record import ZoneNumber, seconds
from zonewright.words import quoting
from zonewright.words.panel_troubles import words_of

MOST_LINES = 1_000
MOST_LETTERS = 300  # of one line; also a bound on the work of the patterns
LONGEST_S = 14 * 24 * 3600
LEAVING_S = 5  # how long a door stands open when somebody leaves
NOBODY_LEAVES = "nobody leaves"

_TIME = r"[0-9]{1,7} ?(?:s|min|h)(?: [0-9]{1,7} ?(?:s|min|h)){0,2}"
_WHEN = re.compile(rf"(?:(?P<sign>\+|at )\s*(?P<time>{_TIME})(?:\s+|$))?(?P<rest>.*)")
_ARM = re.compile(
    r"arm (?P<mode>\S+)(?P<silent> silently)?(?P<over> over faults(?: as installer)?)?"
    r"(?: (?!by )(?P<area>.+?))?(?: by (?P<who>.+))?"
)
_ARM_AREA_FIRST = re.compile(  # as a checklist says it: arm workshop away
    r"arm (?P<area>.+?) (?P<mode>away|stay|night)(?P<silent> silently)?(?P<over> over faults(?: as installer)?)?"
    r"(?: by (?P<who>.+))?"
)
_DISARM = re.compile(r"(?P<what>disarm|quick exit)(?: (?!by )(?P<area>.+?))?(?: by (?P<who>.+))?")
_PANIC = re.compile(r"panic(?: (?!by )(?P<area>.+?))?(?: by (?P<who>.+))?")
_LEAVE = re.compile(r"leave by (?P<door>.+)")
_BYPASS = re.compile(r"(?P<what>bypass|take back) (?P<zone>.+?)(?: by (?P<who>.+))?")

_OF_DEVICE: Mapping[str, Callable[[ZoneNumber], Event]] = {
    "opens": ZoneOpens,
    "closes": ZoneCloses,
    "trips": ZoneTrips,
    "checks in": CheckIn,
    "falls silent": FallsSilent,
    "cover off": lambda zone: TroubleBegins(zone, Trouble.TAMPER),
    "cover on": lambda zone: TroubleEnds(zone, Trouble.TAMPER),
    "battery low": lambda zone: TroubleBegins(zone, Trouble.LOW_BATTERY),
    "battery good": lambda zone: TroubleEnds(zone, Trouble.LOW_BATTERY),
    "missing": lambda zone: TroubleBegins(zone, Trouble.MISSING),
    "heard again": lambda zone: TroubleEnds(zone, Trouble.MISSING),
}
_OF_WHOLE_DEVICE = frozenset(_OF_DEVICE) - {"opens", "closes", "trips"}  # one cover, cell and radio for all its inputs
_OF_RADIO = _OF_WHOLE_DEVICE - {"cover off", "cover on"}
_OF_PANEL: Mapping[str, Event] = {
    **{words_of(trouble).written[0]: SiteTroubleBegins(trouble) for trouble in SiteTrouble},
    **{words_of(trouble).written[1]: SiteTroubleEnds(trouble) for trouble in SiteTrouble},
    "power returns": PowerReturns(),
    "chime on": ChimeSwitch(on=True),
    "chime off": ChimeSwitch(on=False),
    "installer begins": InstallerMode(on=True),
    "installer ends": InstallerMode(on=False),
}
FORMS = (
    "arm MODE [silently] [over faults [as installer]] [AREA] [by WHO]",
    "leave by THING", NOBODY_LEAVES, "disarm [AREA] [by WHO]", "quick exit [AREA] [by WHO]",
    "panic [AREA] [by WHO]", "bypass THING [by WHO]", "take back THING [by WHO]",
    *(f"THING {what}" for what in _OF_DEVICE), *_OF_PANEL,
)  # fmt: skip
_OVER = {" over faults": Right.USER, " over faults as installer": Right.INSTALLER}
_MODES = {"away": Mode.AWAY, "stay": Mode.STAY, "night": Mode.NIGHT}


@dataclass(frozen=True, slots=True)
class Given:
    """One event of a scenario: when it happens [s since the start], and the line that says so."""

    at: int
    event: Event
    line: int
    leaving: bool = False  # whether it is of somebody's leaving
    remote: int | None = None  # the slot of the remote that did it, if one did
    named: bool = False  # whether it is written who did it


@dataclass(frozen=True, slots=True)
class Scenario:
    """Events in the order in which they happen, and until when it is watched; None: until the panel is at rest."""

    given: tuple[Given, ...]
    until: int | None = None
    nobody_leaves: bool = False  # whether it says so


def played(setup: Setup, scenario: Scenario) -> Timeline:
    """Return what the panel does from power-up on, everything shut and off, when a scenario happens.

    Devices check in by themselves, unless it says that one is missing or that radio is jammed. Without a time of its
    own it goes on until the last thing that it lets go wrong has been found.
    """
    events = [(each.at, each.event) for each in scenario.given]
    timeline = lived(setup, events)
    found = (each.at + wait for each in scenario.given if (wait := found_after(setup, each.event)) is not None)
    until = max(found, default=0) if scenario.until is None else scenario.until
    if until and (not timeline or timeline[-1].at < until):
        return lived(setup, events, until=until)
    return timeline


def found_after(setup: Setup, event: Event) -> int | None:
    """Return how long the panel takes to find what goes wrong [s]; None where nothing does, or it never looks."""
    if isinstance(event, SiteTroubleBegins):
        return event.trouble.wait(setup.settings)
    zone = setup.zone(event.zone) if isinstance(event, FallsSilent) else None
    return setup.supervision_s(zone) if zone is not None and zone.supervise else None


def doors_unsaid(setup: Setup, scenario: Scenario) -> tuple[str, ...]:
    """Return the labels of doors by which somebody may have left, where the panel takes it that nobody did.

    Nothing, if the scenario says that nobody leaves, if the panel doesn't set itself to stay for it, where somebody
    leaves by a door of the area (it may be bypassed), or where that changes nothing: in areas of which nothing is
    handled, if anything is.
    """
    if scenario.nobody_leaves:
        return ()
    acts = (each.event for each in scenario.given if isinstance(each.event, DeviceEvent) and not each.leaving)
    handled = {area for act in acts if (zone := setup.zone(act.zone)) is not None for area in zone.areas}
    shown = (each for entry in played(setup, scenario) for each in entry.outputs if isinstance(each, Shown))
    areas = {each.area for each in shown if each.line is DisplayLine.NOBODY_LEFT and each.area is not None}
    left_by = {each.event.zone for each in scenario.given if isinstance(each.event, DeviceEvent) and each.leaving}
    areas -= {area for area in areas if any(zone.number in left_by for zone in setup.exit_doors(area))}
    areas = areas & handled if handled else areas
    return tuple(dict.fromkeys(zone.label for area in sorted(areas) for zone in setup.exit_doors(area)))


def read_scenario(text: str, file: str, resolved: Resolved) -> tuple[Scenario, tuple[Finding, ...]]:
    """Return a scenario and every slip of its text; with slips it holds only what could be read."""
    reader = _Reader(resolved, file)
    parts = list(_parts(text, file))
    if len(parts) > MOST_LINES:
        says = f"it has {len(parts)} events, and {MOST_LINES} can be played"
        reader.place = parts[MOST_LINES - 1][0]
        reader.slip("", says, fix="play it in several parts")
    for place, part in parts[:MOST_LINES]:
        reader.read(place, part)
    if not (reader.given or reader.findings or reader.waits):
        reader.slip("", "nothing happens in it", fix="write, say: arm away; +5 min front door opens")
    until = reader.now if reader.waits else None
    return Scenario(tuple(reader.given), until, reader.nobody_leaves), tuple(reader.findings)


def _parts(text: str, file: str) -> Iterator[tuple[Place, str]]:
    """Give each event with the place where it begins."""
    for number, line in enumerate(text.splitlines(), 1):
        column = 1
        for part in quoting.parts(quoting.parts(line, "#")[0], ";"):
            if part.strip():
                yield Place(file, number, column + len(part) - len(part.lstrip())), " ".join(part.split())
            column += len(part) + 1


class _Reader:
    def __init__(self, resolved: Resolved, file: str) -> None:
        self.resolved = resolved
        self.place = Place(file, 1)  # of what is read now
        self.given: list[Given] = []
        self.findings: list[Finding] = []
        self.now = 0
        self.waits = False  # whether the last line only waits
        self.nobody_leaves = False
        self.quoted: tuple[str, ...] = ()  # names between quotes in what is read now
        self.remote: int | None = None  # the remote named in what is read now
        self.named = False  # whether anybody, or a remote, is
        self.known = causes(resolved.site)
        self.slots = {name: UserNumber(slot) for slot, name in resolved.users.items()}

    def slip(self, wrote: str, says: str, *, allowed: str = "", near: Iterable[str] = (), fix: str = "") -> None:
        self.findings.append(
            Finding(
                "SCN-01",
                Severity.PROBLEM,
                "scenario",
                says,
                self.place,
                wrote=wrote[:80] or None,
                allowed=allowed or None,
                nearest=next(iter(near), None),
                fix=fix,
            )
        )

    def read(self, place: Place, part: str) -> None:
        """Read one event with its time."""
        self.place = place
        if len(part) > MOST_LETTERS:
            self.slip(part, f"a line has at most {MOST_LETTERS} letters")
            return
        found = _WHEN.fullmatch(part)
        assert found is not None  # the time may be absent, and the rest be anything
        if found["time"] is not None:
            self.move(part, found["sign"], found["time"])
        elif part.startswith(("+", "at ")):
            self.slip(part, "no time can be read here", fix="write it as +20 s, +1 min 30 s, or at 5 min")
            return
        text, self.quoted = quoting.set_aside(found["rest"])
        self.waits = not text
        if text == NOBODY_LEAVES:
            self.nobody_leaves = True
        elif left := _LEAVE.fullmatch(text):
            self.leave(self.zone(left["door"]))
        elif text:
            self.remote, self.named = None, False
            events = list(self.events(text))
            given = (Given(self.now, each, self.place.line, remote=self.remote, named=self.named) for each in events)
            self.given += given

    def leave(self, doors: Iterable[ZoneNumber]) -> None:
        """Somebody goes out by a door: it opens, and shuts behind them."""
        for door in doors:
            self.given.append(Given(self.now, ZoneOpens(door), self.place.line, leaving=True))
            self.now += LEAVING_S
            self.given.append(Given(self.now, ZoneCloses(door), self.place.line, leaving=True))

    def move(self, part: str, sign: str, text: str) -> None:
        """Let time pass, or say why it can't."""
        span = sum(seconds(each) for each in re.findall(r"[0-9]+ ?(?:s|min|h)", text))
        now = self.now + span if sign == "+" else span
        if now < self.now:
            self.slip(part, f"time goes backwards: the line before is at {self.now} s", fix="put the lines in order")
        elif now > LONGEST_S:
            self.slip(part, "a scenario lasts 14 days at most")
        else:
            self.now = now

    def events(self, text: str) -> Iterator[Event]:
        """Give what a line means; nothing, with a finding, for what can't be read."""
        what = next((each for each in _OF_DEVICE if text.endswith(f" {each}")), "")
        name = text.removesuffix(f" {what}")
        if text in _OF_PANEL:
            yield _OF_PANEL[text]
        elif what and name in self.known:  # also where a device is called panic
            yield from self.of_device(text, name, what)
        elif found := _ARM.fullmatch(text):
            area_first = _ARM_AREA_FIRST.fullmatch(text) if found["mode"] not in _MODES else None
            yield from self.arming(area_first or found)
        elif found := _DISARM.fullmatch(text):
            if not self.has_button(found["who"], found["what"]):
                return
            for area, user, means in self.acting(found["area"], found["who"]):
                yield Disarm(area, user, means) if found["what"] == "disarm" else QuickExit(area, user)
        elif found := _PANIC.fullmatch(text):
            if self.has_button(found["who"], "panic"):
                yield from (Panic(*each) for each in self.acting(found["area"], found["who"])[:1])
        elif found := _BYPASS.fullmatch(text):
            for zone in self.zone(found["zone"]) if self.has_button(found["who"], found["what"]) else ():
                user = self.who(found["who"])[0] if found["who"] is not None else self.first_who_may(zone)
                yield Bypass(zone, user) if found["what"] == "bypass" else Unbypass(zone, user)
        elif what:
            yield from self.of_device(text, name, what)
        else:
            words = [*_OF_DEVICE, *_OF_PANEL, NOBODY_LEAVES, "arm away", "disarm", "bypass"]
            tail = next(
                (" ".join(text.split()[-n:]) for n in (2, 1) if nearest(" ".join(text.split()[-n:]), words)), text
            )
            wrote = quoting.put_back(text, self.quoted)
            self.slip(wrote, "this says nothing that can happen", allowed="; ".join(FORMS), near=nearest(tail, words))

    def of_device(self, text: str, name: str, what: str) -> Iterator[Event]:
        """Give what a line means in which a device speaks."""
        for zone in self.whole_device(name) if what in _OF_WHOLE_DEVICE else self.zone(name):
            if why := self.lacks(zone, what):
                self.slip(text, why, fix="leave it out")
            else:
                yield _OF_DEVICE[what](zone)

    def arming(self, found: re.Match[str]) -> Iterator[Event]:
        mode = _MODES.get(found["mode"])
        if mode is None:
            near = nearest(found["mode"], _MODES)
            self.slip(found["mode"], "there is no such way to arm", allowed=", ".join(_MODES), near=near)
            return
        if not self.has_button(found["who"], f"arm {mode.value}"):
            return
        for area, user, means in self.acting(found["area"], found["who"]):
            yield Arm(area, mode, user, means, silent=found["silent"] is not None, over=_OVER.get(found["over"]))

    def has_button(self, who: str | None, does: str) -> bool:
        """Return whether whoever acts can: at a keypad anybody, with a remote where a button of it does that."""
        name = quoting.meant(who, self.quoted) if who is not None else ""
        slot = next((slot for slot, held in self.resolved.remotes.items() if held == name), None)
        if slot is None or name not in self.resolved.site.remotes:
            return True
        buttons = sorted(buttons_of(self.resolved, slot) - {"nothing"})
        if does in buttons:
            return True
        has = f"its buttons do: {', '.join(buttons)}" if buttons else "its buttons do nothing"
        self.slip(f"{does} by {name}", f"no button of {name} does that; {has}", fix="name a person, or another remote")
        return False

    def who(self, name: str | None) -> tuple[UserNumber, Means]:
        """Return the slot and the means of a person or a remote; the first slot at a keypad where nobody is named."""
        if name is None:
            return min(self.slots.values(), default=UserNumber(1)), Means.KEYPAD
        self.named = True
        name = quoting.meant(name, self.quoted)
        remote = self.resolved.site.remotes.get(name)
        if remote is not None:
            self.remote = next((slot for slot, held in self.resolved.remotes.items() if held == name), None)
            return NOBODY, Means.REMOTE
        if name not in self.slots:
            known = [*self.slots, *self.resolved.site.remotes]
            near = nearest(name, known)
            self.slip(name, "no person and no remote is called so", allowed=", ".join(known), near=near)
        return self.slots.get(name, UserNumber(1)), Means.KEYPAD

    def acting(self, name: str | None, who: str | None) -> list[tuple[AreaNumber, UserNumber, Means]]:
        """Return who sets the named area, or all that they may set; where nobody is named, the first who may."""
        user, means = self.who(who)
        name, who = (text if text is None else quoting.meant(text, self.quoted) for text in (name, who))
        if name is not None and name not in self.resolved.areas:
            near = nearest(name, self.resolved.areas)
            self.slip(name, "no area is called so", allowed=", ".join(self.resolved.areas), near=near)
            return []
        found = []
        for area in self.resolved.areas if name is None else (name,):
            may = self.may(area, who)
            if may:
                found.append((AreaNumber(self.resolved.areas[area]), user if who is not None else may[0], means))
            elif who is not None and name is not None:
                self.slip(f"{name} by {who}", f"{who} may not set {name}", fix="name somebody who may")
            elif who is None:
                says = f"nobody of the site file may set {area}"
                self.slip(area, says, fix=f"let somebody into {area} with may:, or name areas that somebody may set")
        return found

    def may(self, area: str, who: str | None) -> tuple[UserNumber, ...]:
        """Return the slots that may set an area, of whoever is named, else of all; with nobody written down, slot 1."""
        remote = self.resolved.site.remotes.get(who or "")
        if remote is not None:
            return (NOBODY,) if area in (remote.area or self.resolved.areas) else ()
        slots = tuple(map(UserNumber, self.resolved.users_of(area)))
        if who is None:
            return slots if self.slots else (UserNumber(1),)
        return tuple(slot for slot in slots if slot == self.slots.get(who)) if who in self.slots else (UserNumber(1),)

    def first_who_may(self, zone: ZoneNumber) -> UserNumber:
        """Return the first slot that may set every area of a zone, else the first of all."""
        held = areas_in(self.resolved.programme.get(item_of("zone", zone, "area")))
        names = [name for name, number in self.resolved.areas.items() if number in held]
        all_may = (slot for slot in sorted(self.slots.values()) if all(slot in self.may(name, None) for name in names))
        return next(all_may, min(self.slots.values(), default=UserNumber(1)))

    def zone(self, name: str) -> list[ZoneNumber]:
        """Return the one zone that a name means."""
        name = quoting.meant(name, self.quoted)
        found = self.numbers(name)
        if not found:
            allowed = ", ".join(list(self.known)[:12])
            self.slip(name, "nothing here is called so", allowed=allowed, near=nearest(name, self.known))
        elif len(found) > 1:
            told = ", ".join(map(str, found))
            self.slip(name, f"it may mean the zones {told}", fix="name the device with its input, or the number")
            return []
        return found

    def whole_device(self, name: str) -> list[ZoneNumber]:
        """Return every zone of the device that a name means: they have one cover, one cell and one radio."""
        found = self.numbers(quoting.meant(name, self.quoted))
        mates = {mate for zone in found for mate in self.resolved.of_same_device(zone)}
        return sorted(mates) if len({self.resolved.zones[zone].device for zone in mates}) == 1 else self.zone(name)

    def lacks(self, zone: ZoneNumber, what: str) -> str:
        """Return why something can't happen to a zone's device; empty if it can."""
        if what in ("cover off", "cover on") and not tells_tamper(self.resolved, zone):
            return "it has no cover that the panel watches"
        if what in _OF_RADIO and is_wired(self.resolved, zone):
            return "it is wired, and has neither a cell nor a radio"
        return ""

    def numbers(self, name: str) -> list[ZoneNumber]:
        """Return every zone that a name may mean: a number, a device, an input, a loop or a label."""
        zones = self.resolved.zones
        if name.isascii() and name.isdigit() and int(name) in zones:
            return [ZoneNumber(int(name))]
        return list(self.resolved.called(name)) or self.by_full_label(name)

    def by_full_label(self, name: str) -> list[ZoneNumber]:
        """Return zones by place and label together, as a panel says them."""
        fields = ((number, self.resolved.programme.fields("zone", number)) for number in self.resolved.zones)
        return [
            ZoneNumber(n) for n, held in fields if name == f"{held.get('place', '')} {held.get('label', '')}".strip()
        ]

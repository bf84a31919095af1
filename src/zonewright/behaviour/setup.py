"""What the panel model reads of a Programme: a typed, frozen view with every time in whole seconds.

Rules of this file:
1. It is the only place that turns texts of a Programme into values for the model. Nothing is guessed: values that are
   UNKNOWN, or that make no sense, are gathered and raised together.
2. A value is looked up in the Programme, then in the profile's `fixed` (by the item or its pattern, `zone/*/chime`).
   If neither has it, the panel lacks the feature: no restart, no forced arming, no abort window, no chime, no messages.
   Where a wait of zero means "at once" (mains, line ...), only its absence means that the panel doesn't look.
3. A zone's home is the lowest of its areas: its message names that area and uses its abort window.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NewType

from zonewright.behaviour.faults import Right, SettingFault
from zonewright.panel.behaviours import Behaviour, Mode, Pattern, Timing
from zonewright.panel.fixed import NAMED_BY_ZONES, SETTING_KINDS, STATION_FLAGS, Written
from zonewright.panel.profile import Profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, areas_in, item_of
from zonewright.site.record import ZoneNumber, seconds

if TYPE_CHECKING:
    from zonewright.behaviour.acts import Acts

AreaNumber = NewType("AreaNumber", int)
UserNumber = NewType("UserNumber", int)

NO_CHIME = "none"
SPOKEN = "spoken"  # the chime that is the zone's label, said aloud
_SECONDS_IN = {"s": 1, "min": 60, "h": 3600}
_RIGHTS = {right.value: right for right in Right}


class UnknownValues(Exception):
    """What the panel does can't be worked out, since these items are not known; all of them at once."""

    def __init__(self, items: Iterable[Item]) -> None:
        self.items = tuple(sorted(set(items)))
        super().__init__("not known: " + ", ".join(self.items))


class UnusableValues(Exception):
    """The panel model can't use the values of these items; each item with its reason, all of them at once."""

    def __init__(self, reasons: Mapping[Item, str]) -> None:
        self.reasons = dict(sorted(reasons.items()))
        super().__init__("; ".join(f"{item}: {reason}" for item, reason in self.reasons.items()))


@dataclass(frozen=True, slots=True)
class ZoneSetup:
    """One zone as programmed."""

    number: ZoneNumber
    label: str  # place and words, as the panel says them
    areas: frozenset[AreaNumber]  # armed when all of them are
    behaviour: Behaviour
    entry_s: int = 0  # the entry time that it starts [s]; 0: alarm at once
    chime: str = NO_CHIME
    tells_alarm: bool = False
    tells_trouble: bool = False
    supervise: bool = False
    message_waits: bool = False  # whether the abort window holds its alarm message
    crosses: frozenset[ZoneNumber] = frozenset()  # its pairs: one of them must trip too, before or after it
    verifies: bool = False  # whether its first trip switches its power off and on, and only a second is the alarm
    radio: bool = False  # whether its device is heard by radio only
    loop: str = field(default="", compare=False)  # the resistor at the end of its wired loop; "": it isn't wired

    @property
    def home(self) -> AreaNumber:
        """Return the area that its messages name."""
        return min(self.areas)

    @property
    def can_alarm(self) -> bool:
        """Return whether a trip can ever sound or send an alarm; if not, the zone only announces."""
        return self.behaviour.siren is not Pattern.NONE or self.behaviour.alarm is not None

    @property
    def protects_life(self) -> bool:
        """Return whether it is a life-safety zone: its behaviour says so, or its siren pattern does."""
        return self.behaviour.protects_life


@dataclass(frozen=True, slots=True)
class Settings:
    """Times in whole seconds, and what the panel does. By default every feature is absent."""

    exit_time: int = 0
    exit_restart: bool = False
    exit_error: bool = False
    unvacated_stay: bool = False
    completing_act: bool = False  # whether only a final door or a push completes an away from a keypad, never time
    forced_arming: bool = False
    abort_window: int = 0  # 0: a message goes at once
    entry_hold: int = 0  # after an entry time that ran out, before its alarm is sent; 0: sent as any other
    entry_hold_least: int = 0  # the same from the beginning of the entry time; counts only where `entry_hold` isn't 0
    cancel_window: int = 0
    swinger_limit: int = 0  # 0: no zone is ever shut out
    siren_time: int = 0  # 0: the panel has no sounder
    inside_when_off: bool = False  # whether a burglary alarm of areas that aren't armed sounds inside only
    supervision_window: int = 0  # 0: nothing is ever missed
    life_safety_supervision_window: int = 0  # of life-safety devices; 0: theirs is the same
    low_battery_wait: int = 0  # before a low battery is reported
    recent_closing: bool = False
    confirm_window: int = 0  # within it another zone's alarm confirms the first; 0: none does
    cross_window: int = 0  # within it a second trip confirms; 0: each trip is an alarm by itself
    fire_reset: int = 0  # how long a verifying detector's power is off and it settles; 0: its power stays on
    fire_verify_window: int = 0  # after that, within it a second trip is the alarm; 0: the first trip is
    environment_wait: int = 0  # how long a trip must last, for behaviours that ask for it
    warm_up: int = 0  # how long after a total loss of power nothing that opens counts
    # how long they last before the panel reports them; None: it doesn't look, 0: at once
    mains_wait: int | None = None
    panel_battery_wait: int | None = None
    siren_circuit_wait: int | None = None
    auxiliary_wait: int | None = None
    line_wait: int | None = None
    jamming_wait: int | None = None
    # troubles that stop arming, each with who may arm in spite of it; one that isn't here stops nothing
    at_setting: frozenset[tuple[SettingFault, Right]] = frozenset()
    heard_before_setting: int = 0  # a device not heard for this time counts as missing at arming; 0: none does
    second_path: bool = False  # whether another path carries messages while the line is lost
    line_retry: int = 0  # how often a lost line is tried again; 0: it is noticed at once when it is back
    told: bool = False  # whether anything is sent to a monitoring station
    restores: bool = False  # whether it hears when an alarm or a trouble is over
    openings: bool = False  # whether it hears of arming and disarming
    troubles: bool = False  # whether it hears of the panel's own troubles: mains, line, installer mode ...

    @property
    def asks_for_keypad(self) -> bool:
        """Return whether it can matter at the end of an exit time that it was begun at a keypad."""
        return self.unvacated_stay or self.completing_act

    def hold_after_entry(self, entry_s: int) -> int:
        """Return how long the alarm's message is held after an entry time of `entry_s` seconds [s]."""
        return max(self.entry_hold, self.entry_hold_least - entry_s) if self.entry_hold else 0


@dataclass(frozen=True, slots=True)
class Setup:
    """Everything of a Programme that decides what the panel does."""

    zones: tuple[ZoneSetup, ...]
    areas: tuple[AreaNumber, ...]
    settings: Settings
    duress: frozenset[UserNumber] = frozenset()  # slots whose code says that somebody is forced to disarm
    may: frozenset[tuple[UserNumber, frozenset[AreaNumber]]] = frozenset()  # slots that may arm only these areas
    acts: Acts | None = None  # what people can do on this site; None: everything that a panel knows (`acts.py`)
    _zone: dict[ZoneNumber, ZoneSetup] = field(init=False, repr=False, compare=False)
    # filled on demand: a test plan makes thousands of wrong panels and looks at few areas of each
    _of_area: dict[AreaNumber, tuple[ZoneSetup, ...]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _doors: dict[AreaNumber, tuple[ZoneSetup, ...]] = field(default_factory=dict, init=False, repr=False, compare=False)
    can_be: dict[AreaNumber, frozenset[Mode]] = field(default_factory=dict, init=False, repr=False, compare=False)
    _nobody: dict[frozenset[AreaNumber], ZoneNumber] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        object.__setattr__(self, "_zone", {zone.number: zone for zone in self.zones})

    def zone(self, number: ZoneNumber) -> ZoneSetup | None:
        """Return a zone, or None if the panel has none of this number."""
        return self._zone.get(number)

    def set_with(self, zone: ZoneSetup) -> frozenset[AreaNumber]:
        """Return the areas whose modes decide what a zone does: its own, and those of its pairs."""
        pairs = filter(None, map(self.zone, zone.crosses))
        return zone.areas.union(*(pair.areas for pair in pairs))

    def may_set(self, user: UserNumber, areas: frozenset[AreaNumber]) -> bool:
        """Return whether a slot may arm all of these areas; a slot without an entry in `may` may arm any."""
        return all(areas <= its for slot, its in self.may if slot == user)

    def nobody(self, areas: frozenset[AreaNumber]) -> ZoneNumber:
        """Return a number that stands for any zone with exactly these areas, where it doesn't matter which."""
        if not self._nobody:
            first = max((zone.number for zone in self.zones), default=0) + 1
            sets = sorted({zone.areas for zone in self.zones}, key=sorted)
            self._nobody.update((each, ZoneNumber(first + k)) for k, each in enumerate(sets))
        return self._nobody[areas]

    def zones_of(self, area: AreaNumber) -> tuple[ZoneSetup, ...]:
        """Return the zones of an area, shared ones too."""
        found = self._of_area.get(area)
        if found is None:
            found = self._of_area[area] = tuple(zone for zone in self.zones if area in zone.areas)
        return found

    def supervision_s(self, zone: ZoneSetup) -> int:
        """Return after how long without a sign a supervised zone's device is missing [s]."""
        own = self.settings.life_safety_supervision_window if zone.behaviour.life_safety else 0
        return own or self.settings.supervision_window

    def longest_wait(self, zone: ZoneSetup) -> int:
        """Return how long a zone's message may wait at most after its alarm, if it trips while all is quiet [s]."""
        settings = self.settings
        own = settings.abort_window if zone.message_waits else 0
        if zone.behaviour.timing is Timing.DELAYED and zone.behaviour.abort:
            own = max(own, settings.hold_after_entry(zone.entry_s))
        if own == 0 or settings.entry_hold == 0:
            return own
        with_it = frozenset[AreaNumber]().union(*(each.areas for each in self.zones if each.home == zone.home))
        doors = [each for each in self.zones if each.areas & with_it and each.behaviour.timing is Timing.DELAYED]
        return max(own, *(settings.hold_after_entry(door.entry_s) for door in doors), settings.entry_hold)

    def exit_doors(self, area: AreaNumber) -> tuple[ZoneSetup, ...]:
        """Return an area's exit doors; where leaving by some of them completes arming, those come first."""
        found = self._doors.get(area)
        if found is None:
            doors = [zone for zone in self.zones_of(area) if zone.behaviour.exit_door]
            if self.settings.completing_act:
                doors.sort(key=lambda zone: not zone.behaviour.completes_exit)
            found = self._doors[area] = tuple(doors)
        return found


def setup_of(programme: Programme, profile: Profile) -> Setup:
    """Return what the model reads of a Programme.

    Raises `UnknownValues` if any value that decides the panel's behaviour is not known, else `UnusableValues` if any
    of them makes no sense; each names every such item. Values that decide nothing (a device's number, say) may be
    unknown.
    """
    reader = _Reader(programme, profile)
    settings = reader.settings()
    zones = reader.zones()
    duress = frozenset(
        UserNumber(slot) for slot in programme.numbers("user") if reader.flag(item_of("user", slot, "duress"))
    )
    may = reader.rights()
    reader.complain()
    areas = sorted({area for zone in zones for area in zone.areas}) or [AreaNumber(1)]
    return Setup(zones, tuple(areas), settings, duress, may)


def zones_read(programme: Programme, profile: Profile) -> tuple[ZoneSetup, ...]:
    """Return what the model reads of a Programme's zones alone; raises as `setup_of` does."""
    reader = _Reader(programme, profile)
    zones = reader.zones()
    reader.complain()
    return zones


def _setting(name: str) -> Item:
    return Item(f"setting/{name}")


@dataclass(slots=True)
class _Reader:
    """Reads values one by one and gathers what it couldn't read."""

    programme: Programme
    profile: Profile
    unknown: list[Item] = field(default_factory=list)
    unusable: dict[Item, str] = field(default_factory=dict)

    def complain(self) -> None:
        """Raise what couldn't be read, if anything."""
        if self.unknown:
            raise UnknownValues(self.unknown)
        if self.unusable:
            raise UnusableValues(self.unusable)

    def settings(self) -> Settings:
        """Return the settings, each read in the way its kind is written."""
        read: dict[Written, Callable[[str], object]] = {
            Written.FLAG: lambda name: self.flag(_setting(name)),
            Written.TIME: self.duration,
            Written.WAIT: self.wait,
            Written.COUNT: self.count,
        }
        values = {
            name.replace("-", "_"): read[kind](name)
            for name, kind in SETTING_KINDS.items()
            if kind in read and name not in NAMED_BY_ZONES
        }
        values |= {name: self.flag(Item(f"station/{name}")) for name in STATION_FLAGS}
        return Settings(at_setting=self.at_setting(), **values)  # type: ignore[arg-type]

    def zones(self) -> tuple[ZoneSetup, ...]:
        """Return all zones that make sense, each pair noted at both zones."""
        numbers = self.programme.numbers("zone")
        return self.crossed(tuple(zone for number in numbers if (zone := self.zone(ZoneNumber(number))) is not None))

    def text(self, item: Item) -> str | None:
        """Return a value's text; None where the panel has no such item or its value isn't known (gathered)."""
        value = self.programme.get(item)
        if value == UNKNOWN:
            self.unknown.append(item)
            return None
        if value is not None:
            return value
        return self.profile.fixed.get(item, self.profile.fixed.get(item.pattern))

    def flag(self, item: Item) -> bool:
        text = self.text(item)
        if text not in (None, "yes", "no"):
            self.unusable[item] = f'"{text}" is neither yes nor no'
        return text == "yes"

    def count(self, name: str) -> int:
        item = _setting(name)
        text = self.text(item)
        if text is None:
            return 0
        if not (text.isascii() and text.isdigit()):
            self.unusable[item] = f'"{text}" is not a whole number'
            return 0
        return int(text)

    def duration(self, name: str) -> int:
        """Return a setting in seconds: digits with the unit of the profile's answer, or a time with its own unit."""
        item = _setting(name)
        text = self.text(item)
        if text is None:
            return 0
        answer = self.profile.answer_of(item)
        if text.isascii() and text.isdigit():
            number = int(text)
            if number and (answer is None or answer.unit is None):
                self.unusable[item] = f'"{text}" has no unit, and the profile gives none'
                return 0
            return number * _SECONDS_IN[answer.unit] if answer is not None and answer.unit is not None else 0
        try:
            return seconds(text)
        except ValueError as wrong:
            self.unusable[item] = str(wrong)
            return 0

    def at_setting(self) -> frozenset[tuple[SettingFault, Right]]:
        """Return the troubles that stop arming, each with who may arm in spite of it."""
        found: set[tuple[SettingFault, Right]] = set()
        for fault in SettingFault:
            item = _setting(f"{fault.value}-at-setting")
            text = self.text(item)
            if text in _RIGHTS:
                found.add((fault, _RIGHTS[text]))
            elif text not in (None, "none"):
                self.unusable[item] = f'"{text}" is none of none, {", ".join(_RIGHTS)}'
        return frozenset(found)

    def wait(self, name: str) -> int | None:
        """Return a setting in seconds; None where the panel has no such setting."""
        return None if self.text(_setting(name)) is None else self.duration(name)

    def zone(self, number: ZoneNumber) -> ZoneSetup | None:
        def text(name: str) -> str | None:
            return self.text(item_of("zone", number, name))

        def flag(name: str) -> bool:
            return self.flag(item_of("zone", number, name))

        name = text("behaviour")
        behaviour = self.profile.behaviours.get(name) if name is not None else None
        if behaviour is None and name is not None:
            self.unusable[item_of("zone", number, "behaviour")] = f'this panel has no behaviour "{name}"'
        if behaviour is None and name is None and item_of("zone", number, "behaviour") not in self.unknown:
            self.unusable[item_of("zone", number, "behaviour")] = "the zone has no behaviour"
        areas = self.areas(number)
        delay = text("delay")
        entry_s = self.duration(delay.replace(" ", "-")) if delay not in (None, "none") else 0
        waits = text("message-delay") == "abort window"
        label = " ".join(part for part in (text("place"), text("label")) if part) or f"zone {number}"
        chime = text("chime") or NO_CHIME
        alarm, trouble, supervise = flag("tells-alarm"), flag("tells-trouble"), flag("supervise")
        if behaviour is None or not areas:
            return None
        return ZoneSetup(
            number=number, label=label, areas=areas, behaviour=behaviour, entry_s=entry_s, chime=chime,
            tells_alarm=alarm, tells_trouble=trouble, supervise=supervise, message_waits=waits and behaviour.abort,
            crosses=self.crosses(number), verifies=behaviour.verify and self.verifies(number),
            radio=self.is_radio(number), loop=self.loop(number),
        )  # fmt: skip

    def is_radio(self, number: ZoneNumber) -> bool:
        """Return whether a zone's device is heard by radio; if its kind isn't known, whether all kinds are."""
        kind = self.programme.get(item_of("zone", number, "kind"))
        known = self.profile.kinds
        if kind == UNKNOWN:
            return bool(known) and all(each.link == "radio" for each in known.values())
        return kind in known and known[kind].link == "radio"

    def loop(self, number: ZoneNumber) -> str:
        """Return the resistor at the end of a zone's loop; "" for a zone that isn't known to be wired."""
        kind = self.programme.get(item_of("zone", number, "kind"))
        known = self.profile.kinds
        if kind == UNKNOWN or kind not in known or known[kind].link != "wired":
            return ""
        held = self.programme.get(item_of("zone", number, "resistor"))
        fixed = self.profile.fixed.get(Item("zone/*/resistor"))
        return held if held not in (None, UNKNOWN, "") else fixed or "none"

    def verifies(self, number: ZoneNumber) -> bool:
        """Return whether the panel verifies a zone's detector: it has the feature and can switch the detector's power.

        It can't do that by radio. `zone/N/verify: no` excludes a detector that verifies by itself.
        """
        if self.duration("fire-verify-window") == 0 or self.text(item_of("zone", number, "verify")) == "no":
            return False
        kind = self.text(item_of("zone", number, "kind"))
        if kind is None:
            return self.text(item_of("zone", number, "resistor")) is not None
        return kind in self.profile.kinds and self.profile.kinds[kind].link == "wired"

    def crosses(self, number: ZoneNumber) -> frozenset[ZoneNumber]:
        """Return the zone that a zone is paired with, as its own item says."""
        item = item_of("zone", number, "crosses")
        text = self.text(item)
        if text in (None, "", "none", "0"):
            return frozenset()
        if not (text.isascii() and text.isdigit()) or int(text) == number:
            self.unusable[item] = f'"{text}" is not the number of another zone'
            return frozenset()
        return frozenset({ZoneNumber(int(text))})

    def crossed(self, zones: tuple[ZoneSetup, ...]) -> tuple[ZoneSetup, ...]:
        """Return the zones with each pair noted at both zones, if both may be paired.

        A zone whose pair doesn't exist has none: the pair couldn't trip, so the zone gives its alarm alone.
        """
        there = {zone.number: zone for zone in zones}
        pairs: dict[ZoneNumber, set[ZoneNumber]] = {zone.number: set() for zone in zones}
        for zone in zones:
            for other in zone.crosses:
                if other in there and zone.behaviour.cross and there[other].behaviour.cross:
                    pairs[zone.number].add(other)
                    pairs[other].add(zone.number)
        return tuple(
            replace(zone, crosses=frozenset(pairs[zone.number])) if zone.crosses or pairs[zone.number] else zone
            for zone in zones
        )

    def rights(self) -> frozenset[tuple[UserNumber, frozenset[AreaNumber]]]:
        """Return which slot may arm which areas, if the panel holds that; an unknown value restricts nobody."""
        found = set()
        for slot in self.programme.numbers("user"):
            item = item_of("user", slot, "areas")
            text = self.programme.get(item)
            if text not in (None, "", UNKNOWN) and (areas := self.listed(item, text)):
                found.add((UserNumber(slot), areas))
        return frozenset(found)

    def areas(self, number: ZoneNumber) -> frozenset[AreaNumber]:
        """Return the areas of a zone, written `1` or `1+2`; the first area where the panel has no areas to choose."""
        item = item_of("zone", number, "area")
        text = self.text(item)
        return frozenset({AreaNumber(1)}) if text is None else self.listed(item, text)

    def listed(self, item: Item, text: str) -> frozenset[AreaNumber]:
        """Return areas as an item holds them, joined by +; none, with the reason gathered, if they make no sense."""
        numbers = areas_in(text)
        if not all(numbers) or not numbers:
            self.unusable[item] = f'"{text}" is not an area, nor areas joined by +'
            return frozenset()
        return frozenset(map(AreaNumber, numbers))

"""What a person notices of each zone in each mode, and of the panel's own troubles, found by letting it happen.

Rules of this file:
1. Every cell is a run of the clockwork: the zone's areas armed and at rest, everything shut, then one thing happens and
   nobody does anything until the panel is at rest again. The panel's troubles happen to it disarmed.
2. A cell keeps all that the panel did, each with its seconds after the event; mark and words are derived from that.
3. Nothing here reads a behaviour.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import TypeVar

from zonewright.behaviour.clockwork import Clockwork, TimelineEntry
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    CheckIn,
    Chime,
    DisplayLine,
    Event,
    Expires,
    Means,
    Message,
    Output,
    Shown,
    Siren,
    SiteTrouble,
    SiteTroubleBegins,
    Sound,
    Spoken,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    ZoneOpens,
)
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, ZoneSetup
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber, span
from zonewright.words.telling import SIRENS, sounder

SOMEBODY = UserNumber(1)
ARMS = {DisplayLine.ARMED_STAY: "arms stay", DisplayLine.ARMED_NIGHT: "arms night", DisplayLine.ARMED_AWAY: "arms away"}


class Cause(Enum):
    """What happens to the zone."""

    OPENS = "opens"  # and stays open
    TAMPER = "cover off"
    LOW_BATTERY = "battery low"
    MISSING = "out of contact"


class Mark(Enum):
    """The loudest thing that follows from it."""

    SIREN = "siren"
    SIREN_DELAYED = "siren-delayed"
    TONE = "tone"
    CHIME = "chime"
    SHOWN = "shown"
    SILENT_SENT = "silent-sent"
    NOTHING = "nothing"


OF_RADIO = frozenset({Cause.LOW_BATTERY, Cause.MISSING})


def tells(zone: ZoneSetup, cause: Cause) -> bool:
    """Return whether a cause can be of a zone's device: a loop has no cell and no radio."""
    return cause not in OF_RADIO or zone.loop == ""


class Outcome:
    """All that follows from one thing that happens, every time in seconds after it; and what a reader sees of it."""

    __slots__ = ()
    outcome: tuple[tuple[int, Output], ...]

    @property
    def siren_after(self) -> int | None:
        """Return when the siren itself first sounds, any of its patterns; None: never."""
        return next((after for after, output in self.outcome if _plays(output) in SIRENS), None)

    @property
    def pattern(self) -> Pattern:
        """Return the first pattern that the sounder plays."""
        return next((output.pattern for _, output in self.outcome if isinstance(output, Siren)), Pattern.NONE)

    @property
    def heard(self) -> tuple[tuple[int, str], ...]:
        """Return every sound with its time, the label aside."""
        return tuple((after, text) for after, output in self.outcome if (text := _sound_of(output)) is not None)

    @property
    def spoken(self) -> bool:
        """Return whether the panel says the zone's label."""
        return any(isinstance(output, Spoken) for _, output in self.outcome)

    @property
    def shown(self) -> tuple[tuple[int, Shown], ...]:
        """Return every line of the display with its time."""
        return tuple((after, output) for after, output in self.outcome if isinstance(output, Shown))

    @property
    def sent(self) -> tuple[tuple[int, Message], ...]:
        """Return every message with its time."""
        return tuple((after, output) for after, output in self.outcome if isinstance(output, Message))

    @property
    def message(self) -> str | None:
        """Return the name of the first message; None: nothing is sent."""
        return self.sent[0][1].name if self.sent else None

    @property
    def message_after(self) -> int | None:
        """Return when the first message leaves."""
        return self.sent[0][0] if self.sent else None

    @property
    def mark(self) -> Mark:
        """Return the loudest thing that follows from it."""
        if self.siren_after is not None:
            return Mark.SIREN if self.siren_after == 0 else Mark.SIREN_DELAYED
        if any(isinstance(output, Chime | Spoken) for _, output in self.outcome):
            return Mark.CHIME
        if self.heard:
            return Mark.TONE
        if self.sent:
            return Mark.SILENT_SENT
        return Mark.SHOWN if self.shown else Mark.NOTHING

    @property
    def turns(self) -> str | None:
        """Return how it changes the setting: "arms away", "disarms"; None: not at all."""
        lines = [shown.line for _, shown in self.shown]
        armed = next((ARMS[line] for line in lines if line in ARMS), None)
        return armed or ("disarms" if DisplayLine.DISARMED in lines else None)

    @property
    def words(self) -> str:
        """Return it in a few words: "siren after 30 s", "two notes", "arms away", "nothing"."""
        if self.turns is not None:
            return self.turns
        match self.mark:
            case Mark.SIREN | Mark.SIREN_DELAYED:
                first = next(p for _, output in self.outcome if (p := _plays(output)) in SIRENS)
                return f"{sounder(first)} {_when(self.siren_after or 0)}"
            case Mark.CHIME:
                return next(
                    "says its label" if isinstance(output, Spoken) else output.kind
                    for _, output in self.outcome
                    if isinstance(output, Chime | Spoken)
                )
            case Mark.TONE:
                after, sound = self.heard[0]
                return sound if after == 0 else f"{sound} {_when(after)}"
            case Mark.SILENT_SENT:
                return "silent, shown" if self.shown else "silent"
            case Mark.SHOWN:
                return "shown only"
            case Mark.NOTHING:
                return "nothing"

    @property
    def looks_like(self) -> tuple[Mark, str, str | None, int | None]:
        """Return what a reader of the matrix sees: cells alike in this may be fused."""
        return self.mark, self.words, self.message, self.message_after


@dataclass(frozen=True, slots=True)
class Cell(Outcome):
    """What follows from one thing that happens to one zone in one mode."""

    zone: ZoneNumber
    mode: Mode
    cause: Cause
    outcome: tuple[tuple[int, Output], ...]


@dataclass(frozen=True, slots=True)
class SiteRow(Outcome):
    """What follows from one trouble of the panel itself, in whatever mode."""

    trouble: SiteTrouble
    outcome: tuple[tuple[int, Output], ...]


@dataclass(frozen=True, slots=True)
class Matrix:
    """All cells of one setup."""

    setup: Setup
    cells: tuple[Cell, ...]
    bare: frozenset[ZoneNumber] = frozenset()  # zones whose device has no cover that is watched, as far as is known
    never: Mapping[AreaNumber, frozenset[Mode]] = field(default_factory=dict)  # in which modes nobody can set an area
    _at: dict[tuple[ZoneNumber, Mode, Cause], Cell] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_at", {(cell.zone, cell.mode, cell.cause): cell for cell in self.cells})

    def cell(self, zone: ZoneNumber, mode: Mode, cause: Cause = Cause.OPENS) -> Cell:
        """Return one cell; raises KeyError for a zone or a cause that the matrix was not made for."""
        return self._at[zone, mode, cause]

    def tells(self, zone: ZoneSetup, cause: Cause) -> bool:
        """Return whether a cause can be of a zone's device, as far as it is known: what is carried has no cover."""
        return tells(zone, cause) and not (cause is Cause.TAMPER and zone.number in self.bare)

    def row(self, zone: ZoneNumber, cause: Cause = Cause.OPENS) -> tuple[Cell, ...]:
        """Return a zone's cells: off, stay, night, away."""
        return tuple(self.cell(zone, mode, cause) for mode in Mode)


def matrix(
    setup: Setup,
    causes: Iterable[Cause] = Cause,
    bare: frozenset[ZoneNumber] = frozenset(),
    never: Mapping[AreaNumber, frozenset[Mode]] | None = None,
) -> Matrix:
    """Return what follows from each cause, for each zone in each mode; the areas of its pairs are in the same mode."""
    wanted = tuple(causes)
    rested: dict[tuple[frozenset[AreaNumber], Mode], Clockwork] = {}
    cells = []
    for zone in setup.zones:
        for mode in Mode:
            areas = setup.set_with(zone)
            if (areas, mode) not in rested:
                rested[areas, mode] = at_rest(setup, areas, mode)
            panel = rested[areas, mode]
            cells += [Cell(zone.number, mode, cause, outcome_of(panel.copy(), zone, cause)) for cause in wanted]
    return Matrix(setup, tuple(cells), bare, never or {})


T = TypeVar("T", bound=Hashable)


def with_pairs_otherwise(
    setup: Setup, zone: ZoneSetup, told: Callable[[Clockwork, Mode], T]
) -> Iterator[tuple[tuple[Mode, ...], tuple[Mode, ...], T]]:
    """Give what differs for a zone when the areas of its pairs are in another mode than its own areas.

    Each comes with the modes of its own areas, and those of the others.
    """
    others = setup.set_with(zone) - zone.areas
    found: dict[T, dict[Mode, list[Mode]]] = {}
    for own in Mode if others else ():
        alike = told(at_rest(setup, zone.areas | others, own), own)
        for other in Mode:
            modes = dict.fromkeys(zone.areas, own) | dict.fromkeys(others, other)
            this = told(at_rest_in(setup, modes), own)
            if this != alike:
                found.setdefault(this, {}).setdefault(own, []).append(other)
    for this, by_own in found.items():
        for there in dict.fromkeys(map(tuple, by_own.values())):
            yield tuple(own for own, each in by_own.items() if tuple(each) == there), there, this


def site_troubles(setup: Setup) -> tuple[SiteRow, ...]:
    """Return what follows from each trouble of the panel itself; a wait is waited out alone."""
    panel = Clockwork(setup)
    rows = []
    for trouble in SiteTrouble:
        here = panel.copy()
        outcome = _let(here, SiteTroubleBegins(trouble)) or _let_expire(here, trouble.timer)
        rows.append(SiteRow(trouble, outcome))
    return tuple(rows)


def at_rest(setup: Setup, areas: Iterable[AreaNumber], mode: Mode) -> Clockwork:
    """Return a panel whose areas are in this mode, everything shut and nothing pending."""
    return at_rest_in(setup, dict.fromkeys(areas, mode))


def at_rest_in(setup: Setup, modes: Mapping[AreaNumber, Mode]) -> Clockwork:
    """Return the same with each area in its own mode.

    They are armed by a remote, since a keypad would arm stay when nobody leaves.
    """
    panel = Clockwork(setup)
    for area, mode in sorted(modes.items()):
        panel.give(Arm(area, mode, SOMEBODY, Means.REMOTE))
    panel.rest()
    return panel


def outcome_of(panel: Clockwork, zone: ZoneSetup, cause: Cause) -> tuple[tuple[int, Output], ...]:
    """Let it happen and wait for rest; a battery's wait and the supervision window are waited out alone."""
    match cause:
        case Cause.OPENS:
            return _let(panel, ZoneOpens(zone.number))
        case Cause.TAMPER:
            return _let(panel, TroubleBegins(zone.number, Trouble.TAMPER))
        case Cause.LOW_BATTERY:
            told = _let(panel, TroubleBegins(zone.number, Trouble.LOW_BATTERY))
            return told or _let_expire(panel, Timer(TimerKind.BATTERY, zone.number))
        case Cause.MISSING:
            panel.give(CheckIn(zone.number))
            return _let_expire(panel, Timer(TimerKind.MISSING, zone.number))


def _let_expire(panel: Clockwork, timer: Timer) -> tuple[tuple[int, Output], ...]:
    """Let one timer run out as if nothing else of the panel were waiting for so long."""
    if timer not in panel.due:
        return ()
    length = panel.due[timer] - panel.now
    return tuple((length + after, output) for after, output in _let(panel, Expires(timer)))


def _let(panel: Clockwork, event: Event) -> tuple[tuple[int, Output], ...]:
    start = panel.now
    entries: list[TimelineEntry] = [panel.give(event), *panel.rest()]
    return tuple((entry.at - start, output) for entry in entries for output in entry.outputs)


def _plays(output: Output) -> Pattern:
    return output.pattern if isinstance(output, Siren) else Pattern.NONE


def _sound_of(output: Output) -> str | None:
    match output:
        case Siren() if output.pattern is not Pattern.NONE:
            return sounder(output.pattern)
        case Chime():
            return output.kind
        case Beeps():
            return "trouble tone" if output.sound is Sound.TROUBLE else output.sound.value
        case Siren() | Spoken() | Shown() | Message():
            return None


def _when(after: int) -> str:
    return "at once" if after == 0 else f"after {span(after)}"

"""Plain houses for the tests of this room, and what is asked of a timeline."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from zonewright.behaviour.clockwork import Timeline, run
from zonewright.behaviour.events import (
    Arm,
    Disarm,
    DisplayLine,
    Event,
    Means,
    Message,
    Output,
    Shown,
    Siren,
    SiteTrouble,
)
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, UserNumber, ZoneSetup
from zonewright.panel.behaviours import SHIPPED, Mode, Pattern, Timing
from zonewright.site.record import ZoneNumber

Given = list[tuple[int, Event]]

IDA = UserNumber(1)
WAIT_OF = {trouble: f"{trouble.kind.value.replace('-', '_')}_wait" for trouble in SiteTrouble}  # the setting's field

# As shipped by ANSI/SIA CP-01: ranges seen second-hand, the rest from memory; siren and supervision are choices.
CP01 = Settings(
    exit_time=60,
    exit_restart=True,
    exit_error=True,
    unvacated_stay=True,
    forced_arming=False,
    abort_window=30,
    cancel_window=300,
    swinger_limit=2,
    siren_time=240,
    supervision_window=43_200,
    recent_closing=False,
    told=True,
    restores=True,
)


def zone(number: int, behaviour: str, label: str = "", *, areas: Iterable[int] = (1,), **changes: object) -> ZoneSetup:
    """A zone of a shipped behaviour that tells the station everything and waits where it may."""
    record = SHIPPED[behaviour]
    plain = ZoneSetup(
        number=ZoneNumber(number),
        label=label or f"{behaviour} {number}",
        areas=frozenset(AreaNumber(area) for area in areas),
        behaviour=record,
        entry_s=30 if record.timing is Timing.DELAYED else 0,
        tells_alarm=record.alarm is not None or bool(record.tamper_alarm),
        tells_trouble=True,
        message_waits=record.abort,
    )
    return replace(plain, **changes)  # type: ignore[arg-type]  # replace refuses a name that isn't a field


def house(*zones: ZoneSetup, settings: Settings = CP01) -> Setup:
    """A panel with these zones."""
    areas = sorted({area for zone in zones for area in zone.areas})
    return Setup(zones, tuple(areas), settings)


DOOR, WINDOW, HALL, LOUNGE, SMOKE, GATE, BUTTON = (ZoneNumber(number) for number in range(1, 8))

COTTAGE = house(
    zone(DOOR, "entry-door", "front door", chime="two notes"),
    zone(WINDOW, "perimeter", "kitchen window"),
    zone(HALL, "on-route", "hall movement"),
    zone(LOUNGE, "interior", "lounge movement"),
    zone(SMOKE, "fire", "landing smoke"),
    zone(GATE, "notice", "side gate", chime="spoken"),
    zone(BUTTON, "holdup", "till button"),
)


def with_settings(setup: Setup, **changes: object) -> Setup:
    """The same house with other settings."""
    return replace(setup, settings=replace(setup.settings, **changes))  # type: ignore[arg-type]  # as above


def arm(mode: Mode = Mode.AWAY, means: Means = Means.REMOTE, area: int = 1, *, silent: bool = False) -> Arm:
    """Ida arms; by a remote if not said otherwise, so that no door need be used."""
    return Arm(AreaNumber(area), mode, IDA, means, silent)


def disarm(area: int = 1) -> Disarm:
    """Ida disarms."""
    return Disarm(AreaNumber(area), IDA)


def armed_then(setup: Setup, mode: Mode, *later: tuple[int, Event], until: int | None = None) -> Timeline:
    """What happens after an exit time of 60 s; the seconds count from its end."""
    given = [(0, arm(mode)), *((60 + at, event) for at, event in later)]
    shifted = run(setup, given, until=None if until is None else 60 + until)
    return tuple(replace(entry, at=entry.at - 60) for entry in shifted if entry.at > 60 or entry.event != arm(mode))


def outputs(timeline: Timeline) -> list[tuple[int, Output]]:
    """Everything the panel did, with its second."""
    return [(entry.at, output) for entry in timeline for output in entry.outputs]


def messages(timeline: Timeline) -> list[tuple[int, str]]:
    """The messages sent, restores aside."""
    return [(at, out.name) for at, out in outputs(timeline) if isinstance(out, Message) and not out.restore]


def restores(timeline: Timeline) -> list[tuple[int, str]]:
    """The restores sent."""
    return [(at, out.name) for at, out in outputs(timeline) if isinstance(out, Message) and out.restore]


def sirens(timeline: Timeline) -> list[tuple[int, Pattern]]:
    """What the sounder plays, from when."""
    return [(at, out.pattern) for at, out in outputs(timeline) if isinstance(out, Siren)]


def lines(timeline: Timeline) -> list[tuple[int, DisplayLine]]:
    """What the display says, from when."""
    return [(at, out.line) for at, out in outputs(timeline) if isinstance(out, Shown)]


def when(timeline: Timeline, line: DisplayLine) -> list[int]:
    """The seconds at which the display says this."""
    return [at for at, shown in lines(timeline) if shown is line]

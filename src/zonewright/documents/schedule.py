"""The zone schedule and the chart of times and features, in words.

Rules of this file:
1. What the panel will hold is told, not what the site file wrote: a default stands here like a decision.
2. Place, day of fitting and what a device guards are known to the site file alone.
"""

from __future__ import annotations

from datetime import date
from re import sub

from zonewright.behaviour.faults import Right
from zonewright.behaviour.setup import Settings, Setup, ZoneSetup
from zonewright.documents.records import ChartGroup, Fact, ZoneRow
from zonewright.panel.programme import UNKNOWN
from zonewright.panel.resolve import Resolved
from zonewright.site.model import Device
from zonewright.site.record import DeviceName, span
from zonewright.words.telling import ranges

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
NBSP = "\N{NO-BREAK SPACE}"
NONE = "\N{EN DASH}"
_UNLESS = {
    Right.USER: "unless a user insists", Right.INSTALLER: "unless the installer insists", Right.NOBODY: "always",
}  # fmt: skip


def schedule(resolved: Resolved, setup: Setup) -> tuple[ZoneRow, ...]:
    """Return the rows of the schedule, by zone number."""
    return tuple(_row(resolved, setup, zone) for zone in sorted(setup.zones, key=lambda zone: zone.number))


def chart(setup: Setup, account: str) -> tuple[ChartGroup, ...]:
    """Return every time and feature that the panel model knows, with its effect in words."""
    return (
        ChartGroup("Going out, coming in", _in_and_out(setup)),
        ChartGroup("Alarms", _false_alarms(setup.settings)),
        ChartGroup(
            "Supervision, station" if setup.settings.told else "Supervision",
            _watch_and_station(setup.settings, account),
        ),
    )


def day_in_words(day: date) -> str:
    """Return a day as people write it: 25 November 2026."""
    return f"{day.day}{NBSP}{MONTHS[day.month - 1]}{NBSP}{day.year}"


def in_threes(number: str) -> str:
    """Return a device's number split in threes, as it is keyed and compared."""
    return NBSP.join(number[at : at + 3] for at in range(0, len(number), 3))


def unbroken(text: str) -> str:
    """Return a text whose times stay on one line: the space between number and unit is a hard one."""
    return sub(r"(?<=[0-9]) (?=(?:s|min|h)\b)", NBSP, text)


def area_names(resolved: Resolved) -> dict[int, str]:
    """Return area number -> the site's name for it."""
    return {number: name for name, number in resolved.areas.items()}


def _row(resolved: Resolved, setup: Setup, zone: ZoneSetup) -> ZoneRow:
    held = resolved.programme.fields("zone", zone.number)
    origin = resolved.zones.get(zone.number)
    device = resolved.site.devices.get(DeviceName(origin.device)) if origin is not None else None
    names = area_names(resolved)
    kind, wire = held.get("kind", NONE), held.get("input")
    number = held.get("number")
    return ZoneRow(
        number=zone.number,
        label=zone.label,
        place=_place(device),
        area=" and ".join(names.get(area, f"area {area}") for area in sorted(zone.areas)),
        behaviour=held.get("behaviour", NONE),
        device=f"{kind}, {wire}" if wire and wire != "the only one" else kind,
        serial="not known" if number == UNKNOWN else in_threes(number) if number and number.isdigit() else NONE,
        chime=_at_the_keypad(zone, held.get("light")),
        reports=_reports(setup, zone),
        watched="supervised" if zone.supervise else "not supervised",
        fitted=_fitted(device) if device is not None else NONE,
    )


def _at_the_keypad(zone: ZoneSetup, light: str | None) -> str:
    """Return how the keypad tells that a zone opens, off: its chime, and its light where the panel has lights."""
    chime = "no chime" if zone.chime == "none" else zone.chime
    if light == UNKNOWN:
        return f"{chime}, light not known"
    return chime if light in (None, "0", "none") else f"{chime}, light {light}"


def _place(device: Device | None) -> str:
    if device is None:
        return ""
    spot = ", ".join(part for part in (device.at.room, device.at.storey) if part) if device.at else ""
    return ": ".join(part for part in (spot, device.guards) if part)


def _fitted(device: Device) -> str:
    day = [device.fitted.isoformat()] if device.fitted is not None else []
    return ", ".join([*day, *(["used before"] if device.used_before else [])]) or NONE


def _reports(setup: Setup, zone: ZoneSetup) -> str:
    if not setup.settings.told or not (zone.tells_alarm or zone.tells_trouble):
        return "reports nothing"
    if not zone.tells_alarm:
        return "reports troubles"
    return "reports all" if zone.tells_trouble else "reports alarms"


def _time(seconds: int, absent: str) -> str:
    return span(seconds) if seconds else absent


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _in_and_out(setup: Setup) -> tuple[Fact, ...]:
    have = setup.settings
    times = sorted({zone.entry_s for zone in setup.zones if zone.entry_s})
    return (
        Fact("exit time", _time(have.exit_time, "none")),
        *(Fact(_entry_name(setup, time), span(time)) for time in times),
        Fact("exit restart", _yes(have.exit_restart)),
        Fact("exit error told", _yes(have.exit_error)),
        Fact("stay if nobody leaves", _yes(have.unvacated_stay)),
        Fact("arms with a zone open", _yes(have.forced_arming)),
        *_asked_at_setting(have),
    )


def _asked_at_setting(have: Settings) -> tuple[Fact, ...]:
    """Return what setting depends on, besides what stands open; nothing on a panel that asks for nothing."""
    faults = sorted(have.at_setting, key=lambda pair: pair[0].value)
    lately = f"heard within {span(have.heard_before_setting)}"
    return (
        *([Fact("away is set by", "a final door or a push alone")] if have.completing_act else []),
        *(Fact(f"{fault.value.replace('-', ' ')} stops setting", _UNLESS[right]) for fault, right in faults),
        *([Fact("devices, when it is set", lately)] if have.heard_before_setting else []),
    )


def _entry_name(setup: Setup, seconds: int) -> str:
    numbers = [zone.number for zone in setup.zones if zone.entry_s == seconds]
    return f"entry time, zone{'s' * (len(numbers) > 1)} {ranges(numbers)}"


def _false_alarms(have: Settings) -> tuple[Fact, ...]:
    trips = f"{have.swinger_limit} alarm{'s' * (have.swinger_limit > 1)}"
    held = f"{span(have.entry_hold)}, at least {span(have.entry_hold_least)} from the opening"
    return (
        Fact("abort window", _time(have.abort_window, "none")),
        *([Fact("entry alarm held", held)] if have.entry_hold else []),
        Fact("cancel window", _time(have.cancel_window, "none")),
        Fact("swinger shutdown after", trips if have.swinger_limit else "never"),
        Fact("recent closing told", _yes(have.recent_closing)),
        Fact("siren time", _time(have.siren_time, "no siren")),
        *([Fact("outside siren while off", "silent, fire and gas aside")] if have.inside_when_off else []),
    )


def _watch_and_station(have: Settings, account: str) -> tuple[Fact, ...]:
    rows = [
        Fact("missing after", _time(have.supervision_window, "never")),
        Fact("low battery told after", _time(have.low_battery_wait, "at once")),
    ]
    if not have.told:
        return (*rows, Fact("monitoring station", "none"))
    return (
        *rows,
        Fact("station account", account or "yes"),
        Fact("told when alarms are over", _yes(have.restores)),
        Fact("told of arming", _yes(have.openings)),
    )

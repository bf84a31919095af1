"""What the panel model reads of a panel, by item: how a value is written if the profile fixes it.

Rules of this file:
1. It is the one list of the items that decide what a panel does. `behaviour/setup.py` reads these and no others.
"""

from __future__ import annotations

from enum import Enum

from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, areas_in
from zonewright.site.record import seconds


class Written(Enum):
    """How a value is written; the value says it in words."""

    FLAG = "write yes or no"
    TIME = "write a time with its unit: 45 s, 5 min or 12 h"
    WAIT = "write a time with its unit, or 0 for at once"
    COUNT = "write a whole number, digits only"
    RIGHT = "write none, or who may arm in spite of it"
    AREAS = "write an area, or areas joined by +"
    NAME = "write a word"


RIGHTS = ("none", "user", "installer", "nobody")  # who may arm in spite of a trouble; none: it stops nobody
_SETTINGS = {
    Written.FLAG: (
        "exit-restart", "exit-error", "unvacated-stay", "completing-act", "forced-arming", "inside-when-off",
        "recent-closing", "second-path",
    ),
    Written.TIME: (
        "exit-time", "entry-time", "second-entry-time", "abort-window", "entry-hold", "entry-hold-least",
        "cancel-window", "siren-time", "supervision-window", "life-safety-supervision-window", "low-battery-wait",
        "confirm-window", "cross-window", "fire-reset", "fire-verify-window", "environment-wait", "warm-up",
        "heard-before-setting", "line-retry",
    ),
    Written.WAIT: (
        "mains-wait", "panel-battery-wait", "siren-circuit-wait", "auxiliary-wait", "line-wait", "jamming-wait",
    ),
    Written.COUNT: ("swinger-limit",),
    Written.RIGHT: tuple(f"{what}-at-setting" for what in
                         ("tamper", "missing", "supply", "siren-circuit", "line", "jamming")),
}  # fmt: skip
SETTING_KINDS = {name: kind for kind, names in _SETTINGS.items() for name in names}  # each is the item setting/NAME
NAMED_CHOICES = {  # what the answer to these is called in every profile
    "zone/*/delay": ("entry time", "second entry time", "none"),
    "zone/*/message-delay": ("abort window", "none"),
}
NAMED_BY_ZONES = frozenset({"entry-time", "second-entry-time"})  # times that a zone's delay names
STATION_FLAGS = ("told", "restores", "openings", "troubles")  # each is the item station/NAME
FIXED_KINDS: dict[str, Written] = {
    **{f"setting/{name}": kind for name, kind in SETTING_KINDS.items()},
    **{f"station/{name}": Written.FLAG for name in STATION_FLAGS},
    **{f"zone/*/{name}": Written.FLAG for name in ("tells-alarm", "tells-trouble", "supervise", "verify")},
    **{f"zone/*/{name}": Written.NAME for name in ("delay", "chime", "message-delay", "place", "kind", "resistor")},
    "zone/*/area": Written.AREAS,
    "zone/*/crosses": Written.COUNT,
    "user/*/duress": Written.FLAG,
}
READ = frozenset(FIXED_KINDS) | {  # beside these, what else of a profile has a meaning here
    "zone/*/behaviour", "zone/*/label", "zone/*/number", "zone/*/input", "zone/*/light", "zone/*/used-before",
    "user/*/areas", "user/*/code", "user/*/role", "remote/*/area", "remote/*/number", "remote/*/first-button",
    "remote/*/second-button", "station/account", "panel/edition",
}  # fmt: skip


def unread(profile: Profile) -> tuple[str, ...]:
    """Return the items of a profile that have no meaning here: they are keyed, and nothing is worked out of them."""
    return tuple(item for item in profile.items if item not in READ)


def lacking(profile: Profile) -> tuple[str, ...]:
    """Return the settings that the panel model reads and a profile has neither as an item nor fixed: it lacks them."""
    return tuple(item for item in FIXED_KINDS if item not in profile.items and Item(item) not in profile.fixed)


def tells_station(profile: Profile, *held: Programme) -> bool:
    """Return whether a panel sends a station anything while it holds one of these; True if that isn't known."""
    told = Item("station/told")
    return any((each.get(told) or profile.fixed.get(told)) not in (None, "no") for each in held)


def why_not_fixed(profile: Profile, pattern: str, value: str) -> str | None:
    """Return why the panel model can't read a fixed value, as what to write instead; None if it can."""
    kind = FIXED_KINDS[pattern]
    digits = value.isascii() and value.isdigit()
    match kind:
        case Written.FLAG:
            fine = value in ("yes", "no")
        case Written.TIME | Written.WAIT:
            fine = value == "0" or _is_time(value)
        case Written.COUNT:
            fine = digits and len(value) <= 3
        case Written.RIGHT:
            fine = value in RIGHTS
        case Written.AREAS:
            areas = areas_in(value)
            fine = bool(areas) and all(1 <= area <= profile.limits.areas for area in areas)
        case Written.NAME:
            fine = bool(value.strip())
    return None if fine else kind.value


def _is_time(value: str) -> bool:
    try:
        seconds(value)
    except ValueError:
        return False
    return True
